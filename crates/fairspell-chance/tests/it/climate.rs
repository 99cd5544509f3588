use fairspell_chance::climate::{
    CORRELATION_DEFAULT, Counts, DEFAULT_WEIGHT, LAGS_DAYS, Persistence, difference_range,
};
use proptest::prelude::*;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

use crate::p;

/// Wet, known, default, its weight; mean, 5th and 95th percentile by scipy 1.17.1, `stats.beta.ppf`, to
/// eight places. The first four are also worked by hand: 0.6154, the default itself, 0.30, 0.6818.
const BETA: [(usize, usize, f64, f64, [f64; 3]); 8] = [
    (3, 3, 0.5, 10.0, [0.615385, 0.3908623, 0.81897524]),
    (0, 0, 0.2, 10.0, [0.2, 0.04102317, 0.42913555]),
    (4, 20, 0.5, 10.0, [0.3, 0.17246482, 0.4429359]),
    (9, 12, 0.6, 10.0, [0.681818, 0.51261121, 0.83182418]),
    (95, 1087, 0.2, 10.0, [0.088423, 0.07476847, 0.10293073]),
    (0, 31, 0.2, 10.0, [0.04878, 0.00895695, 0.11318836]),
    (40_000, 100_000, 0.2, 10.0, [0.39998, 0.3974331, 0.40252918]),
    (0, 3, 0.05, 2.0, [0.02, 0.0, 0.12192607]),
];

#[test]
fn shrunk_chances_and_their_ranges_agree_with_scipy() {
    for (wet, known, default, weight, [mean, low, high]) in BETA {
        let found = Counts { known, wet }.shrunk(p(default), weight);
        let what = format!("{wet} of {known}: {found:?}");
        assert!((found.centre.get() - mean).abs() < 1e-6, "{what}");
        assert!((found.low.get() - low).abs() < 1e-8, "{what}");
        assert!((found.high.get() - high).abs() < 1e-8, "{what}");
    }
}

#[test]
fn a_default_without_doubt_stays_one() {
    let none = Counts { known: 5, wet: 0 };
    assert_eq!(none.shrunk(p(0.0), 10.0).high.get(), 0.0);
    let all = Counts { known: 5, wet: 5 };
    assert_eq!(all.shrunk(p(1.0), 10.0).low.get(), 1.0);
}

/// Where the truth is drawn from the default's own distribution, nine in ten ranges hold it.
#[test]
fn nine_in_ten_ranges_hold_the_truth() {
    let mut rng = ChaCha8Rng::seed_from_u64(7);
    let mut held = 0;
    for _ in 0..4000 {
        // The second smallest of nine even draws has the beta distribution of 2 and 8.
        let mut draws: [f64; 9] = std::array::from_fn(|_| rng.random());
        draws.sort_by(f64::total_cmp);
        let truth = draws[1];
        let wet = (0..31).filter(|_| rng.random::<f64>() < truth).count();
        let found = Counts { known: 31, wet }.shrunk(p(0.2), DEFAULT_WEIGHT);
        held += u32::from((found.low.get()..=found.high.get()).contains(&truth));
    }
    // 0.90 give or take four standard errors of 4000 draws.
    assert!((3525..=3675).contains(&held), "{held} of 4000");
}

/// Days in which wet follows wet and wet follows dry with these chances.
fn chain(
    days: i64,
    after_wet: f64,
    after_dry: f64,
    rng: &mut ChaCha8Rng,
) -> Vec<(i64, Option<bool>)> {
    let mut is_wet = false;
    let day = |day| {
        is_wet = rng.random::<f64>() < if is_wet { after_wet } else { after_dry };
        (day, Some(is_wet))
    };
    (0..days).map(day).collect()
}

