//! Letters that keep the date and ask for nothing.

use fairspell_chance::Character;

use super::{
    draft::{Draft, Weight},
    told::Told,
};
use crate::{
    clock::date_and_clock,
    text::{and_list, capital, one_line},
};

/// What silence means in all of these.
const NO_REPLY: &str = "No reply is needed; we meet as planned.";

/// Still on.
pub(super) fn settled(told: &Told<'_>, draft: &mut Draft) -> String {
    draft
        .paragraph()
        .must(still_on(told))
        .may(Weight::Needed, told.danger_comes_first())
        .must(told.odds().unwrap_or_else(|| "Nothing in the sky speaks against it.".to_owned()))
        .may(
            Weight::Nicety,
            Some(format!("We have good light until {}.", told.facts.end.strftime("%H:%M"))),
        );
    draft
        .paragraph()
        .may(
            Weight::Nicety,
            Some("Please bring one warm layer for the walk between places.".to_owned()),
        )
        .must(NO_REPLY)
        .must(next_if_changed(told));
    told.warm(draft, "I'm looking forward to this", ".");
    draft.unasked(told.coming());
    subject_still_on(told)
}

/// Still on; cloud is kind light.
pub(super) fn grey_but_dry(told: &Told<'_>, draft: &mut Draft) -> String {
    let place = match &told.roof {
        Some(roof) => {
            format!(
                "I'll place you near the edge of the cover at {roof}, so that it reaches your eyes."
            )
        }
        None => "I'll turn you toward it, so that it reaches your eyes.".to_owned(),
    };
    draft
        .paragraph()
        .must(still_on(told))
        .may(Weight::Needed, told.danger_comes_first())
        .must("The sky looks grey but dry, and cloud is soft, kind light: no squinting, no hard shadows.")
        .may(Weight::Nicety, Some(place))
        .may(Weight::Reason, told.odds());
    let by = told.reply_by().map_or("soon".to_owned(), |by| format!("by {}", date_and_clock(by)));
    draft
        .paragraph()
        .must("Cloud alone is no reason to move.")
        .must(format!(
            "If sun matters most to you, tell me {by} and we look for another date; without a word from you we meet as planned."
        ));
    told.warm(draft, "You'll like this light", ".");
    draft.unasked(told.coming());
    subject_still_on(told)
}

/// Still on; we are watching.
pub(super) fn watch(told: &Told<'_>, draft: &mut Draft) -> String {
    let why = match told.character() {
        Some(Character::Showery) => "Showers may be about; it is too early to promise dry hours.",
        Some(Character::Steady) => "Some rain may come by; it is too early to promise dry hours.",
        None => "The sky is not settled yet; it is too early to promise anything.",
    };
    draft
        .paragraph()
        .must(still_on(told))
        .may(Weight::Needed, told.danger_comes_first())
        .must(why)
        .may(Weight::Reason, told.odds());
    let next = match told.next_word() {
        Some(at) => format!("I look every day; my next word comes {at}."),
        None => "I look every day and write if anything changes.".to_owned(),
    };
    let dates: Vec<String> = told.evenings.iter().map(|at| date_and_clock(*at)).collect();
    let kept = match dates.len() {
        0 => "If we need another plan, I'll bring you one.".to_owned(),
        1 => format!("{} stays free for you.", dates[0]),
        _ => format!("{} stay free for you.", and_list(&dates)),
    };
    draft
        .paragraph()
        .must(next)
        .must(kept)
        .may(Weight::Nicety, Some("There is nothing to do now.".to_owned()))
        .must(NO_REPLY)
        .may(Weight::Terms, told.deadline_allows())
        .may(Weight::Terms, told.artist_terms());
    told.warm(draft, "I've got my eye on it for you", ".");
    draft.unasked(told.coming());
    subject_still_on(told)
}

/// Same time, another spot.
pub(super) fn other_spot(told: &Told<'_>, draft: &mut Draft) -> String {
    let change = told.facts.spot_change.as_ref().map(|(from, to)| (one_line(from), one_line(to)));
    let (why, meet, later) = match &change {
        Some((from, to)) => {
            let meet = if told.spot == *from { to } else { &told.spot };
            (
                format!(
                    "We use {} instead of {from}, where the wind would be too strong.",
                    capital(to)
                ),
                meet.clone(),
                format!("{} can have its own half hour on a calmer day.", capital(from)),
            )
        }
        None => (
            "The wind would be too strong at one of our places, so I take a calmer one.".to_owned(),
            told.spot.clone(),
            "The other place can have its own half hour on a calmer day.".to_owned(),
        ),
    };
    draft
        .paragraph()
        .must(format!("We are still on, same time, another place: {}.", told.start_from_here()))
        .may(Weight::Needed, told.danger_comes_first())
        .must(why)
        .must(format!("We meet at {meet}."));
    draft
        .paragraph()
        .must("Hair up and a sturdier dress suit a windy day best.")
        .may(Weight::Nicety, Some(later))
        .may(Weight::Reason, told.odds())
        .must(NO_REPLY)
        .must(next_if_changed(told));
    told.warm(draft, "I'm looking forward to this", ".");
    draft.unasked(told.coming());
    format!("Still on, another place: {}", told.start())
}

fn still_on(told: &Told<'_>) -> String {
    format!("We are still on: {}, at {}.", told.start_from_here(), told.spot)
}

fn subject_still_on(told: &Told<'_>) -> String {
    format!("Still on: {}", told.start())
}

fn next_if_changed(told: &Told<'_>) -> String {
    match told.next_word() {
        Some(at) => format!("I look again on {at}, and write only if something changes."),
        None => "I write again only if something changes.".to_owned(),
    }
}
