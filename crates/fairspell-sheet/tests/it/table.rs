//! The packed strategy says what the strategy says, and what is damaged is refused.

use fairspell_sheet::{
    FieldState, FormKind, SheetBudget, SheetModel, SheetTable, Strategy, TableError, solve,
};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

use crate::{drawn, evening::evening};

fn strategy(problem: &fairspell_sheet::SheetProblem) -> Option<Strategy> {
    let model = SheetModel::new(problem).ok()?;
    Some(solve(&model, SheetBudget::default()).unwrap().strategy)
}

/// A state that may or may not be known.
fn state(random: &mut ChaCha8Rng, strategy: &Strategy) -> FieldState {
    let problem = strategy.model().problem();
    let mut sets: Vec<usize> = (0..problem.sets.len()).collect();
    let mut made = Vec::new();
    for _ in 0..random.random_range(0..=sets.len()) {
        let set = sets.swap_remove(random.random_range(0..sets.len()));
        let is_short = problem.sets[set].short.is_some() && random.random_bool(0.5);
        made.push((set, if is_short { FormKind::Short } else { FormKind::Full }));
    }
    let doses = problem.looks.iter().map(|_| random.random_range(0.0..60.0)).collect();
    FieldState {
        slot: random.random_range(0..=problem.slots),
        made,
        rain_class: random.random_range(0..4),
        hair_dose_g_m2: random.random_range(0.0..40.0),
        look_doses_g_m2: doses,
    }
}

#[test]
fn a_packed_strategy_says_what_the_strategy_says() {
    let mut random = ChaCha8Rng::seed_from_u64(1);
    let (mut known, mut unknown) = (0, 0);
    let problems = (0..40).map(|seed| drawn::problem(seed, 3)).chain([evening(6)]);
    for strategy in problems.filter_map(|problem| strategy(&problem)) {
        let table = SheetTable::pack(&strategy);
        let open = table.open().unwrap();
        for _ in 0..400 {
            let state = state(&mut random, &strategy);
            let expected = strategy.action(&state);
            assert_eq!(open.action(&state), expected, "{state:?}");
            *(if expected.is_some() { &mut known } else { &mut unknown }) += 1;
        }
    }
    assert!(known > 1000 && unknown > 1000, "{known} known, {unknown} not");
}

#[test]
fn ten_sets_fit_a_phone() {
    for problem in [evening(10), crate::evening::crowded(10)] {
        let table = SheetTable::pack(&strategy(&problem).unwrap());
        let bytes = table.actions.len();
        assert!(bytes <= 500_000, "{bytes} bytes");
    }
}

#[test]
fn a_damaged_table_is_refused() {
    let table = SheetTable::pack(&strategy(&evening(4)).unwrap());
    let damaged = |change: &dyn Fn(&mut SheetTable)| {
        let mut table = table.clone();
        change(&mut table);
        table.open().map(drop).unwrap_err()
    };
    assert_eq!(damaged(&|it| it.version = 2), TableError::Version(2));
    for change in [
        &(|it: &mut SheetTable| it.actions.truncate(it.actions.len() / 8 * 4))
            as &dyn Fn(&mut SheetTable),
        &|it| it.actions.insert(0, '!'),
        &|it| it.blocks += 1,
        &|it| it.blocks = usize::MAX,
        &|it| it.slots += 1,
        &|it| it.slots = 2,
        &|it| it.sets[0].look = 9,
        &|it| it.kept_looks.push(0),
        &|it| it.looks.clear(),
        &|it| it.hair_levels_g_m2.clear(),
    ] {
        assert_eq!(damaged(change), TableError::Damaged);
    }
}
