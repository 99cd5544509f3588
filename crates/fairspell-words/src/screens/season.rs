//! All sessions, the evenings kept free, and bookings that come in from elsewhere.

use fairspell_studio::season::EveningKind;
use jiff::civil;

use crate::{
    clock::{date, date_and_clock},
    text::one_line,
};

/// The page's heading.
pub const HEADING: &str = "Season";
/// Begins a session.
pub const NEW: &str = "New session";
/// Leads to the import.
pub const IMPORT: &str = "Import bookings";
/// Leads to the week's pattern.
pub const TO_WEEK: &str = "Working and reserve days";
/// An evening that lies behind.
pub const OVER: &str = "over";
/// A date that is moved away from.
pub const MOVED_TO: &str = "Moved to";

/// How the season stands.
pub const AT_RISK: &str = "How the season stands";
/// No session is ahead.
pub const NOTHING_AHEAD: &str = "No session lies ahead. Book one, and its risk stands here.";
/// Leads to past evenings.
pub const TO_CLIMATE: &str = "Past evenings";
/// Heads the weeks.
pub const WEEKS: &str = "Weeks";
/// The week has no day that is sold.
pub const NO_EVENING: &str = "No evening of these weeks is sold or kept for weather.";
/// Looks for another evening.
pub const MOVE: &str = "Another evening";
/// Ends the search for another evening.
pub const MOVING_NOT: &str = "Leave it where it is";
/// Goes back to the choice of an evening.
pub const ANOTHER_EVENING: &str = "Try another evening";
/// An evening that the sky has ruled out.
pub const RULED_OUT: &str = "The policy, the light or the clock rules this evening out.";

/// The plan's heading, and the link that leads to it.
pub const PLAN: &str = "Plan moves";
/// What the plan is for.
pub const PLAN_MEANS: &str = "When weather takes more than one evening: the least costly evenings for all \
                              families together. Nothing is saved before you accept it.";
/// Which sessions.
pub const WHICH: &str = "Which sessions have to move?";
/// None is near.
pub const NONE_NEAR: &str = "No session lies within the next three weeks.";
/// Nothing was chosen.
pub const CHOOSE_ONE: &str = "Please tick at least one session.";
/// A session that is not there.
pub const NO_SUCH_SESSION: &str = "One of these sessions is not there any more.";
/// A session that began, ended or moved while the plan was looked at.
pub const CANNOT_MOVE_NOW: &str =
    "One of these sessions has begun or was moved meanwhile. Please plan again; nothing was moved.";
/// No date.
pub const DATE_WRONG: &str = "Please give a date that is in the calendar, such as 2026-09-03.";
/// Finds the plan.
pub const FIND_PLAN: &str = "Find the plan";
/// Heads the plan.
pub const THE_PLAN: &str = "The plan";
/// Heads an answer that is none.
pub const NO_PLAN: &str = "There is no plan for all of them";
/// A session's evening, chosen by hand.
pub const OTHER_EVENING: &str = "Another evening for this family";
/// Left to the plan.
pub const WHATEVER_IS_BEST: &str = "whatever is best for all";
/// Plans again with what was chosen.
pub const WEIGH_AGAIN: &str = "Plan again";
/// All stay.
pub const NOTHING_MOVES: &str = "Every session is best left where it is.";
/// What accepting does.
pub const ACCEPT_MEANS: &str = "The sessions move in the season; the families hear of it from you.";

/// Past evenings: the heading.
pub const CLIMATE: &str = "Past evenings";
/// What they are for.
pub const CLIMATE_MEANS: &str = "How often did such evenings have rain here? Counted from an archived record of a \
                                 weather station, which you bring as a file. It says nothing of any one \
                                 evening: only the forecast does.";
/// The file.
pub const CLIMATE_FILE: &str = "The record";
/// Which files can be read.
pub const CLIMATE_LAYOUTS: &str = "GHCN-Daily files (.dly or CSV), or hours as CSV with the columns time and \
                                   rain_amount_mm.";
