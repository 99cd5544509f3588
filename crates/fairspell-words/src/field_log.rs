//! What was made in the field, what of it was not let in, and what to ask a sitter for.

use fairspell_plan::field::Setting;
use fairspell_studio::{
    FieldRecord, Span, Spot,
    field_event::{RainTruth, Refusal, SetForm, Wetness},
    field_record::{Ending, Hold, RainSpell, Said, Seen, SetRun, THUNDER_WAIT_MIN},
    field_text::LogTextError,
    variety::{Coverage, Missing},
};
use jiff::{SignedDuration, Timestamp, tz::TimeZone};

pub use crate::grid::{
    cell_name, core_cell_prompts, core_cell_title, crop_name, expression_name, orientation_name,
    pose_name, prompt_line,
};
use crate::{
    clock::{clock, date},
    field_sheet::set_how,
    text::{and_list, capital, one_line},
};

/// The record's heading on a session's page.
pub const HEADING: &str = "What was made";
/// Nothing came from the field.
pub const EMPTY: &str = "Nothing has been handed in from the field.";
/// The coverage of the looks.
pub const COVERAGE: &str = "How varied each look is";
/// The form that takes a log as text.
pub const PASTE: &str = "The log as text";
/// What it is for.
pub const PASTE_MEANS: &str = "A field sheet that could not reach the studio gives its log as text. Paste the \
                               whole message here; what is there already stays, and nothing is taken twice.";
/// The form's field.
pub const PASTED: &str = "The message with the log";
/// The form's button.
pub const TAKE_IN: &str = "Take it in";
/// The heading when a log was taken in.
pub const TAKEN_IN: &str = "The log is in";
/// The heading when it was not.
pub const NOT_TAKEN_IN: &str = "This log could not be taken in";
/// Nobody is signed in, for a phone that hands in its log.
pub const SIGNED_OUT: &str = "Nobody is signed in on this phone any more. The log stays on the phone; sign in, and it \
                              goes out then.";
/// What a phone sent is not what was agreed.
pub const NOT_UNDERSTOOD: &str =
    "What the phone sent could not be understood. Nothing was kept; the log stays on the phone.";
/// What a phone sent is too long.
pub const TOO_LONG: &str = "The phone sent more than can be taken in at once. Nothing was kept; the log stays on the phone.";
/// Events came on a sheet that was never handed out like that.
pub const FOREIGN_SHEET: &str = "Made with a sheet that this studio did not make as it is. It may be of another \
                                 studio's folder, or somebody changed it: compare the times with your own memory.";
/// What is kept is not what was handed in.
pub const ALTERED: &str =
    "Some of this is not as it was handed in: somebody changed the file, or the disk is damaged.";

/// What came from the field, ready to be said.
#[derive(Debug, Clone, Copy)]
pub struct FieldTold<'a> {
    /// The record.
    pub record: &'a FieldRecord,
    /// The studio's spots, for their names.
    pub spots: &'a [Spot],
    /// The studio's clock.
    pub zone: &'a TimeZone,
    /// Whether a batch came on a sheet that the studio never handed out.
    pub foreign_sheet: bool,
    /// Whether what is kept differs from what was handed in.
    pub altered: bool,
}

/// What was made, line by line: the day, the sets, rain, thunder, waiting, what was seen and said.
pub fn field_record_lines(told: &FieldTold<'_>) -> Vec<String> {
    let FieldTold { record, zone, .. } = told;
    let mut lines = Vec::new();
    if told.altered {
        lines.push(ALTERED.to_owned());
    }
    if told.foreign_sheet {
        lines.push(FOREIGN_SHEET.to_owned());
    }
    lines.extend(day(record, zone));
    lines.extend(record.sets.iter().map(|run| set_line(run, told)));
    let skipped: Vec<String> =
        record.skipped.iter().map(|set| set_name(&set.id, told.spots)).collect();
    if !skipped.is_empty() {
        lines.push(format!("Left out: {}.", and_list(&skipped)));
    }
    lines.extend(rain_line(&record.rain, zone));
    lines.extend(thunder_line(&record.thunder, &record.standstills, zone));
    lines.extend(holds_line(&record.holds, zone));
    lines.extend(record.seen.iter().map(|seen| seen_line(seen, zone)));
    lines.extend(record.settings.iter().map(|said| said_line("Camera", said, told)));
    lines.extend(record.notes.iter().map(|said| said_line("Note", said, told)));
    lines.extend(record.truth.map(|truth| truth_line(truth).to_owned()));
    lines.extend(match record.unknown {
        0 => None,
        1 => Some("One tap of a newer sheet is kept, and not read here.".to_owned()),
        count => Some(format!("{count} taps of a newer sheet are kept, and not read here.")),
    });
    lines
}

