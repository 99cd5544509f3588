//! Plausible evenings at a place: whole courses of rain, weighted so that they agree with the chances.
//!
//! A chance of rain and a chance of a gap say nothing of when the rain ends, how many minutes are wet
//! or how one hour hangs together with the next. Whole evenings do: they are drawn from the rain that
//! is on its way, and whatever is asked is counted in them.

use std::collections::HashMap;

use fairspell_chance::Probability;
use jiff::Timestamp;

use crate::candidates::{Candidates, candidates};
use crate::course::Course;
use crate::narrow::{cell_and_rest, whole};
use crate::nowcast::{Nowcast, after, minutes};
use crate::reweigh::{Stated, reweighed};
use crate::spot::{Between, MINUTES_AHEAD};
use crate::wet_steps::{WET_STEPS_MAX, WetSteps};

/// Rain rates whose chances are told minute by minute, mm/h: wet at all, real rain, a downpour.
pub const THRESHOLDS_MM_H: [f64; 3] = [0.1, 1.0, 5.0];

/// Where the classes of [`RainChain`] above dry begin, mm/h: drizzle, rain, heavy rain.
pub const CLASSES_FROM_MM_H: [f64; 3] = [0.1, 1.0, 4.0];

/// Windows in which the evenings agree with the stated chance of rain, and of a gap of
/// [`AGREED_GAP_MIN`]; minutes from the moment of the question.
const AGREED_RAIN_MIN: [(f64, f64); 7] = [
    (0.0, 30.0),
    (15.0, 45.0),
    (30.0, 60.0),
    (0.0, 60.0),
    (30.0, 120.0),
    (60.0, 180.0),
    (0.0, 180.0),
];
const AGREED_GAPS_MIN: [(f64, f64); 2] = [(0.0, 60.0), (30.0, 120.0)];
const AGREED_GAP_MIN: f64 = 25.0;

/// Single moments in which they agree are at least so far apart, minutes.
const AGREED_EVERY_MIN: f64 = 5.0;

/// A pause shorter than this does not end the rain, minutes.
const PAUSE_MIN: f64 = 10.0;

/// An answer is given where so much of the weight has one.
const ASKED_SHARE_MIN: f64 = 0.5;

/// A later start must be likelier by more than this to be worth the wait. Our choice: less than the
/// chances themselves are good for.
const NO_BETTER: f64 = 0.02;

/// A number of minutes and the doubt about it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// One chance in ten that it is less.
    pub p10_min: f64,
    /// As likely less as more.
    pub p50_min: f64,
    /// One chance in ten that it is more.
    pub p90_min: f64,
}

/// Something that may happen, and when, given that it does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Turn {
    /// Chance that it happens within what is told.
    pub p: Probability,
    /// When, given that it does: one chance in ten before, as likely as not, one in ten after.
    pub when: Between,
}

/// Where a dry stretch is likeliest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BestStart {
    /// Its first minute.
    pub time: Timestamp,
    /// Chance that all of it is dry.
    pub p_dry: Probability,
}

impl BestStart {
    /// The same, capped by the chance of any such start.
    #[must_use]
    pub fn no_likelier_than(self, p: Probability) -> Self {
        BestStart { p_dry: if self.p_dry.get() > p.get() { p } else { self.p_dry }, ..self }
    }
}

/// One minute: chances that the rain rate reaches each of [`THRESHOLDS_MM_H`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MinuteRates {
    /// The moment.
    pub time: Timestamp,
    /// `None` where not enough of the air that arrives was measured.
    pub p_at_least: Option<[Probability; 3]>,
}

/// How rain comes and goes between four classes: dry, drizzle, rain and heavy rain, which begin at
/// [`CLASSES_FROM_MM_H`].
#[derive(Debug, Clone, PartialEq)]
pub struct RainChain {
    /// The moments, one step apart.
    pub times: Vec<Timestamp>,
    /// Share of each class at each moment; they sum to one, or are 0 where nothing is known.
    pub shares: Vec<[f64; 4]>,
    /// From each moment to the next: share of the evenings that go from one class (first index) to
    /// another; all sixteen sum to one, or are 0 where nothing is known.
    pub transitions: Vec<[[f64; 4]; 4]>,
}

