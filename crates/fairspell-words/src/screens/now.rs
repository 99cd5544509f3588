//! What needs her today.

use fairspell_studio::{Band, Gate, SourceState, outlook::SourceKind};
use jiff::{Timestamp, tz::TimeZone};

use crate::{
    clock::moment,
    names::{band_name, gate_name},
    sources::state_line,
    text::one_line,
};

/// The page's heading.
pub const HEADING: &str = "Now";
/// Evenings after it.
pub const AFTERWARDS: &str = "After that";
/// Answers that are waited for.
pub const ANSWERS: &str = "Answers";
/// How the sources stand.
pub const SOURCES: &str = "What we look at";
/// When she was last told.
pub const TOLD: &str = "When you were last told";
/// She has not been told anything yet.
pub const NEVER_TOLD: &str = "Nothing has had to be told yet.";
/// No channel has been set up.
pub const NO_CHANNEL: &str = "No way of telling you is set up yet; you would only see it here.";
/// Sets one up.
pub const SET_UP_TELLING: &str = "Choose how to be told";
/// There is no session to come.
pub const NO_SESSION: &str = "No session is to come.";
/// Makes one.
pub const NEW_SESSION: &str = "New session";
/// Nothing has to be decided.
pub const NOTHING_TO_DECIDE: &str = "Nothing has to be decided in the next 48 hours.";
/// Looks at all sources at once.
pub const LOOK_AGAIN: &str = "Look again";
/// To where it stands why a source is silent.
pub const WHY_WANTING: &str = "Why it is silent, and when it is asked again";
/// The services do not know yet whom to write to.
pub const NO_CONTACT: &str =
    "Weather services ask whom to write to: please give your e-mail address.";
/// Heads the list of what to decide.
pub const DECIDE: &str = "To decide";

/// A session with the hour of its start: "Thu 3 Sep, 15:15: Linh".
pub fn session_line(start: Timestamp, sitter: &str, zone: &TimeZone) -> String {
    format!("{}: {}", moment(start, zone), one_line(sitter))
}

/// What to decide by when: "By 14:30 (time to leave): Linh, watch".
pub fn decide_by(gate: &Gate, sitter: &str, band: Band, zone: &TimeZone) -> String {
    let (when, what) = (moment(gate.at, zone), gate_name(gate.kind));
    format!("By {when} ({what}): {}, {}", one_line(sitter), band_name(band))
}

/// As of when everything on the page is.
pub fn as_of(now: Timestamp, zone: &TimeZone) -> String {
    format!("As of {}", moment(now, zone))
}

/// How a source stands: "Radar: fresh; Coast Radar, as of Thu 3 Sep, 14:20."
///
/// In the words of [`source_state`](crate::source_state), with the day instead of the age: the page
/// stays open.
pub fn source(kind: SourceKind, state: &SourceState, zone: &TimeZone) -> String {
    state_line(kind, state, |source, issued| {
        format!("{}, as of {}", one_line(source), moment(issued, zone))
    })
}
