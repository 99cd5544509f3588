use fairspell_chance::{Handover, HandoverCase, handover::REACH_MIN};
use proptest::prelude::*;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

use crate::p;

/// Middles of the windows that a nowcast's record keeps, minutes ahead.
const LEADS_MIN: [f64; 6] = [15.0, 30.0, 30.0, 60.0, 75.0, 120.0];

/// An afternoon of windows, of which the `wet` of every five came.
fn windows(count: u64, radar: f64, forecast: f64, wet: u64) -> Vec<HandoverCase> {
    let window = |window: u64| HandoverCase {
        lead_min: LEADS_MIN[(window % 6) as usize],
        radar: p(radar),
        forecast: p(forecast),
        came: window % 5 < wet,
        window,
    };
    (0..count).map(window).collect()
}

/// Sum over windows of the mixture's squared miss.
fn score(cases: &[HandoverCase], handover: Handover) -> f64 {
    let miss = |case: &HandoverCase| {
        let share = handover.radar_share(case.lead_min);
        let said = share * case.radar.get() + (1.0 - share) * case.forecast.get();
        (said - f64::from(u8::from(case.came))).powi(2)
    };
    cases.iter().map(miss).sum()
}

#[test]
fn without_cases_the_hours_stand() {
    assert_eq!(Handover::learned(&[]), Handover::by_hours());
    let nowhen = HandoverCase { lead_min: f64::NAN, ..windows(1, 0.1, 0.6, 3)[0] };
    assert_eq!(Handover::learned(&vec![nowhen; 500]), Handover::by_hours());
}

#[test]
fn a_radar_that_was_right_keeps_its_say() {
    // A dry forecast, and rain where radar had said so.
    for radar in [0.2, 0.3, 0.4] {
        assert_eq!(Handover::learned(&windows(300, radar, 0.05, 1)).reach(), 1.0, "{radar}");
        assert_eq!(Handover::learned(&windows(300, radar, 0.05, 2)).reach(), 1.0, "{radar}");
    }
}

#[test]
fn where_both_say_the_same_radar_keeps_its_say() {
    assert_eq!(Handover::learned(&windows(300, 0.4, 0.4, 2)).reach(), 1.0);
}

#[test]
fn a_forecast_that_was_right_takes_over_sooner() {
    // Showers that grew on the spot: radar showed next to none an hour before.
    let grown = Handover::learned(&windows(120, 0.1, 0.6, 3));
    assert!(grown.reach() < 0.6, "{}", grown.reach());
    // Echoes that never came down.
    let clutter = Handover::learned(&windows(120, 0.8, 0.05, 0));
    assert!(clutter.reach() < 0.6, "{}", clutter.reach());
}

#[test]
fn a_single_window_is_no_reason_and_the_reach_falls_with_their_number() {
    let reach = |count| Handover::learned(&windows(count, 0.1, 0.6, 3)).reach();
    assert_eq!(reach(6), 1.0);
    let reaches: Vec<f64> = [6, 30, 60, 120, 600].map(reach).to_vec();
    assert!(reaches.is_sorted_by(|a, b| a >= b), "{reaches:?}");
    assert!(reaches[4] >= REACH_MIN && reaches[4] < 0.3, "{reaches:?}");
}

#[test]
fn a_window_counts_once_however_many_places_it_was_judged_at() {
    let once = windows(120, 0.1, 0.6, 3);
    let reach = Handover::learned(&once).reach();
    assert!(reach < 1.0, "{reach}");
    let often: Vec<HandoverCase> = once.iter().flat_map(|case| [*case; 7]).collect();
    assert_eq!(Handover::learned(&often).reach(), reach);
    // One of them at many places: it weighs no more against the others.
    let mut one_at_many = windows(120, 0.1, 0.6, 3);
    one_at_many.extend(vec![once[119]; 500]);
    assert_eq!(Handover::learned(&one_at_many).reach(), reach);
}

/// Days of eight hours, in each of which forty-five windows share one weather: what forecast and radar
/// say of it, and whether it comes. Scores on the day after, by the hours and learned, and mean reach.
fn judged(days: u64, weather: impl Fn(&mut ChaCha8Rng) -> (f64, f64, bool)) -> (f64, f64, f64) {
    let mut rng = ChaCha8Rng::seed_from_u64(11);
    let mut day = || -> Vec<HandoverCase> {
        let hours = (0..8_u64).map(|hour| (hour, weather(&mut rng)));
        let windows = hours.flat_map(|(hour, (radar, forecast, came))| {
            (0..45_u64).map(move |index| HandoverCase {
                lead_min: LEADS_MIN[(index % 6) as usize],
                radar: p(radar),
                forecast: p(forecast),
                came,
                window: 45 * hour + index,
            })
        });
        windows.collect()
    };
    let (mut by_hours, mut learned, mut reach) = (0.0, 0.0, 0.0);
    for _ in 0..days {
        let handover = Handover::learned(&day());
        let next = day();
        by_hours += score(&next, Handover::by_hours()) / next.len() as f64;
        learned += score(&next, handover) / next.len() as f64;
        reach += handover.reach();
    }
    let days = days as f64;
    (by_hours / days, learned / days, reach / days)
}

#[test]
fn what_is_learned_does_not_spoil_an_honest_radar() {
    // Both honest, radar the sharper: 0.3 either side of the forecast.
    let honest = |rng: &mut ChaCha8Rng| {
        let forecast = rng.random_range(0.3..0.7);
        let radar: f64 = forecast + if rng.random_bool(0.5) { 0.3 } else { -0.3 };
        (radar, forecast, rng.random_bool(radar))
    };
    let (by_hours, learned, reach) = judged(365, honest);
    // What the accidents of single days cost: a hundredth of the score.
    assert!(learned - by_hours < 0.0015, "{learned} instead of {by_hours}");
    assert!(reach > 0.95, "{reach}");
}

#[test]
fn what_is_learned_makes_up_for_a_radar_that_knows_nothing() {
    // An honest forecast, and a radar whose word has nothing to do with what comes.
    let blind = |rng: &mut ChaCha8Rng| {
        let forecast: f64 = rng.random_range(0.1..0.9);
        (rng.random_range(0.0..1.0), forecast, rng.random_bool(forecast))
    };
    let (by_hours, learned, reach) = judged(365, blind);
    assert!(learned < by_hours - 0.02, "{learned} instead of {by_hours}");
    assert!(reach < 0.7, "{reach}");
}

prop_compose! {
    fn case()(
        lead in 0..6_usize,
        radar in 0.0..=1.0,
        forecast in 0.0..=1.0,
        came in any::<bool>(),
        window in 0..40_u64,
    ) -> HandoverCase {
        HandoverCase { lead_min: LEADS_MIN[lead], radar: p(radar), forecast: p(forecast), came, window }
    }
}

proptest! {
    #[test]
    fn the_reach_keeps_its_bounds_and_never_does_worse_on_what_it_learned_from(
        mut cases in prop::collection::vec(case(), 0..300)
    ) {
        for (window, case) in (0..).zip(&mut cases) {
            case.window = window;
        }
        let handover = Handover::learned(&cases);
        prop_assert!((REACH_MIN..=1.0).contains(&handover.reach()));
        prop_assert!(score(&cases, handover) <= score(&cases, Handover::by_hours()) + 1e-9);
    }

    #[test]
    fn the_order_of_cases_means_nothing(
        mut cases in prop::collection::vec(case(), 0..100)
    ) {
        let reach = Handover::learned(&cases).reach();
        cases.reverse();
        prop_assert!((Handover::learned(&cases).reach() - reach).abs() < 0.01);
    }
}
