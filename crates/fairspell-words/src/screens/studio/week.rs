//! Working and reserve days, and dates that are never offered.

use fairspell_studio::studio::{Blackout, Day};
use jiff::civil;

use crate::text::one_line;

/// The page's heading.
pub const HEADING: &str = "The week";
/// Days that are sold.
pub const WORKING: &str = "Working days, sold to sessions";
/// Days that are kept empty.
pub const RESERVE: &str = "Reserve days, kept empty for weather";
/// What they are for.
pub const RESERVE_HINT: &str = "Letters offer their evenings when a session has to move.";
/// Days with a dawn.
pub const DAWN: &str = "Days on which dawn may be offered too";
/// School.
pub const SCHOOL: &str = "School";
/// When it is out.
pub const SCHOOL_ENDS: &str = "School is out at";
/// Why it is asked.
pub const SCHOOL_ENDS_HINT: &str = "On school days no start is offered sooner than can be reached from \
                                    there. Leave it empty if nobody goes to school.";
/// Terms.
pub const TERMS: &str = "Its terms, one line each";
/// How they are written.
pub const TERMS_HINT: &str = "\"2026-07-20 to 2026-09-25\". Leave it empty for all the year.";
/// Terms without an hour.
pub const SCHOOL_ENDS_NEEDED: &str = "Please say when school is out, or leave the terms empty too.";
/// Dates that are never offered.
pub const NEVER: &str = "Never offered";
/// There is none.
pub const NEVER_NONE: &str = "Every date may be offered.";
/// Adds one.
pub const ADD: &str = "Add";
/// Heads the form for one.
pub const ADD_HEADING: &str = "Add dates that are never offered";
/// Why.
pub const WHY: &str = "What for, such as exams";
/// First day.
pub const FROM: &str = "First day";
/// Last day.
pub const TO: &str = "Last day";
/// Takes one away.
pub const REMOVE: &str = "Remove";
/// No reason.
pub const WHY_WRONG: &str = "Please say what for.";
/// No day.
pub const DAY_WRONG: &str = "Please give a day, such as 2026-10-12.";
/// The last before the first.
pub const ORDER_WRONG: &str = "The last day lies before the first.";

/// A day of the week.
pub fn day(day: Day) -> &'static str {
    match day {
        Day::Monday => "Monday",
        Day::Tuesday => "Tuesday",
        Day::Wednesday => "Wednesday",
        Day::Thursday => "Thursday",
        Day::Friday => "Friday",
        Day::Saturday => "Saturday",
        Day::Sunday => "Sunday",
    }
}

/// A day cannot be both.
pub fn both(days: &[Day]) -> String {
    let days: Vec<&str> = days.iter().map(|one| day(*one)).collect();
    let days = crate::text::and_list(&days);
    format!("A day is either sold or kept empty, and {days} stands in both. Untick one of the two.")
}

/// A term that cannot be read.
pub fn term_wrong(line: &str) -> String {
    format!(
        "\"{}\" cannot be read as a term. One looks like \"2026-07-20 to 2026-09-25\".",
        one_line(line)
    )
}

/// A stretch of dates: "exams: 12 Oct 2026 to 6 Nov 2026".
pub fn blackout(blackout: &Blackout) -> String {
    let date = |date: civil::Date| date.strftime("%-d %b %Y").to_string();
    let name = one_line(&blackout.name);
    if blackout.from == blackout.to {
        format!("{name}: {}", date(blackout.from))
    } else {
        format!("{name}: {} to {}", date(blackout.from), date(blackout.to))
    }
}
