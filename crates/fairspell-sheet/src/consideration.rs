//! Which rule of thumb rules an evening: the delicate first, or the favourite in the best light.
//!
//! Both are good practice, and they conflict on showery evenings: the satin that a drop spoils goes
//! first, and yet the look the heart is set on belongs into the last gold light. Each is held
//! against the best strategy: what would be lost by keeping to it?

use crate::course::course;
use crate::graph::graph;
use crate::model::SheetModel;
use crate::orders::{best_in_order, in_order};
use crate::solve::{SheetBudget, Solved, induced};

/// How the two rules stand.
#[derive(Debug, Clone, PartialEq)]
pub struct Considerations {
    /// Keeping to "delicate first"; `None` where no set is more delicate than another.
    pub delicate_first: Option<RuleKept>,
    /// Keeping to "the favourite in the best light"; `None` where its light never changes.
    pub favourite_in_best_light: Option<RuleKept>,
    /// Which of them rules.
    pub ruling: Ruling,
}

/// An evening on which a rule is kept, everything else done as well as can be.
#[derive(Debug, Clone, PartialEq)]
pub struct RuleKept {
    /// The sets that it is about: the order, or the favourite alone.
    pub sets: Vec<usize>,
    /// What the evening is then worth.
    pub value: f64,
    /// What that loses against the best strategy.
    pub loss: f64,
}

/// Which rule rules.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ruling {
    /// Keeping to it loses next to nothing, and the other more.
    DelicateFirst,
    /// Keeping to it loses next to nothing, and the other more.
    FavouriteInBestLight,
    /// Either can be kept at next to no loss.
    Both,
    /// Either would lose something: the strategy follows the sky.
    Neither,
}

/// A loss below this share of what is made is next to nothing. Our choice: a fiftieth of an
/// evening's worth is less than a photographer could tell.
const NEXT_TO_NOTHING: f64 = 0.02;
/// Light this near the best counts as the best.
const BEST_LIGHT: f64 = 0.98;

/// Holds both rules against a solved evening; `None` where it was not solved exactly, or there are
/// more states than allowed.
///
/// - *Delicate first*: looks by what damp hair and cloth take from their most delicate set, the most
///   delicate first (the look worn on arrival before all, since it could not be put on again), and
///   within a look its sets in the same way.
/// - *The favourite in the best light*: the set of greatest worth begins only in slots whose light
///   is within a fiftieth of the best it can have.
pub fn considerations(
    model: &SheetModel,
    solved: &Solved,
    budget: SheetBudget,
) -> Option<Considerations> {
    if solved.bound.is_some() {
        return None;
    }
    let best = solved.course.value;
    let kept = |sets, value| RuleKept { sets, value, loss: (best - value).max(0.0) };
    let delicate_first = match delicate_order(model) {
        Some(sets) => {
            let course = best_in_order(in_order(model, &sets), budget)?;
            Some(kept(sets, course.value))
        }
        None => None,
    };
    let favourite_in_best_light = match favourite_in_best_light(model) {
        Some((favourite, kept_to)) => {
            let graph = graph(&kept_to, budget.states_max).ok()?;
            let strategy = induced(kept_to, graph);
            Some(kept(vec![favourite], course(strategy.model(), &strategy).value))
        }
        None => None,
    };
    let little = NEXT_TO_NOTHING * solved.course.worth;
    let holds = |rule: &Option<RuleKept>| rule.as_ref().map(|rule| rule.loss <= little);
    let ruling = match (holds(&delicate_first), holds(&favourite_in_best_light)) {
        (Some(true), Some(true)) => Ruling::Both,
        (Some(true), _) => Ruling::DelicateFirst,
        (_, Some(true)) => Ruling::FavouriteInBestLight,
        _ => Ruling::Neither,
    };
    Some(Considerations { delicate_first, favourite_in_best_light, ruling })
}

/// What damp hair and cloth take from a set, 0 to 1.
fn delicacy(model: &SheetModel, set: usize) -> f64 {
    let problem = model.problem();
    let spec = &problem.sets[set];
    let hair = if spec.hair_dry { problem.hair.damp_factor } else { 1.0 };
    1.0 - hair * problem.looks[model.sets[set].look].damp_factor
}

/// Sets from the most delicate to the sturdiest, look by look; `None` where all are alike.
fn delicate_order(model: &SheetModel) -> Option<Vec<usize>> {
    let delicacies: Vec<f64> = (0..model.sets.len()).map(|set| delicacy(model, set)).collect();
    if delicacies.iter().all(|it| (it - delicacies[0]).abs() < 1e-9) {
        return None;
    }
    let of_look = |look: usize| {
        let sets = (0..model.sets.len()).filter(|set| model.sets[*set].look == look);
        sets.map(|set| delicacies[set]).fold(0.0, f64::max)
    };
    let mut order: Vec<usize> = (0..model.sets.len()).collect();
    order.sort_by(|a, b| {
        let key = |set: usize| {
            let look = model.sets[set].look;
            (model.look_at_start != Some(look), -of_look(look), look, -delicacies[set])
        };
        let (a, b) = (key(*a), key(*b));
        a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.cmp(&b.2)).then(a.3.total_cmp(&b.3))
    });
    Some(order)
}

/// The set of greatest worth, and the evening on which it begins in its best light only; `None`
/// where that leaves nothing out.
fn favourite_in_best_light(model: &SheetModel) -> Option<(usize, SheetModel)> {
    let problem = model.problem();
    let worth = |set: &usize| problem.sets[*set].worth;
    // Of equally dear sets the first.
    let favourite = (0..model.sets.len()).rev().max_by(|a, b| worth(a).total_cmp(&worth(b)))?;
    let mut kept_to = model.clone();
    let runs = || model.sets[favourite].forms.iter().flat_map(|form| &form.runs);
    let light = |run: &crate::model::Run, slot: usize| run.light[slot].iter().sum::<f64>();
    let slots = 0..problem.slots;
    let lights = runs()
        .flat_map(|run| slots.clone().filter(|slot| run.open[*slot]).map(|slot| light(run, slot)));
    let best = lights.fold(0.0, f64::max);
    let mut closed = 0;
    for run in kept_to.sets[favourite].forms.iter_mut().flat_map(|form| &mut form.runs) {
        for slot in 0..problem.slots {
            if run.open[slot] && light(run, slot) < BEST_LIGHT * best {
                run.open[slot] = false;
                closed += 1;
            }
        }
    }
    (closed > 0).then_some((favourite, kept_to))
}
