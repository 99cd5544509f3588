use fairspell_ground::LatLon;
use fairspell_nowcast::beam::{LOWEST_ELEVATION_DEG, RadarSite, beam_above_antenna, lowest_beam};
use proptest::prelude::*;

/// Distance along the ground (km) and height of the beam's middle (m) at 2 degrees, every 10 km
/// along the beam: wradlib's reference values for `bin_distance` and `bin_altitude`
/// (`wradlib/tests/test_georef.py`), earth radius 6370.04 km.
const AT_2_DEG: [(f64, f64); 10] = [
    (9.99349302358, 354.87448647),
    (19.98613717891, 721.50702113),
    (29.97790491409, 1099.8960815),
    (39.96876869178, 1490.04009656),
    (49.95870098959, 1891.93744678),
    (59.9476743006, 2305.58646416),
    (69.93566113377, 2730.98543223),
    (79.92263401441, 3168.13258613),
    (89.9085654846, 3617.02611263),
    (99.8934281037, 4077.66415017),
];

/// The same file, `spherical_to_xyz`: elevation (degrees), distance, height at 111 km along the
/// beam, on the earth's radius at 48 N (6366.8 km).
const AT_48_N: [(f64, f64, f64); 2] =
    [(0.0, 110.9936738, 725.7159843), (0.5, 110.9767856, 1694.22337134)];

/// Elevation (degrees) and height (m) at 10 km along the beam: examples in bioRad's documentation of
/// `beam_height`.
const AT_10_KM: [(f64, f64); 3] = [(1.0, 180.4081), (3.0, 529.229), (5.0, 877.398)];

fn site(lat_deg: f64, lon_deg: f64, antenna_height_m: f64) -> RadarSite {
    RadarSite {
        place: LatLon::new(lat_deg, lon_deg).unwrap(),
        antenna_height_m,
        lowest_elevation_deg: LOWEST_ELEVATION_DEG,
        range_km: 250.0,
    }
}

#[test]
fn the_beam_is_as_high_as_in_the_reference() {
    // Their earth radius is up to 4.3 km smaller than ours: 0.07 % of what the earth's curvature
    // adds (at most 730 m here), half a metre.
    for (distance_km, height_m) in AT_2_DEG {
        let beam = beam_above_antenna(distance_km, 2.0).unwrap();
        assert!((beam.centre_height_m - height_m).abs() < 0.15, "{distance_km} km: {beam:?}");
    }
    for (elevation_deg, distance_km, height_m) in AT_48_N {
        let beam = beam_above_antenna(distance_km, elevation_deg).unwrap();
        assert!((beam.centre_height_m - height_m).abs() < 0.6, "{elevation_deg}: {beam:?}");
    }
    let radius_km = 4.0 / 3.0 * 6371.0;
    for (elevation_deg, height_m) in AT_10_KM {
        // Doviak and Zrnić's 2.28c leads from the way along the beam to that along the ground.
        let reach_km = 10.0 * f64::to_radians(elevation_deg).cos();
        let distance_km = radius_km * (reach_km / (radius_km + height_m / 1000.0)).asin();
        let beam = beam_above_antenna(distance_km, elevation_deg).unwrap();
        assert!((beam.centre_height_m - height_m).abs() < 0.02, "{elevation_deg}: {beam:?}");
    }
}

#[test]
fn the_lowest_beam_counts_even_when_another_radar_is_nearer() {
    let place = LatLon::new(47.0, 10.0).unwrap();
    let on_a_summit = site(47.3, 10.0, 2950.0);
    let in_the_valley = site(47.9, 10.0, 520.0);
    let beam = lowest_beam(&[on_a_summit, in_the_valley], place).unwrap();
    assert_eq!(Some(beam), in_the_valley.beam_at(place));
    assert!((beam.distance_km - 100.1).abs() < 0.1, "{beam:?}");
    assert!(beam.centre_height_m > 520.0 + 1400.0, "{beam:?}");
    assert!(beam.lower_edge_height_m < beam.centre_height_m - 800.0, "{beam:?}");
}

#[test]
fn beyond_every_range_there_is_no_beam() {
    let far = LatLon::new(40.0, 10.0).unwrap();
    assert_eq!(lowest_beam(&[site(47.0, 10.0, 500.0)], far), None);
    assert_eq!(lowest_beam(&[], far), None);
}

#[test]
fn numbers_of_no_radar_give_no_beam() {
    let place = LatLon::new(47.0, 10.0).unwrap();
    let sound = site(47.0, 10.5, 500.0);
    for broken in [
        RadarSite { antenna_height_m: f64::NAN, ..sound },
        RadarSite { lowest_elevation_deg: f64::NAN, ..sound },
        RadarSite { lowest_elevation_deg: 90.0, ..sound },
        RadarSite { range_km: f64::NAN, ..sound },
    ] {
        assert_eq!(broken.beam_at(place), None, "{broken:?}");
        assert_eq!(lowest_beam(&[broken, sound], place), sound.beam_at(place));
    }
    for distance_km in [-1.0, 1001.0, f64::INFINITY, f64::NAN] {
        assert_eq!(beam_above_antenna(distance_km, 0.5), None);
    }
}

#[test]
fn across_the_date_line_a_radar_is_as_near_as_it_is() {
    let beam = site(-17.0, 179.8, 100.0).beam_at(LatLon::new(-17.0, -179.8).unwrap()).unwrap();
    assert!((beam.distance_km - 42.5).abs() < 0.1, "{beam:?}");
}

proptest! {
    #[test]
    fn farther_out_the_beam_is_never_lower(
        distance_km in 0.0..=400.0,
        further_km in 0.0..=400.0,
        elevation_deg in 0.0..=20.0,
    ) {
        let near = beam_above_antenna(distance_km, elevation_deg).unwrap();
        let far = beam_above_antenna(distance_km + further_km, elevation_deg).unwrap();
        prop_assert!(far.centre_height_m >= near.centre_height_m);
        prop_assert!(near.lower_edge_height_m <= near.centre_height_m);
    }
}
