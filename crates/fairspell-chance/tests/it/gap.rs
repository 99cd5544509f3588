use fairspell_chance::{
    Chance, Character, Probability, SpellRates, p_dry_gap, p_dry_gap_from_steps, simulate,
};
use proptest::prelude::*;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;

use crate::{certain, p};

const BOTH: [Character; 2] = [Character::Showery, Character::Steady];

/// The longest run of dry steps.
pub(crate) fn longest_dry(wet: &[bool]) -> usize {
    wet.split(|&wet| wet).map(<[bool]>::len).max().unwrap_or(0)
}

#[test]
fn the_gaps_of_10_000_drawn_evenings_are_as_many_as_computed() {
    for (seed, character) in BOTH.into_iter().enumerate() {
        let mut rng = ChaCha8Rng::seed_from_u64(20 + seed as u64);
        for (given, steps, gap) in
            [(0.3, 24, 5), (0.75, 30, 5), (0.9, 12, 5), (1.0, 36, 12), (0.6, 18, 17), (0.99, 9, 3)]
        {
            let with_gap = (0..10_000)
                .filter(|_| longest_dry(&simulate(p(given), steps, character, &mut rng)) >= gap)
                .count();
            let share = with_gap as f64 / 10_000.0;
            let minutes = |steps: usize| 5.0 * steps as f64;
            let computed = p_dry_gap(&certain(given), minutes(steps), minutes(gap), character);
            let computed = computed.unwrap().centre.get();
            let four_sigma = 4.0 * (computed * (1.0 - computed) / 10_000.0).sqrt();
            assert!(
                (share - computed).abs() <= four_sigma,
                "{character:?} {given} {steps} {gap}: {share} drawn, {computed} computed"
            );
        }
    }
}

/// Steps from phase to phase in the order settled, just dried, just begun, set in.
fn matrix(rates: SpellRates) -> [[f64; 4]; 4] {
    let SpellRates { ends, lasts, clears, returns, settles, onset } = rates;
    [
        [1.0 - onset, 0.0, onset, 0.0],
        [settles, 1.0 - returns - settles, returns, 0.0],
        [0.0, ends, 1.0 - ends - lasts, lasts],
        [0.0, clears, 0.0, 1.0 - clears],
    ]
}

/// The long-run share of each phase, by letting the chain run.
fn long_run(matrix: &[[f64; 4]; 4]) -> [f64; 4] {
    let mut share = [0.25; 4];
    for _ in 0..20_000 {
        let mut next = [0.0; 4];
        for (from, row) in matrix.iter().enumerate() {
            for (to, chance) in row.iter().enumerate() {
                next[to] += share[from] * chance;
            }
        }
        share = next;
    }
    share
}

/// P(longest dry run >= gap) by going through every path of phases.
fn p_gap_of_all_paths(rates: SpellRates, steps: u32, gap: usize) -> f64 {
    let matrix = matrix(rates);
    let start = long_run(&matrix);
    let mut p_gap = 0.0;
    for path in 0..4_u32.pow(steps) {
        let phases: Vec<usize> =
            (0..steps).map(|step| (path / 4_u32.pow(step) % 4) as usize).collect();
        let chance = phases
            .windows(2)
            .fold(start[phases[0]], |chance, pair| chance * matrix[pair[0]][pair[1]]);
        let wet: Vec<bool> = phases.iter().map(|&phase| phase >= 2).collect();
        if longest_dry(&wet) >= gap {
            p_gap += chance;
        }
    }
    p_gap
}

#[test]
fn the_gap_is_that_of_all_paths_gone_through_one_by_one() {
    for character in BOTH {
        let rates = character.rates();
        let share = long_run(&matrix(rates));
        let steps = [p(share[2] + share[3]); 8];
        for gap in [1, 3, 5, 8] {
            let slow = p_gap_of_all_paths(rates, 8, gap);
            let from_steps = p_dry_gap_from_steps(&steps, character, gap).unwrap().get();
            assert!((from_steps - slow).abs() < 1e-9, "{character:?} {gap}: {from_steps} {slow}");

            // The same evening told by its chance of any wet step.
            let p_wet = certain(1.0 - p_gap_of_all_paths(rates, 8, 8));
            let told = p_dry_gap(&p_wet, 40.0, 5.0 * gap as f64, character).unwrap().centre.get();
            assert!((told - slow).abs() < 1e-9, "{character:?} {gap}: {told} {slow}");
        }
    }
}

#[test]
fn a_window_shorter_than_the_gap_has_no_answer() {
    for (window_min, gap_min) in
        [(20.0, 25.0), (f64::NAN, 25.0), (60.0, f64::NAN), (1e9, 25.0), (0.0, 0.0)]
    {
        assert_eq!(p_dry_gap(&certain(0.3), window_min, gap_min, Character::Showery), None);
    }
    assert_eq!(p_dry_gap_from_steps(&[p(0.1); 4], Character::Showery, 5), None);
}

#[test]
fn without_a_chance_of_wet_minutes_the_gap_is_certain() {
    for character in BOTH {
        assert_eq!(p_dry_gap(&certain(0.0), 120.0, 25.0, character), Some(certain(1.0)));
        let steps = [Probability::ZERO; 24];
        let p_gap = p_dry_gap_from_steps(&steps, character, 5).unwrap().get();
        assert!((p_gap - 1.0).abs() < 1e-12);
    }
}

