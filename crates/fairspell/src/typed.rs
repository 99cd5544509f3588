//! What people type after a command, read with a word about what would be right.

use jiff::{
    Timestamp,
    civil::{Date, Time},
};

/// A date: "2026-09-03".
pub(crate) fn date(text: &str) -> Result<Date, String> {
    text.parse().map_err(|_| "write a date that is in the calendar, such as 2026-09-03".to_owned())
}

/// A time by the clock: "16:30".
pub(crate) fn time(text: &str) -> Result<Time, String> {
    text.parse().map_err(|_| "write a time from 00:00 to 23:59, such as 16:30".to_owned())
}

/// A name without the blanks around it, as it stands in a list with commas.
#[expect(clippy::unnecessary_wraps, reason = "the shape that the reader of commands asks for")]
pub(crate) fn trimmed(text: &str) -> Result<String, String> {
    Ok(text.trim().to_owned())
}

/// A moment: "2026-09-03T04:30:00Z".
pub(crate) fn moment(text: &str) -> Result<Timestamp, String> {
    text.parse().map_err(|_| {
        "write a moment with its distance from Greenwich, such as 2026-09-03T04:30:00Z or \
         2026-09-03T14:30+10:00"
            .to_owned()
    })
}
