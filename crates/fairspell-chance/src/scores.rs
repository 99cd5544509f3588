//! How good stated chances were, once the sky has shown what it did.

use serde::{Deserialize, Serialize};

use crate::Probability;

/// One forecast and what came of it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Outcome {
    /// What was stated.
    pub p: Probability,
    /// Whether it happened.
    pub happened: bool,
}

/// Brier score: mean squared difference between what was stated and what happened (1 or 0).
///
/// 0 is perfect, 0.25 is what "always 50 %" gets. `None` without any outcome.
///
/// # Source
///
/// "Verification of forecasts expressed in terms of probability", Mon. Wea. Rev. 78 (1950), 1-3 (here
/// half of it, as is usual today).
pub fn brier_score(outcomes: &[Outcome]) -> Option<f64> {
    let sum: f64 = outcomes.iter().map(|o| (o.p.get() - indicator(o.happened)).powi(2)).sum();
    (!outcomes.is_empty()).then(|| sum / outcomes.len() as f64)
}

/// All forecasts that stated the same, or nearly the same: one dot of a reliability diagram.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ReliabilityRow {
    /// What was stated, on average.
    pub p: Probability,
    /// How many forecasts; never 0.
    pub count: usize,
    /// After how many of them it happened.
    pub happened: usize,
}

impl ReliabilityRow {
    /// How often it happened, 0 to 1. "Of evenings told 30 %, how many got rain here?"
    pub fn frequency(&self) -> f64 {
        self.happened as f64 / self.count as f64
    }

    /// 95 % range of that frequency for so few forecasts, taken as independent.
    ///
    /// A row is no evidence against a forecaster while the stated chance lies inside. Evenings of one
    /// week are not independent, so the true range is wider.
    ///
    /// # Source
    ///
    /// Wilson's score interval: "Probable inference, the law of succession, and statistical
    /// inference", J. Amer. Stat. Assoc. 22 (1927), 209-212.
    pub fn frequency_range(&self) -> (f64, f64) {
        const Z: f64 = 1.959963984540054;
        let (n, f) = (self.count as f64, self.frequency());
        let middle = f + Z * Z / (2.0 * n);
        let half = Z * (f * (1.0 - f) / n + Z * Z / (4.0 * n * n)).sqrt();
        let scale = 1.0 + Z * Z / n;
        (((middle - half) / scale).max(0.0), ((middle + half) / scale).min(1.0))
    }
}

/// One row for each distinct value that was stated, in ascending order.
pub fn reliability_by_value(outcomes: &[Outcome]) -> Vec<ReliabilityRow> {
    grouped(outcomes, |a, b| a.total_cmp(&b).is_eq())
}

/// One row for each of `bins` equal parts of 0..=1 in which something was stated, in ascending order.
///
/// For forecasts that take any value. The last part includes 1. No rows for no bins.
pub fn reliability_by_bin(outcomes: &[Outcome], bins: u32) -> Vec<ReliabilityRow> {
    if bins == 0 {
        return Vec::new();
    }
    let bin = |p: f64| (p * f64::from(bins)).floor().min(f64::from(bins - 1));
    grouped(outcomes, |a, b| bin(a).total_cmp(&bin(b)).is_eq())
}

/// The three parts of a Brier score.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct BrierParts {
    /// How far frequencies were from what was stated; small is good.
    pub reliability: f64,
    /// How far frequencies of different statements were from each other; large is good.
    pub resolution: f64,
    /// What the climate leaves open: the score of always stating the base rate.
    pub uncertainty: f64,
}

impl BrierParts {
    /// The parts, from a reliability table. `None` for an empty one.
    ///
    /// Exact when the rows are distinct values; with bins the score comes out without what varies
    /// inside each bin.
    ///
    /// # Source
    ///
    /// "A new vector partition of the probability score", J. Appl. Meteor. 12 (1973), 595-600.
    pub fn from_rows(rows: &[ReliabilityRow]) -> Option<Self> {
        let n: usize = rows.iter().map(|row| row.count).sum();
        if n == 0 {
            return None;
        }
        let n = n as f64;
        let base_rate = rows.iter().map(|row| row.happened).sum::<usize>() as f64 / n;
        let mean = |part: &dyn Fn(&ReliabilityRow) -> f64| {
            rows.iter()
                .filter(|row| row.count > 0)
                .map(|row| row.count as f64 * part(row))
                .sum::<f64>()
                / n
        };
        Some(Self {
            reliability: mean(&|row| (row.p.get() - row.frequency()).powi(2)),
            resolution: mean(&|row| (row.frequency() - base_rate).powi(2)),
            uncertainty: base_rate * (1.0 - base_rate),
        })
    }

    /// The Brier score that the parts add up to.
    pub fn brier_score(&self) -> f64 {
        self.reliability - self.resolution + self.uncertainty
    }

    /// Brier skill score against always stating the base rate: 1 perfect, 0 no better, negative
    /// worse. `None` when it always or never happened.
    pub fn skill(&self) -> Option<f64> {
        (self.uncertainty > 0.0).then(|| 1.0 - self.brier_score() / self.uncertainty)
    }
}

/// Area under the relative operating characteristic: the chance that a case in which it happened had
/// been given the higher figure than one in which it didn't, ties counting half.
///
/// 0.5 is guessing. Blind to calibration: halving all figures changes nothing. `None` unless it both
/// happened and didn't.
pub fn roc_area(outcomes: &[Outcome]) -> Option<f64> {
    let rows = reliability_by_value(outcomes);
    let happened: usize = rows.iter().map(|row| row.happened).sum();
    let not = outcomes.len() - happened;
    if happened == 0 || not == 0 {
        return None;
    }
    let (mut pairs, mut not_below) = (0.0, 0.0);
    for row in rows {
        let not_here = (row.count - row.happened) as f64;
        pairs += row.happened as f64 * (not_below + 0.5 * not_here);
        not_below += not_here;
    }
    Some(pairs / (happened as f64 * not as f64))
}

fn indicator(happened: bool) -> f64 {
    f64::from(u8::from(happened))
}

/// Sorts by what was stated and joins neighbours that belong together.
fn grouped(outcomes: &[Outcome], same: impl Fn(f64, f64) -> bool) -> Vec<ReliabilityRow> {
    let mut sorted = outcomes.to_vec();
    sorted.sort_by(|a, b| a.p.get().total_cmp(&b.p.get()));
    sorted
        .chunk_by(|a, b| same(a.p.get(), b.p.get()))
        .map(|group| ReliabilityRow {
            p: mean_stated(group),
            count: group.len(),
            happened: group.iter().filter(|o| o.happened).count(),
        })
        .collect()
}

fn mean_stated(group: &[Outcome]) -> Probability {
    let first = group[0].p;
    if group.iter().all(|o| o.p == first) {
        // The sum of equal values divided by their number is not always that value.
        return first;
    }
    Probability::clamped(group.iter().map(|o| o.p.get()).sum::<f64>() / group.len() as f64)
}
