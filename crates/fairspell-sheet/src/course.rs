//! What following a strategy leads to: chances carried forward from the beginning of an evening.
//!
//! This is a second way to the value: it adds up what is met, where `solve` took the best of what
//! lies ahead, and in double precision.

use std::collections::BTreeMap;

use crate::action::Action;
use crate::kernel::forward;
use crate::model::SheetModel;
use crate::problem::{Need, RAIN_CLASSES};
use crate::progress::Progress;

/// Who decides in each state: a byte for each cell of a slot (see [`Action::code`]).
pub(crate) trait Policy {
    fn actions(&self, slot: usize, progress: Progress, last: usize) -> Vec<u8>;
}

/// What following a strategy leads to.
#[derive(Debug, Clone, PartialEq)]
pub struct Course {
    /// The expected worth of what is made, less the penalties of what is missed.
    pub value: f64,
    /// The part of the value that is worth.
    pub worth: f64,
    /// The chance that every must-have set and look is made.
    pub p_must_haves: f64,
    /// The chance that the bank is made.
    pub p_bank: f64,
    /// The chance that each look's promised pictures are made; 1 without a promise.
    pub p_promise: Vec<f64>,
    /// What becomes of each set.
    pub sets: Vec<SetCourse>,
    /// The chance that hair is at least damp in the end.
    pub p_hair_damp: f64,
    /// When the session ends, on average, in minutes from arrival.
    pub end_min: f64,
}

/// What becomes of a set.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct SetCourse {
    /// The chance that it is made.
    pub p_made: f64,
    /// The chance that it is made in its short form.
    pub p_short: f64,
    /// Its first picture, on average where it is made, in minutes from arrival.
    pub start_min: Option<f64>,
    /// What it brings on average, made or not.
    pub worth: f64,
}

type Place = (Progress, usize);

/// Follows a policy.
pub(crate) fn course(model: &SheetModel, policy: &impl Policy) -> Course {
    let problem = model.problem();
    let mut tally = Tally::new(model);
    let mut ahead: Vec<BTreeMap<Place, Vec<f64>>> = vec![BTreeMap::new(); problem.slots + 1];
    ahead[0].insert((Progress::default(), model.nothing_yet()), beginning(model));
    for slot in 0..problem.slots {
        for ((progress, last), chances) in std::mem::take(&mut ahead[slot]) {
            let actions = policy.actions(slot, progress, last);
            let mut codes = actions.clone();
            codes.sort_unstable();
            codes.dedup();
            for code in codes {
                let chosen = |(p, action): (&f64, &u8)| if *action == code { *p } else { 0.0 };
                let here: Vec<f64> = chances.iter().zip(&actions).map(chosen).collect();
                if here.iter().all(|p| *p == 0.0) {
                    continue;
                }
                let (place, end, there) = match Action::from_code(code) {
                    Action::Finish => {
                        tally.end(progress, &here, slot);
                        continue;
                    }
                    Action::Wait => {
                        let rain = model.rain_step(slot);
                        let (there, _) = forward(&model.space, rain, None, &[], &here);
                        ((progress, last), slot + 1, there)
                    }
                    Action::Make { set, form } => {
                        let form = form.index();
                        let after = model.after(progress, set, form);
                        let (end, there) = tally.make(slot, last, set, form, here);
                        ((after, set), end, there)
                    }
                };
                let sum = ahead[end].entry(place).or_insert_with(|| vec![0.0; model.space.cells()]);
                sum.iter_mut().zip(there).for_each(|(sum, p)| *sum += p);
            }
        }
    }
    for ((progress, _), chances) in std::mem::take(&mut ahead[problem.slots]) {
        tally.end(progress, &chances, problem.slots);
    }
    tally.finish()
}

