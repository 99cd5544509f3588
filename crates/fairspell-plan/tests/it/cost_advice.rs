//! Worked numbers of a session of 450 are common practice, without a source.

use fairspell_plan::{RainRisk, cost_advice};
use fairspell_studio::{GateKind, Studio, gates, studio::Artist};

use crate::world::{at, p, session, studio, zone};

/// An artist whose whole fee of 150 is gone inside a day.
fn with_fees() -> Studio {
    let artist =
        Artist { name: "Dune & Plait".to_owned(), free_change_h: 72, full_fee_h: 24, fee: 150.0 };
    Studio { artist: Some(artist), ..studio() }
}

fn risk(rain: f64, gap: f64, other: f64) -> RainRisk {
    RainRisk { p_rain: p(rain), p_gap: Some(p(gap)), p_other: p(other) }
}

#[test]
fn the_threshold_rises_as_money_is_sunk() {
    let (studio, session) = (with_fees(), session());
    let gates = gates(&studio, &zone(), &session).unwrap();
    let week_before = at("2026-08-28T00:00:00Z");
    // Steady rain or none: no gap wherever it rains, so that 590 are at stake.
    let found =
        cost_advice(&studio, &session, &gates, week_before, risk(50.0, 50.0, 20.0)).unwrap();
    assert!((found.loss - 590.0).abs() < 1e-9, "{}", found.loss);
    let of = |kind: GateKind| found.gates.iter().find(|it| it.gate.kind == kind).unwrap();
    // At the artist's limit only messages: 20 / 590 + 20 %.
    assert!((of(GateKind::ArtistLimit).threshold - 0.2339).abs() < 5e-4);
    assert!(of(GateKind::ArtistLimit).is_worth_moving);
    // On the morning the fee and the evening too: 290 / 590 + 20 %.
    let morning = of(GateKind::MorningReading);
    assert!((morning.cost - 290.0).abs() < 1e-9 && (morning.threshold - 0.6915).abs() < 5e-4);
    assert!(!morning.is_worth_moving);
    let thresholds: Vec<f64> = found.gates.iter().map(|it| it.threshold).collect();
    assert!(thresholds.is_sorted(), "{thresholds:?}");
    assert_eq!(found.gates.last().unwrap().passing_costs, None);
}

#[test]
fn a_showery_evening_with_gaps_is_never_worth_moving_inside_a_day() {
    let (studio, session) = (with_fees(), session());
    let gates = gates(&studio, &zone(), &session).unwrap();
    let morning = at("2026-09-02T20:00:00Z");
    let found = cost_advice(&studio, &session, &gates, morning, risk(80.0, 100.0, 20.0)).unwrap();
    assert!((found.loss - 150.0).abs() < 1e-9);
    assert!(found.gates.iter().all(|it| !it.is_worth_moving && it.threshold > 1.0));
}

#[test]
fn letting_a_free_gate_pass_costs_and_waiting_for_a_sharper_forecast_may_save() {
    let (studio, session) = (with_fees(), session());
    let gates = gates(&studio, &zone(), &session).unwrap();
    let before = at("2026-08-28T00:00:00Z");
    let passing = |rain: f64, kind: GateKind| {
        let risk = risk(rain, 100.0 - rain, 20.0);
        let found = cost_advice(&studio, &session, &gates, before, risk).unwrap();
        found.gates.iter().find(|it| it.gate.kind == kind).unwrap().passing_costs.unwrap()
    };
    // A system that is all but sure: letting the artist's free limit pass only makes it dearer.
    assert!(passing(90.0, GateKind::ArtistLimit) > 50.0);
    // Between two readings that cost the same, the sharper forecast is worth something.
    assert!(passing(60.0, GateKind::EveningReading) < 0.0);
}

#[test]
fn unknown_gaps_count_as_none_and_a_dry_sky_puts_nothing_at_stake() {
    let (studio, session) = (with_fees(), session());
    let gates = gates(&studio, &zone(), &session).unwrap();
    let as_of = at("2026-08-28T00:00:00Z");
    let unknown = RainRisk { p_gap: None, ..risk(40.0, 0.0, 20.0) };
    let found = cost_advice(&studio, &session, &gates, as_of, unknown).unwrap();
    assert!((found.loss - 590.0).abs() < 1e-9);
    let dry = cost_advice(&studio, &session, &gates, as_of, risk(0.0, 100.0, 20.0)).unwrap();
    assert!(dry.gates.iter().all(|it| !it.is_worth_moving));
    let over = at("2026-09-03T06:00:00Z");
    assert_eq!(cost_advice(&studio, &session, &gates, over, unknown), None);
}
