use fairspell_chance::crps;
use proptest::prelude::*;

/// Values, what came, score: properscoring 0.1 and scores 2.7.0 (`crps_for_ensemble`, "ecdf").
const CASES: [(&[f64], f64, f64); 4] = [
    (&[20.0, 30.0, 60.0], 30.0, 4.444444444444445),
    (&[0.0, 0.0, 0.0, 1.5], 0.2, 0.19375),
    (&[2.5, -1.0, 4.0, 4.0, 7.25, 0.5], 5.0, 1.395833333333333),
    (&[3.0], 3.5, 0.5),
];

#[test]
fn plausible_values_score_as_two_other_programs_say() {
    for (values, came, expected) in CASES {
        let score = crps(values, came).unwrap();
        assert!((score - expected).abs() < 1e-12, "{values:?}: {score}");
    }
}

#[test]
fn what_is_no_number_has_no_score() {
    assert_eq!(crps(&[], 1.0), None);
    assert_eq!(crps(&[1.0, f64::NAN], 1.0), None);
    assert_eq!(crps(&[1.0], f64::INFINITY), None);
}

proptest! {
    #[test]
    fn sorting_finds_what_all_pairs_find(
        values in prop::collection::vec(-50.0..50.0, 1..12),
        came in -60.0..60.0_f64,
    ) {
        let n = values.len() as f64;
        let miss: f64 = values.iter().map(|value: &f64| (value - came).abs()).sum();
        let apart: f64 =
            values.iter().flat_map(|a| values.iter().map(move |b| (a - b).abs())).sum();
        let expected = miss / n - apart / (2.0 * n * n);
        prop_assert!((crps(&values, came).unwrap() - expected).abs() < 1e-9);
    }
}
