//! The course of the air that arrives at a place: step by step in, chances of windows out.

use std::sync::OnceLock;

use crate::advect::{Position, value_at};
use crate::arrivals::{Series, counts_within};
use crate::correction::{Correction, Local};
use crate::level::WET_RATE_MM_H;
use crate::logistic::{
    GapPredictors, Predictors, RainPredictors, chance, log_hazard, log_odds, stretched,
};
use crate::maps::Change;
use crate::narrow::{cell_and_rest, cell_at, whole};
use crate::nowcast::{HORIZON_MIN, Nowcast};
use crate::thinned::Thinned;

/// How the widths of what is read along the path grow, km a minute, from 1 km.
const GROWTHS: [f64; 3] = [0.1, 0.3, 0.8];

/// The same for the neighbours: whose path meets rain; whose series has the gap.
const NEIGHBOUR_GROWTH: f64 = 0.3;
const GAP_GROWTHS: [f64; 2] = [0.1, 0.6];

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

/// The gap that the gap formula was fitted on, and how much longer than a gap the window must be
/// before it stands alone, minutes.
const GAP_FITTED_MIN: f64 = 25.0;
const GAP_JOIN_MIN: f64 = 35.0;

/// The air that arrives at one step.
#[derive(Debug, Clone, Copy)]
struct Arrival {
    position: Position,
    /// Wet share around, at three widths.
    share: [f64; 3],
    /// The same stretched: the largest is wanted in hundreds of windows.
    stretched_share: [f64; 3],
    /// Scaled level around, at the two narrower widths.
    level: [f64; 2],
    /// Distance to the edge of the rain, km.
    edge_km: f64,
}