/// Plausible evenings at one place, from the moment of the question on.
///
/// Each is the rain of a neighbour: what will arrive a little beside our own air's way, the farther
/// the later. In some a shower is born on the way, in some one dies. Weights make them agree with the
/// chances of [`Spot`](crate::Spot): of rain at each moment and in windows, and of dry gaps.
///
/// Rain rates are told at the step of the pictures; each stands for the minutes nearest to it.
/// Nothing in here is random.
///
/// # Examples
///
/// A curtain of rain 40 km to the west, an hour deep, comes at a kilometre a minute:
///
/// ```
/// use fairspell_ground::{LatLon, Projection};
/// use fairspell_nowcast::{Grid, Nowcast, RainField};
/// use jiff::{SignedDuration, Timestamp};
/// use ndarray::Array2;
///
/// let grid = Grid {
///     projection: Projection::from_proj_string("+proj=laea +lat_0=-31.7 +lon_0=152.8")?,
///     x_first: -227_500.0,
///     y_first: 227_500.0,
///     x_step: 1000.0,
///     y_step: 1000.0,
///     rows: 456,
///     columns: 456,
/// };
/// let issued: Timestamp = "2026-09-03T04:00:00Z".parse()?;
/// let frames = [20, 15, 10, 5, 0].map(|age_min| RainField {
///     valid_time: issued - SignedDuration::from_mins(age_min),
///     grid: grid.clone(),
///     rain_rate_mm_h: Array2::from_shape_fn((456, 456), |(_, column)| {
///         if (128..188).contains(&(column as i64 + age_min)) { 2.0 } else { 0.0 }
///     }),
/// });
/// let nowcast = Nowcast::from_fields(frames.to_vec(), issued)?.value;
/// let evenings = nowcast.at(LatLon::new(-31.7, 152.8)?)?.evenings().expect("all is measured");
///
/// let onset = evenings.onset().expect("it is dry, and rain is on its way");
/// let in_minutes = onset.when.likely.duration_since(issued).as_mins();
/// assert!((30..=50).contains(&in_minutes));
/// // Twenty-five dry minutes fit before it.
/// let best = evenings.best_start(25.0, issued, issued + SignedDuration::from_mins(120));
/// assert!(best.expect("two hours are told").p_dry.get() > 0.8);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Source
///
/// Weights of least relative entropy that reproduce given moments: I. Csiszár, Ann. Probab. 3 (1975),
/// 146-158. A neighbour's rain as rain that may come: U. Germann and I. Zawadzki, J. Appl. Meteor. 43
/// (2004), 74. Births and deaths as stretches put in and cut out: our choice.
#[derive(Debug, Clone, PartialEq)]
pub struct Evenings {
    valid_time: Timestamp,
    issued: Timestamp,
    /// Minutes from the newest picture to the question.
    begin_min: f64,
    step_min: f64,
    /// Steps from the newest picture to the evenings' first, the last up to the question.
    first: usize,
    /// Steps of each evening.
    steps: usize,
    /// Rain rates, mm/h, one evening after the other.
    rates: Vec<f32>,
    /// Of each evening whether its steps are wet.
    wet_steps: Vec<WetSteps>,
    /// Summing to one.
    weights: Vec<f64>,
}

/// Steps of one evening in which it does not change whether it is wet.
#[derive(Debug, Clone, Copy)]
struct Run {
    /// `None`: not measured.
    wet: Option<bool>,
    begin_min: f64,
    end_min: f64,
}

impl Run {
    fn length_min(self) -> f64 {
        self.end_min - self.begin_min
    }
}

