//! What was said at points all over the pictures, kept until it is known what came.

use jiff::Timestamp;
use rayon::prelude::*;
use serde::{Deserialize, Serialize};

use crate::advect::Position;
use crate::correction::{Correction, Ended};
use crate::course::Course;
use crate::field::{Grid, RainField};
use crate::level::WET_RATE_MM_H;
use crate::narrow::{single, whole};
use crate::nowcast::{Nowcast, after, minutes, usual_step_min};

/// Windows that are asked about at every start, minutes ahead: those that the formulas were fitted on.
const WINDOWS_MIN: [(f64, f64); 6] =
    [(0.0, 30.0), (0.0, 60.0), (15.0, 45.0), (30.0, 90.0), (30.0, 120.0), (60.0, 180.0)];

/// The gap that is asked about in those long enough for it, minutes.
const GAP_MIN: f64 = 25.0;
const GAP_WINDOW_MIN: f64 = 60.0;

/// Points lie so far apart, km, or farther where there would be too many.
const POINT_EVERY_KM: f64 = 18.0;
const POINTS_MAX: f64 = 800.0;

/// Points keep away from the edge, where the air comes from outside: km, and share of the side.
const MARGIN_KM: f64 = 60.0;
const MARGIN_SHARE: f64 = 1.0 / 6.0;

/// Starts are at least so far apart, and forgotten when the picture at hand is so far from them,
/// minutes.
const START_EVERY_MIN: f64 = 8.0;
const KEPT_MIN: f64 = 480.0;

/// What pictures showed at the points is kept for so long, minutes: longer than any window lasts, so
/// that one is judged though nobody holds all of its pictures at once.
const SEEN_MIN: f64 = 180.0;

/// Starts that a record is rebuilt from at most when pictures are at hand and no record is.
const REBUILT_MAX: usize = 12;

/// A window is judged when this share of its pictures is at hand.
const PICTURES_SHARE_MIN: f64 = 0.8;

/// What nowcasts of one sky said, and what came: from it the next ones are corrected.
///
/// Kept from picture to picture it costs next to nothing; where it is missing,
/// [`rebuilt`](Record::rebuilt) makes it from the pictures at hand.
///
/// # Examples
///
/// ```
/// use fairspell_ground::{LatLon, Projection};
/// use fairspell_nowcast::{Grid, Nowcast, RainField, Record};
/// use jiff::{SignedDuration, Timestamp};
/// use ndarray::Array2;
///
/// let grid = Grid {
///     projection: Projection::from_proj_string("+proj=laea +lat_0=-31.7 +lon_0=152.8")?,
///     x_first: -127_500.0,
///     y_first: 127_500.0,
///     x_step: 1000.0,
///     y_step: 1000.0,
///     rows: 256,
///     columns: 256,
/// };
/// let issued: Timestamp = "2026-09-03T04:00:00Z".parse()?;
/// // Two hours of a curtain of rain that comes at a kilometre a minute.
/// let pictures: Vec<RainField> = (0..=24)
///     .rev()
///     .map(|step| RainField {
///         valid_time: issued - SignedDuration::from_mins(5 * step),
///         grid: grid.clone(),
///         rain_rate_mm_h: Array2::from_shape_fn((256, 256), |(row, column)| {
///             if column as i64 + 5 * step < 150 + (row as i64 % 7) { 2.0 } else { 0.0 }
///         }),
///     })
///     .collect();
/// let record = Record::rebuilt(&pictures, issued);
/// assert!(record.ended() > 10);
/// let corrected = Nowcast::from_fields(pictures, issued)?.value.corrected_by(&record);
/// let steps = corrected.at(LatLon::new(-31.7, 152.8)?)?;
/// assert!(steps.p_rain(issued, issued + SignedDuration::from_mins(60)).is_some());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Record {
    /// The grid that the points lie on, as text; another one starts the record anew.
    grid: String,
    /// (row, column) of the points.
    cells: Vec<(usize, usize)>,
    starts: Vec<Start>,
    /// In order of time, each moment once.
    seen: Vec<Sight>,
}

/// What one picture showed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
struct Sight {
    valid_time: Timestamp,
    /// Whether it was wet at each point; `None`: not measured.
    wet: Vec<Option<bool>>,
}

/// What was said at one picture.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
struct Start {
    valid_time: Timestamp,
    answers: Vec<Answer>,
}

/// One question at all points.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
struct Answer {
    gap: bool,
    /// Minutes ahead.
    window_min: (f64, f64),
    /// Log-odds in hundredths; `None` where nothing was said.
    said: Vec<Option<i16>>,
    /// What came; empty while the window lasts, `None` where it was not measured.
    came: Vec<Option<bool>>,
}

