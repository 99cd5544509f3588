//! Values against a general-purpose library; see `tests/reference/README.md`.

use fairspell_sheet::{SheetBudget, SheetModel, SheetProblem, solve};
use serde_json::Value;

/// Values are kept in seven digits, and none here is above 30.
const TOLERANCE: f64 = 2e-5;

#[test]
fn twenty_four_evenings_are_worth_what_a_general_library_says() {
    let outside: Value = serde_json::from_str(include_str!("../reference/evenings.json")).unwrap();
    let evenings = outside["evenings"].as_array().unwrap();
    assert_eq!(evenings.len(), 24);
    for (index, evening) in evenings.iter().enumerate() {
        let problem: SheetProblem = serde_json::from_value(evening["problem"].clone()).unwrap();
        let model = SheetModel::new(&problem).unwrap();
        let found = solve(&model, SheetBudget::default()).unwrap().course.value;
        let expected = evening["value"].as_f64().unwrap();
        assert!((found - expected).abs() < TOLERANCE, "evening {}: {found}, {expected}", index + 1);
    }
}