impl Evenings {
    /// `None` where nothing is known from the moment of the question on.
    pub(crate) fn new(nowcast: &Nowcast, course: &Course<'_>) -> Option<Self> {
        let age_min = nowcast.frame_age_min();
        let step_min = nowcast.step_min;
        let first = whole(age_min / step_min + 1e-9);
        let told_min = (age_min + f64::from(MINUTES_AHEAD)).min(course.horizon_min());
        let wanted = whole(told_min / step_min + 1e-9);
        let measured = (first..=wanted)
            .take_while(|step| course.moment(*step as f64 * step_min).is_some())
            .count();
        let last = first + measured.checked_sub(1)?;
        let Candidates { last, rates, prior } = candidates(nowcast, course, first, last)?;
        let steps = last + 1 - first;
        assert!(steps <= WET_STEPS_MAX, "three hours in steps of three minutes");
        let wet_steps = rates
            .chunks_exact(steps)
            .map(|evening| WetSteps::new(evening.iter().map(|rate| reaches(&[*rate], WET))));
        let mut evenings = Evenings {
            valid_time: nowcast.valid_time(),
            issued: nowcast.issued(),
            begin_min: age_min,
            step_min,
            first,
            steps,
            wet_steps: wet_steps.collect(),
            rates,
            weights: prior,
        };
        if evenings.end_min() <= evenings.begin_min {
            return None;
        }
        evenings.agree_with(course);
        Some(evenings)
    }

    /// Weighs the evenings so that they agree with what the course says.
    ///
    /// Evenings whose wet steps are the same give every verdict alike, so that their weights keep their
    /// proportions: each kind is weighed as one.
    fn agree_with(&mut self, course: &Course<'_>) {
        let (mut kinds, mut priors) = (Vec::new(), Vec::new());
        let mut known = HashMap::new();
        let kind_of = |(wet_steps, prior): (&WetSteps, &f64)| {
            let kind = *known.entry(*wet_steps).or_insert_with(|| {
                kinds.push(*wet_steps);
                priors.push(0.0);
                kinds.len() - 1
            });
            priors[kind] += prior;
            kind
        };
        let kind_of_each: Vec<usize> =
            self.wet_steps.iter().zip(&self.weights).map(kind_of).collect();
        let weights = reweighed(&priors, &self.stated(course, &kinds));
        for (weight, kind) in self.weights.iter_mut().zip(kind_of_each) {
            *weight *= weights[kind] / priors[kind];
        }
    }

    /// The evenings themselves: weight, and rain rates in mm/h at [`times`](Self::times).
    ///
    /// Weights sum to one; NaN where the air that would arrive was not measured.
    pub fn series(&self) -> impl Iterator<Item = (f64, &[f32])> {
        self.weights.iter().copied().zip(self.rates.chunks_exact(self.steps))
    }

    /// The moments of the rain rates. The first may lie before the moment of the question, by less
    /// than a step.
    pub fn times(&self) -> impl ExactSizeIterator<Item = Timestamp> {
        (0..self.steps).map(|step| after(self.valid_time, self.lead_min(step)))
    }

    /// The last moment that is told: at most three hours after the question, less where the air that
    /// arrives later was not measured.
    pub fn until(&self) -> Timestamp {
        after(self.valid_time, self.end_min())
    }

    /// How many evenings of equal weight would be as many: the fewer, the coarser all counts.
    pub fn effective_count(&self) -> f64 {
        self.weights.iter().map(|weight| weight * weight).sum::<f64>().recip()
    }

