//! Time coordinates: a count of some unit since some moment.

use jiff::{SignedDuration, Timestamp, civil};

use crate::RadarError;

/// How a time coordinate counts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct TimeUnits {
    since: Timestamp,
    unit_s: f64,
}

impl TimeUnits {
    /// Reads units such as `minutes since 2026-09-03 12:00` and the `calendar` beside them.
    ///
    /// Months and years have no fixed length and no radar counts in them; calendars other than the
    /// one on the wall are for climate models.
    pub(super) fn read(units: &str, calendar: Option<&str>) -> Result<Self, RadarError> {
        let unsupported = || RadarError::Unsupported {
            what: "the unit of time",
            found: format!("{units} {}", calendar.unwrap_or_default()).trim_end().to_owned(),
        };
        let calendar = calendar.unwrap_or("standard").to_lowercase();
        if !matches!(calendar.as_str(), "standard" | "gregorian" | "proleptic_gregorian") {
            return Err(unsupported());
        }
        let (unit, since) = units.split_once(" since ").ok_or_else(unsupported)?;
        let unit_s = match unit.trim().to_lowercase().as_str() {
            "milliseconds" | "millisecond" | "msec" | "ms" => 1e-3,
            "seconds" | "second" | "secs" | "sec" | "s" => 1.0,
            "minutes" | "minute" | "mins" | "min" => 60.0,
            "hours" | "hour" | "hrs" | "hr" | "h" => 3600.0,
            "days" | "day" | "d" => 86400.0,
            _ => return Err(unsupported()),
        };
        let since = moment(since.trim()).ok_or_else(unsupported)?;
        Ok(TimeUnits { since, unit_s })
    }

    /// The moment that a count stands for, to a millisecond; `None` outside the calendar.
    pub(super) fn time(&self, count: f64) -> Option<Timestamp> {
        let after_ms = (count * self.unit_s * 1000.0).round();
        // Beyond 300 000 years either way no calendar follows, and a double still counts exactly.
        if after_ms.is_nan() || after_ms.abs() > 1e16 {
            return None;
        }
        #[expect(clippy::cast_possible_truncation, reason = "a whole number within 1e16")]
        let after = SignedDuration::from_millis(after_ms as i64);
        self.since.checked_add(after).ok()
    }
}

/// A moment in UTC unless it says otherwise, as files write it: with a `T` or a blank, with or
/// without seconds, with or without a zone.
fn moment(text: &str) -> Option<Timestamp> {
    if let Ok(exact) = text.parse::<Timestamp>() {
        return Some(exact);
    }
    let text = text.trim_end_matches("UTC").trim_end_matches(['Z', ' ']);
    let (text, offset) = zoned(text);
    let text = text.replace('T', " ");
    let text = text.trim_end_matches(".0");
    let with_time = ["%Y-%m-%d %H:%M:%S%.f", "%Y-%m-%d %H:%M", "%Y-%m-%d %H"];
    let civil = with_time
        .iter()
        .find_map(|format| civil::DateTime::strptime(format, text).ok())
        .or_else(|| Some(civil::Date::strptime("%Y-%m-%d", text).ok()?.at(0, 0, 0, 0)))?;
    offset?.to_timestamp(civil).ok()
}

/// Splits a trailing offset such as `+02:00`, `-3:00` or `+0530` off; `None` for one out of range.
fn zoned(text: &str) -> (&str, Option<jiff::tz::Offset>) {
    let utc = Some(jiff::tz::Offset::UTC);
    // A date has its own hyphens: an offset can only follow a time of day.
    let Some(sign_at) = text.rfind(['+', '-']).filter(|&at| text[..at].contains(':')) else {
        return (text, utc);
    };
    let (before, offset) = text.split_at(sign_at);
    let sign = if offset.starts_with('-') { -1 } else { 1 };
    let digits = &offset[1..];
    let (hours, minutes) = match digits.split_once(':') {
        Some(parts) => parts,
        None if digits.len() == 4 && digits.is_ascii() => digits.split_at(2),
        None => (digits, "0"),
    };
    let seconds = hours.parse::<i32>().ok().zip(minutes.parse::<i32>().ok()).and_then(|(h, m)| {
        (h.unsigned_abs() < 24 && m.unsigned_abs() < 60).then_some(sign * (h * 3600 + m * 60))
    });
    let offset = seconds.and_then(|seconds| jiff::tz::Offset::from_seconds(seconds).ok());
    (before.trim_end(), offset)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(units: &str, count: f64, expected: &str) {
        let units = TimeUnits::read(units, None).unwrap();
        assert_eq!(units.time(count), Some(expected.parse().unwrap()), "{units:?}");
    }

    #[test]
    fn moments_are_read_however_files_write_them() {
        check("seconds since 1970-01-01 00:00:00", 1.5e9, "2017-07-14T02:40:00Z");
        check("seconds since 1970-01-01T00:00:00Z", 60.0, "1970-01-01T00:01:00Z");
        check("minutes since 2026-09-03 12:00", 5.0, "2026-09-03T12:05:00Z");
        check("hours since 2026-9-3", 1.25, "2026-09-03T01:15:00Z");
        check("days since 2000-01-01 00:00:00.0 UTC", 0.5, "2000-01-01T12:00:00Z");
        check("minutes since 2026-09-03 12:00:00 +02:00", 0.0, "2026-09-03T10:00:00Z");
        check("minutes since 2026-09-03 12:00:00 -3:30", 0.0, "2026-09-03T15:30:00Z");
        check("seconds since 2026-09-03 12:00:00 UTC", -60.0, "2026-09-03T11:59:00Z");
    }

    #[test]
    fn what_is_no_moment_on_the_wall_calendar_is_refused() {
        for units in ["months since 2000-01-01", "minutes", "minutes since lunch", "", "s since "] {
            assert!(TimeUnits::read(units, None).is_err(), "{units}");
        }
        assert!(TimeUnits::read("days since 2000-01-01", Some("360_day")).is_err());
        let units = TimeUnits::read("days since 2000-01-01", Some("standard")).unwrap();
        for count in [f64::NAN, f64::INFINITY, 1e300, 1e10] {
            assert_eq!(units.time(count), None, "{count}");
        }
    }
}
