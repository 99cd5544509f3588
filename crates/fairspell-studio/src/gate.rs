//! The moments by which somebody has to decide.

use jiff::{SignedDuration, Timestamp, ToSpan, tz::TimeZone};
use serde::{Deserialize, Serialize};

use crate::{Session, SessionError, Studio};

/// Which moment it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum GateKind {
    /// A week ahead: the first calm line, if one is needed.
    FirstWord,
    /// The last moment at which the artist's time is given back free.
    ArtistLimit,
    /// 48 hours ahead: from here on the chance of rain is worth a ruling.
    TwoDays,
    /// The evening before.
    EveningReading,
    /// The morning of the day.
    MorningReading,
    /// Hair and make-up begin: from here on money is sunk.
    Chair,
    /// She has to drive off.
    LeaveBy,
    /// The start, on the spot.
    Arrival,
}

/// A moment after which somebody's money or time is gone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Gate {
    /// Which.
    pub kind: GateKind,
    /// When.
    pub at: Timestamp,
}

/// All gates of a session, in order of time.
///
/// A gate that would come after the start (the morning reading of a dawn session) is not there, and
/// the artist's limit only where the artist comes. An hour of the readings that a clock change skips
/// or repeats is taken as `jiff` disambiguates it: at most an hour off, and nobody is invited to it.
///
/// # Errors
///
/// A [`SessionError`] for a start that does not exist or comes twice.
pub fn gates(
    studio: &Studio,
    zone: &TimeZone,
    session: &Session,
) -> Result<Vec<Gate>, SessionError> {
    let policy = &studio.policy;
    let start = session.booked(zone)?.from;
    let chair = minus_minutes(start, session.chair_before_start_min);
    let leave_before = session.drive.minutes + policy.arrive_before_min;
    let day = session.start.date();
    let on_the_clock = |date: jiff::civil::Date, time: jiff::civil::Time| {
        zone.to_timestamp(date.to_datetime(time)).ok()
    };
    let hours_before = |moment: Timestamp, hours: u32| minus_minutes(moment, 60 * hours);
    let artist_limit = studio
        .artist
        .as_ref()
        .filter(|_| session.with_artist)
        .map(|artist| hours_before(chair, artist.free_change_h));
    let evening_before = day.checked_sub(1.day()).ok();
    let mut gates: Vec<Gate> = [
        (GateKind::FirstWord, Some(hours_before(start, 7 * 24))),
        (GateKind::ArtistLimit, artist_limit),
        (GateKind::TwoDays, Some(hours_before(start, 48))),
        (
            GateKind::EveningReading,
            evening_before.and_then(|date| on_the_clock(date, policy.evening_reading)),
        ),
        (GateKind::MorningReading, on_the_clock(day, policy.morning_reading)),
        (GateKind::Chair, Some(chair)),
        (GateKind::LeaveBy, Some(minus_minutes(start, leave_before))),
        (GateKind::Arrival, Some(start)),
    ]
    .into_iter()
    .filter_map(|(kind, at)| at.map(|at| Gate { kind, at }))
    .filter(|gate| gate.at <= start)
    .collect();
    gates.sort_by_key(|gate| (gate.at, gate.kind));
    Ok(gates)
}

/// The first gate that lies after a moment.
pub fn next_gate(gates: &[Gate], as_of: Timestamp) -> Option<Gate> {
    gates.iter().copied().find(|gate| gate.at > as_of)
}

/// The last moment at which leaving still gives the rescue set its minutes before the light goes.
pub fn latest_leave(session: &Session, rescue_set_min: u32, last_usable: Timestamp) -> Timestamp {
    minus_minutes(last_usable, rescue_set_min + session.drive.minutes)
}

/// The next full quarter of an hour at least `minutes` after a moment: a time to say aloud.
pub fn quarter_after(moment: Timestamp, minutes: u32) -> Timestamp {
    let earliest = plus_minutes(moment, minutes).as_second();
    let quarter = 15 * 60;
    let second = earliest.div_euclid(quarter) * quarter;
    let second = if second < earliest { second + quarter } else { second };
    Timestamp::from_second(second).unwrap_or(moment)
}

/// A moment so many minutes later; at the ends of time it stays there.
pub fn plus_minutes(from: Timestamp, minutes: u32) -> Timestamp {
    from.checked_add(SignedDuration::from_mins(minutes.into())).unwrap_or(Timestamp::MAX)
}

/// A moment so many minutes earlier; at the ends of time it stays there.
pub fn minus_minutes(from: Timestamp, minutes: u32) -> Timestamp {
    from.checked_sub(SignedDuration::from_mins(minutes.into())).unwrap_or(Timestamp::MIN)
}