    /// Chance that the rain rate reaches a threshold at any moment from `from` to `to`.
    ///
    /// At 0.1 mm/h that is [`Spot::p_rain`](crate::Spot::p_rain), but for what the evenings can't
    /// follow. A longer window never has a lower chance, a higher threshold never a higher one.
    /// `None` for a window that is over, ends before it begins or reaches beyond
    /// [`until`](Self::until), and for a threshold that is not above 0.
    pub fn p_rate_at_least(
        &self,
        from: Timestamp,
        to: Timestamp,
        threshold_mm_h: f64,
    ) -> Option<Probability> {
        let (begin_min, end_min) = self.window(from, to)?;
        if threshold_mm_h.is_nan() || threshold_mm_h <= 0.0 {
            return None;
        }
        let shares = self.shares_at_least(threshold_mm_h);
        let ends = [self.between(&shares, begin_min), self.between(&shares, end_min)];
        let within = self
            .steps_within(begin_min, end_min)
            .map(|(i, j)| self.share(|_, evening| reaches(&evening[i..=j], threshold_mm_h)));
        let within = within.unwrap_or(ends[0])?;
        let p = ends.into_iter().flatten().fold(within, f64::max);
        Some(Probability::clamped(p))
    }

    /// Every minute from the question on: chances of at least 0.1, 1 and 5 mm/h.
    pub fn minutes(&self) -> Vec<MinuteRates> {
        let shares = THRESHOLDS_MM_H.map(|threshold| self.shares_at_least(threshold));
        let minute = |ahead: u32| {
            let lead_min = self.begin_min + f64::from(ahead);
            let at = |shares: &[Option<f64>]| {
                let share = (lead_min <= self.end_min()).then(|| self.between(shares, lead_min));
                share.flatten().map(Probability::clamped)
            };
            let [wet, rain, heavy] = &shares;
            let p_at_least = at(wet).zip(at(rain)).zip(at(heavy)).map(|((a, b), c)| [a, b, c]);
            MinuteRates { time: after(self.issued, f64::from(ahead)), p_at_least }
        };
        (0..=MINUTES_AHEAD).map(minute).collect()
    }

    /// Chance of `gap_min` dry minutes on end from `from` to `to`, counted as
    /// [`Spot::p_gap`](crate::Spot::p_gap) does: in steps, of which each stands for its minutes.
    ///
    /// `None` as for [`p_rate_at_least`](Self::p_rate_at_least), and where so many steps don't fit.
    pub fn p_gap(&self, from: Timestamp, to: Timestamp, gap_min: f64) -> Option<Probability> {
        let (begin_min, end_min) = self.gap_window(from, to, gap_min)?;
        let (i, j) = self.gap_steps_within(begin_min, end_min)?;
        let count = self.steps_of(gap_min);
        if j + 1 < i + count {
            return None;
        }
        self.share(|wet_steps, _| wet_steps.has_dry_run(i, j, count)).map(Probability::clamped)
    }

    /// The moment of the question.
    pub fn issued(&self) -> Timestamp {
        self.issued
    }

    /// Where from `from` on a dry stretch of `gap_min`, over by `to`, is likeliest to begin; the
    /// earliest of those that are nearly as likely.
    ///
    /// Counted in steps like [`p_gap`](Self::p_gap), and never likelier than that. `None` as there.
    pub fn best_start(&self, gap_min: f64, from: Timestamp, to: Timestamp) -> Option<BestStart> {
        let (begin_min, end_min) = self.gap_window(from, to, gap_min)?;
        let (first, last) = self.gap_steps_within(begin_min, end_min)?;
        let count = self.steps_of(gap_min);
        let mut best: Option<(f64, f64)> = None;
        let mut try_steps = |start_min: f64, i: usize, j: usize| {
            let dry = self.share(|wet_steps, _| wet_steps.any_wet(i, j).map(|wet| !wet));
            if let Some(share) = dry
                && best.is_none_or(|(_, most)| share > most + NO_BETTER)
            {
                best = Some((start_min, share));
            }
        };
        for i in first..(last + 2).saturating_sub(count) {
            let j = i + count - 1;
            // At once means that it is dry by the picture before, too.
            if i == first && i > 0 {
                try_steps(begin_min, i - 1, j);
            }
            let start_min = self.lead_min(i) - self.step_min / 2.0;
            try_steps(start_min.min(end_min - gap_min).max(begin_min), i, j);
        }
        best.map(|(start_min, p)| BestStart {
            time: after(self.valid_time, start_min),
            p_dry: Probability::clamped(p),
        })
    }

