use std::collections::BTreeSet;

use fairspell_studio::variety::{
    CORE, Cell, Coverage, Crop, Expression, Orientation, Pose, core_cell,
};
use proptest::{collection::vec, prelude::*, sample::select};

fn full_core() -> Coverage {
    let mut coverage = Coverage::default();
    for core in &CORE {
        coverage.tap(core.id, true);
    }
    coverage
}

#[test]
fn the_grid_has_168_cells_and_its_core_12() {
    let cells: BTreeSet<Cell> = Cell::all().collect();
    assert_eq!((cells.len(), 3 * 7 * 4 * 2), (168, 168));
    assert_eq!(Cell::all().count(), 168);
    assert!(Cell::all().is_sorted());
    let ids = [
        "close-smile",
        "close-soft",
        "close-laugh",
        "half-smile-lean",
        "half-away",
        "half-sit",
        "full-stand",
        "full-walk",
        "full-over-shoulder",
        "full-turn",
        "wide-space",
        "hands-detail",
    ];
    assert_eq!(CORE.map(|core| core.id), ids);
    let own: BTreeSet<Cell> = CORE.iter().map(|core| core.cell).collect();
    assert_eq!(own.len(), 12);
}

#[test]
fn each_core_cell_stands_for_itself_and_the_core_has_every_value_of_the_grid() {
    for core in &CORE {
        assert_eq!(core.cell.core(), Some(core));
        assert_eq!(core_cell(core.id), Some(core));
    }
    let missing = full_core().missing();
    assert_eq!(missing, fairspell_studio::variety::Missing::default());
    assert_eq!(full_core().core_filled(), 12);
}

#[test]
fn a_frame_of_any_cell_can_stand_for_a_core_one() {
    let cell = |crop, pose, expression, orientation| Cell { crop, pose, expression, orientation };
    for (cell, expected) in [
        (cell(Crop::Close, Pose::Lean, Expression::Smile, Orientation::Wide), Some("close-smile")),
        (cell(Crop::Close, Pose::Walk, Expression::Away, Orientation::Upright), None),
        (cell(Crop::Half, Pose::Sit, Expression::Away, Orientation::Upright), Some("half-sit")),
        (cell(Crop::Half, Pose::Lean, Expression::Laugh, Orientation::Upright), None),
        (cell(Crop::Full, Pose::Walk, Expression::Soft, Orientation::Wide), Some("wide-space")),
        (cell(Crop::Full, Pose::Sit, Expression::Soft, Orientation::Upright), None),
        (cell(Crop::Full, Pose::Hands, Expression::Away, Orientation::Wide), Some("hands-detail")),
    ] {
        assert_eq!(cell.core().map(|core| core.id), expected, "{cell:?}");
        let mut coverage = Coverage::default();
        coverage.fill(cell);
        assert_eq!(coverage.core_filled(), usize::from(expected.is_some()));
    }
}

#[test]
fn taps_fill_and_empty_and_unknown_ones_do_nothing() {
    let mut coverage = Coverage::default();
    coverage.tap("full-walk", true);
    coverage.tap("full-walk", true);
    coverage.tap("upside-down", true);
    assert_eq!((coverage.core_filled(), coverage.filled().count()), (1, 1));
    assert_eq!(coverage.core_empty().len(), 11);
    coverage.tap("full-walk", false);
    assert_eq!(coverage, Coverage::default());
}

#[test]
fn what_is_wholly_missing_is_named() {
    let mut coverage = Coverage::default();
    coverage.tap("close-smile", true);
    let missing = coverage.missing();
    assert_eq!(missing.crops, [Crop::Half, Crop::Full]);
    assert_eq!(missing.poses, Pose::ALL[1..]);
    assert_eq!(missing.expressions, Expression::ALL[1..]);
    assert_eq!(missing.orientations, [Orientation::Wide]);
}

#[test]
fn five_prompts_ask_for_the_empty_core_first() {
    let asked = |coverage: &Coverage| -> Vec<(&str, usize)> {
        let prompts = coverage.next_prompts(5);
        prompts.iter().map(|it| (it.core.unwrap().id, it.turn)).collect()
    };
    assert_eq!(
        asked(&Coverage::default()),
        CORE[..5].iter().map(|c| (c.id, 0)).collect::<Vec<_>>()
    );
    let mut two = full_core();
    two.tap("half-sit", false);
    two.tap("wide-space", false);
    let expected = [("half-sit", 0), ("wide-space", 0), ("half-sit", 1), ("wide-space", 1)];
    assert_eq!(asked(&two), expected);
    // With the core whole, what is farthest from everything there is.
    let more = full_core().next_prompts(5);
    assert_eq!(more.len(), 5);
    let cells: BTreeSet<Cell> = more.iter().map(|prompt| prompt.cell).collect();
    assert_eq!(cells.len(), 5);
    assert!(more.iter().all(|it| it.core.is_none()));
}

#[test]
fn a_whole_grid_asks_for_nothing() {
    let mut coverage = Coverage::default();
    Cell::all().for_each(|cell| coverage.fill(cell));
    assert_eq!((coverage.core_filled(), coverage.next_prompts(5).len()), (12, 0));
}

proptest! {
    #[test]
    fn prompts_are_always_of_empty_cells(cells in vec(select(Cell::all().collect::<Vec<_>>()), 0..168)) {
        let mut coverage = Coverage::default();
        for cell in &cells {
            coverage.fill(*cell);
        }
        for prompt in coverage.next_prompts(5) {
            prop_assert!(coverage.filled().all(|cell| cell != prompt.cell));
        }
        prop_assert_eq!(coverage.core_filled() + coverage.core_empty().len(), 12);
        let text = serde_json::to_string(&coverage).unwrap();
        prop_assert_eq!(serde_json::from_str::<Coverage>(&text).unwrap(), coverage);
    }
}
