//! Evenings with too many states: a part of them solved, and how much better it could be.

use fairspell_sheet::{SheetBudget, SheetError, SheetModel, solve};

use crate::{drawn, evening};

#[test]
fn a_bound_is_never_below_the_best_nor_the_part_above_it() {
    let mut gaps = Vec::new();
    for seed in 0..60 {
        let problem = drawn::problem(seed, 4);
        let Ok(model) = SheetModel::new(&problem) else { continue };
        let best = solve(&model, SheetBudget::default()).unwrap();
        let states_max = best.strategy.states() - 1;
        let part = match solve(&model, SheetBudget { states_max }) {
            Ok(part) => part,
            Err(SheetError::TooLarge { .. }) => continue,
            Err(other) => panic!("{other}"),
        };
        let upper = part.bound.unwrap().upper;
        assert!(part.course.value <= best.course.value + 1e-4, "seed {seed}");
        assert!(upper >= best.course.value - 1e-4, "seed {seed}: {upper}");
        gaps.push(upper - best.course.value);
    }
    assert!(gaps.len() > 30, "{}", gaps.len());
}

/// Thirty sets of twenty-five minutes: only a few of them fit an evening, so that all ways through
/// can still be weighed.
#[test]
fn thirty_long_sets_are_solved_exactly() {
    let mut problem = evening::evening(30);
    for set in &mut problem.sets {
        set.full.minutes = 25;
        set.short = None;
    }
    let solved = solve(&SheetModel::new(&problem).unwrap(), SheetBudget::default()).unwrap();
    assert!(solved.bound.is_none());
}

/// Thirty sets that are alike in threes of ten: which of the ten is made does not matter.
#[test]
fn thirty_sets_of_three_kinds_are_solved_exactly() {
    let mut problem = evening::evening(30);
    let kinds = problem.sets[..3].to_vec();
    for (index, set) in problem.sets.iter_mut().enumerate() {
        let kind = kinds[index % 3].clone();
        *set = fairspell_sheet::problem::Set { name: set.name.clone(), needed: None, ..kind };
    }
    let solved = solve(&SheetModel::new(&problem).unwrap(), SheetBudget::default()).unwrap();
    assert!(solved.bound.is_none());
}

/// The gap is wide, since a small budget leaves most of thirty sets out; it must not be hidden, and must
/// not grow.
#[test]
fn thirty_sets_are_answered_with_a_bound() {
    let model = SheetModel::new(&evening::evening(30)).unwrap();
    let solved = solve(&model, SheetBudget { states_max: 2_000_000 }).unwrap();
    let (value, upper) = (solved.course.value, solved.bound.unwrap().upper);
    assert!(value > 45.0 && value <= upper && upper < 75.0, "{value} to {upper}");
}

#[test]
fn a_budget_too_small_for_one_set_is_said() {
    let model = SheetModel::new(&evening::evening(12)).unwrap();
    let error = solve(&model, SheetBudget { states_max: 100 }).unwrap_err();
    assert!(matches!(error, SheetError::TooLarge { most: 100, .. }), "{error}");
}
