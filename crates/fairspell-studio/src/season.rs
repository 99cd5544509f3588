//! The season's shape: exceptions from the week, what each evening is, and schools' deadlines.
//!
//! The week says which days are sold and which are kept for weather. A season has exceptions from it:
//! "from November Wednesdays are sold too", "every other Sunday in the holidays". They are kept as
//! recurrence rules of RFC 5545, whole days, so that a calendar program can make and read them.

use std::collections::BTreeMap;

use jiff::{ToSpan, civil::Date};
use rrule::RRuleSet;
use serde::{Deserialize, Serialize};

use crate::{Studio, studio::Day};

/// What an evening is to the studio.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum EveningKind {
    /// Sold to sessions.
    Working,
    /// Kept empty for weather.
    Reserve,
    /// Never offered.
    Never,
}

/// Evenings that are not what the week says.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Exception {
    /// Why: "holidays".
    pub name: String,
    /// What they are instead.
    pub kind: EveningKind,
    /// Which: `DTSTART`, `RRULE`, `RDATE` and `EXDATE` lines of RFC 5545 with whole days, such as
    /// `DTSTART;VALUE=DATE:20261101` and `RRULE:FREQ=WEEKLY;BYDAY=WE;UNTIL=20261213`.
    pub rule: String,
}

/// A date by which a school wants pictures.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SchoolDeadline {
    /// Which school.
    pub school: String,
    /// What for: "yearbook".
    pub name: String,
    /// The last day.
    pub date: Date,
    /// Who said so; dates change from year to year and the students hear them first.
    #[serde(default)]
    pub told_by: Option<String>,
}

/// What a season adds to the week.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Season {
    /// Exceptions from the week; a later one wins over an earlier one.
    pub exceptions: Vec<Exception>,
    /// What schools want, and when.
    pub deadlines: Vec<SchoolDeadline>,
    /// The weather station whose past evenings count, by its id; the nearest one with hours where none
    /// is named.
    pub rain_station: Option<String>,
}

/// What can be wrong with a season that somebody wrote down.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SeasonError {
    /// A rule that is none of RFC 5545, or not of whole days.
    #[error("the exception `{name}`: {why}")]
    Rule {
        /// The exception.
        name: String,
        /// What is wrong with its rule.
        why: String,
    },
    /// An exception whose rule has no day at all.
    #[error("the exception `{0}` has no evening at all")]
    NoEvening(String),
}

/// No rule is followed beyond so many days: every day from 1980 to 2200.
const DAYS_MAX: usize = 80_000;

impl Exception {
    /// A rule for days of the week: every `weeks` weeks from one date to another.
    ///
    /// # Examples
    ///
    /// ```
    /// use fairspell_studio::{season::{EveningKind, Exception}, studio::Day};
    /// use jiff::civil::date;
    ///
    /// let (from, to) = (date(2026, 11, 1), date(2026, 11, 30));
    /// let sundays = Exception::weekly("holidays", EveningKind::Working, &[Day::Sunday], 2, (from, to));
    /// let dates = sundays.dates((from, to)).expect("a rule that we wrote");
    /// assert_eq!(dates, [date(2026, 11, 1), date(2026, 11, 15), date(2026, 11, 29)]);
    /// ```
    ///
    /// # Source
    ///
    /// RFC 5545, sections 3.3.10 and 3.8.5.3. Weeks begin on Monday.
    pub fn weekly(
        name: &str,
        kind: EveningKind,
        days: &[Day],
        weeks: u32,
        (from, to): (Date, Date),
    ) -> Exception {
        let days: Vec<&str> = days.iter().map(|day| ical_day(*day)).collect();
        let day = |date: Date| date.strftime("%Y%m%d").to_string();
        // DTSTART counts as an occurrence even off the rule, so it must lie on a day of the rule.
        let on_rule = |date: &Date| days.contains(&ical_day(Day::from(date.weekday())));
        let first = from.series(1.day()).take(7).find(on_rule).unwrap_or(from);
        let rule = format!(
            "DTSTART;VALUE=DATE:{}\nRRULE:FREQ=WEEKLY;INTERVAL={weeks};BYDAY={};UNTIL={}",
            day(first),
            days.join(","),
            day(to)
        );
        Exception { name: name.to_owned(), kind, rule }
    }

    /// The dates of the rule from one date to another, both included.
    ///
    /// # Errors
    ///
    /// [`SeasonError::Rule`] for a rule that cannot be read, or that has hours in it.
    pub fn dates(&self, (from, to): (Date, Date)) -> Result<Vec<Date>, SeasonError> {
        Ok(self.all()?.skip_while(|date| *date < from).take_while(|date| *date <= to).collect())
    }

    /// All dates of the rule, in order.
    fn all(&self) -> Result<impl Iterator<Item = Date>, SeasonError> {
        let wrong = |why: String| SeasonError::Rule { name: self.name.clone(), why };
        let text = whole_days(&self.rule).map_err(wrong)?;
        let set: RRuleSet =
            text.parse().map_err(|why: rrule::RRuleError| wrong(why.to_string()))?;
        // A rule without an end, or without any match, stops by itself.
        let days = set.limit().into_iter().take(DAYS_MAX);
        Ok(days.filter_map(|at| at.date_naive().to_string().parse::<Date>().ok()))
    }
}

