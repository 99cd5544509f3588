//! Sessions as they are written down.

use fairspell_studio::SessionError;
use jiff::civil::date;

use crate::world::{session, zone};

#[test]
fn a_start_in_the_hour_that_a_clock_change_skips_is_refused() {
    let mut skipped = session();
    skipped.start = date(2026, 10, 4).at(2, 30, 0, 0);
    let refused = skipped.booked(&zone()).unwrap_err();
    assert!(matches!(refused, SessionError::StartSkipped { .. }));
    assert!(refused.to_string().contains("2026-10-04T02:30:00"), "{refused}");
}

#[test]
fn a_start_in_the_hour_that_a_clock_change_repeats_is_refused() {
    let mut repeated = session();
    repeated.start = date(2027, 4, 4).at(2, 30, 0, 0);
    assert!(matches!(repeated.booked(&zone()), Err(SessionError::StartRepeated { .. })));
}

#[test]
fn the_hours_around_a_clock_change_are_taken() {
    let mut beside = session();
    for (hour, minute) in [(1, 59), (3, 0)] {
        beside.start = date(2026, 10, 4).at(hour, minute, 0, 0);
        assert!(beside.booked(&zone()).is_ok(), "{hour}:{minute:02}");
    }
}

#[test]
fn booked_minutes_are_minutes_whatever_the_clocks_do() {
    let mut across = session();
    across.start = date(2026, 10, 4).at(1, 30, 0, 0);
    across.duration_min = 60;
    let booked = across.booked(&zone()).unwrap();
    assert!((booked.minutes() - 60.0).abs() < 1e-9);
    assert_eq!(zone().to_datetime(booked.to), date(2026, 10, 4).at(3, 30, 0, 0));
}
