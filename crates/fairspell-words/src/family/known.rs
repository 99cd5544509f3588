//! Where we stand and why, with every figure's hours, place, source and age.

use fairspell_studio::{
    LetterKind, Question, Rule, SentLetter, Sourced, Tier, letter::Danger, outlook::Outlook,
};
use jiff::{Timestamp, tz::TimeZone};

use super::{by_name, choosing::who_are_you};
use crate::{
    cautions::{ADVICE_ONLY, Hazard, caution, hazards},
    clock::moment,
    figure::Reader,
    letters::letter,
    numbers::{at_least, chance, with_unit},
    sky::warning,
    text::{and_list, one_line},
};

/// Opens the letter, word for word as it was sent.
pub const THE_LETTER: &str = "The letter, word for word";

/// What a figure in per cent means; stands once below the figures.
pub const PERCENT_MEANS: &str =
    "40 % means: of 10 times like this one, about 4 get it and 6 do not.";

/// The upper part of the family's page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Known {
    /// "For Linh and Quoc, from Ines Corrigan-Vale".
    pub for_whom: String,
    /// When the letter was sent and how old the sky in it is.
    pub written: String,
    /// Where we stand, in one sentence.
    pub state: String,
    /// Why, in everyday words.
    pub why: Vec<String>,
    /// The figures, a line each, as in [`shown_figures`].
    pub figures: Vec<String>,
    /// What to mind in the danger that is about; the last one always gives way to official warnings.
    pub cautions: Vec<&'static str>,
}

/// What is known, as it was when the letter was sent.
///
/// - `now`: the moment of reading, for the figures' ages.
/// - `zone`: the studio's.
///
/// What stands here is drawn from the letter's facts and its outlook, not from what the sky has done
/// since: it is what the two people decide on, and what the record says that they were shown.
pub fn known(sent: &SentLetter, now: Timestamp, zone: &TimeZone) -> Known {
    let mut said = letter(&sent.facts).known.into_iter();
    let names: Vec<String> =
        who_are_you(&sent.facts.sitter, &sent.facts.guardian).into_iter().map(one_line).collect();
    let from = by_name(&sent.facts.owner);
    let for_whom = if names.is_empty() {
        format!("From {from}")
    } else {
        format!("For {}, from {from}", and_list(&names))
    };
    Known {
        for_whom,
        written: format!(
            "Written {}; the sky as of {}.",
            moment(sent.sent_at, zone),
            moment(sent.outlook.as_of, zone)
        ),
        state: said.next().unwrap_or_default(),
        why: said.collect(),
        figures: shown_figures(sent, now, zone),
        cautions: cautions(sent),
    }
}

/// Every figure that the letter rests on, a line each: "Any rain (at least 0.2 mm): 14 % (between 10
/// and 27 %); Thu 3 Sep, 15:15 to 17:05, at Heron Walk; Coast Weather Service, as of 12:00."
///
/// The same figures from which the letter's odds were counted; what it needed and did not have is
/// "not known". More than two days ahead no odds are shown, for they would be read as a promise.
///
/// - `now`: the moment of reading, for the figures' ages.
pub fn shown_figures(sent: &SentLetter, now: Timestamp, zone: &TimeZone) -> Vec<String> {
    let reader = Reader { now, zone };
    let outlook = &sent.outlook;
    let mut lines = Vec::new();
    if sent.facts.question != Question::TooEarly {
        lines.push(rain(sent, reader));
        let gap = format!("{} dry minutes in a row", outlook.gap_min);
        lines.push(line(&gap, outlook.p_gap.as_ref(), reader, chance));
    }
    let celsius = |value: &f64| with_unit(*value, 0, "°C");
    let km_h = |value: &f64| with_unit(*value, 0, "km/h");
    match &sent.ruling.rule {
        Rule::TooHot { felt, .. } => {
            lines.push(line("Feels like, in the shade", Some(felt), reader, celsius));
        }
        Rule::TooCold { felt, .. } => {
            lines.push(line("Feels like, at the coldest", Some(felt), reader, celsius));
        }
        Rule::TooWindy { gust, .. } | Rule::NoSpotBearsWind { gust } => {
            lines.push(line("Strongest gust", Some(gust), reader, km_h));
        }
        _ => {}
    }
    let told = outlook.warnings.iter().filter(|seen| seen.tier > Tier::Info);
    lines.extend(told.map(|seen| format!("{}.", warning(seen, reader))));
    lines
}

/// The rain that the letter's odds count: from the chair on, once showers are about, the wet minute
/// that undoes hair; before it, rain in the forecast's sense.
fn rain(sent: &SentLetter, reader: Reader<'_>) -> String {
    let Outlook { rain_threshold_mm, p_any_rain, p_wet_minute, .. } = &sent.outlook;
    let showers_about = matches!(sent.facts.kind, LetterKind::Hold | LetterKind::AdviseMoving);
    if sent.facts.question == Question::DryGap && showers_about {
        let name = "Rain in some minute (at least 0.1 mm/h)";
        line(name, p_wet_minute.as_ref(), reader, chance)
    } else {
        let name = format!("Any rain ({})", at_least(*rain_threshold_mm));
        line(&name, p_any_rain.as_ref(), reader, chance)
    }
}

fn line<T>(
    name: &str,
    figure: Option<&Sourced<T>>,
    reader: Reader<'_>,
    say: impl Fn(&T) -> String,
) -> String {
    match figure {
        Some(figure) => {
            format!("{name}: {}; {}.", say(&figure.value), reader.provenance(figure))
        }
        None => format!("{name}: not known."),
    }
}

fn cautions(sent: &SentLetter) -> Vec<&'static str> {
    let of_the_danger = match &sent.facts.danger {
        Some(Danger::Warning { event }) => hazards(event),
        Some(Danger::Heat(_)) => vec![Hazard::Heat],
        Some(Danger::Cold(_)) => vec![Hazard::Cold],
        Some(Danger::Gust(_)) => vec![Hazard::Wind],
        None => vec![],
    };
    let told = sent.outlook.warnings.iter().filter(|seen| seen.tier > Tier::Info);
    let thunder = sent.outlook.comfort.thunder.as_ref().is_some_and(|thunder| thunder.value)
        || sent.facts.kind == LetterKind::Hold;
    let mut dangers: Vec<Hazard> = of_the_danger
        .into_iter()
        .chain(told.flat_map(|seen| hazards(&seen.event)))
        .chain(thunder.then_some(Hazard::Lightning))
        .collect();
    dangers.sort_unstable();
    dangers.dedup();
    dangers.into_iter().map(caution).chain([ADVICE_ONLY]).collect()
}
