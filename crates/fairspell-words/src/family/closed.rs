//! What stands there when there is nothing to choose, or no longer.

use jiff::{Timestamp, civil::DateTime, tz::TimeZone};

use super::by_name;
use crate::{
    clock::{date_and_clock, moment},
    text::capital,
};

/// Over the page of a link that was altered, has ended, or never was one.
///
/// All of them get the same page, without a name or a date: whoever guesses at links learns nothing.
pub const BAD_LINK_TITLE: &str = "This link doesn't work";

/// On that page.
pub const BAD_LINK: &str = "It may be incomplete, or its time is over. Nothing was noted. Please \
                            open the newest message from your photographer, or phone.";

/// On the way to the newer letter, where it may be shown.
pub const NEWER_LETTER: &str = "Read the newer letter";

/// Over a letter that a newer one has replaced.
///
/// - `newer`: when the newer one was sent.
pub fn replaced(owner: &str, newer: Timestamp, zone: &TimeZone) -> String {
    format!(
        "{} has written again since, on {}. This letter no longer counts; please answer the newer one.",
        capital(&by_name(owner)),
        moment(newer, zone)
    )
}

/// Over the choices once the time to answer has passed.
pub fn time_has_passed(reply_by: Timestamp, owner: &str, zone: &TimeZone) -> String {
    format!(
        "The time to answer passed on {}. You can still answer; it is noted as late. Please phone {} \
         as well.",
        moment(reply_by, zone),
        by_name(owner)
    )
}

/// Instead of the choices once the session has begun.
///
/// - `start`: the session's, by the studio's clock.
pub fn begun(start: DateTime, owner: &str) -> String {
    format!(
        "This session began on {}. Once we begin, we finish, so there is nothing left to choose here; \
         for anything else please phone {}.",
        date_and_clock(start),
        by_name(owner)
    )
}

/// The session has another date since: there is nothing left to choose for this one.
pub fn moved(start: DateTime, owner: &str) -> String {
    format!(
        "This session has a new date: {}. There is nothing left to choose here; for anything else \
         please phone {}.",
        date_and_clock(start),
        by_name(owner)
    )
}

/// An answer could not be kept.
pub const NOT_NOTED: &str = "Your answer was not noted";

/// What to do when an answer could not be kept.
pub fn phone_instead(owner: &str) -> String {
    format!("Something went wrong on our side. Please try once more, or phone {}.", by_name(owner))
}