    /// When rain begins that does not fall yet. `None` where it begins in no evening.
    pub fn onset(&self) -> Option<Turn> {
        self.turn(|runs| match first_rain(runs) {
            // It falls already.
            FirstRain::In(0) | FirstRain::Never => When::Never,
            FirstRain::In(index) => When::At(runs[index].begin_min),
            FirstRain::Unknown => When::Unknown,
        })
    }

    /// When the rain ends that falls now, or that comes first; a pause of less than 10 minutes is no
    /// end. `None` where none ends in any evening.
    pub fn end(&self) -> Option<Turn> {
        self.turn(|runs| match first_rain(runs) {
            FirstRain::In(index) => end_of_rain(&runs[index..]),
            FirstRain::Never => When::Never,
            FirstRain::Unknown => When::Unknown,
        })
    }

    /// How many minutes are wet from the question to [`until`](Self::until). Minutes that are not
    /// known count like those that are.
    pub fn wet_minutes(&self) -> Option<Spread> {
        let told_min = self.end_min() - self.begin_min;
        self.spread(|runs| {
            let sum = |wet: bool| -> f64 {
                let runs = runs.iter().filter(|run| run.wet == Some(wet));
                runs.map(|run| run.length_min()).sum()
            };
            let (wet_min, dry_min) = (sum(true), sum(false));
            (wet_min + dry_min > 0.0).then(|| told_min * wet_min / (wet_min + dry_min))
        })
    }

    /// The longest dry stretch from the question to [`until`](Self::until); 0 where it rains
    /// throughout. What lies beyond is not counted.
    pub fn longest_gap_min(&self) -> Option<Spread> {
        self.spread(|runs| {
            let dry = runs.iter().filter(|run| run.wet == Some(false));
            Some(dry.map(|run| run.length_min()).fold(0.0, f64::max))
        })
    }

    /// How long the first dry stretch of at least `gap_min` lasts, given that there is one, up to
    /// [`until`](Self::until). `None` where no evening has one.
    pub fn gap_duration(&self, gap_min: f64) -> Option<Spread> {
        self.spread(|runs| {
            let long = |run: &&Run| run.wet == Some(false) && run.length_min() >= gap_min - 1e-6;
            runs.iter().find(long).map(|run| run.length_min())
        })
    }

    /// How rain comes and goes from step to step, as a decision process wants it.
    pub fn rain_chain(&self) -> RainChain {
        self.rain_chain_at(&self.times().collect::<Vec<_>>())
    }

    /// The same from moment to moment, each with the rain of the step nearest to it.
    ///
    /// - `times`: rising. Shares and transitions are 0 for those nearer to no step that is told: before
    ///   the question or after [`until`](Self::until).
    pub fn rain_chain_at(&self, times: &[Timestamp]) -> RainChain {
        let steps: Vec<Option<usize>> = times.iter().map(|time| self.step_nearest(*time)).collect();
        let class = |evening: &[f32], step: Option<usize>| {
            let rate = f64::from(evening[step?]) + ROUNDING_MM_H;
            (!rate.is_nan()).then(|| CLASSES_FROM_MM_H.iter().filter(|from| rate >= **from).count())
        };
        let mut shares = vec![[0.0; 4]; times.len()];
        let mut transitions = vec![[[0.0; 4]; 4]; times.len().saturating_sub(1)];
        for (weight, evening) in self.series() {
            let classes: Vec<Option<usize>> =
                steps.iter().map(|step| class(evening, *step)).collect();
            for (share, class) in shares.iter_mut().zip(&classes) {
                if let Some(class) = class {
                    share[*class] += weight;
                }
            }
            for (transition, pair) in transitions.iter_mut().zip(classes.windows(2)) {
                if let Some((from, to)) = pair[0].zip(pair[1]) {
                    transition[from][to] += weight;
                }
            }
        }
        for share in &mut shares {
            let known: f64 = share.iter().sum();
            *share = share.map(|weight| part(weight, known));
        }
        for transition in &mut transitions {
            let known: f64 = transition.iter().flatten().sum();
            *transition = transition.map(|row| row.map(|weight| part(weight, known)));
        }
        RainChain { times: times.to_vec(), shares, transitions }
    }

