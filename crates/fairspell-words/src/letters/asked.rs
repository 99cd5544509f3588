//! By when a letter asks for an answer, and what silence means.

use fairspell_studio::Offer;
use jiff::civil::DateTime;

use super::{draft::LABELS, options::choice_phrase};
use crate::{clock::date_and_clock, text::or_list};

/// What happens when nobody answers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Silence {
    /// The choice of this number holds, counted from 1.
    Takes(usize),
    /// Nothing holds, and the owner phones.
    Phone,
    /// Nobody meets that day, and the owner phones.
    NotThatDay,
}

impl Silence {
    /// "without a reply we take 1", "if I hear nothing, I'll phone you".
    pub(super) fn clause(self) -> String {
        match self {
            Silence::Takes(number) => format!("without a reply we take {number}"),
            Silence::Phone => "if I hear nothing, I'll phone you".to_owned(),
            Silence::NotThatDay => {
                "if I hear nothing, we don't meet that day and I'll phone you".to_owned()
            }
        }
    }

    /// The same in a message's length.
    pub(super) fn clause_in_short(self) -> String {
        match self {
            Silence::Takes(_) | Silence::Phone => self.clause(),
            Silence::NotThatDay => "without a reply we don't meet; I'll phone".to_owned(),
        }
    }

    /// The same where the choices do not stand beside it: "without a reply: keep Thu 3 Sep, 15:15".
    pub(super) fn clause_alone(self, offers: &[Offer], start: DateTime) -> String {
        match self {
            Silence::Takes(number) => match offers.get(number.wrapping_sub(1)) {
                Some(taken) => {
                    format!("without a reply: {}", choice_phrase(&taken.choice, start))
                }
                None => self.clause(),
            },
            Silence::Phone | Silence::NotThatDay => self.clause_in_short(),
        }
    }
}

/// What a letter asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Asked {
    /// By when, by the studio's clock; `None`: soon.
    pub by: Option<DateTime>,
    /// What happens without an answer.
    pub silence: Silence,
}

impl Asked {
    /// "by Mon 14 Sep, 20:00", or "soon".
    pub(crate) fn when(&self) -> String {
        self.by.map_or("soon".to_owned(), |by| format!("by {}", date_and_clock(by)))
    }

    /// "Please answer 1, 2 or 3 by Mon 14 Sep, 20:00; without a reply we take 1."
    pub(super) fn sentence(&self, options: usize) -> String {
        format!("Please answer {} {}; {}.", numbers(options), self.when(), self.silence.clause())
    }
}

/// "1, 2 or 3".
pub(super) fn numbers(options: usize) -> String {
    or_list(&LABELS[..options.min(LABELS.len())])
}
