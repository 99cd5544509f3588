//! Rain over a session's hours, from forecast and radar.

use fairspell_studio::Outlook;
use jiff::{Timestamp, ToSpan};

use crate::world::{EVENING_READING, LEAVE_BY, at, outlook_at, radar, seen};

fn gap(outlook: &Outlook) -> f64 {
    outlook.p_gap.as_ref().unwrap().value.centre.get()
}

#[test]
fn the_booked_hours_are_chained_and_lie_between_their_bounds() {
    // Hours from 15:15 to 17:15 at 30 % each: between the likeliest hour and the sum of the hours
    // that the window touches (Frechet).
    let outlook = outlook_at(EVENING_READING, &seen(at(EVENING_READING), 30.0));
    let rain = outlook.p_any_rain.unwrap().value;
    assert!(rain.centre.get() > 0.30 && rain.centre.get() < 0.51, "{}", rain.centre.get());
    assert!((rain.high.get() - 0.9).abs() < 1e-9, "three hours are touched");
}

#[test]
fn the_largest_published_hour_is_named_as_published() {
    let outlook = outlook_at(EVENING_READING, &seen(at(EVENING_READING), 30.0));
    assert!((outlook.largest_hour.unwrap().value.get() - 0.30).abs() < 1e-9);
    assert!((outlook.rain_amount_mm.unwrap().value - 1.0).abs() < 1e-9, "0.5 mm an hour");
}

#[test]
fn a_wet_minute_is_never_less_likely_than_rain() {
    for percent in [0.0, 10.0, 40.0, 80.0] {
        let mut seen = seen(at(EVENING_READING), percent);
        seen.radar = None;
        let outlook = outlook_at(EVENING_READING, &seen);
        let any_rain = outlook.p_any_rain.unwrap().value.centre;
        assert!(outlook.p_wet_minute.unwrap().value.centre >= any_rain, "{percent} %");
    }
}

#[test]
fn radar_speaks_where_it_contradicts_the_forecast() {
    let as_of = at(LEAVE_BY);
    let mut wet_sky = seen(as_of, 3.0);
    wet_sky.radar = Some(radar(as_of - 4.minutes(), as_of, 3.0));
    let outlook = outlook_at(LEAVE_BY, &wet_sky);
    assert!(gap(&outlook) < 0.3, "{}", gap(&outlook));
    assert!(gap(&outlook_at(LEAVE_BY, &seen(as_of, 90.0))) > 0.7, "a dry sky, a wet forecast");
}

#[test]
fn radar_takes_over_without_a_step() {
    // The same dry sky and wet forecast, asked every five minutes from five hours before the start:
    // the share of the radar grows, and no single step is large.
    let start: Timestamp = at("2026-09-03T05:15:00Z");
    let figures: Vec<f64> = (0..=60)
        .map(|step| {
            let as_of = start - (300 - 5 * step).minutes();
            gap(&outlook_at(&as_of.to_string(), &seen(as_of, 90.0)))
        })
        .collect();
    let (first, last) = (figures[0], figures[60]);
    assert!(last - first > 0.3, "from the forecast's {first} to the radar's {last}");
    for pair in figures.windows(2) {
        assert!((pair[1] - pair[0]).abs() < 0.06, "{} to {}", pair[0], pair[1]);
    }
}

#[test]
fn no_gap_fits_into_what_is_left_at_the_end() {
    // Last usable light is 17:48; at 17:30 no 25 minutes are left, however dry the sky.
    let as_of = "2026-09-03T07:30:00Z";
    let outlook = outlook_at(as_of, &seen(at(as_of), 3.0));
    assert!(gap(&outlook).abs() < 1e-12);
}

#[test]
fn the_steps_cover_the_evening_and_the_past_is_not_drawn() {
    let as_of = "2026-09-03T06:00:00Z";
    let outlook = outlook_at(as_of, &seen(at(as_of), 3.0));
    let steps = &outlook.steps;
    assert_eq!(steps.first().unwrap().hours.from, outlook.evening.from);
    assert_eq!(steps.last().unwrap().hours.to, outlook.evening.to);
    for pair in steps.windows(2) {
        assert_eq!(pair[0].hours.to, pair[1].hours.from);
    }
    for step in steps {
        assert_eq!(step.p_wet.is_none(), step.hours.to <= at(as_of), "{:?}", step.hours);
    }
}
