//! From the last pictures to everything that can be asked of a place.

use std::{fmt, time::Duration};

use fairspell_ground::{LatLon, Reading};
use jiff::Timestamp;
use ndarray::Array2;
use rayon::prelude::*;
use serde::Serialize;

use crate::advect::{Carrier, Motion, Position};
use crate::arrivals::{Arrivals, STEPS_MAX, gaussian_pattern};
use crate::course::{GAP_NEIGHBOURS, NEIGHBOURS};
use crate::field::{Grid, RainField};
use crate::level::{WET_MIN, WET_RATE_MM_H};
use crate::maps::{Change, Maps, Parts, levels};
use crate::motion::{self, LevelFrame};
use crate::narrow::{cell_at, whole};
use crate::record::{Corrections, Record};
use crate::spot::Spot;

/// How far ahead of the newest picture anything is said, minutes.
pub const HORIZON_MIN: f64 = 300.0;

/// How far ahead of the newest picture a coming picture is drawn, minutes.
///
/// Our choice: beyond two hours single showers live shorter than they are carried.
pub const COMING_MAX_MIN: f64 = 120.0;

/// Pictures older than the first are looked at only while there are fewer than so many, and older
/// than the second never; minutes against the newest.
const HISTORY_MIN: f64 = 24.0;
const HISTORY_COUNT: usize = 4;
const HISTORY_MAX_MIN: f64 = 46.0;

/// Ages, against the newest, of the pictures that births and deaths are counted from, minutes.
const BIRTH_LAG_MIN: f64 = 10.0;
const DEATH_LAG_MIN: f64 = 20.0;

/// Steps of the series ahead, minutes: that of the pictures, if it lies in here.
const STEP_MIN: f64 = 3.0;
const STEP_MAX: f64 = 15.0;
const STEP_DEFAULT: f64 = 5.0;

/// A place counts as seen when this share of the cells within this distance is measured.
const SEEN_SHARE_MIN: f64 = 0.5;
const SEEN_RADIUS_KM: f64 = 3.0;

/// Why there is no nowcast, or none of a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NowcastError {
    /// Not one usable picture: fetch some, or rely on the forecast.
    #[error("no radar picture up to the moment asked for")]
    NoFrames,
    /// The pictures don't reach the place: take another service's.
    #[error("the place lies outside the radar's grid")]
    OutsideGrid,
    /// The place lies on the grid, but no radar sees it: rely on the forecast.
    #[error("no radar measures the place")]
    NoCoverage,
}

/// What of the pictures could not be used, or is missing among them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(tag = "remark", rename_all = "snake_case")]
pub enum NowcastRemark {
    /// Two pictures of one moment; the one that came first was kept.
    Duplicate {
        /// Their moment.
        valid_time: Timestamp,
    },
    /// A picture on another grid than the newest was left out.
    OtherGrid {
        /// Its moment.
        valid_time: Timestamp,
    },
    /// Pictures are missing between two that follow each other.
    Gap {
        /// The last before.
        from: Timestamp,
        /// The first after.
        to: Timestamp,
    },
    /// There is rain, but the pictures don't tell where it goes (too few, too far apart, or rain as
    /// even as a wall): what is said of later hours is hardly more than how much rain there is around.
    MotionUnknown,
}

impl fmt::Display for NowcastRemark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            NowcastRemark::Duplicate { valid_time } => {
                write!(f, "two pictures of {valid_time}, the first was kept")
            }
            NowcastRemark::OtherGrid { valid_time } => {
                write!(f, "picture of {valid_time} left out: another grid than the newest")
            }
            NowcastRemark::Gap { from, to } => {
                write!(f, "pictures missing between {from} and {to}")
            }
            NowcastRemark::MotionUnknown => {
                f.write_str("the pictures do not tell where the rain goes")
            }
        }
    }
}

