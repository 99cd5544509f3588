use fairspell_ground::{GroundError, Projection};
use proptest::prelude::*;

use crate::place;

/// The Finnish composite: stereographic on a sphere. Figures of the earth that only name `a` are
/// spheres.
const FINLAND: &str =
    "+proj=stere +lat_0=90 +lon_0=25 +lat_ts=60 +a=6371288 +x_0=380886.310 +y_0=3395677.920";

/// The European composite: Lambert azimuthal equal-area on the WGS 84 ellipsoid.
const EUROPE: &str = "+proj=laea +lat_0=55.0 +lon_0=10.0 +x_0=1950000.0 +y_0=-2100000.0 +units=m \
                      +ellps=WGS84";

/// Pixel centres (row, column from the north-west) of the two composites with their positions by
/// pyproj 3.7.2, printed to four decimals.
const FINNISH_PIXELS: [(f64, f64, f64, f64); 8] = [
    (334.0, 448.0, 66.1999, 26.5431),
    (999.0, 468.0, 60.1365, 26.5808),
    (817.0, 268.0, 61.7715, 22.8438),
    (0.0, 0.0, 68.9980, 15.0603),
    (26.0, 439.0, 69.0568, 26.5248),
    (408.0, 336.0, 65.5229, 24.0114),
    (387.0, 400.0, 65.7191, 25.4365),
    (1084.0, 233.0, 59.3542, 22.4055),
];
const EUROPEAN_2_KM_PIXELS: [(f64, f64, f64, f64); 6] = [
    (250.0, 1212.0, 69.0075, 21.8555),
    (1491.0, 1019.0, 47.0505, 11.1687),
    (0.0, 0.0, 67.0226, -39.5025),
    (477.0, 203.0, 62.1127, -20.6574),
    (1412.0, 1070.0, 48.4497, 12.5787),
    (411.0, 1364.0, 65.5947, 27.0186),
];
const EUROPEAN_1_KM_PIXELS: [(f64, f64, f64, f64); 2] =
    [(1026.0, 2822.0, 63.6181, 27.7681), (1700.0, 1326.0, 58.1582, -0.6332)];

/// Half a unit of the printed positions' last digit.
const PRINTED_DEG: f64 = 0.5e-4 + 1e-9;

fn check(map: &Projection, (x_m, y_m): (f64, f64), (lat_deg, lon_deg): (f64, f64)) {
    let point = map.to_point(x_m, y_m).unwrap();
    assert!((point.lat_deg() - lat_deg).abs() <= PRINTED_DEG, "{lat_deg}, {lon_deg}: {point}");
    assert!((point.lon_deg() - lon_deg).abs() <= PRINTED_DEG, "{lat_deg}, {lon_deg}: {point}");
    // A ten-thousandth of a degree is at most 11 m, so half of one each way is within 8 m.
    let (back_x_m, back_y_m) = map.to_plane(place(lat_deg, lon_deg)).unwrap();
    assert!((back_x_m - x_m).hypot(back_y_m - y_m) <= 8.0, "{back_x_m}, {back_y_m}");
}

#[test]
fn finnish_pixels_lie_where_another_projection_library_puts_them() {
    let map = Projection::from_proj_string(FINLAND).unwrap();
    for (row, col, lat_deg, lon_deg) in FINNISH_PIXELS {
        let x_m = (col + 0.5) * 999.674053;
        let y_m = (1226.0 - row - 0.5) * 999.62859;
        check(&map, (x_m, y_m), (lat_deg, lon_deg));
    }
}

#[test]
fn european_pixels_lie_where_another_projection_library_puts_them() {
    let map = Projection::from_proj_string(EUROPE).unwrap();
    for (size_m, pixels) in [(2000.0, &EUROPEAN_2_KM_PIXELS[..]), (1000.0, &EUROPEAN_1_KM_PIXELS)] {
        for &(row, col, lat_deg, lon_deg) in pixels {
            check(&map, ((col + 0.5) * size_m, -(row + 0.5) * size_m), (lat_deg, lon_deg));
        }
    }
}

