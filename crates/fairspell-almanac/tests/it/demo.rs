//! The evenings of the invented season that the whole program is tried on. Its times were computed
//! with another program and printed in whole minutes, its angles in whole degrees.

use fairspell_almanac::{
    Crossing, LAST_USABLE_LIGHT_DEG, evening_end, last_direct_light, sun_day, sun_position,
};
use fairspell_ground::{LatLon, Skyline, SkylineSector};
use jiff::civil::{Date, date};

use crate::{place, seconds_between, zone};

fn harbour() -> LatLon {
    place(-31.72, 152.79)
}

/// `HH:MM` by the studio's clock. Printed minutes may be cut off or rounded: one of two neighbours.
fn assert_minute(found: Crossing, expected: &str) {
    let found = found.timestamp().unwrap();
    let local = zone("Australia/Sydney").to_datetime(found);
    let expected = format!("{}T{expected}:00", local.date()).parse().unwrap();
    let off = local.duration_since(expected);
    assert!((-30..60).contains(&off.as_secs()), "{local}, not {expected}");
}

#[test]
fn sunsets_of_the_season_are_the_printed_ones() {
    for (evening, sunset) in [
        (date(2026, 8, 18), "17:24"),
        (date(2026, 9, 3), "17:33"),
        (date(2026, 9, 8), "17:36"),
        (date(2026, 9, 15), "17:41"),
        // The clocks went forward two days before.
        (date(2026, 10, 6), "18:54"),
        (date(2026, 11, 10), "19:21"),
        (date(2026, 11, 24), "19:33"),
        (date(2026, 11, 29), "19:38"),
        (date(2026, 12, 1), "19:39"),
        (date(2026, 12, 10), "19:46"),
    ] {
        assert_minute(sun_day(evening, &zone("Australia/Sydney"), harbour()).sunset, sunset);
    }
    let far_town = place(-33.05, 152.02);
    assert_minute(sun_day(date(2026, 10, 1), &zone("Australia/Sydney"), far_town).sunset, "17:54");
}

#[test]
fn the_last_soft_light_of_the_season_is_the_printed_one() {
    let evening = date(2026, 12, 10);
    let end = evening_end(evening, &zone("Australia/Sydney"), harbour(), LAST_USABLE_LIGHT_DEG);
    assert_minute(end, "20:03");
}

#[test]
fn the_dawn_session_sees_the_sun_rise_where_and_when_it_was_promised() {
    let day = sun_day(date(2026, 12, 2), &zone("Australia/Sydney"), harbour());
    assert_minute(day.sunrise, "05:36");
    let azimuth_deg = sun_position(day.sunrise.timestamp().unwrap(), harbour()).azimuth_deg;
    assert!((azimuth_deg - 117.0).abs() <= 0.5, "{azimuth_deg}");
    assert_minute(day.civil_dawn, "05:08");
}

/// "About 45 minutes" before sunset behind 8°, "about 50 to 55" behind 9° to 11°: printed for the
/// whole season, in which the sun sinks between 10.9° and 12.8° an hour; hence five minutes.
#[test]
fn the_hills_take_the_sun_as_early_as_the_place_list_says() {
    let early_min = |spot: LatLon, height_deg, evening: Date| {
        let hill = SkylineSector { from_azimuth_deg: 240.0, to_azimuth_deg: 295.0, height_deg };
        let skyline = Skyline::new(vec![hill]);
        let zone = zone("Australia/Sydney");
        let gone = last_direct_light(evening, &zone, spot, &skyline).timestamp().unwrap();
        let sunset = sun_day(evening, &zone, spot).sunset.timestamp().unwrap();
        seconds_between(sunset, gone) / 60
    };
    for evening in [date(2026, 9, 3), date(2026, 10, 6), date(2026, 12, 10)] {
        let steps = early_min(place(-31.7177, 152.7849), 8.0, evening);
        assert!((40..=50).contains(&steps), "{evening}: {steps} min");
        let dune = early_min(place(-31.7084, 152.7951), 10.0, evening);
        assert!((45..=60).contains(&dune), "{evening}: {dune} min");
    }
}
