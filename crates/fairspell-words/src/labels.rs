//! The words on pictures: on the evening, under the map of rain.

use fairspell_chance::Chance;
use fairspell_studio::{Outlook, Ruling, Sourced, Spot, outlook::RadarView, ruling::whole_percent};
use jiff::{Timestamp, tz::TimeZone};

use crate::{
    clock::{as_of, clock, hours},
    names::{band_name, step_name},
    sky::motion,
    text::one_line,
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
            .map(|warning| {
                let end = warning
                    .to
                    .map_or_else(|| "until further notice".to_owned(), |to| clock(to, zone));
                format!("{}, {} to {end}", one_line(&warning.event), clock(warning.from, zone))
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
/// The band or the step, then the figures that it rests on with their hours and their age:
/// "go: some rain 75 %, one 25-minute dry gap 91 %, 15:15 to 17:48, as of 14:26".
///
/// - `gap_min`: length of the dry gap that the studio asks for, minutes.
pub fn standing_line(ruling: &Ruling, outlook: &Outlook, gap_min: u32, zone: &TimeZone) -> String {
    let stands =
        ruling.step.map_or_else(|| band_name(ruling.band).to_owned(), |step| step_name(step, zone));
    let percent = |chance: &Sourced<Chance>| whole_percent(chance.value.centre);
    let (rain, gap) = match ruling.step {
        Some(_) => (&outlook.p_wet_minute, &outlook.p_gap),
        None => (&outlook.p_any_rain, &None),
    };
    let mut figures: Vec<String> = Vec::new();
    figures.extend(rain.as_ref().map(|rain| format!("some rain {} %", percent(rain))));
    figures
        .extend(gap.as_ref().map(|gap| format!("one {gap_min}-minute dry gap {} %", percent(gap))));
    let Some(judged) = gap.as_ref().or(rain.as_ref()).filter(|_| !figures.is_empty()) else {
        return stands;
    };
    let age = as_of(judged.issued, outlook.as_of, zone);
    format!("{stands}: {}, {}, {age}", figures.join(", "), hours(judged.hours, zone))
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
    let wet = view.wet_share.map_or_else(
        || "how much of the sky is wet is not known".to_owned(),
        |share| format!("{:.0} % of the sky within 60 km is wet", share * 100.0),
    );
    let title = format!("Rain around {}", one_line(place));
    let age = as_of(view.issued, now, zone);
    RainMapWords {
        description: format!("{title}, {age}: {wet}; {}.", motion(view)),
        title,
        caption: vec![format!("{}, {age}", one_line(source)), wet],
        motion: motion(view),
        not_measured: "not measured".to_owned(),
        north: "north".to_owned(),
    }
}
