use fairspell_ground::{RidgePoint, Skyline, SkylineStretch, skyline_points::SeenEdge};
use proptest::prelude::*;

use crate::{
    ridge::ridge,
    skyline::{check, sector},
};

fn seen(points: &[(f64, f64)]) -> Vec<RidgePoint> {
    let point = |&(azimuth_deg, height_deg)| RidgePoint { azimuth_deg, height_deg };
    points.iter().map(point).collect()
}

fn with(skyline: &Skyline, points: &[(f64, f64)]) -> Skyline {
    skyline.with_points(&seen(points))
}

#[test]
fn a_point_alone_holds_for_five_degrees_to_either_side() {
    let lone = with(&Skyline::default(), &[(2.0, 7.0)]);
    assert_eq!(lone.stretches(), [sector(357.0, 7.0, 7.0).into()]);
}

#[test]
fn a_point_beside_another_replaces_it() {
    let corrected = with(&Skyline::default(), &[(270.0, 7.0), (272.0, 9.0)]);
    assert_eq!(corrected.stretches(), [sector(267.0, 277.0, 9.0).into()]);
    let noted = Skyline::of_stretches(vec![ridge(&[(240.0, 3.0), (260.0, 8.0), (290.0, 5.0)])]);
    let corrected = with(&noted, &[(261.0, 6.0)]);
    let expected = ridge(&[(240.0, 3.0), (261.0, 6.0), (290.0, 5.0)]);
    assert_eq!(corrected.stretches(), [expected]);
}

#[test]
fn a_level_ridge_of_two_points_keeps_the_one_that_is_not_replaced() {
    let drawn = Skyline::of_stretches(vec![ridge(&[(240.0, 3.0), (260.0, 3.0)])]);
    let seen = with(&drawn, &[(262.0, 5.0)]);
    assert_eq!(seen.stretches(), [ridge(&[(240.0, 3.0), (262.0, 5.0), (267.0, 5.0)])]);
}

#[test]
fn neighbours_are_joined_on_both_sides_and_what_is_far_stays_alone() {
    let joined =
        with(&Skyline::default(), &[(300.0, 4.0), (250.0, 9.0), (275.0, 6.0), (100.0, 2.0)]);
    let expected = ridge(&[(245.0, 9.0), (250.0, 9.0), (275.0, 6.0), (300.0, 4.0), (305.0, 4.0)]);
    assert_eq!(joined.stretches(), [expected, sector(95.0, 105.0, 2.0).into()]);
    // In what was only taken to be as high as its neighbour, the point decides.
    let on = with(&joined, &[(304.0, 1.0)]);
    check(&on, 304.0, 1.0);
    check(&on, 309.0, 1.0);
    // Nor does an end that was never seen outlive the point it came from.
    let lower = with(&joined, &[(299.0, 2.0)]);
    check(&lower, 304.0, 2.0);
    check(&lower, 304.5, 0.0);
}

#[test]
fn a_point_holds_as_far_as_is_known() {
    let point = RidgePoint { azimuth_deg: 275.0, height_deg: 8.0 };
    let edge = SeenEdge { point, before_deg: 12.0, after_deg: 5.0 };
    let west = Skyline::default().with_edges(&[edge]);
    assert_eq!(west.stretches(), [ridge(&[(263.0, 8.0), (275.0, 8.0), (280.0, 8.0)])]);
    let next = SeenEdge { point: RidgePoint { azimuth_deg: 265.0, height_deg: 6.0 }, ..edge };
    let both = west.with_edges(&[next]);
    let expected = ridge(&[(253.0, 6.0), (265.0, 6.0), (275.0, 8.0), (280.0, 8.0)]);
    assert_eq!(both.stretches(), [expected]);
    // Nobody knows farther than 30 degrees.
    let far = SeenEdge { before_deg: 200.0, ..edge };
    check(&Skyline::default().with_edges(&[far]), 244.9, 0.0);
}

#[test]
fn points_are_joined_up_to_thirty_degrees_apart() {
    for (apart_deg, stretches) in [(29.0, 1), (31.0, 2)] {
        for way in [-1.0, 1.0] {
            let lone = [(280.0, 8.0), (280.0 + way * apart_deg, 4.0)];
            assert_eq!(with(&Skyline::default(), &lone).stretches().len(), stretches);
            // And from the end of a ridge, whatever was only taken to stand beyond it.
            let joined = [(280.0 - way * 20.0, 3.0), lone[0], lone[1]];
            assert_eq!(with(&Skyline::default(), &joined).stretches().len(), stretches);
        }
    }
}

