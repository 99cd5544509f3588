use fairspell_almanac::{
    Crossing, direct_light_spans, first_direct_light, last_direct_light, sun_day, sun_position,
};
use fairspell_ground::{Skyline, SkylineSector};
use jiff::{
    Timestamp,
    civil::date,
    tz::{Offset, TimeZone},
};
use proptest::prelude::*;

use crate::{place, rows, seconds_between, zone};

const SKYLINE_EVENTS: &str = include_str!("../reference/skyline_events.csv");

fn sector(from_azimuth_deg: f64, to_azimuth_deg: f64, height_deg: f64) -> SkylineSector {
    SkylineSector { from_azimuth_deg, to_azimuth_deg, height_deg }
}

fn level(height_deg: f64) -> Skyline {
    Skyline::new(vec![sector(0.0, 360.0, height_deg)])
}

/// Ten seconds: refraction formulas differ by 6.5 s at one degree.
#[test]
fn the_sun_leaves_level_skylines_when_the_table_says() {
    leaves_as_tabulated("utc_centre_spa", 0.0);
}

/// The disc's upper edge leaves when its centre is by its radius below the skyline.
#[test]
fn the_suns_upper_edge_leaves_when_the_table_says() {
    leaves_as_tabulated("utc_upper_limb_spa", 0.26667);
    leaves_as_tabulated("utc_upper_limb_ephem", 0.26667);
}

fn leaves_as_tabulated(column: &str, below_deg: f64) {
    let mut cases = 0;
    for row in rows(SKYLINE_EVENTS) {
        let expected = row.time(column);
        // A whole-hour zone near the sun's own time, so that the date is the table's evening.
        let hours = match row.text("place") {
            "Portland ME" => -5,
            "Bergen" => 0,
            "Sydney" => 10,
            "Suva" => 12,
            other => panic!("no zone for {other}"),
        };
        let zone = TimeZone::fixed(Offset::constant(hours));
        let date = zone.to_datetime(expected).date();
        let skyline = level(row.number("skyline_alt_deg") - below_deg);
        let found = match row.text("way") {
            "setting" => last_direct_light(date, &zone, row.place(), &skyline),
            _ => first_direct_light(date, &zone, row.place(), &skyline),
        };
        let off_s = seconds_between(found.timestamp().unwrap(), expected).abs();
        assert!(off_s <= 10, "{off_s} s in {:?}", row.record);
        cases += 1;
    }
    assert_eq!(cases, 30);
}

/// The table has the sun leaving a 5° ridge at azimuth 296° and a 1° one at 301°: a ridge from 250°
/// to 320° hides it like one all round, and one in the north or south-west does not.
#[test]
fn only_the_hill_in_the_suns_way_counts() {
    let (portland, zone) = (place(43.6591, -70.2568), zone("America/New_York"));
    let last = |sectors| {
        let skyline = Skyline::new(sectors);
        last_direct_light(date(2026, 5, 30), &zone, portland, &skyline).timestamp().unwrap()
    };
    assert_eq!(last(vec![sector(250.0, 320.0, 5.0)]), last(vec![sector(0.0, 360.0, 5.0)]));
    let flat = last(vec![]);
    assert_eq!(last(vec![sector(310.0, 350.0, 5.0), sector(200.0, 260.0, 5.0)]), flat);
    // Half the disc is down a minute or two before the upper edge, the table's 00:14:12Z.
    let edge: Timestamp = "2026-05-31T00:14:12Z".parse().unwrap();
    assert!((60..180).contains(&seconds_between(edge, flat)), "{flat}");
}

/// Planted: a 20° tower in the sun's path with open sky after it.
#[test]
fn light_that_comes_back_beside_a_tower_is_still_the_last_light() {
    let (portland, zone) = (place(43.6591, -70.2568), zone("America/New_York"));
    let day = date(2026, 5, 30);
    let tower = Skyline::new(vec![sector(270.0, 285.0, 40.0)]);
    let last = last_direct_light(day, &zone, portland, &tower);
    assert_eq!(last, last_direct_light(day, &zone, portland, &Skyline::default()));
    let behind = sun_position("2026-05-30T22:20:00Z".parse().unwrap(), portland);
    assert!(tower.height_deg(behind.azimuth_deg) > behind.apparent_elevation_deg, "{behind:?}");

    // With the hill reaching on to where the sun sets, it is gone where the tower begins.
    let long = Skyline::new(vec![sector(270.0, 310.0, 40.0)]);
    let last = last_direct_light(day, &zone, portland, &long).timestamp().unwrap();
    let azimuth_deg = sun_position(last, portland).azimuth_deg;
    // The sun moves less than 0.01° along the sky in a second at this latitude.
    assert!((azimuth_deg - 270.0).abs() < 0.01, "{azimuth_deg}");
}

