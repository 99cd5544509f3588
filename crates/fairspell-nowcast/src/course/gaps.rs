//! The chance of a dry gap at a place: what the neighbours say of it, and the gap formula.

use std::borrow::Cow;
use std::sync::OnceLock;

use super::{Changing, Course, GAP_NEIGHBOURS, corrected, is_long};
use crate::correction::Shift;
use crate::logistic::{GapPredictors, chance, log_odds, stretched};
use crate::narrow::whole;
use crate::upstream::Upstream;
use crate::window_counts::{Steps, WindowCounts, WindowTally, keep_runs_of_none};

/// How the widths of what is read of the neighbours whose series has the gap grow, km a minute.
pub(super) const GAP_GROWTHS: [f64; 2] = [0.1, 0.6];

/// The gap that the gap formula was fitted on, and how much longer than a gap the window must be
/// before it stands alone, minutes.
const GAP_FITTED_MIN: f64 = 25.0;
pub(super) const GAP_JOIN_MIN: f64 = 35.0;

/// What the neighbours say of gaps of some steps, by the sum of a window's first and last step.
#[derive(Debug)]
pub(super) struct GapMiddles {
    frames: usize,
    /// Whether they hold for windows whose steps don't fit in a word.
    is_long: bool,
    by_sum: Vec<OnceLock<GapMiddle>>,
}

/// What windows around one middle have in common, for the chance of a gap.
#[derive(Debug, Clone)]
pub(super) struct GapMiddle {
    /// Minutes from the newest picture.
    lead_min: f64,
    change: Changing,
    correction: Option<Shift>,
    /// Near neighbours and farther ones: those that have the gap within a window, by its length less
    /// that of the gap; and how many there are.
    dry: [(WindowCounts, f64); 2],
}

impl GapMiddle {
    /// The share of the neighbours that have the gap in a window in which it can begin up to so many
    /// steps after the first.
    pub(super) fn share(&self, run_begins: usize) -> f64 {
        let share =
            |(counts, all): &(WindowCounts, f64)| f64::from(counts.within(run_begins)) / all;
        self.dry.iter().map(share).sum::<f64>() / 2.0
    }
}

