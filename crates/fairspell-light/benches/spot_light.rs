//! How long a year of one spot takes at steps of a minute, with the sun's places given.

use divan::{Bencher, black_box};
use fairspell_almanac::SunPosition;
use fairspell_ground::{Skyline, SkylineSector};
use fairspell_light::{
    Dome, ExposureFloor, Facing, Ground, Roof, SkyCondition, SkyRange, SpotLight, Surroundings,
    best_facing, daylight_clear,
};

fn main() {
    divan::main();
}

/// A spot with a hill in the west, a wood in the east and a roof.
fn spot() -> Surroundings {
    let sector = |from_azimuth_deg, to_azimuth_deg, height_deg| SkylineSector {
        from_azimuth_deg,
        to_azimuth_deg,
        height_deg,
    };
    let hills =
        vec![sector(240.0, 295.0, 8.0), sector(20.0, 110.0, 15.0), sector(295.0, 20.0, 3.0)];
    let roof = Roof { opens_toward_azimuth_deg: 300.0, ..Roof::porch(1.5, 1.2) };
    Surroundings {
        skyline: Skyline::new(hills),
        roof: Some(roof),
        ..Surroundings::open(Ground::Sand, false)
    }
}

/// A year at 31.7 degrees south by the plainest of formulas: true enough to be as busy.
fn year() -> Vec<SunPosition> {
    let (sin_phi, cos_phi) = (-31.7_f64).to_radians().sin_cos();
    (0..525_600_u32)
        .map(|minute| {
            let day = f64::from(minute) / 1440.0;
            let declination = (-23.44_f64).to_radians() * (day / 365.0 * 360.0).to_radians().cos();
            let hour = ((day.fract() - 0.5) * 360.0).to_radians();
            let (sin_d, cos_d) = declination.sin_cos();
            let elevation = (sin_phi * sin_d + cos_phi * cos_d * hour.cos()).asin();
            let azimuth =
                (-cos_d * hour.sin()).atan2(cos_phi * sin_d - sin_phi * cos_d * hour.cos());
            let elevation_deg = elevation.to_degrees();
            SunPosition {
                elevation_deg,
                apparent_elevation_deg: elevation_deg,
                azimuth_deg: azimuth.to_degrees().rem_euclid(360.0),
            }
        })
        .collect()
}

#[divan::bench(sample_count = 10)]
fn a_year_of_minutes(bencher: Bencher) {
    let year = year();
    let spot = SpotLight::new(Dome::new(spot()), SkyCondition::CLEAR, Facing::ToSun);
    let floor = ExposureFloor::STANDING.ev100().expect("a camera has these settings");
    bencher.bench_local(|| {
        black_box(&year).iter().filter(|sun| spot.at(sun).is_usable(floor)).count()
    });
}

#[divan::bench(sample_count = 10)]
fn summing_a_spot_up(bencher: Bencher) {
    bencher.bench_local(|| {
        SpotLight::new(Dome::new(black_box(spot())), SkyCondition::CLEAR, Facing::ToSun)
    });
}

#[divan::bench(sample_count = 20)]
fn best_facing_at_a_moment(bencher: Bencher) {
    let dome = Dome::new(spot());
    let sun = SunPosition { elevation_deg: 10.0, apparent_elevation_deg: 10.1, azimuth_deg: 300.0 };
    bencher.bench_local(|| best_facing(&dome.lit(black_box(&sun), &daylight_clear(10.0))));
}

#[divan::bench(sample_count = 20)]
fn light_at_a_moment_without_a_table(bencher: Bencher) {
    let dome = Dome::new(spot());
    let sky = SkyRange::for_cloud(Some(1.0)).low;
    let sun = SunPosition { elevation_deg: 10.0, apparent_elevation_deg: 10.1, azimuth_deg: 300.0 };
    bencher.bench_local(|| dome.lit(black_box(&sun), &sky.daylight(10.0)).face(120.0));
}
