//! Scores of plain calls, "rain" or "dry", against what came.

use serde::{Deserialize, Serialize};

/// Counts of calls and outcomes.
///
/// Ratios are `None` where they would divide by nothing.
///
/// # Source
///
/// Definitions as in the WMO's terms for forecast verification.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Contingency {
    /// Called and came.
    pub hits: u32,
    /// Called and did not come.
    pub false_alarms: u32,
    /// Came without a call.
    pub misses: u32,
    /// Neither called nor came.
    pub correct_negatives: u32,
}

impl Contingency {
    fn cells(&self) -> [f64; 4] {
        [self.hits, self.false_alarms, self.misses, self.correct_negatives].map(f64::from)
    }

    /// Probability of detection: share of events that were called.
    pub fn detection_probability(&self) -> Option<f64> {
        let [a, _, c, _] = self.cells();
        ratio(a, a + c)
    }

    /// False alarm **ratio**: share of calls that did not come.
    pub fn false_alarm_ratio(&self) -> Option<f64> {
        let [a, b, ..] = self.cells();
        ratio(b, a + b)
    }

    /// False alarm **rate**: share of non-events that were called.
    pub fn false_alarm_rate(&self) -> Option<f64> {
        let [_, b, _, d] = self.cells();
        ratio(b, b + d)
    }

    /// Critical success index: hits among all that was called or came.
    pub fn critical_success_index(&self) -> Option<f64> {
        let [a, b, c, _] = self.cells();
        ratio(a, a + b + c)
    }

    /// Calls per event; above 1 cries wolf.
    pub fn frequency_bias(&self) -> Option<f64> {
        let [a, b, c, _] = self.cells();
        ratio(a + b, a + c)
    }

    /// Peirce skill score: detection less false alarm rate; 0 for calling at random.
    pub fn peirce_skill(&self) -> Option<f64> {
        Some(self.detection_probability()? - self.false_alarm_rate()?)
    }

    /// Heidke skill score: share of right calls, against chance.
    pub fn heidke_skill(&self) -> Option<f64> {
        let [a, b, c, d] = self.cells();
        ratio(2.0 * (a * d - b * c), (a + c) * (c + d) + (a + b) * (b + d))
    }
}

fn ratio(numerator: f64, denominator: f64) -> Option<f64> {
    (denominator > 0.0).then(|| numerator / denominator)
}
