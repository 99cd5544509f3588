//! Gaussian means over what is known.
//!
//! The chance of rain at a point is read from the share of wet cells around the place where the air
//! now is, and the farther ahead, the wider that look. Small widths are folded exactly; wide ones
//! are three passes of an extended box, whose cost doesn't depend on the width.

use ndarray::{Array2, ArrayViewMut2, Axis};

use crate::narrow::{single, whole};

/// Below this known share a mean says nothing; the fill value stands there.
const KNOWN_SHARE_MIN: f32 = 0.02;

/// Up to this width, in cells, the kernel is folded as it is.
const FOLDED_SIGMA_MAX: f64 = 2.5;

/// Passes of the box: with the third, shares beside an edge are within 0.01 of the Gaussian's.
const BOX_PASSES: usize = 3;

/// Lines that are filtered side by side, so that the processor's vector unit has something to do.
const LANES: usize = 8;

/// A width on the ground as widths along rows and columns, in cells.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Width {
    /// Standard deviation from row to row, cells.
    pub rows: f64,
    /// Standard deviation from column to column, cells.
    pub columns: f64,
}

/// Gaussian mean of a map without gaps; the edge is repeated outward.
///
/// `map` must be finite everywhere. A constant map stays as it is to single precision.
///
/// # Examples
///
/// ```
/// use fairspell_nowcast::smooth::{Width, gaussian};
/// use ndarray::Array2;
///
/// let mut wet = Array2::zeros((41, 41));
/// wet[[20, 20]] = 1.0;
/// let share = gaussian(&wet, Width { rows: 4.0, columns: 4.0 });
/// assert!((share.sum() - 1.0_f32).abs() < 1e-4, "nothing is lost");
/// assert!(share[[20, 20]] > share[[20, 24]]);
/// ```
///
/// # Source
///
/// P. Gwosdek, S. Grewenig, A. Bruhn, J. Weickert, "Theoretical foundations of Gaussian convolution
/// by extended box filtering", Scale Space and Variational Methods (2011), for the wide kernels.
pub fn gaussian(map: &Array2<f32>, width: Width) -> Array2<f32> {
    let mut smoothed = map.clone();
    filter_columns(smoothed.view_mut(), &Kernel::new(width.rows));
    filter_columns(smoothed.view_mut().reversed_axes(), &Kernel::new(width.columns));
    smoothed
}

/// Gaussian means of maps that share their unknown cells.
#[derive(Debug)]
pub struct KnownGaussian {
    width: Width,
    /// Smoothed share of known cells; `None` when all are known.
    share: Option<Array2<f32>>,
}

impl KnownGaussian {
    /// For maps in which the cells with `known` 0 are unknown (and 1 where known).
    pub fn new(known: &Array2<f32>, width: Width) -> Self {
        let all = known.iter().all(|share| *share >= 1.0);
        KnownGaussian { width, share: (!all).then(|| gaussian(known, width)) }
    }

    /// The mean over known cells of a map that is 0 where unknown; `fill` where too little is known.
    pub fn mean(&self, map_or_zero: &Array2<f32>, fill: f32) -> Array2<f32> {
        let mut mean = gaussian(map_or_zero, self.width);
        if let Some(share) = &self.share {
            mean.zip_mut_with(share, |value, share| {
                *value = if *share < KNOWN_SHARE_MIN { fill } else { *value / *share };
            });
        }
        mean
    }
}

/// One dimension of a Gaussian.
enum Kernel {
    /// Nothing to do.
    Identity,
    /// Weights from the middle outward.
    Folded(Vec<f64>),
    /// Full weight within `reach`, `edge` one cell farther.
    Boxes { reach: usize, full: f64, edge: f64 },
}

