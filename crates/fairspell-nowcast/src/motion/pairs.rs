//! Which pictures to compare with which, and which not to believe.

use super::shift::{Shift, common_shift, correlation, nearest};
use super::{
    FASTEST_KM_PER_MIN, LAG_LAST_MIN, LAG_MAX_MIN, Lack, LeftOut, LevelFrame, PAIRS, Picture, Unfit,
};
use crate::level::WET_MIN;

/// Pictures about this far apart are compared, minutes: nearer, half cells decide the speed;
/// farther, the rain has changed. Mean CSI less the reference library's over eight areas of the open
/// events, each pair fitted alone: 5 minutes 0.0005 (but -0.007 in one area), 8 minutes 0.0004, 15
/// minutes -0.0002.
const LAG_MIN: f64 = 8.0;

/// A picture is corrupted when its neighbours are so much more alike than either is to it. None of
/// the pictures behind 123 starts in five areas of the open events is.
const UNLIKE: f64 = 0.25;

/// Indices of the pictures that do not repeat the one before.
///
/// Dry pictures may well be the same.
pub(super) fn unrepeated(frames: &[LevelFrame<'_>], left_out: &mut Vec<LeftOut>) -> Vec<usize> {
    let same = |index: usize| {
        let (one, other) = (frames[index - 1].level, frames[index].level);
        let equal = |(a, b): (&f32, &f32)| a.to_bits() == b.to_bits() || (a.is_nan() && b.is_nan());
        one.dim() == other.dim()
            && one.iter().zip(other).all(equal)
            && one.iter().any(|level| *level >= WET_MIN)
    };
    (0..frames.len())
        .filter(|index| {
            let repeated = *index > 0 && same(*index);
            if repeated {
                left_out.push(LeftOut { index: *index, reason: Unfit::Repeated });
            }
            !repeated
        })
        .collect()
}

/// Pairs (older, newer) to compare, the newest first, and how far apart they may be.
pub(super) fn chosen(
    frames: &[LevelFrame<'_>],
    usable: &[usize],
) -> Result<(Vec<(usize, usize)>, f64), Lack> {
    if usable.len() < 2 {
        return Err(Lack::Pictures);
    }
    for lag_max_min in [LAG_MAX_MIN, LAG_LAST_MIN] {
        let pairs = within(frames, usable, lag_max_min);
        if !pairs.is_empty() {
            return Ok((pairs, lag_max_min));
        }
    }
    Err(Lack::FarApart)
}

/// As [`chosen`], for one greatest lag.
pub(super) fn within(
    frames: &[LevelFrame<'_>],
    usable: &[usize],
    lag_max_min: f64,
) -> Vec<(usize, usize)> {
    let partner = |at: usize| {
        let newer = usable[at];
        let lag_min = |older: usize| frames[newer].time_min - frames[older].time_min;
        let miss = |older: usize| (lag_min(older) - LAG_MIN).abs();
        let best = usable[..at].iter().copied().min_by(|a, b| miss(*a).total_cmp(&miss(*b)))?;
        (lag_min(best) > 0.0 && lag_min(best) <= lag_max_min).then_some((best, newer))
    };
    (0..usable.len()).rev().take(PAIRS).filter_map(partner).collect()
}

/// The pictures looked at.
pub(super) struct Seen<'a> {
    pub(super) frames: &'a [LevelFrame<'a>],
    /// Sizes of a picture by its index.
    pub(super) pictures: &'a (dyn Fn(usize) -> &'a [Picture] + Sync),
    pub(super) cell_km: f64,
}

/// A first guess for all pairs.
#[derive(Debug, Clone, Copy)]
pub(super) struct Guess {
    /// Southward and eastward, cells of the half-size pictures a minute.
    pub(super) half_cells_per_min: (f64, f64),
    /// Mean correlation of the pairs under it.
    pub(super) correlation: f64,
}

