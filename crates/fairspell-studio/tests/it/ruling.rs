//! What the policy says of an outlook. The thresholds are the defaults of the studio's policy.

use fairspell_chance::Character;
use fairspell_studio::{
    Band, Outlook, Question, Rule, SourceState, Step, Tier,
    gate::quarter_after,
    outlook::SourceKind,
    rule,
    ruling::{Check, question_at},
    spot::Cover,
};
use proptest::prelude::*;

use crate::world::{
    CHAIR, EARLY, EVENING_READING, LEAVE_BY, MORNING_READING, all_gates, at, dry_outlook, percent,
    range, ruled, session, sourced, spot, studio, warning,
};

fn band(as_of: &str, change: impl Fn(&mut Outlook)) -> Band {
    let mut outlook = dry_outlook(as_of);
    change(&mut outlook);
    ruled(&outlook).band
}

fn set_source(outlook: &mut Outlook, of: SourceKind, to: &SourceState) {
    for (kind, state) in &mut outlook.sources {
        if *kind == of {
            *state = to.clone();
        }
    }
}

#[test]
fn each_gate_asks_its_own_question() {
    for (as_of, expected) in [
        (EARLY, Question::TooEarly),
        (EVENING_READING, Question::AnyRain),
        (MORNING_READING, Question::AnyRain),
        ("2026-09-03T01:44:59Z", Question::AnyRain),
        (CHAIR, Question::DryGap),
        (LEAVE_BY, Question::DryGap),
    ] {
        assert_eq!(question_at(&all_gates(), at(as_of)), expected, "{as_of}");
    }
}

#[test]
fn the_number_that_is_shown_is_the_number_that_is_judged() {
    for (p, expected) in [
        (14.4, Band::Settled),
        (14.6, Band::Watch),
        (30.4, Band::Watch),
        (30.6, Band::FamilysChoice),
        (50.4, Band::FamilysChoice),
        (50.6, Band::AdviseMoving),
    ] {
        let found = band(EVENING_READING, |outlook| outlook.p_any_rain = Some(sourced(percent(p))));
        assert_eq!(found, expected, "{p} %");
    }
}

#[test]
fn before_48_hours_rain_is_at_most_watched() {
    for p in [20.0, 60.0, 100.0] {
        let found = band(EARLY, |outlook| outlook.p_any_rain = Some(sourced(percent(p))));
        assert_eq!(found, Band::Watch, "{p} %");
    }
    assert_eq!(band(EARLY, |outlook| outlook.warnings = vec![warning(Tier::Hold)]), Band::Watch);
}

#[test]
fn before_48_hours_danger_must_move_all_the_same() {
    assert_eq!(
        band(EARLY, |outlook| outlook.comfort.wind_gust_km_h = Some(sourced(75.0))),
        Band::MustMove
    );
}

#[test]
fn a_forecast_that_does_not_reach_the_session_yet_is_watched_and_not_settled() {
    let mut outlook = dry_outlook(EARLY);
    outlook.p_any_rain = None;
    let beyond = SourceState::NotCovering { source: "a service".to_owned() };
    set_source(&mut outlook, SourceKind::Forecast, &beyond);
    let ruling = ruled(&outlook);
    assert_eq!((ruling.band, &ruling.rule), (Band::Watch, &Rule::BeyondForecast));
}

#[test]
fn the_limits_of_heat_cold_and_gust_are_judged_on_both_sides() {
    // 38 and 3 °C, 45 km/h; whole numbers are shown, and those are judged.
    type Change = fn(&mut Outlook, f64);
    let heat: Change = |outlook, c| outlook.comfort.felt_max_c = Some(sourced(c));
    let cold: Change = |outlook, c| outlook.comfort.felt_min_c = Some(sourced(c));
    let gust: Change = |outlook, v| outlook.comfort.wind_gust_km_h = Some(sourced(v));
    for (change, value, must_move) in [
        (heat, 37.4, false),
        (heat, 37.5, true),
        (heat, 38.0, true),
        (cold, 2.5, false),
        (cold, 2.4, true),
        (gust, 45.4, false),
        (gust, 45.5, true),
    ] {
        let found = band(EVENING_READING, |outlook| change(outlook, value));
        assert_eq!(found == Band::MustMove, must_move, "{value}");
    }
}

