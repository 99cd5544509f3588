//! The words on pictures: on the evening, under the map of rain.

use fairspell_chance::{Chance, Probability};
use fairspell_studio::{
    Outlook, Rule, Ruling, Sourced, Span, Spot,
    outlook::{RadarView, SourceKind, WarningSeen},
    ruling::{RainEvent, whole_percent},
};
use jiff::{Timestamp, tz::TimeZone};

use crate::{
    clock::{age, as_of, clock, moment},
    names::{band_name, source_name, step_name},
    numbers::{at_least, percent, with_unit},
    sky::{motion, wet_share},
    text::{and_list, one_line},
};

/// The words on an evening's picture.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EveningLabels {
    /// Over each likely gap, in the outlook's order.
    pub gaps: Vec<String>,
    /// On each warning's bar, in the outlook's order.
    pub warnings: Vec<String>,
    /// Under the line: when the sun leaves each spot, sunset, last light.
    pub marks: Vec<(Timestamp, String)>,
    /// What bare paper says.
    pub not_known: String,
}

/// Names gaps, warnings and moments of an evening.
///
/// - `spots`: the studio's, for their names.
/// - `zone`: the studio's.
pub fn evening_labels(outlook: &Outlook, spots: &[Spot], zone: &TimeZone) -> EveningLabels {
    let light = &outlook.light;
    let inside = |at: &Timestamp| (outlook.evening.from..=outlook.evening.to).contains(at);
    let leaves = light.last_direct.iter().map(|(id, at)| {
        let name = spots.iter().find(|spot| spot.id == *id).map_or(id.as_str(), |spot| &spot.name);
        (*at, format!("sun leaves {} {}", one_line(name), clock(*at, zone)))
    });
    let sunrise = light.sunrise.map(|at| (at, format!("sunrise {}", clock(at, zone))));
    let sunset = light.sunset.map(|at| (at, format!("sunset {}", clock(at, zone))));
    let last = light.last_usable.map(|at| (at, format!("last light {}", clock(at, zone))));
    EveningLabels {
        gaps: outlook
            .likely_gaps
            .iter()
            .map(|gap| format!("{:.0} min dry", gap.hours.minutes()))
            .collect(),
        warnings: outlook
            .warnings
            .iter()
            .map(|seen| {
                format!("{}, {}", one_line(&seen.event), warning_hours(seen, outlook, zone))
            })
            .collect(),
        marks: leaves
            .chain(sunrise)
            .chain(sunset)
            .chain(last)
            .filter(|(at, _)| inside(at))
            .collect(),
        not_known: "not known".to_owned(),
    }
}

/// Where we stand in one line, for lists and under an evening's heading.
///
/// The band or the step, then what it rests on: a danger by name, or the figures with their amount,
/// hours, place and age: "go: a wet minute (at least 0.1 mm/h) 76 %, one 25-minute dry gap 98 %, 15:15
/// to 17:48 at Heron Walk, as of 14:25". The heading above it has the date and the sources are below.
pub fn standing_line(ruling: &Ruling, outlook: &Outlook, zone: &TimeZone) -> String {
    let stands =
        ruling.step.map_or_else(|| band_name(ruling.band).to_owned(), |step| step_name(step, zone));
    let because = match &ruling.rule {
        Rule::StopWarning { warning } | Rule::HoldWarning { warning } => {
            let (event, hours) = (one_line(&warning.event), warning_hours(warning, outlook, zone));
            let age = as_of(warning.issued, outlook.as_of, zone);
            Some(format!("official warning, {event}, {hours}, {age}"))
        }
        Rule::TooHot { felt, .. } | Rule::TooCold { felt, .. } => {
            let felt_c = with_unit(felt.value, 0, "°C");
            Some(format!("it feels like {felt_c}, {}", of_when_and_where(felt, outlook, zone)))
        }
        Rule::TooWindy { gust, .. } | Rule::NoSpotBearsWind { gust } => {
            let gust_km_h = with_unit(gust.value, 0, "km/h");
            Some(format!("gusts of {gust_km_h}, {}", of_when_and_where(gust, outlook, zone)))
        }
        Rule::NotKnown { missing } => Some(missing_is_not_dry(missing)),
        Rule::BeyondForecast => Some("the forecast does not reach these hours yet".to_owned()),
        Rule::ThunderMentioned { .. } => Some("the forecast mentions thunder".to_owned()),
        Rule::NotChecked { .. } => Some("not everything could be checked".to_owned()),
        Rule::AnyRain { .. } | Rule::DryGap { .. } | Rule::GapKeepsIt { .. } => None,
    };
    format!("{stands}: {}", because.unwrap_or_else(|| figures(ruling, outlook, zone)))
}

