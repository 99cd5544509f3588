use fairspell_chance::{BinnedBrier, Contingency, Outcome, brier_score, roc_area};
use proptest::prelude::*;

use crate::p;

/// Chances in whole per cent and whether it happened: a made-up record of forty calls.
const FORTY: [(u8, bool); 40] = [
    (62, false),
    (24, false),
    (85, true),
    (47, true),
    (9, false),
    (71, true),
    (33, false),
    (94, true),
    (56, false),
    (18, false),
    (80, true),
    (42, true),
    (3, false),
    (65, true),
    (27, false),
    (89, true),
    (51, false),
    (12, false),
    (74, true),
    (36, true),
    (98, true),
    (60, false),
    (21, false),
    (83, true),
    (45, false),
    (7, false),
    (69, true),
    (30, true),
    (92, true),
    (54, false),
    (16, false),
    (78, true),
    (40, false),
    (1, false),
    (63, true),
    (25, false),
    (87, false),
    (49, false),
    (10, false),
    (72, true),
];

fn outcomes(cases: &[(u8, bool)]) -> Vec<Outcome> {
    let case =
        |&(percent, happened): &(u8, bool)| Outcome { p: p(f64::from(percent) / 100.0), happened };
    cases.iter().map(case).collect()
}

/// Score, ROC area and critical success index (of calls from 50 % on): scores 2.7.0, scikit-learn
/// 1.9.1 and properscoring 0.1. The five parts: numpy 2.4.6, from the paper's definitions.
#[test]
fn forty_calls_score_as_other_programs_say() {
    let forty = outcomes(&FORTY);
    let parts = BinnedBrier::new(&forty, 10).unwrap();
    let called = |call: bool, happened: bool| {
        let same = |case: &&Outcome| (case.p.get() >= 0.5) == call && case.happened == happened;
        u32::try_from(forty.iter().filter(same).count()).unwrap()
    };
    let calls = Contingency {
        hits: called(true, true),
        false_alarms: called(true, false),
        misses: called(false, true),
        correct_negatives: called(false, false),
    };
    let scores = [
        (brier_score(&forty).unwrap(), 0.14191000000000004),
        (roc_area(&forty).unwrap(), 0.8888888888888888),
        (calls.critical_success_index().unwrap(), 0.5833333333333334),
        (parts.reliability, 0.04602925),
        (parts.resolution, 0.15083333333333335),
        (parts.uncertainty, 0.24750000000000003),
        (parts.within_bin_variance, 0.0008140833333333333),
        (parts.within_bin_covariance, 0.0015999999999999973),
        (parts.brier_score(), 0.14191),
    ];
    for (score, expected) in scores {
        assert!((score - expected).abs() < 1e-12, "{score} {expected}");
    }
}

#[test]
fn nothing_stated_has_no_parts() {
    assert_eq!(BinnedBrier::new(&[], 10), None);
    assert_eq!(BinnedBrier::new(&outcomes(&FORTY), 0), None);
}

proptest! {
    #[test]
    fn the_five_parts_add_up_whatever_the_bins(
        cases in prop::collection::vec((0_u8..=100, any::<bool>()), 1..80),
        bins in 1_u32..15,
    ) {
        let cases = outcomes(&cases);
        let parts = BinnedBrier::new(&cases, bins).unwrap();
        prop_assert!((parts.brier_score() - brier_score(&cases).unwrap()).abs() < 1e-12);
    }
}