/// Rain carried forward from the last pictures; ask it [`at`](Nowcast::at) a place.
///
/// All maps are made once; a place costs a fraction of a millisecond, a window of an hour about as
/// much again.
///
/// # Examples
///
/// A curtain of rain 40 km to the west comes at a kilometre a minute:
///
/// ```
/// use fairspell_ground::{LatLon, Projection};
/// use fairspell_nowcast::{Grid, Nowcast, RainField};
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
/// let frames = [20, 15, 10, 5, 0].map(|age_min| RainField {
///     valid_time: issued - SignedDuration::from_mins(age_min),
///     grid: grid.clone(),
///     rain_rate_mm_h: Array2::from_shape_fn((256, 256), |(_, column)| {
///         if column as i64 + age_min < 88 { 2.0 } else { 0.0 }
///     }),
/// });
///
/// let nowcast = Nowcast::from_fields(frames.to_vec(), issued)?.value;
/// let steps = nowcast.at(LatLon::new(-31.7, 152.8)?)?;
/// let in_minutes = |minutes| issued + SignedDuration::from_mins(minutes);
/// assert!(steps.p_rain(issued, in_minutes(15)).expect("seen").get() < 0.2);
/// assert!(steps.p_rain(in_minutes(50), in_minutes(80)).expect("seen").get() > 0.9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Debug)]
pub struct Nowcast {
    issued: Timestamp,
    /// On one grid, oldest first, at least one.
    observed: Vec<RainField>,
    /// `None`: there is rain, and it cannot be told where it goes.
    pub(crate) carrier: Option<Carrier>,
    /// Minutes from one step of all series to the next.
    pub(crate) step_min: f64,
    /// Steps to the horizon.
    pub(crate) steps: usize,
    pub(crate) cell_km: (f64, f64),
    pub(crate) maps: Maps,
    pub(crate) births: Option<Change>,
    pub(crate) deaths: Option<Change>,
    pub(crate) arrivals: Arrivals,
    /// Offsets of the neighbours that are asked for rain, and for a gap.
    pub(crate) pattern: Vec<(f64, f64)>,
    pub(crate) gap_pattern: Vec<(f64, f64)>,
    /// From windows that have ended; see [`Nowcast::corrected_by`].
    pub(crate) corrections: Option<Corrections>,
}

impl Nowcast {
    /// Makes a nowcast from pictures in any order.
    ///
    /// - `fields`: cut them to what can matter (300 km around the place) first; all cells of the
    ///   grid are worked on. Those later than `issued` are dropped without being looked at.
    /// - `issued`: the moment at which the question is asked.
    ///
    /// A picture twice, one on another grid than the newest, and a gap between pictures are
    /// remarked. With a single picture there is no motion: the answers are then wide.
    ///
    /// # Errors
    ///
    /// [`NowcastError::NoFrames`] when no picture is left.
    ///
    /// # Source
    ///
    /// Semi-Lagrangian persistence: U. Germann and I. Zawadzki, Mon. Wea. Rev. 130 (2002), 2859;
    /// chances from a neighbourhood that widens by about a kilometre a minute: the same, J. Appl.
    /// Meteor. 43 (2004), 74. Local births and deaths and the two formulas: our own, see
    /// `logistic.rs`.
    pub fn from_fields(
        fields: Vec<RainField>,
        issued: Timestamp,
    ) -> Result<Reading<Nowcast, NowcastRemark>, NowcastError> {
        let mut remarks = Vec::new();
        let frames = usable(fields, issued, &mut remarks);
        let newest = frames.last().ok_or(NowcastError::NoFrames)?;
        let age_min = |frame: &RainField| minutes(frame.valid_time, newest.valid_time);
        let recent = recent(&frames);
        let cell_km = cell_km(&newest.grid);
        let step_min = step_min(recent);
        let steps = whole(HORIZON_MIN / step_min).min(STEPS_MAX);

        let recent_levels: Vec<Array2<f32>> =
            recent.par_iter().map(|frame| levels(&frame.rain_rate_mm_h)).collect();
        let level = &recent_levels[recent.len() - 1];
        let level_frames: Vec<LevelFrame<'_>> = recent
            .iter()
            .zip(&recent_levels)
            .map(|(frame, level)| LevelFrame { time_min: -age_min(frame), level })
            .collect();
        let still = Carrier::constant(Motion::uniform(0.0, 0.0));
        // A dry sky may as well stand still.
        let dry = recent.len() > 1 && level.iter().all(|level| level.is_nan() || *level < WET_MIN);
        let found = motion::estimate(&level_frames, f64::midpoint(cell_km.0, cell_km.1));
        let carrier = found
            .motion
            .zip(found.steady)
            .map(|(near, steady)| Carrier { near, steady })
            .or_else(|| dry.then(|| still.clone()));
        let parts = Parts::new(level);
        let carrier_or_still = carrier.as_ref().unwrap_or(&still);
        let change = |lag_min: f64| {
            let miss = |frame: &RainField| (age_min(frame) - lag_min).abs();
            let older = (0..recent.len() - 1)
                .min_by(|a, b| miss(&recent[*a]).total_cmp(&miss(&recent[*b])))?;
            let lag_min = age_min(&recent[older]);
            let near = &carrier.as_ref()?.near;
            Some(Change::since(&recent_levels[older], lag_min, level, near, cell_km))
        };
        let ((maps, arrivals), (births, deaths)) = rayon::join(
            || {
                (
                    Maps::new(&parts, &newest.rain_rate_mm_h, cell_km),
                    Arrivals::new(level, carrier_or_still, step_min, steps, cell_km),
                )
            },
            || (change(BIRTH_LAG_MIN), change(DEATH_LAG_MIN)),
        );
        if carrier.is_none() && maps.domain_wet_share > 0.0 {
            remarks.push(NowcastRemark::MotionUnknown);
        }
        let nowcast = Nowcast {
            issued,
            observed: frames,
            carrier,
            step_min,
            steps,
            cell_km,
            maps,
            births,
            deaths,
            arrivals,
            pattern: gaussian_pattern(NEIGHBOURS),
            gap_pattern: gaussian_pattern(GAP_NEIGHBOURS),
            corrections: None,
        };
        Ok(Reading { value: nowcast, remarks })
    }