impl Record {
    /// A record from the pictures at hand, up to a moment: a nowcast every eight minutes or so.
    pub fn rebuilt(pictures: &[RainField], issued: Timestamp) -> Self {
        let mut record = Record::default();
        record.catch_up(pictures, issued);
        record
    }

    /// Adds what is missing for the pictures up to a moment, and notes what has come.
    ///
    /// The newest picture of all is left to [`add`](Self::add): whoever asks has its nowcast. At most a
    /// dozen starts are made up for, the newest.
    pub fn catch_up(&mut self, pictures: &[RainField], issued: Timestamp) {
        if !self.is_sound() {
            *self = Record::default();
        }
        let mut known: Vec<&RainField> =
            pictures.iter().filter(|picture| picture.valid_time <= issued).collect();
        known.sort_by_key(|picture| picture.valid_time);
        let Some(newest) = known.last().copied() else { return };
        known.retain(|picture| picture.grid.matches(&newest.grid));
        known.dedup_by_key(|picture| picture.valid_time);
        let mut missing: Vec<Timestamp> = Vec::new();
        for picture in known.iter().rev().skip(1) {
            let time = picture.valid_time;
            let starts = self.starts.iter().map(|start| &start.valid_time).chain(&missing);
            let near = |start: &Timestamp| minutes(time, *start).abs() < START_EVERY_MIN - 1e-6;
            let covered = starts.into_iter().any(near);
            let old = minutes(time, newest.valid_time) > KEPT_MIN;
            if !covered && !old && missing.len() < REBUILT_MAX {
                missing.push(time);
            }
        }
        for start in missing.into_iter().rev() {
            let seen = known
                .iter()
                .filter(|picture| (-60.0..=0.0).contains(&minutes(start, picture.valid_time)));
            let seen: Vec<RainField> = seen.map(|picture| (*picture).clone()).collect();
            if let Ok(reading) = Nowcast::from_fields(seen, start) {
                self.add(&reading.value);
            }
        }
        if self.grid == grid_name(&newest.grid) {
            self.see(&known);
            self.settle(issued);
            let since = |sight: &Sight| minutes(sight.valid_time, newest.valid_time);
            self.seen.retain(|sight| since(sight).abs() <= SEEN_MIN);
        }
    }

    /// Brings the record up to a nowcast: what is missing before it, what it says, what has come.
    ///
    /// A record of another sky, or one that a damaged file made up, is begun anew.
    pub fn follow(&mut self, nowcast: &Nowcast) {
        if !self.lies_on_lattice(nowcast) {
            *self = Record::default();
        }
        self.catch_up(nowcast.observed(), nowcast.issued());
        self.add(nowcast);
    }

