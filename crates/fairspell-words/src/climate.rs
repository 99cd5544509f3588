//! What past evenings were like, as the terminal says it: in counts, with where they come from.

use fairspell_chance::{Chance, Counts, Persistence, Probability};
use fairspell_studio::ruling::whole_percent;
use jiff::civil::{Date, Time};

use crate::{
    numbers::{at_least, in_ten, percent, with_unit},
    text::capital,
};

/// Fewer years than these are called a short record: a dry decade and a wet one differ.
const YEARS_ENOUGH: usize = 10;

/// Past evenings, ready to be told of.
#[derive(Debug, Clone)]
pub struct ClimateTold<'a> {
    /// The month, 1 to 12.
    pub month: i8,
    /// How many days before and after it count as well.
    pub days_around: u16,
    /// When the hours begin and when they end, by the place's clock.
    pub hours: (Time, Time),
    /// The zone of that clock.
    pub zone: Option<&'a str>,
    /// From which amount on it counts as rain, mm.
    pub least_mm: f64,
    /// The chance of rain in these hours.
    pub p_rain: Chance,
    /// What is assumed while nothing has been counted, and for how many evenings it counts.
    pub assumed: (Probability, f64),
    /// The station that was asked.
    pub station: Option<StationTold<'a>>,
    /// What its record shows.
    pub seen: ClimateSeenTold<'a>,
}

/// A station.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StationTold<'a> {
    /// Its name in its network.
    pub station: &'a str,
    /// Its name for people.
    pub name: Option<&'a str>,
    /// How far from the place.
    pub distance_km: Option<f64>,
    /// The first and the last day counted.
    pub span: Option<(Date, Date)>,
    /// Of how many years.
    pub years: usize,
}

/// What a record shows.
#[derive(Debug, Clone, PartialEq)]
pub enum ClimateSeenTold<'a> {
    /// The hours themselves.
    Hours {
        /// Day by day.
        days: DaysTold<'a>,
        /// Windows with rain, and how many of them had a whole dry hour; `None`: hours can't say.
        gaps: Option<Counts>,
        /// So many hours later: what followed wet windows, what dry ones.
        after: Option<(i64, Counts, Counts)>,
    },
    /// Whole days only.
    WholeDays {
        /// Day by day.
        days: DaysTold<'a>,
        /// The chance of rain on such a day.
        p_rain: Chance,
    },
    /// There is no record.
    Nothing,
}

/// One outcome a day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DaysTold<'a> {
    /// Known ones, and wet ones among them.
    pub counts: Counts,
    /// How many are not known.
    pub unknown: usize,
    /// What followed wet and dry ones.
    pub persistence: &'a [Persistence],
    /// How far the difference between the two on the next day could be chance.
    pub difference_range: Option<(f64, f64)>,
}

/// What it is good for.
const ADVICE: &str =
    "Counts of the past, for choosing days. Of any one evening only the forecast speaks.";

/// Past evenings, line by line.
pub fn climate_lines(told: &ClimateTold<'_>) -> Vec<String> {
    let mut lines = vec![asked(told)];
    let time = time_of(told.hours);
    match &told.seen {
        ClimateSeenTold::Hours { days, gaps, after } => {
            lines.push(counted(days, &format!("such {time}s"), "in these hours"));
            lines.push(in_words(told, time));
            lines.extend(later(days, time));
            lines.push(gaps.as_ref().map_or_else(
                || "These hours are too short for a record of hours to show a dry gap.".to_owned(),
                |gaps| dry_gaps(*gaps, time),
            ));
            lines.extend(after.map(|(hours, wet, dry)| {
                format!(
                    "In the {} after it rained {} of {} times when these hours had rain, {} of {} \
                     when they had none.",
                    many(usize::try_from(hours).unwrap_or(0), "hour"),
                    wet.wet,
                    wet.known,
                    dry.wet,
                    dry.known
                )
            }));
        }
        ClimateSeenTold::WholeDays { days, p_rain } => {
            lines.push(counted(days, "such days", "at some time"));
            lines.push(format!("{}.", capital(&in_ten_of(p_rain, "day", "rain"))));
            lines.extend(later(days, "day"));
            lines.push(
                "The record is of whole days: of these hours, and of dry gaps in them, it can say \
                 nothing."
                    .to_owned(),
            );
        }
        ClimateSeenTold::Nothing => {
            lines.push("No record of rain near here is kept: nothing was counted.".to_owned());
            lines.push(format!(
                "Assumed, an estimate of ours: {}.",
                in_ten_of(&told.p_rain, time, "rain in these hours")
            ));
        }
    }
    lines.extend(told.station.as_ref().map(source));
    lines.push(ADVICE.to_owned());
    lines
}

