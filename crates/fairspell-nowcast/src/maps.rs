//! Smoothed maps of the newest picture, made once and read at every place asked for.

use ndarray::{Array2, Zip};
use rayon::prelude::*;

use crate::advect::{Motion, Position};
use crate::edge_distance::edge_distance_km;
use crate::level::{DRY, WET_MIN};
use crate::narrow::cell_and_rest;
use crate::smooth::Width;
use crate::thinned::{Thinned, Thinning};

/// Level of a place of which next to nothing is known.
const LEVEL_FILL: f32 = -13.0;

/// Rates above this are clutter, mm/h.
const RATE_MAX_MM_H: f32 = 150.0;

/// Octaves of smoothing, from 1 km up: wet share to 64 km, level to 16 km, rate to 32 km.
const SHARE_OCTAVES: usize = 7;
const LEVEL_OCTAVES: usize = 5;
const RATE_OCTAVES: usize = 6;

/// Widths of the comparison with older pictures, km.
const CHANGE_KM: f64 = 30.0;
const TREND_KM: f64 = 15.0;

/// Draws births and deaths to the domain's where there is little to count.
const CHANGE_PRIOR: f32 = 0.05;

/// One quantity smoothed at 1, 2, 4, ... km.
#[derive(Debug)]
pub(crate) struct Ladder {
    maps: Vec<Thinned>,
}

impl Ladder {
    /// The value at a place, smoothed with any width: linear in the width's logarithm.
    pub(crate) fn at(&self, position: Position, width_km: f64) -> f64 {
        let (octave, rest) = cell_and_rest(width_km.log2(), self.maps.len());
        let narrow = self.maps[octave].at(position);
        match self.maps.get(octave + 1) {
            Some(wide) if rest > 0.0 => narrow + (wide.at(position) - narrow) * rest,
            _ => narrow,
        }
    }
}

/// The newest picture, smoothed.
#[derive(Debug)]
pub(crate) struct Maps {
    /// Share of wet cells.
    pub(crate) wet_share: Ladder,
    /// Mean rain level.
    pub(crate) level: Ladder,
    /// Mean rain rate, mm/h.
    pub(crate) rain_rate: Ladder,
    /// Signed distance to the edge of the rain, km.
    pub(crate) edge_km: Array2<f32>,
    /// Share of wet cells among all that are known.
    pub(crate) domain_wet_share: f64,
}

/// A picture taken apart: each map is 0 where nothing is known.
pub(crate) struct Parts {
    known: Array2<f32>,
    wet: Array2<f32>,
    level: Array2<f32>,
}

impl Parts {
    /// From levels with NaN where not measured.
    pub(crate) fn new(level: &Array2<f32>) -> Self {
        Parts {
            known: level.mapv(|level| f32::from(!level.is_nan())),
            wet: level.mapv(|level| f32::from(level >= WET_MIN)),
            level: level.mapv(|level| if level.is_nan() { 0.0 } else { level }),
        }
    }
}

impl Maps {
    /// `cell_km`: height and width of a cell.
    pub(crate) fn new(parts: &Parts, rain_rate_mm_h: &Array2<f32>, cell_km: (f64, f64)) -> Self {
        let known = parts.known.sum();
        let domain_wet_share = if known > 0.0 { parts.wet.sum() / known } else { 0.0 };
        let rate = rain_rate_mm_h
            .mapv(|rate| if rate.is_finite() { rate.clamp(0.0, RATE_MAX_MM_H) } else { 0.0 });
        let smooth = |octave: usize| {
            let width_km = 2.0_f64.powf(octave as f64);
            let gaussian = Thinning::new(&parts.known, width(width_km, cell_km));
            (
                gaussian.mean(&parts.wet, domain_wet_share),
                (octave < LEVEL_OCTAVES).then(|| gaussian.mean(&parts.level, LEVEL_FILL)),
                (octave < RATE_OCTAVES).then(|| gaussian.mean(&rate, 0.0)),
            )
        };
        let (smoothed, edge_km) = rayon::join(
            || (0..SHARE_OCTAVES).into_par_iter().map(smooth).collect::<Vec<_>>(),
            || edge_distance_km(&parts.wet, cell_km),
        );
        let mut maps = Maps {
            wet_share: Ladder { maps: Vec::new() },
            level: Ladder { maps: Vec::new() },
            rain_rate: Ladder { maps: Vec::new() },
            edge_km,
            domain_wet_share: f64::from(domain_wet_share),
        };
        for (share, level, rate) in smoothed {
            maps.wet_share.maps.push(share);
            maps.level.maps.extend(level);
            maps.rain_rate.maps.extend(rate);
        }
        maps
    }
}