#[test]
fn a_warning_never_becomes_a_go() {
    for as_of in [EARLY, EVENING_READING, MORNING_READING, CHAIR, LEAVE_BY] {
        let mut outlook = dry_outlook(as_of);
        outlook.warnings = vec![warning(Tier::Stop)];
        let ruling = ruled(&outlook);
        assert_eq!(ruling.band, Band::MustMove, "{as_of}");
        assert_ne!(ruling.step, Some(Step::Go), "{as_of}");
    }
}

#[test]
fn a_hold_warning_advises_moving_and_a_caution_is_only_shown() {
    let tier = |tier| band(EVENING_READING, move |outlook| outlook.warnings = vec![warning(tier)]);
    assert_eq!(tier(Tier::Hold), Band::AdviseMoving);
    assert_eq!(tier(Tier::Caution), Band::Settled);
    assert_eq!(tier(Tier::Info), Band::Settled);
}

#[test]
fn a_source_that_is_missing_or_stale_makes_the_ruling_unknown() {
    let stale =
        SourceState::Stale { source: "a service".to_owned(), issued: at("2026-08-30T00:00:00Z") };
    for (as_of, kinds) in [
        (EARLY, &[SourceKind::Forecast, SourceKind::Warnings][..]),
        (EVENING_READING, &[SourceKind::Forecast, SourceKind::Warnings]),
        (MORNING_READING, &[SourceKind::Forecast, SourceKind::Warnings]),
        (LEAVE_BY, &[SourceKind::Forecast, SourceKind::Warnings, SourceKind::Radar]),
    ] {
        for kind in kinds {
            for state in [&SourceState::Missing, &stale] {
                let mut outlook = dry_outlook(as_of);
                set_source(&mut outlook, *kind, state);
                let ruling = ruled(&outlook);
                assert_eq!(ruling.band, Band::Unknown, "{as_of} {kind:?} {state:?}");
                assert_eq!(ruling.step, None, "{as_of} {kind:?} {state:?}");
            }
        }
    }
}

#[test]
fn a_figure_that_is_missing_makes_the_ruling_unknown() {
    assert_eq!(band(EVENING_READING, |outlook| outlook.p_any_rain = None), Band::Unknown);
    assert_eq!(band(LEAVE_BY, |outlook| outlook.p_gap = None), Band::Unknown);
}

#[test]
fn what_could_not_be_checked_is_never_settled() {
    let mut outlook = dry_outlook(EVENING_READING);
    outlook.comfort.gusts_are_complete = false;
    let ruling = ruled(&outlook);
    assert_eq!(ruling.band, Band::Watch);
    assert_eq!(ruling.rule, Rule::NotChecked { unchecked: vec![Check::Gusts] });
    assert!(matches!(ruling.figure, Some(Rule::AnyRain { .. })), "the figure is still told");

    let mut outlook = dry_outlook(EVENING_READING);
    set_source(&mut outlook, SourceKind::Warnings, &SourceState::NoneHere);
    assert_eq!(ruled(&outlook).unchecked, [Check::WarningsByHand]);
    assert_eq!(ruled(&outlook).band, Band::Watch);
}

#[test]
fn an_hour_that_says_nothing_takes_no_known_danger_away() {
    let mut outlook = dry_outlook(EVENING_READING);
    outlook.comfort.gusts_are_complete = false;
    outlook.comfort.wind_gust_km_h = Some(sourced(108.0));
    assert_eq!(ruled(&outlook).band, Band::MustMove);
}

#[test]
fn gusts_that_are_only_our_estimate_advise_but_do_not_order() {
    let mut outlook = dry_outlook(EVENING_READING);
    let mut gust = sourced(46.0);
    gust.our_estimate = true;
    outlook.comfort.wind_gust_km_h = Some(gust);
    let ruling = ruled(&outlook);
    assert_eq!(ruling.band, Band::AdviseMoving);
    assert!(matches!(ruling.rule, Rule::TooWindy { .. }));
}

#[test]
fn a_missing_figure_is_never_a_go() {
    let mut outlook = dry_outlook(LEAVE_BY);
    outlook.comfort.temperature_is_complete = false;
    assert!(matches!(ruled(&outlook).step, Some(Step::WaitUntil(_))));
}

#[test]
fn a_warning_that_cannot_be_placed_is_never_settled() {
    let mut outlook = dry_outlook(EVENING_READING);
    outlook.unplaced_warnings = vec!["Flood Warning".to_owned()];
    let ruling = ruled(&outlook);
    assert_eq!(ruling.band, Band::Watch);
    assert_eq!(ruling.unchecked, [Check::WarningsByHand]);

    outlook.as_of = at(LEAVE_BY);
    assert!(matches!(ruled(&outlook).step, Some(Step::WaitUntil(_))), "nor is it a go");
}

