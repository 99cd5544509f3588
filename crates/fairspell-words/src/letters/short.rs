//! The letter in a message's length.

use fairspell_studio::{Choice, Offer};

use super::{AnswerBy, Letter, asked::numbers, options::choice_phrase};
use crate::text::{capital, one_line};

/// Most characters of a short message, its link not counted: two of the longest that a phone sends
/// in one piece (3GPP TS 23.038, 160 characters each).
const CHARS_MAX: usize = 320;

/// Most characters that where we stand may take, before the letter's subject says it shorter.
const STATE_CHARS_MAX: usize = 160;

/// Most characters of a choice in short.
const CHOICE_CHARS_MAX: usize = 60;

/// A letter as a short message: where we stand, what may be chosen, by when, how to answer.
///
/// At most 320 characters, the link not counted. Where that is too few, reasons go first, then the
/// name, then choices are named in short. On the family's page the choices stand in full, so a
/// message with a link does not list them.
pub fn sms_text(letter: &Letter, by: AnswerBy<'_>) -> String {
    let link = match by {
        // The line end before it counts as well.
        AnswerBy::Link(link) if letter.asked.is_some() => Some(("\nAnswer here: ", one_line(link))),
        AnswerBy::Link(link) => Some(("\nIf you like, answer here: ", one_line(link))),
        AnswerBy::Number => None,
    };
    let room = CHARS_MAX - link.as_ref().map_or(0, |(before, _)| before.len());
    let lists_choices = letter.asked.is_some() && link.is_none();
    let mut message = fullest_that_fits(letter, lists_choices, &end(letter, by), room);
    let reasons = letter.known.iter().skip(1);
    for reason in reasons.filter(|known| !is_the_danger(known, letter)) {
        message.why.push(reason.clone());
        if message.chars() > room {
            message.why.pop();
        }
    }
    message.name = one_line(&letter.owner);
    if message.chars() > room {
        message.name.clear();
    }
    let text = message.text();
    match link {
        Some((before, link)) => format!("{text}{before}{link}"),
        None => text,
    }
}

/// A message's parts, in their order.
#[derive(Debug, Clone)]
struct Message {
    state: String,
    why: Vec<String>,
    choices: Vec<String>,
    end: String,
    name: String,
}

impl Message {
    fn text(&self) -> String {
        let parts = std::iter::once(&self.state)
            .chain(&self.why)
            .chain(&self.choices)
            .chain([&self.end, &self.name]);
        let parts: Vec<&str> = parts.map(String::as_str).filter(|part| !part.is_empty()).collect();
        parts.join(" ")
    }

    fn chars(&self) -> usize {
        self.text().chars().count()
    }
}

/// State, danger, choices and end in the fullest words that there is room for; without the danger
/// only where its service gave it a name that no message has room for.
fn fullest_that_fits(letter: &Letter, lists_choices: bool, end: &str, room: usize) -> Message {
    let numbered = |name: &dyn Fn(&Offer) -> String| -> Vec<String> {
        let offers = letter.offers.iter().filter(|_| lists_choices);
        (1..).zip(offers).map(|(number, offer)| format!("{number}: {}", name(offer))).collect()
    };
    let full = numbered(&|offer| offer.words.clone());
    let named = numbered(&|offer| short(letter, offer));
    let subject = format!("{}.", letter.subject);
    let state = letter.known.first().filter(|state| state.chars().count() <= STATE_CHARS_MAX);
    let state = state.unwrap_or(&subject);
    let danger: Vec<String> = letter.danger.iter().cloned().collect();
    let message = |state: &String, danger: &[String], choices: &[String]| Message {
        state: state.clone(),
        why: danger.to_vec(),
        choices: choices.to_vec(),
        end: end.to_owned(),
        name: String::new(),
    };
    [
        message(state, &danger, &full),
        message(&subject, &danger, &full),
        message(state, &danger, &named),
        message(&subject, &danger, &named),
        message(state, &[], &named),
    ]
    .into_iter()
    .find(|message| message.chars() <= room)
    .unwrap_or_else(|| message(&subject, &[], &named))
}

fn is_the_danger(known: &str, letter: &Letter) -> bool {
    letter.danger.as_ref().is_some_and(|danger| known.starts_with(danger.as_str()))
}

/// A choice in short; its conditions stay ("if the deadline can wait"), for they are what is agreed
/// to.
fn short(letter: &Letter, offer: &Offer) -> String {
    match offer.choice {
        Choice::Keep if letter.danger.is_some() => "Keep it, if the danger passes.".to_owned(),
        Choice::MoveTo { .. } => offer.words.clone(),
        Choice::LaterDate => cut(&offer.words),
        _ => format!("{}.", capital(&choice_phrase(&offer.choice, letter.start))),
    }
}

/// Whole words from the beginning, as many as there is room for.
fn cut(text: &str) -> String {
    if text.chars().count() <= CHOICE_CHARS_MAX {
        return text.to_owned();
    }
    let kept: String = text.chars().take(CHOICE_CHARS_MAX).collect();
    let whole_words = kept.rsplit_once(' ').map_or(kept.as_str(), |(words, _)| words);
    format!("{whole_words} ...")
}

/// By when, and what silence means.
fn end(letter: &Letter, by: AnswerBy<'_>) -> String {
    let Some(asked) = &letter.asked else { return "No reply is needed.".to_owned() };
    let when = asked.when();
    match by {
        AnswerBy::Number => {
            let numbers = numbers(letter.offers.len());
            format!("Please answer {numbers} {when}; {}.", asked.silence.clause_in_short())
        }
        AnswerBy::Link(_) => {
            let silence = asked.silence.clause_alone(&letter.offers, letter.start);
            format!("Please answer {when}; {silence}.")
        }
    }
}
