//! The sky that the nowcast is measured on.

use fairspell_ground::{LatLon, Projection};
use fairspell_nowcast::{Grid, RainField};
use jiff::{SignedDuration, Timestamp};
use ndarray::Array2;

/// The moment of the question, and of the newest picture.
pub(crate) fn issued() -> Timestamp {
    "2026-09-03T04:00:00Z".parse().expect("a moment")
}

/// A moment some minutes after that.
pub(crate) fn ahead(minutes: i64) -> Timestamp {
    issued() + SignedDuration::from_mins(minutes)
}

/// A place some kilometres from the middle of the pictures.
pub(crate) fn place(east_km: f64, north_km: f64) -> LatLon {
    let middle = LatLon::new(-31.7, 152.8).expect("a place");
    middle.at_offset_km(east_km, north_km).expect("far from the poles")
}

/// Pictures of cells of a kilometre, oldest first.
///
/// Showers 40 km apart go east at a kilometre a minute; a corner is not covered.
#[expect(clippy::cast_possible_truncation, reason = "rates are kept in single precision")]
pub(crate) fn pictures(
    (rows, columns): (usize, usize),
    count: u16,
    step_min: u16,
) -> Vec<RainField> {
    let projection = Projection::from_proj_string("+proj=laea +lat_0=-31.7 +lon_0=152.8");
    let reach_m = |cells: usize| 500.0 * (cells as f64 - 1.0);
    let grid = Grid {
        projection: projection.expect("a projection"),
        x_first: -reach_m(columns),
        y_first: reach_m(rows),
        x_step: 1000.0,
        y_step: 1000.0,
        rows,
        columns,
    };
    let picture = |age: u16| {
        let age_min = step_min * age;
        let rain_rate_mm_h = Array2::from_shape_fn((rows, columns), |(row, column)| {
            if row + column < rows / 3 {
                return f32::NAN;
            }
            let (y, x) = (row as f64 / 40.0, (column as f64 + f64::from(age_min)) / 40.0);
            let wave = (std::f64::consts::TAU * y).sin() * (std::f64::consts::TAU * x).sin();
            (20.0 * (wave - 0.2).max(0.0)) as f32
        });
        let valid_time = issued() - SignedDuration::from_mins(i64::from(age_min));
        RainField { valid_time, grid: grid.clone(), rain_rate_mm_h }
    };
    (0..count).rev().map(picture).collect()
}
