use fairspell_weather::{RainAmount, estimate::p_rain_from_amount};
use jiff::SignedDuration;
use proptest::prelude::*;

use crate::time;

fn amount(hours: i64, rain_amount_mm: f64) -> RainAmount {
    let from = time("2030-06-14T12:00:00Z");
    RainAmount {
        from,
        to: from + SignedDuration::from_hours(hours),
        rain_amount_mm,
        rain_amount_min_mm: None,
        rain_amount_max_mm: None,
    }
}

/// University of Washington ensemble, 4043 station days (see the reference folder's README). In every
/// class of forecast amount the share of days that were really wet lies in the estimate's range, give
/// or take two binomial standard deviations of that many days.
#[test]
fn wet_days_of_a_real_record_lie_in_the_range() {
    let classes_mm = [0.0, 0.001, 0.1, 0.25, 0.5, 1.0, 2.0, 4.0, 8.0, 16.0, 32.0, f64::INFINITY];
    let days: Vec<(f64, bool)> = include_str!("../reference/real_ens_pnw_2002.csv")
        .lines()
        .skip(1)
        .map(|line| {
            let cells: Vec<f64> = line.split(',').map(|cell| cell.parse().unwrap()).collect();
            (cells[3] * 0.254, cells[1] >= 1.0)
        })
        .collect();
    assert_eq!(days.len(), 4043);
    for class in classes_mm.windows(2) {
        let found: Vec<_> =
            days.iter().filter(|(mm, _)| (class[0]..class[1]).contains(mm)).collect();
        let count = found.len() as f64;
        let wet = found.iter().filter(|(_, wet)| *wet).count() as f64 / count;
        let mean_mm = found.iter().map(|(mm, _)| mm).sum::<f64>() / count;
        let estimate = p_rain_from_amount(&amount(24, mean_mm), 0.254);
        let doubt = |p: f64| 2.0 * (p * (1.0 - p) / count).sqrt();
        let (low, high) = (estimate.low.get(), estimate.high.get());
        assert!(
            low - doubt(low) <= wet && wet <= high + doubt(high),
            "{mean_mm} mm: {wet} of {count} days, estimate {estimate:?}"
        );
    }
}

#[test]
fn stated_extremes_decide_first() {
    let surely = RainAmount { rain_amount_min_mm: Some(0.4), ..amount(1, 0.5) };
    assert!(p_rain_from_amount(&surely, 0.1).centre.get() >= 0.9);
    let hardly = RainAmount { rain_amount_max_mm: Some(0.0), ..amount(6, 0.0) };
    assert!(p_rain_from_amount(&hardly, 0.1).centre.get() <= 0.1);
}

proptest! {
    #[test]
    fn more_rain_is_never_less_likely(hours in 1_i64..=24, mm in 0.0..50.0, more_mm in 0.0..10.0) {
        let less = p_rain_from_amount(&amount(hours, mm), 0.1);
        let more = p_rain_from_amount(&amount(hours, mm + more_mm), 0.1);
        prop_assert!(less.centre <= more.centre);
    }

    #[test]
    fn an_estimate_is_never_narrow(hours in 1_i64..=24, mm in 0.0..8.0) {
        let estimate = p_rain_from_amount(&amount(hours, mm), 0.1);
        prop_assert!(estimate.high.get() - estimate.low.get() >= 0.08);
    }
}
