//! Dense optical flow, one for all pairs of pictures, coarse to fine.
//!
//! The flow is kept on nodes of two by two cells of the size at hand, which are the cells of the
//! next coarser size: it is fitted in windows six cells wide, so nothing is lost, and what is summed
//! over the windows is a quarter.

use ndarray::{Array2, Axis, Zip};
use rayon::prelude::*;

use super::pyramid::Picture;
use crate::narrow::{cell_and_rest, single};
use crate::smooth::{Width, gaussian};

/// Standard deviation of the window that a motion is fitted in, cells of the size at hand. Mean CSI
/// less the reference library's over seven areas of the open events, with the smoothing of the final
/// field: 4 (15 cells) 0.0029, 6 (10) 0.0043, 8 (10) 0.0042, 10 (6) 0.0038.
const WINDOW_SIGMA: f64 = 6.0;

/// A motion is refined this often at each size. A third time lowers mean CSI by 0.001: it fits what
/// has grown and decayed.
const REFINEMENTS: usize = 2;

/// Keeps a place without structure at the coarser answer; squared gradients of scaled levels.
const STIFFNESS: f32 = 3e-5;

/// A miss of so much (4.5 decibels) counts half: a shower that was born is no motion. Mean CSI less
/// the reference library's over seven areas: 0.0044, without 0.0043; scored areas alone 0.0067, without
/// 0.0063. With each pair fitted alone, 0.2 was worse than 0.1 by 0.0005.
const MISS_HALF: f32 = 0.1;

/// Motion is fitted as the shift in so many minutes, so that stiffness has a meaning.
const SHIFT_MIN: f32 = 8.0;

/// A motion on nodes, cells of the half-size picture a minute.
#[derive(Debug, Clone)]
pub(super) struct Flow {
    pub(super) down: Array2<f32>,
    pub(super) right: Array2<f32>,
}

/// Two pictures to compare, finest size first.
pub(super) struct Pair<'a> {
    pub(super) older: &'a [Picture],
    pub(super) newer: &'a [Picture],
    pub(super) minutes: f32,
    pub(super) weight: f32,
}

/// What remains after the last refinement, on nodes: of the fitted shift in [`SHIFT_MIN`].
pub(super) struct Scores {
    /// Squared gradients: down down, down right, right right.
    pub(super) squares: [Array2<f32>; 3],
    /// Gradient times miss: down, right. Their means in a window would be 0 if all were in order.
    pub(super) misses: [Array2<f32>; 2],
}

impl Scores {
    /// Cells a minute of a shift.
    pub(super) const PER_MIN: f32 = 1.0 / SHIFT_MIN;
    /// See [`STIFFNESS`].
    pub(super) const STIFFNESS: f32 = STIFFNESS;
}