#[test]
fn once_begun_there_is_no_step_but_danger_still_speaks() {
    let mut outlook = dry_outlook("2026-09-03T06:00:00Z");
    assert_eq!(ruled(&outlook).step, None);
    outlook.warnings = vec![warning(Tier::Stop)];
    assert_eq!(ruled(&outlook).step, Some(Step::DontGo));
}

#[test]
fn no_spot_far_away_takes_the_looks() {
    let mut far = studio();
    far.spots[1].position = fairspell_ground::LatLon::new(-33.05, 152.02).unwrap();
    let mut on_the_dune = session();
    on_the_dune.looks[0].spot = "dune".to_owned();
    let mut outlook = dry_outlook(EVENING_READING);
    outlook.comfort.wind_gust_km_h = Some(sourced(24.0));
    let ruling = rule(&far, &on_the_dune, &all_gates(), &outlook);
    assert!(matches!(ruling.rule, Rule::NoSpotBearsWind { .. }));
}

#[test]
fn thunder_in_the_forecast_is_never_settled() {
    let thunder = |outlook: &mut Outlook| outlook.comfort.thunder = Some(sourced(true));
    assert_eq!(band(EVENING_READING, thunder), Band::Watch);
    assert_eq!(band(LEAVE_BY, thunder), Band::Watch);
    let none = |outlook: &mut Outlook| outlook.comfort.thunder = Some(sourced(false));
    assert_eq!(band(EVENING_READING, none), Band::Settled);
}

#[test]
fn a_likely_gap_never_becomes_advise_moving_from_the_morning_on() {
    let showery = |outlook: &mut Outlook| {
        outlook.p_any_rain = Some(sourced(percent(80.0)));
        outlook.p_gap = Some(sourced(percent(70.0)));
    };
    assert_eq!(band(EVENING_READING, showery), Band::AdviseMoving);
    assert_eq!(band(MORNING_READING, showery), Band::FamilysChoice);
    assert_eq!(band(LEAVE_BY, showery), Band::Watch);
}

#[test]
fn steady_rain_without_a_gap_advises_moving_on_the_day() {
    let steady = |outlook: &mut Outlook| {
        outlook.p_any_rain = Some(sourced(percent(95.0)));
        outlook.p_gap = Some(sourced(percent(15.0)));
        outlook.character = Some(sourced(Character::Steady));
    };
    assert_eq!(band(MORNING_READING, steady), Band::AdviseMoving);
    assert_eq!(band(LEAVE_BY, steady), Band::AdviseMoving);
}

#[test]
fn the_step_is_judged_on_both_sides_of_go_and_wait() {
    for (p, expected) in [
        (70.0, Step::Go),
        (69.0, Step::WaitUntil(at("2026-09-03T05:00:00Z"))),
        (40.0, Step::WaitUntil(at("2026-09-03T05:00:00Z"))),
        (39.0, Step::DontGo),
    ] {
        let mut outlook = dry_outlook(LEAVE_BY);
        outlook.p_gap = Some(sourced(percent(p)));
        assert_eq!(ruled(&outlook).step, Some(expected), "{p} %");
    }
}

#[test]
fn nobody_waits_beyond_the_last_moment_at_which_leaving_makes_sense() {
    // Last usable light 17:48, less 25 minutes for the set and 15 for the drive: 17:08.
    let mut tonight = session();
    tonight.start = jiff::civil::date(2026, 9, 3).at(17, 15, 0, 0);
    let gates = fairspell_studio::gates(&studio(), &crate::world::zone(), &tonight).unwrap();
    for (as_of, expected) in [
        ("2026-09-03T06:40:00Z", Step::WaitUntil(at("2026-09-03T07:00:00Z"))),
        ("2026-09-03T06:41:00Z", Step::DontGo),
    ] {
        let mut outlook = dry_outlook(as_of);
        outlook.p_gap = Some(sourced(percent(55.0)));
        let ruling = rule(&studio(), &tonight, &gates, &outlook);
        assert_eq!(ruling.step, Some(expected), "{as_of}");
    }
}

#[test]
fn a_ruling_says_when_the_ends_of_a_range_disagree() {
    let mut outlook = dry_outlook(EVENING_READING);
    outlook.p_any_rain = Some(sourced(range(10.0, 25.0, 55.0)));
    let ruling = ruled(&outlook);
    assert_eq!(ruling.band, Band::Watch, "the centre decides");
    assert_eq!(ruling.ends_disagree, Some((Band::Settled, Band::AdviseMoving)));

    outlook.p_any_rain = Some(sourced(range(16.0, 25.0, 30.0)));
    assert_eq!(ruled(&outlook).ends_disagree, None);
}

