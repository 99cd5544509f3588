//! The words of the evening figure.

use fairspell_chance::Character;
use fairspell_studio::{
    Outlook, Tier,
    outlook::{LikelyGap, SourceKind},
    ruling::whole_percent,
};
use jiff::tz::TimeZone;

use crate::{
    clock::{clock, date},
    names::source_name,
    text::{and_list, one_line},
};

/// What stands at, and under, the picture of an evening.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EveningWords {
    /// Day and place: "Thu 3 Sep, Saltern Bight".
    pub heading: String,
    /// Danger, rain, gaps and what is not known.
    pub summary: String,
    /// The whole picture in words, for those who cannot see it.
    pub title: String,
}

/// Says in words what the evening figure draws.
///
/// - `outlook`: figures and gaps are taken from it; from the styling chair on rain means wet
///   minutes, before it the forecast's rain.
/// - `place`: what people call the place.
/// - `zone`: the studio's.
///
/// The title reads, for example: "Thu 3 Sep, Saltern Bight. Showers likely; dry gaps of about 22 and
/// 31 minutes, at 15:52 and 16:30. Sunset 17:33, last usable light 17:48."
///
/// # Source
///
/// "possible" and "likely" follow the US National Weather Service's words for chances of rain
/// (30 to 50 % chance, 60 to 70 % likely), with our own plain word below and above.
pub fn evening_description(outlook: &Outlook, place: &str, zone: &TimeZone) -> EveningWords {
    let day = date(zone.to_datetime(outlook.window.from).date());
    let heading = match one_line(place) {
        place if place.is_empty() => day,
        place => format!("{day}, {place}"),
    };
    let mut sentences: Vec<String> = danger(outlook).into_iter().collect();
    sentences.push(format!("{}.", rain_and_gaps(outlook, zone)));
    sentences.extend(unknown(outlook));
    let summary = sentences.join(" ");
    let title = format!("{heading}. {summary} {}", light(outlook, zone));
    EveningWords { heading, summary, title }
}

fn danger(outlook: &Outlook) -> Option<String> {
    let events: Vec<String> = outlook
        .warnings
        .iter()
        .filter(|warning| warning.tier >= Tier::Hold)
        .map(|warning| one_line(&warning.event).to_lowercase())
        .collect();
    (!events.is_empty()).then(|| format!("Official warning: {}.", and_list(&events)))
}

fn rain_and_gaps(outlook: &Outlook, zone: &TimeZone) -> String {
    let chance = outlook.p_wet_minute.as_ref().or(outlook.p_any_rain.as_ref());
    let Some(percent) = chance.map(|chance| whole_percent(chance.value.centre)) else {
        return "Chance of rain not known".to_owned();
    };
    let noun = match outlook.character.as_ref().map(|character| character.value) {
        Some(Character::Showery) => "Showers",
        Some(Character::Steady) => "Steady rain",
        None => "Rain",
    };
    let how_likely = match percent {
        ..15 if noun == "Showers" => return "Showers unlikely".to_owned(),
        ..15 => return "Rain unlikely".to_owned(),
        15..55 => "possible",
        55..80 => "likely",
        _ => "very likely",
    };
    let gaps = gaps(&outlook.likely_gaps, zone);
    let gaps = match gaps {
        Some(gaps) => format!("; {gaps}"),
        None if percent >= 55 && gap_is_likely(outlook) => {
            "; a dry gap is likely, but not yet when".to_owned()
        }
        None if percent >= 55 => "; no dry gap that one could plan with".to_owned(),
        None => String::new(),
    };
    format!("{noun} {how_likely}{gaps}")
}

/// More likely than not by a good margin, wherever it lies (the policy's usual limit for going).
fn gap_is_likely(outlook: &Outlook) -> bool {
    outlook.p_gap.as_ref().is_some_and(|gap| whole_percent(gap.value.centre) >= 70)
}

fn gaps(gaps: &[LikelyGap], zone: &TimeZone) -> Option<String> {
    let lengths: Vec<String> =
        gaps.iter().map(|gap| format!("{:.0}", gap.hours.minutes())).collect();
    let begins: Vec<String> = gaps.iter().map(|gap| clock(gap.hours.from, zone)).collect();
    match gaps.len() {
        0 => None,
        1 => Some(format!("a dry gap of about {} minutes, at {}", lengths[0], begins[0])),
        _ => Some(format!(
            "dry gaps of about {} minutes, at {}",
            and_list(&lengths),
            and_list(&begins)
        )),
    }
}

/// What a ruling needs and does not have.
fn unknown(outlook: &Outlook) -> Option<String> {
    let unsound: Vec<&str> = [SourceKind::Forecast, SourceKind::Warnings, SourceKind::Radar]
        .into_iter()
        .filter(|kind| !outlook.source(*kind).is_sound())
        .map(source_name)
        .collect();
    (!unsound.is_empty()).then(|| format!("Not known: {}.", and_list(&unsound)))
}

fn light(outlook: &Outlook, zone: &TimeZone) -> String {
    let sunset = outlook.light.sunset.map(|at| format!("sunset {}", clock(at, zone)));
    let last = outlook.light.last_usable.map(|at| format!("last usable light {}", clock(at, zone)));
    let sunrise = outlook
        .light
        .sunrise
        .filter(|at| outlook.evening.from <= *at && *at <= outlook.evening.to)
        .map(|at| format!("sunrise {}", clock(at, zone)));
    let said: Vec<String> = [sunrise, sunset, last].into_iter().flatten().collect();
    if said.is_empty() {
        "Light not known.".to_owned()
    } else {
        format!("{}.", crate::text::capital(&said.join(", ")))
    }
}