    /// The same nowcast, corrected by how well those before it did.
    ///
    /// A record of another grid, or one in which no window has ended yet, changes nothing. It must
    /// hold only what had ended by the newest picture, or it would know the future; a record that
    /// was kept as time went on does.
    #[must_use]
    pub fn corrected_by(mut self, record: &Record) -> Self {
        self.corrections = record.corrections(&self);
        self
    }

    /// Whether windows that have ended correct what is said.
    pub fn is_corrected(&self) -> bool {
        self.corrections.is_some()
    }

    /// The moment at which the question is asked.
    pub fn issued(&self) -> Timestamp {
        self.issued
    }

    /// The newest picture.
    pub fn newest(&self) -> &RainField {
        &self.observed[self.observed.len() - 1]
    }

    /// Pictures on one grid up to the moment asked for, each moment once, oldest first.
    pub fn observed(&self) -> &[RainField] {
        &self.observed
    }

    /// A coming picture: the newest one carried along its motion.
    ///
    /// To be looked at, in a loop after those that were [`observed`](Self::observed). It is the
    /// radar's extrapolation alone: all rain goes on as it goes, none is born and none dies, and it
    /// looks as sure two hours ahead as it does ten minutes ahead. What it is worth is said by
    /// [`at`](Self::at), which allows for all that.
    ///
    /// - `minutes_ahead`: from the newest picture, not from the moment asked for; 0 is that picture.
    ///
    /// NaN where the air comes from a place that was not measured or lies off the grid. `None` when
    /// the motion cannot be told, and outside 0 to [`COMING_MAX_MIN`]: show no coming picture then.
    ///
    /// # Examples
    ///
    /// ```
    /// use fairspell_ground::{LatLon, Projection};
    /// use fairspell_nowcast::{Grid, Nowcast, RainField};
    /// use jiff::{SignedDuration, Timestamp};
    /// use ndarray::Array2;
    ///
    /// let grid = Grid {
    ///     projection: Projection::from_proj_string("+proj=laea +lat_0=-31.7 +lon_0=152.8")?,
    ///     x_first: -63_500.0,
    ///     y_first: 63_500.0,
    ///     x_step: 1000.0,
    ///     y_step: 1000.0,
    ///     rows: 128,
    ///     columns: 128,
    /// };
    /// let issued: Timestamp = "2026-09-03T04:00:00Z".parse()?;
    /// // A dry sky under the radar's eye stays dry, however far ahead ...
    /// let dry = [10, 5, 0].map(|age_min| RainField {
    ///     valid_time: issued - SignedDuration::from_mins(age_min),
    ///     grid: grid.clone(),
    ///     rain_rate_mm_h: Array2::zeros((128, 128)),
    /// });
    /// let nowcast = Nowcast::from_fields(dry.to_vec(), issued)?.value;
    /// let coming = nowcast.field_at(30.0).expect("nothing to move, so the motion does not matter");
    /// assert_eq!(coming.valid_time, issued + SignedDuration::from_mins(30));
    /// assert_eq!(coming.rain_rate_at(LatLon::new(-31.7, 152.8)?), Some(0.0));
    /// // ... and nothing is said of tomorrow.
    /// assert!(nowcast.field_at(1440.0).is_none());
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Source
    ///
    /// Semi-Lagrangian persistence, as for [`from_fields`](Self::from_fields).
    pub fn field_at(&self, minutes_ahead: f64) -> Option<RainField> {
        let motion = &self.carrier.as_ref()?.near;
        let newest = self.newest();
        (0.0..=COMING_MAX_MIN).contains(&minutes_ahead).then(|| RainField {
            valid_time: after(newest.valid_time, minutes_ahead),
            grid: newest.grid.clone(),
            rain_rate_mm_h: motion.carry_for_show(&newest.rain_rate_mm_h, minutes_ahead),
        })
    }