/// "Thu 3 Sep: arrived 15:15, ended 17:05."
fn day(record: &FieldRecord, zone: &TimeZone) -> Option<String> {
    let begun = record.sets.first().map(|run| run.from);
    let first = record.arrived.or(begun).or(record.finished)?;
    let mut said: Vec<String> = Vec::new();
    said.extend(record.arrived.map(|at| format!("arrived {}", clock(at, zone))));
    said.extend(record.finished.map(|at| format!("ended {}", clock(at, zone))));
    let day = date(zone.to_datetime(first).date());
    Some(if said.is_empty() { format!("{day}.") } else { format!("{day}: {}.", said.join(", ")) })
}

fn set_line(run: &SetRun, told: &FieldTold<'_>) -> String {
    let form = match run.form {
        SetForm::Full => "in full",
        SetForm::Short => "short",
    };
    let ending = match run.ending {
        Ending::Made => "made",
        Ending::NotMade => "broken off",
        Ending::NotSaid => "nobody said whether it was made",
        Ending::Running => "going on",
    };
    let name = capital(&set_name(&run.set, told.spots));
    format!("{name}: {}, {form}, {ending}.", stretch(run.from, run.to, told.zone))
}

/// A set by its id, as the sheet calls it: "sage satin at Cannery Arcade, under the roof". An id of
/// another make stays as it is.
pub fn set_name(id: &str, spots: &[Spot]) -> String {
    let mut parts = id.rsplitn(3, " / ");
    let (Some(how), Some(spot), Some(look)) = (parts.next(), parts.next(), parts.next()) else {
        return one_line(id);
    };
    let (setting, is_again) = match how.strip_suffix(" again") {
        Some(first) => (first, true),
        None => (how, false),
    };
    let how = match setting {
        "open" => set_how(Setting::Open, false, is_again),
        "dashes" => set_how(Setting::Open, true, is_again),
        "umbrella" => set_how(Setting::Umbrella, false, is_again),
        "cover" => set_how(Setting::Cover, false, is_again),
        _ => format!(", {how}"),
    };
    one_line(&format!("{look} at {}{how}", spot_name(spot, spots)))
}

fn spot_name<'a>(id: &'a str, spots: &'a [Spot]) -> &'a str {
    spots.iter().find(|spot| spot.id == id).map_or(id, |spot| &spot.name)
}

/// "15:20 to 15:38", "from 15:20".
fn stretch(from: Timestamp, to: Option<Timestamp>, zone: &TimeZone) -> String {
    match to {
        Some(to) => format!("{} to {}", clock(from, zone), clock(to, zone)),
        None => format!("from {}", clock(from, zone)),
    }
}

/// What a class of rain is called.
pub fn rain_class_name(class: u8) -> &'static str {
    match class {
        0 => "dry",
        1 => "drizzle",
        2 => "rain",
        _ => "heavy rain",
    }
}

fn rain_line(spells: &[RainSpell], zone: &TimeZone) -> Option<String> {
    let said = |spell: &RainSpell| {
        format!("{} {}", rain_class_name(spell.class), stretch(spell.from, spell.to, zone))
    };
    let said: Vec<String> = spells.iter().map(said).collect();
    (!said.is_empty()).then(|| format!("As tapped: {}.", said.join("; ")))
}

fn thunder_line(times: &[Timestamp], standstills: &[Span], zone: &TimeZone) -> Option<String> {
    let times: Vec<String> = times.iter().map(|at| clock(*at, zone)).collect();
    // To the next whole minute: half a minute too soon is too soon.
    let until = standstills.last()?.to;
    let until = until.saturating_add(SignedDuration::new(59, 999_999_999)).unwrap_or(until);
    let until = clock(until, zone);
    Some(format!(
        "Thunder at {}; nobody out again before {until}, {THUNDER_WAIT_MIN} minutes after the last.",
        and_list(&times)
    ))
}

fn holds_line(holds: &[Hold], zone: &TimeZone) -> Option<String> {
    let said: Vec<String> = holds.iter().map(|it| stretch(it.from, it.to, zone)).collect();
    (!said.is_empty()).then(|| format!("Waited under cover: {}.", said.join("; ")))
}

fn seen_line(seen: &Seen, zone: &TimeZone) -> String {
    let what = seen.look.as_deref().map_or_else(|| "Hair".to_owned(), |it| capital(&one_line(it)));
    let state = match seen.state {
        Wetness::Dry => "dry",
        Wetness::Damp => "damp",
        Wetness::Wet => "wet",
    };
    format!("{what} {state} at {}.", clock(seen.at, zone))
}

fn said_line(what: &str, said: &Said, told: &FieldTold<'_>) -> String {
    let set = said.set.as_deref().map(|set| format!(", {}", set_name(set, told.spots)));
    let (at, set) = (clock(said.at, told.zone), set.unwrap_or_default());
    format!("{what} at {at}{set}: {}", one_line(&said.text))
}

/// What the evening's rain was, as she tapped it.
pub fn truth_line(truth: RainTruth) -> &'static str {
    match truth {
        RainTruth::None => "The evening's rain, as you saw it: none.",
        RainTruth::Some => "The evening's rain, as you saw it: some.",
        RainTruth::Much => "The evening's rain, as you saw it: much.",
    }
}

