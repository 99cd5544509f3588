//! From an outlook to the picture of its evening, the map of its rain and the loop of it.

use fairspell_almanac::sun_position;
use fairspell_chance::Probability;
use fairspell_figures::{
    ChanceField, ChanceMap, Danger, DryGap, Evening, FrameSky, LightSample, LookCard, LoopFrame,
    MapPlace, Mark, RainLoop, RainMap, RainMotion, RainSlot, Setting, TableWords, Tick,
    rain_chances::LIKELY,
};
use fairspell_ground::{LatLon, coast::coastline_near};
use fairspell_light::illuminance_clear_lx;
use fairspell_nowcast::RainField;
use fairspell_plan::{SeenRadar, Standing};
use fairspell_studio::{Session, Span, Studio, Tier, spot::Cover};
use fairspell_words::{
    ChanceMapFacts, chance_map_words, clock::clock, danger_of_figure, evening_description,
    evening_labels, rain_map_words, screens::radar as words, setting_name, standing_line,
};
use jiff::{SignedDuration, Timestamp, ToSpan, tz::TimeZone};
use rayon::prelude::*;

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
const LOOP_STEP: SignedDuration = SignedDuration::from_mins(5);

/// Pictures that were seen lie at least so far apart: a service of 4 minutes skips none.
const SEEN_APART: SignedDuration = SignedDuration::from_mins(4);

/// So many pictures that were seen, and how far back they may lie: an hour.
const SEEN_FRAMES: usize = 12;
const LOOP_BACK: SignedDuration = SignedDuration::from_mins(60);

/// So many coming pictures: an hour and a half.
const COMING_FRAMES: u8 = 18;

/// What counts as wet, and what as heavy, mm/h.
const WET_MM_H: f64 = 0.1;
const HEAVY_MM_H: f64 = 10.0;

/// A map is so many cells of 1 km wide and high, its place in the middle.
const MAP_CELLS: usize = 150;

/// Chances are drawn in so many cells of 2 km, from side to side of the same map.
const CHANCE_CELLS: usize = 75;
const CHANCE_CELL_KM: f64 = 2.0;

/// Chances of the next hour are worked out at so many places of a lattice along each side, 4 km
/// apart, and are linear in between: a single shower is wider.
const LATTICE: usize = 37;
const LATTICE_KM: f64 = 4.0;

/// What the map of chances speaks of.
const NEXT_HOUR: SignedDuration = SignedDuration::from_hours(1);

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
                p_rain: step.p_wet.map(Probability::get),
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
        without_rain: false,
    }
}

