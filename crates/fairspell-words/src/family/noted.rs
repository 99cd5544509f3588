//! The receipt, and both people's answers side by side.

use fairspell_studio::{Agreement, Answer};
use jiff::{Timestamp, tz::TimeZone};

use super::{by_name, choosing::who_are_you};
use crate::{
    clock::{clock, moment},
    text::{and_list, one_line},
};

/// What a receipt is good for.
pub const RECEIPT_MEANS: &str =
    "Keep the receipt: with it anyone can check that nothing was changed afterwards.";

/// On the button that opens the choices again.
pub const CHOOSE_AGAIN: &str = "Choose again";

/// Characters of a receipt that stand together.
const RECEIPT_GROUP: usize = 4;

/// What somebody reads who has just answered, line by line: what was chosen, when it was noted, the
/// receipt, and until when it can be changed.
///
/// - `receipt`: the head of the record's chain, as it is to be copied.
/// - `change_until`: until when another answer counts; `None` when that time has passed.
/// - `now`: the moment of reading.
pub fn receipt(
    answer: &Answer,
    receipt: &str,
    change_until: Option<Timestamp>,
    owner: &str,
    now: Timestamp,
    zone: &TimeZone,
) -> Vec<String> {
    let owner = by_name(owner);
    let day = |at: Timestamp| zone.to_datetime(at).date();
    let noted = if day(answer.answered_at) == day(now) {
        format!("at {}", clock(answer.answered_at, zone))
    } else {
        moment(answer.answered_at, zone)
    };
    let change = match change_until.filter(|until| *until >= now) {
        Some(until) => format!("you can change it until {}", moment(until, zone)),
        None => format!("to change it, phone {owner}"),
    };
    let receipt = spaced(receipt);
    let mut lines = vec![
        format!("{}, you chose: {}", one_line(&answer.who), one_line(&answer.words)),
        format!("Noted {noted}. Your receipt: {receipt}; {change}."),
    ];
    if answer.is_late {
        lines.push(format!(
            "It came after the time to answer and is noted as late: please phone {owner} as well."
        ));
    }
    lines
}

/// In groups of four, to be read aloud or compared.
fn spaced(receipt: &str) -> String {
    let signs: Vec<char> = receipt.chars().filter(|sign| !sign.is_whitespace()).collect();
    let groups: Vec<String> =
        signs.chunks(RECEIPT_GROUP).map(|group| group.iter().collect()).collect();
    groups.join(" ")
}

/// Both people's answers, line by line; nothing while nobody has answered.
///
/// - `sitter`, `guardian`: the names in the letter.
///
/// Where they differ nothing is decided by the order of answering: the photographer phones both.
pub fn together(agreement: &Agreement, sitter: &str, guardian: &str, owner: &str) -> Vec<String> {
    let chose =
        |answer: &Answer| format!("{} chose: {}", one_line(&answer.who), one_line(&answer.words));
    match agreement {
        Agreement::Nobody => vec![],
        Agreement::One { answer, waiting_for } => {
            vec![chose(answer), format!("{} has not answered yet.", one_line(waiting_for))]
        }
        Agreement::Both { words, .. } => {
            let names = who_are_you(sitter, guardian).into_iter().map(one_line);
            let names: Vec<String> = names.collect();
            let both = if names.len() > 1 { " both" } else { "" };
            vec![format!("{}{both} chose: {}", and_list(&names), one_line(words))]
        }
        Agreement::Differ { sitter, guardian } => vec![
            chose(sitter),
            chose(guardian),
            format!("You chose differently, so {} will phone you both.", by_name(owner)),
        ],
    }
}
