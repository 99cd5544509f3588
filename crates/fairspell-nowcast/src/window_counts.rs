//! In how many series something happens within a window, for all windows around one middle.
//!
//! Windows around one middle lie within each other. So of each series only one number matters: how
//! far from the middle it first happens, on either side. A few instructions a series then serve all
//! the windows.

use std::ops::{BitAnd, Not, Shr};

use crate::arrivals::STEPS_MAX;
use crate::narrow::low_half;

/// Half lengths of windows, in whole steps; one more stands for "nowhere".
const HALF_LENGTHS: usize = STEPS_MAX.div_ceil(2);

/// The most series that can be counted.
pub(crate) const COUNT_MAX: usize = u8::MAX as usize;

/// A series of bits, one a step. In a single word of the processor it is counted twice as quickly as
/// in two.
pub(crate) trait Steps:
    Copy + Not<Output = Self> + BitAnd<Output = Self> + Shr<usize, Output = Self>
{
    /// The last step that has a bit.
    const LAST: usize;

    /// No step.
    const NONE: Self;

    /// The first steps of a whole series.
    fn of(series: u128) -> Self;

    /// How many steps down from `before`, or up from `after`, the nearest bit is; 64 and more for
    /// none.
    fn nearest(self, before: usize, after: usize) -> u32;

    /// Whether one of two steps has a bit.
    fn has_either(self, before: usize, after: usize) -> bool;
}

impl Steps for u64 {
    const LAST: usize = 63;
    const NONE: Self = 0;

    fn of(series: u128) -> Self {
        low_half(series)
    }

    fn nearest(self, before: usize, after: usize) -> u32 {
        let down = (self << (Self::LAST - before)).leading_zeros();
        down.min((self >> after).trailing_zeros())
    }

    fn has_either(self, before: usize, after: usize) -> bool {
        (self >> before | self >> after) & 1 == 1
    }
}

impl Steps for u128 {
    const LAST: usize = STEPS_MAX;
    const NONE: Self = 0;

    fn of(series: u128) -> Self {
        series
    }

    fn nearest(self, before: usize, after: usize) -> u32 {
        let down = (self << (Self::LAST - before)).leading_zeros();
        down.min((self >> after).trailing_zeros())
    }

    fn has_either(self, before: usize, after: usize) -> bool {
        (self >> before | self >> after) & 1 == 1
    }
}

/// Of each series the steps from which on `count` on end are not set.
///
/// Series after series at each shift: so a processor works on two and more side by side.
pub(crate) fn keep_runs_of_none<S: Steps>(series: &mut [S], count: usize) {
    for bits in series.iter_mut() {
        *bits = !*bits;
    }
    let mut length = 1;
    while length < count {
        let shift = length.min(count - length);
        for runs in series.iter_mut() {
            *runs = *runs & (*runs >> shift);
        }
        length += shift;
    }
}

/// Series that have something within a window, of all windows around one middle.
#[derive(Debug, Clone, Copy)]
pub(crate) struct WindowCounts {
    /// By half the length, rounded down: all windows around one middle are odd or even together.
    within: [u8; HALF_LENGTHS],
}

impl WindowCounts {
    /// Those of the window from `first` to `last` for a `length` of `last - first` steps.
    pub(crate) fn within(&self, length: usize) -> u8 {
        self.within[length / 2]
    }
}

/// Counts series one by one.
#[derive(Debug)]
pub(crate) struct WindowTally {
    /// First and last step of the shortest window.
    middle: (usize, usize),
    /// How many have something for the first time in the window of each half length.
    first_within: [u8; HALF_LENGTHS + 1],
    /// The same for the shortest, of those that were asked about that first.
    in_middle: u8,
}

impl WindowTally {
    /// For the windows whose first and last step add up to `sum`.
    pub(crate) fn new(sum: usize) -> Self {
        WindowTally {
            middle: (sum / 2, sum.div_ceil(2)),
            first_within: [0; HALF_LENGTHS + 1],
            in_middle: 0,
        }
    }

    /// Adds a series that says of each step whether it happens then. At most [`COUNT_MAX`] of them.
    pub(crate) fn add(&mut self, series: impl Steps) {
        let nearest = series.nearest(self.middle.0, self.middle.1) as usize;
        self.first_within[nearest.min(HALF_LENGTHS)] += 1;
    }

    /// As [`add`](Self::add), sooner where most series have something right in the middle.
    pub(crate) fn add_mostly_met(&mut self, series: impl Steps) {
        if series.has_either(self.middle.0, self.middle.1) {
            self.in_middle += 1;
        } else {
            self.add(series);
        }
    }

    /// What has been counted; of windows within [`Steps::LAST`].
    pub(crate) fn counts(self) -> WindowCounts {
        let mut total = self.in_middle;
        let within = std::array::from_fn(|half_length| {
            total += self.first_within[half_length];
            total
        });
        WindowCounts { within }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn check<S: Steps>(series: &[u128]) {
        for last in 0..=S::LAST {
            for first in [0, 1, last / 3, last / 2, last].into_iter().filter(|first| *first <= last)
            {
                let mut tally = WindowTally::new(first + last);
                let mut mostly_met = WindowTally::new(first + last);
                for bits in series {
                    tally.add(S::of(*bits));
                    mostly_met.add_mostly_met(S::of(*bits));
                }
                let counts = [tally.counts(), mostly_met.counts()];
                let found = counts.map(|counts| usize::from(counts.within(last - first)));
                let has = |bits: &&u128| (first..=last).any(|step| *bits >> step & 1 == 1);
                let expected = series.iter().filter(has).count();
                assert_eq!(found, [expected; 2], "{first}..={last} of {series:x?}");
            }
        }
    }

    proptest! {
        #[test]
        fn quick_counts_equal_those_of_each_window(
            series in prop::collection::vec(any::<u128>(), 0..9),
            few in any::<[u128; 4]>(),
        ) {
            // Few bits, so that windows of all lengths are needed.
            let few = few.iter().fold(u128::MAX, |all, bits| all & bits);
            let series: Vec<u128> = series.iter().map(|bits| bits & few).collect();
            check::<u64>(&series);
            check::<u128>(&series);
        }
    }

    fn check_runs<S: Steps>(wet: u128) {
        for (first, last) in [(0, 9), (2, 7), (3, 3)] {
            for count in 1..=10 {
                let dry_from = |from: usize| {
                    from + count <= last + 1
                        && (from..from + count).all(|step| wet >> step & 1 == 0)
                };
                let expected = (first..=last).any(dry_from);
                // The runs that end within the window, too, all with one middle.
                let found = last + 1 >= first + count && {
                    let mut tally = WindowTally::new(first + last + 1 - count);
                    let mut runs = [S::of(wet)];
                    keep_runs_of_none(&mut runs, count);
                    tally.add(runs[0]);
                    tally.counts().within(last + 1 - count - first) > 0
                };
                assert_eq!(found, expected, "{wet:b} {first}..={last} {count}");
            }
        }
    }

    #[test]
    fn the_quick_search_for_a_dry_run_equals_the_slow_one() {
        for wet in 0..1 << 10 {
            check_runs::<u64>(wet);
            check_runs::<u128>(wet);
        }
    }
}
