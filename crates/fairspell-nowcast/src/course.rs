//! The course of the air that arrives at a place: step by step in, chances of windows out.

mod gaps;

use std::sync::OnceLock;

use self::gaps::GapMiddles;

use crate::advect::{Position, value_at};
use crate::correction::{Local, Shift, distances_weighed};
use crate::level::WET_RATE_MM_H;
use crate::logistic::{Predictors, RainPredictors, chance, log_hazard, stretched};
use crate::maps::Change;
use crate::narrow::{cell_and_rest, cell_at, whole};
use crate::nowcast::{HORIZON_MIN, Nowcast};
use crate::rain_table::RainTable;
use crate::thinned::Thinned;
use crate::upstream::{Arrival, Upstream};
use crate::window_counts::{COUNT_MAX, Steps, WindowCounts, WindowTally};

/// How the widths of what is read along the path grow, km a minute, from 1 km.
const GROWTHS: [f64; 3] = [0.1, 0.3, 0.8];

/// The same for the neighbours whose path meets rain.
const NEIGHBOUR_GROWTH: f64 = 0.3;

/// Where the motion is unknown rain may come from anywhere: added to each growth, km a minute.
const UNKNOWN_DRIFT: f64 = 0.6;

/// Usual shares of births in ten and of deaths in twenty minutes, where they cannot be counted.
const BIRTH_USUAL: f64 = 0.02;
const DEATH_USUAL: f64 = 0.15;

/// Distance to the edge of the rain that stands for places off the grid, km.
const EDGE_OFF_GRID_KM: f64 = 20.0;

/// Neighbours that are asked for rain, and for a gap.
pub(crate) const NEIGHBOURS: usize = 128;
pub(crate) const GAP_NEIGHBOURS: usize = 128;
const _: () = assert!(NEIGHBOURS <= COUNT_MAX && GAP_NEIGHBOURS <= COUNT_MAX, "to be counted");

/// A step is answered while this share of the neighbours' air was measured.
const MEASURED_SHARE_MIN: f64 = 0.1;

/// The measured cell now is the place now, all but this.
const NOW_DOUBT: f64 = 0.02;

/// The chance at a moment against that of half an hour around it, as log-odds.
///
/// The formula was fitted on windows of half an hour and more and takes shorter ones for that long.
/// At single moments 4 to 120 minutes ahead that was 0.5 to 0.9 too much on each of the three events
/// it was fitted on, whatever the lead.
const MOMENT_SHIFT: f64 = -0.7;

/// The window that the formula was fitted on at the shortest, minutes.
const SHORTEST_MIN: f64 = 30.0;

/// Where next to no rain dies the formula, fitted on skies where it does, says too little of the
/// hours after the next: there the share of the neighbours whose path meets rain is mixed in. It
/// begins at a death rate of an eighth in 20 minutes (as log hazard), is complete a span farther
/// down, and grows with the lead from 30 to 90 minutes. On the open events it changes no score by
/// more than half a per cent; on invented skies of lasting showers it takes away half of the miss.
const LASTING_DEATH: f64 = -2.0;
const LASTING_SPAN: f64 = 1.0;
const LASTING_WEIGHT: f64 = 0.8;

/// All steps of one place.
#[derive(Debug)]
pub(crate) struct Course<'a> {
    nowcast: &'a Nowcast,
    pub(crate) place: Position,
    /// Speed of the rain there, km/h.
    speed_km_h: f64,
    /// Where the air is now that arrives at each step, from the newest picture on.
    path: Vec<Position>,
    /// What is read there, when first asked for.
    arrivals: Vec<OnceLock<Arrival>>,
    /// Corrections of the two formulas here.
    rain_correction: Option<Local>,
    gap_correction: Option<Local>,
    /// What comes within the first hour, within two, and so on.
    tables: [OnceLock<RainTable>; HOURS],
    /// What the neighbours say of the gap that was asked for first.
    gap_middles: OnceLock<GapMiddles>,
}

