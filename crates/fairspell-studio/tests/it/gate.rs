//! The moments by which somebody has to decide.

use fairspell_studio::{GateKind, gates, next_gate};
use jiff::civil::date;

use crate::world::{CHAIR, EVENING_READING, LEAVE_BY, MORNING_READING, at, session, studio, zone};

#[test]
fn the_gates_of_an_evening_fall_at_the_stated_moments() {
    let found: Vec<_> = gates(&studio(), &zone(), &session())
        .unwrap()
        .into_iter()
        .map(|gate| (gate.kind, gate.at))
        .collect();
    let expected = [
        (GateKind::FirstWord, "2026-08-27T05:15:00Z"),
        (GateKind::ArtistLimit, "2026-08-31T01:45:00Z"),
        (GateKind::TwoDays, "2026-09-01T05:15:00Z"),
        (GateKind::EveningReading, EVENING_READING),
        (GateKind::MorningReading, MORNING_READING),
        (GateKind::Chair, CHAIR),
        (GateKind::LeaveBy, LEAVE_BY),
        (GateKind::Arrival, "2026-09-03T05:15:00Z"),
    ]
    .map(|(kind, moment)| (kind, at(moment)));
    assert_eq!(found, expected);
}

#[test]
fn readings_follow_the_clock_on_the_wall_across_a_clock_change() {
    // Clocks went forward on Sun 4 Oct 2026 at 02:00: 18:00 on Saturday is 08:00 UTC, 10:00 on
    // Sunday is 23:00 UTC. (IANA time zone database, Australia/Sydney.)
    let mut sunday = session();
    sunday.start = date(2026, 10, 4).at(16, 0, 0, 0);
    let gates = gates(&studio(), &zone(), &sunday).unwrap();
    let moment = |kind| gates.iter().find(|gate| gate.kind == kind).unwrap().at;
    assert_eq!(moment(GateKind::EveningReading), at("2026-10-03T08:00:00Z"));
    assert_eq!(moment(GateKind::MorningReading), at("2026-10-03T23:00:00Z"));
}

#[test]
fn a_dawn_session_has_no_morning_reading() {
    let mut dawn = session();
    dawn.start = date(2026, 12, 2).at(5, 8, 0, 0);
    dawn.chair_before_start_min = 60;
    dawn.with_artist = false;
    let kinds: Vec<_> =
        gates(&studio(), &zone(), &dawn).unwrap().into_iter().map(|gate| gate.kind).collect();
    assert!(!kinds.contains(&GateKind::MorningReading));
    assert!(!kinds.contains(&GateKind::ArtistLimit));
    assert_eq!(kinds.last(), Some(&GateKind::Arrival));
}

#[test]
fn the_next_gate_is_the_first_one_that_lies_ahead() {
    let gates = gates(&studio(), &zone(), &session()).unwrap();
    assert_eq!(next_gate(&gates, at(CHAIR)).unwrap().kind, GateKind::LeaveBy);
    assert_eq!(next_gate(&gates, at("2026-09-03T05:15:00Z")), None);
}
