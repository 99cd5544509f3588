//! The tide of the studio's coast: where it comes from, and what it is in the next days.

use jiff::{Timestamp, civil, tz::TimeZone};

use crate::{
    clock::{clock, date},
    text::{capital, one_line},
};

/// The page's heading.
pub const HEADING: &str = "The tide";
/// What it is for.
pub const MEANS: &str = "Spots on the shore open and shut with the water. With its tide the studio \
                         offers no start when a spot is under water.";
/// There is none.
pub const NONE: &str = "No tide has been entered. Spots with a limit of water are then never offered: \
                        what nobody knows is not dry land.";
/// Heads the next days.
pub const NEXT: &str = "High and low water, the next three days";
/// There is nothing to show.
pub const NOTHING_KNOWN: &str = "The table does not reach these days. Please enter a newer one.";
/// What it does not know.
pub const CAUTION: &str = "This is the tide of a quiet day. Wind, low pressure and swell add to it, by a \
                           metre and more in a storm. Official tide tables, warnings and local advice \
                           come first; never let the way back be cut off.";
/// Heads the form.
pub const ENTER: &str = "Enter another";
/// The text.
pub const TEXT: &str = "Paste it here";
/// Or a file.
pub const FILE: &str = "Or choose the file";
/// What is understood.
pub const TEXT_HINT: &str = "Either a table with the heading \"time,height_m\" and one high or low water \
                             a line, such as 2026-09-03 12:50,0.62 (times by the studio's clock, or with \
                             their offset), or harmonic constants as the file tide-constants of the \
                             schemas describes them.";
/// Forgets it.
pub const REMOVE: &str = "Remove the tide";
/// Nothing was given.
pub const NEEDED: &str = "Please paste a tide, or choose a file with one.";

/// A source of constants: "Harmonic constants of Invented Quay, 8 of them; heights above ...".
pub fn constants(name: &str, datum: &str, count: usize) -> String {
    format!(
        "Harmonic constants of {}, {count} of them, for any date; heights count from {}",
        one_line(name),
        one_line(datum)
    )
}

/// A table: "A table of 28 high and low waters, from Mon 1 Sep to Sun 7 Sep".
pub fn table(rows: usize, from: civil::Date, to: civil::Date) -> String {
    format!(
        "A table of {rows} high and low waters, from {} to {}",
        from.strftime("%-d %b %Y"),
        to.strftime("%-d %b %Y")
    )
}

/// The tide in one line of the studio's list.
pub fn line(source: Option<String>) -> String {
    source.unwrap_or_else(|| "None entered".to_owned())
}

/// A turn of the tide: "Thu 3 Sep, 12:50: low water, 0.6 m".
pub fn turn(time: Timestamp, height_m: f64, is_high: bool, zone: &TimeZone) -> String {
    let what = if is_high { "high" } else { "low" };
    let day = date(zone.to_datetime(time).date());
    format!("{day}, {}: {what} water, {height_m:.1} m", clock(time, zone))
}

/// Why it could not be taken.
pub fn wrong(cause: &str) -> String {
    format!("{}. Nothing was changed.", capital(&one_line(cause)))
}
