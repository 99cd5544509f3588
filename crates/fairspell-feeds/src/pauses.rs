//! How long a feed is left alone.

use jiff::{SignedDuration, Timestamp};

use crate::http_time::later;

/// A feed that fails again and again is asked at least this often, unless it wants less: somebody
/// may be waiting for it.
const BACK_OFF_MAX: SignedDuration = SignedDuration::from_hours(1);

/// How long a service that does not cover the place is left alone.
const NOT_COVERING_FOR: SignedDuration = SignedDuration::from_hours(24);

/// Spreads what many programs ask: up to so much is added to a pause.
const SPREAD_MAX: SignedDuration = SignedDuration::from_secs(60);

/// A time to come back that lies farther ahead than this was set by a clock that was wrong.
pub(crate) const CLOCK_WRONG_FROM: SignedDuration = SignedDuration::from_hours(26);

/// The time to come back, if it still lies ahead and can be believed.
pub(crate) fn still_ahead(next_at: Option<Timestamp>, now: Timestamp) -> Option<Timestamp> {
    next_at.filter(|next_at| *next_at > now && *next_at <= later(now, CLOCK_WRONG_FROM))
}

/// How long a feed is left alone after each outcome.
pub(crate) struct Pauses {
    pub(crate) every_min: u32,
    pub(crate) now: Timestamp,
    pub(crate) jitter: f64,
}

impl Pauses {
    fn every(&self) -> SignedDuration {
        SignedDuration::from_mins(i64::from(self.every_min.max(1)))
    }

    /// Never before what was sent has expired, nor sooner than the feed allows.
    pub(crate) fn after_success(&self, expires: Option<Timestamp>) -> Timestamp {
        let earliest = later(self.now, self.every());
        self.spread(expires.map_or(earliest, |expires| expires.max(earliest)))
    }

    /// Long: a service does not grow over night.
    pub(crate) fn where_not_covered(&self) -> Timestamp {
        self.spread(later(self.now, NOT_COVERING_FOR))
    }

    /// Twice as long after each failure, up to a bound; longer where the service says so.
    pub(crate) fn after_failure(&self, failures: u32, come_back: Option<Timestamp>) -> Timestamp {
        let most = BACK_OFF_MAX.max(self.every());
        let doublings = failures.saturating_sub(1).min(10);
        let pause = self.every().saturating_mul(1 << doublings).min(most);
        let spread = pause.as_secs_f64() / 4.0 * self.jitter();
        let at = later(later(self.now, pause), SignedDuration::from_secs_f64(spread));
        come_back.map_or(at, |come_back| self.spread(at.max(come_back)))
    }

    fn spread(&self, at: Timestamp) -> Timestamp {
        let most = (self.every() / 10).min(SPREAD_MAX);
        later(at, SignedDuration::from_secs_f64(most.as_secs_f64() * self.jitter()))
    }

    fn jitter(&self) -> f64 {
        if self.jitter.is_finite() { self.jitter.clamp(0.0, 1.0) } else { 0.0 }
    }
}
