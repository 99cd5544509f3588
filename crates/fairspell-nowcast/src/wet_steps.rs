//! Whether the steps of one evening are wet, as bits: most questions are then a few instructions.

use crate::window_counts::keep_runs_of_none;

/// Steps of one evening: bit `k` is step `k`.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash)]
pub(crate) struct WetSteps {
    wet: u64,
    known: u64,
}

/// The most steps that there is room for.
pub(crate) const WET_STEPS_MAX: usize = 64;

impl WetSteps {
    /// From verdicts of at most [`WET_STEPS_MAX`] steps, `None` where not known.
    pub(crate) fn new(verdicts: impl Iterator<Item = Option<bool>>) -> Self {
        let mut steps = WetSteps::default();
        for (step, verdict) in verdicts.enumerate() {
            steps.wet |= u64::from(verdict == Some(true)) << step;
            steps.known |= u64::from(verdict.is_some()) << step;
        }
        steps
    }

    /// Whether any of the steps `first..=last` is wet; `None` where those that are known aren't, and
    /// others are not known.
    pub(crate) fn any_wet(self, first: usize, last: usize) -> Option<bool> {
        let asked = within(first, last);
        if self.wet & asked != 0 {
            return Some(true);
        }
        (self.known & asked == asked).then_some(false)
    }

    /// Whether `count` of the steps `first..=last` on end are dry; `None` where that hangs on what is
    /// not known.
    pub(crate) fn has_dry_run(self, first: usize, last: usize, count: usize) -> Option<bool> {
        let others = !within(first, last);
        let has_run = |wet: u64| {
            let mut runs = [wet | others];
            keep_runs_of_none(&mut runs, count);
            runs != [0]
        };
        if has_run(self.wet | !self.known) {
            return Some(true);
        }
        (!has_run(self.wet)).then_some(false)
    }

    /// Whether it is wet at a step, and the first step of `count` from which on that is different.
    pub(crate) fn run_from(self, step: usize, count: usize) -> (Option<bool>, usize) {
        let changes = (self.wet ^ (self.wet >> 1)) | (self.known ^ (self.known >> 1));
        let same = (changes >> step).trailing_zeros() as usize + 1;
        (self.any_wet(step, step), (step + same).min(count))
    }
}

/// The bits of steps `first..=last`.
fn within(first: usize, last: usize) -> u64 {
    (u64::MAX >> (WET_STEPS_MAX - 1 - last)) & (u64::MAX << first)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn any_wet(verdicts: &[Option<bool>]) -> Option<bool> {
        let wet = verdicts.contains(&Some(true));
        (wet || !verdicts.contains(&None)).then_some(wet)
    }

    /// Every stretch of so many steps, one by one.
    fn has_dry_run(verdicts: &[Option<bool>], count: usize) -> Option<bool> {
        let stretches: Vec<Option<bool>> = verdicts.windows(count).map(any_wet).collect();
        let dry = stretches.contains(&Some(false));
        (dry || !stretches.contains(&None)).then_some(dry)
    }

    proptest! {
        #[test]
        fn bits_say_what_the_steps_say_one_by_one(
            verdicts in prop::collection::vec(
                prop::sample::select(vec![Some(true), Some(false), Some(false), Some(false), None]),
                1..=WET_STEPS_MAX,
            ),
            count in 1..9_usize,
        ) {
            let steps = WetSteps::new(verdicts.iter().copied());
            let all = verdicts.len();
            for first in 0..all {
                for last in first..all {
                    let window = &verdicts[first..=last];
                    prop_assert_eq!(steps.any_wet(first, last), any_wet(window));
                    prop_assert_eq!(
                        steps.has_dry_run(first, last, count),
                        has_dry_run(window, count),
                        "{:?} {}", window, count
                    );
                }
            }
            let mut step = 0;
            for run in verdicts.chunk_by(|a, b| a == b) {
                prop_assert_eq!(steps.run_from(step, all), (run[0], step + run.len()));
                step += run.len();
            }
        }
    }
}
