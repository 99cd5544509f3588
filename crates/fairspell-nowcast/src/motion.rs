//! Where the rain goes: a field of motion from the last pictures, and how far off it may be.
//!
//! Optical flow after Lucas and Kanade, coarse to fine and dense: at every place the one motion under
//! which each older picture looks most like its newer one. What makes rain different from films is
//! done around it: levels (decibels) instead of rates, unknown cells weigh nothing, a picture that
//! repeats another or fits none is left out, and the result is smoothed with the rain as its weight
//! and drawn to the mean where there is none.

mod errors;
mod flow;
mod pairs;
mod pyramid;
mod shift;

use ndarray::{Array2, Zip};
use rayon::prelude::*;

use crate::advect::{Motion, Position, value_at};
use crate::narrow::single;
use crate::smooth::{Width, gaussian};
use flow::{Flow, Pair};
use pyramid::{Picture, pyramid};

/// A picture as levels, and when it was taken.
#[derive(Debug, Clone, Copy)]
pub struct LevelFrame<'a> {
    /// Minutes since any fixed moment.
    pub time_min: f64,
    /// Rain level as [`level::from_rain_rate`](crate::level::from_rain_rate) makes it; NaN where not measured.
    pub level: &'a Array2<f32>,
}

/// What pictures tell of the rain's motion.
#[derive(Debug, Clone)]
pub struct Estimate {
    /// Where the rain goes; `None` when nothing tells.
    pub motion: Option<Motion>,
    /// The same, smoothed over 40 cells: what single showers do is over in an hour, what
    /// the air around them does lasts. For leads of an hour and more; `None` with `motion`.
    pub steady: Option<Motion>,
    /// What the motion was found from.
    pub basis: Basis,
    /// Why the pictures gave no dense motion; `None` with [`Basis::Dense`].
    pub lack: Option<Lack>,
    /// How far off the motion is likely to be where it rains, km/h: the root mean square of the
    /// length of the miss. `None` without a motion.
    ///
    /// Measured on five areas of the open events as the difference from the motion of half an hour
    /// earlier over the root of two: 7.5, 6.7, 5.4, 8.1 and 4.7 km/h, stated 6.5, 6.1, 6.3, 7.6 and
    /// 5.1. One shift from pictures half an hour apart was off the dense motion by 12 to 31 km/h.
    pub error_km_h: Option<f64>,
    /// Pictures that were not used though they are near enough in time, oldest first.
    pub left_out: Vec<LeftOut>,
    /// `error_km_h` from place to place, on blocks of `errors::BLOCK` cells.
    errors: Option<Array2<f32>>,
}

/// What a motion was found from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Basis {
    /// A motion of its own for each place.
    Dense,
    /// One shift for the whole picture, from pictures too far apart for more.
    OneForAll,
    /// The usual drift of rain, handed in.
    Drift,
    /// Nothing.
    None,
}

/// Why pictures gave no dense motion.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lack {
    /// Fewer than two pictures that differ.
    Pictures,
    /// The pictures are farther than [`LAG_MAX_MIN`] apart.
    FarApart,
    /// The grid has too few cells.
    Cells,
    /// There is no rain to be seen.
    Rain,
    /// There is rain, but as even as a wall: it could go anywhere.
    Structure,
    /// The pictures have nothing in common.
    Likeness,
}

/// A picture that was not used.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LeftOut {
    /// Its index among those handed in.
    pub index: usize,
    /// Why.
    pub reason: Unfit,
}

/// Why a picture was not used.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unfit {
    /// It is the same, cell by cell, as the one before: a server that repeats itself.
    Repeated,
    /// The pictures before and after are more alike than either is to this one: it is corrupted.
    Unlike,
}

/// Pictures farther apart than this give no dense motion, minutes.
pub const LAG_MAX_MIN: f64 = 20.0;

/// Pictures farther apart than this say nothing at all, minutes: rain has changed too much. Our
/// choice; half an hour was measured, see [`Estimate::error_km_h`].
pub const LAG_LAST_MIN: f64 = 35.0;

/// Newest pictures that are compared each with an older one, and how the older pairs weigh. Mean CSI
/// less the reference library's over seven areas of the open events: three pairs 0.0043, four 0.0040.
const PAIRS: usize = 3;
const PAIR_WEIGHT: f64 = 0.8;

/// Nothing that rains goes faster, km a minute (240 km/h).
const FASTEST_KM_PER_MIN: f64 = 4.0;

/// Sizes at which pictures are compared: cells of 2, 4 and 8 of the picture's. On still larger ones
/// showers run together, and what they seem to do is anything.
const SIZES: usize = 3;

/// Smoothing of the final field, cells of the picture. Mean CSI less the reference library's over
/// seven areas (windows of 8 cells): 6 cells 0.0041, 10 cells 0.0042; over eight areas, each pair fitted
/// alone: 10 and 15 cells 0.0003 and 0.0004, 25 cells -0.0013, 40 cells -0.0045.
const FIELD_SIGMA: f64 = 10.0;

