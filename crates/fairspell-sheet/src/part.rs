//! The best part of the sets, where all of them together have too many states.

use crate::bound::Relaxed;
use crate::course::course;
use crate::error::SheetError;
use crate::graph::{Graph, TooMany, graph};
use crate::model::SheetModel;
use crate::solve::{SheetBudget, induced};
use crate::strategy::Strategy;

/// The strategy for as many sets as the budget bears: those that matter most in finding the bound, by
/// the better of its two rankings. The others are never made, and their penalties are in the value.
pub(crate) fn best_part(
    model: &SheetModel,
    relaxed: &Relaxed,
    budget: SheetBudget,
) -> Result<Strategy, SheetError> {
    let mut best: Option<(f64, Strategy)> = None;
    for ranking in &relaxed.rankings {
        let (part, graph) = largest_part(model, ranking, budget)?;
        let strategy = induced(part, graph);
        let value = course(strategy.model(), &strategy).value;
        if best.as_ref().is_none_or(|(known, _)| value > *known) {
            best = Some((value, strategy));
        }
    }
    let (_, strategy) = best.expect("there are rankings");
    Ok(strategy)
}

/// As many sets of a ranking as the budget bears, the highest first.
fn largest_part(
    model: &SheetModel,
    ranking: &[f64],
    budget: SheetBudget,
) -> Result<(SheetModel, Graph), SheetError> {
    let mut sets: Vec<usize> = (0..model.sets.len()).collect();
    sets.sort_by(|a, b| ranking[*b].total_cmp(&ranking[*a]).then(a.cmp(b)));
    let mut found = None;
    for count in 1..=sets.len() {
        let mut part = model.clone();
        part.only = sets[..count].iter().fold(0, |only, set| only | 1 << set);
        match graph(&part, budget.states_max) {
            Ok(graph) => found = Some((part, graph)),
            Err(TooMany(cells)) => {
                let none = SheetError::TooLarge { cells, most: budget.states_max };
                return found.ok_or(none);
            }
        }
    }
    Ok(found.expect("there are sets"))
}