/// What the station is called.
pub const CLIMATE_STATION: &str = "Which station, where the file holds several or names none";
/// Where it stands.
pub const CLIMATE_AT: &str = "Where it stands, where the file does not say";
/// Takes it in.
pub const CLIMATE_TAKE: &str = "Take it in";
/// Heads the months.
pub const CLIMATE_MONTHS: &str = "The two hours before sunset, month by month";
/// The columns of that table.
pub const CLIMATE_COLUMNS: [&str; 4] =
    ["Month", "Counted", "Chance of rain in these hours", "Chance of a dry hour among them"];
/// How months are counted.
pub const CLIMATE_MONTHS_MEAN: &str = "Each month with the 15 days before and after it; from few evenings the                                        chance leans toward our estimate of 20 %.";
/// Heads the stations.
pub const STATIONS: &str = "Stations";
/// The columns of that table.
pub const STATION_COLUMNS: [&str; 4] = ["Station", "From home", "Record", "It speaks for you"];
/// It does.
pub const SPEAKS: &str = "yes";
/// Lets another one speak.
pub const LET_SPEAK: &str = "Let it speak";
/// Lets the nearest one speak.
pub const LET_NEAREST: &str = "Let the nearest one speak";
/// Takes a record out.
pub const REMOVE_STATION: &str = "Remove";
/// Nobody knows how far.
pub const FAR_UNKNOWN: &str = "not known";
/// Nobody can say.
pub const CANNOT_SAY: &str = "cannot say";

/// What a month's chance was counted on: "12 of 75 evenings".
pub fn counted(wet: usize, evenings: usize) -> String {
    format!("{wet} of {evenings} evenings")
}

/// What a station has: "21900 hours, 1 Jan 2024 to 30 Jun 2026".
pub fn station_record(
    known: usize,
    is_hourly: bool,
    span: Option<(civil::Date, civil::Date)>,
) -> String {
    let what = if is_hourly { "hours" } else { "days" };
    let when = span.map(|(first, last)| {
        format!(", {} to {}", first.strftime("%-d %b %Y"), last.strftime("%-d %b %Y"))
    });
    format!("{known} {what}{}", when.unwrap_or_default())
}

/// A button's name, for whoever hears it: "Remove: JFK".
pub fn station_button(what: &str, station: &str) -> String {
    format!("{what}: {}", one_line(station))
}

/// A session that looks for another evening.
pub fn moving(sitter: &str, start: civil::DateTime) -> String {
    format!(
        "Another evening for {} ({})? Choose one below.",
        one_line(sitter),
        date_and_clock(start)
    )
}

/// A week: "Week of Mon 7 Sep".
pub fn week(monday: civil::Date) -> String {
    format!("Week of {}", date(monday))
}

/// Why a week has evenings that are never offered: "Never: exams".
pub fn never(names: &[&str]) -> String {
    let names: Vec<String> = names.iter().map(|name| one_line(name)).collect();
    format!("Never: {}", names.join(", "))
}

/// What an evening is.
pub fn kind(kind: EveningKind) -> &'static str {
    match kind {
        EveningKind::Working => "free",
        EveningKind::Reserve => "reserve",
        EveningKind::Never => "never",
    }
}

/// The last evening that still serves a deadline.
pub fn latest(evening: civil::Date) -> String {
    format!("At the latest on {}", date(evening))
}

/// The button's name, for whoever hears it.
pub fn move_label(sitter: &str) -> String {
    format!("Another evening for {}", one_line(sitter))
}

/// The light of an evening, in words.
pub fn clear(day: civil::Date) -> String {
    format!("The light of {} under a clear sky; no forecast is drawn", date(day))
}

/// Tries an evening: "Try Sun 20 Sep".
pub fn put_here(day: civil::Date) -> String {
    format!("Try {}", date(day))
}

/// Sessions that are over or moved.
pub fn behind(count: usize) -> String {
    format!("Over or moved: {count}")
}

