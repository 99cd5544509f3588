//! How busy the sky around a place is, whether that is growing, and what gaps are on their way.

use fairspell_ground::LatLon;
use ndarray::Array2;
use serde::Serialize;

use crate::arrivals::{STEPS_MAX, gaussian_pattern, steps_mask};
use crate::course::Course;
use crate::evenings::{Spread, quantiles};
use crate::level::WET_RATE_MM_H;
use crate::narrow::whole;
use crate::nowcast::{Nowcast, minutes};

/// Pictures up to so old tell the trend, minutes.
const TREND_MIN: f64 = 30.0;

/// Changes smaller than this are none: share of the sky an hour, and of what is wet.
///
/// Our choice: two hundredths of the circle an hour is what a single shower makes that comes in at
/// its edge.
const STEADY: f64 = 0.02;
const STEADY_OF_WET: f64 = 0.15;

/// A circle counts as measured when this share of it is.
const MEASURED_MIN: f64 = 0.5;

/// Air on its way to a Gaussian of so many km around the place tells the gaps; so many ways of it.
const UPSTREAM_KM: f64 = 20.0;
const UPSTREAM_WAYS: usize = 64;

/// Gaps on fewer ways than this are no habit.
const UPSTREAM_GAPS_MIN: usize = 8;

/// Whether the rain around a place covers more and more of the sky.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Trend {
    /// More and more of it.
    Growing,
    /// About as much as half an hour ago.
    Steady,
    /// Less and less.
    Shrinking,
}

/// The sky around a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Busyness {
    /// Radius of the circle, km; where the picture ends within it, what is on the picture counts.
    pub radius_km: f64,
    /// Share of what is measured that is wet (at least 0.1 mm/h).
    pub wet_share: f64,
    /// How that has changed in the last half hour, an hour; `None` with no older picture. Only what
    /// is measured in both pictures is compared, so that a radar that fails is no fine weather.
    pub trend_per_hour: Option<f64>,
    /// How long it is dry between two showers in the air that comes in the next three hours, up to
    /// 20 km beside its way; `None` where hardly any such gap is on its way.
    pub gap_between_rain: Option<Spread>,
}

impl Busyness {
    /// Whether it is growing; `None` with no older picture.
    ///
    /// # Examples
    ///
    /// ```
    /// use fairspell_nowcast::{Busyness, Trend};
    ///
    /// let sky = |trend_per_hour| Busyness {
    ///     radius_km: 100.0,
    ///     wet_share: 0.4,
    ///     trend_per_hour,
    ///     gap_between_rain: None,
    /// };
    /// assert_eq!(sky(Some(0.2)).trend(), Some(Trend::Growing));
    /// // With two fifths of the sky wet, one twentieth more or less an hour is no change.
    /// assert_eq!(sky(Some(-0.05)).trend(), Some(Trend::Steady));
    /// assert_eq!(sky(None).trend(), None);
    /// ```
    pub fn trend(&self) -> Option<Trend> {
        let change = self.trend_per_hour?;
        let steady = change.abs() <= STEADY.max(STEADY_OF_WET * self.wet_share);
        Some(match change {
            _ if steady => Trend::Steady,
            change if change > 0.0 => Trend::Growing,
            _ => Trend::Shrinking,
        })
    }
}

/// The circle around the place of a course.
pub(crate) fn busyness(nowcast: &Nowcast, course: &Course<'_>, radius_km: f64) -> Option<Busyness> {
    let newest = nowcast.newest();
    let place = newest.grid.point_at(course.place.row, course.place.column)?;
    let chords = chords(nowcast, place, radius_km);
    let circle = Count::of(&newest.rain_rate_mm_h, &newest.rain_rate_mm_h, &chords.rows);
    if circle.known == 0 || (f64::from(circle.known)) < MEASURED_MIN * chords.cells {
        return None;
    }
    // The line through the newest picture that misses the older ones least.
    let (mut change_hours, mut hours_squared) = (0.0, 0.0);
    for older in nowcast.observed() {
        let age_min = minutes(older.valid_time, newest.valid_time);
        if age_min <= 0.0 || age_min > TREND_MIN + 0.5 {
            continue;
        }
        let both = Count::of(&newest.rain_rate_mm_h, &older.rain_rate_mm_h, &chords.rows);
        if (f64::from(both.known)) >= MEASURED_MIN * f64::from(circle.known) {
            let hours = age_min / 60.0;
            let change = (f64::from(both.wet) - f64::from(both.wet_then)) / f64::from(both.known);
            change_hours += change * hours;
            hours_squared += hours * hours;
        }
    }
    Some(Busyness {
        radius_km,
        wet_share: f64::from(circle.wet) / f64::from(circle.known),
        trend_per_hour: (hours_squared > 0.0).then(|| change_hours / hours_squared),
        gap_between_rain: gap_between_rain(nowcast, course),
    })
}

