//! All sessions, the evenings kept free, and bookings that come in from elsewhere.

use jiff::civil;

use crate::{
    clock::{date, date_and_clock},
    text::one_line,
};

/// The page's heading.
pub const HEADING: &str = "Season";
/// Begins a session.
pub const NEW: &str = "New session";
/// Leads to the import.
pub const IMPORT: &str = "Import bookings";
/// There is no session.
pub const NO_SESSION: &str = "No session is here yet.";
/// Evenings that are kept free.
pub const RESERVE: &str = "Kept free for weather";
/// None is left.
pub const NO_RESERVE: &str = "No reserve evening is free in the next six weeks.";
/// Leads to the week's pattern.
pub const TO_WEEK: &str = "Working and reserve days";
/// An evening that lies behind.
pub const OVER: &str = "over";
/// A date that is moved away from.
pub const MOVED_TO: &str = "Moved to";

/// The import's heading.
pub const IMPORT_HEADING: &str = "Import bookings";
/// What can be read.
pub const IMPORT_MEANS: &str = "A spreadsheet saved as CSV, or a calendar saved as ICS. Nothing is \
                                saved before you have seen what it makes.";
/// The columns of a spreadsheet.
pub const IMPORT_COLUMNS: &str = "A spreadsheet needs a heading with the columns name, date and start. \
                                  It may also have guardian, minutes, place, email, phone, looks (with \
                                  ; between them), deadline and deadline_for. Dates are safest as \
                                  2026-09-03.";
/// The file's field.
pub const FILE: &str = "The file";
/// Shows what it makes.
pub const LOOK: &str = "Show what it makes";
/// No file was chosen.
pub const NO_FILE: &str = "Please choose a file.";
/// The preview's heading.
pub const PREVIEW: &str = "What it makes";
/// Nothing came of it.
pub const NOTHING: &str = "Nothing in this file makes a new session.";
/// What could not be used.
pub const REMARKS: &str = "What you should know";
/// Saves.
pub const CONFIRM: &str = "Import these";
/// Goes back to the choice.
pub const OTHER_FILE: &str = "Choose another file";
/// The studio has no spot yet.
pub const NO_SPOT: &str =
    "Sessions need a spot to stand at. Add one under Places first, then import.";

/// The file is larger than a page can carry.
pub fn too_large(most_mb: usize) -> String {
    format!(
        "That file is larger than {most_mb} MB. Save a shorter stretch of it, or import it on the \
         computer itself: fairspell import bookings FILE --data FOLDER."
    )
}

/// Why a file cannot be read at all.
pub fn unreadable(why: &str) -> String {
    format!("This file cannot be used: {why}. Nothing was saved.")
}

/// A month: "September 2026".
pub fn month(date: civil::Date) -> String {
    date.strftime("%B %Y").to_string()
}

/// An evening that is kept free: "Sun 6 Sep".
pub fn reserve(evening: civil::Date) -> String {
    date(evening)
}

/// A session in the list: "Thu 3 Sep, 15:15: Linh".
pub fn session(start: civil::DateTime, sitter: &str) -> String {
    format!("{}: {}", date_and_clock(start), one_line(sitter))
}

/// A session that would be made: "Thu 3 Sep 2026, 15:15, 110 minutes: Linh, with Quoc".
pub fn made(start: civil::DateTime, minutes: u32, sitter: &str, guardian: &str) -> String {
    let when = start.strftime("%a %-d %b %Y, %H:%M");
    let (sitter, guardian) = (one_line(sitter), one_line(guardian));
    let with = if sitter == guardian { String::new() } else { format!(", with {guardian}") };
    format!("{when}, {minutes} minutes: {sitter}{with}")
}

/// How many would be made: "3 sessions and 5 people will be made."
pub fn count(sessions: usize, people: usize) -> String {
    let sessions =
        if sessions == 1 { "1 session".to_owned() } else { format!("{sessions} sessions") };
    let people = if people == 1 { "1 person".to_owned() } else { format!("{people} people") };
    format!("{sessions} and {people} will be made. Nothing is saved yet.")
}
