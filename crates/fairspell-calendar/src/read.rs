//! Bookings out of a file, whichever kind it is.

use fairspell_ground::Reading;
use jiff::tz::TimeZone;

use crate::{
    Booking, CalendarError, Remark, decode::decoded, events::bookings_of_calendar,
    lines::is_calendar, list::bookings_of_list,
};

/// The largest file that is read, bytes: 100 000 bookings of 160 bytes.
const LARGEST: usize = 16_000_000;

/// The most rows or events that are read.
pub(crate) const MOST: usize = 100_000;

/// Reads bookings out of a CSV or an iCalendar file, whichever the bytes are.
///
/// - `bytes`: the file. A CSV has a heading with the columns `name` (or `sitter`), `date` and
///   `start`, and may have `guardian`, `minutes`, `place`, `email`, `phone`, `looks` (with `;`
///   between them), `deadline` and `deadline_for`, in any order, between commas, semicolons or tabs,
///   in UTF-8, UTF-16 or Windows-1252. Of a calendar its events are read, with SUMMARY as the
///   sitter's name and the first ATTENDEE, else the ORGANIZER, as the guardian who is written to.
/// - `zone`: the studio's. It is the clock of hours that name no other.
///
/// What cannot be used is in `remarks`, with its row or event and the reason; it does not lose the
/// others. A day that can be read in two ways, a day without an hour, and an hour that a clock change
/// skips or repeats are left out, for nobody should be invited by a guess.
///
/// # Errors
///
/// A [`CalendarError`] for a file that is empty, too large, no text, or without these columns.
///
/// # Source
///
/// RFC 4180 (CSV), RFC 5545 (iCalendar), RFC 6868 (quotation marks in parameters).
pub fn read_bookings(
    bytes: &[u8],
    zone: &TimeZone,
) -> Result<Reading<Vec<Booking>, Remark>, CalendarError> {
    if bytes.len() > LARGEST {
        return Err(CalendarError::TooLarge { bytes: bytes.len(), most: LARGEST });
    }
    let text = decoded(bytes);
    if text.trim().is_empty() {
        return Err(CalendarError::Empty);
    }
    if is_calendar(&text) {
        return bookings_of_calendar(bytes, zone);
    }
    let heading = text.trim_start().lines().next().unwrap_or_default();
    if heading.chars().any(|c| c.is_control() && c != '\t' && c != '\r') {
        return Err(CalendarError::NotText);
    }
    bookings_of_list(&text, zone)
}