/// Why an event of the field was not let in.
pub fn refusal(why: Refusal) -> &'static str {
    match why {
        Refusal::NotAnEvent => "This is not a tap of a field sheet.",
        // Nothing that she could put right.
        Refusal::NoId | Refusal::NoDevice | Refusal::BadNumber => {
            "This tap was damaged on its way; the others are in."
        }
        Refusal::BadTime => "This tap's time cannot be read.",
        Refusal::NoKind => "This tap does not say what happened.",
        Refusal::NoSuchRain => {
            "There is no such rain: a sheet knows dry, drizzle, rain and heavy rain."
        }
        Refusal::BadPart => "Something that belongs to this tap is missing or cannot be read.",
        Refusal::TooLong => "This is too long: a note can have 2000 characters, a name 200.",
        Refusal::InFuture => {
            "This lies in the future. Look at the phone's clock; the tap stays on the phone."
        }
        Refusal::TooMany => "Too many taps came at once; 5000 are taken in.",
        Refusal::SameId => "Another tap with the same mark came before it, and that one stays.",
    }
}

/// Why a log as text was not taken in, and what to do.
pub fn log_text_problem(problem: &LogTextError) -> String {
    match problem {
        LogTextError::NoLog => "There is no field log in this text. Copy the whole message, from its first word to its \
                                last bracket."
            .to_owned(),
        LogTextError::CutOff => "This log is cut off: its end is missing. Some messages are sent in pieces. Ask for it \
                                 once more, or paste all the pieces one after the other."
            .to_owned(),
        LogTextError::Garbled => "This log was changed on its way and cannot be read. Ask for it once more, if possible \
                                  by e-mail."
            .to_owned(),
        LogTextError::OtherSession { found } => format!(
            "This log is of another session: {}. Open that one, and paste it there.",
            one_line(found)
        ),
        LogTextError::OtherVersion { found } => format!(
            "This log is of version {found}, and this program reads version 1. Bring the program up to date, then \
             paste it again."
        ),
    }
}

/// How much of a log was let in: "12 taps are in, 3 of them new. 1 was not taken in:".
pub fn taken_in(kept: usize, new: usize, refused: usize) -> String {
    let taps = |count: usize| match count {
        1 => "1 tap is in".to_owned(),
        count => format!("{count} taps are in"),
    };
    let new = match new {
        0 => ", none of them new".to_owned(),
        new if new == kept => String::new(),
        new => format!(", {new} of them new"),
    };
    let refused = match refused {
        0 => String::new(),
        1 => " 1 was not taken in:".to_owned(),
        count => format!(" {count} were not taken in:"),
    };
    format!("{}{new}.{refused}", taps(kept))
}

/// A tap that was not let in: "k3-17: This lies in the future."
pub fn refused_line(id: &str, why: Refusal) -> String {
    match one_line(id) {
        id if id.is_empty() => refusal(why).to_owned(),
        id => format!("{id}: {}", refusal(why)),
    }
}

/// A phone's clock was wrong: "The phone's clock was 60 minutes ahead; its times are put right."
///
/// - `skew_s`: what the phone's clock lacked, s; negative where it was ahead.
pub fn clock_corrected(skew_s: f64) -> String {
    let minutes = (skew_s.abs() / 60.0).round();
    let (unit, count) = if minutes < 120.0 {
        ("minutes", minutes)
    } else if minutes < 2880.0 {
        ("hours", (minutes / 60.0).round())
    } else {
        ("days", (minutes / 1440.0).round())
    };
    let which = if skew_s < 0.0 { "ahead" } else { "behind" };
    format!("The phone's clock was {count:.0} {unit} {which}; its times are put right.")
}

/// How varied a look is: how many of the twelve it has, which are empty, what no picture has.
pub fn coverage_lines(look: &str, coverage: &Coverage) -> Vec<String> {
    let look = capital(&one_line(look));
    let empty: Vec<&str> =
        coverage.core_empty().iter().filter_map(|core| core_cell_title(core.id)).collect();
    if empty.is_empty() {
        return vec![format!("{look}: all 12 pictures that a look should have.")];
    }
    let filled = coverage.core_filled();
    if filled == 0 {
        return vec![format!("{look}: none of the 12 pictures that a look should have.")];
    }
    let mut lines = vec![
        format!("{look}: {filled} of the 12 pictures that a look should have."),
        format!("Still empty: {}.", empty.join("; ")),
    ];
    let missing = missing_names(&coverage.missing());
    if !missing.is_empty() {
        lines.push(format!("Not in any picture yet: {}.", and_list(&missing)));
    }
    lines
}

fn missing_names(missing: &Missing) -> Vec<&'static str> {
    let crops = missing.crops.iter().map(|it| crop_name(*it));
    let poses = missing.poses.iter().map(|it| pose_name(*it));
    let expressions = missing.expressions.iter().map(|it| expression_name(*it));
    let orientations = missing.orientations.iter().map(|it| orientation_name(*it));
    crops.chain(poses).chain(expressions).chain(orientations).collect()
}
