use fairspell_almanac::refraction::{Air, STANDARD_AIR, refraction_deg};

use crate::rows;

const REFRACTION: &str = include_str!("../reference/refraction.csv");

/// Half of the table's last digit.
#[test]
fn refraction_agrees_with_the_table_in_two_airs() {
    let column_1010 = Air { pressure_hpa: 1010.0, air_temperature_c: 10.0 };
    let mut cases = 0;
    for row in rows(REFRACTION) {
        // The table's first row is the elevation at which the formula ends, rounded.
        let elevation_deg = row.number("altitude_deg").max(-0.83333);
        for (air, column) in [
            (column_1010, "spa_1010hPa_10C_arcmin(true alt)"),
            (STANDARD_AIR, "spa_1013.25hPa_15C_arcmin(true alt)"),
        ] {
            let off = refraction_deg(elevation_deg, air) * 60.0 - row.number(column);
            assert!(off.abs() <= 1e-3, "{elevation_deg}°: {off}'");
            cases += 1;
        }
    }
    assert_eq!(cases, 32);
}

#[test]
fn a_sun_that_has_set_is_not_lifted() {
    assert!(refraction_deg(-0.83338, STANDARD_AIR) == 0.0);
    assert!(refraction_deg(-90.0, STANDARD_AIR) == 0.0);
    assert!(refraction_deg(f64::NAN, STANDARD_AIR).is_nan());
}
