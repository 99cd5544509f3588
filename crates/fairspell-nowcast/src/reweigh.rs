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

/// What is left of all weight is worked out as a difference while it is more than this share: so it
/// keeps twelve digits.
const CANCELLED_MIN: f64 = 0.01;

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
    /// Whether every outcome is of one kind or the other.
    is_asked_of_all: bool,
}

/// Outcomes that a processor works on side by side; what is over at the end has no weight.
type Lanes = [f64; LANES];
const LANES: usize = 8;

impl Stated {
    /// `verdicts`: of each outcome whether it happens there; `None` where that is not known.
    pub(crate) fn new(p: f64, verdicts: impl Iterator<Item = Option<bool>>) -> Self {
        let mut stated = Stated {
            p: p.clamp(SUREST, 1.0 - SUREST),
            happens: Vec::new(),
            fails: Vec::new(),
            is_asked_of_all: true,
        };
        for (outcome, verdict) in verdicts.enumerate() {
            let lane = outcome % LANES;
            if lane == 0 {
                stated.happens.push([0.0; LANES]);
                stated.fails.push([0.0; LANES]);
            }
            let number = |holds: bool| f64::from(u8::from(verdict == Some(holds)));
            stated.happens[outcome / LANES][lane] = number(true);
            stated.fails[outcome / LANES][lane] = number(false);
            stated.is_asked_of_all &= verdict.is_some();
        }
        stated
    }

    /// Weight against it, where that for it is known, and that of all.
    fn weight_against(&self, weights: &[Lanes], happens: f64, all: f64) -> f64 {
        let rest = all - happens;
        if self.is_asked_of_all && rest > CANCELLED_MIN * all {
            return rest;
        }
        dot(&self.fails, weights)
    }

    /// Makes what happens, and what does not, so many times heavier; then the weight for the `next`
    /// chance, so that the weights are gone through only once.
    fn rescale(
        &self,
        weights: &mut [Lanes],
        happens_times: f64,
        fails_times: f64,
        next: &Stated,
    ) -> f64 {
        if self.is_asked_of_all {
            return rescale_all(weights, &self.happens, happens_times, fails_times, &next.happens);
        }
        let (happens_more, fails_more) = (happens_times - 1.0, fails_times - 1.0);
        for ((weights, happens), fails) in weights.iter_mut().zip(&self.happens).zip(&self.fails) {
            for lane in 0..LANES {
                weights[lane] *= 1.0 + happens[lane] * happens_more + fails[lane] * fails_more;
            }
        }
        dot(&next.happens, weights)
    }
}

/// [`Stated::rescale`] where each outcome happens or fails.
// Within another function the compiler pairs sums instead of lanes, which takes twice as long.
#[inline(never)]
fn rescale_all(
    weights: &mut [Lanes],
    happens: &[Lanes],
    happens_times: f64,
    fails_times: f64,
    next_happens: &[Lanes],
) -> f64 {
    let happens_more = happens_times - fails_times;
    let mut sums = [0.0; LANES];
    for ((weights, happens), next_happens) in weights.iter_mut().zip(happens).zip(next_happens) {
        for lane in 0..LANES {
            weights[lane] *= fails_times + happens[lane] * happens_more;
        }
        for lane in 0..LANES {
            sums[lane] += next_happens[lane] * weights[lane];
        }
    }
    sums.iter().sum()
}

