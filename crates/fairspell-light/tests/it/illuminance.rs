use fairspell_light::{cloud_transmission, illuminance_clear_lx, illuminance_lx};
use proptest::prelude::*;

use crate::table::rows;

const ILLUMINANCE: &str = include_str!("../reference/illuminance.csv");
const ENVELOPE: &str = include_str!("../reference/illuminance_envelope.csv");
const CLOUD: &str = include_str!("../reference/cloud_attenuation.csv");

/// The table has four digits: at most half a unit of the fourth, 0.05 %.
#[test]
fn clear_light_is_that_of_the_published_polynomials() {
    let rows = rows(ILLUMINANCE, ["sun_alt_deg", "explsuppl_poly_lux"]);
    assert_eq!(rows.len(), 39);
    for [elevation_deg, expected_lx] in rows {
        let lx = illuminance_clear_lx(elevation_deg);
        assert!((lx / expected_lx - 1.0).abs() <= 5e-4, "{elevation_deg}°: {lx} lx");
    }
}

/// Joins as another program has them: elevation, the piece above, the piece below, lux in four or
/// three digits.
const JOINS: [(f64, f64, f64); 5] = [
    (20.0, 27_376.0, 27_318.0),
    (5.0, 4_538.0, 4_499.0),
    (-0.8, 462.4, 463.8),
    (-5.0, 10.44, 10.41),
    (-12.0, 0.00806, 0.00814),
];

#[test]
fn the_pieces_meet_where_they_should_and_as_well_as_they_can() {
    for (elevation_deg, above_lx, below_lx) in JOINS {
        let at_lx = illuminance_clear_lx(elevation_deg);
        let under_lx = illuminance_clear_lx(elevation_deg - 1e-9);
        // Half a unit of the third digit.
        assert!((at_lx / above_lx - 1.0).abs() <= 1e-3, "{elevation_deg}°: {at_lx} lx");
        // What the pieces differ by is spread over the blend and is gone at its lower end.
        assert!((under_lx / at_lx - 1.0).abs() <= 1e-8, "below {elevation_deg}°: {under_lx} lx");
        let blend = |from_deg: f64| illuminance_clear_lx(from_deg).log10();
        let slope = (blend(elevation_deg - 0.15) - blend(elevation_deg - 0.2)) / 0.05;
        let reached_lx = 10_f64.powf(blend(elevation_deg - 0.15) + 0.15 * slope);
        // The slope changes a little over so short a way.
        assert!((reached_lx / below_lx - 1.0).abs() <= 5e-3, "{elevation_deg}°: {reached_lx} lx");
    }
}

/// 0.021 in the logarithm, 5 %: the greatest difference published between the two.
#[test]
fn clear_light_agrees_with_the_navys_charts() {
    let rows = rows(ILLUMINANCE, ["sun_alt_deg", "navy_charts_1952_lux"]);
    assert_eq!(rows.len(), 23);
    for [elevation_deg, expected_lx] in rows {
        let off = (illuminance_clear_lx(elevation_deg) / expected_lx).log10();
        assert!(off.abs() <= 0.021, "{elevation_deg}°: {off}");
    }
}

/// A tenth beyond the lowest and highest of two to five clear-sky models: the models' own spread.
#[test]
fn clear_light_lies_among_the_clear_sky_models() {
    let rows = rows(ENVELOPE, ["sun_alt_deg", "clear_min_lux", "clear_max_lux"]);
    assert_eq!(rows.len(), 39);
    for [elevation_deg, low_lx, high_lx] in rows {
        let lx = illuminance_clear_lx(elevation_deg);
        assert!((0.9 * low_lx..=1.1 * high_lx).contains(&lx), "{elevation_deg}°: {lx} lx");
    }
}

/// American Meteorological Society, Glossary of Meteorology, civil twilight: 585 to 410 lux at its
/// beginning, 3.5 to 2 lux at its end; 0.008 and 0.0006 lux at the ends of the others (one digit).
#[test]
fn twilights_begin_and_end_in_the_glossarys_light() {
    assert!((410.0..=585.0).contains(&illuminance_clear_lx(-50.0 / 60.0)));
    assert!((2.0..=3.5).contains(&illuminance_clear_lx(-6.0)));
    assert!((0.0075..=0.0085).contains(&illuminance_clear_lx(-12.0)));
    assert!((0.00055..=0.00065).contains(&illuminance_clear_lx(-18.0)));
}