fn ical_day(day: Day) -> &'static str {
    match day {
        Day::Monday => "MO",
        Day::Tuesday => "TU",
        Day::Wednesday => "WE",
        Day::Thursday => "TH",
        Day::Friday => "FR",
        Day::Saturday => "SA",
        Day::Sunday => "SU",
    }
}

/// The rule with its whole days spelled as moments of one zone, so that no machine's own zone counts.
fn whole_days(rule: &str) -> Result<String, String> {
    let is_day = |text: &str| text.len() == 8 && text.bytes().all(|byte| byte.is_ascii_digit());
    let midnight = |text: &str| {
        let day = text.trim();
        is_day(day).then(|| format!("{day}T000000Z")).ok_or_else(|| {
            format!("`{day}` is no whole day such as 20261101; hours have no place in it")
        })
    };
    let mut lines = Vec::new();
    for line in rule.lines().map(str::trim).filter(|line| !line.is_empty()) {
        let (head, value) =
            line.split_once(':').ok_or_else(|| format!("`{line}` is no line of RFC 5545"))?;
        let name = head.split(';').next().unwrap_or_default().to_ascii_uppercase();
        let value = match name.as_str() {
            "DTSTART" | "RDATE" | "EXDATE" => {
                value.split(',').map(midnight).collect::<Result<Vec<_>, _>>()?.join(",")
            }
            "RRULE" => recurrence(value, midnight)?,
            other => return Err(format!("`{other}` has no place in a rule for evenings")),
        };
        lines.push(format!("{name}:{value}"));
    }
    Ok(lines.join("\n"))
}

fn recurrence(
    value: &str,
    midnight: impl Fn(&str) -> Result<String, String>,
) -> Result<String, String> {
    let part = |part: &str| {
        let (name, value) = part.split_once('=').unwrap_or((part, ""));
        match (name.to_ascii_uppercase().as_str(), value.to_ascii_uppercase().as_str()) {
            ("UNTIL", _) => Ok(format!("UNTIL={}", midnight(value)?)),
            ("FREQ", "HOURLY" | "MINUTELY" | "SECONDLY")
            | ("BYHOUR" | "BYMINUTE" | "BYSECOND", _) => {
                Err(format!("`{part}`: evenings recur by days or longer"))
            }
            _ => Ok(part.to_owned()),
        }
    };
    Ok(value.split(';').map(part).collect::<Result<Vec<_>, _>>()?.join(";"))
}

impl Season {
    /// Checks that every rule can be read and has at least one evening.
    ///
    /// # Errors
    ///
    /// The first [`SeasonError`].
    pub fn check(&self) -> Result<(), SeasonError> {
        let always = (Date::constant(1900, 1, 1), Date::constant(2200, 12, 31));
        for exception in &self.exceptions {
            let (from, to) = always;
            if !exception.all()?.any(|date| (from..=to).contains(&date)) {
                return Err(SeasonError::NoEvening(exception.name.clone()));
            }
        }
        Ok(())
    }
}

/// What every evening of some dates is to a studio.
///
/// Made once for a stretch of dates, because following a rule costs more than asking a week.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pattern {
    kinds: BTreeMap<Date, EveningKind>,
}

impl Pattern {
    /// What the evenings from one date to another are: the week, its exceptions, and the dates that
    /// are never offered, which win over both.
    ///
    /// A rule that cannot be read changes nothing here: [`Studio::check`] names it.
    pub fn of(studio: &Studio, (from, to): (Date, Date)) -> Pattern {
        let by_week = |date: Date| {
            let day = Day::from(date.weekday());
            if studio.week.working.contains(&day) {
                EveningKind::Working
            } else if studio.week.reserve.contains(&day) {
                EveningKind::Reserve
            } else {
                EveningKind::Never
            }
        };
        let mut kinds: BTreeMap<Date, EveningKind> = from
            .series(1.day())
            .take_while(|date| *date <= to)
            .map(|date| (date, by_week(date)))
            .collect();
        for exception in &studio.season.exceptions {
            for date in exception.dates((from, to)).unwrap_or_default() {
                kinds.insert(date, exception.kind);
            }
        }
        for never in &studio.blackouts {
            for (_, kind) in kinds.range_mut(never.from.min(never.to)..=never.to) {
                *kind = EveningKind::Never;
            }
        }
        Pattern { kinds }
    }

    /// What an evening is; outside the dates of the pattern it is never offered.
    pub fn kind(&self, date: Date) -> EveningKind {
        self.kinds.get(&date).copied().unwrap_or(EveningKind::Never)
    }

    /// All evenings with their kind, in order.
    pub fn evenings(&self) -> impl Iterator<Item = (Date, EveningKind)> + '_ {
        self.kinds.iter().map(|(date, kind)| (*date, *kind))
    }
}

/// The Monday of a date's week: weeks begin there, as ISO 8601 has it.
pub fn monday(date: Date) -> Date {
    let days_on = i64::from(date.weekday().to_monday_zero_offset());
    date.saturating_sub(days_on.days())
}
