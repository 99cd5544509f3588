//! How a season is worked, in words.

use fairspell_studio::season::{EveningKind, Exception};

use crate::text::one_line;

/// The page's heading.
pub const HEADING: &str = "Season and money";
/// Heads what she works.
pub const WORK: &str = "What you work";
/// Sold in a week.
pub const SOLD_A_WEEK: &str = "Sessions sold in a week, at most";
/// Worked in a week.
pub const WORKED_A_WEEK: &str = "Sessions in a week with those moved into it, at most";
/// The longest drive.
pub const DRIVE_MAX: &str = "The longest drive, minutes";
/// A long drive.
pub const LONG_DRIVE: &str = "A drive counts as long from so many minutes on";
/// Long drives.
pub const LONG_DRIVES: &str = "Long drives in a week, at most";
/// Notice.
pub const NOTICE: &str =
    "A family hears of another evening at least so many hours before it gets ready";
/// Free moves.
pub const FREE_MOVES: &str = "Moves for weather that cost a family nothing";
/// Credit.
pub const CREDIT: &str = "A session without a date stays paid for, months";
/// Heads the way back from a deadline.
pub const BACK_PLAN: &str = "Before a deadline";
/// Choosing.
pub const CHOOSE: &str = "The family chooses, days";
/// Delivering.
pub const DELIVER: &str = "From the session to the gallery, days";
/// Weather.
pub const WEATHER: &str = "Kept free for another date, days";
/// A rush.
pub const RUSH: &str = "From the session to a single frame in a rush, days";
/// The risk of a season.
pub const RISK: &str =
    "Another session is taken while so many seasons of 100 leave somebody late, at most";
/// Schools' deadlines.
pub const DEADLINES: &str = "What schools want, and when";
/// How they are written.
pub const DEADLINES_HINT: &str =
    "One on each line: school; what for; last day as 2026-09-18; who said so.";
/// Heads the stakes.
pub const STAKES: &str = "What is at stake, in your currency";
/// What they are for.
pub const STAKES_HINT: &str = "These weigh one evening against another and stand beside the policy as \
                               advice. They never decide.";
/// Messages.
pub const MESSAGES: &str = "Writing and finding another date";
/// An evening.
pub const EVENING: &str = "An evening of yours with its fuel";
/// Getting ready.
pub const READY: &str = "Styling and time off of a family that got ready in vain";
/// Goodwill.
pub const GOODWILL: &str = "Goodwill lost by a spoilt evening";
/// A thin gallery.
pub const THIN: &str = "A thinner gallery, on a showery evening with gaps";
/// Waiting.
pub const WAITING: &str = "Each day that a family waits longer";
/// Driving.
pub const DRIVING: &str = "Each hour on the road";
/// Reselling.
pub const RESELLS: &str = "An evening sells again until so many hours before it";
/// Heads the exceptions.
pub const EXCEPTIONS: &str = "Exceptions from the week";
/// There is none.
pub const NO_EXCEPTION: &str = "Every week is like the other.";
/// Heads the form for one more.
pub const ADD_HEADING: &str = "Add an exception";
/// Why.
pub const WHY: &str = "What for";
/// What the evenings are instead.
pub const KIND: &str = "These evenings are";
/// Which days.
pub const DAYS: &str = "Days";
/// Every so many weeks.
pub const EVERY: &str = "Every so many weeks";
/// The first day.
pub const FROM: &str = "First day";
/// The last day.
pub const TO: &str = "Last day";
/// Opens the rule.
pub const BY_RULE: &str = "Or paste a rule from a calendar";
/// The rule.
pub const RULE: &str = "The rule (RFC 5545)";
/// How it is written.
pub const RULE_HINT: &str = "With DTSTART, RRULE, RDATE or EXDATE, whole days. It counts instead of the \
                             days above.";
/// Adds it.
pub const ADD: &str = "Add";
/// No day was ticked.
pub const NO_DAY: &str = "Please tick at least one day.";
/// No number of weeks.
pub const WEEKS_WRONG: &str = "Please give whole weeks, from 1 to 52.";

/// What evenings are.
pub fn kind(kind: EveningKind) -> &'static str {
    match kind {
        EveningKind::Working => "working",
        EveningKind::Reserve => "kept for weather",
        EveningKind::Never => "never offered",
    }
}

/// An exception in one line: "holidays: working".
pub fn exception(exception: &Exception) -> String {
    format!("{}: {}", one_line(&exception.name), kind(exception.kind))
}

/// A rule that cannot be.
pub fn rule_wrong(why: &str) -> String {
    format!("That rule cannot be used: {why}.")
}

/// A number out of its range.
pub fn number_wrong(most: f64) -> String {
    format!("Please give a number from 0 to {most:.0}.")
}

/// A line that is no deadline.
pub fn deadline_wrong(line: &str) -> String {
    format!(
        "\"{}\" is no deadline. One looks like Saltern High; yearbook; 2026-09-18.",
        one_line(line)
    )
}

/// The season's terms in one line: "2 sessions a week, 3 with moves; 2 deadlines".
pub fn line(sold: u16, worked: u16, deadlines: usize) -> String {
    let deadlines = match deadlines {
        0 => "no school's deadline".to_owned(),
        1 => "1 school's deadline".to_owned(),
        count => format!("{count} deadlines of schools"),
    };
    format!("{sold} sessions a week, {worked} with moves; {deadlines}")
}