    /// The step nearest to a moment; `None` where none lies within half a step of it.
    fn step_nearest(&self, time: Timestamp) -> Option<usize> {
        let ahead = minutes(self.valid_time, time) / self.step_min - self.first as f64;
        let step = ahead.round();
        (step >= 0.0 && step < self.steps as f64).then(|| whole(step))
    }

    /// What the course says of moments and windows, with the verdicts of some evenings.
    fn stated(&self, course: &Course<'_>, evenings: &[WetSteps]) -> Vec<Stated> {
        let verdicts = |p: f64, verdict: &dyn Fn(WetSteps) -> Option<bool>| {
            Stated::new(p, evenings.iter().map(|wet_steps| verdict(*wet_steps)))
        };
        let windows = |(from_min, to_min): (f64, f64)| {
            let (begin_min, end_min) = (self.begin_min + from_min, self.begin_min + to_min);
            (end_min <= self.end_min()).then_some((begin_min, end_min))
        };
        let every = whole((AGREED_EVERY_MIN / self.step_min - 1e-9).ceil()).max(1);
        let moments = (0..self.steps).step_by(every).filter_map(|step| {
            let p = course.moment(self.lead_min(step))?.p_rain;
            Some(verdicts(p, &|wet_steps| wet_steps.any_wet(step, step)))
        });
        let rain = AGREED_RAIN_MIN.into_iter().filter_map(windows).filter_map(|(begin, end)| {
            let (i, j) = self.steps_within(begin, end)?;
            let p = course.p_rain(begin, end)?;
            Some(verdicts(p, &|wet_steps| wet_steps.any_wet(i, j)))
        });
        let count = self.steps_of(AGREED_GAP_MIN);
        let gaps = AGREED_GAPS_MIN.into_iter().filter_map(windows).filter_map(|(begin, end)| {
            let (i, j) = self.gap_steps_within(begin, end)?;
            let p = course.p_gap(begin, end, AGREED_GAP_MIN)?;
            Some(verdicts(p, &|wet_steps| wet_steps.has_dry_run(i, j, count)))
        });
        moments.chain(rain).chain(gaps).collect()
    }

    /// Minutes from the newest picture to a step of the evenings.
    fn lead_min(&self, step: usize) -> f64 {
        (self.first + step) as f64 * self.step_min
    }

    /// Minutes from the newest picture to the last step.
    fn end_min(&self) -> f64 {
        self.lead_min(self.steps - 1)
    }

    /// What is left of a window, minutes from the newest picture.
    fn window(&self, from: Timestamp, to: Timestamp) -> Option<(f64, f64)> {
        let begin = from.max(self.issued);
        let end_min = minutes(self.valid_time, to);
        // Timestamps are whole milliseconds here.
        (from <= to && begin <= to && end_min <= self.end_min() + 1e-3)
            .then(|| (minutes(self.valid_time, begin), end_min.min(self.end_min())))
    }

    /// The same, where a gap of that length fits.
    fn gap_window(&self, from: Timestamp, to: Timestamp, gap_min: f64) -> Option<(f64, f64)> {
        let window = self.window(from, to)?;
        (gap_min > 0.0 && window.1 - window.0 >= gap_min - 1e-6).then_some(window)
    }

