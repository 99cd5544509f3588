//! New weights for a set of possible outcomes, as near to the old ones as stated chances allow.

/// Rounds over all chances, and how near they must come, at the most.
const ROUNDS_MAX: usize = 40;
const NEAR_ENOUGH: f64 = 1e-3;

/// How soft a stated chance is: the square of a miss against a change of the weights, in nats.
///
/// Chances that come from several formulas need not fit together. Hard demands would then pile all
/// weight on a few odd outcomes; these leave a miss instead. Our choice: on the open radar events
/// half of the weights' effective number is kept, and stated chances are met within 0.01 on average.
const SOFTNESS: f64 = 4e-3;

/// Chances this near to 0 and 1 are taken for those: the logarithm of odds has to end somewhere.
const SUREST: f64 = 1e-3;

/// A stated chance, and what each outcome says of it.
#[derive(Debug)]
pub(crate) struct Stated {
    /// The chance.
    p: f64,
    /// 1 for outcomes in which it happens, 0 for the others.
    happens: Vec<f64>,
    /// 1 for outcomes in which it does not happen; those of neither kind are not asked.
    fails: Vec<f64>,
}

impl Stated {
    /// `verdicts`: of each outcome whether it happens there; `None` where that is not known.
    pub(crate) fn new(p: f64, verdicts: impl Iterator<Item = Option<bool>>) -> Self {
        let number = |holds: bool| f64::from(u8::from(holds));
        let (happens, fails) = verdicts
            .map(|verdict| (number(verdict == Some(true)), number(verdict == Some(false))))
            .unzip();
        Stated { p: p.clamp(SUREST, 1.0 - SUREST), happens, fails }
    }

    /// Weight for and against it.
    fn weight(&self, weights: &[f64]) -> (f64, f64) {
        (dot(&self.happens, weights), dot(&self.fails, weights))
    }
}

/// Weights that sum to one, in which the stated chances hold as well as they fit together.
///
/// - `prior`: weights to stay near to, none negative, not all 0.
///
/// A chance that no outcome, or every one, agrees with can't be reached and changes nothing. Outcomes
/// that are not asked keep their weight against the others.
///
/// # Source
///
/// Iterative proportional fitting, which minimises the relative entropy to the prior: I. Csiszár,
/// "I-divergence geometry of probability distributions and minimization problems", Ann. Probab. 3
/// (1975), 146-158. The quadratic penalty instead of hard demands shrinks each multiplier towards 0
/// by its variance against the penalty.
pub(crate) fn reweighed(prior: &[f64], stated: &[Stated]) -> Vec<f64> {
    let mut weights = prior.to_vec();
    normalise(&mut weights);
    let mut multipliers = vec![0.0; stated.len()];
    for _ in 0..ROUNDS_MAX {
        let mut largest_change: f64 = 0.0;
        for (stated, multiplier) in stated.iter().zip(&mut multipliers) {
            let (happens, fails) = stated.weight(&weights);
            // So little weight on either side is none: no factor would lift it.
            if happens < 1e-12 || fails < 1e-12 {
                continue;
            }
            let spread = stated.p * (1.0 - stated.p);
            let wanted = *multiplier + (stated.p / (1.0 - stated.p)).ln() - (happens / fails).ln();
            let shrunk = wanted * spread / (spread + SOFTNESS);
            let change = shrunk - *multiplier;
            *multiplier = shrunk;
            largest_change = largest_change.max((change * spread).abs());
            let factor = change.exp();
            // What is gained is taken from those who disagree, so that all others keep their weight.
            let kept = (happens + fails) / (happens * factor + fails);
            for ((weight, one), other) in weights.iter_mut().zip(&stated.happens).zip(&stated.fails)
            {
                *weight *= 1.0 + one * (factor * kept - 1.0) + other * (kept - 1.0);
            }
        }
        if largest_change < NEAR_ENOUGH {
            break;
        }
    }
    normalise(&mut weights);
    weights
}

/// Sum of products, in lanes that a processor adds side by side.
fn dot(a: &[f64], b: &[f64]) -> f64 {
    const LANES: usize = 8;
    let mut sums = [0.0; LANES];
    let (a, a_rest) = a.as_chunks::<LANES>();
    let (b, b_rest) = b.as_chunks::<LANES>();
    for (a, b) in a.iter().zip(b) {
        for lane in 0..LANES {
            sums[lane] += a[lane] * b[lane];
        }
    }
    let rest: f64 = a_rest.iter().zip(b_rest).map(|(a, b)| a * b).sum();
    sums.iter().sum::<f64>() + rest
}

fn normalise(weights: &mut [f64]) {
    let sum: f64 = weights.iter().sum();
    assert!(sum > 0.0, "some outcome is possible");
    for weight in weights {
        *weight /= sum;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bits(p: f64, bit: usize) -> Stated {
        Stated::new(p, (0..8).map(|outcome| Some(outcome >> bit & 1 == 1)))
    }

    fn share(weights: &[f64], stated: &Stated) -> f64 {
        let (happens, fails) = stated.weight(weights);
        happens / (happens + fails)
    }

    /// Three independent bits with their own chances: the product is the nearest to even weights.
    #[test]
    fn independent_chances_give_their_product() {
        let stated = [bits(0.5, 0), bits(0.2, 1), bits(0.9, 2)];
        let weights = reweighed(&[1.0; 8], &stated);
        let expected = |outcome: usize| {
            let p = |p: f64, bit: usize| if outcome >> bit & 1 == 1 { p } else { 1.0 - p };
            p(0.5, 0) * p(0.2, 1) * p(0.9, 2)
        };
        for (outcome, weight) in weights.iter().enumerate() {
            // What the softness leaves.
            assert!((weight - expected(outcome)).abs() < 0.02, "{outcome}: {weight}");
        }
        assert!((weights.iter().sum::<f64>() - 1.0).abs() < 1e-12);
    }

    #[test]
    fn chances_that_contradict_each_other_meet_half_way() {
        let stated = [bits(0.2, 0), bits(0.6, 0)];
        let weights = reweighed(&[1.0; 8], &stated);
        assert!(weights.iter().all(|weight| weight.is_finite() && *weight > 0.0), "{weights:?}");
        let between = share(&weights, &stated[0]);
        assert!((0.3..0.5).contains(&between), "{between}");
    }

    #[test]
    fn what_no_outcome_agrees_with_changes_nothing() {
        let never = Stated::new(0.4, [Some(false); 8].into_iter());
        let unknown = Stated::new(0.4, [None; 8].into_iter());
        assert_eq!(reweighed(&[1.0; 8], &[never, unknown]), [0.125; 8]);
    }

    #[test]
    fn outcomes_that_are_not_asked_keep_their_weight() {
        let verdicts = [Some(true), Some(false), None, None];
        let weights = reweighed(&[1.0; 4], &[Stated::new(0.8, verdicts.into_iter())]);
        assert!((weights[2] - 0.25).abs() < 1e-12 && (weights[3] - 0.25).abs() < 1e-12);
        assert!((weights[0] / 0.5 - 0.8).abs() < 0.02, "{weights:?}");
    }

    #[test]
    fn sure_chances_stay_numbers() {
        for p in [0.0, 1.0] {
            let weights = reweighed(&[1.0; 8], &[bits(p, 0), bits(1.0 - p, 1), bits(p, 2)]);
            assert!(weights.iter().all(|weight| weight.is_finite() && *weight >= 0.0));
        }
    }
}