    /// Adds what a nowcast says of the points, before any correction.
    pub fn add(&mut self, nowcast: &Nowcast) {
        let newest = nowcast.newest();
        let since = |start: &Start| minutes(start.valid_time, newest.valid_time);
        self.starts.retain(|start| since(start).abs() <= KEPT_MIN);
        let grid = grid_name(&newest.grid);
        let cells = cells(nowcast);
        let is_of_this_sky = self.grid == grid && self.is_sound() && self.lies_on_lattice(nowcast);
        // A radar that was down when the record began must not be missed for good.
        if self.starts.is_empty() || !is_of_this_sky || 2 * self.cells.len() < cells.len() {
            *self = Record { grid, cells, ..Record::default() };
        }
        if self.starts.iter().any(|start| since(start).abs() < START_EVERY_MIN - 1e-6) {
            return;
        }
        let courses: Vec<Course<'_>> =
            self.cells.iter().map(|cell| Course::uncorrected(nowcast, place(*cell))).collect();
        let questions = WINDOWS_MIN.iter().flat_map(|window| {
            let gap = window.1 - window.0 >= GAP_WINDOW_MIN;
            [Some((false, *window)), gap.then_some((true, *window))].into_iter().flatten()
        });
        let answers = questions.map(|(gap, window_min)| {
            let said = |course: &Course<'_>| {
                let log_odds = if gap {
                    course.gap_formula(window_min.0, window_min.1, GAP_MIN)
                } else {
                    course.rain_formula(window_min.0, window_min.1)
                };
                // As a whole number what is no number would be even odds.
                log_odds.filter(|log_odds| !log_odds.is_nan()).map(hundredths)
            };
            let said = courses.par_iter().map(said).collect();
            Answer { gap, window_min, said, came: Vec::new() }
        });
        let answers = answers.collect();
        self.starts.push(Start { valid_time: newest.valid_time, answers });
        self.starts.sort_by_key(|start| start.valid_time);
    }

    /// How many windows have ended and are judged.
    pub fn ended(&self) -> usize {
        let answers = self.starts.iter().flat_map(|start| &start.answers);
        answers.filter(|answer| !answer.came.is_empty()).count()
    }

    /// Whether it hangs together: a record from a file may hold anything.
    fn is_sound(&self) -> bool {
        let points = self.cells.len();
        let ascends = self.seen.is_sorted_by(|a, b| a.valid_time < b.valid_time);
        let all_seen = self.seen.iter().all(|sight| sight.wet.len() == points);
        let mut answers = self.starts.iter().flat_map(|start| &start.answers);
        ascends
            && all_seen
            && answers.all(|answer| {
                let is_judged = !answer.came.is_empty();
                WINDOWS_MIN.contains(&answer.window_min)
                    && answer.said.len() == points
                    && (!is_judged || answer.came.len() == points)
            })
    }

    /// Whether its points are such as would be chosen, and no more than these.
    fn lies_on_lattice(&self, nowcast: &Nowcast) -> bool {
        // Both are in order.
        let mut lattice = lattice(nowcast);
        self.cells.iter().all(|cell| lattice.any(|place| place == *cell))
    }

    /// Notes what pictures of the record's grid showed.
    fn see(&mut self, pictures: &[&RainField]) {
        for picture in pictures {
            let time = picture.valid_time;
            let Err(index) = self.seen.binary_search_by_key(&time, |sight| sight.valid_time) else {
                continue;
            };
            let wet = |cell: &(usize, usize)| {
                let rate = picture.rain_rate_mm_h.get(*cell).filter(|rate| rate.is_finite())?;
                Some(*rate >= WET_RATE_MM_H)
            };
            let wet = self.cells.iter().map(wet).collect();
            self.seen.insert(index, Sight { valid_time: time, wet });
        }
    }

    /// Notes what came in windows that have ended.
    fn settle(&mut self, issued: Timestamp) {
        let times: Vec<Timestamp> = self.seen.iter().map(|sight| sight.valid_time).collect();
        let Some(step_min) = usual_step_min(&times) else { return };
        for start in &mut self.starts {
            for answer in start.answers.iter_mut().filter(|answer| answer.came.is_empty()) {
                let (from_min, to_min) = answer.window_min;
                let (from, to) =
                    (after(start.valid_time, from_min), after(start.valid_time, to_min));
                if to > issued {
                    continue;
                }
                let is_within = |sight: &&Sight| {
                    sight.valid_time > start.valid_time && (from..=to).contains(&sight.valid_time)
                };
                let within: Vec<&Sight> = self.seen.iter().filter(is_within).collect();
                if mostly_there(within.len(), to_min - from_min, step_min) {
                    let came = |point: usize| came(&within, point, answer.gap, step_min);
                    answer.came = (0..self.cells.len()).map(came).collect();
                }
            }
        }
    }

    /// The corrections of rain and of gaps, and where the points lie; `None` without ended windows.
    pub(crate) fn corrections(&self, nowcast: &Nowcast) -> Option<Corrections> {
        if self.grid != grid_name(&nowcast.newest().grid) || !self.is_sound() {
            return None;
        }
        let now = nowcast.valid_time();
        let (rain, gap) = (self.ended_by(now, false), self.ended_by(now, true));
        let points = self.cells.len();
        let (rain, gap) = (Correction::new(&rain, points), Correction::new(&gap, points));
        (rain.is_some() || gap.is_some()).then(|| Corrections {
            points: self.cells.iter().map(|cell| place(*cell)).collect(),
            rain,
            gap,
            rain_windows: self.rain_windows(now),
        })
    }

    /// The judged windows of rain that had ended by a moment, at all points.
    fn rain_windows(&self, now: Timestamp) -> Vec<RainWindow> {
        let windows = self.starts.iter().flat_map(|start| {
            let judged = |answer: &&Answer| {
                !answer.gap
                    && !answer.came.is_empty()
                    && minutes(start.valid_time, now) >= answer.window_min.1 - 1e-6
            };
            start.answers.iter().filter(judged).map(|answer| RainWindow {
                said_at: start.valid_time,
                window_min: answer.window_min,
                said: answer.said.clone(),
                came: answer.came.clone(),
            })
        });
        windows.collect()
    }

    /// The judged windows of one question that had ended by a moment.
    fn ended_by(&self, now: Timestamp, gap: bool) -> Vec<Ended<'_>> {
        let mut ended = Vec::new();
        for start in &self.starts {
            for answer in start.answers.iter().filter(|answer| answer.gap == gap) {
                let (begin_min, end_min) = answer.window_min;
                let age_min = minutes(start.valid_time, now) - end_min;
                if answer.came.is_empty() || age_min < -1e-6 {
                    continue;
                }
                let log_odds = answer
                    .said
                    .iter()
                    .map(|said| said.map_or(f32::NAN, |hundredths| f32::from(hundredths) / 100.0));
                ended.push(Ended {
                    middle_min: f64::midpoint(begin_min, end_min),
                    age_min,
                    log_odds: log_odds.collect(),
                    came: &answer.came,
                });
            }
        }
        ended
    }
}

