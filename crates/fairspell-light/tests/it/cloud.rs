use fairspell_light::{SkyCondition, SkyRange, cloud_transmission, daylight_clear};
use proptest::prelude::*;

use crate::table::rows;

const CLOUD: &str = include_str!("../reference/cloud_attenuation.csv");

/// Four decimals. The published curve has 0.3 where we have the clear sky's own share, so what is
/// compared is the share of the sun's light that goes over to the sky: (D/G - 0.3)/0.7.
#[test]
fn cloud_spreads_the_suns_light_as_published() {
    let columns = ["okta", "G_over_G0_kasten_czeplak", "D_over_G_kasten_czeplak"];
    for [okta, through, sky_share] in rows(CLOUD, columns) {
        let range = SkyRange::for_cloud(Some(okta / 8.0));
        let (clear, likely) = (daylight_clear(35.0), range.likely.unwrap().daylight(35.0));
        let expected_lx = through
            * (clear.sky_horizontal_lx + (sky_share - 0.3) / 0.7 * clear.direct_horizontal_lx);
        let found_lx = likely.sky_horizontal_lx;
        assert!((found_lx / expected_lx - 1.0).abs() <= 4e-4, "{okta}/8: {found_lx} lx");
        assert_eq!(range.likely.unwrap().sun_is_out(), okta < 4.0, "{okta}/8");
    }
}

/// Seventh part more than a clear day at noon, as bright cloud beside an open sun gives.
#[test]
fn bright_cloud_beside_the_sun_adds_to_it_and_not_without_bound() {
    for elevation_deg in [10.0, 30.0, 60.0, 90.0] {
        for tenth in 0..=10_u32 {
            let high = SkyRange::for_cloud(Some(f64::from(tenth) / 10.0)).high;
            let over = high.daylight(elevation_deg).horizontal_lx()
                / daylight_clear(elevation_deg).horizontal_lx();
            assert!(over <= 1.2, "{tenth}/10 at {elevation_deg}°: {over}");
        }
    }
}

/// Circular 171 of the US Naval Observatory (1987): a tenth under dark stratus everywhere.
#[test]
fn the_darkest_cloud_leaves_a_tenth() {
    for elevation_deg in [-4.0, 5.0, 50.0] {
        let share = SkyCondition::darkest().daylight(elevation_deg).horizontal_lx()
            / daylight_clear(elevation_deg).horizontal_lx();
        assert!((share - 0.1).abs() < 1e-12);
    }
}

#[test]
fn nobody_knows_is_anything_and_likely_nothing() {
    for nobody_knows in [None, Some(f64::NAN)] {
        let range = SkyRange::for_cloud(nobody_knows);
        assert_eq!(range.low, SkyCondition::darkest());
        assert_eq!((range.likely, range.high), (None, SkyCondition::CLEAR));
    }
    let open = SkyRange::for_cloud(Some(0.0));
    assert_eq!((open.likely.unwrap(), open.high), (SkyCondition::CLEAR, SkyCondition::CLEAR));
}

proptest! {
    #[test]
    fn the_likeliest_lies_in_the_range(
        cover in -0.1..=1.1_f64,
        elevation_deg in -18.0..=90.0_f64,
    ) {
        let range = SkyRange::for_cloud(Some(cover));
        let lx = |sky: SkyCondition| sky.daylight(elevation_deg).horizontal_lx();
        let (low, likely, high) = (lx(range.low), lx(range.likely.unwrap()), lx(range.high));
        prop_assert!(low <= likely && likely <= high * (1.0 + 1e-12), "{low} {likely} {high}");
    }

    /// Where a session ends. Higher up one cloud before the sun in an open sky is darker than many.
    #[test]
    fn with_a_low_sun_more_cloud_is_never_more_light_at_the_dark_end(
        cover in 0.0..=1.0_f64,
        more in 0.0..=1.0_f64,
        elevation_deg in -18.0..=5.0_f64,
    ) {
        let lx = |cover| SkyRange::for_cloud(Some(cover)).low.daylight(elevation_deg).horizontal_lx();
        prop_assert!(lx(cover + more) <= lx(cover) * (1.0 + 1e-12));
    }

    /// With the sun down nothing brightens a cloud: there the mean is the published curve itself.
    #[test]
    fn without_a_sun_cloud_takes_what_the_curve_says(cover in 0.0..=1.0_f64) {
        let likely = SkyRange::for_cloud(Some(cover)).likely.unwrap().daylight(-3.0);
        let share = likely.horizontal_lx() / daylight_clear(-3.0).horizontal_lx();
        prop_assert!((share - cloud_transmission(cover)).abs() < 1e-12);
    }
}