    /// The moment of the newest picture.
    pub fn valid_time(&self) -> Timestamp {
        self.newest().valid_time
    }

    /// Pictures on one grid up to the moment asked for, each moment once.
    pub fn frames_used(&self) -> usize {
        self.observed.len()
    }

    /// Minutes from the newest picture to the moment asked for.
    pub fn frame_age_min(&self) -> f64 {
        minutes(self.newest().valid_time, self.issued)
    }

    /// Where the rain goes at a place: (east, north), km/h.
    ///
    /// `None` off the grid, when the motion cannot be told, and when there is no rain to move.
    pub fn motion_at(&self, place: LatLon) -> Option<(f64, f64)> {
        let (row, column) = self.newest().grid.cell_of(place)?;
        let carrier = self.carrier.as_ref().filter(|_| self.maps.domain_wet_share > 0.0)?;
        let (down, right) = carrier.near.at(Position { row, column });
        // Over a quarter of an hour, on the globe: the grid's north need not be north.
        let here = self.newest().grid.point_at(row, column)?;
        let there = self.newest().grid.point_at(row + 15.0 * down, column + 15.0 * right)?;
        let (east_km, north_km) = here.offset_km(there);
        Some((4.0 * east_km, 4.0 * north_km))
    }

    /// Share of wet cells (at least 0.1 mm/h) among the measured within `radius_km` of a place.
    ///
    /// `None` when less than half of that circle is measured.
    pub fn wet_share(&self, place: LatLon, radius_km: f64) -> Option<f64> {
        let circle = self.circle(place, radius_km);
        let enough = circle.measured > 0 && circle.measured as f64 >= 0.5 * circle.cells as f64;
        enough.then(|| circle.wet as f64 / circle.measured as f64)
    }

    /// Share of the circle of `radius_km` around a place that is measured; 0 far off the grid.
    pub fn coverage(&self, place: LatLon, radius_km: f64) -> f64 {
        let circle = self.circle(place, radius_km);
        circle.measured as f64 / circle.cells.max(1) as f64
    }

    /// Everything that can be asked of a place.
    ///
    /// # Errors
    ///
    /// [`NowcastError::OutsideGrid`] or [`NowcastError::NoCoverage`].
    pub fn at(&self, place: LatLon) -> Result<Spot<'_>, NowcastError> {
        let cell = self.newest().grid.cell_of(place).ok_or(NowcastError::OutsideGrid)?;
        if self.coverage(place, SEEN_RADIUS_KM) < SEEN_SHARE_MIN {
            return Err(NowcastError::NoCoverage);
        }
        Ok(Spot::new(self, Position { row: cell.0, column: cell.1 }))
    }

    /// How far two positions are apart, km.
    pub(crate) fn apart_km(&self, a: Position, b: Position) -> f64 {
        let down_km = (a.row - b.row) * self.cell_km.0;
        let right_km = (a.column - b.column) * self.cell_km.1;
        down_km.hypot(right_km)
    }

    /// Rain rate in the cell that holds a position, mm/h; `None` where not measured.
    pub(crate) fn rain_rate_at(&self, position: Position) -> Option<f64> {
        let (rows, columns) = self.newest().rain_rate_mm_h.dim();
        let cell = [cell_at(position.row, rows)?, cell_at(position.column, columns)?];
        let rate = self.newest().rain_rate_mm_h[cell];
        rate.is_finite().then_some(f64::from(rate))
    }

    /// Counts the cells whose centres lie within a circle, on the grid and off it.
    fn circle(&self, place: LatLon, radius_km: f64) -> Circle {
        let mut circle = Circle { cells: 0, measured: 0, wet: 0 };
        let grid = &self.newest().grid;
        let (Some((row, column)), Some(spacing)) = (grid.cell_of(place), grid.spacing_km(place))
        else {
            return circle;
        };
        // At least the cell itself, so that a coarse grid has an answer.
        let (row_km, column_km) = spacing;
        let reach = |km: f64| whole((radius_km / km).ceil());
        let (rows, columns) = (reach(row_km), reach(column_km));
        for i in 0..=2 * rows {
            for j in 0..=2 * columns {
                let cell = Position {
                    row: row.round() + i as f64 - rows as f64,
                    column: column.round() + j as f64 - columns as f64,
                };
                let down_km = (cell.row - row) * row_km;
                let right_km = (cell.column - column) * column_km;
                let own = (i, j) == (rows, columns);
                if !own && down_km * down_km + right_km * right_km > radius_km * radius_km {
                    continue;
                }
                circle.cells += 1;
                if let Some(rate) = self.rain_rate_at(cell) {
                    circle.measured += 1;
                    circle.wet += usize::from(rate >= f64::from(WET_RATE_MM_H));
                }
            }
        }
        circle
    }
}