/// The chances of the cells on arrival.
pub(crate) fn beginning(model: &SheetModel) -> Vec<f64> {
    let mut chances = vec![0.0; model.space.cells()];
    for class in 0..RAIN_CLASSES {
        let p = model.problem().rain.start[class];
        let (level, up) = (model.start.level, model.start.up);
        chances[model.space.cell(class, level, 0)] += p * (1.0 - up);
        if up > 0.0 {
            chances[model.space.cell(class, level + 1, 0)] += p * up;
        }
    }
    chances
}

/// Chances by cell after the outfit has been changed.
pub(crate) fn changed(model: &SheetModel, cloth: Option<&[usize]>, now: Vec<f64>) -> Vec<f64> {
    let Some(cloth) = cloth else { return now };
    let cloths = model.space.cloths;
    let mut next = vec![0.0; now.len()];
    for (at, p) in now.into_iter().enumerate() {
        next[at - at % cloths + cloth[at % cloths]] += p;
    }
    next
}

struct Tally<'a> {
    model: &'a SheetModel,
    course: Course,
}

impl<'a> Tally<'a> {
    fn new(model: &'a SheetModel) -> Self {
        let problem = model.problem();
        let course = Course {
            value: 0.0,
            worth: 0.0,
            p_must_haves: 0.0,
            p_bank: 0.0,
            p_promise: vec![0.0; problem.looks.len()],
            sets: vec![SetCourse::default(); problem.sets.len()],
            p_hair_damp: 0.0,
            end_min: 0.0,
        };
        Tally { model, course }
    }

    /// Makes a set from these chances on; returns the slot after it with the chances there.
    fn make(
        &mut self,
        slot: usize,
        last: usize,
        set: usize,
        form: usize,
        here: Vec<f64>,
    ) -> (usize, Vec<f64>) {
        let model = self.model;
        let spec = &model.sets[set];
        let run = model.run(last, set, form);
        let p: f64 = here.iter().sum();
        let mut chances = changed(model, model.approaches[last][set].cloth.as_deref(), here);
        let mut worth = 0.0;
        for (k, step) in run.steps.iter().enumerate() {
            let rain = model.rain_step(slot + k);
            let (next, met) = forward(&model.space, rain, Some(step), &spec.quality, &chances);
            worth += met * spec.forms[form].worth * run.light[slot][k];
            chances = next;
        }
        let told = &mut self.course.sets[set];
        told.p_made += p;
        told.p_short += if form == 0 { 0.0 } else { p };
        let first_min = minutes(model, slot) + f64::from(run.before_min);
        told.start_min = Some(told.start_min.unwrap_or(0.0) + p * first_min);
        told.worth += worth;
        self.course.worth += worth;
        (slot + run.steps.len(), chances)
    }

    fn end(&mut self, progress: Progress, here: &[f64], slot: usize) {
        let (model, course) = (self.model, &mut self.course);
        let p: f64 = here.iter().sum();
        let met = |need| if model.need_met(progress, need) { p } else { 0.0 };
        course.value += p * model.finish_value(progress);
        course.p_must_haves += met(Need::MustHave);
        course.p_bank += met(Need::Bank);
        course.end_min += p * minutes(model, slot);
        for (look, kept) in course.p_promise.iter_mut().enumerate() {
            *kept += if model.promise_kept(progress, look) { p } else { 0.0 };
        }
        let damp_g_m2 = model.problem().hair.damp_at_g_m2;
        for (at, p) in here.iter().enumerate() {
            let hair = at % model.space.class_cells() / model.space.cloths;
            course.p_hair_damp += if model.hair.dose_g_m2(hair) >= damp_g_m2 { *p } else { 0.0 };
        }
    }

    fn finish(mut self) -> Course {
        self.course.value += self.course.worth;
        for set in &mut self.course.sets {
            set.start_min = set.start_min.map(|sum| sum / set.p_made);
        }
        self.course
    }
}

/// Minutes from arrival to the beginning of a slot.
pub(crate) fn minutes(model: &SheetModel, slot: usize) -> f64 {
    slot as f64 * f64::from(model.problem().slot_min)
}
