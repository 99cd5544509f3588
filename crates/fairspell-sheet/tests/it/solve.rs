//! The solver against the slow way, and what must always hold.

use fairspell_sheet::{SheetBudget, SheetError, SheetModel, solve};

use crate::{drawn::problem, naive};

/// Values have seven digits, and the least worthwhile wait is a millionth of what is at stake.
const TOLERANCE: f64 = 5e-5;

#[test]
fn the_value_is_that_of_trying_everything() {
    let (mut solved, mut never) = (0, 0);
    for seed in 0..400 {
        let problem = problem(seed, 2 + (seed % 3) as usize);
        let model = match SheetModel::new(&problem) {
            Ok(model) => model,
            Err(SheetError::NeverOpen { .. }) => {
                never += 1;
                continue;
            }
            Err(other) => panic!("seed {seed}: {other}"),
        };
        let found = solve(&model, SheetBudget::default()).unwrap();
        assert!(found.bound.is_none());
        let expected = naive::value(&problem);
        let off = (found.course.value - expected).abs();
        assert!(off < TOLERANCE, "seed {seed}: {} is not {expected}", found.course.value);
        solved += 1;
    }
    assert!(solved >= 250, "{solved} solved, {never} had a set that can never be made");
}
