//! Which letter a ruling asks for.

use fairspell_studio::{
    LetterKind, Outlook, SourceState, Tier, letter_kind,
    outlook::{SourceKind, WarningSeen},
};

use crate::world::{
    EARLY, EVENING_READING, LEAVE_BY, all_gates, dry_outlook, percent, ruled, sourced, warning,
};

fn kind_of(as_of: &str, change: impl Fn(&mut Outlook)) -> Option<LetterKind> {
    let mut outlook = dry_outlook(as_of);
    change(&mut outlook);
    letter_kind(&ruled(&outlook), &outlook, &all_gates())
}

#[test]
fn each_state_of_the_sky_has_its_letter() {
    let rain = |p: f64| move |outlook: &mut Outlook| outlook.p_any_rain = Some(sourced(percent(p)));
    for (as_of, p, expected) in [
        (EVENING_READING, 5.0, LetterKind::Settled),
        (EVENING_READING, 20.0, LetterKind::Watch),
        (EVENING_READING, 45.0, LetterKind::FamilysChoice),
        (EVENING_READING, 80.0, LetterKind::AdviseMoving),
        (EARLY, 80.0, LetterKind::Watch),
    ] {
        assert_eq!(kind_of(as_of, rain(p)), Some(expected), "{as_of} {p} %");
    }
}

#[test]
fn a_dry_evening_under_cloud_has_the_letter_about_kind_light() {
    let grey = |outlook: &mut Outlook| {
        outlook.comfort.cloud_area_fraction = Some(sourced(0.95));
    };
    assert_eq!(kind_of(EVENING_READING, grey), Some(LetterKind::GreyButDry));
}

#[test]
fn danger_has_letters_of_its_own() {
    let storm = |outlook: &mut Outlook| outlook.warnings = vec![warning(Tier::Stop)];
    assert_eq!(kind_of(EVENING_READING, storm), Some(LetterKind::MustMoveStorm));
    assert_eq!(kind_of(EARLY, storm), Some(LetterKind::MustMoveStorm), "two hours and a half");
    let low = |outlook: &mut Outlook| {
        outlook.warnings = vec![WarningSeen { to: None, ..warning(Tier::Stop) }];
    };
    assert_eq!(kind_of(EARLY, low), Some(LetterKind::MustMoveSystem));
    let wind_and_rain = |outlook: &mut Outlook| {
        outlook.comfort.wind_gust_km_h = Some(sourced(75.0));
        outlook.p_any_rain = Some(sourced(percent(90.0)));
    };
    assert_eq!(kind_of(EARLY, wind_and_rain), Some(LetterKind::MustMoveSystem));
    let heat = |outlook: &mut Outlook| outlook.comfort.felt_max_c = Some(sourced(39.0));
    assert_eq!(kind_of(EVENING_READING, heat), Some(LetterKind::HeatOrCold));
}

#[test]
fn showers_about_on_the_day_have_the_letter_about_waiting() {
    let showers = |outlook: &mut Outlook| outlook.p_wet_minute = Some(sourced(percent(75.0)));
    assert_eq!(kind_of(LEAVE_BY, showers), Some(LetterKind::Hold));
}

#[test]
fn nobody_is_written_to_while_nothing_is_known() {
    let missing = |outlook: &mut Outlook| {
        for (kind, state) in &mut outlook.sources {
            if *kind == SourceKind::Forecast {
                *state = SourceState::Missing;
            }
        }
    };
    assert_eq!(kind_of(EVENING_READING, missing), None);
}

#[test]
fn days_ahead_there_is_a_line_only_when_there_is_something_to_watch() {
    let unsettled = |outlook: &mut Outlook| outlook.p_any_rain = Some(sourced(percent(60.0)));
    assert_eq!(kind_of(EARLY, |_| {}), None);
    assert_eq!(kind_of(EARLY, unsettled), Some(LetterKind::Watch));
    assert_eq!(kind_of("2026-08-27T05:14:00Z", unsettled), None, "before the first word is due");
    assert_eq!(kind_of("2026-08-27T05:15:00Z", unsettled), Some(LetterKind::Watch));
}

#[test]
fn once_begun_nobody_is_told_to_move() {
    let rain = |outlook: &mut Outlook| outlook.p_gap = Some(sourced(percent(5.0)));
    assert_eq!(kind_of("2026-09-03T05:15:00Z", rain), Some(LetterKind::AdviseMoving));
    assert_eq!(kind_of("2026-09-03T05:16:00Z", rain), None);
}

#[test]
fn thunder_in_the_forecast_is_never_the_letter_that_all_is_settled() {
    let thunder = |outlook: &mut Outlook| outlook.comfort.thunder = Some(sourced(true));
    assert_eq!(kind_of(EVENING_READING, thunder), Some(LetterKind::Watch));
    assert_eq!(kind_of(LEAVE_BY, thunder), Some(LetterKind::Hold));
}
