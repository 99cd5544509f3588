//! The leave gate's page.

use fairspell_studio::Session;
use jiff::{Timestamp, tz::TimeZone};

use crate::{
    clock::{date_and_clock, moment},
    text::one_line,
};

/// Leads there.
pub const LINK: &str = "The leave gate: go, hold, the road, what to pack";
/// Keeps the ticks.
pub const KEEP: &str = "Keep what is in the car";
/// The evening is over.
pub const OVER: &str = "This evening is over: there is nothing left to leave for.";
/// The session has another date.
pub const MOVED: &str = "This session was moved: nobody leaves for this date.";

/// The heading: "Leaving for Linh, Thu 3 Sep, 15:15".
pub fn heading(session: &Session) -> String {
    format!("Leaving for {}, {}", one_line(&session.sitter), date_and_clock(session.start))
}

/// When this was looked at.
pub fn as_of(at: Timestamp, zone: &TimeZone) -> String {
    format!("As of {}.", moment(at, zone))
}

/// How much of the list is in the car: "12 of 31 are in the car".
pub fn packed(ticked: usize, all: usize) -> String {
    format!("{ticked} of {all} are in the car.")
}
