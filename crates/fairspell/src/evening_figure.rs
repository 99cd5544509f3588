//! From an outlook to the picture of its evening and the map of its rain.

use fairspell_almanac::sun_position;
use fairspell_figures::{
    Danger, DryGap, Evening, LightSample, LookCard, MapPlace, Mark, RainMap, RainMotion, RainSlot,
    Setting, Tick,
};
use fairspell_ground::{LatLon, coast::coastline_near};
use fairspell_light::illuminance_clear_lx;
use fairspell_studio::{Span, Tier, spot::Cover};
use fairspell_words::{
    clock::clock, evening_description, evening_labels, rain_map_words, setting_name, standing_line,
};
use jiff::{Timestamp, ToSpan};

use crate::{folder::Folder, standing::Standing};

/// The light is sampled this often, minutes.
const LIGHT_STEP_MIN: i64 = 3;

/// A map is so many cells of 1 km wide and high, its place in the middle.
const MAP_CELLS: usize = 150;

/// The evening of a session, as it stands.
pub(crate) fn evening_figure(folder: &Folder, standing: &Standing<'_>) -> Evening {
    let outlook = &standing.outlook;
    let evening = outlook.evening;
    let (place, name) = place(folder, standing);
    let words = evening_description(outlook, &name, &folder.zone);
    let labels = evening_labels(outlook, &folder.studio.spots, &folder.zone);
    let at_min = |moment: Timestamp| minutes_between(evening.from, moment);
    Evening {
        heading: words.heading,
        summary: standing_line(&standing.ruling, outlook, &folder.zone),
        description: words.title,
        span_min: evening.minutes(),
        ticks: ticks(folder, evening),
        light: light(evening, place),
        rain: outlook
            .steps
            .iter()
            .map(|step| RainSlot {
                from_min: at_min(step.hours.from),
                to_min: at_min(step.hours.to),
                p_rain: step.p_wet.map(fairspell_chance::Probability::get),
                rain_rate_mm_h: step.rain_rate_mm_h,
            })
            .collect(),
        gaps: outlook
            .likely_gaps
            .iter()
            .zip(labels.gaps)
            .map(|(gap, label)| DryGap {
                from_min: at_min(gap.hours.from),
                to_min: at_min(gap.hours.to),
                from_doubt_min: gap.from_doubt_min,
                to_doubt_min: gap.to_doubt_min,
                label,
            })
            .collect(),
        dangers: outlook
            .warnings
            .iter()
            .zip(labels.warnings)
            .filter(|(warning, _)| warning.tier >= Tier::Hold)
            .map(|(warning, label)| Danger {
                from_min: at_min(warning.from),
                to_min: warning.to.map_or(evening.minutes(), at_min),
                label,
            })
            .collect(),
        marks: labels
            .marks
            .into_iter()
            .map(|(moment, label)| Mark { at_min: at_min(moment), label })
            .collect(),
        looks: looks(folder, standing, evening),
        not_known_label: labels.not_known,
    }
}

/// Where the session is, and what people call it: its first look's spot.
fn place(folder: &Folder, standing: &Standing<'_>) -> (LatLon, String) {
    fairspell_plan::evening::spots(&folder.studio, standing.session).first().map_or_else(
        || (folder.studio.home, folder.studio.place.clone()),
        |spot| (spot.position, spot.name.clone()),
    )
}

fn ticks(folder: &Folder, evening: Span) -> Vec<Tick> {
    let quarter = 15 * 60;
    let first = evening.from.as_second().div_euclid(quarter) * quarter;
    (0..)
        .map_while(|index: i64| Timestamp::from_second(first + index * quarter).ok())
        .skip_while(|moment| *moment < evening.from)
        .take_while(|moment| *moment <= evening.to)
        .map(|moment| {
            let minute = folder.zone.to_datetime(moment).minute();
            let rank = match minute {
                0 => 0,
                30 => 1,
                _ => 2,
            };
            let label = (rank < 2).then(|| clock(moment, &folder.zone));
            Tick { at_min: minutes_between(evening.from, moment), label, rank }
        })
        .collect()
}

