use fairspell_ground::Projection;
use fairspell_nowcast::{Grid, Nowcast, RainField};

use crate::sky;

/// Speed and direction must be found within this share of the speed; the task's own demand.
const SHARE: f64 = 0.1;

fn check(fields: Vec<RainField>, (east_km_h, north_km_h): (f64, f64)) {
    let nowcast = Nowcast::from_fields(fields, sky::issued()).unwrap().value;
    let allowed_km_h = SHARE * east_km_h.hypot(north_km_h);
    for (east_km, north_km) in [(0.0, 0.0), (40.0, -30.0), (-30.0, 50.0), (-60.0, -40.0)] {
        let place = sky::middle().at_offset_km(east_km, north_km).unwrap();
        let (east, north) = nowcast.motion_at(place).unwrap();
        let miss_km_h = (east - east_km_h).hypot(north - north_km_h);
        assert!(
            miss_km_h <= allowed_km_h,
            "({east:.1}, {north:.1}) km/h instead of ({east_km_h}, {north_km_h}) at {place}"
        );
    }
}

#[test]
fn planted_motion_is_found_from_slow_to_fast_in_any_direction() {
    let grid = sky::grid(256, 1.0);
    for (index, (speed_km_h, towards_deg, step_min)) in
        [(13.0, 75.0, 5), (30.0, 200.0, 4), (55.0, 310.0, 5), (96.0, 20.0, 4), (96.0, 135.0, 5)]
            .into_iter()
            .enumerate()
    {
        let (east, north) = f64::to_radians(towards_deg).sin_cos();
        let motion = (speed_km_h * east, speed_km_h * north);
        check(sky::moving_showers(&grid, index as u64, motion, step_min, 8), motion);
    }
}

#[test]
fn planted_motion_is_found_beside_what_no_radar_sees() {
    let grid = sky::grid(256, 1.0);
    let motion = (50.0, 30.0);
    let mut fields = sky::moving_showers(&grid, 7, motion, 5, 8);
    for field in &mut fields {
        // A wedge without coverage and a dead radar.
        for ((row, column), rate) in field.rain_rate_mm_h.indexed_iter_mut() {
            let (row, column) = (row as f64, column as f64);
            if row > 190.0 + 0.2 * column || (row - 60.0).hypot(column - 200.0) < 40.0 {
                *rate = f32::NAN;
            }
        }
    }
    check(fields, motion);
}

#[test]
fn motion_is_in_kilometres_on_a_grid_of_degrees() {
    // At 32 degrees south a hundredth of a degree is 1.11 km high and 0.94 km wide.
    let grid = Grid {
        projection: Projection::degrees(),
        x_first: 152.8 - 1.28,
        y_first: -31.7 + 1.28,
        x_step: 0.01,
        y_step: 0.01,
        rows: 256,
        columns: 256,
    };
    let motion = (-40.0, 40.0);
    check(sky::moving_showers(&grid, 3, motion, 4, 8), motion);
}

#[test]
fn motion_is_found_from_coarse_pictures_a_quarter_of_an_hour_apart() {
    let motion = (45.0, 45.0);
    check(sky::moving_showers(&sky::grid(160, 2.0), 5, motion, 15, 4), motion);
}

#[test]
fn a_missing_picture_does_not_change_the_speed() {
    let motion = (60.0, -20.0);
    let mut fields = sky::moving_showers(&sky::grid(256, 1.0), 11, motion, 5, 8);
    fields.remove(6);
    fields.remove(4);
    check(fields, motion);
}

#[test]
fn a_dry_sky_has_no_motion() {
    let fields = sky::even(&sky::grid(64, 1.0), 0.0, 6);
    let nowcast = Nowcast::from_fields(fields, sky::issued()).unwrap();
    assert_eq!(nowcast.value.motion_at(sky::middle()), None);
    assert!(nowcast.remarks.is_empty());
}