/// What windows around one middle have in common, for the chance of rain.
#[derive(Debug, Clone)]
pub(crate) struct Middle {
    /// Minutes from the newest picture.
    lead_min: f64,
    /// ln(that / 30 min).
    lead: f64,
    change: Changing,
    /// Weight of the neighbours alone, where rain lasts.
    lasting: f64,
    correction: Option<Shift>,
    /// Neighbours whose path meets rain in a window, and those known in any of its steps.
    met: WindowCounts,
    known: WindowCounts,
}

/// What windows of one length have in common, for the chance of rain.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Length {
    /// Steps from the first to the last.
    steps: usize,
    /// ln(minutes / 30).
    half_hours_ln: f64,
    /// How much sky passes, compressed.
    passing: f64,
    /// Shift of the log-odds because it is shorter than those the formula was fitted on.
    shift: f64,
}

/// Hours to the horizon, counted from the newest picture.
const HOURS: usize = 5;
const _: () = assert!(60.0 * HOURS as f64 >= HORIZON_MIN, "a table for every hour");

/// One moment of a course.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Moment {
    /// Chance that it is wet.
    pub(crate) p_rain: f64,
    /// Expected rain rate, mm/h.
    pub(crate) rain_rate_mm_h: f64,
}

impl<'a> Course<'a> {
    pub(crate) fn new(nowcast: &'a Nowcast, place: Position) -> Self {
        let mut course = Course::uncorrected(nowcast, place);
        if let Some(corrections) = &nowcast.corrections {
            let distance_km = |point: &Position| nowcast.apart_km(*point, place);
            let near = distances_weighed(corrections.points.iter().map(distance_km));
            course.rain_correction = corrections.rain.as_ref().map(|rain| rain.at(&near));
            course.gap_correction = corrections.gap.as_ref().map(|gap| gap.at(&near));
        }
        course
    }

    /// A course that says what the formulas say, whatever came of it so far.
    pub(crate) fn uncorrected(nowcast: &'a Nowcast, place: Position) -> Self {
        let path: Vec<Position> = match &nowcast.carrier {
            Some(carrier) => {
                carrier.origins_of(place, nowcast.step_min).take(nowcast.steps + 1).collect()
            }
            None => vec![place; nowcast.steps + 1],
        };
        let speed_km_h = nowcast.carrier.as_ref().map_or(60.0 * UNKNOWN_DRIFT, |carrier| {
            let (down, right) = carrier.near.at(place);
            60.0 * (down * nowcast.cell_km.0).hypot(right * nowcast.cell_km.1)
        });
        Course {
            nowcast,
            place,
            speed_km_h,
            arrivals: path.iter().map(|_| OnceLock::new()).collect(),
            path,
            rain_correction: None,
            gap_correction: None,
            tables: Default::default(),
            gap_middles: OnceLock::new(),
        }
    }

    /// Where the air that arrives at each step is now, from step 0 on.
    pub(crate) fn origins(&self) -> impl ExactSizeIterator<Item = Position> {
        self.path.iter().copied()
    }

    /// How many showers are born in dry air, and how many wet ones die, in 20 minutes around a moment.
    pub(crate) fn births_and_deaths(&self, lead_min: f64) -> (f64, f64) {
        let change = self.change(lead_min);
        (change.birth.exp(), change.death.exp())
    }

    /// How far ahead of the newest picture anything is said, minutes.
    pub(crate) fn horizon_min(&self) -> f64 {
        self.lead_min(self.path.len() - 1)
    }

    /// The moment `lead_min` after the newest picture, linear between steps.
    ///
    /// `None` beyond the horizon and where the air has not been measured.
    pub(crate) fn moment(&self, lead_min: f64) -> Option<Moment> {
        if lead_min > self.horizon_min() {
            return None;
        }
        let (step, rest) = cell_and_rest(lead_min / self.nowcast.step_min, self.path.len());
        let next = if rest > 0.0 { step + 1 } else { step };
        let table = self.table_to(next);
        let (a, b) = (table.step(step), table.step(next));
        let mix = |a: f64, b: f64| a + (b - a) * rest;
        (a.measured && b.measured).then(|| Moment {
            p_rain: mix(a.p_rain, b.p_rain),
            rain_rate_mm_h: mix(a.rain_rate_mm_h, b.rain_rate_mm_h),
        })
    }

