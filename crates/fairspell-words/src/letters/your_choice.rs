//! Letters that ask the family to choose, and the one that says we don't go today.

use fairspell_chance::Character;
use fairspell_studio::letter::Danger;

use super::{
    asked::{Asked, Silence},
    draft::{Draft, Weight},
    options::leave_open,
    told::{MOVE_IS_FREE, Told},
};
use crate::{clock::date_and_clock, text::capital};

/// The family chooses.
pub(super) fn familys_choice(told: &Told<'_>, draft: &mut Draft) -> String {
    let minutes = told.facts.gap_min;
    let usually = match (told.facts.gap_percent, told.character()) {
        // The odds have said so, better.
        (Some(_), _) => None,
        (None, Some(Character::Steady)) => Some("If it comes, it may stay a while.".to_owned()),
        (None, _) => {
            Some(format!("Showers leave gaps, and {minutes} dry minutes are enough for us."))
        }
    };
    draft
        .paragraph()
        .must(format!("It's your choice: keep {}, or move.", told.start_from_here()))
        .may(Weight::Needed, told.danger_comes_first())
        .may(Weight::Wanted, told.odds_with_gap())
        .may(Weight::Reason, usually);
    let is_dangerous = told.facts.danger.is_some();
    let mut options = vec![told.keep_with_umbrellas()];
    options.extend(told.moves());
    if told.evenings.is_empty() {
        options.extend(told.under_cover_that_day().filter(|_| !is_dangerous));
    }
    if options.len() < 3 {
        options.push(told.later_date());
    }
    let silence = if is_dangerous { Silence::Phone } else { Silence::Takes(1) };
    draft
        .ask(options, Asked { by: told.reply_by(), silence })
        .or(MOVE_IS_FREE.0, MOVE_IS_FREE.1)
        .may(Weight::Terms, told.artist_terms())
        .may(Weight::Terms, told.deadline_allows());
    told.warm(draft, "Either way", ", we'll make it yours.");
    format!("Your choice: {}", told.start())
}

/// We advise another date.
pub(super) fn advise_moving(told: &Told<'_>, draft: &mut Draft) -> String {
    let start = told.start_from_here();
    let why = draft.paragraph();
    why.must(format!("My advice is to move {start}: {}.", reason(told)))
        .may(Weight::Needed, told.danger())
        .may(Weight::Reason, told.odds())
        .may(Weight::Reason, poor_gap(told));
    told.spent(why);
    let is_dangerous = told.facts.danger.is_some();
    let mut options = told.moves();
    // Without an evening in time the date is kept under cover, and the rest is made later.
    let split = told.under_cover_that_day().filter(|_| told.evenings.is_empty() && !is_dangerous);
    let kept = if let Some(split) = split {
        options.extend([split, told.later_date()]);
        1
    } else {
        if options.len() < 2 {
            options.push(told.later_date());
        }
        options.push(told.keep_against_advice());
        options.len()
    };
    let silence = if is_dangerous { Silence::NotThatDay } else { Silence::Takes(kept) };
    draft
        .ask(options, Asked { by: told.reply_by(), silence })
        .or(MOVE_IS_FREE.0, MOVE_IS_FREE.1)
        .may(Weight::Nicety, Some("You are first in line.".to_owned()))
        .may(Weight::Terms, told.artist_terms())
        .may(Weight::Terms, told.deadline_allows());
    told.warm(draft, "We'll make it yours", ", whichever day it is.");
    format!("My advice is to move: {}", told.start())
}

/// On the day, after hair and make-up have begun: we don't go.
pub(super) fn not_today(told: &Told<'_>, draft: &mut Draft) -> String {
    let why = draft.paragraph();
    why.must(format!("We don't go {}: {}.", told.part_of_day(), reason(told)))
        .may(Weight::Needed, told.danger())
        .may(Weight::Reason, poor_gap(told));
    told.spent(why);
    let is_dangerous = told.facts.danger.is_some();
    let mut options = told.moves();
    // A picture that is due cannot wait for another day; only then is a roof today offered.
    options
        .extend(told.under_cover_that_day().filter(|_| told.deadline_is_tight() && !is_dangerous));
    if options.len() < 2 {
        options.push(told.later_date());
    }
    if options.len() < 2 {
        options.push(leave_open());
    }
    draft
        .ask(options, Asked { by: told.reply_by(), silence: Silence::Phone })
        .or(MOVE_IS_FREE.0, MOVE_IS_FREE.1)
        .may(Weight::Terms, told.speak_to_artist())
        .may(Weight::Terms, told.deadline_allows());
    told.warm(draft, "Thank you for getting ready", ". Your pictures will come.");
    format!("Not {}: {}", told.part_of_day(), date_and_clock(told.facts.start))
}

/// Why, in half a sentence; never more than the facts bear out.
fn reason(told: &Told<'_>) -> &'static str {
    let few_gaps = told.facts.gap_percent.is_some_and(|percent| percent < 50);
    let likely = told.facts.rain_percent.is_some_and(|percent| percent > 50);
    match (&told.facts.danger, told.character()) {
        (Some(Danger::Gust(_)), _) => "the wind looks too strong at all my places",
        (Some(_), _) => "safety comes first",
        (None, Some(Character::Steady)) if likely || few_gaps => {
            "the rain looks steady, with few gaps"
        }
        (None, _) if few_gaps => "rain looks likely, and a long dry gap does not",
        (None, _) if likely => "rain looks likely in our hours",
        (None, _) => "the weather looks too rough to rely on",
    }
}

/// The odds of a gap, where they are the reason.
fn poor_gap(told: &Told<'_>) -> Option<String> {
    told.facts.gap_percent.filter(|percent| *percent < 50)?;
    Some(format!("{}.", capital(&told.gap_odds()?)))
}
