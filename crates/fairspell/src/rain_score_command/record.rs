//! What was told of each place and window, and what the pictures showed afterwards.

use std::{
    collections::{BTreeSet, HashMap},
    path::{Path, PathBuf},
};

use anyhow::{Result, bail};
use fairspell_chance::{Contingency, Outcome, Probability};
use fairspell_feeds::{
    FrameCache, Mended,
    frames::{Form, Look, picture_times, read_look},
    readings::files_in,
};
use fairspell_ground::LatLon;
use fairspell_nowcast::{
    Grid, Nowcast, Spot, ZR,
    level::WET_RATE_MM_H,
    nowcast::{COMING_MAX_MIN, usual_step_min},
};
use jiff::{SignedDuration, Timestamp};
use ndarray::Array2;
use rayon::prelude::*;

use crate::clutter_told::clutter_told;

/// Memory for decoded pictures: history of one start, truth of another.
const CACHE_BYTES: usize = 256 << 20;

/// What is asked, and in which minutes after the start.
const QUESTIONS: [(Question, f64, f64); 5] = [
    (Question::Rain, 15.0, 45.0),
    (Question::Rain, 30.0, 120.0),
    (Question::Gap, 0.0, 60.0),
    (Question::Gap, 15.0, 45.0),
    (Question::Gap, 30.0, 120.0),
];

/// Two pictures farther apart than so many steps leave a hole, in which no gap is known to go on.
const HOLE_STEPS: f64 = 1.5;

/// What is asked of a window.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Question {
    /// Wet in any picture.
    Rain,
    /// Dry in as many pictures on end as the gap is long.
    Gap,
}

/// Who answers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Forecaster {
    /// Ours.
    Nowcast,
    /// The newest picture carried along the motion: yes or no.
    Extrapolation,
    /// As it is now: yes or no.
    Persistence,
}

/// A question with everything that was told and came.
#[derive(Debug)]
pub(super) struct QuestionRecord {
    pub(super) question: Question,
    pub(super) from_min: f64,
    pub(super) to_min: f64,
    pub(super) starts: Vec<StartRecord>,
}

/// One start of a question.
#[derive(Debug)]
pub(super) struct StartRecord {
    pub(super) start: Timestamp,
    /// Pictures of the window.
    pub(super) pictures: usize,
    /// Places that a picture of the window did not measure.
    pub(super) unmeasured: usize,
    /// Places of which the nowcast, or the newest picture, says nothing.
    pub(super) unanswered: usize,
    cases: Vec<Case>,
}

/// One place.
#[derive(Debug, Clone, Copy)]
struct Case {
    p: Probability,
    calls: Calls,
    came: bool,
}

/// Plain answers.
#[derive(Debug, Clone, Copy)]
struct Calls {
    /// Of the nowcast's best estimate.
    best: bool,
    extrapolation: bool,
    persistence: bool,
}

/// What is known of one place in one window.
enum Answer {
    Unmeasured,
    Unanswered,
    Case(Case),
}

impl QuestionRecord {
    /// All that a forecaster told, with what came.
    pub(super) fn outcomes(&self, forecaster: Forecaster) -> Vec<Outcome> {
        let cases = self.starts.iter().flat_map(|start| &start.cases);
        cases.map(|case| Outcome { p: case.told(forecaster), happened: case.came }).collect()
    }

    /// Plain calls of rain; no call of a gap is ever made, so a gap has none.
    pub(super) fn calls(&self, forecaster: Forecaster) -> Contingency {
        let mut calls = Contingency { hits: 0, false_alarms: 0, misses: 0, correct_negatives: 0 };
        if self.question == Question::Gap {
            return calls;
        }
        for case in self.starts.iter().flat_map(|start| &start.cases) {
            let called = match forecaster {
                Forecaster::Nowcast => case.calls.best,
                Forecaster::Extrapolation => case.calls.extrapolation,
                Forecaster::Persistence => case.calls.persistence,
            };
            *match (called, case.came) {
                (true, true) => &mut calls.hits,
                (true, false) => &mut calls.false_alarms,
                (false, true) => &mut calls.misses,
                (false, false) => &mut calls.correct_negatives,
            } += 1;
        }
        calls
    }
}

