use fairspell_chance::{Character, SpellRates, p_wet_step, simulate};
use proptest::prelude::*;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;

use crate::{certain, p};

const BOTH: [Character; 2] = [Character::Showery, Character::Steady];

/// P(changed within so many steps) for a spell that leaves its first phase with chance `a`, exchanges
/// it for a second one with `b`, and leaves that with `c`.
fn p_ended_within(steps: u32, a: f64, b: f64, c: f64) -> f64 {
    let (mut first, mut second) = (1.0, 0.0);
    for _ in 0..steps {
        (first, second) = (first * (1.0 - a - b), first * b + second * (1.0 - c));
    }
    1.0 - first - second
}

/// When rain has just stopped, P(rain again) within 10, 20, 30, 60 minutes: the same radar record at
/// 1,168 cells, from 0.05 mm a step on.
const RAIN_AGAIN: [(u32, f64); 4] = [(2, 0.25), (4, 0.36), (6, 0.42), (12, 0.52)];
/// Lengths of wet spells there: half are over within 15 minutes, three quarters within 30, nine in
/// ten within 60.
const SHOWER_OVER: [(u32, f64); 3] = [(3, 0.50), (6, 0.75), (12, 0.90)];

/// The other threshold moves these by up to 0.03, four cells and half of the days by about as much
/// again; and two dry phases make somewhat too few pauses of one or two steps, too short to work in.
const OTHER_CELLS: f64 = 0.08;

#[test]
fn showers_come_back_and_end_as_a_thousand_other_cells_say() {
    let SpellRates { ends, lasts, clears, returns, settles, onset } = Character::Showery.rates();
    for (steps, expected) in RAIN_AGAIN {
        let again = p_ended_within(steps, returns, settles, onset);
        assert!((again - expected).abs() <= OTHER_CELLS, "again within {steps}: {again}");
    }
    for (steps, expected) in SHOWER_OVER {
        let over = p_ended_within(steps, ends, lasts, clears);
        assert!((over - expected).abs() <= OTHER_CELLS, "over within {steps}: {over}");
    }
}

#[test]
fn steady_rain_lasts_as_long_as_winter_rain_in_new_york() {
    // P(wet next hour | wet) = 0.763 from November to March, so a mean spell of 4.2 hours; in whole
    // hours, hence the half hour.
    let expected_min = 60.0 / (1.0 - 0.763);
    let SpellRates { ends, lasts, clears, .. } = Character::Steady.rates();
    let mean_min = 5.0 * (1.0 + lasts / clears) / (ends + lasts);
    assert!((mean_min - expected_min).abs() < 30.0, "{mean_min}");
}

#[test]
fn the_phases_keep_their_order() {
    for character in BOTH {
        let rates = character.rates();
        assert!(rates.onset <= rates.returns, "{rates:?}");
        assert!(rates.returns <= 1.0 - rates.ends && rates.ends >= rates.clears, "{rates:?}");
        assert!(
            rates.lasts <= 1.0 - rates.clears && rates.onset <= 1.0 - rates.settles,
            "{rates:?}"
        );
    }
}

/// Four standard deviations of a share of 10 000 evenings.
fn four_sigma(share: f64) -> f64 {
    4.0 * (share * (1.0 - share) / 10_000.0).sqrt()
}

#[test]
fn of_10_000_evenings_given_30_percent_about_30_percent_get_wet() {
    for (seed, character) in BOTH.into_iter().enumerate() {
        let mut rng = ChaCha8Rng::seed_from_u64(seed as u64);
        for (given, steps) in [(0.3, 24), (0.05, 36), (0.75, 30), (0.97, 12), (1.0, 6), (0.0, 24)] {
            let wet = (0..10_000)
                .filter(|_| simulate(p(given), steps, character, &mut rng).contains(&true))
                .count();
            let share = wet as f64 / 10_000.0;
            assert!((share - given).abs() <= four_sigma(given), "{character:?} {given}: {share}");
        }
    }
}

#[test]
fn a_step_of_a_drawn_evening_is_wet_as_often_as_stated() {
    for (seed, character) in BOTH.into_iter().enumerate() {
        let mut rng = ChaCha8Rng::seed_from_u64(10 + seed as u64);
        for (given, steps) in [(0.3_f64, 12_u32), (0.8, 24), (1.0, 6)] {
            let (mut wet, mut squares) = (0.0, 0.0);
            for _ in 0..10_000 {
                let evening = simulate(p(given), steps as usize, character, &mut rng);
                let share = evening.iter().filter(|&&wet| wet).count() as f64 / f64::from(steps);
                wet += share / 10_000.0;
                squares += share * share / 10_000.0;
            }
            let sigma = ((squares - wet * wet) / 10_000.0).sqrt();
            let minutes = 5.0 * f64::from(steps);
            let stated = p_wet_step(&certain(given), minutes, character).unwrap().centre.get();
            assert!((wet - stated).abs() <= 4.0 * sigma, "{character:?} {given}: {wet} {stated}");
        }
    }
}

#[test]
fn the_same_seed_draws_the_same_evening() {
    let draw = || simulate(p(0.6), 36, Character::Showery, &mut ChaCha8Rng::seed_from_u64(7));
    assert_eq!(draw(), draw());
    assert!(simulate(p(1.0), 0, Character::Showery, &mut ChaCha8Rng::seed_from_u64(7)).is_empty());
}

#[test]
fn a_window_without_length_has_no_wet_step() {
    for window_min in [0.0, -5.0, f64::NAN, f64::INFINITY] {
        assert_eq!(p_wet_step(&certain(0.5), window_min, Character::Showery), None);
    }
    let step = p_wet_step(&certain(0.5), 5.0, Character::Showery).unwrap();
    assert!((step.centre.get() - 0.5).abs() < 1e-9);
}

proptest! {
    #[test]
    fn a_step_is_never_likelier_wet_than_its_window(
        given in 0.0..=0.99_f64,
        window_min in 5.0..600.0_f64,
        steady in any::<bool>(),
    ) {
        let character = if steady { Character::Steady } else { Character::Showery };
        let step = p_wet_step(&certain(given), window_min, character).unwrap();
        prop_assert!(step.high.get() <= given + 1e-9);
        let more = p_wet_step(&certain(given + 0.01), window_min, character).unwrap();
        prop_assert!(more.centre.get() >= step.centre.get() - 1e-9);
    }
}
