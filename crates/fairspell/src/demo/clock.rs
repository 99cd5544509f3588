//! The clock on the wall of the demo's studio.

use anyhow::Context as _;
use jiff::{SignedDuration, Timestamp, civil, tz::TimeZone};

/// The time zone whose clock rules are those of the invented coast.
pub(super) const TIME_ZONE: &str = "Australia/Sydney";

/// That zone.
pub(super) fn zone() -> anyhow::Result<TimeZone> {
    TimeZone::get(TIME_ZONE).with_context(|| format!("look up the time zone {TIME_ZONE}"))
}

/// The instant of a local time. The demo has nothing in an hour that a clock change skips.
pub(super) fn instant(zone: &TimeZone, local: civil::DateTime) -> anyhow::Result<Timestamp> {
    zone.to_timestamp(local).with_context(|| format!("find the moment of {local}"))
}

/// Minutes since the local midnight of a day.
pub(super) fn minute_of_day(
    zone: &TimeZone,
    day: civil::Date,
    moment: Timestamp,
) -> anyhow::Result<f64> {
    let midnight = instant(zone, day.at(0, 0, 0, 0))?;
    Ok(moment.duration_since(midnight).as_secs_f64() / 60.0)
}

/// A moment so many minutes earlier (or later, when negative).
pub(super) fn minutes_before(moment: Timestamp, minutes: i64) -> anyhow::Result<Timestamp> {
    Ok(moment.checked_sub(SignedDuration::from_mins(minutes))?)
}

/// All moments from one to another at whole multiples of a step since 1970, plus an offset.
pub(super) fn every(
    step_min: i64,
    offset_min: i64,
    from: Timestamp,
    to: Timestamp,
) -> anyhow::Result<Vec<Timestamp>> {
    let (step, offset) = (step_min * 60, offset_min * 60);
    let since = from.as_second() - offset;
    let mut second = since.div_euclid(step) * step + offset;
    if second < from.as_second() {
        second += step;
    }
    let mut moments = Vec::new();
    while second <= to.as_second() {
        moments.push(Timestamp::from_second(second)?);
        second += step;
    }
    Ok(moments)
}

/// How a moment is written in names of files: `20260903T0430Z`.
pub(super) fn stamp(moment: Timestamp) -> String {
    moment.strftime("%Y%m%dT%H%MZ").to_string()
}