impl Course<'_> {
    /// Chance of a dry gap in a window; `None` in a window shorter than the gap and where too
    /// little was measured.
    ///
    /// Built like [`Course::p_rain`] from all windows within, hence never lower for a longer one. A
    /// window as long as the gap has it when no rain falls in it, and never when rain falls for sure.
    pub(crate) fn p_gap(&self, begin_min: f64, end_min: f64, gap_min: f64) -> Option<f64> {
        if gap_min.is_nan() || end_min - begin_min < gap_min - 1e-6 {
            return None;
        }
        if let Some((first, last)) = self.steps_within(begin_min, end_min)
            && !self.mostly_measured(first, last)
        {
            return None;
        }
        let dry = self.one_stretch_dry(begin_min, end_min, gap_min)?;
        Some(dry.max(self.some_run_dry(begin_min, end_min, gap_min)))
    }

    /// Chance that the driest of all stretches as long as the gap is dry throughout; they begin on
    /// whole minutes, and at both ends of the window.
    fn one_stretch_dry(&self, begin_min: f64, end_min: f64, gap_min: f64) -> Option<f64> {
        let last_begin_min = (end_min - gap_min).max(begin_min);
        let minutes = whole((last_begin_min.floor() - begin_min.ceil() + 1.0).max(0.0));
        (0..minutes)
            .map(|minute| begin_min.ceil() + minute as f64)
            .chain([begin_min, last_begin_min])
            .filter_map(|from_min| self.p_rain(from_min, (from_min + gap_min).min(end_min)))
            .map(|p_rain| 1.0 - p_rain)
            .reduce(f64::max)
    }

    /// Chance that somewhere in the window enough steps in a row are dry; 0 where so many do not fit.
    pub(super) fn some_run_dry(&self, begin_min: f64, end_min: f64, gap_min: f64) -> f64 {
        let frames = self.gap_frames(gap_min);
        let Some((first, last)) = self.gap_steps_within(begin_min, end_min, gap_min) else {
            return 0.0;
        };
        let rain = self.table_to(last);
        let mut best: f64 = 0.0;
        for i in first..=last + 1 - frames {
            let mut upstream = Upstream::NONE;
            for j in i..=last {
                upstream.add(self.arrival(j));
                if j + 1 < i + frames {
                    continue;
                }
                let dry = 1.0 - rain.p(i, j);
                let spare_min = (j + 1 - i) as f64 * self.nowcast.step_min - gap_min;
                let weight = (spare_min / GAP_JOIN_MIN).clamp(0.0, 1.0);
                let formula = if weight > 0.0 {
                    let middle = self.gap_middle(i + j, frames, is_long(last));
                    self.gap_log_odds((i, j), gap_min, &upstream, &middle)
                } else {
                    0.0
                };
                let joined = (1.0 - weight) * log_odds(dry) + weight * formula;
                best = best.max(dry).max(chance(joined));
            }
        }
        best
    }

    /// What windows around one middle have in common, for a gap of `frames` steps; kept for the gap
    /// that was asked for first.
    pub(super) fn gap_middle(
        &self,
        sum: usize,
        frames: usize,
        is_long: bool,
    ) -> Cow<'_, GapMiddle> {
        let make = || {
            if is_long {
                self.new_gap_middle::<u128>(sum, frames)
            } else {
                self.new_gap_middle::<u64>(sum, frames)
            }
        };
        let kept = self.gap_middles.get_or_init(|| GapMiddles {
            frames,
            is_long,
            by_sum: (0..2 * self.path.len()).map(|_| OnceLock::new()).collect(),
        });
        if (kept.frames, kept.is_long) == (frames, is_long) {
            Cow::Borrowed(kept.by_sum[sum].get_or_init(make))
        } else {
            Cow::Owned(make())
        }
    }

    pub(super) fn new_gap_middle<S: Steps>(&self, sum: usize, frames: usize) -> GapMiddle {
        let lead_min = self.lead_min(sum) / 2.0;
        let mut runs = [S::NONE; GAP_NEIGHBOURS];
        let dry = GAP_GROWTHS.map(|growth| {
            let width_km = self.width_km(growth, lead_min);
            let pattern = &self.nowcast.gap_pattern;
            let mut count: u8 = 0;
            self.nowcast.arrivals.around(self.place, width_km, pattern).for_each(|series| {
                // What is not known counts dry.
                runs[usize::from(count)] = S::of(series.wet);
                count += 1;
            });
            let runs = &mut runs[..usize::from(count)];
            keep_runs_of_none(runs, frames);
            // A run begins up to `frames - 1` steps before the window's end.
            let mut tally = WindowTally::new(sum + 1 - frames);
            for runs in runs {
                tally.add(*runs);
            }
            (tally.counts(), f64::from(count.max(1)))
        });
        GapMiddle {
            lead_min,
            change: self.change(lead_min),
            correction: self.gap_correction.map(|local| local.around(lead_min)),
            dry,
        }
    }

    /// The formula's log-odds of a gap within the steps `first..=last`.
    pub(super) fn gap_log_odds(
        &self,
        (first, last): (usize, usize),
        gap_min: f64,
        upstream: &Upstream,
        middle: &GapMiddle,
    ) -> f64 {
        let predictors = self.gap_predictors((first, last), gap_min, upstream, middle);
        corrected(middle.correction, predictors.log_odds())
    }

    /// What the formula reads of the steps `first..=last`.
    pub(super) fn gap_predictors(
        &self,
        (first, last): (usize, usize),
        gap_min: f64,
        upstream: &Upstream,
        middle: &GapMiddle,
    ) -> GapPredictors {
        let length_min = self.lead_min(last) - self.lead_min(first);
        let [near, farther, _] = upstream.share_max();
        let share = middle.share(last + 1 - self.gap_frames(gap_min) - first);
        GapPredictors {
            lead: (middle.lead_min / 30.0).ln(),
            // Twice the gap in twice the window is as likely, or nearly.
            length: (length_min * GAP_FITTED_MIN / gap_min.max(1.0) / 30.0).ln(),
            step: (self.nowcast.step_min / 5.0).ln(),
            share_max: [near, farther],
            share_mean: upstream.share_mean().map(stretched),
            level_mean: upstream.level_mean().map(|level| level.clamp(-0.5, 3.0)),
            birth: middle.change.birth,
            death: middle.change.death,
            trend: middle.change.trend / 5.0,
            neighbours: stretched(share),
        }
    }

    /// The gap formula's log-odds for a window; `None` where the gap does not fit.
    pub(crate) fn gap_formula(&self, begin_min: f64, end_min: f64, gap_min: f64) -> Option<f64> {
        let (first, last) = self.gap_steps_within(begin_min, end_min, gap_min)?;
        let middle = self.gap_middle(first + last, self.gap_frames(gap_min), is_long(last));
        Some(self.gap_log_odds((first, last), gap_min, &self.upstream(first, last), &middle))
    }

    /// The steps of a window, from the coming one on; `None` where a gap does not fit.
    pub(super) fn gap_steps_within(
        &self,
        begin_min: f64,
        end_min: f64,
        gap_min: f64,
    ) -> Option<(usize, usize)> {
        let (first, last) = self.steps_within(begin_min, end_min)?;
        // The newest picture stands for the minutes before it, which are over.
        let first = first.max(1);
        (last + 1 >= first + self.gap_frames(gap_min)).then_some((first, last))
    }

    /// Steps on end that make a gap.
    pub(super) fn gap_frames(&self, gap_min: f64) -> usize {
        whole((gap_min / self.nowcast.step_min - 1e-6).ceil()).max(1)
    }
}