#[test]
fn a_spot_limit_changes_the_spot_first_and_the_date_only_when_no_spot_is_left() {
    let mut on_the_dune = session();
    on_the_dune.looks[0].spot = "dune".to_owned();
    let mut outlook = dry_outlook(EVENING_READING);
    // The dune bears 30 km/h at the spot, 1.3 times the forecast's gust: 23 in the forecast.
    outlook.comfort.wind_gust_km_h = Some(sourced(23.0));
    assert!(rule(&studio(), &on_the_dune, &all_gates(), &outlook).spot_changes.is_empty());

    outlook.comfort.wind_gust_km_h = Some(sourced(24.0));
    let ruling = rule(&studio(), &on_the_dune, &all_gates(), &outlook);
    assert_eq!(ruling.band, Band::Settled);
    assert_eq!(ruling.spot_changes[0].to, "arcade");

    let mut bare = studio();
    bare.spots = vec![spot("dune", Cover::None, Some(30.0))];
    let ruling = rule(&bare, &on_the_dune, &all_gates(), &outlook);
    assert!(matches!(ruling.rule, Rule::NoSpotBearsWind { .. }));
    assert_eq!(ruling.band, Band::AdviseMoving);
}

#[test]
fn the_artists_limit_is_named_while_it_lies_ahead() {
    let mut outlook = dry_outlook(EARLY);
    outlook.p_any_rain = Some(sourced(percent(90.0)));
    let advice = ruled(&outlook).artist.unwrap();
    assert_eq!(advice.free_until, at("2026-08-31T01:45:00Z"));
    assert!(advice.move_before);
    assert_eq!(ruled(&dry_outlook(EVENING_READING)).artist, None);
}

#[test]
fn the_time_to_wait_until_is_a_full_quarter() {
    for (moment, minutes, expected) in [
        ("2026-09-03T04:30:00Z", 0, "2026-09-03T04:30:00Z"),
        ("2026-09-03T04:30:01Z", 0, "2026-09-03T04:45:00Z"),
        ("2026-09-03T04:30:00Z", 20, "2026-09-03T05:00:00Z"),
    ] {
        assert_eq!(quarter_after(at(moment), minutes), at(expected), "{moment} + {minutes}");
    }
}

proptest! {
    #[test]
    fn more_rain_never_makes_a_better_band(p in 0.0..=99.0, more in 0.0..=1.0) {
        let of = |p: f64| {
            band(EVENING_READING, |outlook| outlook.p_any_rain = Some(sourced(percent(p))))
        };
        prop_assert!(of(p) <= of(p + more));
    }

    #[test]
    fn a_missing_figure_is_never_settled(
        rain in any::<bool>(), gap in any::<bool>(), heat in any::<bool>(), gust in any::<bool>(),
    ) {
        prop_assume!(rain || gap || heat || gust);
        for as_of in [EARLY, EVENING_READING, LEAVE_BY] {
            let mut outlook = dry_outlook(as_of);
            if rain { outlook.p_any_rain = None; outlook.p_gap = None; }
            if gap { outlook.p_gap = None; }
            if heat { outlook.comfort.temperature_is_complete = false; }
            if gust { outlook.comfort.gusts_are_complete = false; }
            // The gap is asked for only from the chair on.
            if as_of != LEAVE_BY && !(rain || heat || gust) { continue; }
            prop_assert_ne!(ruled(&outlook).band, Band::Settled, "{}", as_of);
        }
    }
}

/// The leave gate asks for the gap whatever the hour, and always has a step where all is known.
#[test]
fn leaving_asks_for_the_gap_at_any_hour() {
    let (studio, session) = (crate::world::studio(), crate::world::session());
    for as_of in ["2026-08-20T00:00:00Z", "2026-09-02T08:00:00Z", "2026-09-03T04:30:00Z"] {
        let outlook = crate::world::dry_outlook(as_of);
        let ruling =
            fairspell_studio::rule_leaving(&studio, &session, &crate::world::all_gates(), &outlook);
        assert_eq!(ruling.question, fairspell_studio::Question::DryGap, "{as_of}");
        assert_eq!(ruling.step, Some(fairspell_studio::Step::Go), "{as_of}");
    }
}