/// The light of an evening under a clear sky, for a date that no forecast reaches.
///
/// - `description`: what it is, in words.
pub(crate) fn clear_evening(
    zone: &TimeZone,
    evening: Span,
    place: LatLon,
    description: String,
) -> Evening {
    Evening {
        description,
        span_min: evening.minutes(),
        ticks: ticks(zone, evening),
        light: light(evening, place),
        without_rain: true,
        ..Evening::default()
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
pub(crate) fn place(drawn: Drawn<'_>) -> (LatLon, String) {
    let Drawn { studio, session, .. } = drawn;
    fairspell_plan::evening::spots(studio, session).first().map_or_else(
        || (studio.home, studio.place.clone()),
        |spot| (spot.position, spot.name.clone()),
    )
}

pub(crate) fn ticks(zone: &TimeZone, evening: Span) -> Vec<Tick> {
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

/// The last hour of radar pictures around a place, and where rain is likely to come after them.
///
/// `None` while there is no picture young enough.
pub fn rain_loop(
    drawn: Drawn<'_>,
    seen: &SeenRadar,
    coast: Option<&[Vec<LatLon>]>,
) -> Option<RainLoop> {
    let map = rain_map(drawn, seen, coast)?;
    let (place, _) = place(drawn);
    let (nowcast, zone, now) = (&seen.nowcast, drawn.zone, drawn.standing.outlook.as_of);
    let newest = nowcast.valid_time();
    let mut observed: Vec<&RainField> = Vec::new();
    for field in nowcast.observed().iter().rev() {
        let is_apart = observed.last().is_none_or(|later: &&RainField| {
            later.valid_time.duration_since(field.valid_time) >= SEEN_APART
        });
        let is_young = newest.duration_since(field.valid_time) <= LOOP_BACK;
        if is_apart && is_young && observed.len() < SEEN_FRAMES {
            observed.push(field);
        }
    }
    let seen_frames = observed.into_iter().rev().map(|field| LoopFrame {
        label: clock(field.valid_time, zone),
        words: words::seen(field.valid_time, now),
        sky: FrameSky::Seen(cells(field, place)),
    });
    let points = points(place, CHANCE_CELLS, CHANCE_CELL_KM).unwrap_or_default();
    let coming = |step: u8| {
        let ahead = LOOP_STEP * i32::from(step);
        let minutes_ahead = ahead.as_secs_f64() / 60.0;
        let chances = nowcast.exceedances_of(&points, minutes_ahead, [WET_MM_H, HEAVY_MM_H])?;
        let [p_rain, p_heavy] = chances;
        let valid_time = newest + ahead;
        Some(LoopFrame {
            label: clock(valid_time, zone),
            words: words::coming(valid_time, now),
            sky: FrameSky::Coming(ChanceField {
                rows: CHANCE_CELLS,
                columns: CHANCE_CELLS,
                p_rain,
                p_heavy,
            }),
        })
    };
    let frames = seen_frames.chain((1..=COMING_FRAMES).filter_map(coming)).collect();
    Some(RainLoop {
        map,
        frames,
        seen_label: words::SEEN.to_owned(),
        coming_label: words::COMING.to_owned(),
        coming_note: words::told_from(newest, now, zone),
        chance_heading: words::CHANCES_HEADING.to_owned(),
        chance_labels: words::CHANCES.map(str::to_owned),
    })
}

/// Where around a place it may rain at some moment of the next hour.
///
/// `None` while there is no picture young enough.
pub fn chance_map(
    drawn: Drawn<'_>,
    seen: &SeenRadar,
    coast: Option<&[Vec<LatLon>]>,
) -> Option<ChanceMap> {
    let map = rain_map(drawn, seen, coast)?;
    let (position, name) = place(drawn);
    let (nowcast, outlook) = (&seen.nowcast, &drawn.standing.outlook);
    let hours = Span { from: outlook.as_of, to: outlook.as_of + NEXT_HOUR };
    let lattice = points(position, LATTICE, LATTICE_KM)?;
    let known = nowcast.p_rain_of(&lattice, hours.from, hours.to);
    let p_rain: Vec<f32> = points(position, CHANCE_CELLS, CHANCE_CELL_KM)?
        .iter()
        .enumerate()
        .map(|(cell, point)| {
            // A hole between two places of the lattice stays one.
            let is_measured =
                nowcast.newest().rain_rate_at(*point).is_some_and(|rate| !rate.is_nan());
            let chance = is_measured.then(|| between(&known, cell)).flatten();
            chance.unwrap_or(f32::NAN)
        })
        .collect();
    let known_cells: Vec<f32> = p_rain.iter().copied().filter(|p| !p.is_nan()).collect();
    let likely = known_cells.iter().filter(|p| **p >= LIKELY).count() as f64;
    let facts = ChanceMapFacts {
        here: known[LATTICE * LATTICE / 2],
        likely_share: (!known_cells.is_empty()).then(|| likely / known_cells.len() as f64),
        unknown_share: 1.0 - known_cells.len() as f64 / p_rain.len() as f64,
    };
    let radar = outlook.radar.as_ref()?;
    let words =
        chance_map_words(radar, &seen.source, &name, hours, &facts, outlook.as_of, drawn.zone);
    Some(ChanceMap {
        map: RainMap {
            title: words.title,
            description: words.description,
            caption: words.caption,
            rain_rate_mm_h: Vec::new(),
            motion: None,
            ..map
        },
        chances: ChanceField {
            rows: CHANCE_CELLS,
            columns: CHANCE_CELLS,
            p_rain,
            p_heavy: Vec::new(),
        },
        heading: words.heading,
        labels: words.labels,
    })
}

/// The chance in a cell between the places of the lattice, linear; `None` where more than half of
/// what it would be mixed from is not known.
fn between(lattice: &[Option<Probability>], cell: usize) -> Option<f32> {
    // Cells of 2 km, places of 4 km, both around one middle: every other cell lies on a place.
    let along = |index: usize| {
        let last = LATTICE - 1;
        let (before, after) = (index.saturating_sub(1) / 2, index / 2);
        [before.min(last), after.min(last)]
    };
    let mut chances = Vec::with_capacity(4);
    for row in along(cell / CHANCE_CELLS) {
        for column in along(cell % CHANCE_CELLS) {
            chances.extend(lattice[row * LATTICE + column].map(|p| single(p.get())));
        }
    }
    let count = chances.len();
    (count >= 2).then(|| chances.iter().sum::<f32>() / count as f32)
}

/// The middles of square cells of a square map around a place, the northernmost row first; `None`
/// where the map would reach over a pole.
fn points(place: LatLon, side: usize, spacing_km: f64) -> Option<Vec<LatLon>> {
    let centre = (side as f64 - 1.0) / 2.0;
    (0..side * side)
        .map(|cell| {
            let (row, column) = ((cell / side) as f64, (cell % side) as f64);
            place.at_offset_km((column - centre) * spacing_km, (centre - row) * spacing_km).ok()
        })
        .collect()
}

/// A field on the map's cells around a place, the northernmost row first.
fn cells(field: &RainField, place: LatLon) -> Vec<f32> {
    let centre = (MAP_CELLS as f64 - 1.0) / 2.0;
    (0..MAP_CELLS * MAP_CELLS)
        .into_par_iter()
        .map(|cell| {
            let (row, column) = ((cell / MAP_CELLS) as f64, (cell % MAP_CELLS) as f64);
            let point = place.at_offset_km(column - centre, centre - row).ok();
            point.and_then(|point| field.rain_rate_at(point)).unwrap_or(f32::NAN)
        })
        .collect()
}

#[expect(clippy::cast_possible_truncation, reason = "a chance is drawn in four classes")]
fn single(p: f64) -> f32 {
    p as f32
}

fn minutes_between(from: Timestamp, to: Timestamp) -> f64 {
    to.duration_since(from).as_secs_f64() / 60.0
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Chances of a lattice that grow by a hundredth a place towards the east.
    fn lattice(is_known: impl Fn(usize, usize) -> bool) -> Vec<Option<Probability>> {
        (0..LATTICE * LATTICE)
            .map(|place| {
                let (row, column) = (place / LATTICE, place % LATTICE);
                is_known(row, column).then(|| Probability::clamped(column as f64 / 100.0))
            })
            .collect()
    }

    fn at(lattice: &[Option<Probability>], row: usize, column: usize) -> Option<f32> {
        between(lattice, row * CHANCE_CELLS + column)
    }

    #[test]
    fn a_cell_has_the_chance_of_the_places_around_it() {
        let all = lattice(|_, _| true);
        let middle = (CHANCE_CELLS / 2, CHANCE_CELLS / 2);
        for (column, expected) in [(0, 0.0), (1, 0.0), (2, 0.005), (3, 0.01), (74, 0.36)] {
            let found = at(&all, middle.0, column).expect("all is known");
            assert!((found - expected).abs() < 1e-6, "{column}: {found}");
        }
        // The cell in the middle of the map is the lattice's middle place.
        let here = all[LATTICE * LATTICE / 2].map(|p| single(p.get()));
        assert_eq!(at(&all, middle.0, middle.1), here);
    }

    #[test]
    fn a_cell_is_not_known_where_most_places_around_it_are_not() {
        let west = lattice(|_, column| column < 10);
        // Places 9 and 10 are those of cells 19 and 21.
        assert!(at(&west, 5, 19).is_some());
        assert!(at(&west, 5, 20).is_some());
        assert_eq!(at(&west, 5, 21), None);
        let corner = lattice(|row, column| row < 10 && column < 10);
        assert_eq!(at(&corner, 20, 20), None, "one place in four");
    }
}
