//! The draft of a letter, and the ways in which it goes out.

use jiff::{Timestamp, tz::TimeZone};

use crate::{clock::moment, text::one_line};

/// The draft's heading.
pub const HEADING: &str = "The letter";
/// The first glance.
pub const SUBJECT: &str = "First line";
/// The text.
pub const BODY: &str = "Text";
/// What the figures in it rest on.
pub const RESTS_ON: &str = "What it rests on";
/// Keeps the draft for later.
pub const KEEP_DRAFT: &str = "Keep as a draft";
/// Throws the changes away.
pub const START_ANEW: &str = "Start anew from the sky as it is";
/// Makes it the letter that goes out.
pub const USE: &str = "This is the letter: choose how to send it";
/// What that means.
pub const USE_MEANS: &str = "Once you choose that, it is kept word for word, with the sky as it is now, \
                             so that you and the family can look at it later. To change it after \
                             that, write a new one.";
/// What was sent.
pub const SENT_HEADING: &str = "The letter as it goes out";
/// Opens the mail program.
pub const BY_MAIL: &str = "Open in the mail program";
/// Opens the messages.
pub const BY_MESSAGE: &str = "Open in messages";
/// Copies the text.
pub const COPY: &str = "Copy the text";
/// Says that the text was copied.
pub const COPIED: &str = "Copied";
/// How to copy without script.
pub const COPY_BY_HAND: &str = "Or mark the text below and copy it.";
/// The address of the family's page.
pub const FAMILY_PAGE: &str = "The family's page";
/// What opening it does.
pub const FAMILY_PAGE_MEANS: &str = "Opening it records nothing; only their answer does.";
/// Nobody's e-mail address is known.
pub const NO_EMAIL: &str =
    "No e-mail address of theirs is known; the mail program will ask for it.";
/// Nobody's telephone is known.
pub const NO_PHONE: &str = "No telephone number of theirs is known; the messages will ask for it.";
/// Records an answer that came by message or call.
pub const RECORD: &str = "They answered by message or by telephone";
/// What the record is kept with.
pub const RECORD_MEANS: &str =
    "One tap keeps it, with the letter and the sky that they had been shown.";
/// A newer letter replaces this one.
pub const REPLACED: &str = "A newer letter has replaced this one.";
/// To the draft.
pub const TO_DRAFT: &str = "Write a new letter";
/// The answers.
pub const ANSWERS: &str = "Answers";
/// The sky asks for another letter than when the draft was opened.
pub const SKY_CHANGED: &str = "The sky has changed since this was drafted, and it now asks for another \
                               letter or offers other choices. Start anew from the sky as it is.";
/// The subject or the text is empty.
pub const EMPTY: &str = "A letter needs a first line and a text.";

/// A choice as a button: "Linh: 1".
pub fn answer_button(who: &str, number: usize) -> String {
    format!("{}: {number}", one_line(who))
}

/// When it went out.
pub fn sent_at(at: Timestamp, zone: &TimeZone) -> String {
    format!("Kept {}", moment(at, zone))
}

/// By when an answer was asked for.
pub fn reply_by(at: Timestamp, zone: &TimeZone) -> String {
    format!("Answer asked for by {}", moment(at, zone))
}

/// The seal of the record.
pub fn seal(head: &str) -> String {
    format!("Seal of the record: {head}")
}