fn light(evening: Span, place: LatLon) -> Vec<LightSample> {
    let mut samples = Vec::new();
    let mut moment = evening.from;
    loop {
        let elevation_deg = sun_position(moment, place).elevation_deg;
        samples.push(LightSample {
            at_min: minutes_between(evening.from, moment),
            illuminance_lx: illuminance_clear_lx(elevation_deg),
            sun_elevation_deg: elevation_deg,
        });
        if moment >= evening.to {
            return samples;
        }
        moment = (moment + LIGHT_STEP_MIN.minutes()).min(evening.to);
    }
}

/// The looks in their planned order, each an equal part of the session's hours: a proposal.
fn looks(folder: &Folder, standing: &Standing<'_>, evening: Span) -> Vec<LookCard> {
    let looks = &standing.session.looks;
    let window = standing.outlook.window;
    let share_min = window.minutes() / looks.len().max(1) as f64;
    let start_min = minutes_between(evening.from, window.from);
    let mut from_min = start_min;
    looks
        .iter()
        .map(|look| {
            let moved = standing.ruling.spot_changes.iter().find(|c| c.from == look.spot);
            let spot = folder.studio.spot(moved.map_or(&look.spot, |change| &change.to));
            let under_roof = spot.is_some_and(|spot| spot.cover == Cover::Roof);
            let setting = if under_roof { Setting::Roof } else { Setting::Open };
            let card = LookCard {
                from_min,
                to_min: from_min + share_min,
                name: look.name.clone(),
                spot: spot.map_or_else(|| look.spot.clone(), |spot| spot.name.clone()),
                setting,
                setting_label: setting_name(under_roof).to_owned(),
                decided: false,
            };
            from_min += share_min;
            card
        })
        .collect()
}

/// The newest radar picture around a place.
///
/// `None` while there is no picture young enough.
pub(crate) fn rain_map(folder: &Folder, standing: &Standing<'_>) -> Option<RainMap> {
    let radar = standing.outlook.radar.as_ref()?;
    let seen = standing.seen.radar.as_ref()?;
    let field = seen.nowcast.newest();
    let (place, name) = place(folder, standing);
    let words = rain_map_words(radar, &seen.source, &name, standing.outlook.as_of, &folder.zone);
    let centre = (MAP_CELLS as f64 - 1.0) / 2.0;
    let rain_rate_mm_h = (0..MAP_CELLS * MAP_CELLS)
        .map(|cell| {
            let (row, column) = ((cell / MAP_CELLS) as f64, (cell % MAP_CELLS) as f64);
            let point = place.at_offset_km(column - centre, centre - row).ok();
            point.and_then(|point| field.rain_rate_at(point)).unwrap_or(f32::NAN)
        })
        .collect();
    let coast = folder.coast.clone().unwrap_or_else(|| coastline_near(place, MAP_CELLS as f64));
    Some(RainMap {
        title: words.title,
        description: words.description,
        caption: words.caption,
        rows: MAP_CELLS,
        columns: MAP_CELLS,
        cell_km: 1.0,
        west_km: -(MAP_CELLS as f64) / 2.0,
        north_km: MAP_CELLS as f64 / 2.0,
        rain_rate_mm_h,
        coast: coast
            .iter()
            .map(|line| line.iter().map(|point| place.offset_km(*point)).collect())
            .collect(),
        places: vec![MapPlace { east_km: 0.0, north_km: 0.0, label: name }],
        rings_km: vec![30.0, 60.0],
        motion: radar.motion_km_h.map(|(east_km_h, north_km_h)| RainMotion {
            east_km_h,
            north_km_h,
            label: words.motion,
        }),
        not_measured_label: words.not_measured,
        north_label: words.north,
    })
}

fn minutes_between(from: Timestamp, to: Timestamp) -> f64 {
    to.duration_since(from).as_secs_f64() / 60.0
}
