//! The hours of a session and the light that bounds them.

use fairspell_plan::evening::{hours, spots};
use jiff::civil::date;

use crate::world::{at, session, studio, zone};

/// Within a minute: the reference sheet of the invented town gives whole minutes, computed for a
/// point two kilometres away.
fn within_a_minute(found: jiff::Timestamp, expected: &str) {
    let apart_s = found.duration_since(at(expected)).as_secs().abs();
    assert!(apart_s <= 60, "{found} against {expected}");
}

#[test]
fn last_usable_light_bounds_an_evening_session() {
    let hours = hours(&studio(), &zone(), &session()).unwrap();
    // Sunset 17:33 on 3 Sep 2026 at 31.72 S, 152.79 E (computed for the demo with another library);
    // the sun 4 degrees below about a quarter of an hour later.
    within_a_minute(hours.light.sunset.unwrap(), "2026-09-03T07:33:00Z");
    within_a_minute(hours.light.last_usable.unwrap(), "2026-09-03T07:48:30Z");
    assert_eq!(hours.window.from, at("2026-09-03T05:15:00Z"));
    assert_eq!(hours.window.to, at("2026-09-03T07:15:00Z"), "booked hours end before the light");
    assert_eq!(hours.until_last_light.to, hours.light.last_usable.unwrap());
    assert_eq!(hours.evening.from, at("2026-09-03T04:45:00Z"), "half an hour before the start");
}

#[test]
fn booked_hours_are_cut_at_last_usable_light() {
    let mut long = session();
    long.duration_min = 240;
    let hours = hours(&studio(), &zone(), &long).unwrap();
    assert_eq!(hours.window.to, hours.light.last_usable.unwrap());
}

#[test]
fn the_evenings_light_is_no_bound_for_a_session_at_dawn() {
    let mut dawn = session();
    dawn.start = date(2026, 12, 2).at(5, 8, 0, 0);
    let hours = hours(&studio(), &zone(), &dawn).unwrap();
    assert_eq!(hours.light.last_usable, None);
    assert_eq!(hours.until_last_light, hours.window);
    // Sunrise 05:36 on 2 Dec, clocks an hour ahead.
    within_a_minute(hours.light.sunrise.unwrap(), "2026-12-01T18:36:00Z");
}

#[test]
fn a_start_after_dark_has_no_hours() {
    let mut late = session();
    late.start = date(2026, 9, 3).at(19, 0, 0, 0);
    let hours = hours(&studio(), &zone(), &late).unwrap();
    assert_eq!(hours.window.from, hours.window.to);
}

#[test]
fn each_spot_loses_its_sun_at_its_own_time() {
    let light = hours(&studio(), &zone(), &session()).unwrap().light;
    let leaves = |id: &str| light.last_direct.iter().find(|(spot, _)| spot == id).unwrap().1;
    let minutes_before_sunset =
        |id: &str| light.sunset.unwrap().duration_since(leaves(id)).as_secs() / 60;
    // The invented town's sheet: about 45 minutes at the steps with their hill of 8 degrees.
    assert!((40..=46).contains(&minutes_before_sunset("lantern-steps")));
    assert!((12..=20).contains(&minutes_before_sunset("heron-walk")));
}

#[test]
fn a_spot_of_several_looks_is_named_once() {
    let mut twice = session();
    twice.looks.push(twice.looks[0].clone());
    let studio = studio();
    let ids: Vec<_> = spots(&studio, &twice).iter().map(|spot| spot.id.as_str()).collect();
    assert_eq!(ids, ["heron-walk", "lantern-steps"]);
}

#[test]
fn where_the_sun_does_not_rise_that_high_there_is_no_light_and_not_light_without_end() {
    // Longyearbyen at 78 N in December: the sun stays more than 10 degrees below the horizon.
    let mut north = studio();
    north.time_zone = "Arctic/Longyearbyen".to_owned();
    for spot in &mut north.spots {
        spot.position = fairspell_ground::LatLon::new(78.22, 15.65).unwrap();
    }
    let mut noon = session();
    noon.start = date(2026, 12, 21).at(12, 0, 0, 0);
    let hours = hours(&north, &north.zone().unwrap(), &noon).unwrap();
    assert_eq!(hours.until_last_light.from, hours.until_last_light.to);
}
