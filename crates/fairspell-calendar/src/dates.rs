//! Days and hours as people write them.

use jiff::civil::{self, Weekday};

use crate::{About, plain::quoted};

/// The years in which a studio has bookings; another year is a slip or a program's placeholder.
const YEARS: std::ops::RangeInclusive<i16> = 2000..=2199;

/// A day: `2026-09-03`, or another everyday form where it can only be read in one way.
///
/// With a month by its English name any order will do. In numbers alone the year comes first, or one
/// of the other two is above 12, or both are the same. A day of the week must be the right one.
///
/// # Errors
///
/// [`About::DateUnclear`] for what can be read as two days, [`About::DateUnusable`] for what cannot
/// be read or is no day.
///
/// # Examples
///
/// ```
/// use fairspell_calendar::{About, dates::read_date};
/// use jiff::civil::date;
///
/// assert_eq!(read_date("Thu 3 September 2026"), Ok(date(2026, 9, 3)));
/// assert_eq!(read_date("25.12.2026"), Ok(date(2026, 12, 25)));
/// assert_eq!(read_date("3/9/2026"), Err(About::DateUnclear("3/9/2026".to_owned())));
/// ```
pub fn read_date(text: &str) -> Result<civil::Date, About> {
    let unusable = || About::DateUnusable(quoted(text));
    let unclear = || About::DateUnclear(quoted(text));
    let parts = Parts::of(text).ok_or_else(unusable)?;
    let date = |year: &str, month: i8, day: &str| {
        let year: i16 = year.parse().ok().filter(|year| YEARS.contains(year))?;
        civil::Date::new(year, month, day.parse().ok()?).ok()
    };
    let number = |text: &str| text.parse::<i8>().map_err(|_| unusable());
    let found = match (parts.month, parts.numbers.as_slice()) {
        (Some(month), [year, day]) if year.len() == 4 => date(year, month, day),
        (Some(month), [day, year]) if year.len() == 4 => date(year, month, day),
        (None, [year, month, day]) if year.len() == 4 => date(year, number(month)?, day),
        (None, [first, second, year]) if year.len() == 4 => {
            let (a, b) = (number(first)?, number(second)?);
            match (a > 12, b > 12) {
                (true, false) => date(year, b, first),
                (false, true) => date(year, a, second),
                (false, false) if a == b => date(year, a, first),
                (false, false) => return Err(unclear()),
                (true, true) => None,
            }
        }
        (_, [_, _, year] | [_, year]) if year.len() <= 2 => return Err(unclear()),
        _ => None,
    };
    let found = found.ok_or_else(unusable)?;
    match parts.weekday {
        Some(weekday) if weekday != found.weekday() => Err(unclear()),
        _ => Ok(found),
    }
}

/// What a date is made of.
struct Parts<'a> {
    numbers: Vec<&'a str>,
    month: Option<i8>,
    weekday: Option<Weekday>,
}

impl<'a> Parts<'a> {
    fn of(text: &'a str) -> Option<Self> {
        let mut parts = Parts { numbers: Vec::new(), month: None, weekday: None };
        let between = |c: char| c.is_whitespace() || matches!(c, ',' | '/' | '.' | '-');
        for word in text.split(between).filter(|word| !word.is_empty()) {
            if let Some(number) = number_in(word) {
                parts.numbers.push(number);
            } else if let (None, Some(month)) = (parts.month, month_of(word)) {
                parts.month = Some(month);
            } else if let (None, Some(weekday)) = (parts.weekday, weekday_of(word)) {
                parts.weekday = Some(weekday);
            } else {
                return None;
            }
        }
        Some(parts)
    }
}

/// A number, also as "3rd".
fn number_in(word: &str) -> Option<&str> {
    let digits = ["st", "nd", "rd", "th"]
        .iter()
        .find_map(|ending| word.strip_suffix(ending))
        .unwrap_or(word);
    let is_number = (1..=4).contains(&digits.len()) && digits.bytes().all(|b| b.is_ascii_digit());
    Some(digits).filter(|_| is_number)
}

fn month_of(word: &str) -> Option<i8> {
    const MONTHS: [&str; 12] = [
        "january",
        "february",
        "march",
        "april",
        "may",
        "june",
        "july",
        "august",
        "september",
        "october",
        "november",
        "december",
    ];
    let month = MONTHS.iter().position(|name| is_short_for(word, name))?;
    i8::try_from(month + 1).ok()
}

fn weekday_of(word: &str) -> Option<Weekday> {
    const DAYS: [&str; 7] =
        ["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"];
    let day = DAYS.iter().position(|name| is_short_for(word, name))?;
    Weekday::from_monday_one_offset(i8::try_from(day + 1).ok()?).ok()
}

/// Whether a word is a name's beginning, at least three letters of it.
fn is_short_for(word: &str, name: &str) -> bool {
    word.len() >= 3 && name.starts_with(&word.to_ascii_lowercase())
}

/// An hour: `15:15`, `15.15`, `15h15`, `3:15 pm`, `3 pm`.
///
/// # Errors
///
/// [`About::HourUnusable`] for anything else. Noon and midnight are written 12:00 and 00:00, or with
/// am or pm as usual.
///
/// # Examples
///
/// ```
/// use fairspell_calendar::dates::read_hour;
/// use jiff::civil::time;
///
/// assert_eq!(read_hour("3:15 pm"), Ok(time(15, 15, 0, 0)));
/// assert!(read_hour("teatime").is_err());
/// ```
pub fn read_hour(text: &str) -> Result<civil::Time, About> {
    hour_in(text).ok_or_else(|| About::HourUnusable(quoted(text)))
}

fn hour_in(text: &str) -> Option<civil::Time> {
    let text = text.trim().to_ascii_lowercase().replace("a.m.", "am").replace("p.m.", "pm");
    let (clock, half) = if let Some(clock) = text.strip_suffix("am") {
        (clock, Some(0))
    } else if let Some(clock) = text.strip_suffix("pm") {
        (clock, Some(12))
    } else {
        (text.as_str(), None)
    };
    let parts: Vec<&str> = clock.trim().split([':', '.', 'h']).collect();
    let number = |text: &str| {
        let is_number = (1..=2).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_digit());
        text.parse::<i8>().ok().filter(|_| is_number)
    };
    let (hour, minute) = match parts.as_slice() {
        [hour] if half.is_some() => (number(hour)?, 0),
        [hour, ""] if clock.ends_with('h') => (number(hour)?, 0),
        [hour, minute] => (number(hour)?, number(minute).filter(|_| minute.len() == 2)?),
        // Spreadsheets add seconds; a session begins on the minute.
        [hour, minute, "00"] => (number(hour)?, number(minute).filter(|_| minute.len() == 2)?),
        _ => return None,
    };
    let hour = match half {
        None => hour,
        Some(half) => (1..=12).contains(&hour).then_some(hour % 12 + half)?,
    };
    civil::Time::new(hour, minute, 0, 0).ok()
}
