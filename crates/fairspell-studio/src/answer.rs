//! What a family may choose, the letter as it was sent, and what they answered.

use jiff::{Timestamp, civil};
use serde::{Deserialize, Serialize};

use crate::{LetterFacts, Outlook, Ruling};

/// What a family can choose.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "choice")]
pub enum Choice {
    /// The date stays as the letter says.
    Keep,
    /// The date stays, under a roof; what a roof does not allow is made another day.
    KeepUnderCover,
    /// Another date.
    MoveTo {
        /// Its start, by the clock on the studio's wall.
        start: civil::DateTime,
    },
    /// Another date, to be found together.
    LaterDate,
    /// The session is left open for now.
    LeaveOpen,
    /// They want to speak first.
    Talk,
}

/// One choice as it was put to the family.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Offer {
    /// What it means.
    pub choice: Choice,
    /// The sentence that the family reads.
    pub words: String,
}

/// A letter as it was sent, with everything that it rested on. Never changed afterwards.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SentLetter {
    /// What it is called in links and records.
    pub id: String,
    /// The session, by id.
    pub session: String,
    /// Its first glance.
    pub subject: String,
    /// Its text, as she sent it.
    pub body: String,
    /// The choices, in the order of their numbers 1, 2, 3.
    pub offers: Vec<Offer>,
    /// The facts it was drafted from.
    pub facts: LetterFacts,
    /// The sky as it was then.
    pub outlook: Outlook,
    /// Where the session stood then.
    pub ruling: Ruling,
    /// When it was sent.
    pub sent_at: Timestamp,
    /// By when an answer was asked for.
    pub reply_by: Option<Timestamp>,
}

/// How an answer came in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum AnsweredBy {
    /// On the family's page.
    Page,
    /// By a message or a call, written down by the photographer.
    Owner,
}

/// What one person answered to one letter.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Answer {
    /// The letter, by id.
    pub letter: String,
    /// The session, by id.
    pub session: String,
    /// Who answered, by the name in the letter.
    pub who: String,
    /// What was chosen.
    pub choice: Choice,
    /// The sentence that was chosen, as it stood before them.
    pub words: String,
    /// When.
    pub answered_at: Timestamp,
    /// How it came in.
    pub by: AnsweredBy,
    /// Whether it came after the time that was asked for.
    pub is_late: bool,
}
