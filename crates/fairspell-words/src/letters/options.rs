//! What a family can choose.
//!
//! Every sentence is built here together with what it means, so that the two cannot disagree.

use fairspell_studio::{Choice, Offer};
use jiff::civil::{Date, DateTime};

use super::told::{Told, named};
use crate::clock::{date, date_and_clock};

/// What a choice is called in half a sentence: "keep Thu 3 Sep, 15:15", "move to Sun 6 Sep, 15:15".
///
/// - `start`: the session's own, by the studio's clock.
pub fn choice_phrase(choice: &Choice, start: DateTime) -> String {
    match choice {
        Choice::Keep => format!("keep {}", date_and_clock(start)),
        Choice::KeepUnderCover => format!("keep {}, under cover", date_and_clock(start)),
        Choice::MoveTo { start: other } => format!("move to {}", date_and_clock(*other)),
        Choice::LaterDate => "find a later date".to_owned(),
        Choice::LeaveOpen => "leave it open for now".to_owned(),
        Choice::Talk => "speak first, by phone".to_owned(),
    }
}

fn offer(choice: Choice, words: impl Into<String>) -> Offer {
    Offer { choice, words: words.into() }
}

/// Another evening; `how` goes on after its hour: ", in the cool of the morning".
pub(super) fn move_to(start: DateTime, how: &str) -> Offer {
    offer(Choice::MoveTo { start }, format!("Move to {}{how}.", date_and_clock(start)))
}

/// What remains where nothing can be offered yet.
pub(super) fn leave_open() -> Offer {
    offer(Choice::LeaveOpen, "Leave it open for now; your booking stays safe.")
}

fn later_date_before(name: &str, due: Date) -> Offer {
    let words = format!(
        "Make the {name} picture under cover another day before {}, the rest later.",
        date(due)
    );
    // Not under a roof on the date itself: that date is gone, whatever the roof.
    offer(Choice::LaterDate, words)
}

impl Told<'_> {
    /// The evenings to move to.
    pub(super) fn moves(&self) -> Vec<Offer> {
        self.evenings.iter().map(|evening| move_to(*evening, "")).collect()
    }

    /// The date stays, with showers about.
    pub(super) fn keep_with_umbrellas(&self) -> Offer {
        if self.facts.danger.is_some() {
            return offer(Choice::Keep, "Keep it, if the danger passes in time.");
        }
        let cover =
            self.roof.as_ref().map_or(String::new(), |roof| format!(" and cover at {roof}"));
        offer(Choice::Keep, format!("Keep it, with umbrellas{cover}; hair may get damp."))
    }

    /// The date stays although we advise against it.
    pub(super) fn keep_against_advice(&self) -> Offer {
        match &self.roof {
            _ if self.facts.danger.is_some() => {
                offer(Choice::Keep, "Keep it, only if the danger passes in time.")
            }
            Some(roof) => offer(
                Choice::KeepUnderCover,
                format!("Keep it under cover at {roof}: dry pictures, fewer backgrounds."),
            ),
            None => offer(Choice::Keep, "Keep it under umbrellas: fewer pictures, damp hair."),
        }
    }

    /// Pictures under cover on the date itself, the rest later: "Make the yearbook picture under
    /// cover at Tin Boathouse that day, the rest on Sun 27 Sep, 15:30." `None` without a roof.
    pub(super) fn under_cover_that_day(&self) -> Option<Offer> {
        let roof = self.roof.as_ref()?;
        let day = if self.is_today() { "today" } else { "that day" };
        let what = self
            .deadline
            .map_or("some pictures".to_owned(), |due| format!("the {} picture", named(due)));
        let later = match self.late_evening {
            Some(evening) => format!("on {}", date_and_clock(evening)),
            None => "on a later date".to_owned(),
        };
        let words = format!("Make {what} under cover at {roof} {day}, the rest {later}.");
        Some(offer(Choice::KeepUnderCover, words))
    }

    /// Where no evening is left before the deadline: a roof on another day before it, while there is
    /// such a day.
    pub(super) fn under_cover_before_deadline(&self) -> Option<Offer> {
        let due = self
            .deadline
            .filter(|due| self.evenings.is_empty() && self.facts.as_of.date() < due.date)?;
        Some(later_date_before(&named(due), due.date))
    }

    /// A date after the deadline, or one that is still to be found.
    pub(super) fn later_date(&self) -> Offer {
        match (self.deadline.is_some(), self.late_evening) {
            (true, Some(evening)) => move_to(evening, ", if the deadline can wait"),
            (true, None) => offer(Choice::LaterDate, "A later date, if the deadline can wait."),
            (false, _) => offer(Choice::LaterDate, "A later date that we find together."),
        }
    }

    /// What a family may answer to a letter that asks for nothing: that they come.
    pub(super) fn coming(&self) -> Vec<Offer> {
        let words = if self.facts.danger.is_some() {
            "We'll be there, if the danger passes in time.".to_owned()
        } else {
            format!("We'll be there on {}.", self.start())
        };
        vec![offer(Choice::Keep, words), phone_first()]
    }

    /// What a family may answer to a letter that asks them to wait.
    pub(super) fn waiting() -> Vec<Offer> {
        vec![offer(Choice::Keep, "We'll wait as you say."), phone_first()]
    }
}

fn phone_first() -> Offer {
    offer(Choice::Talk, "Please phone us first.")
}
