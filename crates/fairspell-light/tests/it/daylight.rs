use fairspell_light::{Direction, Dome, SkyRange, air_mass, daylight_clear, illuminance_clear_lx};
use proptest::prelude::*;

use crate::{
    scene::{black_ground, sun},
    table::rows,
};

const VERTICAL: &str = include_str!("../reference/illuminance_vertical.csv");
const ILLUMINANCE: &str = include_str!("../reference/illuminance.csv");
const SPECTRAL: &str = include_str!("../reference/cct_clear_model.csv");

/// The sky's share by the illuminating engineers' formulas with this air mass, in whole per cent;
/// at five degrees half a per cent more, because we count the sun where it is seen.
#[test]
fn the_sky_has_the_published_share() {
    for (elevation_deg, percent) in [(60.0, 15.0), (30.0, 22.0), (20.0, 29.0), (10.0, 51.0)] {
        let light = daylight_clear(elevation_deg);
        let share = 100.0 * light.sky_horizontal_lx / light.horizontal_lx();
        assert!((share - percent).abs() <= 0.5, "{elevation_deg}°: {share} %");
    }
    let low = daylight_clear(5.0);
    assert!((100.0 * low.sky_horizontal_lx / low.horizontal_lx() - 81.0).abs() <= 1.5);
}

/// A spectral model with clean and with hazy air (aerosol 0.1 and 0.3); a hundredth beyond the clean
/// one where both formulas are for clean air.
#[test]
fn the_sky_has_a_share_between_clean_and_hazy_air() {
    let columns = ["aerosol_tau500", "sun_alt_deg", "direct_horiz_lux", "diffuse_horiz_lux"];
    let rows = rows(SPECTRAL, columns);
    let (clean, hazy) = rows.split_at(rows.len() / 2);
    assert_eq!(rows.len(), 18);
    for (clean, hazy) in clean.iter().zip(hazy) {
        let share = |row: &[f64; 4]| row[3] / (row[2] + row[3]);
        let light = daylight_clear(clean[1]);
        let ours = light.sky_horizontal_lx / light.horizontal_lx();
        assert!((share(clean) - 0.01..=share(hazy)).contains(&ours), "{}°: {ours}", clean[1]);
    }
}

/// "Revised optical air mass tables", as computed by another program, in four to five digits.
#[test]
fn air_mass_is_that_of_the_revised_tables() {
    for (elevation_deg, expected) in [
        (90.0, 0.9997),
        (60.0, 1.1540),
        (30.0, 1.9943),
        (20.0, 2.9031),
        (10.0, 5.586),
        (5.0, 10.306),
        (2.0, 19.43),
        (1.0, 26.31),
        (0.0, 37.92),
    ] {
        let found = air_mass(elevation_deg);
        assert!((found / expected - 1.0).abs() <= 2e-4, "{elevation_deg}°: {found}");
    }
}

/// Onto a wall, the sun's light is its normal light by a cosine: the engineers' own two tables
/// divided by each other. Three to four digits, and refraction, which they leave out.
#[test]
fn the_suns_light_on_a_wall_goes_by_the_cosine() {
    let normal = rows(ILLUMINANCE, ["sun_alt_deg", "ies_clear_direct_normal_lux"]);
    let columns = ["sun_alt_deg", "sun_az_minus_face_az_deg", "direct_clear_klx"];
    let dome = Dome::new(black_ground());
    let mut checked = 0;
    for [elevation_deg, turn_deg, wall_klx] in rows(VERTICAL, columns) {
        let normal_lx = normal.iter().find(|row| (row[0] - elevation_deg).abs() < 1e-9).unwrap()[1];
        // Their table of normal light has the bare sine, the other one too.
        let expected = wall_klx * 1000.0 / normal_lx;
        let daylight = daylight_clear(elevation_deg);
        let lit = dome.lit(&sun(elevation_deg, 200.0), &daylight);
        let found = lit.on(Direction::new(0.0, 200.0 - turn_deg)).direct_lx;
        let share = found / daylight.direct_normal_lx;
        assert!((share - expected).abs() <= 1e-3, "{elevation_deg}°, {turn_deg}°: {share}");
        checked += 1;
    }
    assert_eq!(checked, 35);
}

