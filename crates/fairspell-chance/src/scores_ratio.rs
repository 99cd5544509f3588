//! How sure it is that one forecaster is better than another, when cases are not independent.

use rand::{Rng, RngExt};
use serde::{Deserialize, Serialize};

/// Losses of two forecasters in cases that belong together, such as all places at one moment.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct PairedBlock {
    /// Sum of the one's losses (squared errors, for Brier scores).
    pub ours: f64,
    /// Sum of the other's losses in the same cases.
    pub theirs: f64,
}

/// One score over another, and how far that ratio could be chance.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ScoreRatio {
    /// Our score over theirs; below 1 ours is better.
    pub ratio: f64,
    /// 5th and 95th percentile of the ratio over redrawn blocks; `None` with fewer than two blocks,
    /// from which nothing can be drawn anew.
    pub range: Option<(f64, f64)>,
}

/// Ratio of two scores of the same cases, with its 90 % range from a paired bootstrap over blocks.
///
/// Places of one moment share one sky, so moments are drawn, with replacement and with both
/// forecasters together. Moments of one event are not independent either: the true range is wider.
///
/// - `draws`: how many times; 1000 settles the second decimal.
/// - `rng`: seeded by the caller, so that the range can be repeated.
///
/// `None` when the other has no losses, because nothing is a multiple of nothing. Draws in which
/// that happens are left out.
///
/// # Examples
///
/// ```
/// use fairspell_chance::{PairedBlock, score_ratio};
/// use rand::SeedableRng;
/// use rand_chacha::ChaCha8Rng;
///
/// // Better by a fifth at every start: no draw can make that another ratio.
/// let starts = [10.0, 25.0, 3.0].map(|theirs| PairedBlock { ours: 0.8 * theirs, theirs });
/// let found = score_ratio(&starts, 1000, &mut ChaCha8Rng::seed_from_u64(1)).expect("losses");
/// let (low, high) = found.range.expect("three blocks");
/// assert!((found.ratio - 0.8).abs() < 1e-12 && (low - 0.8).abs() < 1e-12);
/// assert!((high - 0.8).abs() < 1e-12);
/// ```
///
/// # Source
///
/// B. Efron, R. J. Tibshirani, "An Introduction to the Bootstrap" (1993), sections 8.5 and 13.3
/// (percentile interval); blocks by time as in D. S. Wilks, "Resampling hypothesis tests for
/// autocorrelated fields", J. Climate 10 (1997), 65-82.
pub fn score_ratio(blocks: &[PairedBlock], draws: usize, rng: &mut impl Rng) -> Option<ScoreRatio> {
    let ratio = ratio_of(blocks.iter())?;
    if blocks.len() < 2 {
        return Some(ScoreRatio { ratio, range: None });
    }
    let mut drawn: Vec<f64> = (0..draws)
        .filter_map(|_| {
            let picks: Vec<&PairedBlock> =
                blocks.iter().map(|_| &blocks[rng.random_range(0..blocks.len())]).collect();
            ratio_of(picks.into_iter())
        })
        .collect();
    drawn.sort_by(f64::total_cmp);
    let range = (!drawn.is_empty()).then(|| (quantile(&drawn, 5), quantile(&drawn, 95)));
    Some(ScoreRatio { ratio, range })
}

fn ratio_of<'a>(blocks: impl Iterator<Item = &'a PairedBlock>) -> Option<f64> {
    let (ours, theirs) =
        blocks.fold((0.0, 0.0), |sums, block| (sums.0 + block.ours, sums.1 + block.theirs));
    (theirs > 0.0).then(|| ours / theirs)
}

/// A percentile of sorted values, linear between them.
pub(crate) fn quantile(sorted: &[f64], percent: usize) -> f64 {
    let steps = (sorted.len() - 1) * percent;
    let (below, rest) = (steps / 100, (steps % 100) as f64 / 100.0);
    let above = (below + 1).min(sorted.len() - 1);
    sorted[below] + (sorted[above] - sorted[below]) * rest
}
