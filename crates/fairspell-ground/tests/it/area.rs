use fairspell_ground::Area;
use proptest::prelude::*;

use crate::place;

fn polygon(corners: &[(f64, f64)]) -> Area {
    Area::Polygon(corners.iter().map(|&(lat, lon)| place(lat, lon)).collect())
}

/// A severe thunderstorm warning's polygon, as an alert message writes it, first corner repeated.
const THUNDERSTORM: [(f64, f64); 6] = [
    (30.00, -81.42),
    (29.97, -81.24),
    (29.87, -81.22),
    (29.83, -81.30),
    (29.90, -81.47),
    (30.00, -81.42),
];

/// Points decided by another program, a crossing count in exact fractions.
const INSIDE_THUNDERSTORM: [(f64, f64, bool); 6] = [
    (29.9321, -81.3210, true),
    (29.8980, -81.45, true),
    (29.8900, -81.45, false),
    (29.95, -81.46, false),
    (29.845, -81.40, false),
    (30.00, -81.30, false),
];

#[test]
fn a_storm_warning_covers_what_lies_inside_its_line() {
    for corners in [&THUNDERSTORM[..], &THUNDERSTORM[..5]] {
        let area = polygon(corners);
        for (lat_deg, lon_deg, inside) in INSIDE_THUNDERSTORM {
            assert_eq!(area.contains(place(lat_deg, lon_deg)), inside, "{lat_deg}, {lon_deg}");
        }
    }
}

#[test]
fn the_boundary_of_a_warning_counts_as_inside() {
    let area = polygon(&THUNDERSTORM);
    assert!(area.contains(place(30.00, -81.42)), "a corner");
    let halfway = place(f64::midpoint(30.00, 29.97), f64::midpoint(-81.42, -81.24));
    assert!(area.contains(halfway), "the middle of an edge");
}

/// Distances from another program's haversine: 22.155, 24.633, 24.968 and 25.344 km.
#[test]
fn a_heat_advisory_covers_its_circle() {
    let area = Area::Circle { centre: place(29.93, -81.32), radius_km: 25.0 };
    assert!(area.contains(place(30.10, -81.20)));
    assert!(area.contains(place(30.15, -81.35)));
    assert!(area.contains(place(29.93, -81.0609)));
    assert!(!area.contains(place(29.93, -81.0570)));
}

#[test]
fn a_polygon_may_cross_the_180th_meridian() {
    let area = polygon(&[(-16.0, 179.0), (-16.0, -179.0), (-18.0, -179.0), (-18.0, 179.0)]);
    assert!(area.contains(place(-17.0, 179.99)));
    assert!(area.contains(place(-17.0, -179.99)));
    assert!(!area.contains(place(-17.0, 178.0)));
    assert!(!area.contains(place(-17.0, 0.0)), "the far side of the globe");
}

#[test]
fn a_polygon_wider_than_half_the_globe_contains_its_middle() {
    let lons = [-100.0, 0.0, 100.0];
    let north = lons.map(|lon| (10.0, lon));
    let mut corners = north.to_vec();
    corners.extend(lons.iter().rev().map(|lon| (-10.0, *lon)));
    // Whichever corner it begins with, and on whichever side of that the point lies.
    for _ in 0..corners.len() {
        corners.rotate_left(1);
        let area = polygon(&corners);
        for (lon_deg, inside) in [(-95.0, true), (5.0, true), (95.0, true), (150.0, false)] {
            assert_eq!(area.contains(place(0.0, lon_deg)), inside, "{lon_deg}: {corners:?}");
        }
    }
}

#[test]
fn fewer_than_three_corners_contain_nothing() {
    for corners in [&[][..], &[(30.0, -81.0)], &[(30.0, -81.0), (31.0, -81.0)]] {
        assert!(!polygon(corners).contains(place(30.0, -81.0)));
    }
}

#[test]
fn an_area_reads_plainly_in_json() {
    let area = Area::Circle { centre: place(29.93, -81.32), radius_km: 25.0 };
    let text = r#"{"circle":{"centre":{"lat_deg":29.93,"lon_deg":-81.32},"radius_km":25.0}}"#;
    assert_eq!(serde_json::to_string(&area).unwrap(), text);
    assert_eq!(serde_json::from_str::<Area>(text).unwrap(), area);
}

proptest! {
    /// Wherever a warning lies and whichever way round its line is drawn.
    #[test]
    fn a_box_contains_what_lies_between_its_sides(
        south in -80.0..=70.0_f64,
        west in -180.0..=180.0_f64,
        up in 0.05..=0.95_f64,
        across in -0.95..=1.95_f64,
        reversed: bool,
    ) {
        prop_assume!(!(-0.05..=0.05).contains(&across) && !(0.95..=1.05).contains(&across));
        let turned = |lon: f64| (lon + 540.0).rem_euclid(360.0) - 180.0;
        let east = turned(west + 2.0);
        let mut corners =
            vec![(south, west), (south + 2.0, west), (south + 2.0, east), (south, east)];
        if reversed {
            corners.reverse();
        }
        let point = place(south + 2.0 * up, turned(west + 2.0 * across));
        prop_assert_eq!(polygon(&corners).contains(point), (0.0..=1.0).contains(&across));
    }
}