/// Sky light on a wall by the illuminating engineers' formulas, which say themselves that a moment
/// may have half or twice as much. From ten degrees up, where their air mass holds; away from the
/// sun only to 45 degrees, because above that theirs sinks to a sixth of what the sun's side has,
/// which no standard sky does. Towards the sun and beside it within a third.
#[test]
fn a_clear_sky_lights_walls_like_the_engineers_formulas() {
    let columns = ["sun_alt_deg", "sun_az_minus_face_az_deg", "sky_clear_klx"];
    let dome = Dome::new(black_ground());
    let mut checked = 0;
    for [elevation_deg, turn_deg, klx] in rows(VERTICAL, columns) {
        if elevation_deg < 10.0 || (turn_deg > 90.0 && elevation_deg > 45.0) {
            continue;
        }
        let lit = dome.lit(&sun(elevation_deg, 0.0), &daylight_clear(elevation_deg));
        let ratio = lit.on(Direction::new(0.0, turn_deg)).sky_lx / 1000.0 / klx;
        let within = if turn_deg > 90.0 || elevation_deg > 60.0 { 2.0 } else { 4.0 / 3.0 };
        assert!((1.0 / within..=within).contains(&ratio), "{elevation_deg}°, {turn_deg}°: {ratio}");
        checked += 1;
    }
    assert_eq!(checked, 26);
}

/// A closed sky by the same: ordinary overcast agrees to a stop among all sources. Ours goes lower
/// and rises higher with the sun, as the mean over clouds does.
#[test]
fn a_closed_sky_lights_walls_like_the_engineers_formulas() {
    let columns = ["sun_alt_deg", "sun_az_minus_face_az_deg", "sky_cloudy_klx"];
    let dome = Dome::new(black_ground());
    let grey = SkyRange::for_cloud(Some(1.0)).likely.unwrap();
    for [elevation_deg, turn_deg, klx] in rows(VERTICAL, columns) {
        let lit = dome.lit(&sun(elevation_deg, 0.0), &grey.daylight(elevation_deg));
        let light = lit.on(Direction::new(0.0, turn_deg));
        let stops = (light.sky_lx / 1000.0 / klx).log2();
        assert!(stops.abs() <= 1.0, "{elevation_deg}°, {turn_deg}°: {stops}");
        assert!(light.direct_lx == 0.0);
    }
}

/// With the flat horizon the direct light is gone when the disc is.
#[test]
fn the_sun_sinks_without_a_step() {
    assert!(daylight_clear(-0.95).direct_normal_lx == 0.0);
    assert!(daylight_clear(-0.7).direct_normal_lx > 0.0);
    for step in -120..200 {
        let [low, high] = [step, step + 1].map(|step| daylight_clear(f64::from(step) / 100.0));
        // About the horizon the split dips a little; a hundredth of the sky is nothing there. And in a
        // hundredth of a degree at most a twentieth of it.
        let dip = low.direct_normal_lx - high.direct_normal_lx;
        assert!(dip <= 0.01 * low.sky_horizontal_lx, "{step}: {dip} lx");
        let leap = high.direct_normal_lx - low.direct_normal_lx;
        assert!(leap <= 0.05 * low.sky_horizontal_lx, "{step}: {leap} lx");
    }
}

proptest! {
    #[test]
    fn sun_and_sky_are_the_whole(elevation_deg in -30.0..=90.0_f64) {
        let light = daylight_clear(elevation_deg);
        let whole_lx = illuminance_clear_lx(elevation_deg);
        prop_assert!((light.horizontal_lx() / whole_lx - 1.0).abs() < 1e-12);
        prop_assert!(light.direct_horizontal_lx >= 0.0 && light.sky_horizontal_lx > 0.0);
        prop_assert!(light.direct_horizontal_lx <= light.direct_normal_lx);
    }
}