    /// The first and last step within minutes from the newest picture, if any lies there.
    fn steps_within(&self, begin_min: f64, end_min: f64) -> Option<(usize, usize)> {
        let first = whole((begin_min / self.step_min - 1e-9).ceil()).max(self.first);
        let last = whole(end_min / self.step_min + 1e-9).min(self.first + self.steps - 1);
        (first <= last).then(|| (first - self.first, last - self.first))
    }

    /// As [`steps_within`](Self::steps_within), without the newest picture: it stands for the minutes
    /// before it, which are over.
    fn gap_steps_within(&self, begin_min: f64, end_min: f64) -> Option<(usize, usize)> {
        let (first, last) = self.steps_within(begin_min, end_min)?;
        let first = if self.first == 0 { first.max(1) } else { first };
        (first <= last).then_some((first, last))
    }

    /// Steps that make a gap.
    fn steps_of(&self, gap_min: f64) -> usize {
        whole((gap_min / self.step_min - 1e-6).ceil()).max(1)
    }

    /// Share of the evenings in which something holds, of those that know; `None` where few do.
    ///
    /// Those that can't know are left out. With verdicts that stay "yes" in a longer window, and come
    /// to "no" in fewer evenings, the share never falls.
    fn share(&self, verdict: impl Fn(WetSteps, &[f32]) -> Option<bool>) -> Option<f64> {
        let (mut holds, mut fails) = (0.0, 0.0);
        for ((weight, evening), wet_steps) in self.series().zip(&self.wet_steps) {
            match verdict(*wet_steps, evening) {
                Some(true) => holds += weight,
                Some(false) => fails += weight,
                None => {}
            }
        }
        share_of_known(holds, fails)
    }

    /// At each step, the share whose rain rate reaches a threshold.
    fn shares_at_least(&self, threshold_mm_h: f64) -> Vec<Option<f64>> {
        let (mut holds, mut fails) = (vec![0.0; self.steps], vec![0.0; self.steps]);
        for (weight, evening) in self.series() {
            for ((holds, fails), rate) in holds.iter_mut().zip(&mut fails).zip(evening) {
                let reached = f64::from(*rate) + ROUNDING_MM_H >= threshold_mm_h;
                *holds += if reached { weight } else { 0.0 };
                *fails += if reached || rate.is_nan() { 0.0 } else { weight };
            }
        }
        holds.iter().zip(fails).map(|(holds, fails)| share_of_known(*holds, fails)).collect()
    }

    /// A share between steps.
    fn between(&self, shares: &[Option<f64>], lead_min: f64) -> Option<f64> {
        let position = lead_min / self.step_min - self.first as f64;
        let (step, rest) = cell_and_rest(position, shares.len());
        let (now, next) = (shares[step]?, shares[(step + 1).min(shares.len() - 1)]);
        if rest > 0.0 { Some(now + (next? - now) * rest) } else { Some(now) }
    }

    /// Calls `with` for every evening with its weight and its stretches, from the question to the last
    /// step.
    fn for_each_in_runs(&self, mut with: impl FnMut(f64, &[Run])) {
        let half_min = self.step_min / 2.0;
        let end_of_all_min = self.end_min();
        let mut runs = Vec::with_capacity(self.steps);
        for (weight, wet_steps) in self.weights.iter().zip(&self.wet_steps) {
            runs.clear();
            let mut step = 0;
            while step < self.steps {
                let (wet, next) = wet_steps.run_from(step, self.steps);
                let begin_min = (self.lead_min(step) - half_min).max(self.begin_min);
                let end_min = (self.lead_min(next) - half_min).min(end_of_all_min);
                if end_min > begin_min {
                    runs.push(Run { wet, begin_min, end_min });
                }
                step = next;
            }
            with(*weight, &runs);
        }
    }