impl StartRecord {
    pub(super) fn cases(&self) -> usize {
        self.cases.len()
    }

    pub(super) fn came(&self) -> usize {
        self.cases.iter().filter(|case| case.came).count()
    }

    /// Sum of the squared errors of what a forecaster told.
    pub(super) fn squared_errors(&self, forecaster: Forecaster) -> f64 {
        let error = |case: &Case| case.told(forecaster).get() - f64::from(u8::from(case.came));
        self.cases.iter().map(|case| error(case).powi(2)).sum()
    }
}

impl Case {
    fn told(&self, forecaster: Forecaster) -> Probability {
        let plain = |yes| if yes { Probability::ONE } else { Probability::ZERO };
        match forecaster {
            Forecaster::Nowcast => self.p,
            Forecaster::Extrapolation => plain(self.calls.extrapolation),
            Forecaster::Persistence => plain(self.calls.persistence),
        }
    }
}

/// The pictures of an event, the places, and what has been scored so far.
pub(super) struct Record {
    files: Vec<PathBuf>,
    places: Vec<LatLon>,
    z_r: ZR,
    gap_min: f64,
    /// The moments of all pictures, ascending.
    times: Vec<Timestamp>,
    step_min: f64,
    cache: FrameCache,
    /// What was said at earlier starts, by which the nowcast is corrected.
    said: fairspell_nowcast::Record,
    /// Whether it was wet at each place at a moment; `None`: not measured.
    seen: HashMap<Timestamp, Vec<Option<bool>>>,
    questions: Vec<QuestionRecord>,
    remarks: Vec<String>,
    mended: Mended,
}

impl Record {
    pub(super) fn new(folder: &Path, places: Vec<LatLon>, z_r: ZR, gap_min: f64) -> Result<Self> {
        let files = files_in(folder)?;
        let cache = FrameCache::new(CACHE_BYTES);
        let times = picture_times(&files, Some(&cache));
        let Some(step_min) = usual_step_min(&times) else {
            bail!("{} holds fewer than two radar pictures", folder.display());
        };
        let question = |(question, from_min, to_min)| QuestionRecord {
            question,
            from_min,
            to_min,
            starts: Vec::new(),
        };
        Ok(Record {
            files,
            places,
            z_r,
            gap_min,
            times,
            step_min,
            cache,
            said: fairspell_nowcast::Record::default(),
            seen: HashMap::new(),
            questions: QUESTIONS.map(question).into(),
            remarks: Vec::new(),
            mended: Mended::default(),
        })
    }

    pub(super) fn places(&self) -> usize {
        self.places.len()
    }

    pub(super) fn gap_min(&self) -> f64 {
        self.gap_min
    }

    /// The usual time between pictures, minutes.
    pub(super) fn step_min(&self) -> f64 {
        self.step_min
    }

    pub(super) fn questions(&self) -> &[QuestionRecord] {
        &self.questions
    }

    /// What was left out or changed, as phrases.
    pub(super) fn remarks(&self) -> Vec<String> {
        self.remarks.iter().cloned().chain(clutter_told(&self.mended)).collect()
    }

    /// Answers every question as of a start, from the pictures up to then, and sees what came.
    pub(super) fn score(&mut self, start: Timestamp) {
        let look = Look::with_record(start, &self.places, self.z_r);
        let frames = read_look(&self.files, &look, Some(&self.cache));
        self.remark(frames.remarks);
        for picture in frames.mended.pictures {
            self.mended.add(picture);
        }
        let nowcast = match Nowcast::from_fields(frames.fields, start) {
            Ok(reading) => {
                self.remark(
                    reading.remarks.iter().map(|remark| format!("as of {start}: {remark}")),
                );
                self.said.follow(&reading.value);
                reading.value.corrected_by(&self.said)
            }
            Err(error) => {
                self.remark([format!("{start} left out: {error}")]);
                return;
            }
        };
        let windows = self.windows(start);
        let moments: BTreeSet<Timestamp> = windows.iter().flatten().flatten().copied().collect();
        let newest = BTreeSet::from([nowcast.valid_time()]);
        self.see(&(&moments | &newest), &look);
        let now = self.seen[&nowcast.valid_time()].clone();
        let told = Told::new(&nowcast, &self.places, &moments, now);
        for (index, window) in windows.into_iter().enumerate() {
            let Some(window) = window else { continue };
            let scored = self.start_record(index, start, &window, &told);
            self.questions[index].starts.push(scored);
        }
    }

