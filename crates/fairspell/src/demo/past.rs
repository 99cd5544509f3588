//! Invented past: thirty months of hourly rain at the jetty, so that evenings can be counted.

use std::{fmt::Write, path::Path};

use anyhow::Context;
use fairspell_feeds::import_climate_bytes;
use jiff::{Timestamp, ToSpan, civil::date, tz::TimeZone};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

use super::{clock, town::Town};

/// What the invented gauge is called.
const STATION: &str = "saltern-bight-jetty";

/// The chance that a wet hour is followed by another.
const GOES_ON: f64 = 0.62;

/// The chance that rain begins in a dry hour, by month of the year and by the hour of the day: showers
/// come with the sea breeze, most of all from January to March.
fn begins(month: i8, hour: i8) -> f64 {
    let season = match month {
        1..=3 => 0.050,
        4 | 5 | 12 => 0.038,
        6 | 7 | 10 | 11 => 0.030,
        _ => 0.022,
    };
    if (13..19).contains(&hour) { 1.6 * season } else { 0.75 * season }
}

/// Lays the record into the demo's folder, as if it had been taken in.
pub(super) fn write(dir: &Path) -> anyhow::Result<()> {
    let zone = clock::zone()?;
    let bytes = record(&zone)?;
    let position = Town::SalternBight.position()?;
    import_climate_bytes(dir, bytes.as_bytes(), STATION, Some(STATION), Some(position))
        .context("take in the invented past")?;
    Ok(())
}

fn record(zone: &TimeZone) -> anyhow::Result<String> {
    let mut rng = ChaCha8Rng::seed_from_u64(20_240_101);
    let mut text = "time,rain_amount_mm\n".to_owned();
    let first: Timestamp = TimeZone::UTC.to_timestamp(date(2024, 1, 1).at(0, 0, 0, 0))?;
    let end: Timestamp = TimeZone::UTC.to_timestamp(date(2026, 7, 1).at(0, 0, 0, 0))?;
    let (mut hour, mut is_wet) = (first, false);
    while hour < end {
        let clock = zone.to_datetime(hour);
        let p = if is_wet { GOES_ON } else { begins(clock.month(), clock.hour()) };
        is_wet = rng.random_bool(p);
        // From drizzle that just counts to a downpour, most of it light.
        let amount_mm = if is_wet { 0.2 + 6.0 * rng.random::<f64>().powi(3) } else { 0.0 };
        writeln!(text, "{hour},{amount_mm:.1}")?;
        hour += 1.hour();
    }
    Ok(text)
}