    /// Chance of rain at any moment of a window; `None` where too little was measured.
    ///
    /// The largest of the formula's answers for the window's steps and for all windows within it,
    /// and of the moments at its two ends: so a longer window never has a lower chance, although
    /// the formula alone would not see to that.
    pub(crate) fn p_rain(&self, begin_min: f64, end_min: f64) -> Option<f64> {
        let ends = [self.moment(begin_min), self.moment(end_min)];
        let at_ends = ends.iter().flatten().map(|moment| moment.p_rain).reduce(f64::max);
        let Some((first, last)) = self.steps_within(begin_min, end_min) else {
            return at_ends.filter(|_| ends.iter().all(Option::is_some));
        };
        self.mostly_measured(first, last)
            .then(|| self.table_to(last).p(first, last).max(at_ends.unwrap_or(0.0)))
    }

    /// Chance that rain has begun, from `begin_min` on: (minutes, chance), never falling.
    pub(crate) fn p_begun(&self, begin_min: f64, end_min: f64) -> Vec<(f64, f64)> {
        let Some(now) = self.moment(begin_min) else { return Vec::new() };
        let mut begun = vec![(begin_min, now.p_rain)];
        if let Some((first, last)) = self.steps_within(begin_min, end_min) {
            let table = self.table_to(last);
            let measured = (first..=last).take_while(|step| table.step(*step).measured);
            begun.extend(
                measured.map(|step| (self.lead_min(step), table.p(first, step).max(now.p_rain))),
            );
        }
        begun
    }

    /// What is read of the maps where the air of a step is now.
    pub(crate) fn arrival(&self, step: usize) -> &Arrival {
        self.arrivals[step].get_or_init(|| self.read(step, self.path[step]))
    }

    /// The same of several steps; the newest picture is left out where others follow.
    fn upstream(&self, first: usize, last: usize) -> Upstream {
        let mut upstream = Upstream::NONE;
        // What is now is known; the formulas are asked about what comes.
        for step in first.max(1).min(last)..=last {
            upstream.add(self.arrival(step));
        }
        upstream
    }

    fn read(&self, step: usize, position: Position) -> Arrival {
        let maps = &self.nowcast.maps;
        let lead_min = self.lead_min(step);
        let level = |growth: f64| {
            let level = maps.level.at(position, self.width_km(growth, lead_min));
            (level + 10.0) / 10.0
        };
        let on_grid = self.on_grid(position);
        let share =
            GROWTHS.map(|growth| maps.wet_share.at(position, self.width_km(growth, lead_min)));
        Arrival {
            share,
            stretched_share: share.map(stretched),
            level: [level(GROWTHS[0]), level(GROWTHS[1])],
            edge_km: if on_grid { value_at(&maps.edge_km, position) } else { EDGE_OFF_GRID_KM },
        }
    }

    fn on_grid(&self, position: Position) -> bool {
        let (rows, columns) = self.nowcast.maps.edge_km.dim();
        cell_at(position.row, rows).is_some() && cell_at(position.column, columns).is_some()
    }

    pub(crate) fn lead_min(&self, step: usize) -> f64 {
        step as f64 * self.nowcast.step_min
    }

    /// How far around the place where the air comes from it is looked, for a growth in km a minute.
    pub(crate) fn width_km(&self, growth: f64, lead_min: f64) -> f64 {
        let drift = if self.nowcast.carrier.is_some() { 0.0 } else { UNKNOWN_DRIFT };
        1.0 + (growth + drift) * lead_min
    }

    /// The first and last step within a window, if any lies in it.
    fn steps_within(&self, begin_min: f64, end_min: f64) -> Option<(usize, usize)> {
        let step_min = self.nowcast.step_min;
        let first = whole((begin_min / step_min - 1e-9).ceil().max(0.0));
        let last = whole((end_min / step_min + 1e-9).floor().max(0.0));
        (first <= last && last < self.path.len()).then_some((first, last))
    }

    fn mostly_measured(&self, first: usize, last: usize) -> bool {
        let table = self.table_to(last);
        let measured = (first..=last).filter(|step| table.step(*step).measured).count();
        2 * measured > last - first
    }

