use fairspell_chance::{
    CostLoss, Probability,
    cost_loss::{cost_of_waiting, relative_value, sharpening, skill_at_lead},
};
use proptest::prelude::*;

fn chance(p: f64) -> Probability {
    Probability::new(p).unwrap()
}

/// Worked examples: a session of 450 at 72 h and inside a day (common practice, no source), and the
/// rule's own arithmetic.
#[test]
fn the_threshold_is_cost_over_loss_plus_the_other_dates_risk() {
    let check = |cost, loss, q, expected: f64| {
        let found = CostLoss { cost, loss, p_other: chance(q) }.threshold().unwrap();
        assert!((found - expected).abs() < 5e-4, "{cost} {loss} {q}: {found}");
    };
    check(20.0, 590.0, 0.2, 0.2339);
    check(270.0, 590.0, 0.2, 0.6576);
    check(20.0, 100.0, 0.09, 0.29);
    check(20.0, 100.0, 0.2, 0.40);
    check(100.0, 300.0, 0.25, 0.5833);
    // A showery evening with gaps: only a thinner gallery is at stake, and moving is never worth it.
    check(270.0, 150.0, 0.2, 2.0);
    let nothing = CostLoss { cost: 1.0, loss: 0.0, p_other: chance(0.1) };
    assert_eq!(nothing.threshold(), None);
}

/// Values of `scores.relative_economic_value_from_rates` (`scores` from the Python index): base rate 0.3, hit rate 0.8,
/// false alarm rate 0.15; and J. P. Finley's tornado forecasts of 1884 (28, 72, 23, 2680).
#[test]
fn relative_value_agrees_with_the_verification_librarys() {
    let check = |ratio: f64, base, hit, false_alarm, expected: f64| {
        let found = relative_value(ratio, base, hit, false_alarm).unwrap();
        assert!((found - expected).abs() < 1e-4, "{ratio}: {found}");
    };
    for (ratio, expected) in [
        (0.1, 0.0786),
        (0.2, 0.5071),
        (0.3, 0.6500),
        (0.4, 0.5667),
        (0.5, 0.4500),
        (0.6, 0.2750),
        (0.7, -0.0167),
    ] {
        check(ratio, 0.3, 0.8, 0.15, expected);
    }
    let (hit, false_alarm) = (28.0 / 51.0, 72.0 / 2752.0);
    for (ratio, expected) in [(0.01, 0.1464), (0.05, 0.4747), (0.1, 0.3922), (0.2, 0.1961)] {
        check(ratio, 51.0 / 2803.0, hit, false_alarm, expected);
    }
    assert_eq!(relative_value(0.0, 0.3, 0.8, 0.1), None, "moving for nothing needs no forecast");
}

/// `scipy.stats.beta` of `scipy` 1.17.1, the mean of `min(P L, K)` integrated numerically: see
/// `tests/reference/cost_loss.py`.
#[test]
fn waiting_costs_the_mean_over_what_the_next_forecast_may_say() {
    let check = |p, cost, loss, q, rho, expected: f64| {
        let then = CostLoss { cost, loss, p_other: chance(q) };
        let found = cost_of_waiting(chance(p), &then, rho).unwrap();
        assert!((found - expected).abs() < 5e-4 * loss, "{p} {cost} {rho}: {found}");
    };
    for (p, cost, loss, q, rho, expected) in WAITING {
        check(p, cost, loss, q, rho, expected);
    }
}

const WAITING: [(f64, f64, f64, f64, f64, f64); 6] = [
    (0.4, 195.0, 590.0, 0.2, 0.2, 211.0241),
    (0.4, 20.0, 590.0, 0.2, 0.2, 122.9407),
    (0.1, 270.0, 590.0, 0.2, 0.05, 59.0),
    (0.7, 100.0, 300.0, 0.25, 0.5, 145.3573),
    (0.5, 50.0, 1000.0, 0.0, 0.9, 29.8264),
    (0.02, 10.0, 100.0, 0.0, 0.1, 1.6147),
];

/// The measured skills that the curve is drawn through, and its ends.
#[test]
fn a_forecast_sharpens_as_the_evening_comes_near() {
    for (lead_h, expected) in [(1.0, 0.36), (2.0, 0.36), (24.0, 0.25), (48.0, 0.06), (400.0, 0.0)] {
        assert!((skill_at_lead(lead_h) - expected).abs() < 1e-12, "{lead_h} h");
    }
    assert!((sharpening(0.06, 0.25).unwrap() - 0.19 / 0.94).abs() < 1e-12);
    assert_eq!(sharpening(0.3, 0.2), Some(0.0));
    assert_eq!(sharpening(1.0, 1.0), None);
}

proptest! {
    #[test]
    fn waiting_never_costs_more_than_the_best_thing_then_without_news(
        p in 0.0..=1.0, cost in 0.0..500.0, loss in 1.0..1000.0, q in 0.0..0.9, rho in 0.0..=1.0,
    ) {
        let then = CostLoss { cost, loss, p_other: chance(q) };
        let waited = cost_of_waiting(chance(p), &then, rho).unwrap();
        prop_assert!(waited <= then.least(chance(p)) + 1e-6 * loss, "{waited}");
        prop_assert!(waited >= -1e-9);
    }

    #[test]
    fn a_sharper_forecast_never_costs_more(
        p in 0.01..=0.99, cost in 0.0..500.0, q in 0.0..0.5, rho in 0.01..=0.9,
    ) {
        let then = CostLoss { cost, loss: 590.0, p_other: chance(q) };
        let sharp = cost_of_waiting(chance(p), &then, rho + 0.05).unwrap();
        prop_assert!(sharp <= cost_of_waiting(chance(p), &then, rho).unwrap() + 1e-6);
    }
}