    /// The pictures of each question's window; `None`, with a remark, where they do not reach its
    /// end.
    fn windows(&mut self, start: Timestamp) -> Vec<Option<Vec<Timestamp>>> {
        let mut remarks = Vec::new();
        let windows = self
            .questions
            .iter()
            .map(|asked| {
                let (from, to) = (ahead(start, asked.from_min), ahead(start, asked.to_min));
                // The picture of the start itself is known to everybody.
                let inside = |time: &&Timestamp| **time > start && (from..=to).contains(*time);
                let window: Vec<Timestamp> = self.times.iter().filter(inside).copied().collect();
                let missing_min = window.last().map_or(f64::INFINITY, |last| minutes(*last, to));
                let ends = missing_min < self.step_min;
                if !ends {
                    remarks.push(format!(
                        "{start}, {} to {} minutes left out: no pictures to the end",
                        asked.from_min, asked.to_min
                    ));
                } else if has_hole(&window, self.step_min) {
                    remarks.push(format!(
                        "{start}, {} to {} minutes: pictures are missing in between",
                        asked.from_min, asked.to_min
                    ));
                }
                ends.then_some(window)
            })
            .collect();
        self.remark(remarks);
        windows
    }

    /// Looks whether it was wet at the places, once for each moment.
    ///
    /// In the files' own cells, with their clutter: what came is not ours to mend, and a forecast is
    /// no better for being judged on a picture that was made to suit it.
    fn see(&mut self, moments: &BTreeSet<Timestamp>, look: &Look) {
        let new: Vec<Timestamp> =
            moments.iter().filter(|moment| !self.seen.contains_key(moment)).copied().collect();
        let seen: Vec<(Timestamp, Vec<Option<bool>>, Vec<String>)> = new
            .into_par_iter()
            .map(|moment| {
                let one = Look {
                    issued: moment,
                    history: SignedDuration::ZERO,
                    form: Form::AsRead,
                    ..*look
                };
                let frames = read_look(&self.files, &one, Some(&self.cache));
                let field = frames.fields.first();
                let wet = |place: &LatLon| Some(is_wet(field?.rain_rate_at(*place)?));
                (moment, self.places.iter().map(wet).collect(), frames.remarks)
            })
            .collect();
        for (moment, wet, remarks) in seen {
            self.seen.insert(moment, wet);
            self.remark(remarks);
        }
    }

    fn start_record(
        &self,
        question: usize,
        start: Timestamp,
        window: &[Timestamp],
        told: &Told<'_>,
    ) -> StartRecord {
        let QuestionRecord { question, from_min, to_min, .. } = self.questions[question];
        let (from, to) = (ahead(start, from_min), ahead(start, to_min));
        let judge = |wet: &[bool]| match question {
            Question::Rain => wet.contains(&true),
            Question::Gap => self.has_gap(window, wet),
        };
        let answers: Vec<Answer> = (0..self.places.len())
            .into_par_iter()
            .map(|place| {
                let seen: Option<Vec<bool>> =
                    window.iter().map(|moment| self.seen[moment][place]).collect();
                let Some(seen) = seen else { return Answer::Unmeasured };
                let (Some(spot), Some(now)) = (&told.spots[place], told.now[place]) else {
                    return Answer::Unanswered;
                };
                let p = match question {
                    Question::Rain => spot.p_rain(from, to),
                    Question::Gap => spot.p_gap(from, to, self.gap_min),
                };
                let Some(p) = p else { return Answer::Unanswered };
                let told_by = |maps: &HashMap<Timestamp, Vec<Option<bool>>>| {
                    // Where the air comes from was not measured: it stays as it is.
                    let wet: Vec<bool> =
                        window.iter().map(|moment| maps[moment][place].unwrap_or(now)).collect();
                    judge(&wet)
                };
                Answer::Case(Case {
                    p,
                    calls: Calls {
                        best: told_by(&told.best),
                        extrapolation: told_by(&told.carried),
                        persistence: judge(&vec![now; window.len()]),
                    },
                    came: judge(&seen),
                })
            })
            .collect();
        let mut scored = StartRecord {
            start,
            pictures: window.len(),
            unmeasured: 0,
            unanswered: 0,
            cases: Vec::new(),
        };
        for answer in answers {
            match answer {
                Answer::Unmeasured => scored.unmeasured += 1,
                Answer::Unanswered => scored.unanswered += 1,
                Answer::Case(case) => scored.cases.push(case),
            }
        }
        scored
    }

