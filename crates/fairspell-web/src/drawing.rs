//! From an outlook to the picture of its evening, the map of its rain and the loop of it.

use fairspell_almanac::sun_position;
use fairspell_figures::{
    Danger, DryGap, Evening, LightSample, LookCard, LoopFrame, MapPlace, Mark, RainLoop, RainMap,
    RainMotion, RainSlot, Setting, TableWords, Tick,
};
use fairspell_ground::{LatLon, coast::coastline_near};
use fairspell_light::illuminance_clear_lx;
use fairspell_nowcast::RainField;
use fairspell_plan::{SeenRadar, Standing};
use fairspell_studio::{Session, Span, Studio, Tier, spot::Cover};
use fairspell_words::{
    clock::clock, danger_of_figure, evening_description, evening_labels, rain_map_words,
    setting_name, standing_line,
};
use jiff::{SignedDuration, Timestamp, ToSpan, tz::TimeZone};

/// What is drawn: a session of a studio, as it stands.
#[derive(Debug, Clone, Copy)]
pub struct Drawn<'a> {
    /// The studio.
    pub studio: &'a Studio,
    /// The clock on its wall.
    pub zone: &'a TimeZone,
    /// The session.
    pub session: &'a Session,
    /// How it stands.
    pub standing: &'a Standing,
}

/// The light is sampled this often, minutes.
const LIGHT_STEP_MIN: i64 = 3;

/// Between two pictures of the loop.
const LOOP_STEP: SignedDuration = SignedDuration::from_mins(10);

/// How far back the loop begins.
const LOOP_BACK: SignedDuration = SignedDuration::from_mins(60);

/// So many coming pictures: an hour.
const COMING_FRAMES: u8 = 6;

/// A map is so many cells of 1 km wide and high, its place in the middle.
const MAP_CELLS: usize = 150;

/// The evening of a session, as it stands.
pub fn evening_figure(drawn: Drawn<'_>) -> Evening {
    let Drawn { studio, zone, standing, .. } = drawn;
    let outlook = &standing.outlook;
    let evening = outlook.evening;
    let (place, name) = place(drawn);
    let words = evening_description(outlook, &name, zone);
    let labels = evening_labels(outlook, &studio.spots, zone);
    let at_min = |moment: Timestamp| minutes_between(evening.from, moment);
    // Heat, cold and gusts that decide are as much a danger as a warning is.
    let by_figure = danger_of_figure(&standing.ruling.rule, zone);
    let description = match &by_figure {
        Some((_, label)) => format!("{}. {}", label, words.title),
        None => words.title,
    };
    Evening {
        heading: words.heading,
        summary: standing_line(&standing.ruling, outlook, zone),
        description,
        span_min: evening.minutes(),
        ticks: ticks(zone, evening),
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
            .chain(by_figure.map(|(hours, label)| Danger {
                from_min: at_min(hours.from),
                to_min: at_min(hours.to),
                label,
            }))
            .collect(),
        marks: labels
            .marks
            .into_iter()
            .map(|(moment, label)| Mark { at_min: at_min(moment), label })
            .collect(),
        looks: looks(drawn, evening),
        not_known_label: labels.not_known,
    }
}

/// What the rows of an evening's table are called.
pub fn evening_table_words() -> TableWords {
    use fairspell_words::screens::session as words;
    let [rain, light, dry_gap, danger, mark, look, decided, proposed] =
        words::TABLE_ROWS.map(str::to_owned);
    TableWords { rain, light, dry_gap, danger, mark, look, decided, proposed }
}

/// Where the session is, and what people call it: its first look's spot.
fn place(drawn: Drawn<'_>) -> (LatLon, String) {
    let Drawn { studio, session, .. } = drawn;
    fairspell_plan::evening::spots(studio, session).first().map_or_else(
        || (studio.home, studio.place.clone()),
        |spot| (spot.position, spot.name.clone()),
    )
}

