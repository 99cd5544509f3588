//! The tide, as the terminal says it.

use jiff::{Timestamp, civil::Date, tz::TimeZone};

use crate::{
    clock::moment,
    numbers::with_unit,
    screens::studio::tide::{CAUTION, constants, table, turn},
};

/// A tide, ready to be said.
#[derive(Debug, Clone)]
pub struct TideTold<'a> {
    /// Where it comes from.
    pub source: TideSourceTold<'a>,
    /// The clock.
    pub zone: &'a TimeZone,
    /// High and low waters: when, how high in metres, whether high.
    pub turns: Vec<(Timestamp, f64, bool)>,
    /// Heights at even steps: when, how high in metres, whether the water rises.
    pub heights: Vec<(Timestamp, f64, bool)>,
    /// When a spot can be used, where it was asked.
    pub usable: Option<Vec<(Timestamp, Timestamp)>>,
    /// When a spot has all its room, where it was asked.
    pub wide: Option<Vec<(Timestamp, Timestamp)>>,
}

/// Where a tide comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum TideSourceTold<'a> {
    /// From harmonic constants.
    Constants {
        /// The place.
        name: &'a str,
        /// What heights count from.
        datum: &'a str,
        /// How many waves.
        waves: usize,
        /// Whether the moon's 18.6 years are followed.
        follows_the_moons_years: bool,
    },
    /// From a table of high and low waters.
    Table {
        /// How many.
        rows: usize,
        /// The date of its first and of its last row.
        dates: (Date, Date),
    },
}

/// What a tide is good for.
const FOR_PLANNING: &str = "A prediction for planning, not for navigation.";

/// A tide, line by line.
pub fn tide_lines(told: &TideTold<'_>) -> Vec<String> {
    let zone = told.zone;
    let mut lines = source(told.source);
    lines.extend(zone.iana_name().map(|name| match name {
        "UTC" => "Times by the clock of Greenwich, without summer time.".to_owned(),
        name => format!("Times by the clock of {name}."),
    }));
    lines.push(String::new());
    if told.turns.is_empty() {
        lines.push("No high or low water in these hours.".to_owned());
    }
    lines.extend(
        told.turns.iter().map(|(at, height_m, is_high)| turn(*at, *height_m, *is_high, zone)),
    );
    lines.push(String::new());
    lines.extend(told.heights.iter().map(|(at, height_m, rises)| {
        let way = if *rises { "rising" } else { "falling" };
        format!("{}: {}, {way}", moment(*at, zone), with_unit(*height_m, 2, "m"))
    }));
    lines.push(String::new());
    let usable = told.usable.as_deref();
    lines.extend(usable.into_iter().flat_map(|spans| {
        windows(spans, zone, "The spot can be used", "The spot cannot be used in these hours.")
    }));
    let wide = told.wide.as_deref();
    lines.extend(wide.into_iter().flat_map(|spans| {
        windows(spans, zone, "It has all its room", "It never has all its room in these hours.")
    }));
    lines.push(format!("{FOR_PLANNING} {CAUTION}"));
    lines
}

fn source(source: TideSourceTold<'_>) -> Vec<String> {
    match source {
        TideSourceTold::Constants { name, datum, waves, follows_the_moons_years } => {
            let years = if follows_the_moons_years { "are followed" } else { "are left out" };
            vec![
                format!("{}.", constants(name, datum, waves)),
                format!("The 18.6 years in which the moon's path swings {years}."),
            ]
        }
        TideSourceTold::Table { rows, dates: (from, to) } => vec![format!(
            "{}; heights count from where the table's do, the curve between is drawn.",
            table(rows, from, to)
        )],
    }
}

fn windows(
    spans: &[(Timestamp, Timestamp)],
    zone: &TimeZone,
    holds: &str,
    never: &str,
) -> Vec<String> {
    if spans.is_empty() {
        return vec![never.to_owned()];
    }
    let line = |(from, to): &(Timestamp, Timestamp)| {
        format!("{holds} from {} to {}.", moment(*from, zone), moment(*to, zone))
    };
    spans.iter().map(line).collect()
}