/// Heads what would change.
pub fn try_heading(sitter: &str, day: civil::Date) -> String {
    format!("{} on {}?", one_line(sitter), date(day))
}

/// The evening cannot be.
pub fn not_there(why: &str) -> String {
    format!("That evening cannot be: {why}.")
}

/// Moves the session.
pub fn move_there(start: civil::DateTime) -> String {
    format!("Move to {}", date_and_clock(start))
}

/// When it is booked.
pub fn booked(start: civil::DateTime) -> String {
    format!("Booked for {}", date_and_clock(start))
}

/// A session that no evening is left for.
pub fn without_date(sitter: &str) -> String {
    format!("{}: no evening", one_line(sitter))
}

/// An evening with its cost.
pub fn option(day: civil::Date, cost: f64) -> String {
    format!("{}, costs {cost:.0}", date(day))
}

/// Accepts the plan.
pub fn accept(count: usize) -> String {
    if count == 1 {
        "Accept: move 1 session".to_owned()
    } else {
        format!("Accept: move {count} sessions")
    }
}

/// The import's heading.
pub const IMPORT_HEADING: &str = "Import bookings";
/// What can be read.
pub const IMPORT_MEANS: &str = "A spreadsheet saved as CSV, or a calendar saved as ICS. Nothing is \
                                saved before you have seen what it makes.";
/// The columns of a spreadsheet.
pub const IMPORT_COLUMNS: &str = "A spreadsheet needs a heading with the columns name, date and start. \
                                  It may also have guardian, minutes, place, email, phone, looks (with \
                                  ; between them), deadline and deadline_for. Dates are safest as \
                                  2026-09-03.";
/// The file's field.
pub const FILE: &str = "The file";
/// Shows what it makes.
pub const LOOK: &str = "Show what it makes";
/// No file was chosen.
pub const NO_FILE: &str = "Please choose a file.";
/// The preview's heading.
pub const PREVIEW: &str = "What it makes";
/// Nothing came of it.
pub const NOTHING: &str = "Nothing in this file makes a new session.";
/// What could not be used.
pub const REMARKS: &str = "What you should know";
/// Saves.
pub const CONFIRM: &str = "Import these";
/// Goes back to the choice.
pub const OTHER_FILE: &str = "Choose another file";
/// The studio has no spot yet.
pub const NO_SPOT: &str =
    "Sessions need a spot to stand at. Add one under Places first, then import.";

/// The file is larger than a page can carry.
pub fn too_large(most_mb: usize) -> String {
    format!(
        "That file is larger than {most_mb} MB. Save a shorter stretch of it, or import it on the \
         computer itself: fairspell import bookings FILE --data FOLDER."
    )
}

/// Why a file cannot be read at all.
pub fn unreadable(why: &str) -> String {
    format!("This file cannot be used: {why}. Nothing was saved.")
}

/// A session in the list: "Thu 3 Sep, 15:15: Linh".
pub fn session(start: civil::DateTime, sitter: &str) -> String {
    format!("{}: {}", date_and_clock(start), one_line(sitter))
}

/// A session that would be made: "Thu 3 Sep 2026, 15:15, 110 minutes: Linh, with Quoc".
pub fn made(start: civil::DateTime, minutes: u32, sitter: &str, guardian: &str) -> String {
    let when = start.strftime("%a %-d %b %Y, %H:%M");
    let (sitter, guardian) = (one_line(sitter), one_line(guardian));
    let with = if sitter == guardian { String::new() } else { format!(", with {guardian}") };
    format!("{when}, {minutes} minutes: {sitter}{with}")
}

/// How many would be made: "3 sessions and 5 people will be made."
pub fn count(sessions: usize, people: usize) -> String {
    let sessions =
        if sessions == 1 { "1 session".to_owned() } else { format!("{sessions} sessions") };
    let people = if people == 1 { "1 person".to_owned() } else { format!("{people} people") };
    format!("{sessions} and {people} will be made. Nothing is saved yet.")
}
