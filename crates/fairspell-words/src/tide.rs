//! The tide, as the terminal says it.

use jiff::{Timestamp, tz::TimeZone};

use crate::{
    clock::moment,
    screens::studio::tide::{CAUTION, turn},
    text::one_line,
};

/// A tide, ready to be said.
#[derive(Debug, Clone)]
pub struct TideTold<'a> {
    /// The place.
    pub name: Option<&'a str>,
    /// What heights count from.
    pub datum: Option<&'a str>,
    /// The clock.
    pub zone: &'a TimeZone,
    /// High and low waters: when, how high in metres, whether high.
    pub turns: Vec<(Timestamp, f64, bool)>,
    /// When a spot can be used, where it was asked.
    pub usable: Option<Vec<(Timestamp, Timestamp)>>,
}

/// A tide, line by line.
pub fn tide_lines(told: &TideTold<'_>) -> Vec<String> {
    let zone = told.zone;
    let mut lines = Vec::new();
    if let Some(name) = told.name {
        lines.push(one_line(name));
    }
    if let Some(datum) = told.datum {
        lines.push(format!("Heights count from {}", one_line(datum)));
    }
    if let Some(name) = zone.iana_name() {
        lines.push(format!("Times by the clock of {name}"));
    }
    lines.extend(
        told.turns.iter().map(|(at, height_m, is_high)| turn(*at, *height_m, *is_high, zone)),
    );
    match told.usable.as_deref() {
        None => {}
        Some([]) => lines.push("The spot cannot be used in these hours.".to_owned()),
        Some(spans) => lines.extend(spans.iter().map(|(from, to)| {
            format!("The spot can be used from {} to {}", moment(*from, zone), moment(*to, zone))
        })),
    }
    lines.push(CAUTION.to_owned());
    lines
}
