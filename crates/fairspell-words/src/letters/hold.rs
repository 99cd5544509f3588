//! On the day: wait, or go on with showers about, and what happens afterwards.

use fairspell_studio::GateKind;
use jiff::civil::DateTime;

use super::{
    draft::{Draft, Weight},
    told::Told,
};
use crate::{clock::date_and_clock, text::capital};

/// What they need to know of thunder wherever they wait: most roofs are no refuge.
const THUNDER: &str = "If you hear thunder, go indoors or into the car.";

/// Wait until a stated time, or start as planned.
pub(super) fn hold(told: &Told<'_>, draft: &mut Draft) -> String {
    match told.facts.wait_until {
        Some(until) => wait(told, draft, until),
        None => go(told, draft),
    }
}

fn wait(told: &Told<'_>, draft: &mut Draft, until: DateTime) -> String {
    let same_day = until.date() == told.facts.as_of.date();
    let until = if same_day { until.strftime("%H:%M").to_string() } else { date_and_clock(until) };
    let place = match told.facts.next_word.map(|(gate, _)| gate) {
        Some(GateKind::LeaveBy) => "at home",
        Some(GateKind::Arrival) => "in the car",
        _ => "at home or in the car",
    };
    let otherwise = match (&told.roof, told.evenings.first()) {
        (Some(roof), Some(evening)) => {
            format!("work under cover at {roof}, or finish on {}", date_and_clock(*evening))
        }
        (Some(roof), None) => format!("work under cover at {roof}, or finish on another day"),
        (None, Some(evening)) => format!("move to {}", date_and_clock(*evening)),
        (None, None) => "find another date together".to_owned(),
    };
    draft
        .paragraph()
        .must(format!(
            "Please wait {place} until {until}: showers are about, and I'm watching them."
        ))
        .may(Weight::Needed, told.danger_comes_first())
        .may(Weight::Reason, told.gap_odds().map(|odds| format!("{}.", capital(&odds))));
    draft
        .paragraph()
        .must(format!("Then I write to you: if it clears, we start; if not, we {otherwise}."))
        .must("No reply is needed until then.")
        .may(Weight::Nicety, Some("Please keep hair dry.".to_owned()))
        .must(BEGUN)
        .must(THUNDER)
        .may(Weight::Nicety, Some(AFTERWARDS.to_owned()));
    told.warm(draft, "Thank you for your patience", ".");
    draft.unasked(Told::waiting());
    draft.also_known(THUNDER);
    format!("Please wait until {until}: {}", told.start())
}

fn go(told: &Told<'_>, draft: &mut Draft) -> String {
    let likely = match told.gap_odds() {
        Some(odds) => format!("Showers are about, but a dry gap is likely: {odds}."),
        None => "Showers are about, but a dry gap is likely.".to_owned(),
    };
    let cover = told.roof.as_ref().map_or(String::new(), |roof| format!(" and cover at {roof}"));
    draft
        .paragraph()
        .must(format!("We are still on: {}, at {}.", told.start_from_here(), told.spot))
        .may(Weight::Needed, told.danger_comes_first())
        .must(likely);
    draft
        .paragraph()
        .must(format!("We start as planned, with umbrellas{cover}."))
        .must("Please keep hair dry in the car until then.")
        .must("No reply is needed.")
        .must(BEGUN)
        .must(THUNDER)
        .may(Weight::Nicety, Some(AFTERWARDS.to_owned()));
    told.warm(draft, "Rain makes lovely light", "; see you there.");
    draft.unasked(told.coming());
    draft.also_known(THUNDER);
    format!("Still on: {}", told.start())
}

/// What a rain that comes later does not change.
const BEGUN: &str = "Once we have begun, we finish.";

/// What happens afterwards.
const AFTERWARDS: &str = "Afterwards I'll tell you what we made and when your pictures come.";