    /// Whether dry pictures on end, each of which stands for a step, are as long as the gap.
    fn has_gap(&self, window: &[Timestamp], wet: &[bool]) -> bool {
        let mut run = 0_u32;
        for (index, wet) in wet.iter().enumerate() {
            let hole =
                index > 0 && minutes(window[index - 1], window[index]) > HOLE_STEPS * self.step_min;
            run = match (wet, hole) {
                (true, _) => 0,
                (false, true) => 1,
                (false, false) => run + 1,
            };
            if f64::from(run) * self.step_min >= self.gap_min {
                return true;
            }
        }
        false
    }

    /// Keeps remarks, each once.
    fn remark(&mut self, remarks: impl IntoIterator<Item = String>) {
        for remark in remarks {
            if !self.remarks.contains(&remark) {
                self.remarks.push(remark);
            }
        }
    }
}

/// What was told at a start, place by place.
struct Told<'n> {
    spots: Vec<Option<Spot<'n>>>,
    /// Whether it is wet in the newest picture, as it was read.
    now: Vec<Option<bool>>,
    /// Whether it is wet at a moment, by the picture carried there and by the best estimate.
    carried: HashMap<Timestamp, Vec<Option<bool>>>,
    best: HashMap<Timestamp, Vec<Option<bool>>>,
}

impl<'n> Told<'n> {
    fn new(
        nowcast: &'n Nowcast,
        places: &[LatLon],
        moments: &BTreeSet<Timestamp>,
        now: Vec<Option<bool>>,
    ) -> Self {
        let newest = nowcast.newest();
        let ahead_min = |moment: Timestamp| minutes(nowcast.valid_time(), moment);
        let at_places = |rates: Option<&Array2<f32>>| -> Vec<Option<bool>> {
            places.iter().map(|place| wet_at(&newest.grid, rates?, *place)).collect()
        };
        let mut carried = HashMap::new();
        let mut best = HashMap::new();
        for moment in moments {
            // An old newest picture is not carried farther than it goes; the last minutes of the
            // longest window then are those before.
            let field = nowcast.field_at(ahead_min(*moment).min(COMING_MAX_MIN));
            carried.insert(*moment, at_places(field.as_ref().map(|field| &field.rain_rate_mm_h)));
            best.insert(*moment, at_places(nowcast.best_rate_at(ahead_min(*moment)).as_ref()));
        }
        Told {
            spots: places.par_iter().map(|place| nowcast.at(*place).ok()).collect(),
            now,
            carried,
            best,
        }
    }
}

fn wet_at(grid: &Grid, rain_rate_mm_h: &Array2<f32>, place: LatLon) -> Option<bool> {
    let (row, column) = grid.cell_of(place)?;
    let index = |position: f64| cell(position.round());
    let rate = rain_rate_mm_h.get((index(row), index(column)))?;
    rate.is_finite().then(|| is_wet(*rate))
}

/// A whole position on the grid as an index.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "positions on the grid are small, and what rounds below 0 saturates there"
)]
fn cell(position: f64) -> usize {
    position as usize
}

fn is_wet(rain_rate_mm_h: f32) -> bool {
    rain_rate_mm_h >= WET_RATE_MM_H
}

fn minutes(from: Timestamp, to: Timestamp) -> f64 {
    to.duration_since(from).as_secs_f64() / 60.0
}

fn ahead(start: Timestamp, minutes: f64) -> Timestamp {
    start.saturating_add(SignedDuration::from_secs_f64(minutes * 60.0)).unwrap_or(start)
}

fn has_hole(window: &[Timestamp], step_min: f64) -> bool {
    window.windows(2).any(|pair| minutes(pair[0], pair[1]) > HOLE_STEPS * step_min)
}