/// Dry stretches between two showers on the ways that lead to the place and beside it.
fn gap_between_rain(nowcast: &Nowcast, course: &Course<'_>) -> Option<Spread> {
    let last = whole(180.0 / nowcast.step_min).min(nowcast.steps).min(STEPS_MAX);
    let pattern = gaussian_pattern(UPSTREAM_WAYS);
    let mut gaps = Vec::new();
    for series in nowcast.arrivals.around(course.place, UPSTREAM_KM, &pattern) {
        let told = steps_mask(0, last);
        let (wet, unknown) = (series.wet & told, !series.known & told);
        let mut rest = wet;
        while rest != 0 {
            let step = rest.trailing_zeros();
            rest &= rest - 1;
            if rest == 0 {
                break;
            }
            let next = rest.trailing_zeros();
            let between = steps_mask(step as usize, next as usize);
            if next > step + 1 && unknown & between == 0 {
                gaps.push((f64::from(next - step - 1) * nowcast.step_min, 1.0));
            }
        }
    }
    if gaps.len() < UPSTREAM_GAPS_MIN {
        return None;
    }
    let [p10_min, p50_min, p90_min] = quantiles(gaps)?;
    Some(Spread { p10_min, p50_min, p90_min })
}

/// A circle on the grid.
struct Chords {
    /// Of each row that it crosses, the columns from the first to before the last.
    rows: Vec<(usize, std::ops::Range<usize>)>,
    /// Cells it would have on a grid without end.
    cells: f64,
}

fn chords(nowcast: &Nowcast, place: LatLon, radius_km: f64) -> Chords {
    let grid = &nowcast.newest().grid;
    let (row_km, column_km) = grid.spacing_km(place).unwrap_or(nowcast.cell_km);
    let Some((row, column)) = grid.cell_of(place) else {
        return Chords { rows: Vec::new(), cells: 0.0 };
    };
    let chord = |index: usize| {
        let down_km = (index as f64 - row) * row_km;
        let half = (radius_km * radius_km - down_km * down_km).sqrt() / column_km;
        let begin = whole((column - half).ceil().max(0.0)).min(grid.columns);
        let end = whole((column + half).floor() + 1.0).min(grid.columns);
        (half.is_finite() && begin < end).then_some((index, begin..end))
    };
    let cells = std::f64::consts::PI * radius_km * radius_km / (row_km * column_km);
    Chords { rows: (0..grid.rows).filter_map(chord).collect(), cells }
}

/// Cells that are measured in two pictures.
#[derive(Debug, Default)]
struct Count {
    known: i32,
    wet: i32,
    wet_then: i32,
}

impl Count {
    fn of(
        newest: &Array2<f32>,
        older: &Array2<f32>,
        rows: &[(usize, std::ops::Range<usize>)],
    ) -> Self {
        let mut count = Count::default();
        for (row, columns) in rows {
            let (now, then) = (chord(newest, *row, columns), chord(older, *row, columns));
            // Without a branch and in one kind of number, which a processor counts four at a time.
            let (mut known, mut wet, mut wet_then) = (0_i32, 0_i32, 0_i32);
            for (now, then) in now.iter().zip(then.iter()) {
                let both = i32::from(!now.is_nan()) & i32::from(!then.is_nan());
                known += both;
                wet += both & i32::from(*now >= WET_RATE_MM_H);
                wet_then += both & i32::from(*then >= WET_RATE_MM_H);
            }
            count.known += known;
            count.wet += wet;
            count.wet_then += wet_then;
        }
        count
    }
}

/// Part of a row, in one piece of memory, where it usually is already.
fn chord<'a>(
    picture: &'a Array2<f32>,
    row: usize,
    columns: &std::ops::Range<usize>,
) -> std::borrow::Cow<'a, [f32]> {
    match picture.as_slice() {
        Some(cells) => {
            let begin = row * picture.ncols();
            cells[begin + columns.start..begin + columns.end].into()
        }
        None => picture.row(row).iter().skip(columns.start).take(columns.len()).copied().collect(),
    }
}
