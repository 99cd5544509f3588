//! Intervals of ISO 8601, and the hours in them.

use jiff::{SignedDuration, Span, Timestamp};

/// One hour.
pub(crate) const HOUR: SignedDuration = SignedDuration::from_hours(1);

/// Longer than any forecast; an interval beyond it is a mistake, and would fill the memory.
const HOURS_MAX: i64 = 31 * 24;

/// Reads `start/duration`, `start/end` or `duration/end`. Days are 24 hours, as the times are in UTC.
///
/// `None` for anything else, for an interval that does not ascend, and for one longer than 31 days.
pub(crate) fn parse(text: &str) -> Option<(Timestamp, Timestamp)> {
    let (first, second) = text.trim().split_once('/')?;
    let (from, to) = match (first.starts_with(['P', 'p']), second.starts_with(['P', 'p'])) {
        (false, false) => (first.parse().ok()?, second.parse().ok()?),
        (false, true) => {
            let from: Timestamp = first.parse().ok()?;
            (from, from.checked_add(duration(second)?).ok()?)
        }
        (true, false) => {
            let to: Timestamp = second.parse().ok()?;
            (to.checked_sub(duration(first)?).ok()?, to)
        }
        (true, true) => return None,
    };
    is_usable(from, to).then_some((from, to))
}

/// Whether a period ascends and is of a length that a forecast can have.
pub(crate) fn is_usable(from: Timestamp, to: Timestamp) -> bool {
    from < to && to.duration_since(from) <= SignedDuration::from_hours(HOURS_MAX)
}

fn duration(text: &str) -> Option<SignedDuration> {
    let span: Span = text.parse().ok()?;
    if span.get_years() != 0 || span.get_months() != 0 {
        return None;
    }
    span.to_duration(jiff::SpanRelativeTo::days_are_24_hours()).ok()
}

/// The pieces of an hour each that a period is made of, counted from its start; the last may be
/// shorter.
pub(crate) fn hours(from: Timestamp, to: Timestamp) -> Vec<(Timestamp, Timestamp)> {
    pieces(from, to, HOUR)
}

/// The pieces of a length that a period is made of, counted from its start; the last may be shorter.
pub(crate) fn pieces(
    from: Timestamp,
    to: Timestamp,
    length: SignedDuration,
) -> Vec<(Timestamp, Timestamp)> {
    let mut pieces = Vec::new();
    let mut at = from;
    while at < to {
        let next = at.checked_add(length).unwrap_or(to).min(to);
        pieces.push((at, next));
        at = next;
    }
    pieces
}
