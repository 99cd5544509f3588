//! Moments as a place's clock says them, and zones by their names.

use anyhow::{Context, Result};
use jiff::{Timestamp, civil::DateTime, tz::TimeZone};

/// RFC 3339 with the offset that the zone has then.
pub(crate) fn local(at: Timestamp, zone: &TimeZone) -> String {
    at.to_zoned_datetime(zone.clone()).strftime("%Y-%m-%dT%H:%M:%S%:z").to_string()
}

/// A zone of the IANA database, for an argument.
pub(crate) fn zone_named(name: &str) -> Result<TimeZone, String> {
    let named = TimeZone::get(name);
    named.map_err(|_| format!("`{name}` is no time zone, such as Australia/Sydney or Europe/Oslo"))
}

/// A moment as somebody types it: with its offset, or by the zone's clock.
pub(crate) fn moment(text: &str, zone: &TimeZone) -> Result<Timestamp> {
    if let Ok(at) = text.parse::<Timestamp>() {
        return Ok(at);
    }
    let wall: DateTime = text.parse().with_context(|| {
        format!("`{text}` is no time, such as 2026-09-03T17:05 or 2026-09-03T17:05+10:00")
    })?;
    let ambiguous = zone.to_ambiguous_timestamp(wall);
    ambiguous.unambiguous().with_context(|| {
        format!("{wall} does not come, or comes twice, on that day; write it with its offset")
    })
}
