//! Numbers as people say them.

use fairspell_chance::{Chance, Probability};
use fairspell_studio::ruling::whole_percent;

/// A probability as it is printed: "40 %".
pub(crate) fn percent(p: Probability) -> String {
    format!("{} %", whole_percent(p))
}

/// A chance with its range: "75 % (between 60 and 88 %)"; the range only where it has one.
pub(crate) fn chance(chance: &Chance) -> String {
    let (low, high) = (whole_percent(chance.low), whole_percent(chance.high));
    let centre = percent(chance.centre);
    if low == high { centre } else { format!("{centre} (between {low} and {high} %)") }
}

/// Of a hundred like this one: "93"; what is not quite all stays below it, and what is not quite none
/// is said to be there.
pub(crate) fn of_hundred(p: f64) -> String {
    let p = p.clamp(0.0, 1.0);
    if p > 0.0 && p < 0.005 {
        "fewer than 1".to_owned()
    } else if (0.995..1.0).contains(&p) {
        "more than 99".to_owned()
    } else {
        format!("{:.0}", 100.0 * p)
    }
}

/// A number with so many decimals and its unit; "not known" for one that is not finite.
///
/// What rounds to zero from below loses its sign: nobody reads "-0 °C".
pub(crate) fn with_unit(value: f64, decimals: usize, unit: &str) -> String {
    if !value.is_finite() {
        return "not known".to_owned();
    }
    let text = format!("{value:.decimals$}");
    let is_zero = text.chars().all(|c| matches!(c, '-' | '0' | '.'));
    let text = if is_zero { text.trim_start_matches('-') } else { &text };
    format!("{text} {unit}")
}

/// An amount of rain: "2.4 mm"; what rounds away is still said to be there.
pub(crate) fn millimetres(mm: f64) -> String {
    if mm > 0.0 && mm < 0.05 { "less than 0.1 mm".to_owned() } else { with_unit(mm, 1, "mm") }
}

/// The amount from which rain counts as rain: "at least 0.2 mm".
///
/// Two decimals where they say something: a hundredth of an inch is 0.25 mm.
pub(crate) fn at_least(threshold_mm: Option<f64>) -> String {
    match threshold_mm.filter(|mm| mm.is_finite()) {
        Some(mm) => {
            let text = format!("{mm:.2}");
            format!("at least {} mm", text.strip_suffix('0').unwrap_or(&text))
        }
        None => "from an amount that is not known".to_owned(),
    }
}

/// Minutes as a count: "1 minute", "25 minutes".
pub(crate) fn minutes(value: f64) -> String {
    let text = with_unit(value, 0, "minutes");
    if text == "1 minutes" { "1 minute".to_owned() } else { text }
}

/// How many of the evenings just spoken of have something: "about 9 in 10 have".
pub(crate) fn of_them(percent: u8) -> String {
    match tenths(percent) {
        0 => "hardly any has".to_owned(),
        1 => "about 1 in 10 has".to_owned(),
        tenths @ 2..=9 => format!("about {tenths} in 10 have"),
        _ => "nearly all have".to_owned(),
    }
}

fn tenths(percent: u8) -> u16 {
    (u16::from(percent) + 5) / 10
}

/// How often something happens, for people who have never seen a per cent that meant anything:
/// "about 4 evenings in 10 like this get rain in these hours".
///
/// - `percent`: the chance, whole per cent.
/// - `time`: "evening" or "morning", whichever the session is.
/// - `one`, `many`: what such an evening does, what such evenings do.
///
/// # Source
///
/// "A 30% chance of rain tomorrow", Risk Analysis 25 (2005), 623-629: people read a bare per cent
/// as a share of the area or of the day; naming the evenings it counts is what they understand.
pub(crate) fn in_ten(percent: u8, time: &str, one: &str, many: &str) -> String {
    match tenths(percent) {
        0 => format!("hardly any {time} like this {one}"),
        1 => format!("about 1 {time} in 10 like this {one}"),
        tenths @ 2..=9 => format!("about {tenths} {time}s in 10 like this {many}"),
        _ => format!("nearly every {time} like this {one}"),
    }
}