fn figures(ruling: &Ruling, outlook: &Outlook, zone: &TimeZone) -> String {
    let percent = |chance: &Sourced<Chance>| whole_percent(chance.value.centre);
    let any_rain = |rain: &Sourced<Chance>| {
        format!("any rain ({}) {} %", at_least(outlook.rain_threshold_mm), percent(rain))
    };
    let wet =
        |rain: &Sourced<Chance>| format!("a wet minute (at least 0.1 mm/h) {} %", percent(rain));
    let dry = |gap: &Sourced<Chance>| {
        format!("one {}-minute dry gap {} %", outlook.gap_min, percent(gap))
    };
    let (said, judged): (Vec<String>, _) = match &ruling.rule {
        Rule::AnyRain { chance, .. } => (vec![any_rain(chance)], chance),
        Rule::GapKeepsIt { rain, of, chance, .. } => {
            let rain = match of {
                RainEvent::AnyRain => any_rain(rain),
                RainEvent::WetMinute => wet(rain),
            };
            (vec![rain, dry(chance)], chance)
        }
        Rule::DryGap { chance, .. } => {
            let rain = outlook.p_wet_minute.as_ref().map(wet);
            (rain.into_iter().chain([dry(chance)]).collect(), chance)
        }
        _ => return String::new(),
    };
    format!("{}, {}", said.join(", "), of_when_and_where(judged, outlook, zone))
}

/// "nothing to go by from forecast and radar, which does not mean dry".
fn missing_is_not_dry(missing: &[SourceKind]) -> String {
    let names: Vec<&str> = missing.iter().map(|kind| source_name(*kind)).collect();
    let names = if names.is_empty() { "a source".to_owned() } else { and_list(&names) };
    format!("nothing to go by from {names}, which does not mean dry")
}

/// Hours, place and age of a figure: "15:15 to 17:48 at Heron Walk, as of 14:25".
fn of_when_and_where<T>(figure: &Sourced<T>, outlook: &Outlook, zone: &TimeZone) -> String {
    let (from, to) = (clock(figure.hours.from, zone), clock(figure.hours.to, zone));
    let place = one_line(&figure.place);
    format!("{from} to {to} at {place}, {}", as_of(figure.issued, outlook.as_of, zone))
}

/// "15:00 to 20:00", with the day of an end that is not the session's; or from when without an end.
fn warning_hours(warning: &WarningSeen, outlook: &Outlook, zone: &TimeZone) -> String {
    let day = |at: Timestamp| zone.to_datetime(at).date();
    let end = |at: Timestamp| {
        if day(at) == day(outlook.window.from) { clock(at, zone) } else { moment(at, zone) }
    };
    let from = end(warning.from);
    match warning.to {
        Some(to) => format!("{from} to {}", end(to)),
        None => format!("from {from} until further notice"),
    }
}

/// Heat, cold or gusts that decide, as a danger on the evening's picture: its hours and its words, "it
/// feels like 39 °C, 15:00 to 17:48". `None` where something else decides; official warnings have
/// their own words, in [`EveningLabels`].
///
/// - `zone`: the studio's.
pub fn danger_of_figure(rule: &Rule, zone: &TimeZone) -> Option<(Span, String)> {
    let (figure, what) = match rule {
        Rule::TooHot { felt, .. } | Rule::TooCold { felt, .. } => {
            (felt, format!("it feels like {}", with_unit(felt.value, 0, "°C")))
        }
        Rule::TooWindy { gust, .. } | Rule::NoSpotBearsWind { gust } => {
            (gust, format!("gusts of {}", with_unit(gust.value, 0, "km/h")))
        }
        _ => return None,
    };
    let (from, to) = (clock(figure.hours.from, zone), clock(figure.hours.to, zone));
    Some((figure.hours, format!("{what}, {from} to {to}")))
}

