//! Letters in which safety decides.

use fairspell_studio::{Offer, letter::Danger};
use jiff::civil::DateTime;

use super::{
    asked::{Asked, Silence},
    draft::{Draft, Weight},
    options::{leave_open, move_to},
    told::{MOVE_IS_FREE, Told},
};

/// Not then: storms, or whatever else an official warning names.
pub(super) fn storm(told: &Told<'_>, draft: &mut Draft) -> String {
    let why = draft.paragraph();
    why.must(format!("We need to move {}: safety comes first.", told.start_from_here()))
        .must(told.danger().unwrap_or_else(|| "Storms are expected in our hours.".to_owned()))
        .may(Weight::Nicety, Some("We won't meet then.".to_owned()));
    told.spent(why);
    options(told, draft, told.moves());
    draft.paragraph().must("Please follow official warnings, and take care on the road.");
    told.warm(draft, "The pictures can wait", "; you matter more.");
    subject(told)
}

/// Not on this date: big weather over days.
pub(super) fn system(told: &Told<'_>, draft: &mut Draft) -> String {
    draft
        .paragraph()
        .must(format!(
            "We need to move {}: a big weather system is coming.",
            told.start_from_here()
        ))
        .may(Weight::Needed, told.danger())
        .or(
            "It may last for days, so I decide now and nobody spends money.",
            "It may last for days, so I decide now.",
        );
    options(told, draft, told.moves());
    draft
        .paragraph()
        .must("Look after your home first, and follow official warnings.")
        .may(Weight::Nicety, Some("I'll write when roads and beaches are safe again.".to_owned()));
    told.warm(draft, "Your booking is safe with me", ".");
    subject(told)
}

/// Too hot or too cold.
pub(super) fn heat_or_cold(told: &Told<'_>, draft: &mut Draft) -> String {
    let cold = matches!(told.facts.danger, Some(Danger::Cold(_)));
    let hot = matches!(told.facts.danger, Some(Danger::Heat(_)));
    let (what, advice) = if hot {
        (
            "it looks too hot to be safe",
            "Until then: shade, plenty of water, light clothes; tell me if anyone has asthma.",
        )
    } else if cold {
        (
            "it looks too cold to be safe",
            "Until then: warm layers, and mind icy roads; tell me if anyone has asthma.",
        )
    } else {
        (
            "heat or cold makes it unsafe",
            "Until then: water and layers; tell me if anyone has asthma.",
        )
    };
    let why = draft.paragraph();
    // Heat and cold are in the first sentence; a warning is nowhere else.
    let weight = if hot || cold { Weight::Wanted } else { Weight::Needed };
    why.must(format!("We need to move {}: {what}.", told.start_from_here()))
        .may(weight, told.danger());
    told.spent(why);
    let to = |evening: &DateTime| {
        let cool = if hot && evening.hour() < 10 { ", in the cool of the morning" } else { "" };
        move_to(*evening, cool)
    };
    options(told, draft, told.evenings.iter().map(to).collect());
    draft.paragraph().must(advice).must("Official warnings come first.");
    told.warm(draft, "We'll find a kinder hour", ".");
    subject(told)
}

/// The dates, what else is possible, by when to answer, and what it costs.
fn options(told: &Told<'_>, draft: &mut Draft, mut options: Vec<Offer>) {
    // Where a picture is due before any free evening: under a roof, but never on that day.
    options.extend(told.under_cover_before_deadline());
    options.push(told.later_date());
    // One answer is no choice.
    if options.len() < 2 {
        options.push(leave_open());
    }
    // Nobody is given a date that they did not take.
    draft
        .ask(options, Asked { by: told.reply_by(), silence: Silence::Phone })
        .or(MOVE_IS_FREE.0, MOVE_IS_FREE.1)
        .may(Weight::Terms, told.speak_to_artist())
        .may(Weight::Terms, told.deadline_allows());
}

fn subject(told: &Told<'_>) -> String {
    format!("We need to move: {}", told.start())
}
