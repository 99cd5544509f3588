use fairspell_chance::{any_of_bounds, any_of_markov};
use proptest::prelude::*;

use crate::p;

/// Hours; bounds; independent; Markov r = 0.5; Markov r = 0.68. See `tests/reference/README.md`.
type Combined = (&'static [f64], (f64, f64), f64, f64, f64);
const COMBINED: [Combined; 7] = [
    (&[0.3, 0.3], (0.3, 0.6), 0.51, 0.405, 0.3672),
    (&[0.4, 0.6], (0.6, 1.0), 0.76, 0.64, 0.60),
    (&[0.6, 0.6, 0.35], (0.6, 1.0), 0.896, 0.7362, 0.6768),
    (&[0.2, 0.5, 0.2], (0.5, 0.9), 0.68, 0.50, 0.50),
    (&[0.1, 0.1, 0.1], (0.1, 0.3), 0.271, 0.1877, 0.1567),
    (&[0.05, 0.05], (0.05, 0.1), 0.0975, 0.0737, 0.0652),
    (&[0.9, 0.9], (0.9, 1.0), 0.99, 0.945, 0.9288),
];

/// The table is rounded to four places.
const TABLE_ROUNDING: f64 = 0.5e-4 + 1e-12;

#[test]
fn hours_combine_as_in_the_published_table() {
    for (hours, bounds, independent, half, climate) in COMBINED {
        let hours: Vec<_> = hours.iter().copied().map(p).collect();
        let (low, high) = any_of_bounds(&hours).unwrap();
        assert!((low.get() - bounds.0).abs() < 1e-12, "{hours:?}: {low:?}");
        assert!((high.get() - bounds.1).abs() < 1e-12, "{hours:?}: {high:?}");
        for (r, expected) in [(0.0, independent), (0.5, half), (0.68, climate)] {
            let any = any_of_markov(&hours, r).unwrap().get();
            assert!((any - expected).abs() <= TABLE_ROUNDING, "{hours:?} at {r}: {any}");
        }
    }
}

#[test]
fn no_hours_are_not_dry_hours() {
    assert_eq!(any_of_bounds(&[]), None);
    assert_eq!(any_of_markov(&[], 0.5), None);
    assert_eq!(any_of_markov(&[p(0.3), p(0.3)], f64::NAN), None);
}

#[test]
fn one_sure_hour_makes_rain_sure() {
    for hours in [[1.0, 0.2, 0.3], [0.2, 1.0, 0.3], [0.2, 0.3, 1.0]] {
        let any = any_of_markov(&hours.map(p), 0.5).unwrap();
        assert!((any.get() - 1.0).abs() < 1e-12, "{hours:?}: {any:?}");
    }
}

proptest! {
    #[test]
    fn the_chain_stays_between_its_bounds_and_an_hour_more_never_makes_rain_less_likely(
        hours in prop::collection::vec(0.0..=1.0_f64, 1..8),
        r in 0.0..=1.0_f64,
    ) {
        let hours: Vec<_> = hours.into_iter().map(p).collect();
        let (low, high) = any_of_bounds(&hours).unwrap();
        let any = any_of_markov(&hours, r).unwrap().get();
        prop_assert!(low.get() - 1e-12 <= any && any <= high.get() + 1e-12);
        let fewer = &hours[..hours.len() - 1];
        if let Some(before) = any_of_markov(fewer, r) {
            prop_assert!(any >= before.get() - 1e-12);
        }
    }
}