    /// What windows around one middle have in common; `sum`: of their first and last step.
    ///
    /// - `is_long`: whether the windows have steps that [don't fit](is_long) in a word.
    pub(crate) fn middle(&self, sum: usize, is_long: bool) -> Middle {
        if is_long { self.new_middle::<u128>(sum) } else { self.new_middle::<u64>(sum) }
    }

    fn new_middle<S: Steps>(&self, sum: usize) -> Middle {
        let lead_min = self.lead_min(sum) / 2.0;
        let change = self.change(lead_min);
        let lasting = ((LASTING_DEATH - change.death) / LASTING_SPAN).clamp(0.0, 1.0);
        let late = ((lead_min - 30.0) / 60.0).clamp(0.0, 1.0);
        let width_km = self.width_km(NEIGHBOUR_GROWTH, lead_min);
        // What is now is known; the formula is asked about what comes.
        let coming = if sum == 0 { u128::MAX } else { !1 };
        let (mut met, mut known) = (WindowTally::new(sum), WindowTally::new(sum));
        let pattern = &self.nowcast.pattern;
        self.nowcast.arrivals.around(self.place, width_km, pattern).for_each(|series| {
            met.add(S::of(series.wet & coming));
            known.add_mostly_met(S::of(series.known & coming));
        });
        Middle {
            lead_min,
            lead: (lead_min / 30.0).ln(),
            change,
            lasting: LASTING_WEIGHT * lasting * late,
            correction: self.rain_correction.map(|local| local.around(lead_min)),
            met: met.counts(),
            known: known.counts(),
        }
    }

    /// What windows of one length have in common; `steps`: from the first to the last.
    pub(crate) fn length(&self, steps: usize) -> Length {
        let length_min = self.lead_min(steps);
        Length {
            steps,
            half_hours_ln: (length_min / 30.0).ln(),
            passing: (self.speed_km_h * length_min / 60.0 / 20.0).ln_1p(),
            shift: MOMENT_SHIFT * (1.0 - length_min / SHORTEST_MIN).max(0.0),
        }
    }

    /// Chance of rain at any of a window's steps, of more than one.
    pub(crate) fn p_within(&self, middle: &Middle, length: &Length, upstream: &Upstream) -> f64 {
        chance(self.rain_log_odds(middle, length, upstream))
    }

    /// The formula's log-odds of rain at any of a window's steps.
    fn rain_log_odds(&self, middle: &Middle, length: &Length, upstream: &Upstream) -> f64 {
        let predictors = self.rain_predictors(middle, length, upstream);
        let formula = predictors.log_odds() + length.shift;
        let weight = middle.lasting;
        let log_odds = (1.0 - weight) * formula + weight * predictors.neighbours;
        corrected(middle.correction, log_odds)
    }

    /// What the formula reads of a window's steps.
    fn rain_predictors(
        &self,
        middle: &Middle,
        length: &Length,
        upstream: &Upstream,
    ) -> RainPredictors {
        let edge_width_km = 2.0 + self.width_km(0.1, middle.lead_min);
        RainPredictors {
            lead: middle.lead,
            length: length.half_hours_ln,
            share_max: upstream.share_max(),
            death: middle.change.death,
            birth: middle.change.birth,
            level_max: upstream.level_max().map(|level| level.min(3.0)),
            trend: middle.change.trend / 5.0,
            edge: (upstream.edge_mean_km() / edge_width_km).asinh(),
            neighbours: stretched(self.share_met(middle, length.steps)),
            passing: length.passing,
        }
    }

    /// The share of the neighbours that are wet, of those known; the domain's where next to none are.
    fn share_met(&self, middle: &Middle, length: usize) -> f64 {
        let known = f64::from(middle.known.within(length));
        if known < 0.02 * NEIGHBOURS as f64 {
            return self.nowcast.maps.domain_wet_share;
        }
        f64::from(middle.met.within(length)) / known
    }

    /// The rain formula's log-odds for a window, without regard to windows within it.
    pub(crate) fn rain_formula(&self, begin_min: f64, end_min: f64) -> Option<f64> {
        let (first, last) = self.steps_within(begin_min, end_min)?;
        let first = first.max(1);
        if last < first {
            return None;
        }
        let (middle, length) =
            (self.middle(first + last, is_long(last)), self.length(last - first));
        Some(self.rain_log_odds(&middle, &length, &self.upstream(first, last)))
    }

