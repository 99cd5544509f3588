//! What windows that have ended say about those to come.
//!
//! The formulas were fitted on other days. How well they do today is seen every few minutes, when a
//! window ends for which they were asked: two numbers correct the level and the sharpness of what they
//! say, and what error remains around a place is carried over. Windows that ended long ago, and those
//! farther or nearer ahead than the one asked about, count less.
//!
//! # Source
//!
//! Recalibration of log-odds by two numbers: J. Platt, "Probabilistic outputs for support vector
//! machines" (1999); forgetting: A. Raftery and others, Technometrics 52 (2010), 52-66. The priors,
//! the half-life and the local remainder: measured on three open radar events, where half-lives of 30
//! to 120 minutes, gains of 1 to 4 and priors of 4 to 36 cases differ by less than half a per cent.
//! Without the prior points 50 km apart made rain +15 two per cent worse.

use crate::logistic::chance;
use crate::narrow::cell_and_rest;

/// So many independent cases a window with all its points is worth.
const CASES: f64 = 20.0;

/// A window that ended so long ago counts half, minutes.
const HALF_LIFE_MIN: f64 = 120.0;

/// Standard deviations of the two numbers before anything is known.
const LEVEL_SD: f64 = 0.7;
const SHARPNESS_SD: f64 = 0.25;

/// How far the remainder reaches, km, and how much of it is carried over.
const REMAINDER_KM: f64 = 30.0;
const REMAINDER_GAIN: f64 = 2.5;

/// Draws the remainder to nothing where few windows have ended at few points near: as if so many
/// cases had come as said.
const REMAINDER_PRIOR: f64 = 8.0;

/// Middles of the windows for which the correction is worked out, minutes; linear in the logarithm in
/// between.
const MIDDLES_MIN: [f64; 5] = [15.0, 30.0, 45.0, 75.0, 120.0];

const NEWTON_STEPS: i32 = 10;

/// A window that has ended, at all points of the record.
#[derive(Debug)]
pub(crate) struct Ended<'a> {
    /// Middle of the window, minutes ahead of the picture it was asked at.
    pub(crate) middle_min: f64,
    /// Minutes since it ended.
    pub(crate) age_min: f64,
    /// What was said, log-odds; NaN where nothing was.
    pub(crate) log_odds: Vec<f32>,
    /// Whether it came; `None` where it was not measured.
    pub(crate) came: &'a [Option<bool>],
}

impl Ended<'_> {
    /// Point, log-odds said, and 1 or 0 for what came.
    pub(crate) fn cases(&self) -> impl Iterator<Item = (usize, f64, f64)> + '_ {
        self.log_odds.iter().zip(self.came).enumerate().filter_map(|(point, (eta, came))| {
            let came = f64::from(u8::from((*came)?));
            (!eta.is_nan()).then_some((point, f64::from(*eta), came))
        })
    }

    /// How much it still counts, 0 to 1.
    pub(crate) fn fading(&self) -> f64 {
        0.5_f64.powf(self.age_min / HALF_LIFE_MIN)
    }
}

/// Level and sharpness for one middle, and the remainders at the points.
#[derive(Debug, Clone)]
struct Fit {
    level: f64,
    sharpness: f64,
    /// Sums over ended windows at each point: remainder, and weight where known.
    remainders: Vec<[f64; 2]>,
}

/// The correction of one question (rain, or a gap).
#[derive(Debug, Clone)]
pub(crate) struct Correction {
    /// Level and sharpness for each middle.
    fits: [[f64; 2]; MIDDLES_MIN.len()],
    /// At each point, for each middle: sums over ended windows of the remainder, and of the weight.
    remainders: Vec<[[f64; 2]; MIDDLES_MIN.len()]>,
}

/// How much each point of the record counts at a place, from their distances.
pub(crate) fn distances_weighed(distances_km: impl Iterator<Item = f64>) -> Vec<f64> {
    distances_km.map(|km| (-0.5 * (km / REMAINDER_KM).powi(2)).exp()).collect()
}

/// A correction at a place for windows around one middle.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Shift {
    level: f64,
    sharpness: f64,
    remainder: f64,
}

impl Shift {
    /// What the formula's log-odds become.
    pub(crate) fn corrected(&self, log_odds: f64) -> f64 {
        log_odds + self.level + self.sharpness * log_odds + self.remainder
    }
}

