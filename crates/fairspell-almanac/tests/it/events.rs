use std::collections::BTreeMap;

use fairspell_almanac::{
    Crossing, Direction, LAST_USABLE_LIGHT_DEG, SUNRISE_DEG, crossings, evening_end, morning_start,
    sun_day, sun_position,
};
use jiff::{
    Timestamp,
    civil::{Date, date},
    tz::TimeZone,
};
use proptest::prelude::*;

use crate::{place, rows, seconds_between, zone};

const SUN_EVENTS: &str = include_str!("../reference/sun_events.csv");

fn way(event: &str) -> Direction {
    match event {
        "nautical_dawn" | "civil_dawn" | "sunrise" => Direction::Rising,
        "sunset" | "civil_dusk" | "nautical_dusk" => Direction::Setting,
        other => panic!("event {other}"),
    }
}

/// The table rounds the elevation of rise and set; the convention is 50 arc minutes.
fn exact_elevation_deg(tabulated: &str) -> f64 {
    if tabulated == "-0.8333" { SUNRISE_DEG } else { tabulated.parse().unwrap() }
}

/// Ours and the table's times are both rounded to the second. Above 65° the sun passes the level so
/// slowly that the last digit of TT - UT1 moves it by another.
fn tolerance_s(lat_deg: f64) -> i64 {
    if lat_deg.abs() > 65.0 { 2 } else { 1 }
}

#[test]
fn a_civil_day_has_the_events_of_the_almanac_and_no_others() {
    let mut expected: BTreeMap<(String, String, String), Vec<Timestamp>> = BTreeMap::new();
    for row in rows(SUN_EVENTS) {
        let key = ["place", "local_date", "event"].map(|column| row.text(column).to_owned());
        let times = expected.entry(key.into()).or_default();
        if row.text("status") == "event" {
            times.push(row.time("utc_spa"));
        }
    }
    assert_eq!(expected.len(), 24 * 6);
    let mut events = 0;
    for row in rows(SUN_EVENTS).filter(|row| row.number("n") <= 1.0) {
        let key = ["place", "local_date", "event"].map(|column| row.text(column).to_owned());
        let found = crossings(
            row.text("local_date").parse().unwrap(),
            &zone(row.text("tz")),
            row.place(),
            exact_elevation_deg(row.text("alt_deg")),
            way(row.text("event")),
        );
        let expected = &expected[&key.into()];
        assert_eq!(found.len(), expected.len(), "{:?}", row.record);
        for (found, expected) in found.iter().zip(expected) {
            let off_s = seconds_between(*found, *expected).abs();
            assert!(off_s <= tolerance_s(row.number("lat")), "{off_s} s in {:?}", row.record);
            events += 1;
        }
    }
    // As many as the table counts, so that no row was passed over.
    assert_eq!(events, 108);
}

/// Where the sun sets well before midnight, the daylight of a date lies within its civil day, and
/// never-rising and never-setting mean the same.
#[test]
fn the_daylight_of_a_date_is_the_almanacs() {
    for row in rows(SUN_EVENTS).filter(|row| row.text("place") != "Reykjavik") {
        let date: Date = row.text("local_date").parse().unwrap();
        let day = sun_day(date, &zone(row.text("tz")), row.place());
        let found = match row.text("event") {
            "civil_dawn" => day.civil_dawn,
            "sunrise" => day.sunrise,
            "sunset" => day.sunset,
            "civil_dusk" => day.civil_dusk,
            "nautical_dawn" => day.nautical_dawn,
            "nautical_dusk" => day.nautical_dusk,
            other => panic!("event {other}"),
        };
        match row.text("status") {
            "always_above" => assert_eq!(found, Crossing::AlwaysAbove, "{:?}", row.record),
            "always_below" => assert_eq!(found, Crossing::AlwaysBelow, "{:?}", row.record),
            // Bergen's civil dusk of 5 June in the table is the one after the midnight before.
            _ if row.text("place") == "Bergen" && row.text("event") == "civil_dusk" => {
                let dusk = found.timestamp().unwrap();
                assert!(seconds_between(dusk, row.time("utc_spa")) >= 0);
            }
            _ => {
                let off_s = seconds_between(found.timestamp().unwrap(), row.time("utc_spa")).abs();
                assert!(off_s <= tolerance_s(row.number("lat")), "{off_s} s in {:?}", row.record);
            }
        }
    }
}

/// `sun_events.csv`: Iceland's sunset of 21 June lies in the first minutes of the 21st for the
/// evening of the 20th. Sunsets there move by less than five minutes a day.
#[test]
fn a_sunset_after_midnight_belongs_to_the_evening_before() {
    let reykjavik = place(64.1466, -21.9426);
    let evening = date(2026, 6, 20);
    let sunset = sun_day(evening, &zone("Atlantic/Reykjavik"), reykjavik).sunset;
    let tabulated: Timestamp = "2026-06-21T00:03:47Z".parse().unwrap();
    assert!(seconds_between(sunset.timestamp().unwrap(), tabulated).abs() <= 1);

    // Every date of that summer has one evening, also those without a sunset between 00:00 and
    // 24:00.
    let mut last = sunset.timestamp().unwrap();
    for day in 21..=30 {
        let day = sun_day(date(2026, 6, day), &zone("Atlantic/Reykjavik"), reykjavik);
        let sunset = day.sunset.timestamp().unwrap();
        let off_s = seconds_between(sunset, last) - 86_400;
        assert!(off_s.abs() < 300, "{sunset}: {off_s} s");
        assert!(day.sunrise.timestamp().unwrap() < sunset);
        last = sunset;
    }
}

