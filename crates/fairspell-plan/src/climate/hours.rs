//! The hours of a record that overlap a span of time: wet, dry, or not known.

use fairspell_weather::observed::HourRain;
use jiff::{SignedDuration, Timestamp};

use super::WET_MM;

/// How long an hour of a record is.
pub(super) const HOUR: SignedDuration = SignedDuration::from_hours(1);

/// The hours of a record that overlap a span of time.
pub(super) struct Hours<'a> {
    within: &'a [HourRain],
    from: Timestamp,
    to: Timestamp,
}

impl<'a> Hours<'a> {
    pub(super) fn during(hours: &'a [HourRain], from: Timestamp, to: Timestamp) -> Self {
        let begin = hours.partition_point(|hour| from.duration_since(hour.from) >= HOUR);
        let end = hours.partition_point(|hour| hour.from < to).max(begin);
        Hours { within: &hours[begin..end], from, to }
    }

    /// Whether some hour was wet; `None` with a missing hour, even beside a wet one: a record with holes
    /// could only ever be found wet, and its counts would be too wet by that.
    pub(super) fn wet(&self) -> Option<bool> {
        let is_wet = |hour: &HourRain| hour.amount_mm.is_some_and(|mm| mm >= WET_MM);
        self.is_whole().then(|| self.within.iter().any(is_wet))
    }

    /// Whether every minute of the span has an amount.
    fn is_whole(&self) -> bool {
        let ends = self.within.first().zip(self.within.last());
        ends.is_some_and(|(first, last)| {
            first.from <= self.from && self.to.duration_since(last.from) <= HOUR
        }) && self.within.iter().all(|hour| hour.amount_mm.is_some())
            && self.within.windows(2).all(|pair| pair[1].from.duration_since(pair[0].from) == HOUR)
    }

    /// The longest dry stretch within the span; `None` where an hour is missing.
    pub(super) fn longest_dry(&self) -> Option<SignedDuration> {
        let (mut longest, mut run) = (SignedDuration::ZERO, SignedDuration::ZERO);
        for hour in self.is_whole().then_some(self.within)? {
            let end = hour.from.checked_add(HOUR).unwrap_or(Timestamp::MAX);
            let within = end.min(self.to).duration_since(hour.from.max(self.from));
            let is_dry = hour.amount_mm.is_some_and(|mm| mm < WET_MM);
            run = if is_dry { run + within } else { SignedDuration::ZERO };
            longest = longest.max(run);
        }
        Some(longest)
    }
}
