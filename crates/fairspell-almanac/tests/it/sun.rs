use fairspell_almanac::sun_position;
use proptest::prelude::*;
use solar_positioning::{Location, RefractionCorrection, SolarPositions, time::JulianDate};

use crate::{place, rows};

const SPA_EXAMPLE: &str = include_str!("../reference/spa_example.csv");
const SOLAR_POSITION: &str = include_str!("../reference/solar_position.csv");

fn spa_example(quantity: &str) -> f64 {
    rows(SPA_EXAMPLE).find(|row| row.text("quantity") == quantity).unwrap().number("computed")
}

/// The worked example's own pressure, height and TT - UT1, which our function fixes, can only be
/// given to the crate beneath. 1e-6° is the precision to which implementations agree.
#[test]
fn the_crate_beneath_reproduces_the_published_worked_example() {
    let time = JulianDate::new(spa_example("JD"), 67.0).unwrap();
    let golden = Location { latitude: 39.742476, longitude: -105.1786 };
    let air = RefractionCorrection::new(820.0, 11.0).unwrap();
    let sun = SolarPositions::new().at_from_julian(time, golden, 1830.14, Some(air)).unwrap();
    assert!((sun.zenith_angle() - spa_example("zenith")).abs() < 1e-6);
    assert!((sun.azimuth() - spa_example("azimuth")).abs() < 1e-6);
}

/// 0.0003° is the algorithm's stated uncertainty; the height of the site and two seconds and a half
/// of TT - UT1 are a tenth of that.
#[test]
fn our_function_agrees_with_the_worked_example_apart_from_its_thin_air() {
    let sun = sun_position("2003-10-17T19:30:30Z".parse().unwrap(), place(39.742476, -105.1786));
    assert!((sun.elevation_deg - spa_example("e0")).abs() < 3e-4, "{sun:?}");
    assert!((sun.azimuth_deg - spa_example("azimuth")).abs() < 3e-4, "{sun:?}");
}

/// Separation on the sky, because near the zenith the azimuth alone means nothing. 0.001° leaves
/// room for another estimate of TT - UT1 than the tables'.
#[test]
fn positions_agree_with_two_other_programs_all_over_the_world() {
    let mut cases = 0;
    for row in rows(SOLAR_POSITION) {
        let sun = sun_position(row.time("utc"), row.place());
        for program in ["spa", "ephem"] {
            let elevation_deg = row.number(&format!("el_true_{program}"));
            let off_deg = (sun.azimuth_deg - row.number(&format!("az_{program}")) + 540.0)
                .rem_euclid(360.0)
                - 180.0;
            let across_deg = off_deg * elevation_deg.to_radians().cos();
            let separation_deg = across_deg.hypot(sun.elevation_deg - elevation_deg);
            let id = row.text("id");
            assert!(separation_deg <= 0.001, "{id}, {program}: {separation_deg}°");
        }
        // Half a unit of the table's last digit, and the same for TT - UT1 as above.
        let lift_deg = sun.apparent_elevation_deg - row.number("el_app_spa");
        assert!(lift_deg.abs() <= 0.001, "{}: apparent {lift_deg}°", row.text("id"));
        cases += 1;
    }
    assert_eq!(cases, 42);
}

proptest! {
    #[test]
    fn every_moment_and_place_has_a_sun(
        second in -377_705_023_201_i64..=253_402_207_200,
        lat_deg in -90.0..=90.0_f64,
        lon_deg in -180.0..=180.0_f64,
    ) {
        let at = jiff::Timestamp::from_second(second).unwrap();
        let sun = sun_position(at, place(lat_deg, lon_deg));
        prop_assert!((-90.0..=90.0).contains(&sun.elevation_deg));
        prop_assert!((0.0..=360.0).contains(&sun.azimuth_deg));
        prop_assert!(sun.apparent_elevation_deg >= sun.elevation_deg);
    }
}
