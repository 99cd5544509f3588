//! A family's answers, as the photographer reads them, taps them, and finds them in the record.

use fairspell_studio::{Agreement, Answer, AnsweredBy, Choice, LetterFacts, SentLetter};
use jiff::{Timestamp, tz::TimeZone};

use crate::{
    clock::moment,
    family::{shown_figures, who_are_you},
    letters::choice_phrase,
    text::{and_list, one_line},
};

/// On the button that notes an answer, and in lists: "Linh answers 1: keep Thu 3 Sep, 15:15".
///
/// - `number`: the choice's, counted from 1; `None` for a choice that the letter does not offer.
/// - `facts`: the letter's. Where it tells a danger, a date is kept only if that passes in time, and
///   the line says so.
pub fn answers(who: &str, number: Option<usize>, choice: &Choice, facts: &LetterFacts) -> String {
    let number = number.map_or(String::new(), |number| format!(" {number}"));
    format!("{} answers{number}: {}", one_line(who), chosen(choice, facts))
}

fn chosen(choice: &Choice, facts: &LetterFacts) -> String {
    let phrase = choice_phrase(choice, facts.start);
    if *choice == Choice::Keep && facts.danger.is_some() {
        format!("{phrase}, if the danger passes in time")
    } else {
        phrase
    }
}

/// One answer to a letter as a line: "Linh answers 1: keep Thu 3 Sep, 15:15; late, asked by Wed
/// 2 Sep, 20:00".
pub fn answer_line(answer: &Answer, sent: &SentLetter, zone: &TimeZone) -> String {
    let said = answers(&answer.who, number(answer, sent), &answer.choice, &sent.facts);
    match (answer.is_late, sent.reply_by) {
        (false, _) => said,
        (true, None) => format!("{said}; late"),
        (true, Some(by)) => format!("{said}; late, asked by {}", moment(by, zone)),
    }
}

/// How the two people's answers stand, line by line.
///
/// - `sent`: the letter that they answered.
pub fn agreement_lines(agreement: &Agreement, sent: &SentLetter, zone: &TimeZone) -> Vec<String> {
    match agreement {
        Agreement::Nobody => vec![format!("Nobody has answered yet{}.", reply_by(sent, zone))],
        Agreement::One { answer, waiting_for } => vec![
            format!("{}.", answer_line(answer, sent, zone)),
            format!("{} has not answered yet{}.", one_line(waiting_for), reply_by(sent, zone)),
        ],
        Agreement::Both { choice, words } => {
            let names = who_are_you(&sent.facts.sitter, &sent.facts.guardian);
            let names: Vec<String> = names.into_iter().map(one_line).collect();
            let answer = if names.len() > 1 { "both answer" } else { "answers" };
            let number = offer_number(sent, choice, words);
            let number = number.map_or(String::new(), |number| format!(" {number}"));
            let chosen = chosen(choice, &sent.facts);
            vec![format!("{} {answer}{number}: {chosen}.", and_list(&names))]
        }
        Agreement::Differ { sitter, guardian } => vec![
            "They differ; phone them both.".to_owned(),
            format!("{}.", answer_line(sitter, sent, zone)),
            format!("{}.", answer_line(guardian, sent, zone)),
        ],
    }
}

/// An answer to a letter that a newer one has replaced: it stands in the record and decides nothing.
///
/// - `sent`: the letter that was answered.
/// - `newer`: when the newer one was sent.
pub fn to_a_replaced_letter(
    answer: &Answer,
    sent: &SentLetter,
    newer: Timestamp,
    zone: &TimeZone,
) -> String {
    format!(
        "{}. This was to your letter of {}, which the one of {} has replaced: it decides nothing; ask \
         again.",
        answer_line(answer, sent, zone),
        moment(sent.sent_at, zone),
        moment(newer, zone)
    )
}

/// What she reads when she edited a choice by hand, so that the answer would be noted under words
/// that nobody was shown.
///
/// - `number`: the choice's, counted from 1.
/// - `words`: as the choice was drafted.
pub fn choice_was_edited(number: usize, words: &str) -> String {
    format!(
        "Choice {number} no longer reads \"{}\". An answer is noted with the words that stood before \
         the family, so please leave this line as it was, or write a letter without choices.",
        one_line(words)
    )
}

/// The line of the record: when, who, what, how, and on what they had been shown.
///
/// For good, so it names the year: "Wed 2 Sep 2026, 19:04: Linh answered 1, "Keep it, with
/// umbrellas; hair may get damp.", on the family's page. Shown in the letter of Wed 2 Sep, 18:05: ..."
pub fn record_line(answer: &Answer, sent: &SentLetter, zone: &TimeZone) -> String {
    let when = zone.to_datetime(answer.answered_at).strftime("%a %-d %b %Y, %H:%M").to_string();
    let number = number(answer, sent).map_or(String::new(), |number| format!(" {number},"));
    let how = match answer.by {
        AnsweredBy::Page => "on the family's page".to_owned(),
        AnsweredBy::Owner => {
            format!("by a message or a call, noted by {}", one_line(&sent.facts.owner))
        }
    };
    let late = if answer.is_late { ", late" } else { "" };
    let mut shown = shown_figures(sent, answer.answered_at, zone);
    if shown.is_empty() {
        shown.push("no figures.".to_owned());
    }
    format!(
        "{when}: {} answered{number} \"{}\", {how}{late}. Shown in the letter of {}: {}",
        one_line(&answer.who),
        one_line(&answer.words),
        moment(sent.sent_at, zone),
        shown.join(" ")
    )
}

fn reply_by(sent: &SentLetter, zone: &TimeZone) -> String {
    sent.reply_by.map_or(String::new(), |by| format!(" (reply by {})", moment(by, zone)))
}

fn number(answer: &Answer, sent: &SentLetter) -> Option<usize> {
    offer_number(sent, &answer.choice, &answer.words)
}

fn offer_number(sent: &SentLetter, choice: &Choice, words: &str) -> Option<usize> {
    let at =
        sent.offers.iter().position(|offer| offer.choice == *choice && offer.words == words)?;
    Some(at + 1)
}
