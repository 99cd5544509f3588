//! The tide of the invented season that the whole program is tried on. Everything here is made up,
//! the place as well as its constants; the heights were computed with another program and are
//! printed in whole or in tenth decimetres, with the evening they belong to.

use fairspell_almanac::{
    sun_day,
    tide::{Tide, TideKind, TideLimits},
};
use jiff::{SignedDuration, Timestamp, civil::date};

use crate::{
    place, seconds_between,
    tide::{constants, hours, tide, time},
    zone,
};

/// Mean 1.00 m and five waves, lags by Greenwich time, no nodal corrections.
fn harbour() -> Tide {
    tide(&constants(&[
        ("M2", 0.48, 300.0),
        ("S2", 0.12, 322.0),
        ("N2", 0.10, 285.0),
        ("K1", 0.15, 115.0),
        ("O1", 0.09, 85.0),
    ]))
}

fn sunset(year: i16, month: i8, day: i8) -> Timestamp {
    let (spot, zone) = (place(-31.72, 152.79), zone("Australia/Sydney"));
    sun_day(date(year, month, day), &zone, spot).sunset.timestamp().unwrap()
}

/// Printed to a centimetre, "0.6" to a decimetre: half of the last digit. Another half of a
/// centimetre because the printed heights may belong to sunsets printed in whole minutes, in which
/// this water moves up to that much.
#[test]
fn the_printed_heights_of_the_season_come_out() {
    let far_sunset = {
        let (spot, zone) = (place(-33.05, 152.02), zone("Australia/Sydney"));
        sun_day(date(2026, 10, 1), &zone, spot).sunset.timestamp().unwrap()
    };
    let harbour = harbour();
    for (at, printed_m, half_digit_m) in [
        (sunset(2026, 8, 18), 0.60, 0.005),
        (sunset(2026, 9, 3), 0.6, 0.05),
        (sunset(2026, 9, 8), 1.45, 0.005),
        (far_sunset, 0.57, 0.005),
        (sunset(2026, 10, 6), 1.35, 0.005),
        (sunset(2026, 10, 6) - SignedDuration::from_hours(1), 1.41, 0.005),
        (sunset(2026, 11, 10), 1.32, 0.005),
        (time("2026-11-10T21:40:00+11:00"), 1.68, 0.005),
        (sunset(2026, 11, 24), 1.69, 0.005),
        (time("2026-11-24T19:00:00+11:00"), 1.56, 0.005),
        (sunset(2026, 11, 29), 0.71, 0.005),
        (time("2026-12-02T05:36:00+11:00"), 1.04, 0.005),
        (sunset(2026, 12, 10), 1.43, 0.005),
    ] {
        let height_m = harbour.height_m(at).unwrap();
        assert!(
            (height_m - printed_m).abs() <= half_digit_m + 0.005,
            "{at}: {height_m}, not {printed_m}"
        );
    }
}

/// "Rising", "falling" and the morning's falling tide, as printed.
#[test]
fn the_water_moves_the_way_the_season_says() {
    let harbour = harbour();
    assert!(harbour.rate_m_h(sunset(2026, 11, 10)).unwrap() > 0.2);
    assert!(harbour.rate_m_h(time("2026-12-02T05:36:00+11:00")).unwrap() < -0.2);
    assert!(harbour.rate_m_h(sunset(2026, 12, 10)).unwrap() > 0.2);
}

/// "1.68 at 21:40" is the evening's high water: to the minutes that a centimetre takes at the top.
#[test]
fn the_high_water_of_the_humid_evening_is_the_printed_one() {
    let printed = time("2026-11-10T21:40:00+11:00");
    let turns = harbour().extremes(hours(printed, -5), hours(printed, 5));
    let high = turns.iter().find(|turn| turn.kind == TideKind::High).unwrap();
    assert!(seconds_between(high.time, printed).abs() <= 300, "{high:?}");
    assert!((high.height_m - 1.68).abs() <= 0.005, "{high:?}");
}

/// Boards that flood above 1.55 m, sand that is gone above 1.40 m: who can go where at sunset.
#[test]
fn the_spots_of_the_season_close_on_the_evenings_that_are_told() {
    let harbour = harbour();
    let open_at_sunset = |to_m: f64, sunset: Timestamp| {
        let limits = TideLimits { usable_from_m: None, usable_to_m: Some(to_m) };
        let spans = harbour.usable(limits, hours(sunset, -3), hours(sunset, 1));
        spans.iter().any(|span| span.from <= sunset && sunset <= span.to)
    };
    let (boards_m, sand_m) = (1.55, 1.40);
    // The 8th of September: "still 10 cm clear", and the beach gone.
    assert!(open_at_sunset(boards_m, sunset(2026, 9, 8)));
    assert!(!open_at_sunset(sand_m, sunset(2026, 9, 8)));
    // The 24th of November floods the boards, from about 19:00; by the 29th all is open.
    assert!(!open_at_sunset(boards_m, sunset(2026, 11, 24)));
    let storm = sunset(2026, 11, 24);
    let dry = harbour.spans_below(boards_m, hours(storm, -3), storm);
    assert!(seconds_between(dry[0].to, time("2026-11-24T19:00:00+11:00")).abs() <= 300, "{dry:?}");
    assert!(open_at_sunset(sand_m, sunset(2026, 11, 29)));
}
