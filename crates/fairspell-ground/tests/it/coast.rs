use fairspell_ground::{LatLon, coast::coastline_near};
use proptest::prelude::*;

use crate::place;

fn nearest_km(centre: LatLon, radius_km: f64) -> Option<f64> {
    let points = coastline_near(centre, radius_km).into_iter().flatten();
    points.map(|point| centre.distance_km(point)).min_by(f64::total_cmp)
}

/// Distances from the sea in any atlas: ports lie on it, the others far from it.
#[test]
fn ports_have_a_coast_and_the_middle_of_continents_has_none() {
    for (name, lat_deg, lon_deg) in [
        ("Sydney", -33.86, 151.21),
        ("Lisbon", 38.71, -9.14),
        ("Halifax", 44.65, -63.57),
        ("Helsinki", 60.17, 24.94),
        ("Suva", -18.14, 178.44),
        ("Honolulu", 21.31, -157.86),
        ("Ushuaia", -54.80, -68.30),
        ("McMurdo", -77.84, 166.69),
        ("a harbour in New South Wales", -31.72, 152.79),
    ] {
        let nearest = nearest_km(place(lat_deg, lon_deg), 50.0);
        assert!(nearest.is_some_and(|km| km < 15.0), "{name}: {nearest:?} km");
    }
    for (name, lat_deg, lon_deg, radius_km) in [
        ("Urumqi", 43.83, 87.62, 1000.0),
        ("Alice Springs", -23.70, 133.88, 500.0),
        ("Brasilia", -15.79, -47.88, 500.0),
        ("Prague", 50.09, 14.42, 250.0),
        ("the middle of the South Pacific", -48.88, -123.39, 1000.0),
        ("the middle of the North Atlantic", 45.0, -40.0, 500.0),
    ] {
        assert_eq!(nearest_km(place(lat_deg, lon_deg), radius_km), None, "{name}");
    }
}

/// The harbour of the examples lies on a coast that runs from south-west to north-east with the sea
/// to the east: fifty kilometres west there is only land.
#[test]
fn the_line_lies_on_the_right_side_of_the_harbour() {
    let harbour = place(-31.72, 152.79);
    let lines = coastline_near(harbour, 60.0);
    let line = lines.iter().max_by_key(|line| line.len()).unwrap();
    let ends = [line.first().unwrap(), line.last().unwrap()].map(|end| harbour.offset_km(*end));
    // The mainland's line enters and leaves the circle.
    for (east_km, north_km) in ends {
        assert!((east_km.hypot(north_km) - 60.0).abs() < 1e-6, "{east_km}, {north_km}");
    }
    assert!(ends.iter().any(|end| end.1 > 40.0) && ends.iter().any(|end| end.1 < -40.0));
    assert!(coastline_near(harbour.at_offset_km(-80.0, 0.0).unwrap(), 50.0).is_empty());
}

/// Fiji's islands lie on both sides of the meridian, and the line is cut there.
#[test]
fn the_180th_meridian_is_nowhere_special() {
    let lines = coastline_near(place(-16.8, 180.0), 60.0);
    assert!(lines.iter().flatten().any(|point| point.lon_deg() > 0.0));
    assert!(lines.iter().flatten().any(|point| point.lon_deg() < 0.0));
    // Chukotka's coast crosses it; no line runs along it through the middle of the land.
    let along = |point: &LatLon| point.lon_deg().abs() > 179.999;
    for line in coastline_near(place(68.0, 180.0), 150.0) {
        assert!(!line.windows(2).any(|step| along(&step[0]) && along(&step[1])), "{line:?}");
    }
}

#[test]
fn the_far_side_of_the_globe_draws_nothing_through_the_map() {
    // Europe and Africa are cut by the map of a place whose antipode lies in the Sahara.
    for line in coastline_near(place(-20.0, -170.0), 300.0) {
        for step in line.windows(2) {
            assert!(step[0].distance_km(step[1]) < 100.0, "{step:?}");
        }
    }
}

/// Among skerries lines leave a small circle and come back all the time; each piece of them must be
/// a piece of what a larger circle shows, and nothing be drawn along the edge.
#[test]
fn a_small_circle_shows_what_a_large_one_shows_there() {
    for centre in [place(60.17, 24.94), place(60.39, 5.32), place(44.65, -63.57)] {
        let steps_km = |radius_km| {
            let lines = coastline_near(centre, radius_km);
            let offsets =
                lines.into_iter().map(|line| line.into_iter().map(|at| centre.offset_km(at)));
            let lines = offsets.map(Iterator::collect::<Vec<_>>);
            lines
                .flat_map(|line| line.windows(2).map(|ends| (ends[0], ends[1])).collect::<Vec<_>>())
        };
        let large: Vec<_> = steps_km(80.0).collect();
        for radius_km in [5.0, 12.0, 25.0, 40.0] {
            for (from, to) in steps_km(radius_km) {
                let middle = (f64::midpoint(from.0, to.0), f64::midpoint(from.1, to.1));
                let off_km = large.iter().map(|&(a, b)| distance_to_segment(middle, a, b));
                // A metre, far more than rounding.
                assert!(off_km.fold(f64::INFINITY, f64::min) < 1e-3, "{centre}: {from:?} {to:?}");
            }
        }
    }
}

fn distance_to_segment(point: (f64, f64), a: (f64, f64), b: (f64, f64)) -> f64 {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let along = (point.0 - a.0) * dx + (point.1 - a.1) * dy;
    let t = (along / (dx * dx + dy * dy).max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
    (a.0 + t * dx - point.0).hypot(a.1 + t * dy - point.1)
}

#[test]
fn a_circle_without_size_and_a_pole_have_no_coast() {
    for radius_km in [0.0, -5.0, f64::NAN] {
        assert!(coastline_near(place(-31.72, 152.79), radius_km).is_empty());
    }
    assert!(coastline_near(place(90.0, 0.0), 100.0).is_empty());
    assert!(coastline_near(place(-90.0, 0.0), 100.0).is_empty());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(16))]

    #[test]
    fn every_line_is_one_and_stays_in_its_circle(
        lat_deg in -80.0..=80.0_f64,
        lon_deg in -180.0..=180.0_f64,
        radius_km in 1.0..=400.0_f64,
    ) {
        let centre = place(lat_deg, lon_deg);
        for line in coastline_near(centre, radius_km) {
            prop_assert!(line.len() > 1);
            for point in line {
                let (east_km, north_km) = centre.offset_km(point);
                prop_assert!(east_km.hypot(north_km) <= radius_km + 1e-6);
            }
        }
    }

    /// Every line of the smaller circle is part of one of the larger.
    #[test]
    fn a_larger_circle_has_no_less_coast(
        lon_deg in -180.0..=180.0_f64,
        radius_km in 10.0..=200.0_f64,
    ) {
        let centre = place(60.0, lon_deg);
        let length_km = |radius_km| -> f64 {
            let lines = coastline_near(centre, radius_km);
            let steps = lines.iter().flat_map(|line| line.windows(2));
            steps.map(|step| step[0].distance_km(step[1])).sum()
        };
        prop_assert!(length_km(radius_km) <= length_km(radius_km * 1.5) + 1e-6);
    }
}
