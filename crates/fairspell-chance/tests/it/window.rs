use fairspell_chance::{
    CORRELATION_SAME_DAY, Stated, any_of_bounds, any_of_markov, default_correlation,
    p_rain_in_window, share_of_period,
};
use proptest::prelude::*;

use crate::p;

fn stated(from_h: f64, to_h: f64, chance: f64) -> Stated {
    Stated { from_min: 60.0 * from_h, to_min: 60.0 * to_h, p: p(chance) }
}

#[test]
fn whole_hours_are_chained_within_their_bounds() {
    let hours = [stated(15.0, 16.0, 0.6), stated(16.0, 17.0, 0.6), stated(17.0, 18.0, 0.35)];
    let chances = hours.map(|hour| hour.p);
    let window = p_rain_in_window(&hours, 900.0, 1080.0, 0.5).unwrap();
    let close = |a: f64, b: f64| (a - b).abs() < 1e-12;
    assert!(close(window.centre.get(), any_of_markov(&chances, 0.5).unwrap().get()));
    let (low, high) = any_of_bounds(&chances).unwrap();
    assert_eq!((window.low, window.high), (low, high));
}

/// Straight fits to hourly forecasts of six-hour periods, three New York airports, 2013: hours of
/// six, constant, slope. The fits themselves are good to 0.06; ours keeps to them within 0.05 from
/// 5 % up to 95 %.
const SIX_HOUR_SHARES: [(f64, f64, f64); 3] =
    [(1.0, 0.33, 0.33), (2.0, 0.50, 0.28), (3.0, 0.63, 0.20)];

#[test]
fn parts_of_six_hours_have_the_share_that_forecasts_showed() {
    for (hours, constant, slope) in SIX_HOUR_SHARES {
        for percent in (5..=95).step_by(5) {
            let chance = f64::from(percent) / 100.0;
            let share = share_of_period(60.0 * hours, 360.0, p(chance));
            let expected = constant + slope * chance;
            assert!((share - expected).abs() < 0.05, "{hours} h, {percent} %: {share} {expected}");
        }
    }
}

/// The same source, by class of the six-hour forecast: mean forecast, c(1 h), c(2 h), c(3 h). Some
/// 200 station-periods a class and more, hence the 0.07.
const SIX_HOUR_CLASSES: [(f64, [f64; 3]); 8] = [
    (0.026, [0.383, 0.545, 0.670]),
    (0.072, [0.336, 0.505, 0.658]),
    (0.141, [0.362, 0.513, 0.643]),
    (0.242, [0.407, 0.559, 0.678]),
    (0.364, [0.493, 0.637, 0.743]),
    (0.519, [0.473, 0.620, 0.734]),
    (0.694, [0.531, 0.645, 0.734]),
    (0.910, [0.686, 0.787, 0.857]),
];

#[test]
fn parts_of_six_hours_agree_with_every_class_of_forecasts() {
    for (chance, shares) in SIX_HOUR_CLASSES {
        for (hours, expected) in [1.0, 2.0, 3.0].into_iter().zip(shares) {
            let share = share_of_period(60.0 * hours, 360.0, p(chance));
            assert!((share - expected).abs() < 0.07, "{hours} h, {chance}: {share} {expected}");
        }
    }
}

/// New York airports 2013: P(2 h | wet 12 h), P(3 h | wet 12 h), P(2 h | wet 24 h). Our table counts
/// windows at every hour, theirs fixed blocks, hence 0.06.
const LONG_PERIOD_SHARES: [(f64, f64, f64); 3] =
    [(2.0, 12.0, 0.422), (3.0, 12.0, 0.500), (2.0, 24.0, 0.265)];

#[test]
fn parts_of_twelve_hours_and_a_day_have_the_climates_share() {
    for (hours, period_h, expected) in LONG_PERIOD_SHARES {
        for chance in [0.1, 0.5, 0.9] {
            let share = share_of_period(60.0 * hours, 60.0 * period_h, p(chance));
            assert!((share - expected).abs() < 0.06, "{hours} of {period_h}: {share}");
        }
    }
}

#[test]
fn a_partly_covered_period_may_rain_exactly_in_the_window() {
    let morning_and_evening = [stated(6.0, 12.0, 0.3), stated(12.0, 18.0, 0.4)];
    let window = p_rain_in_window(&morning_and_evening, 660.0, 780.0, 0.5).unwrap();
    assert!((window.high.get() - 0.7).abs() < 1e-12);
    assert!(window.centre.get() < 0.3, "{window:?}");
}

