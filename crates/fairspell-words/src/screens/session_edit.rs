//! Making a session, and changing one.

use fairspell_studio::{LightWish, Person, Role};

use crate::{clock::date_and_clock, text::one_line};

/// Heads an empty form.
pub const NEW_HEADING: &str = "A new session";
/// Heads a filled one.
pub const EDIT_HEADING: &str = "Change a session";
/// The sitter's field.
pub const SITTER: &str = "Who is portrayed";
/// How letters use it.
pub const SITTER_HINT: &str = "The name by which letters call her or him.";
/// The guardian's field.
pub const GUARDIAN: &str = "The adult who consents and pays";
/// It may stay empty.
pub const GUARDIAN_HINT: &str = "Leave it empty when that is the same person.";
/// When it is.
pub const WHEN: &str = "When";
/// The date's field.
pub const DATE: &str = "Date";
/// The start's field.
pub const START: &str = "Start, by the clock on your studio's wall";
/// The length's field.
pub const MINUTES: &str = "Booked for, minutes";
/// The drive's field.
pub const DRIVE: &str = "Drive from home, minutes";
/// Heads hair and make-up.
pub const GETTING_READY: &str = "Hair and make-up";
/// Who does it.
pub const WHO_STYLES: &str = "Done by";
/// Somebody at home does.
pub const AT_HOME: &str = "somebody at home";
/// The artist does.
pub const ARTIST: &str = "the artist";
/// When it begins.
pub const CHAIR: &str = "Begins before the start, minutes";
/// Heads the looks.
pub const LOOKS: &str = "Looks, in the planned order";
/// Rows may stay empty.
pub const LOOKS_HINT: &str =
    "Rows without a name are passed over. More empty rows come when you save.";
/// The look's name.
pub const LOOK_NAME: &str = "Look";
/// Its spot.
pub const LOOK_SPOT: &str = "Spot";
/// Drops show.
pub const SHOWS_DROPS: &str = "Drops show on it";
/// Water marks it for good.
pub const MARKS_FOR_GOOD: &str = "Water marks it for good";
/// Its colour.
pub const COLOUR: &str = "Colour";
/// What it is made of.
pub const FABRIC: &str = "Made of";
/// What the last two are for.
pub const TABLE_HINT: &str =
    "Your table of looks knows what drops do to it; the two boxes below count more.";
/// How far it reaches.
pub const HEM: &str = "It reaches";
/// The hair.
pub const HAIR: &str = "Hair";
/// The shoes.
pub const SHOES: &str = "Shoes";
/// The light that a look wants.
pub const WANTS: &str = "Light it wants";
/// There is no spot to stand.
pub const NO_SPOT: &str = "A look needs a spot, and there is none yet.";
/// Makes one.
pub const NEW_SPOT: &str = "Make a spot first";
/// Heads the deadline.
pub const DEADLINE: &str = "A picture must be handed in";
/// What for.
pub const DEADLINE_NAME: &str = "For what";
/// By when.
pub const DEADLINE_DATE: &str = "By which day";
/// Who comes.
pub const PEOPLE: &str = "Who comes";
/// Nobody is known yet.
pub const NOBODY: &str = "Nobody is in your list of people yet.";
/// To the list.
pub const TO_PEOPLE: &str = "New person";
/// Deletes.
pub const DELETE: &str = "Delete this session";
/// What deleting does.
pub const DELETE_MEANS: &str = "It can be undone. Letters and answers stay in the record.";

/// The clocks jump over the start.
pub const START_SKIPPED: &str =
    "There is no such hour on that day: the clocks go forward past it. Please choose another.";
/// The start comes twice.
pub const START_REPEATED: &str =
    "This hour comes twice on that day: the clocks go back over it. Please choose another.";
/// No minutes.
pub const MINUTES_WRONG: &str = "Please write whole minutes, from 1 to 1440.";
/// Nothing is planned.
pub const NO_LOOKS: &str = "Please name at least one look.";
/// The spot is gone.
pub const UNKNOWN_SPOT: &str = "That spot is not there any more. Please choose another.";
/// A deadline with half of it missing.
pub const DEADLINE_NAME_WRONG: &str = "Please say what it is for, or leave the day empty too.";
/// The other half.
pub const DEADLINE_DATE_WRONG: &str = "Please give the day, or leave the name empty too.";

/// A look's row: "Look 2".
pub fn look_row(number: usize) -> String {
    format!("Look {number}")
}

/// A person to tick: "Quoc, the adult who consents".
pub fn person(person: &Person) -> String {
    let role = match person.role {
        Role::Sitter => "who is portrayed",
        Role::Guardian => "the adult who consents",
        Role::Companion => "comes along",
    };
    format!("{}, {role}", one_line(&person.name))
}

/// The artist by name: "Marama, your artist".
pub fn artist(name: &str) -> String {
    format!("{}, your artist", one_line(name))
}

/// A light that a look may want.
pub fn wish(wish: LightWish) -> &'static str {
    match wish {
        LightWish::Any => "whatever flatters",
        LightWish::OpenShade => "open shade",
        LightWish::Backlight => "low sun behind",
        LightWish::LowSun => "low sun on the face",
        LightWish::Afterglow => "afterglow",
        LightWish::Blue => "blue hour",
    }
}

/// What its dates depend on.
pub const DATES: &str = "Dates";
/// Dates on which the family cannot come.
pub const CANNOT: &str = "Dates on which the family cannot come";
/// How dates are written.
pub const DATES_HINT: &str = "As 2026-09-20, with commas between them.";
/// Dates that the family likes best.
pub const PREFERS: &str = "Dates that the family would like best";
/// Permits.
pub const PERMITS: &str = "Permits";
/// How permits are written.
pub const PERMITS_HINT: &str = "One on each line: spot; date; asked or granted.";
/// Asked for.
pub const PERMIT_ASKED: &str = "asked";
/// Given.
pub const PERMIT_GRANTED: &str = "granted";

/// What is no date.
pub fn date_wrong(text: &str) -> String {
    format!("\"{}\" is no date. One looks like 2026-09-20.", one_line(text))
}

/// What is no permit.
pub fn permit_wrong(line: &str) -> String {
    format!(
        "\"{}\" is no permit of one of your spots. One looks like Veranda; 2026-09-17; granted.",
        one_line(line)
    )
}

/// Another session has some of these hours.
pub fn overlaps(sitter: &str, start: jiff::civil::DateTime) -> String {
    format!(
        "{} is booked for some of these hours ({}). Choose another time, or move that session first.",
        one_line(sitter),
        date_and_clock(start)
    )
}
