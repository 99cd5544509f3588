//! A record of rain that was taken in, as the terminal says it.

use jiff::civil::Date;

use crate::climate::{dated, many};

/// A record that was taken in, ready to be told of.
#[derive(Debug, Clone, PartialEq)]
pub struct ClimateKeptTold<'a> {
    /// The station's name in its network.
    pub station: &'a str,
    /// Its name for people.
    pub name: Option<&'a str>,
    /// Whether it is known where it stands.
    pub is_placed: bool,
    /// How many amounts it has, and whether of hours or of days.
    pub known: usize,
    /// Whether they are of hours.
    pub is_hourly: bool,
    /// The first and the last day.
    pub span: Option<(Date, Date)>,
    /// Whether another record of the station was replaced.
    pub replaced: bool,
    /// Where it is kept.
    pub file: &'a str,
    /// What could not be used, in the program's own short phrases.
    pub remarks: Vec<String>,
}

/// What was taken in, line by line.
pub fn climate_kept_lines(told: &ClimateKeptTold<'_>) -> Vec<String> {
    let name = told.name.map(|name| format!(" ({name})")).unwrap_or_default();
    let what = many(told.known, if told.is_hourly { "hour" } else { "day" });
    let when = told.span.map(|(first, last)| format!(", {} to {}", dated(first), dated(last)));
    let mut lines = vec![format!(
        "Read: {}{name}, {what} with an amount{}.",
        told.station,
        when.unwrap_or_default()
    )];
    if !told.is_hourly {
        lines.push("Days only: of single hours and of dry gaps it will say nothing.".to_owned());
    }
    if !told.is_placed {
        lines.push("Where the station stands is not known; say it with --at LAT,LON.".to_owned());
    }
    if told.replaced {
        lines.push("It takes the place of the record of this station that was kept.".to_owned());
    }
    lines.push(format!("Kept as received: {}", told.file));
    if !told.remarks.is_empty() {
        lines.push("Not used as it stands there:".to_owned());
        lines.extend(told.remarks.iter().map(|remark| format!("- {remark}")));
    }
    lines
}
