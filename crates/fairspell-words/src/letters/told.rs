//! What all letters say alike: dates, odds, warnings, terms.

use fairspell_chance::Character;
use fairspell_studio::{LetterFacts, Question, letter::Danger, session::Deadline};
use jiff::civil::DateTime;

use super::draft::{Draft, Paragraph};
use crate::{
    avoid::avoided_words,
    clock::{date, date_and_clock},
    numbers::{in_ten, of_them, with_unit},
    text::{capital, count_words, one_line},
};

/// Most words of an official event's name that a letter repeats; longer ones stay "a warning".
const EVENT_WORDS_MAX: usize = 5;

/// The facts of a letter with what follows from them, and the phrases that several letters share.
pub(super) struct Told<'a> {
    pub(super) facts: &'a LetterFacts,
    pub(super) sitter: String,
    pub(super) owner: String,
    /// Where we meet.
    pub(super) spot: String,
    /// A spot under a roof.
    pub(super) roof: Option<String>,
    /// The deadline, while it lies ahead of the session.
    pub(super) deadline: Option<&'a Deadline>,
    /// Evenings that can be offered instead: ahead, and before the deadline; two at most.
    pub(super) evenings: Vec<DateTime>,
    /// The first evening that comes too late for the deadline: good for a second part.
    pub(super) late_evening: Option<DateTime>,
}

impl<'a> Told<'a> {
    pub(super) fn new(facts: &'a LetterFacts) -> Self {
        let deadline = facts.deadline.as_ref().filter(|due| due.date >= facts.start.date());
        let in_time = |evening: &DateTime| deadline.is_none_or(|due| evening.date() < due.date);
        let mut ahead: Vec<DateTime> = facts.reserves.clone();
        ahead.retain(|evening| *evening > facts.as_of && *evening != facts.start);
        ahead.dedup();
        let (mut evenings, late): (Vec<_>, Vec<_>) = ahead.into_iter().partition(in_time);
        evenings.truncate(2);
        Told {
            facts,
            sitter: one_line(&facts.sitter),
            owner: one_line(&facts.owner),
            spot: one_line(&facts.meeting_spot),
            roof: facts.roofed_spot.as_deref().map(one_line).filter(|roof| !roof.is_empty()),
            deadline,
            evenings,
            late_evening: late.first().copied(),
        }
    }

    /// "Dear Linh and Quoc," and once only where one person is both.
    pub(super) fn greeting(&self) -> String {
        let guardian = one_line(&self.facts.guardian);
        match (self.sitter.as_str(), guardian.as_str()) {
            ("", "") => "Hello,".to_owned(),
            (name, "") | ("", name) => format!("Dear {name},"),
            (sitter, guardian) if sitter == guardian => format!("Dear {sitter},"),
            (sitter, guardian) => format!("Dear {sitter} and {guardian},"),
        }
    }

    /// The session's day and hour.
    pub(super) fn start(&self) -> String {
        date_and_clock(self.facts.start)
    }

    /// Whether the letter is written on the day of the session.
    pub(super) fn is_today(&self) -> bool {
        self.facts.as_of.date() == self.facts.start.date()
    }

    /// "today, 15:15", or day and hour.
    pub(super) fn start_from_here(&self) -> String {
        if self.is_today() {
            format!("today, {}", self.facts.start.strftime("%H:%M"))
        } else {
            self.start()
        }
    }

