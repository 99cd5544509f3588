//! The hours of a spot, as lines of text: "Tue Thu 8:00-19:30".

use fairspell_studio::{site::OpenHours, studio::Day};
use fairspell_words::screens::studio::week;
use jiff::civil::Time;

const DAYS: [Day; 7] = [
    Day::Monday,
    Day::Tuesday,
    Day::Wednesday,
    Day::Thursday,
    Day::Friday,
    Day::Saturday,
    Day::Sunday,
];

/// The first line that cannot be read, counted from one.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("line {line} of the hours cannot be read: `{text}`")]
pub struct NotHours {
    /// Which line.
    pub line: usize,
    /// Its text.
    pub text: String,
}

/// Reads hours, one stretch a line: days, if it isn't all of them, then from and to.
///
/// A stretch whose end is before its beginning is past midnight. Days are named by their first three
/// letters or more. Empty lines are passed over.
///
/// # Errors
///
/// [`NotHours`] names the first line that is not of this form.
///
/// # Examples
///
/// ```
/// use fairspell_web::hours_input::{read_hours, written_hours};
///
/// let hours = read_hours("tue, Thursday 8:00 - 19:30\n20:00-1:00").unwrap();
/// assert_eq!(written_hours(&hours), "Tue Thu 08:00-19:30\n20:00-01:00");
/// ```
pub fn read_hours(text: &str) -> Result<Vec<OpenHours>, NotHours> {
    let lines = text.lines().enumerate().filter(|(_, line)| !line.trim().is_empty());
    let hours = lines.map(|(index, line)| {
        stretch(line).ok_or_else(|| NotHours { line: index + 1, text: line.trim().to_owned() })
    });
    hours.collect()
}

/// Hours as the lines that [`read_hours`] reads.
pub fn written_hours(hours: &[OpenHours]) -> String {
    let line = |hours: &OpenHours| {
        let days = hours.days.iter().map(|day| week::day(*day)[..3].to_owned());
        let clock = format!("{}-{}", hours.from.strftime("%H:%M"), hours.to.strftime("%H:%M"));
        days.chain([clock]).collect::<Vec<_>>().join(" ")
    };
    hours.iter().map(line).collect::<Vec<_>>().join("\n")
}

fn stretch(line: &str) -> Option<OpenHours> {
    let clock_begins = line.find(|c: char| c.is_ascii_digit())?;
    let (days, clock) = line.split_at(clock_begins);
    let days = days.split([' ', ',', ':']).map(str::trim).filter(|word| !word.is_empty());
    let days: Option<Vec<Day>> = days.map(day).collect();
    let (from, to) = clock.split_once(['-', '\u{2013}'])?;
    let (from, to) = (time(from)?, time(to)?);
    (from != to).then_some(OpenHours { days: days?, from, to })
}

fn day(word: &str) -> Option<Day> {
    let word = word.to_lowercase();
    let is_meant = |day: &Day| word.len() >= 3 && week::day(*day).to_lowercase().starts_with(&word);
    DAYS.into_iter().find(is_meant)
}

fn time(text: &str) -> Option<Time> {
    let (hour, minute) = text.trim().split_once([':', '.'])?;
    Time::new(hour.parse().ok()?, minute.parse().ok()?, 0, 0).ok()
}