#[test]
fn a_gap_as_long_as_its_window_needs_a_dry_window() {
    for window_min in [25.0, 27.0, 60.0] {
        let p_gap = p_dry_gap(&certain(0.4), window_min, window_min, Character::Showery).unwrap();
        assert!((p_gap.centre.get() - 0.6).abs() < 1e-9, "{window_min}: {p_gap:?}");
    }
}

#[test]
fn rain_at_every_step_leaves_no_gap() {
    let p_gap = p_dry_gap_from_steps(&[Probability::ONE; 24], Character::Showery, 1);
    assert_eq!(p_gap, Some(Probability::ZERO));
}

#[test]
fn showers_leave_gaps_where_steady_rain_leaves_fewer() {
    for percent in 1..=100 {
        let p_wet = certain(f64::from(percent) / 100.0);
        let p_gap = |character| p_dry_gap(&p_wet, 150.0, 25.0, character).unwrap();
        let (showery, steady) = (p_gap(Character::Showery), p_gap(Character::Steady));
        assert!(showery.centre > steady.centre, "{percent} %: {showery:?} {steady:?}");
    }
}

proptest! {
    #[test]
    fn more_rain_a_shorter_window_or_a_longer_gap_never_make_a_gap_likelier(
        mut ends in prop::array::uniform3(0.0..=1.0_f64),
        more in 0.0..=1.0_f64,
        window_min in 25.0..400.0_f64,
        gap_share in 0.0..=1.0_f64,
        steady in any::<bool>(),
    ) {
        ends.sort_by(f64::total_cmp);
        let character = if steady { Character::Steady } else { Character::Showery };
        let p_wet = Chance::new(p(ends[0]), p(ends[1]), p(ends[2])).unwrap();
        let gap_min = gap_share * (window_min - 10.0);
        let p_gap = |p_wet: &Chance, window_min: f64, gap_min: f64| {
            p_dry_gap(p_wet, window_min, gap_min, character).unwrap()
        };
        let plain = p_gap(&p_wet, window_min, gap_min);
        prop_assert!(plain.low <= plain.centre && plain.centre <= plain.high);
        let worse = [
            p_gap(&p_wet.blend(&certain(1.0), 1.0 - more), window_min, gap_min),
            p_gap(&p_wet, window_min - 10.0, gap_min),
            p_gap(&p_wet, window_min, gap_min + 5.0),
        ];
        for worse in worse {
            prop_assert!(worse.low.get() <= plain.low.get() + 1e-9, "{worse:?} {plain:?}");
            prop_assert!(worse.centre.get() <= plain.centre.get() + 1e-9, "{worse:?} {plain:?}");
            prop_assert!(worse.high.get() <= plain.high.get() + 1e-9, "{worse:?} {plain:?}");
        }
    }

    #[test]
    fn the_chance_of_a_wet_step_among_many_stays_within_its_bounds(
        steps in prop::collection::vec(0.0..=1.0_f64, 1..30),
        steady in any::<bool>(),
    ) {
        let character = if steady { Character::Steady } else { Character::Showery };
        let sum: f64 = steps.iter().sum();
        let largest = steps.iter().copied().fold(0.0, f64::max);
        let steps: Vec<_> = steps.into_iter().map(p).collect();
        let all_dry = p_dry_gap_from_steps(&steps, character, steps.len()).unwrap();
        let any_wet = all_dry.complement().get();
        prop_assert!(largest - 1e-9 <= any_wet && any_wet <= sum.min(1.0) + 1e-9, "{any_wet}");
        let any_dry = p_dry_gap_from_steps(&steps, character, 1).unwrap().get();
        prop_assert!(any_dry >= all_dry.get() - 1e-12);
    }

    #[test]
    fn a_step_more_never_takes_a_gap_away_and_a_longer_gap_is_never_likelier(
        steps in prop::collection::vec(0.0..=1.0_f64, 8..30),
        gap in 1_usize..7,
    ) {
        let steps: Vec<_> = steps.into_iter().map(p).collect();
        let p_gap = |steps: &[Probability], gap| {
            p_dry_gap_from_steps(steps, Character::Showery, gap).unwrap().get()
        };
        let plain = p_gap(&steps, gap);
        prop_assert!(p_gap(&steps[..steps.len() - 1], gap) <= plain + 1e-12);
        prop_assert!(p_gap(&steps, gap + 1) <= plain + 1e-12);
    }

    #[test]
    fn more_rain_at_every_step_never_makes_a_gap_likelier(
        steps in prop::collection::vec(0.0..=1.0_f64, 5..30),
        share in 0.0..=1.0_f64,
        gap in 1_usize..6,
        steady in any::<bool>(),
    ) {
        let character = if steady { Character::Steady } else { Character::Showery };
        let p_gap = |share: f64| {
            let steps: Vec<_> = steps.iter().map(|step| p(1.0 - (1.0 - step) * share)).collect();
            p_dry_gap_from_steps(&steps, character, gap).unwrap().get()
        };
        prop_assert!(p_gap(share) <= p_gap(1.0) + 1e-9);
    }
}
