//! The facts of a letter, in the studio's clock.

use fairspell_plan::letter_facts;
use fairspell_studio::{LetterFacts, Session, gates, letter::Danger, rule, studio::Day};
use fairspell_weather::Forecast;
use jiff::civil::date;

use crate::world::{EVENING_READING, at, p, seen, session, studio, zone};

fn facts_of(session: &Session, percent: f64, as_of: &str) -> LetterFacts {
    let studio = studio();
    let gates = gates(&studio, &zone(), session).unwrap();
    let seen = seen(at(as_of), percent);
    let outlook = fairspell_plan::outlook(&studio, &zone(), session, at(as_of), &seen).unwrap();
    let ruling = rule(&studio, session, &gates, &outlook);
    let sessions = [session.clone()];
    letter_facts(&studio, &sessions, session, &gates, &outlook, &ruling, &seen)
        .unwrap()
        .expect("something is known")
}

#[test]
fn the_letter_speaks_by_the_clock_on_the_wall() {
    let facts = facts_of(&session(), 30.0, EVENING_READING);
    assert_eq!(facts.as_of, date(2026, 9, 2).at(18, 0, 0, 0));
    assert_eq!(facts.start, date(2026, 9, 3).at(15, 15, 0, 0));
    assert_eq!(facts.reply_by, Some(date(2026, 9, 2).at(19, 45, 0, 0)));
    assert_eq!(facts.meeting_spot, "heron-walk");
}

#[test]
fn reserve_evenings_start_with_the_same_light() {
    // Thursday 3 Sep 15:15; Sunday 6 Sep and Wednesday 9 Sep: the sun sets 2 and 4 minutes later.
    let facts = facts_of(&session(), 30.0, EVENING_READING);
    assert_eq!(
        facts.reserves,
        [date(2026, 9, 6).at(15, 15, 0, 0), date(2026, 9, 9).at(15, 20, 0, 0)]
    );
}

#[test]
fn a_reserve_evening_behind_a_clock_change_starts_an_hour_later_by_the_clock() {
    // Clocks go forward on Sun 4 Oct 2026.
    let mut before = session();
    before.start = date(2026, 10, 1).at(15, 30, 0, 0);
    let as_of = "2026-09-30T08:00:00Z";
    let facts = facts_of(&before, 30.0, as_of);
    assert_eq!(facts.reserves[0], date(2026, 10, 4).at(16, 30, 0, 0));
}

#[test]
fn nobody_is_asked_for_an_answer_while_it_is_settled() {
    let facts = facts_of(&session(), 3.0, EVENING_READING);
    assert_eq!(facts.reply_by, None);
    assert!(facts.next_word.is_some());
}

/// Facts as of Thursday 10:00 of a studio whose reserve evenings are Friday and Sunday.
fn facts_with_friday(change: impl Fn(&mut Forecast)) -> LetterFacts {
    let as_of = at("2026-09-03T00:00:00Z");
    let mut studio = studio();
    studio.week.reserve = vec![Day::Friday, Day::Sunday];
    let session = session();
    let gates = gates(&studio, &zone(), &session).unwrap();
    let mut seen = seen(as_of, 3.0);
    if let Some(seen) = &mut seen.forecast {
        change(&mut seen.forecast);
    }
    let outlook = fairspell_plan::outlook(&studio, &zone(), &session, as_of, &seen).unwrap();
    let ruling = rule(&studio, &session, &gates, &outlook);
    letter_facts(
        &studio,
        std::slice::from_ref(&session),
        &session,
        &gates,
        &outlook,
        &ruling,
        &seen,
    )
    .unwrap()
    .expect("something is known")
}

#[test]
fn an_evening_under_the_same_rain_is_not_offered_instead() {
    let dry = facts_with_friday(|_| {});
    assert_eq!(dry.reserves[0].date(), date(2026, 9, 4));
    let wet = facts_with_friday(|forecast| {
        for statement in &mut forecast.rain {
            statement.p_rain = Some(p(90.0));
        }
    });
    assert_eq!(wet.reserves[0].date(), date(2026, 9, 6), "Friday is as wet; Sunday is not known");
}

#[test]
fn a_day_too_hot_is_moved_to_first_light() {
    let thursday_ends = at("2026-09-03T14:00:00Z");
    let hot = facts_with_friday(|forecast| {
        for condition in forecast.conditions.iter_mut().filter(|c| c.to <= thursday_ends) {
            condition.air_temperature_c = Some(40.0);
        }
    });
    // Civil dawn on 4 Sep 2026 at the place is 05:37, sunrise 06:02 (by the same almanac that is
    // checked against published tables in its own crate).
    assert_eq!(hot.reserves[0], date(2026, 9, 4).at(5, 40, 0, 0));
}

#[test]
fn an_official_watch_is_told_even_where_the_rain_had_advised_moving_already() {
    let as_of = at(EVENING_READING);
    let watch = r#"<?xml version="1.0"?>
<alert xmlns="urn:oasis:names:tc:emergency:cap:1.2">
  <identifier>invented-2</identifier><sender>warnings@saltern.invalid</sender>
  <sent>2026-09-02T07:30:00-00:00</sent><status>Actual</status><msgType>Alert</msgType>
  <scope>Public</scope>
  <info><category>Met</category><event>Flood Watch</event><urgency>Future</urgency>
    <severity>Severe</severity><certainty>Possible</certainty>
    <onset>2026-09-03T05:00:00-00:00</onset><expires>2026-09-03T12:00:00-00:00</expires>
    <area><areaDesc>invented</areaDesc><circle>-31.7252,152.7741 10</circle></area></info>
</alert>"#;
    let (studio, session) = (studio(), session());
    let gates = gates(&studio, &zone(), &session).unwrap();
    let mut seen = seen(as_of, 90.0);
    let messages = fairspell_weather::read_warnings(watch.as_bytes()).unwrap().value;
    seen.warnings = Some(fairspell_plan::SeenWarnings {
        board: fairspell_weather::WarningBoard::as_of(messages, as_of).value,
        looked_at: as_of,
        source: "an invented service".to_owned(),
    });
    let outlook = fairspell_plan::outlook(&studio, &zone(), &session, as_of, &seen).unwrap();
    let ruling = rule(&studio, &session, &gates, &outlook);
    let sessions = std::slice::from_ref(&session);
    let facts = letter_facts(&studio, sessions, &session, &gates, &outlook, &ruling, &seen);
    let danger = facts.unwrap().expect("advice to move").danger;
    assert_eq!(danger, Some(Danger::Warning { event: "Flood Watch".to_owned() }));
}