/// How the rain has changed, apart from moving, since an older picture.
#[derive(Debug)]
pub(crate) struct Change {
    /// Age of the older picture at the newest, minutes.
    pub(crate) lag_min: f64,
    /// Share of what would be dry that has become wet around a place.
    pub(crate) born: Thinned,
    /// Share of what would be wet that has become dry around a place.
    pub(crate) died: Thinned,
    /// Level against what it would be, around a place; 0 where both are dry.
    pub(crate) trend: Thinned,
    /// The domain's shares, for places off the grid.
    pub(crate) domain_born: f64,
    /// As `domain_born`.
    pub(crate) domain_died: f64,
}

impl Change {
    /// Compares the newest levels with older ones carried along the motion.
    pub(crate) fn since(
        older: &Array2<f32>,
        lag_min: f64,
        newest: &Array2<f32>,
        motion: &Motion,
        cell_km: (f64, f64),
    ) -> Self {
        let carried = motion.carry_for_show(older, lag_min);
        let zip = |value: fn(f32, f32) -> f32| {
            Zip::from(newest).and(&carried).map_collect(|now, was| {
                if now.is_nan() || was.is_nan() { 0.0 } else { value(*now, *was) }
            })
        };
        let known = zip(|_, _| 1.0);
        let was_wet = zip(|_, was| f32::from(is_wet(was)));
        let was_dry = &known - &was_wet;
        let born = zip(|now, was| f32::from(is_wet(now) && !is_wet(was)));
        let died = zip(|now, was| f32::from(!is_wet(now) && is_wet(was)));
        let trend = zip(|now, was| if now > DRY || was > DRY { now - was } else { 0.0 });
        let share = |part: &Array2<f32>, whole: &Array2<f32>| part.sum() / whole.sum().max(1.0);
        let (domain_born, domain_died) = (share(&born, &was_dry), share(&died, &was_wet));
        let gaussian = Thinning::new(&known, width(CHANGE_KM, cell_km));
        let rate = |part: &Array2<f32>, whole: &Array2<f32>, domain: f32, fill: f32| {
            let rate = gaussian.mean(part, fill * domain);
            rate.with(&gaussian.mean(whole, fill), |part, whole| {
                (part + CHANGE_PRIOR * domain) / (whole.max(0.0) + CHANGE_PRIOR)
            })
        };
        let near = Thinning::new(&known, width(TREND_KM, cell_km));
        let ((born, died), trend) = rayon::join(
            || {
                rayon::join(
                    || rate(&born, &was_dry, domain_born, 1.0),
                    || rate(&died, &was_wet, domain_died, 1.0),
                )
            },
            || near.mean(&trend, 0.0),
        );
        Change {
            lag_min,
            born,
            died,
            trend,
            domain_born: f64::from(domain_born),
            domain_died: f64::from(domain_died),
        }
    }
}

fn is_wet(level: f32) -> bool {
    level >= WET_MIN
}

/// A width on the ground in cells.
fn width(km: f64, (row_km, column_km): (f64, f64)) -> Width {
    Width { rows: km / row_km, columns: km / column_km }
}

/// Levels of a picture of rates.
pub(crate) fn levels(rain_rate_mm_h: &Array2<f32>) -> Array2<f32> {
    let mut levels = rain_rate_mm_h.clone();
    levels.mapv_inplace(crate::level::from_rain_rate);
    levels
}
