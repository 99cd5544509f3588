//! The parts of a Brier score when chances are put into bins, with what varies inside the bins.

use serde::{Deserialize, Serialize};

use crate::{BrierParts, Outcome, reliability_by_bin};

/// The five parts of a Brier score over bins; they add up to it exactly.
///
/// [`BrierParts`] over bins leaves out what varies inside each bin, so that its parts miss the score
/// by up to the square of a bin's width. That matters when two forecasters differ by a per cent.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct BinnedBrier {
    /// How far frequencies were from what was stated; small is good.
    pub reliability: f64,
    /// How far the bins' frequencies were from each other; large is good.
    pub resolution: f64,
    /// What the climate leaves open: the score of always stating the base rate.
    pub uncertainty: f64,
    /// How much what was stated varied inside the bins; adds to the score.
    pub within_bin_variance: f64,
    /// Twice how much that variation went along with what happened; is taken from the score.
    pub within_bin_covariance: f64,
}

impl BinnedBrier {
    /// The parts over `bins` equal parts of 0..=1.
    ///
    /// `None` without any outcome or any bin.
    ///
    /// # Examples
    ///
    /// ```
    /// use fairspell_chance::{BinnedBrier, Outcome, Probability, brier_score};
    ///
    /// // 32 % and 38 % fall into one bin of ten; it rained after the higher one.
    /// let told = [(32.0, false), (38.0, true), (90.0, true)].map(|(percent, happened)| Outcome {
    ///     p: Probability::from_percent(percent).expect("a percentage"),
    ///     happened,
    /// });
    /// let parts = BinnedBrier::new(&told, 10).expect("three outcomes");
    /// let score = brier_score(&told).expect("three outcomes");
    /// assert!((parts.brier_score() - score).abs() < 1e-12);
    /// assert!(parts.within_bin_covariance > 0.0);
    /// ```
    ///
    /// # Source
    ///
    /// D. B. Stephenson, C. A. S. Coelho, I. T. Jolliffe, "Two extra components in the Brier score
    /// decomposition", Weather and Forecasting 23 (2008), 752-757.
    pub fn new(outcomes: &[Outcome], bins: u32) -> Option<Self> {
        let rows = reliability_by_bin(outcomes, bins);
        let parts = BrierParts::from_rows(&rows)?;
        let mut sorted = outcomes.to_vec();
        sorted.sort_by(|a, b| a.p.get().total_cmp(&b.p.get()));
        // The rows are runs of the sorted outcomes.
        let mut rest = sorted.as_slice();
        let (mut variance, mut covariance) = (0.0, 0.0);
        for row in &rows {
            let (bin, after) = rest.split_at(row.count);
            rest = after;
            for outcome in bin {
                let off = outcome.p.get() - row.p.get();
                variance += off * off;
                covariance += off * (f64::from(u8::from(outcome.happened)) - row.frequency());
            }
        }
        let count = outcomes.len() as f64;
        Some(BinnedBrier {
            reliability: parts.reliability,
            resolution: parts.resolution,
            uncertainty: parts.uncertainty,
            within_bin_variance: variance / count,
            within_bin_covariance: 2.0 * covariance / count,
        })
    }

    /// The Brier score that the parts add up to.
    pub fn brier_score(&self) -> f64 {
        self.reliability - self.resolution + self.uncertainty + self.within_bin_variance
            - self.within_bin_covariance
    }
}