/// Corrections of both questions, with the points that the remainders belong to.
#[derive(Debug)]
pub(crate) struct Corrections {
    pub(crate) points: Vec<Position>,
    pub(crate) rain: Option<Correction>,
    pub(crate) gap: Option<Correction>,
    pub(crate) rain_windows: Vec<RainWindow>,
}

/// A window of rain that has ended, at all points.
#[derive(Debug)]
pub(crate) struct RainWindow {
    pub(crate) said_at: Timestamp,
    /// Minutes ahead of it.
    pub(crate) window_min: (f64, f64),
    /// Log-odds in hundredths; `None` where nothing was said.
    pub(crate) said: Vec<Option<i16>>,
    /// Whether rain came; `None` where it was not measured.
    pub(crate) came: Vec<Option<bool>>,
}

fn place((row, column): (usize, usize)) -> Position {
    Position { row: row as f64, column: column as f64 }
}

#[expect(clippy::cast_possible_truncation, reason = "clamped to what fits")]
fn hundredths(log_odds: f64) -> i16 {
    (100.0 * log_odds).round().clamp(-3000.0, 3000.0) as i16
}

/// A grid as text: two grids with one name have their cells in the same places.
fn grid_name(grid: &Grid) -> String {
    let (x, y) = (single(grid.x_first), single(grid.y_first));
    let (x_step, y_step) = (single(grid.x_step), single(grid.y_step));
    let projection = grid.projection.as_str();
    format!("{projection} {x} {y} {x_step} {y_step} {} {}", grid.rows, grid.columns)
}

/// Points of the lattice on the measured part.
fn cells(nowcast: &Nowcast) -> Vec<(usize, usize)> {
    let rate = &nowcast.newest().rain_rate_mm_h;
    lattice(nowcast).filter(|cell| rate[*cell].is_finite()).collect()
}

/// A lattice over the grid, away from the edges, row by row.
fn lattice(nowcast: &Nowcast) -> impl Iterator<Item = (usize, usize)> {
    let (rows, columns) = nowcast.newest().rain_rate_mm_h.dim();
    let margin =
        |count: usize, cell_km: f64| whole((MARGIN_KM / cell_km).min(MARGIN_SHARE * count as f64));
    let (top, left) = (margin(rows, nowcast.cell_km.0), margin(columns, nowcast.cell_km.1));
    let (rows_inner, columns_inner) = (rows - 2 * top, columns - 2 * left);
    let area_km2 = nowcast.cell_km.0 * nowcast.cell_km.1 * (rows_inner * columns_inner) as f64;
    let every_km = POINT_EVERY_KM.max((area_km2 / POINTS_MAX).sqrt());
    let every = |cell_km: f64| whole((every_km / cell_km).round()).max(1);
    let (down, right) = (every(nowcast.cell_km.0), every(nowcast.cell_km.1));
    let rows = (top..rows - top).step_by(down);
    rows.flat_map(move |row| (left..columns - left).step_by(right).map(move |column| (row, column)))
}

/// Whether most pictures of a window are there, at least two.
///
/// - `step_min`: the usual time between pictures. Two that happen to be left of a dozen are far apart,
///   and must not pass for all that there were.
fn mostly_there(count: usize, window_min: f64, step_min: f64) -> bool {
    let expected = (window_min / step_min).floor();
    count >= 2 && count as f64 >= PICTURES_SHARE_MIN * expected
}

/// Whether rain, or a gap, came to a point; `None` where a picture does not say.
fn came(pictures: &[&Sight], point: usize, gap: bool, step_min: f64) -> Option<bool> {
    let wet: Vec<bool> = pictures.iter().map(|sight| sight.wet[point]).collect::<Option<_>>()?;
    let longest = wet.split(|wet| *wet).map(<[bool]>::len).max().unwrap_or(0);
    let needed = (GAP_MIN / step_min - 1e-6).ceil();
    Some(if gap { longest as f64 >= needed } else { wet.contains(&true) })
}