/// A correction at a place: level, sharpness, and the remainder as log-odds.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Local {
    shifts: [[f64; 3]; MIDDLES_MIN.len()],
}

impl Correction {
    /// From windows that have ended; `points`: how many there are. `None` without any case.
    pub(crate) fn new(ended: &[Ended<'_>], points: usize) -> Option<Self> {
        ended.iter().any(|window| window.cases().next().is_some()).then(|| {
            let fits = MIDDLES_MIN.map(|middle_min| fit(ended, points, middle_min));
            let remainders = |point: usize| fits.each_ref().map(|fit| fit.remainders[point]);
            Correction {
                remainders: (0..points).map(remainders).collect(),
                fits: fits.each_ref().map(|fit| [fit.level, fit.sharpness]),
            }
        })
    }

    /// The correction at a place; `near`: the points of the record [weighed](distances_weighed).
    pub(crate) fn at(&self, near: &[f64]) -> Local {
        let mut sums = [[0.0, REMAINDER_PRIOR]; MIDDLES_MIN.len()];
        for (near, remainders) in near.iter().zip(&self.remainders) {
            for (sum, remainder) in
                sums.as_flattened_mut().iter_mut().zip(remainders.as_flattened())
            {
                *sum += near * remainder;
            }
        }
        let shifts = std::array::from_fn(|middle| {
            let ([level, sharpness], [remainder, cases]) = (self.fits[middle], sums[middle]);
            [level, sharpness, REMAINDER_GAIN * remainder / cases]
        });
        Local { shifts }
    }
}

impl Local {
    /// The correction of windows around `middle_min`.
    pub(crate) fn around(&self, middle_min: f64) -> Shift {
        let after = MIDDLES_MIN.iter().position(|known| *known >= middle_min);
        let after = after.unwrap_or(MIDDLES_MIN.len() - 1).max(1);
        let (low, high) = (MIDDLES_MIN[after - 1].ln(), MIDDLES_MIN[after].ln());
        let (_, share) = cell_and_rest((middle_min.max(1.0).ln() - low) / (high - low), 2);
        let share = if middle_min >= MIDDLES_MIN[after] { 1.0 } else { share };
        let (a, b) = (self.shifts[after - 1], self.shifts[after]);
        let [level, sharpness, remainder] =
            std::array::from_fn(|part| a[part] + (b[part] - a[part]) * share);
        Shift { level, sharpness, remainder }
    }
}

fn fit(ended: &[Ended<'_>], points: usize, middle_min: f64) -> Fit {
    // Cases gathered by what was said, a tenth of log-odds apart: (log-odds, weight, weight that came).
    let mut bins = vec![(0.0, 0.0, 0.0); 161];
    for window in ended {
        let count = window.cases().count() as f64;
        let alike = (window.middle_min / middle_min).min(middle_min / window.middle_min);
        let weight = CASES * window.fading() * alike / count.max(1.0);
        for (_, eta, came) in window.cases() {
            let (bin, _) = cell_and_rest((eta + 8.0) * 10.0 + 0.5, 161);
            let bin = &mut bins[bin];
            *bin = (bin.0 + weight * eta, bin.1 + weight, bin.2 + weight * came);
        }
    }
    bins.retain(|(_, weight, _)| *weight > 0.0);
    for bin in &mut bins {
        bin.0 /= bin.1;
    }
    let [level, sharpness] = level_and_sharpness(&bins);
    let miss = |window: &Ended<'_>| (window.middle_min / middle_min).ln().abs();
    let nearest = ended.iter().map(miss).fold(f64::INFINITY, f64::min);
    let mut remainders = vec![[0.0, 0.0]; points];
    for window in ended.iter().filter(|window| miss(window) <= nearest + 1e-9) {
        let fading = window.fading();
        for (point, eta, came) in window.cases() {
            let p = chance(eta + level + sharpness * eta);
            let sums = &mut remainders[point];
            *sums = [sums[0] + fading * (came - p), sums[1] + fading];
        }
    }
    Fit { level, sharpness, remainders }
}

/// The two numbers that make (log-odds, weight, weight that came) most likely, given their priors.
fn level_and_sharpness(bins: &[(f64, f64, f64)]) -> [f64; 2] {
    let prior = [LEVEL_SD.powi(-2), SHARPNESS_SD.powi(-2)];
    let log_likelihood = |[level, sharpness]: [f64; 2]| {
        let said = bins.iter().map(|(eta, weight, came)| {
            let corrected = eta + level + sharpness * eta;
            came * corrected - weight * softplus(corrected)
        });
        said.sum::<f64>() - 0.5 * (prior[0] * level.powi(2) + prior[1] * sharpness.powi(2))
    };
    let mut found = [0.0, 0.0];
    for _ in 0..NEWTON_STEPS {
        let [level, sharpness] = found;
        let mut gradient = [-level * prior[0], -sharpness * prior[1]];
        let mut curvature = [prior[0], 0.0, prior[1]];
        for (eta, weight, came) in bins {
            let p = chance(eta + level + sharpness * eta);
            let (miss, slope) = (came - weight * p, weight * p * (1.0 - p));
            gradient[0] += miss;
            gradient[1] += miss * eta;
            curvature[0] += slope;
            curvature[1] += slope * eta;
            curvature[2] += slope * eta * eta;
        }
        let [aa, ab, bb] = curvature;
        let determinant = aa * bb - ab * ab;
        let step = [
            (bb * gradient[0] - ab * gradient[1]) / determinant,
            (aa * gradient[1] - ab * gradient[0]) / determinant,
        ];
        // Where much that was called sure did not come, a full step overshoots.
        let here = log_likelihood(found);
        let taken = (0..NEWTON_STEPS)
            .map(|halvings| 0.5_f64.powi(halvings))
            .map(|share| [level + share * step[0], sharpness + share * step[1]])
            .find(|there| log_likelihood(*there) >= here);
        let Some(taken) = taken else { break };
        found = taken;
    }
    found
}

/// ln(1 + e^x), without overflow.
fn softplus(x: f64) -> f64 {
    x.max(0.0) + (-x.abs()).exp().ln_1p()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// From windows that were said to be even or likely, and in which rain came to a third.
    fn correction(age_min: f64, windows: usize) -> Correction {
        let came: Vec<Option<bool>> = (0..300)
            .map(|point| Some(point % 6 == 0 || point % 3 == 1 && point % 2 == 1))
            .collect();
        let log_odds = |point: usize| if point.is_multiple_of(2) { 0.0 } else { 2.0 };
        let window = |_| Ended {
            middle_min: 30.0,
            age_min,
            log_odds: (0..300).map(log_odds).collect(),
            came: &came,
        };
        let ended: Vec<Ended<'_>> = (0..windows).map(window).collect();
        Correction::new(&ended, 300).unwrap()
    }

    #[test]
    fn many_ended_windows_bring_what_is_said_to_what_came() {
        let local = correction(5.0, 40).at(&[1.0; 300]);
        // Said even odds, and rain came at a third of those points; said 0.88, and it came at a third.
        let even = chance(local.around(30.0).corrected(0.0));
        let sure = chance(local.around(30.0).corrected(2.0));
        assert!((even - 1.0 / 3.0).abs() < 0.1, "{even}");
        assert!((sure - 1.0 / 3.0).abs() < 0.2, "{sure}");
        // The same windows of four hours ago say less.
        let old = correction(480.0, 40).at(&[1.0; 300]);
        let old = chance(old.around(30.0).corrected(2.0));
        assert!(old > sure + 0.05, "{old} and {sure}");
    }

    #[test]
    fn two_numbers_maximise_the_weighted_likelihood() {
        // One window, three kinds of points; reference: scipy 1.17.1, optimize.minimize on the same
        // penalised log-likelihood (20 cases, priors 0.7 and 0.25), level 0.45382, sharpness -0.10091.
        let log_odds: Vec<f32> = (0..90).map(|point| [-1.0, 0.5, 3.0][point % 3]).collect();
        let came: Vec<Option<bool>> = (0..90)
            .map(|point| Some([point % 2 == 0, point % 5 != 0, point % 10 != 0][point % 3]))
            .collect();
        let window = Ended { middle_min: 30.0, age_min: 0.0, log_odds, came: &came };
        let fit = fit(&[window], 90, 30.0);
        assert!((fit.level - 0.45382).abs() < 1e-4, "{}", fit.level);
        assert!((fit.sharpness + 0.10091).abs() < 1e-4, "{}", fit.sharpness);
    }
}