    /// What both formulas read of a window; `None` where no step lies in it.
    ///
    /// As [`Course::p_rain`] and [`Course::p_gap`] ask them about the whole window.
    pub(crate) fn predictors(
        &self,
        begin_min: f64,
        end_min: f64,
        gap_min: f64,
    ) -> Option<Predictors> {
        let (first, last) = self.steps_within(begin_min, end_min)?;
        let (middle, length) =
            (self.middle(first + last, is_long(last)), self.length(last - first));
        let rain = self.rain_predictors(&middle, &length, &self.upstream(first, last)).values();
        let gap = self.gap_steps_within(begin_min, end_min, gap_min).map(|(first, last)| {
            let middle = self.gap_middle(first + last, self.gap_frames(gap_min), is_long(last));
            let upstream = self.upstream(first, last);
            self.gap_predictors((first, last), gap_min, &upstream, &middle).values()
        });
        Some(Predictors { rain, gap })
    }

    /// How the air that arrives at a moment has been changing.
    fn change(&self, lead_min: f64) -> Changing {
        let (step, rest) = cell_and_rest(lead_min / self.nowcast.step_min, self.path.len());
        let a = self.path[step];
        let b = *self.path.get(step + 1).unwrap_or(&a);
        let position = Position {
            row: a.row + (b.row - a.row) * rest,
            column: a.column + (b.column - a.column) * rest,
        };
        let on_grid = self.on_grid(position);
        let share = |map: &Thinned, domain: f64| if on_grid { map.at(position) } else { domain };
        let deaths = self.nowcast.deaths.as_ref();
        let death =
            |change: &Change| log_hazard(share(&change.died, change.domain_died), change.lag_min);
        let birth = |change: &Change| {
            let lag_min =
                deaths.map_or(10.0, |deaths| deaths.lag_min).min(change.lag_min.max(10.0));
            log_hazard(share(&change.born, change.domain_born), lag_min)
        };
        Changing {
            birth: self.nowcast.births.as_ref().map_or(log_hazard(BIRTH_USUAL, 10.0), birth),
            death: deaths.map_or(log_hazard(DEATH_USUAL, 20.0), death),
            trend: deaths.map_or(0.0, |change| share(&change.trend, 0.0)),
        }
    }

    /// What comes up to a step and farther, worked out when first asked for.
    ///
    /// Most questions reach no farther than two or three hours, and the work grows with the square of
    /// the reach: so there is a table for each hour, which begins with what the one before it holds.
    fn table_to(&self, last: usize) -> &RainTable {
        let hour = whole((self.lead_min(last) / 60.0 - 1e-9).ceil()).clamp(1, HOURS) - 1;
        let (before, from) = self.tables.split_at(hour);
        // One that reaches farther says the same.
        from.iter().find_map(OnceLock::get).unwrap_or_else(|| {
            from[0].get_or_init(|| {
                let end_min = 60.0 * (hour + 1) as f64;
                let end = whole(end_min / self.nowcast.step_min + 1e-9).max(last);
                let end = end.min(self.path.len() - 1);
                let shorter = before.iter().rev().find_map(OnceLock::get);
                // What was counted in a word does not hold for windows that don't fit in it.
                let shorter = shorter.filter(|shorter| is_long(shorter.last()) == is_long(end));
                shorter.cloned().unwrap_or_default().extended(self, end)
            })
        })
    }

    /// One step, for which its middle, a window of no length and the air are given.
    pub(crate) fn step(
        &self,
        step: usize,
        middle: &Middle,
        length: &Length,
        upstream: &Upstream,
    ) -> Step {
        let rate_now = if step == 0 { self.nowcast.rain_rate_at(self.place) } else { None };
        let p_rain = match rate_now {
            Some(rate) if rate >= f64::from(WET_RATE_MM_H) => 1.0 - NOW_DOUBT,
            Some(_) => NOW_DOUBT,
            None => chance(self.rain_log_odds(middle, length, upstream)),
        };
        let position = self.path[step];
        let width_km = self.width_km(NEIGHBOUR_GROWTH, self.lead_min(step));
        let share = self.nowcast.maps.wet_share.at(position, width_km);
        let rate = self.nowcast.maps.rain_rate.at(position, width_km);
        // What falls where it is wet, times the chance that it is.
        let rain_rate_mm_h = rate_now.unwrap_or(p_rain * rate / share.max(0.01));
        let known = f64::from(middle.known.within(0));
        let measured = known >= MEASURED_SHARE_MIN * NEIGHBOURS as f64;
        Step { p_rain, rain_rate_mm_h, measured }
    }
}

