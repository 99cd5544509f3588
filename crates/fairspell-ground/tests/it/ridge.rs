use fairspell_ground::{Ridge, RidgePoint, Skyline, SkylineStretch};
use proptest::prelude::*;

use crate::skyline::{check, sector};

pub(crate) fn ridge(points: &[(f64, f64)]) -> SkylineStretch {
    let point = |&(azimuth_deg, height_deg)| RidgePoint { azimuth_deg, height_deg };
    Ridge { points: points.iter().map(point).collect() }.into()
}

#[test]
fn a_ridge_is_straight_between_its_points_and_nothing_outside() {
    let skyline = Skyline::of_stretches(vec![ridge(&[(340.0, 2.0), (20.0, 6.0), (30.0, 0.0)])]);
    for (azimuth_deg, height_deg) in [
        (339.9, 0.0),
        (340.0, 2.0),
        (350.0, 3.0),
        (0.0, 4.0),
        (360.0, 4.0),
        (-10.0, 3.0),
        (20.0, 6.0),
        (25.0, 3.0),
        (30.0, 0.0),
        (200.0, 0.0),
    ] {
        check(&skyline, azimuth_deg, height_deg);
    }
}

#[test]
fn where_a_ridge_and_a_roof_overlap_the_higher_counts() {
    let both = vec![ridge(&[(100.0, 0.0), (200.0, 10.0)]), sector(120.0, 180.0, 5.0).into()];
    let skyline = Skyline::of_stretches(both);
    for (azimuth_deg, height_deg) in [(110.0, 1.0), (130.0, 5.0), (170.0, 7.0), (190.0, 9.0)] {
        check(&skyline, azimuth_deg, height_deg);
    }
}

#[test]
fn from_0_to_360_is_all_round() {
    let skyline = Skyline::of_stretches(vec![ridge(&[(0.0, 1.0), (180.0, 9.0), (360.0, 1.0)])]);
    for (azimuth_deg, height_deg) in [(0.0, 1.0), (90.0, 5.0), (270.0, 5.0), (360.0, 1.0)] {
        check(&skyline, azimuth_deg, height_deg);
    }
}

#[test]
fn nonsense_counts_as_flat() {
    for points in [vec![], vec![(90.0, 5.0)], vec![(f64::NAN, 5.0), (90.0, 5.0)]] {
        check(&Skyline::of_stretches(vec![ridge(&points)]), 45.0, 0.0);
    }
    let low = Skyline::of_stretches(vec![ridge(&[(0.0, -4.0), (90.0, f64::NAN)])]);
    check(&low, 45.0, 0.0);
}

#[test]
fn both_kinds_of_stretch_are_told_apart_in_json() {
    let text = r#"[{"from_azimuth_deg":240.0,"to_azimuth_deg":295.0,"height_deg":8.0},{"points":[{"azimuth_deg":20.0,"height_deg":1.5},{"azimuth_deg":40.0,"height_deg":3.0}]}]"#;
    let skyline: Skyline = serde_json::from_str(text).unwrap();
    let expected = [sector(240.0, 295.0, 8.0).into(), ridge(&[(20.0, 1.5), (40.0, 3.0)])];
    assert_eq!(skyline.stretches(), expected);
    assert_eq!(serde_json::to_string(&skyline).unwrap(), text);
    for wrong in [r#"[{"points":[],"height_deg":1}]"#, r#"[{"points":[{"height_deg":1}]}]"#] {
        let refused = serde_json::from_str::<Skyline>(wrong).unwrap_err().to_string();
        assert!(refused.contains("or a ridge with `points`"), "{wrong}: {refused}");
    }
}

proptest! {
    /// Between two points the height lies between theirs, wherever north is.
    #[test]
    fn turning_a_ridge_round_changes_nothing(
        from in 0.0..360.0_f64,
        widths in prop::collection::vec(1.0..40.0_f64, 2..8),
        heights in prop::collection::vec(0.0..30.0_f64, 8),
        part in 0.01..0.99_f64,
        turn in 0.0..360.0_f64,
    ) {
        let skyline = |from: f64| {
            let mut at = from;
            let mut points = vec![(at.rem_euclid(360.0), heights[0])];
            for (width, height) in widths.iter().zip(&heights[1..]) {
                at += width;
                points.push((at.rem_euclid(360.0), *height));
            }
            Skyline::of_stretches(vec![ridge(&points)])
        };
        let ahead: f64 = widths[0] + part * widths[1];
        let found_deg = skyline(from).height_deg((from + ahead).rem_euclid(360.0));
        let turned_deg = skyline(from + turn).height_deg((from + turn + ahead).rem_euclid(360.0));
        prop_assert!((found_deg - turned_deg).abs() < 1e-9);
        let expected_deg = heights[1] + part * (heights[2] - heights[1]);
        prop_assert!((found_deg - expected_deg).abs() < 1e-9);
        prop_assert!(skyline(from).check().is_ok());
    }
}
