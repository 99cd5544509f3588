use fairspell_chance::{
    BrierParts, Outcome, ReliabilityRow, brier_score, reliability_by_bin, reliability_by_value,
    roc_area,
};
use proptest::prelude::*;

use crate::p;

/// Ten forecasts and what came; scikit-learn and scores agree on the results below.
const TEN: [(f64, bool); 10] = [
    (0.1, false),
    (0.1, false),
    (0.3, false),
    (0.3, true),
    (0.6, true),
    (0.6, false),
    (0.9, true),
    (0.9, true),
    (0.9, true),
    (0.1, false),
];

fn outcomes(cases: &[(f64, bool)]) -> Vec<Outcome> {
    cases.iter().map(|&(stated, happened)| Outcome { p: p(stated), happened }).collect()
}

#[test]
fn ten_forecasts_score_as_two_other_programs_say() {
    let ten = outcomes(&TEN);
    let rows = reliability_by_value(&ten);
    let parts = BrierParts::from_rows(&rows).unwrap();
    let scores = [
        (brier_score(&ten).unwrap(), 0.116),
        (parts.brier_score(), 0.116),
        (parts.reliability, 0.016),
        (parts.resolution, 0.150),
        (parts.uncertainty, 0.250),
        (roc_area(&ten).unwrap(), 0.92),
    ];
    for (score, expected) in scores {
        assert!((score - expected).abs() < 1e-12, "{score} {expected}");
    }
    assert_eq!(rows[1], ReliabilityRow { p: p(0.3), count: 2, happened: 1 });
}

/// `pop_table_12402.csv`: shares in four and frequencies in three places, so the
/// counts come out to within one.
fn us_forecasts_of_1980() -> Vec<ReliabilityRow> {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "counts of a table of 12,402 cases"
    )]
    let whole = |x: f64| x.round() as usize;
    let text = include_str!("../reference/pop_table_12402.csv");
    csv::Reader::from_reader(text.as_bytes())
        .deserialize()
        .map(|row| {
            let (stated, share, observed): (f64, f64, f64) = row.unwrap();
            let count = whole(share * 12402.0);
            ReliabilityRow { p: p(stated), count, happened: whole(observed * count as f64) }
        })
        .collect()
}

#[test]
fn twelve_thousand_us_forecasts_score_as_in_the_textbook() {
    let rows = us_forecasts_of_1980();
    // Shares in four places: the counts add up to one too many.
    assert_eq!(rows.iter().map(|row| row.count).sum::<usize>(), 12403);
    let parts = BrierParts::from_rows(&rows).unwrap();
    // Half a unit of the last printed place, and as much again for the table's own rounding.
    let scores = [
        (parts.reliability, 0.00082, 1e-5),
        (parts.resolution, 0.0633, 1e-4),
        (parts.uncertainty, 0.1357, 1e-4),
        (parts.brier_score(), 0.0732, 1e-4),
        (parts.skill().unwrap(), 0.461, 1e-3),
    ];
    for (score, expected, tolerance) in scores {
        assert!((score - expected).abs() <= tolerance, "{score} {expected}");
    }
    let high: Vec<_> = rows.iter().filter(|row| row.p.get() > 0.5).collect();
    let rained: usize = high.iter().map(|row| row.happened).sum();
    let stated: usize = high.iter().map(|row| row.count).sum();
    assert!((rained as f64 / stated as f64 - 0.775).abs() <= 0.5e-3 + 0.5e-3);
}

/// Counts and 95 % score intervals without continuity correction, as published in 1998.
const WILSON: [(usize, usize, f64, f64); 4] = [
    (81, 263, 0.2553, 0.3662),
    (15, 148, 0.0624, 0.1605),
    (0, 20, 0.0, 0.1611),
    (1, 29, 0.0061, 0.1718),
];

#[test]
fn ranges_of_frequencies_agree_with_published_ones() {
    for (happened, count, low, high) in WILSON {
        let range = ReliabilityRow { p: p(0.5), count, happened }.frequency_range();
        assert!((range.0 - low).abs() <= 0.5e-4 && (range.1 - high).abs() <= 0.5e-4, "{range:?}");
    }
}

#[test]
fn nothing_stated_has_no_score() {
    assert_eq!(brier_score(&[]), None);
    assert_eq!(BrierParts::from_rows(&[]), None);
    assert_eq!(roc_area(&outcomes(&[(0.3, true), (0.2, true)])), None);
    assert!(reliability_by_bin(&outcomes(&TEN), 0).is_empty());
}

proptest! {
    #[test]
    fn the_parts_add_up_to_the_score(
        cases in prop::collection::vec((0_u8..=10, any::<bool>()), 1..60),
    ) {
        let cases: Vec<_> = cases.iter().map(|&(tenths, h)| (f64::from(tenths) / 10.0, h)).collect();
        let cases = outcomes(&cases);
        let parts = BrierParts::from_rows(&reliability_by_value(&cases)).unwrap();
        prop_assert!((parts.brier_score() - brier_score(&cases).unwrap()).abs() < 1e-12);
        let binned: usize = reliability_by_bin(&cases, 10).iter().map(|row| row.count).sum();
        prop_assert_eq!(binned, cases.len());
    }

    #[test]
    fn the_roc_area_counts_pairs(
        cases in prop::collection::vec((0_u8..=10, any::<bool>()), 2..40),
    ) {
        let cases: Vec<_> = cases.iter().map(|&(tenths, h)| (f64::from(tenths) / 10.0, h)).collect();
        let (mut won, mut pairs) = (0.0, 0.0);
        for (came, _) in cases.iter().filter(|case| case.1) {
            for (stayed, _) in cases.iter().filter(|case| !case.1) {
                pairs += 1.0;
                won += if came > stayed { 1.0 } else if came < stayed { 0.0 } else { 0.5 };
            }
        }
        let area = roc_area(&outcomes(&cases));
        prop_assert_eq!(area.is_some(), pairs > 0.0);
        prop_assert!(area.is_none_or(|area| (area - won / pairs).abs() < 1e-12));
    }
}