/// Cells of a circle.
struct Circle {
    cells: usize,
    measured: usize,
    wet: usize,
}

/// Minutes from one moment to another.
pub(crate) fn minutes(from: Timestamp, to: Timestamp) -> f64 {
    to.duration_since(from).as_secs_f64() / 60.0
}

/// A moment some minutes after another, to the millisecond.
pub(crate) fn after(start: Timestamp, minutes: f64) -> Timestamp {
    let duration = Duration::from_secs_f64(minutes.max(0.0) * 60.0);
    start.checked_add(duration).unwrap_or(Timestamp::MAX)
}

/// Pictures up to `issued` on the newest one's grid, oldest first, each moment once.
fn usable(
    mut fields: Vec<RainField>,
    issued: Timestamp,
    remarks: &mut Vec<NowcastRemark>,
) -> Vec<RainField> {
    fields.retain(|field| {
        let (rows, columns) = field.rain_rate_mm_h.dim();
        let whole = (rows, columns) == (field.grid.rows, field.grid.columns);
        field.valid_time <= issued && whole && rows * columns > 0
    });
    fields.sort_by_key(|field| field.valid_time);
    if let Some(grid) = fields.last().map(|newest| newest.grid.clone()) {
        fields.retain(|field| {
            let same = field.grid.matches(&grid);
            if !same {
                remarks.push(NowcastRemark::OtherGrid { valid_time: field.valid_time });
            }
            same
        });
    }
    fields.dedup_by(|later, earlier| {
        let same = later.valid_time == earlier.valid_time;
        if same {
            remarks.push(NowcastRemark::Duplicate { valid_time: later.valid_time });
        }
        same
    });
    let usual = usual_step_min(&times_of(&fields));
    for pair in fields.windows(2) {
        let (from, to) = (pair[0].valid_time, pair[1].valid_time);
        if usual.is_some_and(|usual| minutes(from, to) > 1.5 * usual) {
            remarks.push(NowcastRemark::Gap { from, to });
        }
    }
    fields
}

/// The newest pictures, as many as motion and changes are told from.
fn recent(frames: &[RainField]) -> &[RainField] {
    let Some(newest) = frames.last() else { return frames };
    let wanted = |(count, frame): &(usize, &RainField)| {
        let age_min = minutes(frame.valid_time, newest.valid_time);
        age_min <= HISTORY_MIN || (*count < HISTORY_COUNT && age_min <= HISTORY_MAX_MIN)
    };
    let count = frames.iter().rev().enumerate().take_while(wanted).count();
    &frames[frames.len() - count..]
}

/// The usual time between pictures, minutes: the lower median, so that one gap doesn't count.
///
/// - `times`: the pictures' moments, ascending.
///
/// `None` of fewer than two.
pub fn usual_step_min(times: &[Timestamp]) -> Option<f64> {
    let mut steps: Vec<f64> = times.windows(2).map(|pair| minutes(pair[0], pair[1])).collect();
    steps.sort_by(f64::total_cmp);
    steps.get(steps.len().checked_sub(1)? / 2).copied()
}

fn times_of(frames: &[RainField]) -> Vec<Timestamp> {
    frames.iter().map(|frame| frame.valid_time).collect()
}

/// The step of all series: that of the pictures, or a multiple or part of it within bounds.
fn step_min(frames: &[RainField]) -> f64 {
    match usual_step_min(&times_of(frames)) {
        None => STEP_DEFAULT,
        Some(step) if step < STEP_MIN => step * (STEP_MIN / step).ceil(),
        Some(step) => step / (step / STEP_MAX).ceil(),
    }
}

/// Height and width of the cells in the middle of a grid, km.
///
/// A degree's width changes by a few per cent over a few hundred kilometres; that is less than the
/// motion's own error.
fn cell_km(grid: &Grid) -> (f64, f64) {
    let (row, column) = ((grid.rows - 1) as f64 / 2.0, (grid.columns - 1) as f64 / 2.0);
    let spacing = grid.point_at(row, column).and_then(|middle| grid.spacing_km(middle));
    // Where the projection has no inverse its own metres must do.
    let own = (grid.y_step.abs() / 1000.0, grid.x_step.abs() / 1000.0);
    let usable = |km: f64| km.is_finite() && km > 1e-3;
    spacing
        .filter(|(height, width)| usable(*height) && usable(*width))
        .unwrap_or_else(|| if usable(own.0) && usable(own.1) { own } else { (1.0, 1.0) })
}
