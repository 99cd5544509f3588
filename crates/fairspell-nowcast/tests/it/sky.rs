//! Invented skies with a known motion.

use fairspell_ground::{LatLon, Projection};
use fairspell_nowcast::{Grid, RainField};
use jiff::{SignedDuration, Timestamp};
use ndarray::Array2;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// What maps are kept in.
#[expect(clippy::cast_possible_truncation, reason = "maps are in single precision")]
pub(crate) fn single(value: f64) -> f32 {
    value as f32
}

/// The moment at which all questions are asked.
pub(crate) fn issued() -> Timestamp {
    "2026-09-03T04:00:00Z".parse().unwrap()
}

/// So many minutes after [`issued`].
pub(crate) fn at(minutes: i64) -> Timestamp {
    issued() + SignedDuration::from_mins(minutes)
}

/// The middle of every sky.
pub(crate) fn middle() -> LatLon {
    LatLon::new(-31.7, 152.8).unwrap()
}

/// A square grid of cells of `cell_km` with [`middle`] in the middle of a cell.
pub(crate) fn grid(side: usize, cell_km: f64) -> Grid {
    let step = 1000.0 * cell_km;
    let first = -((side / 2) as f64) * step;
    Grid {
        projection: Projection::from_proj_string("+proj=laea +lat_0=-31.7 +lon_0=152.8").unwrap(),
        x_first: first,
        y_first: -first,
        x_step: step,
        y_step: step,
        rows: side,
        columns: side,
    }
}

/// Places of the columns, km east, and of the rows, km north of the middle.
fn axes(grid: &Grid) -> (Vec<f64>, Vec<f64>) {
    let middle = middle();
    let offset = |row: usize, column: usize| {
        if grid.projection.is_degrees() {
            return middle.offset_km(grid.point_at(row as f64, column as f64).unwrap());
        }
        let x = grid.x_first + column as f64 * grid.x_step;
        (x / 1000.0, (grid.y_first - row as f64 * grid.y_step) / 1000.0)
    };
    (
        (0..grid.columns).map(|column| offset(0, column).0).collect(),
        (0..grid.rows).map(|row| offset(row, 0).1).collect(),
    )
}

/// A field from a function of the place: km east and north of the middle.
pub(crate) fn field(
    grid: &Grid,
    minutes: i64,
    rain_rate_mm_h: impl Fn(f64, f64) -> f64,
) -> RainField {
    let (east_km, north_km) = axes(grid);
    let rates = Array2::from_shape_fn((grid.rows, grid.columns), |(row, column)| {
        single(rain_rate_mm_h(east_km[column], north_km[row]))
    });
    RainField { valid_time: at(minutes), grid: grid.clone(), rain_rate_mm_h: rates }
}

/// One shower: km east and north of the middle, radius in km, peak in mm/h.
struct Shower {
    east_km: f64,
    north_km: f64,
    radius_km: f64,
    peak_mm_h: f64,
}

/// Showers strewn over 600 km x 600 km.
fn showers(seed: u64) -> Vec<Shower> {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let shower = |_| Shower {
        east_km: random.random_range(-300.0..300.0),
        north_km: random.random_range(-300.0..300.0),
        radius_km: random.random_range(3.0..12.0),
        peak_mm_h: random.random_range(1.0..30.0),
    };
    (0..150).map(shower).collect()
}

/// Frames of showers that move steadily, (east, north) in km/h, the newest at [`issued`].
pub(crate) fn moving_showers(
    grid: &Grid,
    seed: u64,
    motion_km_h: (f64, f64),
    step_min: i64,
    count: i64,
) -> Vec<RainField> {
    (0..count)
        .map(|index| showers_at(grid, seed, motion_km_h, (index - count + 1) * step_min))
        .collect()
}

/// The same showers at any moment, minutes after [`issued`].
pub(crate) fn showers_at(
    grid: &Grid,
    seed: u64,
    (east_km_h, north_km_h): (f64, f64),
    minutes: i64,
) -> RainField {
    let (east_km, north_km) = axes(grid);
    let hours = minutes as f64 / 60.0;
    let mut field = field(grid, minutes, |_, _| 0.0);
    for shower in &showers(seed) {
        let east = shower.east_km + east_km_h * hours;
        let north = shower.north_km + north_km_h * hours;
        // Beyond four radii a shower of 30 mm/h has less than 0.02 mm/h.
        let near = |place: &f64, centre: f64| (place - centre).abs() < 4.0 * shower.radius_km;
        for (row, y) in north_km.iter().enumerate().filter(|(_, y)| near(y, north)) {
            for (column, x) in east_km.iter().enumerate().filter(|(_, x)| near(x, east)) {
                let squared = ((x - east).powi(2) + (y - north).powi(2)) / shower.radius_km.powi(2);
                field.rain_rate_mm_h[[row, column]] +=
                    single(shower.peak_mm_h * (-squared / 2.0).exp());
            }
        }
    }
    field
}

/// A front: rain of `rate` everywhere west of a line that is `distance_km` west of the middle now.
pub(crate) fn front(
    grid: &Grid,
    rate: f64,
    distance_km: f64,
    east_km_h: f64,
    step_min: i64,
    count: i64,
) -> Vec<RainField> {
    (0..count)
        .map(|index| {
            let minutes = (index - count + 1) * step_min;
            let edge_km = -distance_km + east_km_h * minutes as f64 / 60.0;
            field(grid, minutes, |east, _| if east < edge_km { rate } else { 0.0 })
        })
        .collect()
}

/// Frames of one rate everywhere, five minutes apart.
pub(crate) fn even(grid: &Grid, rate: f64, count: i64) -> Vec<RainField> {
    (0..count).map(|index| field(grid, (index - count + 1) * 5, |_, _| rate)).collect()
}
