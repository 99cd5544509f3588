//! One shift for a whole picture, in whole cells: the first guess, and the last resort.

use ndarray::{Array2, Axis};

use super::pyramid::Picture;
use crate::narrow::whole;

/// How much less a shift is believed the longer it is: at the longest, so many standard
/// deviations. Showers in rank and file look the same from one to the next; few go like a train.
const UNUSUAL: f64 = 1.6;

/// Cells known in both pictures, as a share of those of a picture, before a shift is looked at.
const OVERLAP_MIN: f64 = 0.2;

/// A variance below this is no structure: a tenth of a decibel.
const VARIANCE_MIN: f64 = 5e-6;

/// How two pictures lie on each other under one shift.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Shift {
    /// Whole cells southward and eastward from the older to the newer.
    pub(super) cells: (isize, isize),
    /// Correlation of the two where both are known, -1 to 1.
    pub(super) correlation: f64,
}

/// The one shift under which two pictures have most in common, `reach` cells at most; `None` when no
/// shift says anything.
///
/// It only has to come within a few cells: the first guess of the refinement, which alone would
/// lock on the wrong shower when showers go farther than they are wide.
pub(super) fn common_shift(older: &Picture, newer: &Picture, reach: f64) -> Option<Shift> {
    best_around(older, newer, (0, 0), whole(reach.ceil()).cast_signed(), UNUSUAL / reach)
}

/// A shift made more exact from size to size; both in cells of the finest, southward and eastward.
pub(super) fn refined(older: &[Picture], newer: &[Picture], shift: (f64, f64)) -> (f64, f64) {
    let sizes = older.iter().zip(newer).enumerate().rev();
    sizes.fold(shift, |(down, right), (size, (older, newer))| {
        let cell = 2.0_f64.powf(size as f64);
        let guess = (nearest(down / cell), nearest(right / cell));
        match best_around(older, newer, guess, 1, 0.0) {
            Some(shift) => (shift.cells.0 as f64 * cell, shift.cells.1 as f64 * cell),
            None => (down, right),
        }
    })
}

/// The best shift within `around` cells of a guess; `unusual`: standard deviations a cell.
fn best_around(
    older: &Picture,
    newer: &Picture,
    guess: (isize, isize),
    around: isize,
    unusual: f64,
) -> Option<Shift> {
    let span = |middle: isize| middle - around..=middle + around;
    let length_squared = |(down, right): (isize, isize)| down * down + right * right;
    let mut shifts: Vec<(isize, isize)> =
        span(guess.0).flat_map(|down| span(guess.1).map(move |right| (down, right))).collect();
    // Where several do as well, the shortest is taken.
    shifts.sort_by_key(|cells| length_squared(*cells));
    let mut best: Option<(f64, Shift)> = None;
    for cells in shifts {
        let Some(correlation) = correlation(older, newer, cells) else { continue };
        let usual = (-0.5 * length_squared(cells) as f64 * unusual.powi(2)).exp();
        let score = correlation * usual;
        if best.is_none_or(|(best, _)| score > best) {
            best = Some((score, Shift { cells, correlation }));
        }
    }
    best.map(|(_, shift)| shift)
}

/// The correlation of two pictures under one shift; `None` if too little is known in both or one
/// has no structure.
pub(super) fn correlation(
    older: &Picture,
    newer: &Picture,
    (down, right): (isize, isize),
) -> Option<f64> {
    let (rows, columns) = newer.dim();
    let (r, c) = (down.unsigned_abs(), right.unsigned_abs());
    if r >= rows || c >= columns {
        return None;
    }
    let part = |map: &Array2<f32>, skip_rows: bool, skip_columns: bool| {
        let from = (if skip_rows { r } else { 0 }, if skip_columns { c } else { 0 });
        map.slice_axis(Axis(0), (from.0..from.0 + rows - r).into())
            .slice_axis(Axis(1), (from.1..from.1 + columns - c).into())
            .to_owned()
    };
    let (new, old) = (part(newer, down >= 0, right >= 0), part(older, down < 0, right < 0));
    let mut sums = [0.0_f32; 6];
    for (a, b) in old.iter().zip(&new) {
        let both = a * b;
        let (known, a, b) = if both.is_nan() { (0.0, 0.0, 0.0) } else { (1.0, *a, *b) };
        for (sum, term) in sums.iter_mut().zip([known, a, b, a * a, b * b, a * b]) {
            *sum += term;
        }
    }
    let [n, a, b, aa, bb, ab] = sums.map(f64::from);
    if n < OVERLAP_MIN * newer.len() as f64 {
        let known = |map: &Picture| map.iter().filter(|value| !value.is_nan()).count() as f64;
        // Where much is unknown in any case, the overlap is judged by what is known.
        if n < 4.0 || n < OVERLAP_MIN * known(newer).min(known(older)) {
            return None;
        }
    }
    let (variance_a, variance_b) = (aa / n - (a / n).powi(2), bb / n - (b / n).powi(2));
    if variance_a < VARIANCE_MIN || variance_b < VARIANCE_MIN {
        return None;
    }
    Some((ab / n - a / n * b / n) / (variance_a * variance_b).sqrt())
}

/// The whole number nearest to a shift.
#[expect(clippy::cast_possible_truncation, reason = "shifts are bounded by the grid")]
pub(super) fn nearest(shift: f64) -> isize {
    shift.round() as isize
}