fn ticks(zone: &TimeZone, evening: Span) -> Vec<Tick> {
    let quarter = 15 * 60;
    let first = evening.from.as_second().div_euclid(quarter) * quarter;
    (0..)
        .map_while(|index: i64| Timestamp::from_second(first + index * quarter).ok())
        .skip_while(|moment| *moment < evening.from)
        .take_while(|moment| *moment <= evening.to)
        .map(|moment| {
            let minute = zone.to_datetime(moment).minute();
            let rank = match minute {
                0 => 0,
                30 => 1,
                _ => 2,
            };
            let label = (rank < 2).then(|| clock(moment, zone));
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
fn looks(drawn: Drawn<'_>, evening: Span) -> Vec<LookCard> {
    let Drawn { studio, session, standing, .. } = drawn;
    let looks = &session.looks;
    let window = standing.outlook.window;
    let share_min = window.minutes() / looks.len().max(1) as f64;
    let start_min = minutes_between(evening.from, window.from);
    let mut from_min = start_min;
    looks
        .iter()
        .map(|look| {
            let moved = standing.ruling.spot_changes.iter().find(|c| c.from == look.spot);
            let spot = studio.spot(moved.map_or(&look.spot, |change| &change.to));
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
/// - `seen`: the pictures that the standing was made from.
/// - `coast`: the studio's own outline; without it the world's.
///
/// `None` while there is no picture young enough.
pub fn rain_map(
    drawn: Drawn<'_>,
    seen: &SeenRadar,
    coast: Option<&[Vec<LatLon>]>,
) -> Option<RainMap> {
    let Drawn { zone, standing, .. } = drawn;
    let radar = standing.outlook.radar.as_ref()?;
    let (place, name) = place(drawn);
    let words = rain_map_words(radar, &seen.source, &name, standing.outlook.as_of, zone);
    let coast = coast.map_or_else(|| coastline_near(place, MAP_CELLS as f64), <[_]>::to_vec);
    Some(RainMap {
        title: words.title,
        description: words.description,
        caption: words.caption,
        rows: MAP_CELLS,
        columns: MAP_CELLS,
        cell_km: 1.0,
        west_km: -(MAP_CELLS as f64) / 2.0,
        north_km: MAP_CELLS as f64 / 2.0,
        rain_rate_mm_h: cells(seen.nowcast.newest(), place),
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

/// The last hour of radar pictures around a place and the next, as they would go on.
///
/// `None` while there is no picture young enough.
pub fn rain_loop(
    drawn: Drawn<'_>,
    seen: &SeenRadar,
    coast: Option<&[Vec<LatLon>]>,
) -> Option<RainLoop> {
    let map = rain_map(drawn, seen, coast)?;
    let (place, _) = place(drawn);
    let nowcast = &seen.nowcast;
    let frame = |field: &RainField, is_coming| LoopFrame {
        label: clock(field.valid_time, drawn.zone),
        is_coming,
        rain_rate_mm_h: cells(field, place),
    };
    let newest = nowcast.valid_time();
    let mut observed: Vec<&RainField> = Vec::new();
    for field in nowcast.observed().iter().rev() {
        let is_apart = observed.last().is_none_or(|later: &&RainField| {
            later.valid_time.duration_since(field.valid_time) >= LOOP_STEP
        });
        if is_apart && newest.duration_since(field.valid_time) <= LOOP_BACK {
            observed.push(field);
        }
    }
    let coming = (1..=COMING_FRAMES)
        .filter_map(|step| nowcast.field_at(f64::from(step) * LOOP_STEP.as_secs_f64() / 60.0));
    let frames = observed
        .into_iter()
        .rev()
        .map(|field| frame(field, false))
        .chain(coming.map(|field| frame(&field, true)))
        .collect();
    let [measured_label, coming_label] = fairspell_words::screens::radar::KINDS.map(str::to_owned);
    Some(RainLoop { map, frames, measured_label, coming_label })
}

/// A field on the map's cells around a place, the northernmost row first.
fn cells(field: &RainField, place: LatLon) -> Vec<f32> {
    let centre = (MAP_CELLS as f64 - 1.0) / 2.0;
    (0..MAP_CELLS * MAP_CELLS)
        .map(|cell| {
            let (row, column) = ((cell / MAP_CELLS) as f64, (cell % MAP_CELLS) as f64);
            let point = place.at_offset_km(column - centre, centre - row).ok();
            point.and_then(|point| field.rain_rate_at(point)).unwrap_or(f32::NAN)
        })
        .collect()
}

fn minutes_between(from: Timestamp, to: Timestamp) -> f64 {
    to.duration_since(from).as_secs_f64() / 60.0
}