#[test]
fn the_night_stays_at_its_floor_and_no_number_is_none() {
    for elevation_deg in [-18.0, -18.1, -45.0, -90.0, f64::NEG_INFINITY] {
        let lx = illuminance_clear_lx(elevation_deg);
        assert!((lx - illuminance_clear_lx(-18.0)).abs() < f64::EPSILON, "{elevation_deg}°: {lx}");
    }
    assert!(illuminance_clear_lx(f64::NAN).is_nan());
}

/// In steps of a hundredth of a degree, across the joins too. A fiftieth of a stop is a little more
/// than the polynomials' steepest, in twilight.
#[test]
fn light_grows_with_the_sun_and_never_in_leaps() {
    for step in -1800..9000 {
        let (low_deg, high_deg) = (f64::from(step) / 100.0, f64::from(step + 1) / 100.0);
        let stops = (illuminance_clear_lx(high_deg) / illuminance_clear_lx(low_deg)).log2();
        assert!(stops > 0.0 && stops < 0.02, "{low_deg}°: {stops}");
    }
}

/// The table has four decimals.
#[test]
fn cloud_lets_through_what_the_published_curve_says() {
    let rows = rows(CLOUD, ["okta", "G_over_G0_kasten_czeplak"]);
    assert_eq!(rows.len(), 9);
    for [okta, expected] in rows {
        let share = cloud_transmission(okta / 8.0);
        assert!((share - expected).abs() <= 0.5e-4, "{okta}/8: {share}");
    }
}

/// Lux under a closed sky by three publications: the illuminating engineers' cloudy sky (1984), and
/// a naval circular (1987) with average cloud and with dark stratus; in three digits, hence 0.5 %.
const OVERCAST_LX: [(f64, [f64; 3]); 5] = [
    (10.0, [3_950.0, 3_740.0, 1_120.0]),
    (20.0, [7_480.0, 10_200.0, 3_060.0]),
    (30.0, [10_800.0, 17_100.0, 5_130.0]),
    (45.0, [15_100.0, 26_700.0, 8_000.0]),
    (60.0, [18_500.0, 34_300.0, 10_300.0]),
];

#[test]
fn the_range_for_a_closed_sky_holds_what_others_say_of_it() {
    for (elevation_deg, published) in OVERCAST_LX {
        let range = illuminance_lx(elevation_deg, Some(1.0));
        for lx in published {
            let inside = (range.low_lx * 0.995..=range.high_lx * 1.005).contains(&lx);
            assert!(inside, "{elevation_deg}°: {lx} lx, not in {range:?}");
        }
    }
}

#[test]
fn unknown_cloud_is_neither_clear_nor_overcast() {
    for nobody_knows in [None, Some(f64::NAN)] {
        let range = illuminance_lx(10.0, nobody_knows);
        assert_eq!(range, illuminance_lx(10.0, None));
        assert!((range.low_lx - illuminance_lx(10.0, Some(1.0)).low_lx).abs() < 1e-9);
        assert!((range.high_lx - illuminance_clear_lx(10.0)).abs() < 1e-9);
    }
}

proptest! {
    #[test]
    fn more_cloud_is_never_more_light(
        elevation_deg in -30.0..=90.0_f64,
        fraction in -0.2..=1.2_f64,
        more in 0.0..=1.0_f64,
    ) {
        let some = illuminance_lx(elevation_deg, Some(fraction));
        let dense = illuminance_lx(elevation_deg, Some(fraction + more));
        prop_assert!(dense.low_lx <= some.low_lx && dense.high_lx <= some.high_lx);
        let mean_lx = cloud_transmission(fraction) * illuminance_clear_lx(elevation_deg);
        prop_assert!(0.0 < some.low_lx && some.low_lx <= mean_lx && mean_lx <= some.high_lx);
        prop_assert!(some.high_lx <= illuminance_clear_lx(elevation_deg));
    }
}
