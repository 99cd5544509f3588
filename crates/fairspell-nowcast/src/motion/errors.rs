//! How far off a motion is likely to be.

use ndarray::{Array2, Axis, Zip};

use super::flow::{Flow, Scores};
use super::{BLOCK as NODE, FIELD_SIGMA, MEAN_WEIGHT};
use crate::narrow::single;
use crate::smooth::{Width, gaussian};

/// Nodes along the side of a block that is taken as one independent witness: misses hang together
/// over the size of a shower's core, about 16 km.
const NODES: usize = 4;

/// Cells of the picture along the side of a block.
pub(super) const BLOCK: usize = NODES * NODE;

/// The windows that the motion was fitted in and smoothed over, as one, cells of the picture: what
/// the windows of 12 cells (six of half size) and the field's smoothing make together.
fn window_cells() -> f64 {
    12.0_f64.hypot(FIELD_SIGMA)
}

/// Misses that all blocks share (a growth along the motion) are not seen by comparing blocks; the
/// stated errors are wider by this. With 1.5 (and the least error 0.6) twelve planted motions under
/// noise and growth were off by 2.1 times what was stated (`tests/it/motion.rs`).
const SHARED: f32 = 3.5;

/// No motion is more exact than this, km/h: a sixth of a cell of a kilometre in ten minutes.
const LEAST_KM_H: f32 = 1.0;

/// The standard error of a flow on blocks and its mean over the rain, km/h.
///
/// Lucas-Kanade sets the windowed mean of gradient times miss to zero. How far it would be from zero
/// by chance follows from its scatter from block to block, and how far that would move the motion
/// from the squared gradients. Where there is no rain the error is how much the motion differs from
/// place to place.
///
/// # Source
///
/// The sandwich estimate: P. Huber, "The behavior of maximum likelihood estimates under nonstandard
/// conditions", Proc. Fifth Berkeley Symp. 1 (1967), 221-233, with blocks as the independent cases.
pub(super) fn errors(
    scores: &Scores,
    flow: &Flow,
    rain: &Array2<f32>,
    km_h_per_half_cell_min: f64,
) -> (Array2<f32>, f64) {
    let unit = single(km_h_per_half_cell_min);
    let sigma = window_cells() / BLOCK as f64;
    let wide = |map: &Array2<f32>| gaussian(map, Width { rows: sigma, columns: sigma });
    let half = sigma / 2.0_f64.sqrt();
    // A Gaussian squared is a narrower Gaussian times this.
    let factor = single(1.0 / (4.0 * std::f64::consts::PI * sigma * sigma).max(1.0));
    let scatter = |map: Array2<f32>| factor * gaussian(&map, Width { rows: half, columns: half });
    let [yy, yx, xx] = scores.squares.each_ref().map(|map| wide(&blocks(map)));
    let [ye, xe] = scores.misses.each_ref().map(blocks);
    let (vyy, vyx, vxx) = (scatter(&ye * &ye), scatter(&ye * &xe), scatter(&xe * &xe));
    let rain = blocks(rain);
    let [down, right] = [blocks(&flow.down), blocks(&flow.right)];
    let total = rain.sum().max(f32::MIN_POSITIVE);
    let mean = [&down, &right].map(|map| (map * &rain).sum() / total);
    let spread = Zip::from(&rain).and(&down).and(&right).fold(0.0, |sum, rain, down, right| {
        sum + rain * ((down - mean[0]).powi(2) + (right - mean[1]).powi(2))
    }) / total;
    let mut squared: Array2<f32> = Array2::zeros(rain.dim());
    for (at, squared) in squared.indexed_iter_mut() {
        let (yy, yx, xx) = (yy[at] + Scores::STIFFNESS, yx[at], xx[at] + Scores::STIFFNESS);
        let determinant = yy * xx - yx * yx;
        // Rows of the inverse, and the trace of inverse, scatter, inverse.
        let (a, b, c) = (xx / determinant, -yx / determinant, yy / determinant);
        let row = |p: f32, q: f32| p * p * vyy[at] + 2.0 * p * q * vyx[at] + q * q * vxx[at];
        let own = (row(a, b) + row(b, c)) * (SHARED * unit * Scores::PER_MIN).powi(2);
        let (rain, elsewhere) = (rain[at], MEAN_WEIGHT);
        let far = spread * unit * unit;
        *squared = LEAST_KM_H.powi(2) + (rain * own + elsewhere * (own + far)) / (rain + elsewhere);
    }
    let mean = (&squared * &rain).sum() / total;
    (squared.mapv(f32::sqrt), f64::from(mean.sqrt()))
}

/// Means of blocks of nodes; those at the far edges may be smaller.
fn blocks(map: &Array2<f32>) -> Array2<f32> {
    let (rows, columns) = map.dim();
    Array2::from_shape_fn((rows.div_ceil(NODES), columns.div_ceil(NODES)), |(row, column)| {
        let part = |at: usize, count: usize| (at * NODES..((at + 1) * NODES).min(count)).into();
        map.slice_axis(Axis(0), part(row, rows))
            .slice_axis(Axis(1), part(column, columns))
            .mean()
            .unwrap_or(0.0)
    })
}

/// How far one shift for the whole picture is off the dense motion, km/h: root mean square over five
/// areas of the open events 21.5, 20.4, 31.5, 25.7 and 12.2 (512 x 512 cells, pictures half an hour
/// apart). Most of it is that rain goes differently in different places.
const ONE_FOR_ALL_KM_H: f64 = 23.0;

/// The error of one shift for the whole picture, km/h: that, and a cell of half size over the time.
pub(super) fn one_for_all_km_h(minutes: f64, cell_km: f64) -> f64 {
    (cell_km * 60.0 / minutes).hypot(ONE_FOR_ALL_KM_H)
}
