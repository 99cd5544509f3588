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
    happens: Vec<Lanes>,
    /// 1 for outcomes in which it does not happen; those of neither kind are not asked.
    fails: Vec<Lanes>,
}

/// Outcomes that a processor works on side by side; what is over at the end has no weight.
type Lanes = [f64; LANES];
const LANES: usize = 8;

impl Stated {
    /// `verdicts`: of each outcome whether it happens there; `None` where that is not known.
    pub(crate) fn new(p: f64, verdicts: impl Iterator<Item = Option<bool>>) -> Self {
        let mut stated =
            Stated { p: p.clamp(SUREST, 1.0 - SUREST), happens: Vec::new(), fails: Vec::new() };
        for (outcome, verdict) in verdicts.enumerate() {
            let lane = outcome % LANES;
            if lane == 0 {
                stated.happens.push([0.0; LANES]);
                stated.fails.push([0.0; LANES]);
            }
            let number = |holds: bool| f64::from(u8::from(verdict == Some(holds)));
            stated.happens[outcome / LANES][lane] = number(true);
            stated.fails[outcome / LANES][lane] = number(false);
        }
        stated
    }

    /// Weight for and against it.
    fn weight(&self, weights: &[Lanes]) -> (f64, f64) {
        let (mut for_it, mut against) = ([0.0; LANES], [0.0; LANES]);
        for ((weights, happens), fails) in weights.iter().zip(&self.happens).zip(&self.fails) {
            add_product(&mut for_it, happens, weights);
            add_product(&mut against, fails, weights);
        }
        (for_it.iter().sum(), against.iter().sum())
    }

    /// Makes what happens, and what does not, so much heavier; then the weight for and against the
    /// `next` chance, so that the weights are gone through only once.
    // Within another function the compiler pairs the two sums instead of the lanes: half as quick.
    #[inline(never)]
    fn rescale(
        &self,
        weights: &mut [Lanes],
        happens_more: f64,
        fails_more: f64,
        next: &Stated,
    ) -> (f64, f64) {
        let (mut for_it, mut against) = ([0.0; LANES], [0.0; LANES]);
        for ((((weights, happens), fails), next_happens), next_fails) in weights
            .iter_mut()
            .zip(&self.happens)
            .zip(&self.fails)
            .zip(&next.happens)
            .zip(&next.fails)
        {
            for lane in 0..LANES {
                weights[lane] *= 1.0 + happens[lane] * happens_more + fails[lane] * fails_more;
            }
            add_product(&mut for_it, next_happens, weights);
            add_product(&mut against, next_fails, weights);
        }
        (for_it.iter().sum(), against.iter().sum())
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
    let mut normal = prior.to_vec();
    normalise(&mut normal);
    let Some(first) = stated.first() else { return normal };
    let mut weights: Vec<Lanes> = normal.chunks(LANES).map(lanes).collect();
    let mut multipliers = vec![0.0; stated.len()];
    let (mut happens, mut fails) = first.weight(&weights);
    for _ in 0..ROUNDS_MAX {
        let mut largest_change: f64 = 0.0;
        let nexts = stated.iter().skip(1).chain([first]);
        for ((stated, multiplier), next) in stated.iter().zip(&mut multipliers).zip(nexts) {
            // So little weight on either side is none: no factor would lift it.
            if happens < 1e-12 || fails < 1e-12 {
                (happens, fails) = next.weight(&weights);
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
            (happens, fails) = stated.rescale(&mut weights, factor * kept - 1.0, kept - 1.0, next);
        }
        if largest_change < NEAR_ENOUGH {
            break;
        }
    }
    let mut weights = weights.into_flattened();
    weights.truncate(prior.len());
    normalise(&mut weights);
    weights
}

/// Adds a product in each lane.
fn add_product(sums: &mut Lanes, a: &Lanes, b: &Lanes) {
    for lane in 0..LANES {
        sums[lane] += a[lane] * b[lane];
    }
}

/// Some weights, and none where they end early.
fn lanes(weights: &[f64]) -> Lanes {
    std::array::from_fn(|lane| weights.get(lane).copied().unwrap_or(0.0))
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
        let weights: Vec<Lanes> = weights.chunks(LANES).map(lanes).collect();
        let (happens, fails) = stated.weight(&weights);
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
