//! Where the rain goes: a field of motion from the last pictures.
//!
//! Optical flow after Lucas and Kanade, coarse to fine and dense: at every place the shift that
//! makes the older picture look like the newer one around it. What makes rain different from films
//! is done before and after: levels (decibels) instead of rates, unknown cells weigh nothing, and
//! the result is smoothed with the rain as its weight and drawn to the mean where there is none.

use ndarray::{Array2, Axis, Zip};
use rayon::prelude::*;

use crate::advect::{Motion, Position, value_at};
use crate::level;
use crate::narrow::{cell_at, single, whole};
use crate::smooth::{Width, gaussian};

/// A picture as levels, and when it was taken.
#[derive(Debug, Clone, Copy)]
pub struct LevelFrame<'a> {
    /// Minutes since any fixed moment.
    pub time_min: f64,
    /// Rain level as [`level::from_rain_rate`] makes it; NaN where not measured.
    pub level: &'a Array2<f32>,
}

/// Pictures about this far apart are compared, minutes: nearer, half cells decide the speed;
/// farther, the rain has changed.
const LAG_MIN: f64 = 8.0;

/// Pictures farther apart than this say nothing of the motion, minutes.
pub const LAG_MAX_MIN: f64 = 20.0;

/// Newest pictures that are compared each with an older one, and how the older pairs weigh.
const PAIRS: usize = 3;
const PAIR_WEIGHT: f64 = 0.8;

/// Nothing that rains goes faster, km a minute (240 km/h).
const FASTEST_KM_PER_MIN: f64 = 4.0;

/// How much less a shift is believed the longer it is: at [`FASTEST_KM_PER_MIN`], so many standard
/// deviations. Showers in rank and file look the same from one to the next; few go like a train.
const UNUSUAL: f64 = 1.6;

/// Sizes at which pictures are compared: cells of 2, 4 and 8 of the picture's. On still larger ones
/// showers run together, and what they seem to do is anything.
const SIZES: usize = 3;

/// A shift is refined this often at each size, around each place within this width (in its cells).
const REFINEMENTS: usize = 3;
const WINDOW_SIGMA: f64 = 4.0;

/// Keeps a place without structure at the coarser answer; squared gradients of scaled levels.
const STIFFNESS: f32 = 3e-5;

/// Smoothing of the final field, cells of the picture.
const FIELD_SIGMA: f64 = 15.0;

/// How much the mean motion weighs against rain; it decides where there is none.
const MEAN_WEIGHT: f32 = 0.001;

/// A cell of the smoothed and scaled picture holds rain above this (a level of -12.9).
const RAIN_MIN: f32 = 2.1 / 45.0;

/// The final field's blocks, cells of the picture along a side.
const BLOCK: usize = 4;

/// Smallest side of a picture on which motion can be told, cells.
const SIDE_MIN: usize = 12;