    /// "this evening", on the day.
    pub(super) fn part_of_day(&self) -> &'static str {
        if self.facts.start.hour() < 12 {
            "this morning"
        } else if self.facts.end.hour() >= 17 {
            "this evening"
        } else {
            "this afternoon"
        }
    }

    /// Whether hair and make-up have begun, so that money is sunk.
    pub(super) fn chair_has_passed(&self) -> bool {
        self.facts.question == Question::DryGap
    }

    /// "evening", or "morning" for a session at dawn.
    fn time(&self) -> &'static str {
        if self.facts.start.hour() < 12 { "morning" } else { "evening" }
    }

    /// "About 4 evenings in 10 like this get rain in these hours."
    pub(super) fn odds(&self) -> Option<String> {
        let percent = self.facts.rain_percent?;
        let text =
            in_ten(percent, self.time(), "gets rain in these hours", "get rain in these hours");
        Some(format!("{}.", capital(&text)))
    }

    /// Rain and gap in one sentence, where both are known: "About 5 evenings in 10 like this get rain
    /// in these hours; about 9 in 10 have 25 dry minutes in a row, enough for us."
    pub(super) fn odds_with_gap(&self) -> Option<String> {
        let odds = self.odds()?;
        let Some(gap) = self.facts.gap_percent else { return Some(odds) };
        let how_many = of_them(gap);
        let minutes = self.facts.gap_min;
        let enough = if gap >= 50 { ", enough for us" } else { "" };
        let rain = odds.trim_end_matches('.');
        Some(format!("{rain}; {how_many} {minutes} dry minutes in a row{enough}."))
    }

    /// "about 9 evenings in 10 like this have 25 dry minutes in a row"
    pub(super) fn gap_odds(&self) -> Option<String> {
        let minutes = self.facts.gap_min;
        let one = format!("has {minutes} dry minutes in a row");
        let many = format!("have {minutes} dry minutes in a row");
        Some(in_ten(self.facts.gap_percent?, self.time(), &one, &many))
    }

    pub(super) fn character(&self) -> Option<Character> {
        self.facts.character
    }

    /// "An official flood watch covers our hours or the road.", where a warning is told.
    ///
    /// Also for heat, cold and gusts, so that no letter leaves out a danger that it was given.
    pub(super) fn danger(&self) -> Option<String> {
        let said = match self.facts.danger.as_ref()? {
            Danger::Warning { event } => {
                format!("{} covers our hours or the road.", capital(&official(event)))
            }
            Danger::Heat(felt_c) => match degrees(*felt_c) {
                Some(felt) => format!("Even in the shade it will feel like about {felt}."),
                None => "Great heat is expected.".to_owned(),
            },
            Danger::Cold(felt_c) => match degrees(*felt_c) {
                Some(felt) => format!("It will feel like about {felt}."),
                None => "Great cold is expected.".to_owned(),
            },
            Danger::Gust(gust_km_h) if gust_km_h.is_finite() => {
                let gust = with_unit(*gust_km_h, 0, "km/h");
                format!("Gusts of about {gust} are too strong to stand in safely.")
            }
            Danger::Gust(_) => "Gusts too strong to stand in safely are expected.".to_owned(),
        };
        Some(said)
    }

    /// The danger in a letter that does not move the date: it comes before the plan.
    pub(super) fn danger_comes_first(&self) -> Option<String> {
        Some(format!("{} That comes before this plan.", self.danger()?))
    }

    /// "Both dates come before your yearbook is due (Fri 18 Sep)."
    pub(super) fn deadline_allows(&self) -> Option<String> {
        let due = self.deadline?;
        let dates = match self.evenings.len() {
            0 => return None,
            1 => "That date comes",
            _ => "Both dates come",
        };
        Some(format!("{dates} before your {} is due ({}).", named(due), date(due.date)))
    }

    /// Whether a deadline lies ahead that no evening meets.
    pub(super) fn deadline_is_tight(&self) -> bool {
        self.deadline.is_some() && self.evenings.is_empty()
    }

    /// By when to answer, while that lies ahead.
    pub(super) fn reply_by(&self) -> Option<DateTime> {
        self.facts.reply_by.filter(|by| *by > self.facts.as_of)
    }

    /// When they hear from us again, while that lies ahead.
    pub(super) fn next_word(&self) -> Option<String> {
        let (_, at) = self.facts.next_word?;
        (at > self.facts.as_of).then(|| date_and_clock(at))
    }

    /// What the artist's terms mean for a family that chooses.
    pub(super) fn artist_terms(&self) -> Option<String> {
        let artist = self.facts.artist.as_ref()?;
        let name = one_line(&artist.name);
        Some(if artist.passed || artist.free_until <= self.facts.as_of {
            format!("With {name} a change may now cost something; I'll ask.")
        } else {
            format!("With {name} a change is free until {}.", date_and_clock(artist.free_until))
        })
    }

    /// Who speaks to the artist when a move is not the family's choice.
    pub(super) fn speak_to_artist(&self) -> Option<String> {
        let artist = self.facts.artist.as_ref()?;
        Some(format!("I'll speak to {}.", one_line(&artist.name)))
    }

    /// What has already been spent, or need not be, on the day itself.
    pub(super) fn spent(&self, paragraph: &mut Paragraph) {
        if self.chair_has_passed() {
            paragraph.or(
                "I'm sorry for the time and money already spent.",
                "I'm sorry for today's cost.",
            );
        } else if self.is_today() {
            paragraph.must("Please don't begin hair and make-up.");
        }
    }

    /// The warm line, to the young person by name: "Either way, Linh, we'll make it yours."; without
    /// the name where that takes too many words.
    pub(super) fn warm(&self, draft: &mut Draft, before: &str, after: &str) {
        let without = format!("{before}{after}");
        let with = match self.sitter.as_str() {
            "" => without.clone(),
            name => format!("{before}, {name}{after}"),
        };
        draft.paragraph().or(with, without);
    }
}

/// What a move costs the family with us; the artist has her own terms.
pub(super) const MOVE_IS_FREE: (&str, &str) =
    ("Moving costs you nothing with me.", "Moving is free.");

/// "an official flood watch"; the service's own name for it where that is short and plain.
///
/// A service may name an event by its hazard alone, in capitals, or at length.
fn official(event: &str) -> String {
    let event = one_line(event).to_lowercase();
    let plain = event.chars().all(|c| c.is_alphanumeric() || matches!(c, ' ' | '-' | '\''));
    if event.is_empty()
        || !plain
        || count_words(&event) > EVENT_WORDS_MAX
        || !avoided_words(&event).is_empty()
    {
        return "an official weather warning".to_owned();
    }
    let says_what_it_is =
        ["warning", "watch", "advisory", "alert"].iter().any(|word| event.ends_with(word));
    if says_what_it_is {
        format!("an official {event}")
    } else {
        format!("an official warning ({event})")
    }
}

fn degrees(felt_c: f64) -> Option<String> {
    felt_c.is_finite().then(|| with_unit(felt_c, 0, "°C"))
}

pub(super) fn named(due: &Deadline) -> String {
    let name = one_line(&due.name);
    if name.is_empty() { "deadline".to_owned() } else { name }
}
