//! The radar's page.

use jiff::{Timestamp, tz::TimeZone};

use crate::clock::{age, clock};
use crate::numbers::minutes;

/// The heading.
pub const HEADING: &str = "The radar";
/// Starts the loop.
pub const PLAY: &str = "Play";
/// Stops it.
pub const STOP: &str = "Stop";
/// No picture young enough.
pub const NONE: &str = "There is no radar picture young enough to show. That does not mean that it \
                        is dry.";
/// What the coming pictures are.
pub const COMING_MEANS: &str = "Coming pictures carry the rain on as it moves now, with more doubt the \
                                farther ahead: many strokes where rain is likely, few where it is \
                                possible. Where nothing is drawn it is less likely than that, which is no promise \
                                that it stays dry.";
/// What the pictures that were seen are called.
pub const SEEN: &str = "Seen";
/// What those that are coming are called.
pub const COMING: &str = "Expected";
/// Over the classes of a coming picture.
pub const CHANCES_HEADING: &str = "Chance of rain then";
/// What the classes of a coming picture are called: the lowest first, and then heavy rain.
pub const CHANCES: [&str; 4] = [
    "unlikely, under 20 %",
    "possible, 20 to 50 %",
    "likely, 50 % and more",
    "10 mm/h possible, 20 % and more",
];
/// Over what is told of the place itself.
pub const HERE: &str = "The next three hours here";
/// Over the chances of the next hour.
pub const NEXT_HOUR: &str = "The next hour";
/// What the chances of the next hour are.
pub const NEXT_HOUR_MEANS: &str = "The chance that it rains at some moment of the hour, at each place by \
                                   itself. It allows for rain that grows and dies, which the pictures \
                                   above do not.";
/// Where the radar cannot see.
pub const BLIND: &str = "The beam climbs with distance: drizzle and shallow showers may pass beneath it, \
                         and rain aloft may dry out before the ground.";
/// No radar service covers the place.
pub const NO_SERVICE: &str = "No radar service is set up for this place.";
/// It is too early for radar.
pub const TOO_EARLY: &str = "The radar says something from about four hours before the session on.";

/// A picture that was seen, by its age: "seen, 6 minutes old".
pub fn seen(valid_time: Timestamp, now: Timestamp) -> String {
    format!("seen, {}", age(valid_time, now))
}

/// A picture that is coming, by how far ahead it is: "expected, in 35 minutes".
pub fn coming(valid_time: Timestamp, now: Timestamp) -> String {
    let ahead = (valid_time.duration_since(now).as_secs_f64() / 60.0).round();
    if ahead < 1.0 {
        "expected by now".to_owned()
    } else {
        format!("expected, in {}", minutes(ahead))
    }
}

/// What a coming picture rests on: "told from the picture of 14:26, 6 minutes old".
pub fn told_from(newest: Timestamp, now: Timestamp, zone: &TimeZone) -> String {
    format!("told from the picture of {}, {}", clock(newest, zone), age(newest, now))
}