/// One motion for all pairs; `guess` in cells of the half-size picture a minute.
pub(super) fn joint(pairs: &[Pair<'_>], guess: (f64, f64)) -> (Flow, Scores) {
    let sizes = &pairs[0].newer;
    let coarsest = sizes.len() - 1;
    let (rows, columns) = sizes[coarsest].dim();
    let nodes = (rows.div_ceil(2), columns.div_ceil(2));
    let mut flow = Flow {
        down: Array2::from_elem(nodes, single(guess.0)),
        right: Array2::from_elem(nodes, single(guess.1)),
    };
    for size in (0..=coarsest).rev() {
        if size < coarsest {
            let shape = sizes[size + 1].dim();
            flow.down = between_nodes(&flow.down, shape);
            flow.right = between_nodes(&flow.right, shape);
        }
        for _ in 0..REFINEMENTS {
            let scores = scores(&flow, pairs, size);
            refine(&mut flow, &scores, pairs, size);
        }
    }
    let scores = scores(&flow, pairs, 0);
    (flow, scores)
}

/// One Lucas-Kanade step at every node.
fn refine(flow: &mut Flow, scores: &Scores, pairs: &[Pair<'_>], size: usize) {
    let sigma = WINDOW_SIGMA / 2.0;
    let width = Width { rows: sigma, columns: sigma };
    let maps: Vec<&Array2<f32>> = scores.squares.iter().chain(&scores.misses).collect();
    let maps: Vec<Array2<f32>> = maps.par_iter().map(|map| gaussian(map, width)).collect();
    let longest = pairs.iter().map(|pair| pair.minutes).fold(0.0, f32::max) / SHIFT_MIN;
    let per_min = cell(size) / SHIFT_MIN;
    for (at, down) in flow.down.indexed_iter_mut() {
        let [yy, yx, xx, ye, xe] = [0, 1, 2, 3, 4].map(|map| maps[map][at]);
        let (yy, xx) = (yy + STIFFNESS, xx + STIFFNESS);
        let determinant = yy * xx - yx * yx;
        let (y, x) = ((xx * ye - yx * xe) / determinant, (yy * xe - yx * ye) / determinant);
        // The linear view reaches about one cell; beyond it only the direction is worth much.
        let length = (y.hypot(x) * longest).max(1.0);
        *down += per_min * y / length;
        flow.right[at] += per_min * x / length;
    }
}

/// What all pairs say of a flow.
fn scores(flow: &Flow, pairs: &[Pair<'_>], size: usize) -> Scores {
    let total: f32 = pairs.iter().map(|pair| pair.weight).sum();
    let products: Vec<[Array2<f32>; 5]> =
        pairs.par_iter().map(|pair| products(flow, pair, size)).collect();
    let mut sums: [Array2<f32>; 5] = std::array::from_fn(|_| Array2::zeros(flow.down.dim()));
    for (pair, products) in pairs.iter().zip(products) {
        let (weight, lag) = (pair.weight / total, pair.minutes / SHIFT_MIN);
        for (index, (sum, product)) in sums.iter_mut().zip(products).enumerate() {
            // Gradients along the shift in SHIFT_MIN, not in the pair's own lag.
            let factor = if index < 3 { weight * lag * lag } else { weight * lag };
            sum.scaled_add(factor, &product);
        }
    }
    let [yy, yx, xx, ye, xe] = sums;
    Scores { squares: [yy, yx, xx], misses: [ye, xe] }
}

/// Gradients squared and gradients times miss of one pair, means over the known cells of each node.
fn products(flow: &Flow, pair: &Pair<'_>, size: usize) -> [Array2<f32>; 5] {
    let (older, newer) = (&pair.older[size], &pair.newer[size]);
    let (rows, columns) = newer.dim();
    let carried = carried(flow, older, pair.minutes / cell(size));
    let both = &carried + newer;
    let mut products: [Array2<f32>; 5] = std::array::from_fn(|_| Array2::zeros(flow.down.dim()));
    for row in 1..rows.saturating_sub(1) {
        let [above, here, below] = [row - 1, row, row + 1].map(|row| both.row(row));
        let (carried, newer) = (carried.row(row), newer.row(row));
        for column in 1..columns.saturating_sub(1) {
            // A quarter: the mean of the two pictures, over two cells.
            let gy = (below[column] - above[column]) / 4.0;
            let gx = (here[column + 1] - here[column - 1]) / 4.0;
            let miss = carried[column] - newer[column];
            if (gy + gx + miss).is_nan() {
                continue;
            }
            let weight = 0.25 / (1.0 + (miss / MISS_HALF).powi(2));
            let (wy, wx) = (weight * gy, weight * gx);
            let node = [row / 2, column / 2];
            for (product, term) in
                products.iter_mut().zip([wy * gy, wy * gx, wx * gx, wy * miss, wx * miss])
            {
                product[node] += term;
            }
        }
    }
    products
}

/// A picture carried along a flow for a time; NaN where it comes from what is not known.
fn carried(flow: &Flow, older: &Picture, minutes: f32) -> Picture {
    let (rows, columns) = older.dim();
    let (down, right) =
        (between_nodes(&flow.down, older.dim()), between_nodes(&flow.right, older.dim()));
    let mut carried = Array2::zeros((rows, columns));
    let (last_row, last_column) = (rows.max(1) - 1, columns.max(1) - 1);
    for (row, mut line) in carried.rows_mut().into_iter().enumerate() {
        let (down, right) = (down.row(row), right.row(row));
        Zip::indexed(&mut line).and(&down).and(&right).for_each(|column, value, down, right| {
            let y = row as f64 - f64::from(down * minutes);
            let x = column as f64 - f64::from(right * minutes);
            if y < 0.0 || x < 0.0 || y > last_row as f64 || x > last_column as f64 {
                *value = f32::NAN;
                return;
            }
            let ((i, dy), (j, dx)) = (cell_and_rest(y, rows), cell_and_rest(x, columns));
            let (dy, dx) = (single(dy), single(dx));
            let (below, beside) = ((i + 1).min(last_row), (j + 1).min(last_column));
            let (a, b) = (older[[i, j]], older[[i, beside]]);
            let (c, d) = (older[[below, j]], older[[below, beside]]);
            let (upper, lower) = (a + (b - a) * dx, c + (d - c) * dx);
            *value = upper + (lower - upper) * dy;
        });
    }
    carried
}

/// Values on nodes at cells of twice the resolution, linear in between.
fn between_nodes(nodes: &Array2<f32>, (rows, columns): (usize, usize)) -> Array2<f32> {
    let (node_rows, node_columns) = nodes.dim();
    // Cell 2 i lies a quarter of a node before node i, cell 2 i + 1 a quarter after.
    let beside = |cell: usize, count: usize| {
        let node = cell / 2;
        let other =
            if cell.is_multiple_of(2) { node.saturating_sub(1) } else { (node + 1).min(count - 1) };
        (node, other)
    };
    let mut cells = Array2::zeros((rows, columns));
    for (row, mut line) in cells.axis_iter_mut(Axis(0)).enumerate() {
        let (near, far) = beside(row, node_rows);
        let mixed = 0.75 * &nodes.row(near) + 0.25 * &nodes.row(far);
        for (column, value) in line.iter_mut().enumerate() {
            let (near, far) = beside(column, node_columns);
            *value = 0.75 * mixed[near] + 0.25 * mixed[far];
        }
    }
    cells
}

/// Half-size cells along the side of a cell.
fn cell(size: usize) -> f32 {
    single(2.0_f64.powf(size as f64))
}