/// Sum of products, in lanes that a processor adds side by side.
#[inline(never)]
fn dot(a: &[Lanes], b: &[Lanes]) -> f64 {
    let mut sums = [0.0; LANES];
    for (a, b) in a.iter().zip(b) {
        for lane in 0..LANES {
            sums[lane] += a[lane] * b[lane];
        }
    }
    sums.iter().sum()
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
    let mut happens = dot(&first.happens, &weights);
    for _ in 0..ROUNDS_MAX {
        let mut largest_change: f64 = 0.0;
        // The steps below leave it as it is, but for rounding.
        let all: f64 = weights.as_flattened().iter().sum();
        let nexts = stated.iter().skip(1).chain([first]);
        for ((stated, multiplier), next) in stated.iter().zip(&mut multipliers).zip(nexts) {
            let fails = stated.weight_against(&weights, happens, all);
            // So little weight on either side is none: no factor would lift it.
            if happens < 1e-12 || fails < 1e-12 {
                happens = dot(&next.happens, &weights);
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
            happens = stated.rescale(&mut weights, factor * kept, kept, next);
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
    use proptest::prelude::*;

    use super::*;

    fn bits(p: f64, bit: usize) -> Stated {
        Stated::new(p, (0..8).map(|outcome| Some(outcome >> bit & 1 == 1)))
    }

    fn share(weights: &[f64], stated: &Stated) -> f64 {
        let weights: Vec<Lanes> = weights.chunks(LANES).map(lanes).collect();
        let (happens, fails) = (dot(&stated.happens, &weights), dot(&stated.fails, &weights));
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

    /// The same step by step, each weight of each outcome on its own.
    fn reweighed_plainly(prior: &[f64], chances: &[(f64, Vec<Option<bool>>)]) -> Vec<f64> {
        let all: f64 = prior.iter().sum();
        let mut weights: Vec<f64> = prior.iter().map(|weight| weight / all).collect();
        let mut multipliers = vec![0.0; chances.len()];
        for _ in 0..ROUNDS_MAX {
            let mut largest_change: f64 = 0.0;
            for ((p, verdicts), multiplier) in chances.iter().zip(&mut multipliers) {
                let p = p.clamp(SUREST, 1.0 - SUREST);
                let weight_of = |wanted: bool| -> f64 {
                    let of_kind = weights.iter().zip(verdicts);
                    of_kind.filter(|(_, verdict)| **verdict == Some(wanted)).map(|(w, _)| w).sum()
                };
                let (happens, fails) = (weight_of(true), weight_of(false));
                if happens < 1e-12 || fails < 1e-12 {
                    continue;
                }
                let spread = p * (1.0 - p);
                let wanted = *multiplier + (p / (1.0 - p)).ln() - (happens / fails).ln();
                let change = wanted * spread / (spread + SOFTNESS) - *multiplier;
                *multiplier += change;
                largest_change = largest_change.max((change * spread).abs());
                let kept = (happens + fails) / (happens * change.exp() + fails);
                for (weight, verdict) in weights.iter_mut().zip(verdicts) {
                    *weight *= match verdict {
                        Some(true) => change.exp() * kept,
                        Some(false) => kept,
                        None => 1.0,
                    };
                }
            }
            if largest_change < NEAR_ENOUGH {
                break;
            }
        }
        let all: f64 = weights.iter().sum();
        weights.iter().map(|weight| weight / all).collect()
    }

    proptest! {
        #[test]
        fn the_quick_way_gives_the_weights_of_the_plain_one(
            prior in prop::collection::vec(0.01..1.0_f64, 1..70),
            chances in prop::collection::vec(
                (0.0..=1.0_f64, 0.0..=1.0_f64, prop::bool::ANY, any::<u64>()),
                0..12,
            ),
        ) {
            // Of some chances all outcomes say something, of others many don't.
            let chances: Vec<(f64, Vec<Option<bool>>)> = chances
                .into_iter()
                .map(|(p, share, is_asked_of_all, mix)| {
                    let verdict = |outcome: usize| {
                        let part = (outcome as f64 * 0.618 + mix as f64 / 1e19).fract();
                        let is_asked = is_asked_of_all || !outcome.is_multiple_of(3);
                        is_asked.then_some(part < share)
                    };
                    (p, (0..prior.len()).map(verdict).collect())
                })
                .collect();
            let stated: Vec<Stated> = chances
                .iter()
                .map(|(p, verdicts)| Stated::new(*p, verdicts.iter().copied()))
                .collect();
            let (found, expected) =
                (reweighed(&prior, &stated), reweighed_plainly(&prior, &chances));
            for (found, expected) in found.iter().zip(&expected) {
                prop_assert!((found - expected).abs() < 1e-9, "{} and {}", found, expected);
            }
        }
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
