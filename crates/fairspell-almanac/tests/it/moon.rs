use fairspell_almanac::moon::{last_new_moon, moon_day, moon_phase, moon_position};
use jiff::{
    SignedDuration, Timestamp,
    civil::{Date, date},
    tz::TimeZone,
};
use proptest::prelude::*;

use crate::{place, rows, seconds_between, zone};

const MOON: &str = include_str!("../reference/moon.csv");
const MOON_DAYS: &str = include_str!("../reference/moon_days.csv");

/// The series' own statement is 10 arc seconds in longitude and 4 in latitude, and nutation by its
/// greatest terms adds one: 0.004°. Both programs take UTC for UT1.
#[test]
fn the_moon_stands_where_another_program_has_it() {
    let mut cases = 0;
    for row in rows(MOON) {
        let moon = moon_position(row.time("utc"), row.place());
        let elevation_deg = row.number("elevation_deg");
        let turn_deg =
            (moon.azimuth_deg - row.number("azimuth_deg") + 540.0).rem_euclid(360.0) - 180.0;
        let across_deg = turn_deg * elevation_deg.to_radians().cos();
        let apart_deg = across_deg.hypot(moon.elevation_deg - elevation_deg);
        assert!(apart_deg <= 0.004, "{apart_deg}° in {:?}", row.record);
        // One thousandth of the disc's width.
        assert!((moon.radius_deg - row.number("radius_deg")).abs() <= 5e-4, "{moon:?}");
        cases += 1;
    }
    assert_eq!(cases, 60);
}

/// A hundredth of the disc, the sun's 0.01° in elongation, and what the moon needs for that in age.
#[test]
fn as_much_of_it_is_lit_as_another_program_says() {
    for row in rows(MOON) {
        let phase = moon_phase(row.time("utc"));
        let off = phase.illuminated_fraction - row.number("illuminated_fraction");
        assert!(off.abs() <= 0.01, "{off} in {:?}", row.record);
        let off_deg = phase.elongation_deg - row.number("elongation_deg");
        assert!(off_deg.abs() <= 0.02, "{off_deg}° in {:?}", row.record);
        let off_days = phase.age_days - row.number("age_days");
        assert!(off_days.abs() <= 0.003, "{off_days} days in {:?}", row.record);
    }
}

/// Ten seconds: 0.004° is 1 s at the equator, and 8 s where the moon comes up as flat as in Tromso.
#[test]
fn it_rises_and_sets_when_another_program_says() {
    let mut events = 0;
    for row in rows(MOON_DAYS) {
        let date: Date = row.text("local_date").parse().unwrap();
        let day = moon_day(date, &zone(row.text("tz")), row.place());
        let found = if row.text("way") == "rise" { day.rises } else { day.sets };
        let expected: Vec<Timestamp> =
            row.text("utc").split_whitespace().map(|time| time.parse().unwrap()).collect();
        assert_eq!(found.len(), expected.len(), "{:?}: {found:?}", row.record);
        for (found, expected) in found.iter().zip(expected) {
            let off_s = seconds_between(*found, expected).abs();
            assert!(off_s <= 10, "{off_s} s in {:?}", row.record);
            events += 1;
        }
    }
    assert_eq!(events, 118);
}

/// The moon of the far north: for days it stays up or down.
#[test]
fn a_moon_that_stays_up_or_down_is_an_answer() {
    let (tromso, zone) = (place(69.6492, 18.9553), zone("Europe/Oslo"));
    let days = date(2026, 1, 1).series(jiff::Span::new().days(1)).take(30);
    let (mut up, mut down) = (0, 0);
    for day in days.map(|day| moon_day(day, &zone, tromso)) {
        if day.rises.is_empty() && day.sets.is_empty() {
            if day.begins_up { up += 1 } else { down += 1 }
        }
    }
    assert!(up >= 4 && down >= 4, "{up} up, {down} down");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn the_age_counts_from_the_last_new_moon(second in 0_i64..3_000_000_000) {
        let at = Timestamp::from_second(second).unwrap();
        let new = last_new_moon(at);
        let days = seconds_between(at, new) as f64 / 86_400.0;
        prop_assert!((0.0..29.9).contains(&days), "{days}");
        let dark = moon_phase(new + SignedDuration::from_secs(1));
        prop_assert!(dark.illuminated_fraction < 0.003, "{dark:?}");
        // Two new moons are 29.27 to 29.83 days apart.
        let before = last_new_moon(new - SignedDuration::from_hours(1));
        let month_days = seconds_between(new, before) as f64 / 86_400.0;
        prop_assert!((29.2..29.9).contains(&month_days), "{month_days}");
    }

    #[test]
    fn every_moment_and_place_has_a_moon(
        second in -377_705_023_201_i64..=253_402_207_200,
        lat_deg in -90.0..=90.0_f64,
        lon_deg in -180.0..=180.0_f64,
    ) {
        let at = Timestamp::from_second(second).unwrap();
        let moon = moon_position(at, place(lat_deg, lon_deg));
        prop_assert!((-90.0..=90.0).contains(&moon.elevation_deg));
        prop_assert!((0.0..=360.0).contains(&moon.azimuth_deg));
        prop_assert!((0.0..=1.0).contains(&moon_phase(at).illuminated_fraction));
    }
}

#[test]
fn the_ends_of_the_calendar_break_nothing() {
    for date in [Date::MIN, Date::MAX] {
        let _ = moon_day(date, &TimeZone::UTC, place(-31.72, 152.79));
    }
}
