//! Which periods a chance of the US service speaks of.

use jiff::{SignedDuration, Timestamp};

use crate::interval::{HOUR, hours, pieces};

const SIX_HOURS: SignedDuration = SignedDuration::from_hours(6);

/// The periods that one figure, given for a stretch of time, was made for.
///
/// The service makes its chances for one, three, six or twelve hours and then merges neighbours that
/// are equal. So a stretch
///
/// - of 1, 3, 6 or 12 hours is taken at its word;
/// - of 2, 4 or 5 hours is one-hour figures that were merged, or a longer one cut; it is taken as
///   hours, which errs towards rain;
/// - of a longer multiple of 6 hours is six-hour figures that were merged. (They may have been
///   twelve-hour ones; six errs towards rain.)
/// - of any other length is cut at 00, 06, 12 and 18 UTC, where the service's longer periods begin and
///   end, and each part is then treated as above.
///
/// # Source
///
/// Our choice, after the lengths in 26 grid documents captured from the service: six hours 363 times,
/// one hour 183, twelve 49, three 25, two 11, others few.
pub(crate) fn periods_meant(from: Timestamp, to: Timestamp) -> Vec<(Timestamp, Timestamp)> {
    let length = to.duration_since(from);
    let whole_hours = length.as_hours();
    if length != SignedDuration::from_hours(whole_hours) {
        return vec![(from, to)];
    }
    match whole_hours {
        1 | 3 | 6 | 12 => vec![(from, to)],
        2 | 4 | 5 => hours(from, to),
        multiple if multiple % 6 == 0 => pieces(from, to, SIX_HOURS),
        _ => {
            at_marks(from, to).into_iter().flat_map(|(from, to)| periods_meant(from, to)).collect()
        }
    }
}

/// A period cut at 00, 06, 12 and 18 UTC.
fn at_marks(from: Timestamp, to: Timestamp) -> Vec<(Timestamp, Timestamp)> {
    let since_mark = from.as_second().rem_euclid(SIX_HOURS.as_secs());
    let until_mark = SIX_HOURS - SignedDuration::from_secs(since_mark);
    match from.checked_add(until_mark) {
        Ok(mark) if mark < to => {
            let mut parts = vec![(from, mark)];
            parts.extend(pieces(mark, to, SIX_HOURS));
            parts
        }
        _ => hours(from, to),
    }
}

/// A period as listed by the hour, with what is listed for it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Listed<T> {
    pub(crate) from: Timestamp,
    pub(crate) to: Timestamp,
    pub(crate) value: T,
}

impl<T> Listed<T> {
    /// The same period with something made of its value.
    pub(crate) fn map<U>(self, make: impl FnOnce(T) -> U) -> Listed<U> {
        Listed { from: self.from, to: self.to, value: make(self.value) }
    }
}

/// Runs of neighbouring hours with the same figure.
///
/// The hourly list repeats the figure of the interval that an hour lies in, so a run is that interval
/// again.
pub(crate) fn runs<T: PartialEq + Copy>(listed: &[Listed<T>]) -> Vec<Listed<T>> {
    let mut runs: Vec<Listed<T>> = Vec::new();
    for hour in listed {
        match runs.last_mut() {
            Some(run)
                if run.to == hour.from
                    && run.value == hour.value
                    && hour.to.duration_since(hour.from) == HOUR =>
            {
                run.to = hour.to;
            }
            _ => runs.push(*hour),
        }
    }
    runs
}