/// How air is changing: log hazards over 20 minutes, and the trend of its level, decibels.
#[derive(Debug, Clone)]
struct Changing {
    birth: f64,
    death: f64,
    trend: f64,
}

/// One step.
#[derive(Debug, Clone)]
pub(crate) struct Step {
    /// Chance that it is wet at this moment.
    pub(crate) p_rain: f64,
    /// Expected rain rate, mm/h.
    pub(crate) rain_rate_mm_h: f64,
    /// Whether enough of the air that arrives was measured.
    pub(crate) measured: bool,
}

/// Whether windows up to a step don't fit in a word.
pub(crate) fn is_long(last: usize) -> bool {
    last > <u64 as Steps>::LAST
}

fn corrected(correction: Option<Shift>, log_odds: f64) -> f64 {
    correction.map_or(log_odds, |shift| shift.corrected(log_odds))
}

#[cfg(test)]
mod tests {
    #![expect(clippy::float_cmp, reason = "the quick way adds up in the same order")]

    use fairspell_ground::Projection;
    use jiff::{SignedDuration, Timestamp};
    use ndarray::Array2;

    use super::gaps::{GAP_GROWTHS, GAP_JOIN_MIN};
    use super::*;
    use crate::field::{Grid, RainField};
    use crate::logistic::log_odds;
    use crate::narrow::single;

    /// Showers that go north-east, with a corner that is not measured.
    fn nowcast(step_min: i32) -> Nowcast {
        let projection = Projection::from_proj_string("+proj=laea +lat_0=-31.7 +lon_0=152.8");
        let grid = Grid {
            projection: projection.unwrap(),
            x_first: -79_500.0,
            y_first: 79_500.0,
            x_step: 1000.0,
            y_step: 1000.0,
            rows: 160,
            columns: 160,
        };
        let issued: Timestamp = "2026-09-03T04:00:00Z".parse().unwrap();
        let picture = |index: i32| {
            let age_min = f64::from(step_min * index);
            let rain_rate_mm_h = Array2::from_shape_fn((160, 160), |(row, column)| {
                let south = (row as f64 - 0.3 * age_min) / 5.0;
                let east = (column as f64 + 0.6 * age_min) / 6.0;
                let is_measured = row + column > 60;
                let rate = 9.0 * (south.sin() * east.cos() + (south * 0.37).sin() - 0.6);
                if is_measured { single(rate.max(0.0)) } else { f32::NAN }
            });
            let valid_time = issued - SignedDuration::from_mins(i64::from(step_min * index));
            RainField { valid_time, grid: grid.clone(), rain_rate_mm_h }
        };
        Nowcast::from_fields((0..8).map(picture).collect(), issued).unwrap().value
    }

    const PLACE: Position = Position { row: 70.0, column: 84.0 };

    /// The formula for one window alone, as if none beside it had been asked about.
    fn p_alone(course: &Course<'_>, first: usize, last: usize) -> f64 {
        if first == last {
            return course.table_to(last).step(last).p_rain;
        }
        let (middle, length) = (course.middle(first + last, true), course.length(last - first));
        chance(course.rain_log_odds(&middle, &length, &course.upstream(first, last)))
    }