/// About the polar circle, when the sun first stays up, yesterday's sunset must not stand in for
/// the one that does not come, nor tomorrow's sunrise. Planted: a place where the mean sun is that
/// of the clock.
#[test]
fn no_evening_and_no_morning_is_given_to_two_dates() {
    for tenths in [655, 657, 659, 660, 661] {
        let spot = place(f64::from(tenths) / 10.0, 0.0);
        for days in [(date(2026, 5, 25), 28), (date(2026, 7, 1), 20)] {
            let dates = days.0.series(jiff::Span::new().days(1)).take(days.1);
            let (mut sets, mut rises) = (Vec::new(), Vec::new());
            for date in dates {
                let zone = &TimeZone::UTC;
                sets.extend(evening_end(date, zone, spot, SUNRISE_DEG).timestamp());
                rises.extend(morning_start(date, zone, spot, SUNRISE_DEG).timestamp());
            }
            for moments in [sets, rises] {
                let apart_s = moments.windows(2).map(|pair| seconds_between(pair[1], pair[0]));
                // Sunsets there move by less than half an hour a day.
                assert!(apart_s.min().unwrap_or(86_400) > 84_600, "{spot}: {moments:?}");
            }
        }
    }
}

/// Planted: the elevation that the sun has half an hour before the end of a day of 23 or 25 hours,
/// and half an hour after it.
#[test]
fn a_day_of_23_or_25_hours_ends_when_its_clocks_say_so() {
    for (zone_name, spot, day) in [
        ("Australia/Sydney", place(-33.8688, 151.2093), date(2026, 4, 5)),
        ("Pacific/Auckland", place(-36.8485, 174.7633), date(2026, 9, 27)),
    ] {
        let zone = zone(zone_name);
        let both_ways = |day: Date, moment: Timestamp| {
            let elevation_deg = sun_position(moment, spot).elevation_deg;
            [Direction::Rising, Direction::Setting]
                .into_iter()
                .flat_map(|way| crossings(day, &zone, spot, elevation_deg, way))
                .any(|found| seconds_between(found, moment).abs() <= 1)
        };
        let tomorrow = day.tomorrow().unwrap();
        let late = zone.to_timestamp(day.at(23, 30, 0, 0)).unwrap();
        let after = zone.to_timestamp(tomorrow.at(0, 30, 0, 0)).unwrap();
        assert!(both_ways(day, late) && !both_ways(tomorrow, late), "{zone_name}");
        assert!(both_ways(tomorrow, after) && !both_ways(day, after), "{zone_name}");
    }
}

#[test]
fn the_ends_of_the_calendar_do_not_break_anything() {
    for date in [Date::MIN, Date::MAX] {
        for offset in [-12, 14] {
            let zone = TimeZone::fixed(jiff::tz::Offset::constant(offset));
            let spot = place(-31.72, 152.79);
            let _ = crossings(date, &zone, spot, SUNRISE_DEG, Direction::Setting);
            let _ = sun_day(date, &zone, spot);
        }
    }
}

#[test]
fn a_crossing_reads_plainly_in_json() {
    let at = Crossing::At("2026-09-03T07:33:00Z".parse().unwrap());
    assert_eq!(serde_json::to_string(&at).unwrap(), r#"{"at":"2026-09-03T07:33:00Z"}"#);
    let text = serde_json::to_string(&Crossing::AlwaysAbove).unwrap();
    assert_eq!(text, r#""always_above""#);
    assert_eq!(serde_json::from_str::<Crossing>(&text).unwrap(), Crossing::AlwaysAbove);
}

fn any_date() -> impl Strategy<Value = Date> {
    (1990_i16..2050, 1_i8..=12, 1_i8..=28).prop_map(|(year, month, day)| date(year, month, day))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    /// Below the polar circles there is always one, whatever the zone says of the place.
    #[test]
    fn an_evening_has_sunset_last_light_and_dusk_in_order(
        date in any_date(),
        lat_deg in -55.0..=55.0_f64,
        lon_deg in -180.0..=180.0_f64,
    ) {
        let (spot, utc) = (place(lat_deg, lon_deg), TimeZone::UTC);
        let day = sun_day(date, &utc, spot);
        let sunset = day.sunset.timestamp().unwrap();
        let last_light = evening_end(date, &utc, spot, LAST_USABLE_LIGHT_DEG).timestamp().unwrap();
        let first_light =
            morning_start(date, &utc, spot, LAST_USABLE_LIGHT_DEG).timestamp().unwrap();
        let order = [
            day.civil_dawn.timestamp().unwrap(),
            first_light,
            day.sunrise.timestamp().unwrap(),
            sunset,
            last_light,
            day.civil_dusk.timestamp().unwrap(),
        ];
        prop_assert!(order.is_sorted(), "{order:?}");
        // Rounding to the second moves the sun by at most half of 15 arc seconds.
        let sun = sun_position(sunset, spot);
        prop_assert!((sun.elevation_deg - SUNRISE_DEG).abs() < 0.0025, "{sun:?}");
    }

    #[test]
    fn days_share_out_the_sunsets_between_them(
        date in any_date(),
        lat_deg in -90.0..=90.0_f64,
        lon_deg in -180.0..=180.0_f64,
    ) {
        // Two neighbouring days in one zone, against one zone whose days begin twelve hours later.
        let spot = place(lat_deg, lon_deg);
        let shifted = TimeZone::fixed(jiff::tz::Offset::constant(-12));
        let of = |date: Date, zone: &TimeZone| {
            crossings(date, zone, spot, SUNRISE_DEG, Direction::Setting)
        };
        let tomorrow = date.tomorrow().unwrap();
        let both: Vec<_> =
            of(date, &TimeZone::UTC).into_iter().chain(of(tomorrow, &TimeZone::UTC)).collect();
        for sunset in of(date, &shifted) {
            prop_assert!(both.contains(&sunset), "{sunset} not in {both:?}");
        }
    }
}
