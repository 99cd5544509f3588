use std::collections::BTreeMap;

use fairspell_almanac::{
    PhaseBounds, PhaseSpan, SUNRISE_DEG,
    SunPhase::{self, Blue, Day, Golden, Night},
    phases, solar_noon, sun_position,
};
use jiff::{
    Timestamp,
    civil::{Date, date},
    tz::TimeZone,
};
use proptest::prelude::*;

use crate::{place, rows, seconds_between, zone};

const SUN_EVENTS: &str = include_str!("../reference/sun_events.csv");
const SUN_TRANSIT: &str = include_str!("../reference/sun_transit.csv");

/// The almanac's levels as bounds, so that its events are where the phases change.
const ALMANAC: PhaseBounds =
    PhaseBounds { golden_from_deg: SUNRISE_DEG, golden_to_deg: -6.0, blue_to_deg: -12.0 };

fn without_holes(spans: &[PhaseSpan], day: Date, zone: &TimeZone) {
    let midnight = |day: Date| zone.to_timestamp(day.at(0, 0, 0, 0)).unwrap();
    assert_eq!(spans[0].from, midnight(day));
    assert_eq!(spans[spans.len() - 1].to, midnight(day.tomorrow().unwrap()));
    for pair in spans.windows(2) {
        assert_eq!(pair[0].to, pair[1].from);
        assert_ne!(pair[0].phase, pair[1].phase);
    }
    assert!(spans.iter().all(|span| span.from < span.to));
}

/// 24 local days with their 108 events: 23 and 25 hours, midnight sun, polar night, two sunsets.
/// Times to the second in both; above 65° the last digit of TT - UT1 moves them by another.
#[test]
fn phases_change_where_the_almanac_has_its_events_and_nowhere_else() {
    let mut days: BTreeMap<(String, String), Vec<(Timestamp, SunPhase)>> = BTreeMap::new();
    for row in rows(SUN_EVENTS) {
        let events = days
            .entry((row.text("place").to_owned(), row.text("local_date").to_owned()))
            .or_default();
        if row.text("status") == "event" {
            let next = match row.text("event") {
                "nautical_dawn" | "civil_dusk" => Blue,
                "civil_dawn" | "sunset" => Golden,
                "sunrise" => Day,
                "nautical_dusk" => Night,
                other => panic!("event {other}"),
            };
            events.push((row.time("utc_spa"), next));
        }
    }
    let mut changes = 0;
    for row in
        rows(SUN_EVENTS).filter(|row| row.text("event") == "sunset" && row.number("n") <= 1.0)
    {
        let mut expected =
            days[&(row.text("place").to_owned(), row.text("local_date").to_owned())].clone();
        expected.sort_by_key(|event| event.0);
        let (day, zone) = (row.text("local_date").parse().unwrap(), zone(row.text("tz")));
        let found = phases(day, &zone, row.place(), ALMANAC);
        without_holes(&found, day, &zone);
        assert_eq!(found.len(), expected.len() + 1, "{:?}: {found:?}", row.record);
        for (span, (at, phase)) in found[1..].iter().zip(&expected) {
            let off_s = seconds_between(span.from, *at).abs();
            let tolerance_s = if row.number("lat").abs() > 65.0 { 2 } else { 1 };
            assert!(off_s <= tolerance_s, "{off_s} s in {:?}", row.record);
            assert_eq!(span.phase, *phase, "{:?}", row.record);
            changes += 1;
        }
    }
    assert_eq!((days.len(), changes), (24, 108));
}

#[test]
fn polar_days_and_nights_have_the_phases_they_have() {
    let (tromso, zone) = (place(69.6492, 18.9553), zone("Europe/Oslo"));
    let of = |day| {
        let found = phases(day, &zone, tromso, PhaseBounds::default());
        without_holes(&found, day, &zone);
        found.into_iter().map(|span| span.phase).collect::<Vec<_>>()
    };
    assert_eq!(of(date(2026, 6, 21)), [Golden, Day, Golden]);
    assert_eq!(of(date(2026, 12, 21)), [Night, Blue, Golden, Blue, Night]);
    // The declination is 15.1° and 17.1°: at its lowest the sun stands at -5.3° and -3.3°.
    assert_eq!(of(date(2026, 5, 1)), [Blue, Golden, Day, Golden, Blue]);
    assert_eq!(of(date(2026, 5, 8)), [Golden, Day, Golden]);
    let pole = phases(date(2026, 6, 21), &TimeZone::UTC, place(90.0, 0.0), PhaseBounds::default());
    assert_eq!(pole.len(), 1);
}

#[test]
fn bounds_that_do_not_descend_still_leave_no_hole() {
    let bounds = PhaseBounds { golden_from_deg: -4.0, golden_to_deg: 6.0, blue_to_deg: 0.0 };
    let (day, zone) = (date(2026, 9, 3), zone("Australia/Sydney"));
    let found = phases(day, &zone, place(-31.72, 152.79), bounds);
    without_holes(&found, day, &zone);
    assert!(found.iter().all(|span| matches!(span.phase, Day | Night)));
}

/// A whole second, and the one that ephem's and our estimate of TT - UT1 may differ by in rounding.
#[test]
fn noon_is_when_the_almanac_has_the_sun_in_the_meridian() {
    let mut cases = 0;
    for row in rows(SUN_TRANSIT) {
        let day = row.text("local_date").parse().unwrap();
        let found = solar_noon(day, &zone(row.text("tz")), row.place());
        let off_s = seconds_between(found, row.time("utc")).abs();
        assert!(off_s <= 1, "{off_s} s in {:?}", row.record);
        cases += 1;
    }
    assert_eq!(cases, 66);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn every_moment_has_the_phase_of_its_elevation(
        days in 0..20_000_i64,
        lat_deg in -90.0..=90.0_f64,
        lon_deg in -180.0..=180.0_f64,
        second in 0..86_400_i64,
    ) {
        let day = date(1995, 1, 1).checked_add(jiff::Span::new().days(days)).unwrap();
        let (spot, utc) = (place(lat_deg, lon_deg), TimeZone::UTC);
        let bounds = PhaseBounds::default();
        let found = phases(day, &utc, spot, bounds);
        without_holes(&found, day, &utc);
        let at = found[0].from + jiff::SignedDuration::from_secs(second);
        let span = found.iter().find(|span| span.from <= at && at < span.to).unwrap();
        // Rounding to a second, and what comes and goes within a minute, moves it by this much.
        let near = |by_deg: f64| bounds.phase(sun_position(at, spot).elevation_deg + by_deg);
        prop_assert!([near(-0.005), near(0.0), near(0.005)].contains(&span.phase));
    }

    /// The elevation is never much higher than at noon; the declination moves it by under 0.01°.
    #[test]
    fn noon_is_the_highest(
        days in 0..20_000_i64,
        lat_deg in -85.0..=85.0_f64,
        lon_deg in -180.0..=180.0_f64,
        off_min in -700..=700_i64,
    ) {
        let day = date(1995, 1, 1).checked_add(jiff::Span::new().days(days)).unwrap();
        let spot = place(lat_deg, lon_deg);
        let noon = solar_noon(day, &TimeZone::UTC, spot);
        let other = noon + jiff::SignedDuration::from_mins(off_min);
        let elevation_deg = |at| sun_position(at, spot).elevation_deg;
        prop_assert!(elevation_deg(other) < elevation_deg(noon) + 0.01);
    }
}