impl Kernel {
    fn new(sigma: f64) -> Self {
        if sigma < 0.1 {
            return Kernel::Identity;
        }
        if sigma <= FOLDED_SIGMA_MAX {
            let reach = whole((4.0 * sigma).ceil());
            let weight = |offset: usize| (-0.5 * (offset as f64 / sigma).powi(2)).exp();
            let half: Vec<f64> = (0..=reach).map(weight).collect();
            let total = 2.0 * half.iter().sum::<f64>() - half[0];
            return Kernel::Folded(half.into_iter().map(|weight| weight / total).collect());
        }
        let variance = sigma * sigma / BOX_PASSES as f64;
        let reach = (0.5 * (12.0 * variance + 1.0).sqrt() - 0.5).floor();
        let edge = (2.0 * reach + 1.0) * (reach * (reach + 1.0) - 3.0 * variance)
            / (6.0 * (variance - (reach + 1.0).powi(2)));
        let total = 2.0 * reach + 1.0 + 2.0 * edge;
        Kernel::Boxes { reach: whole(reach), full: 1.0 / total, edge: edge / total }
    }

    /// Cells beyond each end that the filter looks at.
    fn padding(&self) -> usize {
        match self {
            Kernel::Identity => 0,
            Kernel::Folded(half) => half.len() - 1,
            Kernel::Boxes { reach, .. } => BOX_PASSES * (reach + 1),
        }
    }

    /// Filters padded lines; the result is shorter by the padding at both ends.
    fn apply(&self, lines: &mut Vec<[f64; LANES]>, spare: &mut Vec<[f64; LANES]>) {
        match self {
            Kernel::Identity => {}
            Kernel::Folded(half) => {
                let reach = half.len() - 1;
                spare.clear();
                spare.extend((reach..lines.len() - reach).map(|centre| {
                    let mut sum = lines[centre].map(|value| value * half[0]);
                    for (offset, weight) in half.iter().enumerate().skip(1) {
                        let (before, after) = (&lines[centre - offset], &lines[centre + offset]);
                        for lane in 0..LANES {
                            sum[lane] += weight * (before[lane] + after[lane]);
                        }
                    }
                    sum
                }));
                std::mem::swap(lines, spare);
            }
            Kernel::Boxes { reach, full, edge } => {
                for _ in 0..BOX_PASSES {
                    box_pass(lines, spare, *reach, *full, *edge);
                    std::mem::swap(lines, spare);
                }
            }
        }
    }
}

/// One extended box: a running sum of the inner cells plus the two partial ones.
fn box_pass(
    lines: &[[f64; LANES]],
    result: &mut Vec<[f64; LANES]>,
    reach: usize,
    full: f64,
    edge: f64,
) {
    let size = 2 * reach + 1;
    result.clear();
    let mut inner = [0.0; LANES];
    for cell in &lines[1..=size] {
        for lane in 0..LANES {
            inner[lane] += cell[lane];
        }
    }
    for window in lines.windows(size + 2) {
        let (first, second, last) = (&window[0], &window[1], &window[size + 1]);
        let mut value = [0.0; LANES];
        for lane in 0..LANES {
            value[lane] = full * inner[lane] + edge * (first[lane] + last[lane]);
            inner[lane] += last[lane] - second[lane];
        }
        result.push(value);
    }
}

/// Filters every column of a map, a few of them side by side.
fn filter_columns(mut map: ArrayViewMut2<'_, f32>, kernel: &Kernel) {
    let count = map.nrows();
    if count == 0 || matches!(kernel, Kernel::Identity) {
        return;
    }
    let padding = kernel.padding();
    let mut lines = Vec::with_capacity(count + 2 * padding);
    let mut spare = Vec::with_capacity(count + 2 * padding);
    for mut strip in map.axis_chunks_iter_mut(Axis(1), LANES) {
        let line = |row: usize| {
            let mut values = [0.0; LANES];
            for (value, cell) in values.iter_mut().zip(strip.row(row)) {
                *value = f64::from(*cell);
            }
            values
        };
        lines.clear();
        lines.extend(std::iter::repeat_n(line(0), padding));
        lines.extend((0..count).map(line));
        lines.extend(std::iter::repeat_n(line(count - 1), padding));
        kernel.apply(&mut lines, &mut spare);
        for (mut row, values) in strip.rows_mut().into_iter().zip(&lines) {
            for (cell, value) in row.iter_mut().zip(values) {
                *cell = single(*value);
            }
        }
    }
}
