//! Chances of rain in all windows of a place, worked out step by step.
//!
//! Whatever windows share is worked out once: what lies around their middle, what their length makes,
//! and the air from their first step on, to which each last step adds its own.

use crate::course::{Course, Length, Middle, Step, is_long};
use crate::upstream::Upstream;

/// What comes, from step 0 on; it can be extended.
#[derive(Debug, Clone, Default)]
pub(crate) struct RainTable {
    steps: Vec<Step>,
    /// Chance of rain in each window: for each last step, one for each first step up to it.
    p: Vec<f64>,
    /// By the sum of a window's first and last step.
    middles: Vec<Middle>,
    /// By the steps from a window's first to its last.
    lengths: Vec<Length>,
    /// By the first step, up to the last of all.
    upstream: Vec<Upstream>,
}

impl RainTable {
    /// What was found of a step.
    pub(crate) fn step(&self, step: usize) -> &Step {
        &self.steps[step]
    }

    /// Chance of rain in the steps `first..=last`, at least that of every window within.
    pub(crate) fn p(&self, first: usize, last: usize) -> f64 {
        self.p[before(last) + first]
    }

    /// The last step that it reaches.
    pub(crate) fn last(&self) -> usize {
        self.steps.len().saturating_sub(1)
    }

    /// The same table with all windows up to a step; both fit in a word, or neither does
    /// ([`is_long`]).
    pub(crate) fn extended(mut self, course: &Course<'_>, last: usize) -> Self {
        self.middles
            .extend((self.middles.len()..=2 * last).map(|sum| course.middle(sum, is_long(last))));
        self.lengths.extend((self.lengths.len()..=last).map(|steps| course.length(steps)));
        for step in self.steps.len()..=last {
            self.add_windows_to(course, step);
        }
        self
    }

    /// Adds the next step and the windows that end with it.
    fn add_windows_to(&mut self, course: &Course<'_>, last: usize) {
        let arrival = course.arrival(last);
        self.upstream.push(Upstream::NONE);
        // What is now is known; the formula is asked about what comes.
        let coming = last.min(1);
        self.upstream[coming..].iter_mut().for_each(|upstream| upstream.add(arrival));
        let step =
            course.step(last, &self.middles[2 * last], &self.lengths[0], &self.upstream[last]);
        let column = before(last);
        self.p.resize(column + last + 1, step.p_rain);
        self.steps.push(step);
        for first in (0..last).rev() {
            let p = course.p_within(
                &self.middles[first + last],
                &self.lengths[last - first],
                &self.upstream[first.max(coming)],
            );
            let within = self.p[column + first + 1].max(self.p(first, last - 1));
            self.p[column + first] = p.max(within);
        }
    }
}

/// How many windows end before a step.
fn before(last: usize) -> usize {
    last * (last + 1) / 2
}
