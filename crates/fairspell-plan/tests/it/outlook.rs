//! All that is known of a session's sky, and above all what is not.

use fairspell_plan::Seen;
use fairspell_studio::{Band, SourceState, gates, outlook::SourceKind, rule, studio::Expected};
use jiff::ToSpan;

use crate::world::{
    EVENING_READING, LEAVE_BY, at, forecast, no_warnings, outlook_at, radar, seen, seen_forecast,
    session, studio, zone,
};

fn band(as_of: &str, seen: &Seen) -> Band {
    let (studio, session) = (studio(), session());
    let gates = gates(&studio, &zone(), &session).unwrap();
    rule(&studio, &session, &gates, &outlook_at(as_of, seen)).band
}

#[test]
fn nothing_seen_is_nothing_known() {
    let outlook = outlook_at(LEAVE_BY, &Seen::default());
    assert_eq!(outlook.p_any_rain, None);
    assert_eq!(outlook.p_gap, None);
    assert!(outlook.steps.iter().all(|step| step.p_wet.is_none()));
    for kind in [SourceKind::Forecast, SourceKind::Warnings, SourceKind::Radar] {
        assert_eq!(outlook.source(kind), &SourceState::Missing, "{kind:?}");
    }
    assert_eq!(band(LEAVE_BY, &Seen::default()), Band::Unknown);
}

#[test]
fn a_dry_evening_with_everything_seen_is_settled() {
    assert_eq!(band(EVENING_READING, &seen(at(EVENING_READING), 3.0)), Band::Settled);
    assert_eq!(band(LEAVE_BY, &seen(at(LEAVE_BY), 3.0)), Band::Settled);
}

#[test]
fn taking_any_source_away_makes_a_settled_evening_unknown() {
    let as_of = at(LEAVE_BY);
    let without = |change: fn(&mut Seen)| {
        let mut seen = seen(as_of, 3.0);
        change(&mut seen);
        band(LEAVE_BY, &seen)
    };
    assert_eq!(without(|seen| seen.forecast = None), Band::Unknown);
    assert_eq!(without(|seen| seen.warnings = None), Band::Unknown);
    assert_eq!(without(|seen| seen.radar = None), Band::Unknown);
}

#[test]
fn a_source_is_stale_on_the_far_side_of_its_limit() {
    let as_of = at(LEAVE_BY);
    let state = |kind: SourceKind, seen: &Seen| outlook_at(LEAVE_BY, seen).source(kind).clone();
    for (minutes, stale) in [(20, false), (21, true)] {
        let mut seen = seen(as_of, 3.0);
        seen.radar = Some(radar(as_of - minutes.minutes(), as_of, 0.0));
        let found = state(SourceKind::Radar, &seen);
        assert_eq!(matches!(found, SourceState::Stale { .. }), stale, "radar {minutes} min");
    }
    for (minutes, stale) in [(60, false), (61, true)] {
        let mut seen = seen(as_of, 3.0);
        seen.warnings = Some(no_warnings(as_of - minutes.minutes()));
        let found = state(SourceKind::Warnings, &seen);
        assert_eq!(matches!(found, SourceState::Stale { .. }), stale, "warnings {minutes} min");
    }
    for (minutes, stale) in [(720, false), (721, true)] {
        let mut seen = seen(as_of, 3.0);
        let made = (as_of - minutes.minutes()).to_string();
        seen.forecast = Some(seen_forecast(forecast(&made, 3.0)));
        let found = state(SourceKind::Forecast, &seen);
        assert_eq!(matches!(found, SourceState::Stale { .. }), stale, "forecast {minutes} min");
    }
}

#[test]
fn a_stale_forecast_gives_no_figures() {
    let as_of = at(LEAVE_BY);
    let mut seen = seen(as_of, 3.0);
    seen.forecast = Some(seen_forecast(forecast("2026-09-02T04:00:00Z", 3.0)));
    let outlook = outlook_at(LEAVE_BY, &seen);
    assert_eq!(outlook.p_any_rain, None);
    assert_eq!(outlook.comfort.wind_gust_km_h, None);
}

#[test]
fn a_forecast_that_ends_before_the_session_does_not_cover_it() {
    let as_of = at(EVENING_READING);
    let mut short = forecast("2026-09-02T07:00:00Z", 3.0);
    let ends = at("2026-09-03T06:00:00Z");
    short.rain.retain(|statement| statement.to <= ends);
    short.conditions.retain(|condition| condition.to <= ends);
    let mut seen = seen(as_of, 3.0);
    seen.forecast = Some(seen_forecast(short));
    let outlook = outlook_at(EVENING_READING, &seen);
    assert!(matches!(outlook.source(SourceKind::Forecast), SourceState::NotCovering { .. }));
    assert_eq!(band(EVENING_READING, &seen), Band::Unknown);
}

#[test]
fn an_hour_missing_inside_the_session_leaves_the_chance_unknown() {
    let as_of = at(EVENING_READING);
    let mut holed = forecast("2026-09-02T07:00:00Z", 3.0);
    holed.rain.retain(|statement| statement.from != at("2026-09-03T06:00:00Z"));
    let mut seen = seen(as_of, 3.0);
    seen.forecast = Some(seen_forecast(holed));
    assert_eq!(outlook_at(EVENING_READING, &seen).p_any_rain, None);
    assert_eq!(band(EVENING_READING, &seen), Band::Unknown);
}

