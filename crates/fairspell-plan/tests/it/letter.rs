//! The facts of a letter, in the studio's clock.

use fairspell_plan::letter_facts;
use fairspell_studio::{LetterFacts, Session, gates, rule};
use jiff::civil::date;

use crate::world::{EVENING_READING, at, seen, session, studio, zone};

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
