use fairspell_ground::{GroundError, LatLon};
use proptest::prelude::*;

use crate::place;

/// Computed with a haversine in another language on a sphere of 6371.0088 km, from the centre of
/// the circle of a heat advisory; printed to the metre.
const FROM_29_93_N_81_32_W: [(f64, f64, f64); 4] = [
    (30.10, -81.20, 22.155),
    (30.15, -81.35, 24.633),
    (29.93, -81.0609, 24.968),
    (29.93, -81.0570, 25.344),
];

#[test]
fn distances_agree_with_another_haversine() {
    for (lat_deg, lon_deg, expected_km) in FROM_29_93_N_81_32_W {
        let km = place(29.93, -81.32).distance_km(place(lat_deg, lon_deg));
        // Half a unit of the last printed digit.
        assert!((km - expected_km).abs() <= 0.0005, "{lat_deg}, {lon_deg}: {km} km");
    }
}

/// By the definition of the sphere: a quarter of a great circle is half pi times the radius.
#[test]
fn the_pole_is_a_quarter_round_the_globe_from_the_equator() {
    let quarter_km = std::f64::consts::FRAC_PI_2 * 6371.0088;
    for lon_deg in [-180.0, 0.0, 152.79] {
        let km = place(0.0, lon_deg).distance_km(place(90.0, 0.0));
        assert!((km - quarter_km).abs() < 1e-6, "{km}");
    }
    let across_km = place(31.72, 152.79).distance_km(place(-31.72, -27.21));
    assert!((across_km - 2.0 * quarter_km).abs() < 1e-3, "antipodes: {across_km}");
}

#[test]
fn a_swapped_pair_or_no_number_is_refused() {
    assert_eq!(LatLon::new(152.79, -31.72), Err(GroundError::Latitude(152.79)));
    assert_eq!(LatLon::new(-31.72, 361.0), Err(GroundError::Longitude(361.0)));
    assert_eq!(LatLon::new(-31.72, -180.5), Err(GroundError::Longitude(-180.5)));
    assert!(LatLon::new(f64::NAN, 0.0).is_err());
    assert!(LatLon::new(0.0, f64::INFINITY).is_err());
}

#[test]
fn longitudes_beyond_180_are_turned_back() {
    for (lon_deg, turned_deg) in
        [(230.005, -129.995), (180.0, 180.0), (-180.0, -180.0), (360.0, 0.0)]
    {
        // Subtracting 360 costs the last few bits.
        assert!((place(0.0, lon_deg).lon_deg() - turned_deg).abs() < 1e-12, "{lon_deg}");
    }
}

#[test]
fn text_is_read_as_somebody_types_it() {
    assert_eq!("-31.72, 152.79".parse(), Ok(place(-31.72, 152.79)));
    for text in ["", "-31.72", "-31.72 152.79", "31.72S,152.79E", "-31.72,152.79,4", "NaN,0"] {
        assert!(text.parse::<LatLon>().is_err(), "`{text}`");
    }
    let error = "somewhere".parse::<LatLon>().unwrap_err();
    assert_eq!(error.to_string(), "expected a position as LAT,LON in degrees, found `somewhere`");
}

#[test]
fn json_is_checked_like_everything_else() {
    let text = r#"{"lat_deg":-31.72,"lon_deg":152.79}"#;
    let point: LatLon = serde_json::from_str(text).unwrap();
    assert_eq!(point, place(-31.72, 152.79));
    assert_eq!(serde_json::to_string(&point).unwrap(), text);
    assert!(serde_json::from_str::<LatLon>(r#"{"lat_deg":152.79,"lon_deg":-31.72}"#).is_err());
}

fn anywhere() -> impl Strategy<Value = LatLon> {
    (-90.0..=90.0_f64, -180.0..=180.0_f64).prop_map(|(lat, lon)| place(lat, lon))
}

proptest! {
    #[test]
    fn distance_is_the_same_both_ways_and_never_beyond_the_antipode(
        a in anywhere(), b in anywhere(),
    ) {
        let km = a.distance_km(b);
        prop_assert!((0.0..=20_015.2).contains(&km));
        prop_assert!((km - b.distance_km(a)).abs() < 1e-6);
        prop_assert!(a.distance_km(a) < f64::MIN_POSITIVE);
    }

    #[test]
    fn a_position_survives_being_written_down(a in anywhere()) {
        prop_assert_eq!(a.to_string().parse(), Ok(a));
    }

    #[test]
    fn offsets_lead_back(
        lat_deg in -80.0..=80.0_f64,
        lon_deg in -180.0..=180.0_f64,
        east_km in -200.0..=200.0_f64,
        north_km in -200.0..=200.0_f64,
    ) {
        let centre = place(lat_deg, lon_deg);
        let (east, north) = centre.offset_km(centre.at_offset_km(east_km, north_km).unwrap());
        prop_assert!((east - east_km).abs() < 1e-6 && (north - north_km).abs() < 1e-6);
    }

    /// The documented error: 1 % within 100 km below 60 degrees of latitude.
    #[test]
    fn the_flat_map_is_true_to_one_per_cent_nearby(
        lat_deg in -60.0..=60.0_f64,
        lon_deg in -180.0..=180.0_f64,
        east_km in -70.0..=70.0_f64,
        north_km in -70.0..=70.0_f64,
    ) {
        let centre = place(lat_deg, lon_deg);
        let km = centre.distance_km(centre.at_offset_km(east_km, north_km).unwrap());
        prop_assert!((km - east_km.hypot(north_km)).abs() <= 0.01 * km, "{km}");
    }
}
