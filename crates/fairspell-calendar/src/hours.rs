//! Hours that come exactly once.

use jiff::{
    Timestamp, civil,
    tz::{AmbiguousOffset, TimeZone},
};

use crate::About;

/// The moment of an hour on a wall clock.
///
/// # Errors
///
/// [`About::HourSkipped`] and [`About::HourRepeated`] for an hour that a clock change takes out or
/// brings twice. (RFC 5545, section 3.3.5, would take the offset before a gap and the first of two;
/// nobody should be invited to such a time.)
pub(crate) fn moment(start: civil::DateTime, zone: &TimeZone) -> Result<Timestamp, About> {
    let ambiguous = zone.to_ambiguous_timestamp(start);
    match ambiguous.offset() {
        AmbiguousOffset::Unambiguous { .. } => {}
        AmbiguousOffset::Gap { .. } => return Err(About::HourSkipped(start)),
        AmbiguousOffset::Fold { .. } => return Err(About::HourRepeated(start)),
    }
    ambiguous.compatible().map_err(|_| About::HourUnusable(start.to_string()))
}
