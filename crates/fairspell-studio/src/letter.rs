//! What the family is told, as facts; the sentences are made elsewhere.

use fairspell_chance::Character;
use jiff::civil;
use serde::{Deserialize, Serialize};

use crate::{
    Band, Gate, GateKind, Outlook, Question, Rule, Ruling, Span, Step,
    ruling::{has_begun, whole_percent},
    session::Deadline,
};

/// Share of sky covered above which a dry evening is called grey (common practice).
const GREY_FROM: f64 = 0.8;

/// Which letter goes out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LetterKind {
    /// Still on.
    Settled,
    /// Still on; cloud is kind light.
    GreyButDry,
    /// Still on; we are watching.
    Watch,
    /// The family chooses.
    FamilysChoice,
    /// We advise another date.
    AdviseMoving,
    /// Not tonight: storms.
    MustMoveStorm,
    /// Not on this date: a big system over days.
    MustMoveSystem,
    /// Too hot or too cold.
    HeatOrCold,
    /// Same time, another spot.
    OtherSpot,
    /// On the day: wait, or go on with a shower about; what happens afterwards.
    Hold,
}

/// What makes it dangerous, where something does.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Danger {
    /// An official warning.
    Warning {
        /// Its event, in the service's words.
        event: String,
    },
    /// Heat, °C felt.
    Heat(f64),
    /// Cold, °C felt.
    Cold(f64),
    /// Gusts, km/h.
    Gust(f64),
}

/// The artist's side of a change.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ArtistFacts {
    /// Her name.
    pub name: String,
    /// Until when a change is free, by the clock.
    pub free_until: civil::DateTime,
    /// Whether that moment has passed.
    pub passed: bool,
}

/// What a letter says, in the studio's clock.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LetterFacts {
    /// Which letter.
    pub kind: LetterKind,
    /// The young person, by name.
    pub sitter: String,
    /// The adult, by name.
    pub guardian: String,
    /// The photographer, who signs.
    pub owner: String,
    /// What was asked of the sky when it was written.
    pub question: Question,
    /// When the letter is written.
    pub as_of: civil::DateTime,
    /// The start of the session.
    pub start: civil::DateTime,
    /// The end of its hours, at last usable light at the latest.
    pub end: civil::DateTime,
    /// Where we meet.
    pub meeting_spot: String,
    /// A spot under a roof, where there is one.
    pub roofed_spot: Option<String>,
    /// Chance of any rain (until the chair) or of a wet minute (from then on), %.
    pub rain_percent: Option<u8>,
    /// Chance of one dry gap, %.
    pub gap_percent: Option<u8>,
    /// Length of that gap, minutes.
    pub gap_min: u32,
    /// Showery or steady.
    pub character: Option<Character>,
    /// What makes it dangerous.
    pub danger: Option<Danger>,
    /// Wait until then.
    pub wait_until: Option<civil::DateTime>,
    /// Spot left out and spot taken, by name.
    pub spot_change: Option<(String, String)>,
    /// Evenings kept free for the family.
    pub reserves: Vec<civil::DateTime>,
    /// By when they should answer.
    pub reply_by: Option<civil::DateTime>,
    /// When they hear from us again.
    pub next_word: Option<(GateKind, civil::DateTime)>,
    /// The artist's terms.
    pub artist: Option<ArtistFacts>,
    /// The nearest deadline.
    pub deadline: Option<Deadline>,
}

/// Which letter a ruling asks for.
///
/// `None` while nothing is known, for then nobody is told anything; more than 48 hours ahead while
/// there is nothing to watch, and before the first word is due; and once the session has begun. What
/// must move is told at once, whenever.
pub fn letter_kind(ruling: &Ruling, outlook: &Outlook, gates: &[Gate]) -> Option<LetterKind> {
    if has_begun(gates, outlook.as_of) {
        return None;
    }
    let early = ruling.question == Question::TooEarly;
    let first_word_is_due =
        gates.iter().any(|gate| gate.kind == GateKind::FirstWord && gate.at <= outlook.as_of);
    match ruling.band {
        Band::Unknown => None,
        Band::MustMove => Some(match &ruling.rule {
            Rule::TooHot { .. } | Rule::TooCold { .. } => LetterKind::HeatOrCold,
            rule if early && is_a_big_system(rule, outlook) => LetterKind::MustMoveSystem,
            _ => LetterKind::MustMoveStorm,
        }),
        Band::Watch if early && first_word_is_due => Some(LetterKind::Watch),
        _ if early => None,
        _ if ruling.question == Question::DryGap => Some(on_the_day(ruling, outlook)),
        Band::AdviseMoving => Some(LetterKind::AdviseMoving),
        Band::FamilysChoice => Some(LetterKind::FamilysChoice),
        _ if !ruling.spot_changes.is_empty() => Some(LetterKind::OtherSpot),
        Band::Watch => Some(LetterKind::Watch),
        Band::Settled => Some(dry_letter(outlook)),
    }
}

/// Whether days ahead it looks like a low that stays: a warning for more than a day or without end,
/// or wind beyond the limit together with rain that is more likely than not.
fn is_a_big_system(rule: &Rule, outlook: &Outlook) -> bool {
    match rule {
        Rule::StopWarning { warning } => {
            warning.to.is_none_or(|to| Span { from: warning.from, to }.minutes() > 24.0 * 60.0)
        }
        _ => outlook.p_any_rain.as_ref().is_some_and(|rain| rain.value.centre.get() > 0.5),
    }
}

fn on_the_day(ruling: &Ruling, outlook: &Outlook) -> LetterKind {
    let showers_about =
        outlook.p_wet_minute.as_ref().is_some_and(|wet| whole_percent(wet.value.centre) >= 50);
    let thunder = outlook.comfort.thunder.as_ref().is_some_and(|thunder| thunder.value);
    match ruling.step {
        Some(Step::DontGo) => LetterKind::AdviseMoving,
        Some(Step::WaitUntil(_)) => LetterKind::Hold,
        _ if showers_about || thunder => LetterKind::Hold,
        _ if !ruling.spot_changes.is_empty() => LetterKind::OtherSpot,
        _ => dry_letter(outlook),
    }
}

fn dry_letter(outlook: &Outlook) -> LetterKind {
    let grey =
        outlook.comfort.cloud_area_fraction.as_ref().is_some_and(|cloud| cloud.value > GREY_FROM);
    if grey { LetterKind::GreyButDry } else { LetterKind::Settled }
}