#[test]
fn an_hour_without_temperature_leaves_the_heat_unchecked() {
    let as_of = at(EVENING_READING);
    let mut holed = forecast("2026-09-02T07:00:00Z", 3.0);
    for condition in &mut holed.conditions {
        if condition.from == at("2026-09-03T06:00:00Z") {
            condition.air_temperature_c = None;
        }
    }
    let mut seen = seen(as_of, 3.0);
    seen.forecast = Some(seen_forecast(holed));
    let comfort = outlook_at(EVENING_READING, &seen).comfort;
    assert!(!comfort.temperature_is_complete);
    assert!(comfort.felt_max_c.is_some(), "what is known is still told");
    assert_eq!(band(EVENING_READING, &seen), Band::Watch);
}

#[test]
fn heat_is_judged_by_the_air_where_the_index_is_below_it() {
    // 39 °C at 18 %: the heat index is 37.5 °C, below the air (weather reference sheet, trade 4.4).
    let as_of = at(EVENING_READING);
    let mut hot = forecast("2026-09-02T07:00:00Z", 3.0);
    for condition in &mut hot.conditions {
        condition.air_temperature_c = Some(39.0);
        condition.relative_humidity = Some(0.18);
    }
    let mut seen = seen(as_of, 3.0);
    seen.forecast = Some(seen_forecast(hot));
    let felt = outlook_at(EVENING_READING, &seen).comfort.felt_max_c.unwrap().value;
    assert!((felt - 39.0).abs() < 1e-9, "{felt}");
    assert_eq!(band(EVENING_READING, &seen), Band::MustMove);
}

#[test]
fn a_forecast_without_gusts_gives_an_estimate_that_says_so() {
    let as_of = at(EVENING_READING);
    let mut calm = forecast("2026-09-02T07:00:00Z", 3.0);
    for condition in &mut calm.conditions {
        condition.wind_gust_km_h = None;
    }
    let mut seen = seen(as_of, 3.0);
    seen.forecast = Some(seen_forecast(calm));
    let gust = outlook_at(EVENING_READING, &seen).comfort.wind_gust_km_h.unwrap();
    assert!(gust.our_estimate);
    assert!(gust.value > 12.0);
}

#[test]
fn radar_is_not_missed_before_it_could_say_anything() {
    let as_of = at(EVENING_READING);
    let mut seen = seen(as_of, 3.0);
    seen.radar = None;
    let outlook = outlook_at(EVENING_READING, &seen);
    assert_eq!(outlook.source(SourceKind::Radar), &SourceState::NotYet);
}

#[test]
fn where_no_radar_covers_the_place_the_forecast_answers_with_its_range() {
    let mut without = studio();
    without.sources.radar = Expected::NoneHere;
    let mut seen = seen(at(LEAVE_BY), 40.0);
    seen.radar = None;
    let outlook =
        fairspell_plan::outlook(&without, &zone(), &session(), at(LEAVE_BY), &seen).unwrap();
    let gap = outlook.p_gap.unwrap();
    assert_eq!(gap.source, "an invented service");
    assert!(gap.value.low.get() < gap.value.centre.get());
    assert!(gap.value.centre.get() < gap.value.high.get());
}

#[test]
fn every_figure_says_its_hours_place_and_source() {
    let outlook = outlook_at(EVENING_READING, &seen(at(EVENING_READING), 20.0));
    let rain = outlook.p_any_rain.unwrap();
    assert_eq!(rain.hours, outlook.window);
    assert_eq!(rain.place, "heron-walk");
    assert_eq!(rain.source, "an invented service");
    assert_eq!(rain.issued, at("2026-09-02T07:00:00Z"));
    assert_eq!(outlook.rain_threshold_mm, Some(0.1));
}

#[test]
fn one_hour_without_gusts_does_not_hide_the_storm_in_the_others() {
    let as_of = at(EVENING_READING);
    let mut storm = forecast("2026-09-02T07:00:00Z", 3.0);
    for condition in &mut storm.conditions {
        let is_silent = condition.from == at("2026-09-03T06:00:00Z");
        condition.wind_gust_km_h = (!is_silent).then_some(108.0);
    }
    let mut seen = seen(as_of, 3.0);
    seen.forecast = Some(seen_forecast(storm));
    assert_eq!(band(EVENING_READING, &seen), Band::MustMove);
}

#[test]
fn a_source_dated_far_ahead_of_the_moment_is_not_trusted() {
    let as_of = at(EVENING_READING);
    for (minutes, trusted) in [(15, true), (16, false)] {
        let mut seen = seen(as_of, 3.0);
        seen.warnings = Some(no_warnings(as_of + minutes.minutes()));
        let outlook = outlook_at(EVENING_READING, &seen);
        let is_fresh = matches!(outlook.source(SourceKind::Warnings), SourceState::Fresh { .. });
        assert_eq!(is_fresh, trusted, "{minutes} min");
    }
}
