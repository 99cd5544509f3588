//! Finding the moments at which something about the sun changes.

use fairspell_ground::LatLon;
use jiff::{SignedDuration, Timestamp, civil::Date, civil::DateTime, tz::TimeZone};

/// A stretch of time, in milliseconds since 1970.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Stretch {
    from_ms: i64,
    until_ms: i64,
}

/// The equation of time never exceeds 16.5 minutes: by so much the sun's highest and lowest points
/// can be off the mean ones.
const EQUATION_OF_TIME_MAX_MS: i64 = 20 * 60_000;

const HALF_DAY_MS: i64 = 12 * 3_600_000;

impl Stretch {
    /// From one moment until another.
    pub(crate) fn between(from: Timestamp, until: Timestamp) -> Self {
        Stretch { from_ms: from.as_millisecond(), until_ms: until.as_millisecond() }
    }

    /// Its two ends.
    pub(crate) fn ends(self) -> (Timestamp, Timestamp) {
        (at_ms(self.from_ms), at_ms(self.until_ms))
    }

    /// The civil day from 00:00 to 24:00, which lasts 23 or 25 hours when the clocks change.
    pub(crate) fn civil_day(date: Date, zone: &TimeZone) -> Self {
        let start = |date: Date| instant(zone, date.at(0, 0, 0, 0)).as_millisecond();
        let next = date.tomorrow().map_or(Timestamp::MAX.as_millisecond(), start);
        Stretch { from_ms: start(date), until_ms: next }
    }

    /// From the sun's lowest point of the night before to just past that of the night after.
    ///
    /// Holds this day's descent as a whole and nothing of yesterday's.
    pub(crate) fn until_night(date: Date, zone: &TimeZone, place: LatLon) -> Self {
        let noon_ms = mean_noon_ms(date, zone, place);
        Stretch {
            from_ms: noon_ms - HALF_DAY_MS + EQUATION_OF_TIME_MAX_MS,
            until_ms: noon_ms + HALF_DAY_MS + EQUATION_OF_TIME_MAX_MS,
        }
    }

    /// The mirror image: this day's ascent as a whole and nothing of tomorrow's.
    pub(crate) fn since_night(date: Date, zone: &TimeZone, place: LatLon) -> Self {
        let noon_ms = mean_noon_ms(date, zone, place);
        Stretch {
            from_ms: noon_ms - HALF_DAY_MS - EQUATION_OF_TIME_MAX_MS,
            until_ms: noon_ms + HALF_DAY_MS - EQUATION_OF_TIME_MAX_MS,
        }
    }

    /// From before until after the sun is highest.
    pub(crate) fn about_noon(date: Date, zone: &TimeZone, place: LatLon) -> Self {
        let noon_ms = mean_noon_ms(date, zone, place);
        Stretch {
            from_ms: noon_ms - EQUATION_OF_TIME_MAX_MS,
            until_ms: noon_ms + EQUATION_OF_TIME_MAX_MS,
        }
    }

    /// Whether something holds at the start.
    pub(crate) fn begins_with(self, holds: impl Fn(Timestamp) -> bool) -> bool {
        holds(at_ms(self.from_ms))
    }

    /// The moments at which something changes, in order, each with what it changes to.
    ///
    /// Looked at every `step_min` minutes; what comes and goes between two looks is not seen. To
    /// the nearest second.
    pub(crate) fn values<T: PartialEq>(
        self,
        step_min: i64,
        value: impl Fn(Timestamp) -> T,
    ) -> Vec<(Timestamp, T)> {
        let mut changes: Vec<(Timestamp, T)> = Vec::new();
        let mut before_ms = self.from_ms;
        let first = value(at_ms(before_ms));
        while before_ms < self.until_ms {
            let after_ms = (before_ms + step_min * 60_000).min(self.until_ms);
            let after = value(at_ms(after_ms));
            // More than once where it changes twice between two looks.
            while changes.last().map_or(&first, |change| &change.1) != &after {
                let held = changes.last().map_or(&first, |change| &change.1);
                let (mut low_ms, mut high_ms) = (before_ms, after_ms);
                while high_ms - low_ms > 1 {
                    let middle_ms = i64::midpoint(low_ms, high_ms);
                    if value(at_ms(middle_ms)) == *held {
                        low_ms = middle_ms;
                    } else {
                        high_ms = middle_ms;
                    }
                }
                let at = at_ms((high_ms + 500).div_euclid(1000) * 1000);
                changes.push((at, value(at_ms(high_ms))));
                before_ms = high_ms;
            }
            before_ms = after_ms;
        }
        changes
    }
}

/// The instant of a wall-clock time, at the ends of the calendar the last one there is.
///
/// A time that is skipped becomes the one as much later, a repeated one the first: at midnight,
/// where some zones change their clocks, that is where the day begins.
fn instant(zone: &TimeZone, wall_clock: DateTime) -> Timestamp {
    let end = if wall_clock.year() > 0 { Timestamp::MAX } else { Timestamp::MIN };
    zone.to_timestamp(wall_clock).unwrap_or(end)
}

pub(crate) fn at_ms(millisecond: i64) -> Timestamp {
    let end = if millisecond > 0 { Timestamp::MAX } else { Timestamp::MIN };
    Timestamp::from_millisecond(millisecond).unwrap_or(end)
}

/// Noon of the mean sun at this longitude, that nearest to twelve o'clock of the date.
fn mean_noon_ms(date: Date, zone: &TimeZone, place: LatLon) -> i64 {
    let twelve_ms = instant(zone, date.at(12, 0, 0, 0)).as_millisecond();
    // Four minutes of time for every degree.
    let east_ms = SignedDuration::from_secs_f64(place.lon_deg() * 240.0).as_secs() * 1000;
    let later_ms = (HALF_DAY_MS - east_ms - twelve_ms).rem_euclid(2 * HALF_DAY_MS);
    let nearest_ms = if later_ms > HALF_DAY_MS { later_ms - 2 * HALF_DAY_MS } else { later_ms };
    twelve_ms + nearest_ms
}