#[test]
fn a_window_with_a_hole_has_no_chance() {
    let hours = [stated(15.0, 16.0, 0.0), stated(16.5, 18.0, 0.0)];
    assert_eq!(p_rain_in_window(&hours, 930.0, 1020.0, 0.5), None);
    assert_eq!(p_rain_in_window(&hours, 890.0, 930.0, 0.5), None);
    assert_eq!(p_rain_in_window(&[], 0.0, 60.0, 0.5), None);
    assert_eq!(p_rain_in_window(&hours, 930.0, 930.0, 0.5), None);
    assert_eq!(p_rain_in_window(&hours, f64::NAN, 930.0, 0.5), None);
    assert!(p_rain_in_window(&hours, 900.0, 960.0, 0.5).is_some());
}

#[test]
fn the_shorter_statement_is_believed_and_bad_ones_are_passed_over() {
    let mixed = [
        stated(12.0, 18.0, 0.9),
        stated(16.0, 17.0, 0.1),
        stated(17.0, 16.0, 1.0),
        Stated { from_min: f64::NAN, to_min: 1020.0, p: p(1.0) },
    ];
    let window = p_rain_in_window(&mixed, 960.0, 1020.0, 0.5).unwrap();
    assert!((window.centre.get() - 0.1).abs() < 1e-12);
}

#[test]
fn parts_of_two_equal_hours_come_to_about_one_hour() {
    for percent in 1..=99 {
        let chance = f64::from(percent) / 100.0;
        let hours = [stated(15.0, 16.0, chance), stated(16.0, 17.0, chance)];
        for start in [905.0, 915.0, 930.0, 945.0, 955.0] {
            let window = p_rain_in_window(&hours, start, start + 60.0, CORRELATION_SAME_DAY);
            let off = window.unwrap().centre.get() - chance;
            // As the linking of short parts promises.
            let below = if chance <= 0.5 { 0.03 } else { 0.07 };
            assert!(-below < off && off < 0.03, "{chance} from {start}: {off}");
        }
    }
}

#[test]
fn the_correlation_grows_with_window_and_lead() {
    assert_eq!(default_correlation(120.0, 360.0), 0.5);
    assert_eq!(default_correlation(720.0, 360.0), 0.68);
    assert_eq!(default_correlation(120.0, 2880.0), 0.68);
    // New York airports 2013, six-hour windows at a lead of two hours: 0.54 was measured.
    assert!((default_correlation(360.0, 120.0) - 0.54).abs() < 0.03);
    assert_eq!(default_correlation(f64::NAN, 0.0), 0.68);
}

proptest! {
    #[test]
    fn a_longer_window_never_has_a_lower_chance(
        chances in prop::collection::vec(0.0..=1.0_f64, 8),
        lengths in prop::collection::vec(prop::sample::select(vec![0.5, 1.0, 3.0, 6.0, 12.0]), 8),
        from in 0.0..0.9_f64,
        length in 0.01..0.9_f64,
        more in 0.0..0.3_f64,
        r in 0.0..=1.0_f64,
    ) {
        let mut start = 0.0;
        let periods: Vec<_> = chances.iter().zip(&lengths).map(|(&chance, &hours)| {
            start += hours;
            stated(start - hours, start, chance)
        }).collect();
        let total = 60.0 * start;
        let (from, to) = (from * total, ((from + length) * total).min(total));
        let window = |from: f64, to: f64| {
            p_rain_in_window(&periods, from.max(0.0), to.min(total), r).unwrap()
        };
        let short = window(from, to);
        for long in [window(from, to + more * total), window(from - more * total, to)] {
            prop_assert!(long.low.get() >= short.low.get() - 1e-12);
            prop_assert!(long.centre.get() >= short.centre.get() - 1e-12);
            prop_assert!(long.high.get() >= short.high.get() - 1e-12);
        }
    }

    #[test]
    fn a_share_never_jumps_and_orders_parts_and_periods(
        part in 1.0..1440.0_f64,
        period in 1.0..1440.0_f64,
        chance in 0.0..=1.0_f64,
    ) {
        let share = share_of_period(part, period, p(chance));
        prop_assert!((0.0..=1.0).contains(&share));
        let longer_part = share_of_period(part * 1.01, period, p(chance));
        let longer_period = share_of_period(part, period * 1.01, p(chance));
        prop_assert!(longer_part >= share - 1e-12);
        prop_assert!(longer_period <= share + 1e-12);
        // The steepest power in use is below 1, so one per cent of length moves it by less than 1 %.
        prop_assert!(longer_part - share < 0.011);
        prop_assert!(share - longer_period < 0.011);
    }

    #[test]
    fn a_likelier_period_never_has_a_drier_part(
        part in 1.0..1440.0_f64,
        period in 1.0..1440.0_f64,
        chance in 0.0..=0.99_f64,
    ) {
        let of = |chance: f64| chance * share_of_period(part, period, p(chance));
        prop_assert!(of(chance + 0.01) >= of(chance));
    }
}