/// The words around a map of rain.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RainMapWords {
    /// Over it.
    pub title: String,
    /// The map in words.
    pub description: String,
    /// Source, time and age, a line each.
    pub caption: Vec<String>,
    /// At the arrow.
    pub motion: String,
    /// What bare paper on the map means.
    pub not_measured: String,
    /// The way up.
    pub north: String,
}

/// Names a map of rain.
///
/// - `source`: whose picture.
/// - `place`: what people call the place in its middle.
/// - `now`: the moment of the question, for the picture's age.
pub fn rain_map_words(
    view: &RadarView,
    source: &str,
    place: &str,
    now: Timestamp,
    zone: &TimeZone,
) -> RainMapWords {
    let wet = wet_share(view);
    let title = format!("Rain around {}", one_line(place));
    let as_of = as_of(view.issued, now, zone);
    RainMapWords {
        description: format!("{title}, {as_of}: {wet}; {}.", motion(view)),
        title,
        caption: vec![whose_picture(view, source, now, zone), wet],
        motion: motion(view),
        not_measured: "not measured".to_owned(),
        north: "north".to_owned(),
    }
}

/// "Coast Radar, as of 14:26, 6 minutes old".
fn whose_picture(view: &RadarView, source: &str, now: Timestamp, zone: &TimeZone) -> String {
    format!("{}, {}, {}", one_line(source), as_of(view.issued, now, zone), age(view.issued, now))
}

/// What a map of chances shows, for those who cannot see it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChanceMapFacts {
    /// Chance of rain at the place in its middle; `None`: not known.
    pub here: Option<Probability>,
    /// Share, of what is known of the map, in which rain is likely; `None` where nothing is known.
    pub likely_share: Option<f64>,
    /// Share of the map that is not known.
    pub unknown_share: f64,
}

/// The words around a map of chances.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChanceMapWords {
    /// Over it.
    pub title: String,
    /// The map in words.
    pub description: String,
    /// The chance at the place, source, time and age, a line each.
    pub caption: Vec<String>,
    /// Over the classes of chances.
    pub heading: String,
    /// The classes of chances, the lowest first: below 20, from 20, 50 and 80 % on.
    pub labels: [String; 4],
}

/// Names a map of chances of rain at any moment of some hours.
///
/// - `source`, `place`, `now`: as for [`rain_map_words`].
/// - `hours`: what the chances are of.
pub fn chance_map_words(
    view: &RadarView,
    source: &str,
    place: &str,
    hours: Span,
    facts: &ChanceMapFacts,
    now: Timestamp,
    zone: &TimeZone,
) -> ChanceMapWords {
    let place = one_line(place);
    let hours = format!("{} to {}", clock(hours.from, zone), clock(hours.to, zone));
    let title = format!("Chance of rain around {place}, {hours}");
    let here = match facts.here {
        Some(p) => format!("{} at {place}", percent(p)),
        None => format!("not known at {place}"),
    };
    let share = |share: f64| with_unit(share * 100.0, 0, "%");
    let likely = match facts.likely_share {
        Some(likely) => format!("likely in {} of what was measured", share(likely)),
        None => "nothing was measured here, which does not mean dry".to_owned(),
    };
    let whose = whose_picture(view, source, now, zone);
    ChanceMapWords {
        description: format!(
            "{title}: {here}; {likely}; {} of the map not measured. {whose}.",
            share(facts.unknown_share)
        ),
        title,
        caption: vec![format!("{here}, {hours}, for at least 0.1 mm/h"), whose],
        heading: format!("Rain at some moment, {hours}"),
        labels: [
            "unlikely, under 20 %",
            "possible, 20 to 50 %",
            "likely, 50 to 80 %",
            "very likely, 80 % and more",
        ]
        .map(str::to_owned),
    }
}