#[test]
fn a_gorge_without_sun_and_a_midnight_sun_are_answers() {
    let (tromso, zone) = (place(69.6492, 18.9553), zone("Europe/Oslo"));
    let midsummer = date(2026, 6, 21);
    let flat = Skyline::default();
    assert_eq!(last_direct_light(midsummer, &zone, tromso, &flat), Crossing::AlwaysAbove);
    assert_eq!(first_direct_light(midsummer, &zone, tromso, &flat), Crossing::AlwaysAbove);
    assert_eq!(last_direct_light(midsummer, &zone, tromso, &level(60.0)), Crossing::AlwaysBelow);
    let midwinter = date(2026, 12, 21);
    assert_eq!(first_direct_light(midwinter, &zone, tromso, &flat), Crossing::AlwaysBelow);
}

/// The table's 30 crossings again, as ends of spans.
#[test]
fn spans_of_light_begin_and_end_when_the_table_says() {
    for row in rows(SKYLINE_EVENTS) {
        let expected = row.time("utc_centre_spa");
        let hours = jiff::SignedDuration::from_hours(3);
        let skyline = level(row.number("skyline_alt_deg"));
        let (from, to) = (expected - hours, expected + hours);
        let spans = direct_light_spans(from, to, row.place(), &skyline);
        let ends =
            spans.iter().map(|span| if row.text("way") == "setting" { span.1 } else { span.0 });
        let off_s = ends.map(|end| seconds_between(end, expected).abs()).min().unwrap();
        assert!(off_s <= 10, "{off_s} s in {:?}", row.record);
    }
}

/// Planted: two towers, 3° wide each, before open sky; for each the light goes and comes again.
#[test]
fn the_light_between_two_towers_is_found() {
    let portland = place(43.6591, -70.2568);
    let towers = Skyline::new(vec![sector(265.0, 268.0, 60.0), sector(272.0, 275.0, 60.0)]);
    let (noon, night) =
        ("2026-05-30T16:00:00Z".parse().unwrap(), "2026-05-31T04:00:00Z".parse().unwrap());
    let spans = direct_light_spans(noon, night, portland, &towers);
    assert_eq!(spans.len(), 3);
    assert_eq!(spans[0].0, noon);
    for (end, azimuth_deg) in
        [(spans[0].1, 265.0), (spans[1].0, 268.0), (spans[1].1, 272.0), (spans[2].0, 275.0)]
    {
        // Rounding to the second moves the sun by less than 0.01° along the sky.
        assert!((sun_position(end, portland).azimuth_deg - azimuth_deg).abs() < 0.01);
    }
    let utc = TimeZone::fixed(Offset::constant(-5));
    let last = last_direct_light(date(2026, 5, 30), &utc, portland, &towers);
    assert!(seconds_between(spans[2].1, last.timestamp().unwrap()).abs() <= 1);
}

#[test]
fn spans_keep_to_the_time_asked_about() {
    let (tromso, flat) = (place(69.6492, 18.9553), Skyline::default());
    let (from, to): (Timestamp, Timestamp) =
        ("2026-06-01T10:00:00.5Z".parse().unwrap(), "2026-06-20T10:00:00Z".parse().unwrap());
    assert_eq!(direct_light_spans(from, to, tromso, &flat), [(from, to)]);
    assert_eq!(direct_light_spans(to, from, tromso, &flat), []);
    assert_eq!(direct_light_spans(from, from, tromso, &flat), []);
    assert_eq!(direct_light_spans(from, to, tromso, &level(60.0)), []);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(30))]

    #[test]
    fn a_higher_hill_never_leaves_more_light(
        lat_deg in -50.0..=50.0_f64,
        day in 1_i8..=28,
        month in 1_i8..=12,
        height_deg in 0.0..=15.0_f64,
        more_deg in 0.1..=10.0_f64,
    ) {
        let (spot, day) = (place(lat_deg, 0.0), date(2026, month, day));
        let of = |height_deg| last_direct_light(day, &TimeZone::UTC, spot, &level(height_deg));
        let (low, high) = (of(height_deg).timestamp().unwrap(), of(height_deg + more_deg));
        prop_assert!(high.timestamp().is_none_or(|high| high < low));
        prop_assert!(low < sun_day(day, &TimeZone::UTC, spot).sunset.timestamp().unwrap());
    }
}
