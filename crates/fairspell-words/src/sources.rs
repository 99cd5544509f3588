//! How the sources stand, with their ages.

use fairspell_studio::outlook::{SourceKind, SourceState};
use jiff::{Timestamp, tz::TimeZone};

use crate::{
    clock::{age, as_of},
    names::source_name,
    text::{capital, one_line},
};

/// How one source stands, as a line: "Radar: fresh; Coast Radar, as of 14:26 (4 minutes old)."
///
/// Where no service is read it says what she has to look up herself. Warnings carry the time of
/// the last look at the list, not of a warning.
pub fn source_state(
    kind: SourceKind,
    state: &SourceState,
    now: Timestamp,
    zone: &TimeZone,
) -> String {
    state_line(kind, state, |source, issued| {
        let (source, age) = (one_line(source), age(issued, now));
        format!("{source}, {} ({age})", as_of(issued, now, zone))
    })
}

/// The line, its source dated as `dated` says.
pub(crate) fn state_line(
    kind: SourceKind,
    state: &SourceState,
    dated: impl Fn(&str, Timestamp) -> String,
) -> String {
    let state = match state {
        SourceState::Fresh { source, issued } => format!("fresh; {}", dated(source, *issued)),
        SourceState::Stale { source, issued } => {
            format!("too old to rely on; {}", dated(source, *issued))
        }
        SourceState::NotCovering { source } => {
            format!("{} does not speak of these hours or this place", one_line(source))
        }
        SourceState::Missing => "missing, so not known".to_owned(),
        SourceState::NoneHere => format!("none is read for this place; {}", by_hand(kind)),
        SourceState::NotYet => "not looked at yet, the session is too far off".to_owned(),
    };
    format!("{}: {state}.", capital(source_name(kind)))
}

/// What she looks up herself where no service is read.
pub(crate) fn by_hand(kind: SourceKind) -> &'static str {
    match kind {
        SourceKind::Forecast => "read your weather service's hourly forecast yourself",
        SourceKind::Warnings => {
            "look at your weather service's warnings yourself, for spot and road"
        }
        SourceKind::Radar => "look at a radar loop and at the sky yourself before you leave",
    }
}
