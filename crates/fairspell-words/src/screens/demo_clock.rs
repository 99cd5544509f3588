//! The clock of the invented studio.

use jiff::{Timestamp, tz::TimeZone};

use crate::clock::moment;

/// What the bar is called by those who hear the page.
pub const LABEL: &str = "The demo's clock";
/// Sets the clock to a moment typed in.
pub const SET: &str = "Set the clock";
/// The field for it.
pub const TO: &str = "Date and time";
/// Says what the bar is for.
pub const WHAT_FOR: &str = "Nothing that came later is known yet.";
/// The moment cannot be read.
pub const UNREADABLE: &str = "Please give a date and a time, such as 2026-09-03 14:30.";

/// The time that it shows.
pub fn it_is(now: Timestamp, zone: &TimeZone) -> String {
    format!("Here it is {}", moment(now, zone))
}

/// Goes on to a gate.
pub fn go_on_to(at: Timestamp, what: &str, zone: &TimeZone) -> String {
    format!("Go on to {}: {what}", moment(at, zone))
}
