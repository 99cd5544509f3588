//! Where forecasts, warnings and radar pictures come from.

use fairspell_studio::outlook::SourceKind;
use jiff::{Timestamp, tz::TimeZone};

use crate::{
    clock::moment,
    names::source_name,
    text::{capital, one_line},
};

/// The page's heading.
pub const HEADING: &str = "Sources";
/// How often, and what services are told.
pub const MEANS: &str = "Each source is asked no more often than it says, and only radar near a session. \
                         Services are told where you are only as exactly as stands here, and your \
                         contact address.";
/// There is none.
pub const NONE: &str =
    "No source is set up: nothing is fetched, and nothing can be called settled.";
/// Adds one.
pub const ADD: &str = "Add a source";
/// Heads the form for one.
pub const NEW_HEADING: &str = "A new source";
/// Heads the form for a known one.
pub const EDIT_HEADING: &str = "Change a source";
/// What it brings.
pub const KIND: &str = "What it brings";
/// Whose it is.
pub const SOURCE: &str = "Whose it is, as it stands beside every figure";
/// Where from.
pub const FROM: &str = "Address, or folder on this computer";
/// How it is written.
pub const FROM_HINT: &str = "An address begins with https:// and has {lat} and {lon} where the place \
                             goes. A folder is given with its whole path; another program puts the files \
                             there.";
/// How often.
pub const MINUTES: &str = "Asked every so many minutes at the most";
/// How exact the place is.
pub const DECIMALS: &str = "Decimals of the coordinates that it is told";
/// What that means.
pub const DECIMALS_HINT: &str = "Two are about a kilometre, four about ten metres. Many services ask \
                                 for at most four.";
/// Pauses.
pub const PAUSE: &str = "Pause";
/// Goes on.
pub const RESUME: &str = "Go on asking";
/// It is paused.
pub const PAUSED: &str = "Paused: it is not asked.";
/// The demo fetches nothing.
pub const DEMO: &str = "The demo fetches nothing; its readings lie in its folder.";
/// Opens the question.
pub const REMOVE: &str = "Remove";
/// The question.
pub const REMOVE_MEANS: &str = "It is no longer asked. What it brought so far stays.";
/// Removes.
pub const REMOVE_YES: &str = "Remove this source";
/// Which services there are.
pub const COVERS: &str = "What is to be had here";
/// What it means.
pub const COVERS_MEANS: &str = "Where a service is to be had, nothing is called settled while it is \
                                silent. Where none is, every ruling says what you have to look up \
                                yourself.";
/// The official warnings are read.
pub const COVERS_WARNINGS: &str = "Official warnings are read here";
/// The radar is read.
pub const COVERS_RADAR: &str = "Radar pictures are read here";
/// No kind was chosen.
pub const KIND_WRONG: &str = "Please choose one.";
/// No name.
pub const SOURCE_WRONG: &str = "Please say whose it is.";
/// Neither address nor folder.
pub const FROM_WRONG: &str = "Please give an address that begins with https:// or http://, or a folder \
                              with its whole path.";
/// A password in the address.
pub const FROM_PASSWORD: &str = "An address must not hold a user name or a password: it stands in logs \
                                 and on this page.";
/// No number of minutes.
pub const MINUTES_WRONG: &str = "Please give whole minutes, from 1 to 1440.";
/// No number of decimals.
pub const DECIMALS_WRONG: &str = "Please give a whole number from 0 to 4.";
/// A service wants to know whom it deals with.
pub const NO_CONTACT: &str = "No contact address is set; some services send nothing without one. It stands \
                              under Name and place.";

/// A source in the list: "Forecast: MET Norway".
pub fn source(kind: SourceKind, source: &str) -> String {
    format!("{}: {}", kind_name(kind), one_line(source))
}

/// What a source brings.
pub fn kind_name(kind: SourceKind) -> String {
    capital(source_name(kind))
}

/// How often, how exactly.
pub fn terms(every_min: u32, decimals: Option<u8>) -> String {
    let often = if every_min == 1 {
        "Every minute at the most".to_owned()
    } else {
        format!("Every {every_min} minutes at the most")
    };
    match decimals {
        None => often,
        Some(1) => format!("{often}; coordinates cut to 1 decimal"),
        Some(decimals) => format!("{often}; coordinates cut to {decimals} decimals"),
    }
}

/// When it was last fetched.
pub fn last_fetched(at: Option<Timestamp>, zone: &TimeZone) -> String {
    at.map_or_else(
        || "Nothing has come from it yet".to_owned(),
        |at| format!("Last fetched {}", moment(at, zone)),
    )
}

/// When it is asked next.
pub fn next_try(at: Timestamp, zone: &TimeZone) -> String {
    format!("Next try not before {}", moment(at, zone))
}

/// What went wrong last.
pub fn last_error(at: Timestamp, why: &str, is_over: bool, zone: &TimeZone) -> String {
    let since = if is_over { ", and has worked since" } else { "" };
    format!("Went wrong {}{since}: {}", moment(at, zone), one_line(why))
}

/// It stands in for another one.
pub fn stands_in_for(source: &str) -> String {
    format!("Asked only while {} does not answer for this place", one_line(source))
}