/// A ridge round half the sky, level at its beginning: what is seen beyond its other end leaves that
/// alone.
#[test]
fn the_far_end_of_a_ridge_stays_as_it_is() {
    let drawn = [(95.0, 4.0), (100.0, 4.0), (200.0, 9.0), (300.0, 2.0)];
    let seen = with(&Skyline::of_stretches(vec![ridge(&drawn)]), &[(320.0, 5.0)]);
    let expected = [&drawn[..], &[(320.0, 5.0), (325.0, 5.0)]].concat();
    assert_eq!(seen.stretches(), [ridge(&expected)]);
}

#[test]
fn a_ring_stays_a_ring_and_a_wide_ridge_as_wide() {
    let table = "azimuth_deg,height_deg\n10,2\n100,4\n190,6\n280,8\n";
    let ring = with(&Skyline::from_csv(table).unwrap(), &[(55.0, 9.0)]);
    ring.check().unwrap();
    for (azimuth_deg, height_deg) in [(55.0, 9.0), (325.0, 5.0), (145.0, 5.0), (10.0, 2.0)] {
        check(&ring, azimuth_deg, height_deg);
    }
    let wide = Skyline::of_stretches(vec![ridge(&[(300.0, 5.0), (150.0, 5.0)])]);
    let seen = with(&wide, &[(45.0, 8.0)]);
    assert_eq!(seen.stretches(), [ridge(&[(300.0, 5.0), (45.0, 8.0), (150.0, 5.0)])]);
    let seen = with(&wide, &[(152.0, 8.0)]);
    assert_eq!(seen.stretches(), [ridge(&[(300.0, 5.0), (152.0, 8.0), (157.0, 8.0)])]);
}

/// A hill drawn as one stretch by hand, and a sun that was seen to leave two degrees lower.
#[test]
fn what_was_seen_counts_against_what_was_drawn() {
    let hill = Skyline::new(vec![sector(240.0, 300.0, 8.0)]);
    let seen = with(&hill, &[(270.0, 6.0)]);
    for (azimuth_deg, height_deg) in [(250.0, 8.0), (270.0, 6.0), (274.0, 6.0), (290.0, 8.0)] {
        check(&seen, azimuth_deg, height_deg);
    }
    let ring = Skyline::new(vec![sector(0.0, 360.0, 8.0)]);
    let seen = with(&ring, &[(359.0, 6.0)]);
    for (azimuth_deg, height_deg) in [(353.0, 8.0), (0.0, 6.0), (5.0, 8.0), (180.0, 8.0)] {
        check(&seen, azimuth_deg, height_deg);
    }
}

proptest! {
    /// Whatever was there: afterwards the skyline is as high as seen, and a sound one.
    #[test]
    fn the_last_point_seen_is_on_the_skyline(
        drawn in prop::collection::vec((0.0..360.0_f64, 0.0..360.0_f64, 0.0..20.0_f64), 0..3),
        noted in prop::collection::vec((1.0..160.0_f64, 0.0..30.0_f64), 2..6),
        points in prop::collection::vec((0.0..360.0_f64, 0.0..30.0_f64), 1..12),
    ) {
        let mut drawn: Vec<SkylineStretch> =
            drawn.into_iter().map(|(from, to, height)| sector(from, to, height).into()).collect();
        let mut azimuth_deg = 200.0;
        let mut on = Vec::new();
        for (width_deg, height_deg) in noted {
            on.push((azimuth_deg % 360.0, height_deg));
            azimuth_deg += width_deg;
            if azimuth_deg > 555.0 {
                break;
            }
        }
        if on.len() > 1 {
            drawn.push(ridge(&on));
        }
        let skyline = with(&Skyline::try_new(drawn).unwrap(), &points);
        let (azimuth_deg, height_deg) = points[points.len() - 1];
        let found_deg = skyline.height_deg(azimuth_deg);
        prop_assert!((found_deg - height_deg).abs() < 1e-6, "{found_deg} in {skyline:?}");
        prop_assert!(skyline.check().is_ok(), "{:?} in {skyline:?}", skyline.check());
    }
}
