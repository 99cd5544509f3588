//! How long an evening takes to solve, with the memory it needs (the greatest that was held at any
//! moment), by the number of sets.

use divan::{AllocProfiler, Bencher, black_box};
use fairspell_sheet::problem::SheetProblem;
use fairspell_sheet::{SheetBudget, SheetModel, solve};

mod common;

#[global_allocator]
static ALLOCATOR: AllocProfiler = AllocProfiler::system();

fn main() {
    divan::main();
}

fn solved(bencher: Bencher<'_, '_>, problem: &SheetProblem) {
    bencher.bench(|| {
        let model = SheetModel::new(black_box(problem)).expect("a sound problem");
        let solved = solve(&model, SheetBudget::default()).expect("within the budget");
        assert!(solved.bound.is_none(), "solved exactly");
        solved
    });
}

/// As evenings are.
#[divan::bench(args = [4, 6, 8, 9, 10, 11, 12], sample_count = 5)]
fn evening(bencher: Bencher<'_, '_>, sets: usize) {
    solved(bencher, &common::evening(sets));
}

/// As hard as they can be: every set in a single slot.
#[divan::bench(args = [4, 6, 8, 9, 10, 11, 12], sample_count = 3)]
fn crowded(bencher: Bencher<'_, '_>, sets: usize) {
    solved(bencher, &common::crowded(sets));
}
