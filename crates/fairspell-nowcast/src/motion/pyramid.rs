//! Pictures at half size, quarter size and so on, for comparing coarse to fine.

use ndarray::{Array2, Zip};

use super::SIDE_MIN;
use crate::level;

/// One size of a picture: scaled levels (0 dry, 1 clutter), NaN where not all is known.
///
/// What is partly known would jump with what is known of it, and a coverage edge look like motion.
pub(super) type Picture = Array2<f32>;

/// Known neighbours, of eight, that fill a hole of a cell or of a row.
const FILL_MIN: u8 = 6;

/// Values and the known share of each cell.
struct Shared {
    value: Array2<f32>,
    known: Array2<f32>,
}

/// A picture at half size first, then at quarter size and so on, `sizes` at most, as long as enough
/// is left to compare.
pub(super) fn pyramid(level: &Array2<f32>, sizes: usize) -> Vec<Picture> {
    let mut shared = vec![softened(&half_of_levels(level))];
    while let Some(last) = shared.last()
        && last.value.nrows().min(last.value.ncols()) >= 2 * SIDE_MIN
        && shared.len() < sizes
    {
        shared.push(halved(last));
    }
    let whole = |Shared { mut value, known }: Shared| {
        value.zip_mut_with(&known, |value, known| {
            if *known < 1.0 {
                *value = f32::NAN;
            }
        });
        value
    };
    shared.into_iter().map(whole).collect()
}

/// The first halving, straight from levels, small holes filled.
fn half_of_levels(level: &Array2<f32>) -> Shared {
    let mut value = level.mapv(level::scaled);
    for ((row, column), here) in level.indexed_iter() {
        if here.is_nan() {
            value[[row, column]] = filled(level, row, column).map_or(f32::NAN, level::scaled);
        }
    }
    let known = value.mapv(|value| f32::from(u8::from(!value.is_nan())));
    value.mapv_inplace(|value| if value.is_nan() { 0.0 } else { value });
    halved(&Shared { value, known })
}

/// The mean of a cell's known neighbours if they are nearly all: a lost pixel or row would
/// otherwise take everything at the coarser sizes with it.
fn filled(level: &Array2<f32>, row: usize, column: usize) -> Option<f32> {
    let (rows, columns) = level.dim();
    let (mut sum, mut count) = (0.0, 0_u8);
    for i in row.saturating_sub(1)..(row + 2).min(rows) {
        for j in column.saturating_sub(1)..(column + 2).min(columns) {
            if !level[[i, j]].is_nan() {
                sum += level[[i, j]];
                count += 1;
            }
        }
    }
    (count >= FILL_MIN).then(|| sum / f32::from(count))
}

/// Means of two by two cells of a map without gaps.
pub(super) fn halved_means(map: Array2<f32>) -> Array2<f32> {
    let known = Array2::ones(map.dim());
    halved(&Shared { value: map, known }).value
}

/// Two by two cells become one: the mean of what is known.
fn halved(shared: &Shared) -> Shared {
    let (rows, columns) = shared.value.dim();
    let shape = (rows.div_ceil(2), columns.div_ceil(2));
    let mut half = Shared { value: Array2::zeros(shape), known: Array2::zeros(shape) };
    let lines = half.value.rows_mut().into_iter().zip(half.known.rows_mut());
    for (row, (mut values, mut shares)) in lines.enumerate() {
        let upper = 2 * row;
        let lower = (upper + 1).min(rows - 1);
        let [value_a, value_b] = [upper, lower].map(|row| shared.value.row(row));
        let [known_a, known_b] = [upper, lower].map(|row| shared.known.row(row));
        for (column, (value, share)) in values.iter_mut().zip(shares.iter_mut()).enumerate() {
            let left = 2 * column;
            let right = (left + 1).min(columns - 1);
            let known = [known_a[left], known_a[right], known_b[left], known_b[right]];
            let total: f32 = known.iter().sum();
            if total > 0.0 {
                let sum = value_a[left] * known[0]
                    + value_a[right] * known[1]
                    + value_b[left] * known[2]
                    + value_b[right] * known[3];
                *value = sum / total;
            }
            *share = total / 4.0;
        }
    }
    half
}

/// Smoothed by a quarter, a half and a quarter each way over what is known: together with the
/// halving about 1.5 cells of the full picture, below which radar pictures are speckle.
fn softened(shared: &Shared) -> Shared {
    let share = quarter_half_quarter(&shared.known);
    let mut value = quarter_half_quarter(&(&shared.value * &shared.known));
    Zip::from(&mut value).and(&share).for_each(|value, share| *value /= share.max(0.05));
    Shared { value, known: shared.known.clone() }
}

/// One pass along each axis; the edge is repeated outward.
fn quarter_half_quarter(map: &Array2<f32>) -> Array2<f32> {
    let (rows, columns) = map.dim();
    let mut across = Array2::zeros((rows, columns));
    for (from, mut to) in map.rows().into_iter().zip(across.rows_mut()) {
        for column in 0..columns {
            let (before, after) = (column.saturating_sub(1), (column + 1).min(columns - 1));
            to[column] = 0.5 * from[column] + 0.25 * (from[before] + from[after]);
        }
    }
    let mut both = Array2::zeros((rows, columns));
    for (row, to) in both.rows_mut().into_iter().enumerate() {
        let (before, after) = (row.saturating_sub(1), (row + 1).min(rows - 1));
        Zip::from(to)
            .and(across.row(row))
            .and(across.row(before))
            .and(across.row(after))
            .for_each(|to, here, before, after| *to = 0.5 * here + 0.25 * (before + after));
    }
    both
}