/// Smoothing of the steady field, cells of the picture. Mean Brier score of the three open events over
/// that of the 24-member reference ensemble, windows 15 to 45 and 30 to 120 minutes ahead, with the
/// field of [`FIELD_SIGMA`] alone: 0.930 and 0.948; with a steady field of 30 cells from an hour ahead
/// on 0.926 and 0.891; 45 cells 0.925 and 0.891; fields of 15 and 40, 60, 100 cells 0.925 and 0.888,
/// 0.925 and 0.909, 0.925 and 0.931.
const STEADY_SIGMA: f64 = 40.0;

/// How much the mean motion weighs against rain; it decides where there is none.
const MEAN_WEIGHT: f32 = 0.001;

/// A cell of the smoothed and scaled picture holds rain above this (a level of -12.9).
const RAIN_MIN: f32 = 2.1 / 45.0;

/// The final field's blocks, cells of the picture along a side: the flow's nodes.
const BLOCK: usize = 4;

/// Smallest side of a picture on which motion can be told, cells.
const SIDE_MIN: usize = 12;

/// Below this correlation two pictures have nothing in common: our choice. None of 123 starts in the
/// open events is below, and planted rain of another day is.
const CORRELATION_MIN: f64 = 0.2;

/// Motion from pictures of one grid, oldest first; `cell_km` is about the size of a cell.
///
/// Pictures within [`LAG_MAX_MIN`] of each other give a motion for each place, those within
/// [`LAG_LAST_MIN`] one for all; otherwise, and where there is no rain, too little structure or too
/// small a grid, [`Estimate::lack`] says what is lacking, and [`Estimate::or_drift`] can stand in.
///
/// # Examples
///
/// A shower that goes three cells east in five minutes:
///
/// ```
/// use fairspell_nowcast::{
///     advect::Position,
///     level,
///     motion::{Basis, LevelFrame, estimate},
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
/// let estimate = estimate(&frames, 1.0);
/// assert_eq!(estimate.basis, Basis::Dense);
/// let motion = estimate.motion.expect("two pictures with rain");
/// let (south, east) = motion.at(Position { row: 40.0, column: 33.0 });
/// assert!(south.abs() < 0.05);
/// assert!((east - 0.6).abs() < 0.05);
/// ```
///
/// # Source
///
/// B. Lucas and T. Kanade, "An iterative image registration technique", IJCAI (1981); pyramids as in
/// J.-Y. Bouguet's implementation note (2001). Lags, widths and the final smoothing: measured on the
/// open radar events, each with its constant.
pub fn estimate(frames: &[LevelFrame<'_>], cell_km: f64) -> Estimate {
    let mut left_out = Vec::new();
    match found(frames, cell_km, &mut left_out) {
        Ok(estimate) => Estimate { left_out, ..estimate },
        Err(lack) => Estimate {
            motion: None,
            steady: None,
            basis: Basis::None,
            lack: Some(lack),
            error_km_h: None,
            left_out,
            errors: None,
        },
    }
}

impl Estimate {
    /// With a usual drift of rain where the pictures tell nothing though there may be rain.
    ///
    /// `drift`: cells a minute, southward and eastward; `error_km_h`: how far off it usually is.
    #[must_use]
    pub fn or_drift(self, drift: (f64, f64), error_km_h: f64) -> Estimate {
        if self.motion.is_some() {
            return self;
        }
        Estimate {
            motion: Some(Motion::uniform(drift.0, drift.1)),
            steady: Some(Motion::uniform(drift.0, drift.1)),
            basis: Basis::Drift,
            error_km_h: Some(error_km_h),
            ..self
        }
    }

    /// How far off the motion is likely to be at a place, km/h; `None` without a motion.
    ///
    /// Where it doesn't rain the motion is that of the rain around, and this is how much that
    /// differs from place to place.
    pub fn error_km_h_at(&self, position: Position) -> Option<f64> {
        let Some(errors) = &self.errors else { return self.error_km_h };
        let block = errors::BLOCK as f64;
        let on_blocks = |cells: f64| (cells + 0.5) / block - 0.5;
        let (row, column) = (on_blocks(position.row), on_blocks(position.column));
        Some(value_at(errors, Position { row, column }))
    }
}

/// The motion, or what is lacking for one.
fn found(
    frames: &[LevelFrame<'_>],
    cell_km: f64,
    left_out: &mut Vec<LeftOut>,
) -> Result<Estimate, Lack> {
    let (rows, columns) = frames.last().ok_or(Lack::Pictures)?.level.dim();
    if rows.min(columns) < SIDE_MIN {
        return Err(Lack::Cells);
    }
    let mut usable = pairs::unrepeated(frames, left_out);
    let (mut chosen, lag_max_min) = pairs::chosen(frames, &usable)?;
    let mut wanted: Vec<usize> =
        chosen.iter().flat_map(|(older, newer)| [*older, *newer]).collect();
    wanted.sort_unstable();
    wanted.dedup();
    let pyramids: Vec<Vec<Picture>> =
        wanted.par_iter().map(|index| pyramid(frames[*index].level, SIZES)).collect();
    let pictures = |index: usize| {
        let at = wanted.partition_point(|other| *other < index);
        pyramids[at].as_slice()
    };
    if !pyramids.iter().any(|sizes| sizes[0].iter().any(|value| *value > RAIN_MIN)) {
        return Err(Lack::Rain);
    }
    let seen = pairs::Seen { frames, pictures: &pictures, cell_km };
    let mut shifts = seen.shifts(&chosen);
    let unlike = seen.unlike(&chosen, &shifts, &wanted);
    if !unlike.is_empty() {
        usable.retain(|index| !unlike.contains(index));
        left_out
            .extend(unlike.iter().map(|index| LeftOut { index: *index, reason: Unfit::Unlike }));
        left_out.sort_by_key(|left_out| left_out.index);
        // Of what is left only pictures that were looked at.
        usable.retain(|index| wanted.contains(index));
        chosen = pairs::within(frames, &usable, lag_max_min);
        shifts = seen.shifts(&chosen);
    }
    if shifts.iter().all(Option::is_none) {
        return Err(Lack::Structure);
    }
    let guess = seen.best(&chosen, &shifts).ok_or(Lack::Likeness)?;
    if guess.correlation < CORRELATION_MIN {
        return Err(Lack::Likeness);
    }
    if lag_max_min > LAG_MAX_MIN {
        return Ok(one_for_all(&seen, &chosen, guess, cell_km));
    }
    let pairs: Vec<Pair<'_>> = chosen
        .iter()
        .enumerate()
        .map(|(rank, (older, newer))| Pair {
            older: pictures(*older),
            newer: pictures(*newer),
            minutes: single(frames[*newer].time_min - frames[*older].time_min),
            weight: single(PAIR_WEIGHT.powf(rank as f64)),
        })
        .collect();
    let (flow, scores) = flow::joint(&pairs, guess.half_cells_per_min);
    let field = field(&pairs, &flow, FIELD_SIGMA);
    // Km/h from half-size cells a minute.
    let (errors, error_km_h) = errors::errors(&scores, &flow, &field.rain, 2.0 * cell_km * 60.0);
    Ok(Estimate {
        motion: Some(field.motion),
        steady: Some(self::field(&pairs, &flow, STEADY_SIGMA).motion),
        basis: Basis::Dense,
        lack: None,
        error_km_h: Some(error_km_h),
        left_out: Vec::new(),
        errors: Some(errors),
    })
}

/// One shift for the whole picture, from the coarsest size down to the finest.
fn one_for_all(
    seen: &pairs::Seen<'_>,
    chosen: &[(usize, usize)],
    guess: pairs::Guess,
    cell_km: f64,
) -> Estimate {
    let (older, newer) = chosen[0];
    let minutes = seen.frames[newer].time_min - seen.frames[older].time_min;
    let (older, newer) = ((seen.pictures)(older), (seen.pictures)(newer));
    let (down, right) = guess.half_cells_per_min;
    let (down, right) = shift::refined(older, newer, (down * minutes, right * minutes));
    let motion = Motion::uniform(2.0 * down / minutes, 2.0 * right / minutes);
    Estimate {
        motion: Some(motion.clone()),
        steady: Some(motion),
        basis: Basis::OneForAll,
        lack: Some(Lack::FarApart),
        error_km_h: Some(errors::one_for_all_km_h(minutes, cell_km)),
        left_out: Vec::new(),
        errors: None,
    }
}

/// A flow as a smooth field, the mean motion where it doesn't rain.
struct Field {
    motion: Motion,
    /// Share of rain around each node.
    rain: Array2<f32>,
}

fn field(pairs: &[Pair<'_>], flow: &Flow, sigma: f64) -> Field {
    let mut rain: Array2<f32> = Array2::zeros(flow.down.dim());
    let mut pair_weights = 0.0;
    for pair in pairs {
        rain.scaled_add(pair.weight, &rain_share(&pair.newer[0]));
        pair_weights += pair.weight;
    }
    rain.mapv_inplace(|sum| sum / pair_weights);
    let total = rain.sum().max(f32::MIN_POSITIVE);
    let weighted = [&flow.down * &rain, &flow.right * &rain];
    let mean = weighted.each_ref().map(|map| map.sum() / total);
    let sigma = sigma / BLOCK as f64;
    let width = Width { rows: sigma, columns: sigma };
    let (rain, [down, right]) =
        rayon::join(|| gaussian(&rain, width), || weighted.map(|map| gaussian(&map, width)));
    let blocks = Zip::from(&rain).and(&down).and(&right).map_collect(|rain, down, right| {
        let share = rain + MEAN_WEIGHT;
        // From half-size cells to cells.
        [
            2.0 * (down + MEAN_WEIGHT * mean[0]) / share,
            2.0 * (right + MEAN_WEIGHT * mean[1]) / share,
        ]
    });
    Field { motion: Motion::on_blocks(blocks, BLOCK), rain }
}

/// The share of cells with rain at each node.
fn rain_share(picture: &Picture) -> Array2<f32> {
    pyramid::halved_means(picture.mapv(|value| f32::from(u8::from(value > RAIN_MIN))))
}