fn asked(told: &ClimateTold<'_>) -> String {
    let (from, to) = told.hours;
    let month = Date::new(2000, told.month, 1).map(|first| first.strftime("%B").to_string());
    let month = month.unwrap_or_else(|_| "No month".to_owned());
    let season = match told.days_around {
        0 => month,
        1..183 => format!("{month} and {} around it", many(told.days_around.into(), "day")),
        _ => "All year".to_owned(),
    };
    let clock = told.zone.map(|zone| format!(" by the clock of {zone}")).unwrap_or_default();
    let next = if to > from { "" } else { " on the next day" };
    let of = if matches!(told.seen, ClimateSeenTold::WholeDays { .. }) {
        "on a day"
    } else {
        "in an hour"
    };
    format!(
        "{season}, {} to {}{next}{clock}. Rain: {} {of}.",
        from.strftime("%H:%M"),
        to.strftime("%H:%M"),
        at_least(Some(told.least_mm)),
    )
}

/// What a day's hours are called.
fn time_of((from, to): (Time, Time)) -> &'static str {
    match (from == to, from.hour()) {
        (true, _) => "day",
        (false, 4..12) => "morning",
        (false, 12..17) => "afternoon",
        (false, _) => "evening",
    }
}

fn counted(days: &DaysTold<'_>, which: &str, when: &str) -> String {
    let unknown = match days.unknown {
        0 => String::new(),
        1 => " 1 more is not known, and counts as neither.".to_owned(),
        unknown => format!(" {unknown} more are not known, and count as neither."),
    };
    if days.counts.known == 0 {
        return format!("It is not known of any {which} whether it rained.{unknown}");
    }
    format!("Of {} {which} {} had rain {when}.{unknown}", days.counts.known, days.counts.wet)
}

fn in_words(told: &ClimateTold<'_>, time: &str) -> String {
    let (assumed, weight) = told.assumed;
    format!(
        "{}, with {weight} {time}s of an assumed {} counted in.",
        capital(&in_ten_of(&told.p_rain, time, "rain in these hours")),
        percent(assumed),
    )
}

fn in_ten_of(p_rain: &Chance, time: &str, what: &str) -> String {
    let [low, high] = [p_rain.low, p_rain.high].map(whole_percent);
    let said =
        in_ten(whole_percent(p_rain.centre), time, &format!("gets {what}"), &format!("get {what}"));
    format!("{said}: {} (between {low} and {high} %)", percent(p_rain.centre))
}

/// What followed on later days: the next one with a verdict, the others in short.
fn later(days: &DaysTold<'_>, time: &str) -> Vec<String> {
    let Some((next, others)) = days.persistence.split_first() else { return Vec::new() };
    if next.after_wet.known == 0 || next.after_dry.known == 0 {
        return vec![format!(
            "Too little is known to say whether one such {time} tells of the next."
        )];
    }
    let follows = |one: &Persistence| {
        format!(
            "{} of {} after rain, {} of {} after none",
            one.after_wet.wet, one.after_wet.known, one.after_dry.wet, one.after_dry.known
        )
    };
    let verdict = match days.difference_range {
        Some((low, _)) if low > 0.0 => format!("one such {time} makes the next a little like it"),
        Some((_, high)) if high < 0.0 => format!("one such {time} makes the next less like it"),
        _ => "the difference could be chance".to_owned(),
    };
    let mut lines = vec![format!("Rain on the next day: {}; {verdict}.", follows(next))];
    let others: Vec<String> = others
        .iter()
        .map(|one| {
            let days = usize::try_from(one.lag_days).unwrap_or(0);
            format!("{} later: {}", many(days, "day"), follows(one))
        })
        .collect();
    if !others.is_empty() {
        lines.push(format!("{}.", others.join("; ")));
    }
    lines
}

fn dry_gaps(gaps: Counts, time: &str) -> String {
    match gaps.known {
        0 => format!("No {time} with rain and every hour known: nothing to say of dry gaps."),
        known => format!(
            "Of {known} such {time}s with rain {} still had a whole dry hour within these hours; shorter gaps \
             such a record cannot show.",
            gaps.wet
        ),
    }
}

fn source(station: &StationTold<'_>) -> String {
    let name = station.name.map(|name| format!(" ({name})")).unwrap_or_default();
    let far = station.distance_km.map_or_else(
        || "how far away is not known".to_owned(),
        |km| format!("{} away", with_unit(km, 0, "km")),
    );
    let when = station.span.map_or_else(
        || "no such day".to_owned(),
        |(first, last)| {
            format!("{} to {}, {}", dated(first), dated(last), many(station.years, "calendar year"))
        },
    );
    let short =
        if station.years < YEARS_ENOUGH { " That is short: other years differ." } else { "" };
    format!("Source: one station, {}{name}, {far}; {when}.{short}", station.station)
}

pub(crate) fn dated(date: Date) -> String {
    date.strftime("%-d %b %Y").to_string()
}

pub(crate) fn many(count: usize, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}
