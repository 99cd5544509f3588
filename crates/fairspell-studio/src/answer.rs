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

/// How the answers of the two people of a session stand together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Agreement {
    /// Nobody has answered yet.
    Nobody,
    /// One of the two has answered.
    One {
        /// The answer.
        answer: Answer,
        /// Who has not answered yet, by name.
        waiting_for: String,
    },
    /// Everybody who was asked chose the same.
    Both {
        /// What was chosen.
        choice: Choice,
        /// The sentence that was chosen.
        words: String,
    },
    /// The two chose differently.
    Differ {
        /// The sitter's newest answer.
        sitter: Answer,
        /// The guardian's newest answer.
        guardian: Answer,
    },
}

/// How the answers to one letter stand together: of each person the newest counts.
///
/// - `answers`: to one letter, in the order in which they were written down; of two at the same
///   moment the later one in the list counts. Answers to different letters never agree, for they
///   were given on different facts.
/// - `sitter`, `guardian`: the names in the letter, matched exactly. Answers under any other name do
///   not count. Where both are one person, or one of them is empty, one answer is everybody's.
///
/// Two people agree when they chose the same sentence: a letter may have two sentences of one
/// meaning ("a later date", before or after a deadline).
///
/// # Examples
///
/// ```
/// use fairspell_studio::answer::{Agreement, Answer, AnsweredBy, Choice, agreed};
///
/// let keep = Answer {
///     letter: "l1".into(),
///     session: "linh".into(),
///     who: "Linh".into(),
///     choice: Choice::Keep,
///     words: "Keep it, with umbrellas.".into(),
///     answered_at: "2026-09-03T05:04:00Z".parse().expect("a moment"),
///     by: AnsweredBy::Page,
///     is_late: false,
/// };
/// let one = agreed(std::slice::from_ref(&keep), "Linh", "Quoc");
/// assert_eq!(one, Agreement::One { answer: keep.clone(), waiting_for: "Quoc".into() });
///
/// let both = [keep.clone(), Answer { who: "Quoc".into(), ..keep }];
/// assert!(matches!(agreed(&both, "Linh", "Quoc"), Agreement::Both { choice: Choice::Keep, .. }));
/// ```
pub fn agreed(answers: &[Answer], sitter: &str, guardian: &str) -> Agreement {
    let newest = |name: &str| {
        let of_theirs = answers.iter().filter(|answer| !name.is_empty() && answer.who == name);
        of_theirs.max_by_key(|answer| answer.answered_at)
    };
    let one_person = sitter == guardian || sitter.is_empty() || guardian.is_empty();
    match (newest(sitter), newest(guardian)) {
        (None, None) => Agreement::Nobody,
        (Some(only), None) | (None, Some(only)) if one_person => both(only),
        (Some(one), None) => {
            Agreement::One { answer: one.clone(), waiting_for: guardian.to_owned() }
        }
        (None, Some(one)) => Agreement::One { answer: one.clone(), waiting_for: sitter.to_owned() },
        (Some(sitter), Some(guardian)) if chose_the_same(sitter, guardian) => both(sitter),
        (Some(sitter), Some(guardian)) => {
            Agreement::Differ { sitter: sitter.clone(), guardian: guardian.clone() }
        }
    }
}

fn both(answer: &Answer) -> Agreement {
    Agreement::Both { choice: answer.choice.clone(), words: answer.words.clone() }
}

fn chose_the_same(one: &Answer, other: &Answer) -> bool {
    one.letter == other.letter && one.choice == other.choice && one.words == other.words
}

/// Whether an answer comes after the time that was asked for; on the moment itself it is in time,
/// and where no time was asked for it is never late.
pub fn is_late(answered_at: Timestamp, reply_by: Option<Timestamp>) -> bool {
    reply_by.is_some_and(|by| answered_at > by)
}