#[test]
fn persistence_that_was_planted_is_found() {
    let outcomes = chain(100_000, 0.45, 0.27, &mut ChaCha8Rng::seed_from_u64(1));
    let next = Persistence::of(&outcomes, 1);
    // Three standard errors: 0.003 after wet, 0.002 after dry.
    assert!((next.after_wet.share().unwrap() - 0.45).abs() < 0.009, "{next:?}");
    assert!((next.after_dry.share().unwrap() - 0.27).abs() < 0.006, "{next:?}");
    // In a two-state chain the correlation is the difference, and its power at longer lags.
    assert!((next.correlation().unwrap() - 0.18).abs() < 0.01);
    assert!((next.correlation_shrunk() - 0.18).abs() < 0.01, "50 pairs against 100 000");
    let second = Persistence::of(&outcomes, 2);
    assert!((second.correlation().unwrap() - 0.18 * 0.18).abs() < 0.01);
}

#[test]
fn nine_in_ten_ranges_of_the_difference_hold_the_truth() {
    let mut rng = ChaCha8Rng::seed_from_u64(3);
    let mut held = 0;
    for _ in 0..300 {
        let outcomes = chain(1000, 0.45, 0.27, &mut rng);
        let (low, high) = difference_range(&outcomes, 1, 400, &mut rng).unwrap();
        held += u32::from((low..=high).contains(&0.18));
    }
    // 0.90 give or take four standard errors of 300 records, and a little for a hundred blocks only.
    assert!((245..=291).contains(&held), "{held} of 300");
}

#[test]
fn too_little_gives_no_range_and_the_default_correlation() {
    let mut rng = ChaCha8Rng::seed_from_u64(1);
    let alone = [(0, Some(true)), (1, Some(false))];
    assert_eq!(difference_range(&alone, 1, 100, &mut rng), None);
    assert_eq!(Persistence::of(&alone, 1).correlation(), None);
    assert_eq!(Persistence::of(&[], 1).correlation_shrunk(), CORRELATION_DEFAULT);
    assert_eq!(Counts::default().share(), None);
    // Two wet days in a hundred, none after the other: every draw would say exactly zero.
    let rare: Vec<_> = (0..100).map(|day| (day, Some(day % 50 == 9))).collect();
    assert_eq!(difference_range(&rare, 1, 100, &mut rng), None);
}

#[test]
fn a_record_and_a_seed_give_one_range() {
    let outcomes = chain(500, 0.5, 0.2, &mut ChaCha8Rng::seed_from_u64(5));
    let range = || difference_range(&outcomes, 1, 500, &mut ChaCha8Rng::seed_from_u64(9));
    assert!(range().is_some());
    assert_eq!(range(), range());
}

proptest! {
    #[test]
    fn what_is_not_known_is_neither_wet_nor_dry(
        outcomes in prop::collection::vec(prop::option::of(any::<bool>()), 0..80),
        default in 0.0..=1.0,
    ) {
        let outcomes: Vec<_> = (0..).zip(outcomes).collect();
        let mut known = outcomes.clone();
        known.retain(|(_, wet)| wet.is_some());
        known.reverse();
        prop_assert_eq!(Counts::of(&outcomes), Counts::of(&known));
        for lag in LAGS_DAYS {
            let persistence = Persistence::of(&outcomes, lag);
            prop_assert_eq!(persistence, Persistence::of(&known, lag));
            prop_assert!(persistence.pairs() <= known.len());
            prop_assert!((-1.0..=1.0).contains(&persistence.correlation_shrunk()));
        }
        let found = Counts::of(&outcomes).shrunk(p(default), DEFAULT_WEIGHT);
        prop_assert!(found.low <= found.centre && found.centre <= found.high);
    }

    #[test]
    fn a_longer_record_of_the_same_share_is_surer(wet in 0_usize..20, dry in 1_usize..20) {
        let width = |times| {
            let counts = Counts { known: times * (wet + dry), wet: times * wet };
            let found = counts.shrunk(p(counts.share().unwrap()), DEFAULT_WEIGHT);
            found.high.get() - found.low.get()
        };
        prop_assert!(width(4) <= width(1));
    }
}