    #[test]
    fn a_table_holds_the_largest_chance_of_all_windows_within_each() {
        for step_min in [5, 3] {
            let nowcast = nowcast(step_min);
            let course = Course::new(&nowcast, PLACE);
            // Each extends the one before, but for the last of a hundred steps.
            for hours in [1.0, 2.0, 5.0] {
                let last = whole(60.0 * hours / nowcast.step_min);
                let table = course.table_to(last);
                let mut largest = vec![vec![0.0_f64; last + 1]; last + 1];
                for j in 0..=last {
                    for i in (0..=j).rev() {
                        let mut p = p_alone(&course, i, j);
                        if i < j {
                            p = p.max(largest[i + 1][j]).max(largest[i][j - 1]);
                        }
                        largest[i][j] = p;
                        assert_eq!(table.p(i, j), p, "{i}..={j} of {step_min} min");
                    }
                }
            }
        }
    }

    /// The chance of a run of dry steps, window by window.
    fn some_run_dry_plainly(course: &Course<'_>, first: usize, last: usize, gap_min: f64) -> f64 {
        let (frames, step_min) = (course.gap_frames(gap_min), course.nowcast.step_min);
        let mut best: f64 = 0.0;
        for i in first..=last {
            for j in i..=last {
                let spare_min = (j + 1 - i) as f64 * step_min - gap_min;
                if j + 1 < i + frames {
                    continue;
                }
                let dry = 1.0 - course.table_to(last).p(i, j);
                let weight = (spare_min / GAP_JOIN_MIN).clamp(0.0, 1.0);
                let (begin_min, end_min) = (course.lead_min(i), course.lead_min(j));
                let formula = course.gap_formula(begin_min, end_min, gap_min).unwrap();
                let joined = (1.0 - weight) * log_odds(dry) + weight * formula;
                best = best.max(dry).max(chance(joined));
            }
        }
        best
    }

    #[test]
    fn a_gap_is_looked_for_in_all_windows() {
        for step_min in [5, 3] {
            let nowcast = nowcast(step_min);
            let course = Course::new(&nowcast, PLACE);
            for (first, last) in [(1, 12), (3, 9), (6, 24), (8, 58)] {
                for gap_min in [25.0, 10.0, 14.0] {
                    let (begin_min, end_min) = (course.lead_min(first), course.lead_min(last));
                    let found = course.some_run_dry(begin_min, end_min, gap_min);
                    let expected = some_run_dry_plainly(&course, first, last, gap_min);
                    assert_eq!(found, expected, "{first}..={last} {gap_min}");
                }
            }
        }
    }

    #[test]
    fn neighbours_are_counted_as_they_would_be_one_by_one() {
        let nowcast = nowcast(5);
        let course = Course::new(&nowcast, PLACE);
        let has = |bits: u128, first: usize, last: usize| {
            (first..=last).any(|step| bits >> step & 1 == 1)
        };
        for (first, last) in [(1, 12), (0, 12), (3, 9), (6, 24), (20, 21), (1, 60), (44, 59)] {
            let lead_min = course.lead_min(first + last) / 2.0;
            let around = |growth: f64| {
                let width_km = course.width_km(growth, lead_min);
                nowcast.arrivals.around(PLACE, width_km, &nowcast.pattern).collect::<Vec<_>>()
            };
            let neighbours = around(NEIGHBOUR_GROWTH);
            let coming = first.max(1);
            let count = |bits: fn(&crate::arrivals::Series) -> u128| {
                neighbours.iter().filter(|series| has(bits(series), coming, last)).count() as f64
            };
            let expected = count(|series| series.wet) / count(|series| series.known);
            let middle = course.middle(first + last, false);
            assert_eq!(course.share_met(&middle, last - first), expected, "{first}..={last}");

            for frames in 1..=(last + 1 - first).min(9) {
                let has_gap = |series: &crate::arrivals::Series| {
                    let mut begins = first..=last + 1 - frames;
                    begins.any(|begin| !has(series.wet, begin, begin + frames - 1))
                };
                let share = |neighbours: Vec<crate::arrivals::Series>| {
                    let with_gap = neighbours.iter().filter(|series| has_gap(series)).count();
                    with_gap as f64 / neighbours.len() as f64
                };
                let expected = GAP_GROWTHS.map(|growth| share(around(growth)));
                let middle = course.gap_middle(first + last, frames, false);
                let found = middle.share(last + 1 - frames - first);
                assert_eq!(found, expected.iter().sum::<f64>() / 2.0, "{first}..={last} {frames}");
            }
        }
    }
}