/// Motion from pictures of one grid, oldest first; `cell_km` is about the size of a cell.
///
/// `None` when it cannot be told: fewer than two pictures within [`LAG_MAX_MIN`] of each other, a
/// grid too small, or no rain in the pictures compared.
///
/// # Examples
///
/// A shower that goes three cells east in five minutes:
///
/// ```
/// use fairspell_nowcast::{
///     advect::Position,
///     level,
///     motion::{LevelFrame, estimate},
/// };
/// use ndarray::Array2;
///
/// let shower = |column: f64| {
///     Array2::from_shape_fn((80, 80), |(i, j)| {
///         let distance_squared = (i as f64 - 40.0).powi(2) + (j as f64 - column).powi(2);
///         level::from_rain_rate((8.0 * (-distance_squared / 60.0).exp()) as f32)
///     })
/// };
/// let (before, now) = (shower(30.0), shower(33.0));
/// let frames = [
///     LevelFrame { time_min: 0.0, level: &before },
///     LevelFrame { time_min: 5.0, level: &now },
/// ];
/// let motion = estimate(&frames, 1.0).expect("two pictures with rain");
/// let (south, east) = motion.at(Position { row: 40.0, column: 33.0 });
/// assert!(south.abs() < 0.05);
/// assert!((east - 0.6).abs() < 0.05);
/// ```
///
/// # Source
///
/// B. Lucas and T. Kanade, "An iterative image registration technique", IJCAI (1981); pyramids as in
/// J.-Y. Bouguet's implementation note (2001). Lags, weights of older pairs and the final smoothing:
/// measured on open radar events, where they hardly matter within a factor of two.
pub fn estimate(frames: &[LevelFrame<'_>], cell_km: f64) -> Option<Motion> {
    let (rows, columns) = frames.last()?.level.dim();
    if rows.min(columns) < SIDE_MIN {
        return None;
    }
    let pairs = pairs(frames);
    let first = pairs.iter().map(|(older, _)| *older).min()?;
    let pyramids: Vec<Vec<Picture>> =
        frames[first..].par_iter().map(|frame| pyramid(frame.level)).collect();
    let flows: Vec<Flow> = pairs
        .par_iter()
        .map(|(older, newer)| {
            let minutes = frames[*newer].time_min - frames[*older].time_min;
            let (older, newer) = (&pyramids[*older - first], &pyramids[*newer - first]);
            let mut flow = flow_between(older, newer, FASTEST_KM_PER_MIN * minutes / cell_km);
            // From half-size cells between the two pictures to cells a minute.
            flow.down.mapv_inplace(|shift| shift * single(2.0 / minutes));
            flow.right.mapv_inplace(|shift| shift * single(2.0 / minutes));
            flow.rain = newer[0].value.mapv(|value| f32::from(value > RAIN_MIN));
            flow
        })
        .collect();
    field(&flows)
}

/// Indices (older, newer) of the pictures to compare, the newest pair first.
fn pairs(frames: &[LevelFrame<'_>]) -> Vec<(usize, usize)> {
    let newest_first = (0..frames.len()).rev().take(PAIRS);
    let partner = |newer: usize| {
        let miss = |older: usize| (frames[newer].time_min - frames[older].time_min - LAG_MIN).abs();
        let best = (0..newer).min_by(|a, b| miss(*a).total_cmp(&miss(*b)))?;
        let lag_min = frames[newer].time_min - frames[best].time_min;
        (lag_min > 0.0 && lag_min <= LAG_MAX_MIN).then_some((best, newer))
    };
    newest_first.filter_map(partner).collect()
}

/// One size of a picture: scaled levels and the known share of each cell.
struct Picture {
    value: Array2<f32>,
    known: Array2<f32>,
}

/// Shifts between two pictures, cells of its own size, and where it rains in the newer.
struct Flow {
    down: Array2<f32>,
    right: Array2<f32>,
    rain: Array2<f32>,
}

/// A picture at half size, quarter size and so on, as long as enough is left to compare.
fn pyramid(level: &Array2<f32>) -> Vec<Picture> {
    let known = level.mapv(|level| f32::from(!level.is_nan()));
    let value = level.mapv(|level| if level.is_nan() { 0.0 } else { level::scaled(level) });
    let half = halved(&Picture { value, known });
    // 1.5 cells of the full picture, of which halving has done a part.
    let width = Width { rows: 0.7, columns: 0.7 };
    let share = gaussian(&half.known, width);
    let mut value = gaussian(&(&half.value * &half.known), width);
    value.zip_mut_with(&share, |value, share| *value /= share.max(0.05));
    let mut sizes = vec![Picture { value, known: half.known }];
    while let Some(last) = sizes.last()
        && last.value.nrows().min(last.value.ncols()) >= 2 * SIDE_MIN
        && sizes.len() < SIZES
    {
        sizes.push(halved(last));
    }
    sizes
}

/// Two by two cells become one: the mean of what is known.
fn halved(picture: &Picture) -> Picture {
    let (rows, columns) = picture.value.dim();
    let shape = (rows.div_ceil(2), columns.div_ceil(2));
    let mut half = Picture { value: Array2::zeros(shape), known: Array2::zeros(shape) };
    for ((row, column), known) in half.known.indexed_iter_mut() {
        let (mut sum, mut weight, mut cells) = (0.0, 0.0, 0.0);
        for i in 2 * row..(2 * row + 2).min(rows) {
            for j in 2 * column..(2 * column + 2).min(columns) {
                sum += picture.value[[i, j]] * picture.known[[i, j]];
                weight += picture.known[[i, j]];
                cells += 1.0;
            }
        }
        half.value[[row, column]] = if weight > 0.0 { sum / weight } else { 0.0 };
        *known = weight / cells;
    }
    half
}

/// Cells of the full picture along the side of a cell of the pyramid.
fn side(size: usize) -> f64 {
    2.0 * 2.0_f64.powf(size as f64)
}

/// Shifts that lead from the older to the newer picture, in cells of the half-size pictures.
///
/// `reach`: the longest shift to look for, cells of the full picture.
fn flow_between(older: &[Picture], newer: &[Picture], reach: f64) -> Flow {
    let coarsest = older.len() - 1;
    let (down, right) =
        common_shift(&older[coarsest], &newer[coarsest], (reach / side(coarsest)).max(1.0));
    let shape = newer[coarsest].value.dim();
    let mut flow = Flow {
        down: Array2::from_elem(shape, single(down)),
        right: Array2::from_elem(shape, single(right)),
        rain: Array2::zeros((0, 0)),
    };
    for size in (0..=coarsest).rev() {
        if size < coarsest {
            let shape = newer[size].value.dim();
            flow.down = doubled(&flow.down, shape);
            flow.right = doubled(&flow.right, shape);
        }
        for _ in 0..REFINEMENTS {
            refine(&mut flow, &older[size], &newer[size]);
        }
    }
    flow
}

/// The one shift, in whole cells, under which two pictures have most in common.
///
/// It only has to come within a few cells: the first guess of the refinement, which alone would
/// lock on the wrong shower when showers go farther than they are wide.
fn common_shift(older: &Picture, newer: &Picture, reach: f64) -> (f64, f64) {
    let excess = |picture: &Picture| {
        let known = picture.known.sum();
        let mean = (&picture.value * &picture.known).sum() / known.max(1.0);
        Zip::from(&picture.value)
            .and(&picture.known)
            .map_collect(|value, known| (value - mean) * known)
    };
    let (older, newer) = (excess(older), excess(newer));
    let (rows, columns) = newer.dim();
    let limit = |count: usize| whole(reach.ceil()).min(count / 2).cast_signed();
    let (down_max, right_max) = (limit(rows), limit(columns));
    let mut shifts: Vec<(isize, isize)> = (-down_max..=down_max)
        .flat_map(|down| (-right_max..=right_max).map(move |right| (down, right)))
        .collect();
    // Where several do as well, the shortest is taken.
    shifts.sort_by_key(|(down, right)| down * down + right * right);
    let mut best = (0.0, (0, 0));
    for (down, right) in shifts {
        let part = |map: &Array2<f32>, skip_rows: bool, skip_columns: bool| {
            let (r, c) = (down.unsigned_abs(), right.unsigned_abs());
            let from = (if skip_rows { r } else { 0 }, if skip_columns { c } else { 0 });
            map.slice_axis(Axis(0), (from.0..from.0 + rows - r).into())
                .slice_axis(Axis(1), (from.1..from.1 + columns - c).into())
                .to_owned()
        };
        let newer = part(&newer, down >= 0, right >= 0);
        let older = part(&older, down < 0, right < 0);
        let length_squared = (down * down + right * right) as f64;
        let usual = (-0.5 * length_squared * (UNUSUAL / reach).powi(2)).exp();
        let common = f64::from((&newer * &older).sum()) * usual;
        if common > best.0 {
            best = (common, (down, right));
        }
    }
    (best.1.0 as f64, best.1.1 as f64)
}

/// A field of shifts on cells of half the size: twice as many, twice as long.
fn doubled(shifts: &Array2<f32>, shape: (usize, usize)) -> Array2<f32> {
    Array2::from_shape_fn(shape, |(row, column)| {
        let position =
            Position { row: row as f64 / 2.0 - 0.25, column: column as f64 / 2.0 - 0.25 };
        single(2.0 * value_at(shifts, position))
    })
}

/// One Lucas-Kanade step at every place.
fn refine(flow: &mut Flow, older: &Picture, newer: &Picture) {
    let (rows, columns) = newer.value.dim();
    // The older picture carried along the shifts found so far, and how much of it is known.
    let mut carried = Array2::zeros((rows, columns));
    let mut weight = Array2::zeros((rows, columns));
    for ((row, column), value) in carried.indexed_iter_mut() {
        let position = Position {
            row: row as f64 - f64::from(flow.down[[row, column]]),
            column: column as f64 - f64::from(flow.right[[row, column]]),
        };
        *value = single(value_at(&older.value, position));
        if let (Some(i), Some(j)) = (cell_at(position.row, rows), cell_at(position.column, columns))
        {
            weight[[row, column]] = older.known[[i, j]] * newer.known[[row, column]];
        }
    }
    let both = &carried + &newer.value;
    let mut products: [Array2<f32>; 5] = std::array::from_fn(|_| Array2::zeros((rows, columns)));
    for row in 0..rows {
        for column in 0..columns {
            let weight = weight[[row, column]];
            if weight < 1.0 {
                // A partly known cell's value jumps with what is known of it.
                continue;
            }
            let (above, below) = (row.saturating_sub(1), (row + 1).min(rows - 1));
            let (before, beside) = (column.saturating_sub(1), (column + 1).min(columns - 1));
            // A quarter: the mean of the two pictures, over two cells.
            let gy = (both[[below, column]] - both[[above, column]]) / 4.0;
            let gx = (both[[row, beside]] - both[[row, before]]) / 4.0;
            let miss = carried[[row, column]] - newer.value[[row, column]];
            for (product, value) in
                products.iter_mut().zip([gy * gy, gy * gx, gx * gx, gy * miss, gx * miss])
            {
                product[[row, column]] = value;
            }
        }
    }
    let width = Width { rows: WINDOW_SIGMA, columns: WINDOW_SIGMA };
    let [yy, yx, xx, ye, xe] = products.map(|product| gaussian(&product, width));
    for row in 0..rows {
        for column in 0..columns {
            let at = [row, column];
            let (yy, xx, yx) = (yy[at] + STIFFNESS, xx[at] + STIFFNESS, yx[at]);
            let determinant = yy * xx - yx * yx;
            let down = (xx * ye[at] - yx * xe[at]) / determinant;
            let right = (yy * xe[at] - yx * ye[at]) / determinant;
            // The linear view reaches about one cell; beyond it only the direction is worth much.
            let length = down.hypot(right).max(1.0);
            flow.down[at] += down / length;
            flow.right[at] += right / length;
        }
    }
}

/// The flows of several pairs as one smooth field, the mean motion where it doesn't rain.
fn field(flows: &[Flow]) -> Option<Motion> {
    let first = flows.first()?;
    let shape = first.rain.dim();
    let [mut weight, mut down, mut right]: [Array2<f32>; 3] =
        std::array::from_fn(|_| Array2::zeros(shape));
    for (index, flow) in flows.iter().enumerate() {
        let pair_weight = single(PAIR_WEIGHT.powf(index as f64));
        weight.scaled_add(pair_weight, &flow.rain);
        down.scaled_add(pair_weight, &(&flow.rain * &flow.down));
        right.scaled_add(pair_weight, &(&flow.rain * &flow.right));
    }
    let total = weight.sum();
    if total <= 0.0 {
        return None;
    }
    let mean = [down.sum() / total, right.sum() / total];
    let sigma = FIELD_SIGMA / BLOCK as f64;
    let width = Width { rows: sigma, columns: sigma };
    let [weight, down, right] =
        [weight, down, right].map(|map| gaussian(&block_means(&map), width));
    let blocks = Array2::from_shape_fn(weight.dim(), |at| {
        let share = weight[at] + MEAN_WEIGHT;
        [(down[at] + MEAN_WEIGHT * mean[0]) / share, (right[at] + MEAN_WEIGHT * mean[1]) / share]
    });
    Some(Motion::on_blocks(blocks, BLOCK))
}

/// Means of two by two half-size cells: the final field's blocks.
fn block_means(map: &Array2<f32>) -> Array2<f32> {
    let known = Array2::ones(map.dim());
    halved(&Picture { value: map.clone(), known }).value
}
