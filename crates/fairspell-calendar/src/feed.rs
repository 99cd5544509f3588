//! The photographer's private calendar: her sessions, and an alarm at every gate.

use fairspell_studio::{Gate, GateKind, Session, Span, Spot, Studio, gate::plus_minutes};
use fairspell_words::calendar::{gate_title, session_title};
use jiff::{Timestamp, tz::TimeZone};

use crate::{
    plain::{cut, one_line},
    write::Writer,
};

/// How long a gate's entry is, minutes: long enough to be seen.
const GATE_MIN: u32 = 10;

/// How long before the time to leave it rings for the first time, as the format writes it.
const BEFORE_LEAVING: &str = "-PT15M";

/// How often programs should fetch the calendar, as the format writes it.
const REFRESH: &str = "PT15M";

/// What ends the UID of a gate's event, so that our reader knows it again.
const GATE_UID: &str = "@gate.fairspell";

/// The longest text in a calendar, characters.
const LONGEST: usize = 400;

/// One session with what the calendar shows of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Planned<'a> {
    /// The session.
    pub session: &'a Session,
    /// Its gates; those that have passed are not shown.
    pub gates: &'a [Gate],
    /// Where it stands, in one calm line.
    pub standing: &'a str,
}

/// The calendar that the photographer's telephone fetches.
///
/// An event for each session, and a short one with an alarm for each gate still ahead; before the
/// time to leave it rings a quarter of an hour early as well. Sitters are named, for the calendar
/// is hers alone; nobody's telephone, e-mail or road is in it.
///
/// - `now`: when the calendar was put together; later ones replace earlier ones.
/// - `name`: what programs call the calendar.
///
/// A session whose start the clocks skip or repeat is not shown; [`gates`](fairspell_studio::gates)
/// says so.
///
/// # Source
///
/// RFC 5545; for the name and the refresh interval RFC 7986, sections 5.1 and 5.7.
pub fn gates_calendar(
    studio: &Studio,
    zone: &TimeZone,
    planned: &[Planned<'_>],
    now: Timestamp,
    name: &str,
) -> String {
    let mut calendar = Writer::new();
    // NAME is younger than the standard: a program that does not know it learns that it is text.
    for key in ["NAME;VALUE=TEXT", "X-WR-CALNAME"] {
        calendar.text(key, &text(name));
    }
    calendar.value("REFRESH-INTERVAL;VALUE=DURATION", REFRESH);
    calendar.value("X-PUBLISHED-TTL", REFRESH);
    for Planned { session, gates, standing } in planned {
        let Ok(hours) = session.booked(zone) else { continue };
        calendar.component("VEVENT", |event| {
            session_lines(event, studio, session, hours, now);
            event.text("SUMMARY", &text(&session_title(&session.sitter)));
            event.text("DESCRIPTION", &text(standing));
        });
        for gate in gates.iter().filter(|gate| gate.at > now) {
            calendar.component("VEVENT", |event| gate_lines(event, session, *gate, now));
        }
    }
    calendar.finish()
}

/// A session's event with its hours and place, still without words.
///
/// Its UID is made of the session's id alone: the same in her calendar and the family's, whatever
/// else is changed about studio and session.
pub(crate) fn session_lines(
    event: &mut Writer,
    studio: &Studio,
    session: &Session,
    hours: Span,
    now: Timestamp,
) {
    event.text("UID", &format!("{}@session.fairspell", text(&session.id)));
    stamp(event, now);
    event.value("DTSTART", &utc(hours.from));
    event.value("DTEND", &utc(hours.to));
    if let Some(spot) = meeting_spot(studio, session) {
        let (lat, lon) = (spot.position.lat_deg(), spot.position.lon_deg());
        event.text("LOCATION", &text(&spot.name));
        event.value("GEO", &format!("{lat:.6};{lon:.6}"));
    }
}

/// Where the session begins: at its first look's spot.
pub(crate) fn meeting_spot<'a>(studio: &'a Studio, session: &Session) -> Option<&'a Spot> {
    session.looks.first().and_then(|look| studio.spot(&look.spot))
}

fn gate_lines(event: &mut Writer, session: &Session, gate: Gate, now: Timestamp) {
    let title = text(&gate_title(gate.kind, &session.sitter));
    event.text("UID", &format!("{}.{}{GATE_UID}", text(&session.id), uid_part(gate.kind)));
    stamp(event, now);
    event.value("DTSTART", &utc(gate.at));
    event.value("DTEND", &utc(plus_minutes(gate.at, GATE_MIN)));
    event.text("SUMMARY", &title);
    // A gate takes none of her time: it does not make her busy.
    event.value("TRANSP", "TRANSPARENT");
    let early = (gate.kind == GateKind::LeaveBy).then_some(BEFORE_LEAVING);
    for trigger in ["PT0S"].into_iter().chain(early) {
        event.component("VALARM", |alarm| {
            alarm.value("ACTION", "DISPLAY");
            alarm.value("TRIGGER", trigger);
            alarm.text("DESCRIPTION", &title);
        });
    }
}

fn uid_part(kind: GateKind) -> &'static str {
    match kind {
        GateKind::FirstWord => "first-word",
        GateKind::ArtistLimit => "artist-limit",
        GateKind::TwoDays => "two-days",
        GateKind::EveningReading => "evening-reading",
        GateKind::MorningReading => "morning-reading",
        GateKind::Chair => "chair",
        GateKind::LeaveBy => "leave-by",
        GateKind::Arrival => "arrival",
    }
}

/// Whether a UID is that of a gate in one of our own calendars.
pub(crate) fn is_gate(uid: &str) -> bool {
    uid.ends_with(GATE_UID)
}

/// When it was written, and which writing it is: minutes count up, and fit the format's integer
/// for four thousand years.
fn stamp(event: &mut Writer, now: Timestamp) {
    event.value("DTSTAMP", &utc(now));
    event.value("SEQUENCE", &now.as_second().div_euclid(60).max(0).to_string());
}

/// A moment as the format writes it: `20260903T051500Z`.
fn utc(moment: Timestamp) -> String {
    moment.strftime("%Y%m%dT%H%M%SZ").to_string()
}

/// A text as every calendar takes it: on one line, without control characters, not endless.
pub(crate) fn text(text: &str) -> String {
    cut(&one_line(text), LONGEST).0
}