impl Seen<'_> {
    fn minutes(&self, (older, newer): (usize, usize)) -> f64 {
        self.frames[newer].time_min - self.frames[older].time_min
    }

    /// The coarsest sizes of a pair and the half-size cells along the side of their cells.
    fn coarsest(&self, (older, newer): (usize, usize)) -> Option<(&Picture, &Picture, f64)> {
        let (older, newer) = ((self.pictures)(older), (self.pictures)(newer));
        Some((older.last()?, newer.last()?, 2.0_f64.powf((older.len() - 1) as f64)))
    }

    /// The one shift of each pair.
    pub(super) fn shifts(&self, pairs: &[(usize, usize)]) -> Vec<Option<Shift>> {
        pairs.iter().map(|pair| self.shift(*pair)).collect()
    }

    fn shift(&self, pair: (usize, usize)) -> Option<Shift> {
        let (older, newer, cell) = self.coarsest(pair)?;
        let reach = FASTEST_KM_PER_MIN * self.minutes(pair) / (2.0 * cell * self.cell_km);
        common_shift(older, newer, reach.max(1.0))
    }

    /// Of the pairs' shifts the one that suits all of them best.
    pub(super) fn best(&self, pairs: &[(usize, usize)], shifts: &[Option<Shift>]) -> Option<Guess> {
        let candidates = pairs.iter().zip(shifts).filter_map(|(pair, shift)| {
            let (_, _, cell) = self.coarsest(*pair)?;
            let per_min = |cells: isize| cells as f64 * cell / self.minutes(*pair);
            let (down, right) = (*shift)?.cells;
            Some((per_min(down), per_min(right)))
        });
        let guesses = candidates.map(|half_cells_per_min| {
            let correlations = pairs.iter().map(|pair| {
                let (older, newer, cell) = self.coarsest(*pair)?;
                let cells = |per_min: f64| nearest(per_min * self.minutes(*pair) / cell);
                let (down, right) = half_cells_per_min;
                correlation(older, newer, (cells(down), cells(right)))
            });
            let sum: f64 = correlations.map(|correlation| correlation.unwrap_or(0.0)).sum();
            Guess { half_cells_per_min, correlation: sum / pairs.len() as f64 }
        });
        guesses.max_by(|a, b| a.correlation.total_cmp(&b.correlation))
    }

    /// Pictures whose neighbours are much more alike than either is to them.
    ///
    /// Looked for only when a pair is much less alike than another.
    pub(super) fn unlike(
        &self,
        pairs: &[(usize, usize)],
        shifts: &[Option<Shift>],
        wanted: &[usize],
    ) -> Vec<usize> {
        let likeness = |shift: &Option<Shift>| shift.map_or(0.0, |shift| shift.correlation);
        let best = shifts.iter().map(likeness).fold(0.0, f64::max);
        if shifts.iter().all(|shift| likeness(shift) > best - UNLIKE) && pairs.len() > 1 {
            return Vec::new();
        }
        let like = |older: usize, newer: usize| likeness(&self.shift((older, newer)));
        let middle = wanted.windows(3).filter_map(|three| {
            let (before, at, after) = (three[0], three[1], three[2]);
            let own = like(before, at).max(like(at, after));
            (like(before, after) > own + UNLIKE).then_some(at)
        });
        // The newest and the oldest have neighbours on one side only.
        let end = |at: usize, next: usize, after: usize| {
            let (own, other) = (
                like(at.min(next), at.max(next)).max(like(at.min(after), at.max(after))),
                like(next.min(after), next.max(after)),
            );
            (other > own + UNLIKE).then_some(at)
        };
        let ends = match (wanted.first_chunk::<3>(), wanted.last_chunk::<3>()) {
            (Some([first, second, third]), Some([before, last_but_one, last])) => {
                [end(*first, *second, *third), end(*last, *last_but_one, *before)]
            }
            _ => [None, None],
        };
        middle.chain(ends.into_iter().flatten()).collect()
    }
}