/// The corners that the Finnish files' headers name, projected with pyproj: the lower left to
/// (0.005, 0.010) m, the upper right to (759 752.285, 1 225 544.659) m, printed to the millimetre.
#[test]
fn the_finnish_grid_begins_and_ends_at_its_corners() {
    let map = Projection::from_proj_string(FINLAND).unwrap();
    let off_m = |lat_deg, lon_deg, x_m: f64, y_m: f64| {
        let (x, y) = map.to_plane(place(lat_deg, lon_deg)).unwrap();
        (x - x_m).hypot(y - y_m)
    };
    assert!(off_m(57.930, 18.600, 0.005, 0.010) < 0.002);
    assert!(off_m(69.005, 34.903, 759_752.285, 1_225_544.659) < 0.002);
}

#[test]
fn a_grid_of_degrees_needs_no_projection() {
    for map in
        [Projection::degrees(), Projection::from_proj_string("+proj=longlat +R=6371200").unwrap()]
    {
        assert!(map.is_degrees());
        let spot = place(-31.72, 152.79);
        assert_eq!(map.to_plane(spot), Some((152.79, -31.72)));
        assert_eq!(map.to_point(152.79, -31.72), Some(spot));
        assert_eq!(map.to_point(152.79, 95.0), None, "no such latitude");
    }
}

#[test]
fn a_string_that_is_no_projection_is_refused_with_its_text() {
    for text in ["", "+proj=dream", "stereographic", "+proj=stere +lat_ts=north"] {
        match Projection::from_proj_string(text) {
            Err(GroundError::Projection { text: found, .. }) => assert_eq!(found, text),
            other => panic!("`{text}`: {other:?}"),
        }
    }
}

/// Degrees are those of the map's own figure of the earth, even for a datum that lies a hundred
/// metres from the usual one.
#[test]
fn no_shift_between_datums_is_ever_made() {
    let on_datum = Projection::from_proj_string("+proj=utm +zone=33 +datum=potsdam").unwrap();
    let on_figure = Projection::from_proj_string("+proj=utm +zone=33 +ellps=bessel").unwrap();
    let (x_m, y_m) = on_datum.to_plane(place(52.4, 13.1)).unwrap();
    let (figure_x_m, figure_y_m) = on_figure.to_plane(place(52.4, 13.1)).unwrap();
    // A millimetre.
    assert!((x_m - figure_x_m).hypot(y_m - figure_y_m) < 1e-3, "{x_m}, {y_m}");
}

#[test]
fn a_map_keeps_the_words_it_was_made_from() {
    let map = Projection::from_proj_string(FINLAND).unwrap();
    assert_eq!(map.as_str(), FINLAND);
    assert!(!map.is_degrees());
}

proptest! {
    /// A millimetre: rounding in the two directions, not the map's accuracy.
    #[test]
    fn there_and_back_is_the_same_place(lat_deg in 35.0..=72.0_f64, lon_deg in -20.0..=40.0_f64) {
        for text in [FINLAND, EUROPE, "+proj=merc +R=6371200 +lon_0=10"] {
            let map = Projection::from_proj_string(text).unwrap();
            let (x_m, y_m) = map.to_plane(place(lat_deg, lon_deg)).unwrap();
            let back = map.to_point(x_m, y_m).unwrap();
            prop_assert!(back.distance_km(place(lat_deg, lon_deg)) < 1e-6, "{text}: {back}");
        }
    }

    #[test]
    fn no_projection_string_causes_a_panic(text in "[+a-z0-9_=. -]{0,60}") {
        let _ = Projection::from_proj_string(&text);
    }

    #[test]
    fn no_plane_coordinates_cause_a_panic(
        x in proptest::num::f64::ANY,
        y in proptest::num::f64::ANY,
    ) {
        for text in [FINLAND, EUROPE] {
            let _ = Projection::from_proj_string(text).unwrap().to_point(x, y);
        }
    }
}
