//! One session: the sky, where we stand and why, letters, looks.

use fairspell_studio::{Gate, Session};
use jiff::{Timestamp, civil, tz::TimeZone};

use crate::{
    clock::{date_and_clock, moment},
    names::gate_name,
    text::{capital, one_line},
};

/// Where we stand and why.
pub const WHERE_WE_STAND: &str = "Where we stand";
/// The figures of the sky.
pub const THE_SKY: &str = "The sky";
/// The evening as a table.
pub const AS_TABLE: &str = "The evening as a table";
/// The letter to the family.
pub const LETTER: &str = "The letter";
/// What is worn where.
pub const LOOKS: &str = "Looks";
/// By when to decide.
pub const GATES: &str = "Decide by";
/// The radar's page.
pub const RADAR: &str = "The radar, with what is likely to come";
/// The letter's page.
pub const OPEN_LETTER: &str = "Read and send the letter";
/// What could not be read.
pub const REMARKS: &str = "What could not be read";
/// Who comes.
pub const PEOPLE: &str = "Who comes";
/// No letter was sent yet.
pub const NO_LETTER_SENT: &str = "No letter has gone out yet.";
/// A gate that lies behind.
pub const PASSED: &str = "passed";
/// The session was moved.
pub const MOVED: &str = "This session was moved.";
/// Before a letter can be written.
pub const NAME_FIRST: &str = "Write down who comes, before you write a letter";
/// To the session it was moved to.
pub const TO_NEW_DATE: &str = "To its new date";
/// The session was moved from an earlier date.
pub const FROM_OLD_DATE: &str = "To the date it was moved from";
/// Drops show on a look.
pub const SHOWS_DROPS: &str = "shows drops";
/// Water marks a look for good.
pub const MARKS_FOR_GOOD: &str = "water marks it for good";
/// Where each look goes well.
pub const PAIRINGS: &str = "Where the colours go well";
/// The evening is over.
pub const OVER: &str = "This evening is over. Below is what was known last.";
/// The columns of the table.
pub const TABLE: [&str; 4] = ["From", "To", "What", "Particulars"];
/// What its rows are called: rain, light, gaps, danger, moments, looks, and how sure a look is.
pub const TABLE_ROWS: [&str; 8] =
    ["rain", "light", "dry gap", "danger", "moment", "look", "decided", "proposed"];
/// To all of the session's record.
pub const CHANGE: &str = "Change this session";

/// Why nothing can be said of a session's sky.
///
/// - `why`: a phrase of the program's.
pub fn unseen(why: &str) -> String {
    format!(
        "This sky cannot be looked at: {}. Nothing is known of it, and nothing is lost.",
        one_line(why)
    )
}

/// The heading: "Linh, Thu 3 Sep, 15:15".
pub fn heading(session: &Session) -> String {
    format!("{}, {}", one_line(&session.sitter), date_and_clock(session.start))
}

/// Who it is with: "With Quoc, 110 minutes, 15 minutes to drive".
pub fn particulars(session: &Session) -> String {
    let (minutes, drive) = (session.duration_min, session.drive.minutes);
    match one_line(&session.guardian) {
        guardian if guardian.is_empty() => format!("{minutes} minutes, {drive} minutes to drive"),
        guardian => format!("With {guardian}, {minutes} minutes, {drive} minutes to drive"),
    }
}

/// A gate with its hour.
pub fn gate(gate: &Gate, zone: &TimeZone) -> String {
    format!("{}: {}", moment(gate.at, zone), gate_name(gate.kind))
}

/// A look with its spot: "Sage satin at Cannery Arcade".
pub fn look(name: &str, spot: &str) -> String {
    capital(&format!("{} at {}", one_line(name), one_line(spot)))
}

/// Moves the session: "Move to Sun 6 Sep, 15:20".
pub fn move_to(start: civil::DateTime) -> String {
    format!("Move the session to {}", date_and_clock(start))
}

/// When a letter went out.
pub fn sent(at: Timestamp, subject: &str, zone: &TimeZone) -> String {
    format!("{}: {}", moment(at, zone), one_line(subject))
}