    /// When something happens, given that it does, and the chance of that.
    fn turn(&self, moment: impl Fn(&[Run]) -> When) -> Option<Turn> {
        let mut moments = Vec::new();
        let (mut happens, mut fails) = (0.0, 0.0);
        self.for_each_in_runs(|weight, runs| match moment(runs) {
            When::At(moment_min) => {
                happens += weight;
                moments.push((moment_min, weight));
            }
            When::Never => fails += weight,
            When::Unknown => {}
        });
        if happens + fails < ASKED_SHARE_MIN {
            return None;
        }
        let [earliest, likely, latest] =
            quantiles(moments)?.map(|minute| after(self.valid_time, minute));
        let p = Probability::clamped(happens / (happens + fails));
        Some(Turn { p, when: Between { earliest, likely, latest } })
    }

    fn spread(&self, minutes: impl Fn(&[Run]) -> Option<f64>) -> Option<Spread> {
        let mut told = Vec::with_capacity(self.weights.len());
        self.for_each_in_runs(|weight, runs| {
            told.extend(minutes(runs).map(|minutes| (minutes, weight)));
        });
        let [p10_min, p50_min, p90_min] = quantiles(told)?;
        Some(Spread { p10_min, p50_min, p90_min })
    }
}

/// What is wet, mm/h.
const WET: f64 = THRESHOLDS_MM_H[0];

/// What single precision may take from a rate that reaches a threshold exactly, mm/h.
const ROUNDING_MM_H: f64 = 1e-6;

/// Whether rain rates reach a threshold at some step; `None` where those that are known don't, and
/// others are not known.
fn reaches(rates: &[f32], threshold_mm_h: f64) -> Option<bool> {
    let mut all_known = true;
    for rate in rates {
        if f64::from(*rate) + ROUNDING_MM_H >= threshold_mm_h {
            return Some(true);
        }
        all_known &= !rate.is_nan();
    }
    all_known.then_some(false)
}

/// Share of those in which something holds, of those that know; `None` where few do.
fn share_of_known(holds: f64, fails: f64) -> Option<f64> {
    (holds + fails >= ASKED_SHARE_MIN).then(|| holds / (holds + fails))
}

/// Part of a whole; 0 of nothing.
fn part(of: f64, whole: f64) -> f64 {
    if whole > 0.0 { of / whole } else { 0.0 }
}

/// When something happens in an evening.
enum When {
    /// Minutes from the newest picture.
    At(f64),
    Never,
    /// It hangs on what is not measured.
    Unknown,
}

/// The first rain of an evening.
enum FirstRain {
    /// The index of its stretch.
    In(usize),
    Never,
    /// What comes before it, if it comes, is not measured.
    Unknown,
}

fn first_rain(runs: &[Run]) -> FirstRain {
    match runs.iter().position(|run| run.wet != Some(false)) {
        None => FirstRain::Never,
        Some(index) if runs[index].wet.is_none() => FirstRain::Unknown,
        Some(index) => FirstRain::In(index),
    }
}

/// When rain ends that begins with the first of some stretches.
fn end_of_rain(runs: &[Run]) -> When {
    let mut end = When::Never;
    for run in runs {
        match run.wet {
            None => return When::Unknown,
            Some(true) => end = When::At(run.end_min),
            Some(false) if run.length_min() >= PAUSE_MIN - 1e-6 => return end,
            Some(false) => {}
        }
    }
    When::Never
}

/// Where a tenth, a half and nine tenths of the weight lie below; `None` of nothing.
pub(crate) fn quantiles(mut values: Vec<(f64, f64)>) -> Option<[f64; 3]> {
    values.sort_by(|a, b| a.0.total_cmp(&b.0));
    let all: f64 = values.iter().map(|(_, weight)| weight).sum();
    let last = values.last()?.0;
    let quantile = |share: f64| {
        let mut below = 0.0;
        let found = values.iter().find(|(_, weight)| {
            below += weight;
            below >= share * all
        });
        found.map_or(last, |(value, _)| *value)
    };
    Some([0.1, 0.5, 0.9].map(quantile))
}
