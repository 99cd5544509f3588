//! Numbers and text as the JSON of commands has them.

use anyhow::{Context, Result};
use serde::Serialize;

use crate::terminal::say;

/// A probability or a rate to four decimals: more would be noise.
pub(crate) fn rounded(value: f64) -> f64 {
    (value * 1e4).round() / 1e4
}

/// Prints a report as JSON, indented for reading.
pub(crate) fn print(report: &impl Serialize) -> Result<()> {
    say(&serde_json::to_string_pretty(report).context("write JSON")?);
    Ok(())
}

/// A report as JSON on a single line.
pub(crate) fn line(report: &impl Serialize) -> Result<String> {
    serde_json::to_string(report).context("write JSON")
}

/// Prints a report as JSON on a single line.
pub(crate) fn print_line(report: &impl Serialize) -> Result<()> {
    say(&line(report)?);
    Ok(())
}