/// All steps of one place.
#[derive(Debug)]
pub(crate) struct Course<'a> {
    nowcast: &'a Nowcast,
    pub(crate) place: Position,
    /// Speed of the rain there, km/h.
    speed_km_h: f64,
    /// Step by step from the newest picture on.
    arrivals: Vec<Arrival>,
    /// Corrections of the two formulas here.
    rain_correction: Option<Local>,
    gap_correction: Option<Local>,
    /// What comes within the first hour, within two, and so on.
    tables: [OnceLock<Table>; HOURS],
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
            let at =
                |correction: &Correction| correction.at(corrections.points.iter().map(distance_km));
            course.rain_correction = corrections.rain.as_ref().map(at);
            course.gap_correction = corrections.gap.as_ref().map(at);
        }
        course
    }

    /// A course that says what the formulas say, whatever came of it so far.
    pub(crate) fn uncorrected(nowcast: &'a Nowcast, place: Position) -> Self {
        let path = match &nowcast.carrier {
            Some(carrier) => {
                carrier.origins_of(place, nowcast.step_min).take(nowcast.steps + 1).collect()
            }
            None => vec![place; nowcast.steps + 1],
        };
        let speed_km_h = nowcast.carrier.as_ref().map_or(60.0 * UNKNOWN_DRIFT, |carrier| {
            let (down, right) = carrier.near.at(place);
            60.0 * (down * nowcast.cell_km.0).hypot(right * nowcast.cell_km.1)
        });
        let mut course = Course {
            nowcast,
            place,
            speed_km_h,
            arrivals: Vec::new(),
            rain_correction: None,
            gap_correction: None,
            tables: Default::default(),
        };
        course.arrivals =
            path.iter().enumerate().map(|(step, position)| course.read(step, *position)).collect();
        course
    }

    /// Where the air that arrives at each step is now, from step 0 on.
    pub(crate) fn origins(&self) -> impl ExactSizeIterator<Item = Position> {
        self.arrivals.iter().map(|arrival| arrival.position)
    }

    /// How many showers are born in dry air, and how many wet ones die, in 20 minutes around a moment.
    pub(crate) fn births_and_deaths(&self, lead_min: f64) -> (f64, f64) {
        let change = self.change(lead_min);
        (change.birth.exp(), change.death.exp())
    }

    /// How far ahead of the newest picture anything is said, minutes.
    pub(crate) fn horizon_min(&self) -> f64 {
        self.lead_min(self.arrivals.len() - 1)
    }

    /// The moment `lead_min` after the newest picture, linear between steps.
    ///
    /// `None` beyond the horizon and where the air has not been measured.
    pub(crate) fn moment(&self, lead_min: f64) -> Option<Moment> {
        if lead_min > self.horizon_min() {
            return None;
        }
        let (step, rest) = cell_and_rest(lead_min / self.nowcast.step_min, self.arrivals.len());
        let next = if rest > 0.0 { step + 1 } else { step };
        let steps = &self.table_to(next).steps;
        let (a, b) = (&steps[step], &steps[next]);
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
            let measured = (first..=last).take_while(|step| table.steps[*step].measured);
            begun.extend(
                measured.map(|step| (self.lead_min(step), table.p(first, step).max(now.p_rain))),
            );
        }
        begun
    }

    /// Chance of a dry gap in a window; `None` in a window shorter than the gap and where too
    /// little was measured.
    ///
    /// Built like [`Course::p_rain`] from all windows within, hence never lower for a longer one. A
    /// window as long as the gap has it when no rain falls in it, and never when rain falls for sure.
    pub(crate) fn p_gap(&self, begin_min: f64, end_min: f64, gap_min: f64) -> Option<f64> {
        if gap_min.is_nan() || end_min - begin_min < gap_min - 1e-6 {
            return None;
        }
        if let Some((first, last)) = self.steps_within(begin_min, end_min)
            && !self.mostly_measured(first, last)
        {
            return None;
        }
        let dry = self.one_stretch_dry(begin_min, end_min, gap_min)?;
        Some(dry.max(self.some_run_dry(begin_min, end_min, gap_min)))
    }

    /// Chance that the driest of all stretches as long as the gap is dry throughout; they begin on
    /// whole minutes, and at both ends of the window.
    fn one_stretch_dry(&self, begin_min: f64, end_min: f64, gap_min: f64) -> Option<f64> {
        let last_begin_min = (end_min - gap_min).max(begin_min);
        let minutes = whole((last_begin_min.floor() - begin_min.ceil() + 1.0).max(0.0));
        (0..minutes)
            .map(|minute| begin_min.ceil() + minute as f64)
            .chain([begin_min, last_begin_min])
            .filter_map(|from_min| self.p_rain(from_min, (from_min + gap_min).min(end_min)))
            .map(|p_rain| 1.0 - p_rain)
            .reduce(f64::max)
    }

    /// Chance that somewhere in the window enough steps in a row are dry; 0 where so many do not fit.
    fn some_run_dry(&self, begin_min: f64, end_min: f64, gap_min: f64) -> f64 {
        let frames = self.gap_frames(gap_min);
        let Some((first, last)) = self.steps_within(begin_min, end_min) else { return 0.0 };
        // The newest picture stands for the minutes before it, which are over.
        let first = first.max(1);
        if last + 1 < first + frames {
            return 0.0;
        }
        let rain = self.table_to(last);
        let mut best: f64 = 0.0;
        self.for_each_window(first, last, |middle_min, windows| {
            let (mut shares, mut change) = (None, None);
            for (i, j) in windows {
                if j + 1 < i + frames {
                    continue;
                }
                let dry = 1.0 - rain.p(i, j);
                let spare_min = (j + 1 - i) as f64 * self.nowcast.step_min - gap_min;
                let weight = (spare_min / GAP_JOIN_MIN).clamp(0.0, 1.0);
                let formula = if weight > 0.0 {
                    let shares =
                        shares.get_or_insert_with(|| self.gap_shares(middle_min, i + j, frames));
                    // Runs begin up to `frames - 1` steps before the window's end.
                    let run_begins = j + 1 - frames - i;
                    let share = shares.iter().map(|shares| shares[run_begins]).sum::<f64>() / 2.0;
                    let change = change.get_or_insert_with(|| self.change(middle_min));
                    self.gap_log_odds((i, j), gap_min, share, change)
                } else {
                    0.0
                };
                let joined = (1.0 - weight) * log_odds(dry) + weight * formula;
                best = best.max(dry).max(chance(joined));
            }
        });
        best
    }

    /// Share of the neighbours, near ones and farther ones, that have a run of `frames` dry steps in
    /// a window; for all windows whose begin and end add up to `sum`, by how many steps the run can
    /// begin later than the window.
    fn gap_shares(&self, middle_min: f64, sum: usize, frames: usize) -> [Vec<f64>; 2] {
        self.gap_neighbours(middle_min).map(|neighbours| {
            let runs = neighbours.iter().map(|series| series.dry_runs(frames));
            let all = neighbours.len().max(1) as f64;
            let counts = counts_within(runs, sum + 1 - frames);
            counts.into_iter().map(|count| f64::from(count) / all).collect()
        })
    }

    /// What is read of the maps where the air of a step is now.
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
            position,
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

    fn lead_min(&self, step: usize) -> f64 {
        step as f64 * self.nowcast.step_min
    }

    /// How far around the place where the air comes from it is looked, for a growth in km a minute.
    pub(crate) fn width_km(&self, growth: f64, lead_min: f64) -> f64 {
        let drift = if self.nowcast.carrier.is_some() { 0.0 } else { UNKNOWN_DRIFT };
        1.0 + (growth + drift) * lead_min
    }

    /// Those whose path may meet rain when ours does.
    fn neighbours(&self, lead_min: f64) -> Vec<Series> {
        let width_km = self.width_km(NEIGHBOUR_GROWTH, lead_min);
        self.nowcast.arrivals.around(self.place, width_km, &self.nowcast.pattern)
    }

    /// Those whose series may have the gap when ours has: near ones and farther ones.
    fn gap_neighbours(&self, lead_min: f64) -> [Vec<Series>; 2] {
        GAP_GROWTHS.map(|growth| {
            let width_km = self.width_km(growth, lead_min);
            self.nowcast.arrivals.around(self.place, width_km, &self.nowcast.gap_pattern)
        })
    }

    /// The first and last step within a window, if any lies in it.
    fn steps_within(&self, begin_min: f64, end_min: f64) -> Option<(usize, usize)> {
        let step_min = self.nowcast.step_min;
        let first = whole((begin_min / step_min - 1e-9).ceil().max(0.0));
        let last = whole((end_min / step_min + 1e-9).floor().max(0.0));
        (first <= last && last < self.arrivals.len()).then_some((first, last))
    }

    fn mostly_measured(&self, first: usize, last: usize) -> bool {
        let steps = &self.table_to(last).steps[first..=last];
        2 * steps.iter().filter(|step| step.measured).count() >= steps.len()
    }

    /// Chance that it is wet at one step.
    fn p_rain_at(&self, step: usize, met: f64, change: &Changing) -> f64 {
        if step == 0
            && let Some(rate) = self.nowcast.rain_rate_at(self.place)
        {
            let wet = rate >= f64::from(WET_RATE_MM_H);
            return if wet { 1.0 - NOW_DOUBT } else { NOW_DOUBT };
        }
        chance(self.rain_log_odds(step, step, met, change))
    }

    /// The formula's log-odds of rain at any of the steps `first..=last`.
    ///
    /// - `met`: share of the neighbours whose path meets rain within the steps.
    /// - `change`: in the middle of the steps.
    fn rain_log_odds(&self, first: usize, last: usize, met: f64, change: &Changing) -> f64 {
        let (begin_min, end_min) = (self.lead_min(first), self.lead_min(last));
        let middle_min = f64::midpoint(begin_min, end_min);
        let predictors = self.rain_predictors(first, last, met, change);
        let shortness = (1.0 - (end_min - begin_min) / SHORTEST_MIN).max(0.0);
        let formula = predictors.log_odds() + MOMENT_SHIFT * shortness;
        let lasting = ((LASTING_DEATH - predictors.death) / LASTING_SPAN).clamp(0.0, 1.0);
        let late = ((middle_min - 30.0) / 60.0).clamp(0.0, 1.0);
        let weight = LASTING_WEIGHT * lasting * late;
        let log_odds = (1.0 - weight) * formula + weight * predictors.neighbours;
        corrected(self.rain_correction, log_odds, middle_min)
    }

    /// What the formula reads of the steps `first..=last`; the rest as for the log-odds.
    fn rain_predictors(
        &self,
        first: usize,
        last: usize,
        met: f64,
        change: &Changing,
    ) -> RainPredictors {
        let (begin_min, end_min) = (self.lead_min(first), self.lead_min(last));
        // What is now is known; the formula is asked about what comes.
        let steps = &self.arrivals[first.max(1).min(last)..=last];
        let middle_min = f64::midpoint(begin_min, end_min);
        let length_min = end_min - begin_min;
        let edge_km = mean(steps.iter().map(|arrival| arrival.edge_km));
        RainPredictors {
            lead: (middle_min / 30.0).ln(),
            length: (length_min / 30.0).ln(),
            share_max: [0, 1, 2]
                .map(|width| max(steps.iter().map(|arrival| arrival.stretched_share[width]))),
            death: change.death,
            birth: change.birth,
            level_max: [0, 1]
                .map(|width| max(steps.iter().map(|arrival| arrival.level[width])).min(3.0)),
            trend: change.trend / 5.0,
            edge: (edge_km / (2.0 + self.width_km(0.1, middle_min))).asinh(),
            neighbours: stretched(met),
            passing: (self.speed_km_h * length_min / 60.0 / 20.0).ln_1p(),
        }
    }

    /// Neighbours whose path meets rain in a window, and those known in any of its steps; for all
    /// windows whose first and last step add up to `sum`, by their length in steps less one.
    fn met_and_known(&self, sum: usize) -> (Vec<u32>, Vec<u32>) {
        let neighbours = self.neighbours(sum as f64 / 2.0 * self.nowcast.step_min);
        // What is now is known; the formula is asked about what comes.
        let coming = if sum == 0 { u128::MAX } else { !1 };
        let count = |bits: fn(&Series) -> u128| {
            counts_within(neighbours.iter().map(|series| bits(series) & coming), sum)
        };
        (count(|series| series.wet), count(|series| series.known))
    }

    /// The share of those that are wet, of those known; the domain's where next to none are.
    fn share_met(&self, wet: u32, known: u32) -> f64 {
        if f64::from(known) < 0.02 * NEIGHBOURS as f64 {
            return self.nowcast.maps.domain_wet_share;
        }
        f64::from(wet) / f64::from(known)
    }

    /// The formula's log-odds of a gap within the steps `first..=last`.
    ///
    /// - `neighbours`: share of the neighbours that have it.
    /// - `change`: in the middle of the steps.
    fn gap_log_odds(
        &self,
        (first, last): (usize, usize),
        gap_min: f64,
        neighbours: f64,
        change: &Changing,
    ) -> f64 {
        let predictors = self.gap_predictors((first, last), gap_min, neighbours, change);
        let middle_min = f64::midpoint(self.lead_min(first), self.lead_min(last));
        corrected(self.gap_correction, predictors.log_odds(), middle_min)
    }

    /// What the formula reads of the steps `first..=last`; the rest as for the log-odds.
    fn gap_predictors(
        &self,
        (first, last): (usize, usize),
        gap_min: f64,
        neighbours: f64,
        change: &Changing,
    ) -> GapPredictors {
        let (begin_min, end_min) = (self.lead_min(first), self.lead_min(last));
        let steps = &self.arrivals[first.max(1).min(last)..=last];
        let middle_min = f64::midpoint(begin_min, end_min);
        let share = |width: usize| steps.iter().map(move |arrival| arrival.share[width]);
        let level = |width: usize| steps.iter().map(move |arrival| arrival.level[width]);
        GapPredictors {
            lead: (middle_min / 30.0).ln(),
            // Twice the gap in twice the window is as likely, or nearly.
            length: ((end_min - begin_min) * GAP_FITTED_MIN / gap_min.max(1.0) / 30.0).ln(),
            step: (self.nowcast.step_min / 5.0).ln(),
            share_max: [0, 1]
                .map(|width| max(steps.iter().map(|arrival| arrival.stretched_share[width]))),
            share_mean: [0, 1, 2].map(|width| stretched(mean(share(width)))),
            level_mean: [0, 1].map(|width| mean(level(width)).clamp(-0.5, 3.0)),
            birth: change.birth,
            death: change.death,
            trend: change.trend / 5.0,
            neighbours: stretched(neighbours),
        }
    }

    /// The rain formula's log-odds for a window, without regard to windows within it.
    pub(crate) fn rain_formula(&self, begin_min: f64, end_min: f64) -> Option<f64> {
        let (first, last) = self.steps_within(begin_min, end_min)?;
        let first = first.max(1);
        if last < first {
            return None;
        }
        let (met, known) = self.met_and_known(first + last);
        let (met, known) = (met[last - first], known[last - first]);
        let change = self.change(self.lead_min(first + last) / 2.0);
        Some(self.rain_log_odds(first, last, self.share_met(met, known), &change))
    }

    /// The gap formula's log-odds for a window; `None` where the gap does not fit.
    pub(crate) fn gap_formula(&self, begin_min: f64, end_min: f64, gap_min: f64) -> Option<f64> {
        let (first, last, share) = self.gap_question(begin_min, end_min, gap_min)?;
        let change = self.change(self.lead_min(first + last) / 2.0);
        Some(self.gap_log_odds((first, last), gap_min, share, &change))
    }

    /// The steps of a window and the share of the neighbours with the gap; `None` where it does not
    /// fit.
    fn gap_question(
        &self,
        begin_min: f64,
        end_min: f64,
        gap_min: f64,
    ) -> Option<(usize, usize, f64)> {
        let frames = self.gap_frames(gap_min);
        let (first, last) = self.steps_within(begin_min, end_min)?;
        let first = first.max(1);
        if last + 1 < first + frames {
            return None;
        }
        let middle_min = self.lead_min(first + last) / 2.0;
        let shares = self.gap_shares(middle_min, first + last, frames);
        let run_begins = last + 1 - frames - first;
        let share = shares.iter().map(|shares| shares[run_begins]).sum::<f64>() / 2.0;
        Some((first, last, share))
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
        let (met, known) = self.met_and_known(first + last);
        let met = self.share_met(met[last - first], known[last - first]);
        let change = |first: usize| self.change(self.lead_min(first + last) / 2.0);
        let gap = self.gap_question(begin_min, end_min, gap_min);
        let gap = gap.map(|(first, last, share)| {
            self.gap_predictors((first, last), gap_min, share, &change(first)).values()
        });
        let rain = self.rain_predictors(first, last, met, &change(first)).values();
        Some(Predictors { rain, gap })
    }

    /// Steps on end that make a gap.
    fn gap_frames(&self, gap_min: f64) -> usize {
        whole((gap_min / self.nowcast.step_min - 1e-6).ceil()).max(1)
    }

    /// How the air that arrives at a moment has been changing.
    fn change(&self, lead_min: f64) -> Changing {
        let (step, rest) = cell_and_rest(lead_min / self.nowcast.step_min, self.arrivals.len());
        let a = self.arrivals[step].position;
        let b = self.arrivals.get(step + 1).map_or(a, |arrival| arrival.position);
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
    /// the reach: so there is a table for each hour.
    fn table_to(&self, last: usize) -> &Table {
        let hour = whole((self.lead_min(last) / 60.0 - 1e-9).ceil()).clamp(1, HOURS) - 1;
        self.tables[hour].get_or_init(|| {
            let end_min = 60.0 * (hour + 1) as f64;
            let end = whole(end_min / self.nowcast.step_min + 1e-9).max(last);
            self.table(end.min(self.arrivals.len() - 1))
        })
    }

    /// Chances of rain of all windows within the steps `0..=last`, each at least that of every window
    /// within it.
    fn table(&self, last: usize) -> Table {
        let count = last + 1;
        let mut table = Table { steps: Vec::with_capacity(count), p: vec![0.0; count * count] };
        for sum in 0..=2 * last {
            let (met, known) = self.met_and_known(sum);
            let share = |length: usize| self.share_met(met[length], known[length]);
            let change = self.change(self.lead_min(sum) / 2.0);
            for i in sum.saturating_sub(last)..sum.div_ceil(2) {
                let j = sum - i;
                table.p[i * count + j] = chance(self.rain_log_odds(i, j, share(j - i), &change));
            }
            if sum.is_multiple_of(2) {
                let step = self.step(sum / 2, share(0), known[0], &change);
                table.p[sum / 2 * (count + 1)] = step.p_rain;
                table.steps.push(step);
            }
        }
        for length in 1..=last {
            for i in 0..=last - length {
                let j = i + length;
                let within = table.p(i + 1, j).max(table.p(i, j - 1));
                let p = &mut table.p[i * count + j];
                *p = p.max(within);
            }
        }
        table
    }

    /// One step: `met` is the share of the neighbours that are wet then, `known` how many are known.
    fn step(&self, step: usize, met: f64, known: u32, change: &Changing) -> Step {
        let p_rain = self.p_rain_at(step, met, change);
        let position = self.arrivals[step].position;
        let width_km = self.width_km(NEIGHBOUR_GROWTH, self.lead_min(step));
        let share = self.nowcast.maps.wet_share.at(position, width_km);
        let rate = self.nowcast.maps.rain_rate.at(position, width_km);
        // What falls where it is wet, times the chance that it is.
        let rain_rate_mm_h = match self.nowcast.rain_rate_at(self.place) {
            Some(rate) if step == 0 => rate,
            _ => p_rain * rate / share.max(0.01),
        };
        let measured = f64::from(known) >= MEASURED_SHARE_MIN * NEIGHBOURS as f64;
        Step { p_rain, rain_rate_mm_h, measured }
    }

    /// All windows `(i, j)` within the steps, those with one middle together.
    fn for_each_window(
        &self,
        first: usize,
        last: usize,
        mut with: impl FnMut(f64, &mut dyn Iterator<Item = (usize, usize)>),
    ) {
        for sum in 2 * first..=2 * last {
            let begins = first.max(sum.saturating_sub(last))..=sum / 2;
            let middle_min = sum as f64 / 2.0 * self.nowcast.step_min;
            with(middle_min, &mut begins.map(|i| (i, sum - i)));
        }
    }
}

/// How air is changing: log hazards over 20 minutes, and the trend of its level, decibels.
struct Changing {
    birth: f64,
    death: f64,
    trend: f64,
}

/// One step.
#[derive(Debug)]
struct Step {
    /// Chance that it is wet at this moment.
    p_rain: f64,
    /// Expected rain rate, mm/h.
    rain_rate_mm_h: f64,
    /// Whether enough of the air that arrives was measured.
    measured: bool,
}

/// What comes, from step 0 on.
#[derive(Debug)]
struct Table {
    steps: Vec<Step>,
    /// Chance of rain in each window: a row for each first step, a column for each last.
    p: Vec<f64>,
}

impl Table {
    fn p(&self, first: usize, last: usize) -> f64 {
        self.p[first * self.steps.len() + last]
    }
}

fn corrected(correction: Option<Local>, log_odds: f64, middle_min: f64) -> f64 {
    correction.map_or(log_odds, |local| local.corrected(log_odds, middle_min))
}

fn max(values: impl Iterator<Item = f64>) -> f64 {
    values.fold(f64::NEG_INFINITY, f64::max)
}

fn mean(values: impl ExactSizeIterator<Item = f64>) -> f64 {
    let count = values.len();
    values.sum::<f64>() / count.max(1) as f64
}
