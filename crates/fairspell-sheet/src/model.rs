//! A problem, checked and numbered: what each action takes, where it is open, what it brings.

use crate::check::{self, Names};
use crate::dose::{Between, Levels, dose_g_m2};
use crate::error::{Closed, SheetError};
use crate::problem::{Form, RAIN_CLASSES, Set, Setting, SheetProblem};
use crate::walks::walks_min;

/// A problem that has been checked, with everything that the solver looks up.
#[derive(Debug, Clone)]
pub struct SheetModel {
    problem: SheetProblem,
    pub(crate) hair: Levels,
    /// Levels of each look's wetness.
    pub(crate) cloth: Vec<Levels>,
    pub(crate) space: Space,
    pub(crate) start: Between,
    pub(crate) sets: Vec<ModelSet>,
    /// By what was made last (`sets.len()`: nothing yet), then by set.
    pub(crate) approaches: Vec<Vec<Approach>>,
    /// The look worn at the start.
    pub(crate) look_at_start: Option<usize>,
    /// Looks whose pictures differ by form, so that they must be counted; see `progress`.
    pub(crate) counted_looks: Vec<usize>,
    /// The sets that may be made, a bit for each: all, unless only a part is solved.
    pub(crate) only: u64,
    /// The place of each set in a fixed order that must be kept; sets without one are not made.
    pub(crate) order: Option<Vec<Option<usize>>>,
}

/// How the cells of a block lie: rain class, then hair level, then wetness.
#[derive(Debug, Clone)]
pub(crate) struct Space {
    pub(crate) hair_levels: usize,
    /// Levels of one outfit's wetness: 3, or 1 when nobody minds.
    pub(crate) cloth_levels: usize,
    /// Looks that may be put on again, whose wetness is remembered while they are off.
    pub(crate) kept_looks: Vec<usize>,
    /// Combinations of wetness: the worn outfit's first, then those of `kept_looks`.
    pub(crate) cloths: usize,
}

impl Space {
    pub(crate) fn cells(&self) -> usize {
        RAIN_CLASSES * self.class_cells()
    }

    pub(crate) fn class_cells(&self) -> usize {
        self.hair_levels * self.cloths
    }

    pub(crate) fn cell(&self, class: usize, hair: usize, cloth: usize) -> usize {
        (class * self.hair_levels + hair) * self.cloths + cloth
    }
}

/// A set as the solver sees it.
#[derive(Debug, Clone)]
pub(crate) struct ModelSet {
    pub(crate) look: usize,
    pub(crate) forms: Vec<ModelForm>,
    /// What rain, hair and cloth leave of its worth, by cell; 0 closes it.
    pub(crate) quality: Vec<f64>,
    /// A set listed before it that is the same in all but its name, and is made first.
    pub(crate) twin_before: Option<usize>,
}

/// Full or short, with a run for each way of getting there.
#[derive(Debug, Clone)]
pub(crate) struct ModelForm {
    /// Its share of the set's worth, times the worth.
    pub(crate) worth: f64,
    pub(crate) pictures: u32,
    pub(crate) runs: Vec<Run>,
}

/// How to get to a set from what was made before it.
#[derive(Debug, Clone)]
pub(crate) struct Approach {
    /// Which of the forms' runs it takes.
    pub(crate) run: usize,
    /// What changing the outfit makes of the wetness; `None`: no change.
    pub(crate) cloth: Option<Vec<usize>>,
}

/// A form with its way there: some slots, and what happens in each.
#[derive(Debug, Clone)]
pub(crate) struct Run {
    pub(crate) steps: Vec<Step>,
    /// Minutes before the first picture: changing, walking, setting up.
    pub(crate) before_min: u32,
    /// Whether it may begin in each slot.
    pub(crate) open: Vec<bool>,
    /// Light times share, by slot of the beginning and step.
    pub(crate) light: Vec<Vec<f64>>,
}

/// One slot of a run.
#[derive(Debug, Clone)]
pub(crate) struct Step {
    /// What each class of rain does to hair and cloth; `None`: nothing.
    pub(crate) wets: [Option<Wetting>; RAIN_CLASSES],
}

/// What a slot's rain does: by level, where the dose leads.
#[derive(Debug, Clone)]
pub(crate) struct Wetting {
    pub(crate) dose_g_m2: f64,
    pub(crate) hair: Vec<Between>,
    pub(crate) cloth: Vec<Between>,
}

impl SheetModel {
    /// Checks a problem and numbers it.
    ///
    /// # Errors
    ///
    /// The first thing that is wrong with it, by name.
    pub fn new(problem: &SheetProblem) -> Result<Self, SheetError> {
        check::numbers(problem)?;
        let spots = Names::new("spot", problem.spots.iter().map(|spot| spot.name.as_str()))?;
        let looks = Names::new("look", problem.looks.iter().map(|look| look.name.as_str()))?;
        let sets = Names::new("set", problem.sets.iter().map(|set| set.name.as_str()))?;
        Names::new("order", problem.orders.iter().map(|order| order.name.as_str()))?;
        for order in &problem.orders {
            let place = format!("order `{}`", order.name);
            Names::new("set", order.sets.iter().map(String::as_str))?;
            order.sets.iter().try_for_each(|set| sets.find(set, &place).map(drop))?;
        }
        let walks_min = walks_min(problem, &spots)?;
        let look_at_start =
            problem.start.look.as_ref().map(|look| looks.find(look, "start")).transpose()?;

        let mut places = Vec::new();
        for set in &problem.sets {
            let place = format!("set `{}`", set.name);
            places.push((spots.find(&set.spot, &place)?, looks.find(&set.look, &place)?));
        }
        let origin = (spots.find(&problem.start.spot, "start")?, look_at_start);
        let mut ways = Ways { problem, walks_min, places, origin };

        let hair = hair_levels(problem);
        let cloth = cloth_levels(problem);
        let space = space(problem, &hair, &cloth);
        let mut model = SheetModel {
            start: hair.place(problem.start.hair_dose_g_m2),
            hair,
            cloth,
            space,
            sets: Vec::new(),
            approaches: vec![Vec::new(); problem.sets.len() + 1],
            look_at_start,
            counted_looks: counted_looks(problem, &ways.places),
            only: u64::MAX,
            order: None,
            problem: problem.clone(),
        };
        for set in 0..problem.sets.len() {
            model.add_set(&mut ways, set)?;
        }
        Ok(model)
    }

    /// The problem that it was made from.
    pub fn problem(&self) -> &SheetProblem {
        &self.problem
    }

    /// What stands for "nothing made yet".
    pub(crate) fn nothing_yet(&self) -> usize {
        self.problem.sets.len()
    }

    /// The look worn after a set, or at the start.
    pub(crate) fn look_after(&self, last: usize) -> Option<usize> {
        if last == self.nothing_yet() { self.look_at_start } else { Some(self.sets[last].look) }
    }

    /// The chances of the next slot's rain, by the rain of this one.
    pub(crate) fn rain_step(&self, slot: usize) -> &[[f64; RAIN_CLASSES]; RAIN_CLASSES] {
        let steps = &self.problem.rain.steps;
        &steps[if steps.len() == 1 { 0 } else { slot.min(steps.len() - 1) }]
    }

    /// The run of a set in a form after another.
    pub(crate) fn run(&self, last: usize, set: usize, form: usize) -> &Run {
        &self.sets[set].forms[form].runs[self.approaches[last][set].run]
    }

    fn add_set(&mut self, ways: &mut Ways<'_>, set: usize) -> Result<(), SheetError> {
        let spec = &ways.problem.sets[set];
        let look = ways.places[set].1;
        let mut befores: Vec<Before> = Vec::new();
        for last in 0..=ways.problem.sets.len() {
            let (before, changes) = ways.before(last, set);
            let run = befores.iter().position(|known| *known == before).unwrap_or_else(|| {
                befores.push(before);
                befores.len() - 1
            });
            let from = if last == ways.problem.sets.len() {
                self.look_at_start
            } else {
                Some(ways.places[last].1)
            };
            let cloth = changes.then(|| changed_cloth(&self.space, from, look));
            self.approaches[last].push(Approach { run, cloth });
        }
        let forms = [Some(&spec.full), spec.short.as_ref()].into_iter().flatten();
        let forms = forms.map(|form| ModelForm {
            worth: spec.worth * form.factor,
            pictures: form.pictures,
            runs: befores.iter().map(|before| self.new_run(ways, set, form, *before)).collect(),
        });
        let forms: Vec<ModelForm> = forms.collect();
        let quality = quality(self, set, look);
        let same = |other: &Set| Set { name: String::new(), ..other.clone() } == nameless(spec);
        let twin_before = ways.problem.sets[..set].iter().rposition(same);
        let is_open = forms.iter().flat_map(|form| &form.runs).any(|run| run.open.contains(&true));
        if !is_open || quality.iter().all(|quality| *quality == 0.0) {
            let why = if is_open { Closed::Rain } else { ways.why_closed(set, &befores) };
            return Err(SheetError::NeverOpen { set: spec.name.clone(), why });
        }
        self.sets.push(ModelSet { look, forms, quality, twin_before });
        Ok(())
    }

    fn new_run(&self, ways: &Ways<'_>, set: usize, form: &Form, before: Before) -> Run {
        let (problem, spec) = (ways.problem, &ways.problem.sets[set]);
        let slot_min = problem.slot_min;
        let from_min = before.all_min();
        let to_min = from_min + form.minutes;
        let slots = to_min.div_ceil(slot_min) as usize;
        let exposure = match spec.setting {
            Setting::Open => problem.exposure.open,
            Setting::Umbrella => problem.exposure.umbrella,
            Setting::Cover => problem.exposure.cover,
        };
        let exposed_s = form.exposed_s.unwrap_or(60.0 * f64::from(form.minutes));
        let within = |slot: usize, from: u32, to: u32| {
            let slot = u32::try_from(slot).expect("slots are few") * slot_min;
            to.min(slot + slot_min).saturating_sub(from.max(slot))
        };
        let shares: Vec<f64> = (0..slots)
            .map(|k| f64::from(within(k, from_min, to_min)) / f64::from(form.minutes))
            .collect();
        let steps = (0..slots).map(|k| {
            let walk_from = before.change_min;
            let walked_s = 60.0 * f64::from(within(k, walk_from, walk_from + before.walk_min));
            let wetting = |rate_mm_h: f64| {
                let dose = dose_g_m2(rate_mm_h, exposed_s * shares[k], exposure)
                    + dose_g_m2(rate_mm_h, walked_s, problem.exposure.walking);
                let raised = |levels: &Levels| {
                    (0..levels.len()).map(|at| levels.place(levels.dose_g_m2(at) + dose)).collect()
                };
                (dose > 0.0).then(|| Wetting {
                    dose_g_m2: dose,
                    hair: raised(&self.hair),
                    cloth: raised(&self.cloth[ways.places[set].1]),
                })
            };
            Step { wets: problem.rain.rates_mm_h.map(wetting) }
        });
        let open = |slot| ways.closed(set, form, before, slot).is_none();
        let light = |slot: usize| {
            let at = |k: usize| spec.light.get(slot + k).copied().unwrap_or(0.0) * shares[k];
            (0..slots).map(at).collect()
        };
        Run {
            steps: steps.collect(),
            before_min: from_min,
            open: (0..problem.slots).map(open).collect(),
            light: (0..problem.slots).map(light).collect(),
        }
    }
}

fn nameless(set: &Set) -> Set {
    Set { name: String::new(), ..set.clone() }
}

/// Changing, walking, setting up.
#[expect(clippy::struct_field_names, reason = "the unit stands in the name")]
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Before {
    change_min: u32,
    walk_min: u32,
    setup_min: u32,
}

impl Before {
    fn all_min(self) -> u32 {
        self.change_min + self.walk_min + self.setup_min
    }
}

/// From set to set.
struct Ways<'a> {
    problem: &'a SheetProblem,
    walks_min: Vec<Vec<u32>>,
    /// Spot and look of each set.
    places: Vec<(usize, usize)>,
    /// Spot and look of the start.
    origin: (usize, Option<usize>),
}

impl Ways<'_> {
    /// What lies before a set after another, and whether the outfit changes.
    fn before(&self, last: usize, set: usize) -> (Before, bool) {
        let (spot, look) =
            self.places.get(last).map_or(self.origin, |(spot, look)| (*spot, Some(*look)));
        let (spot_next, look_next) = self.places[set];
        let changes = look != Some(look_next);
        let mut before = Before {
            change_min: if changes { self.problem.looks[look_next].change_min } else { 0 },
            walk_min: self.walks_min[spot][spot_next],
            setup_min: self.problem.sets[set].setup_min,
        };
        // Where no rain gets at those who walk, only the minutes count: fewer runs to tell apart.
        if self.problem.exposure.walking == 0.0 {
            before.change_min += before.walk_min;
            before.walk_min = 0;
        }
        (before, changes)
    }

    /// Why a form cannot begin in a slot; `None`: it can.
    fn closed(&self, set: usize, form: &Form, before: Before, slot: usize) -> Option<Closed> {
        let (problem, spec) = (self.problem, &self.problem.sets[set]);
        let slot_from = u32::try_from(slot).expect("slots are few") * problem.slot_min;
        let end_min = u32::try_from(problem.slots).expect("slots are few") * problem.slot_min;
        let from = slot_from + before.all_min();
        let to = from + form.minutes;
        if to > end_min {
            return Some(Closed::Time);
        }
        let there = from - before.setup_min;
        let holds = |window: &[u32; 2]| window[0] <= there && to <= window[1];
        let spot = &problem.spots[self.places[set].0];
        if spot.open.as_ref().is_some_and(|open| !open.iter().any(holds)) {
            return Some(Closed::Spot);
        }
        let slots = (from / problem.slot_min) as usize..to.div_ceil(problem.slot_min) as usize;
        let is_dark = spec.light[slots].contains(&0.0);
        let is_late = problem.last_light_min.is_some_and(|last| to > last);
        (is_dark || is_late).then_some(Closed::Light)
    }

    /// What closes a set all evening: the reason that the most lenient beginning meets.
    fn why_closed(&self, set: usize, befores: &[Before]) -> Closed {
        let spec = &self.problem.sets[set];
        let forms = [Some(&spec.full), spec.short.as_ref()].into_iter().flatten();
        let mut reasons = Vec::new();
        for form in forms {
            for before in befores {
                let at = |slot| self.closed(set, form, *before, slot);
                reasons.extend((0..self.problem.slots).filter_map(at));
            }
        }
        let met = |why| reasons.contains(&why);
        if met(Closed::Light) {
            Closed::Light
        } else if met(Closed::Spot) {
            Closed::Spot
        } else {
            Closed::Time
        }
    }
}

/// The hair's levels; one where no set wants it dry.
fn hair_levels(problem: &SheetProblem) -> Levels {
    if problem.sets.iter().any(|set| set.hair_dry) {
        let level = |index: usize| problem.hair.level_g_m2 * index as f64;
        Levels::new((0..problem.hair.levels).map(level).collect())
    } else {
        Levels::unminded()
    }
}

/// Dry, damp, wet for each look; one level each where wetness takes nothing from any of them.
fn cloth_levels(problem: &SheetProblem) -> Vec<Levels> {
    let minded = problem.looks.iter().any(|look| look.damp_factor.min(look.wet_factor) < 1.0);
    let levels = problem.looks.iter().map(|look| {
        if minded {
            Levels::new(vec![0.0, look.damp_at_g_m2, look.wet_at_g_m2])
        } else {
            Levels::unminded()
        }
    });
    levels.collect()
}

fn space(problem: &SheetProblem, hair: &Levels, cloth: &[Levels]) -> Space {
    let cloth_levels = cloth[0].len();
    let looks = problem.looks.iter().enumerate();
    let kept_looks: Vec<usize> = looks
        .filter(|(_, look)| look.may_return && look.wet_factor < 1.0 && cloth_levels > 1)
        .map(|(index, _)| index)
        .collect();
    let cloths = cloth_levels.pow(1 + u32::try_from(kept_looks.len()).expect("looks are few"));
    Space { hair_levels: hair.len(), cloth_levels, kept_looks, cloths }
}

/// What each wetness becomes when one look is taken off and another put on.
fn changed_cloth(space: &Space, off: Option<usize>, on: usize) -> Vec<usize> {
    let kept = |look: usize| space.kept_looks.iter().position(|kept| *kept == look);
    let change = |cloth: usize| {
        let mut digits: Vec<usize> = Vec::new();
        let mut rest = cloth;
        for _ in 0..=space.kept_looks.len() {
            digits.push(rest % space.cloth_levels);
            rest /= space.cloth_levels;
        }
        if let Some(place) = off.and_then(kept) {
            digits[1 + place] = digits[0];
        }
        digits[0] = kept(on).map_or(0, |place| std::mem::take(&mut digits[1 + place]));
        digits.iter().rev().fold(0, |cloth, digit| cloth * space.cloth_levels + digit)
    };
    (0..space.cloths).map(change).collect()
}

/// Rain's, hair's and cloth's factors of a set, multiplied, by cell.
fn quality(model: &SheetModel, set: usize, look: usize) -> Vec<f64> {
    let (problem, space) = (&model.problem, &model.space);
    let (spec, look_spec, hair) = (&problem.sets[set], &problem.looks[look], &problem.hair);
    let mut quality = vec![0.0; space.cells()];
    for class in 0..RAIN_CLASSES {
        for level in 0..space.hair_levels {
            let dose = model.hair.dose_g_m2(level);
            let dry_hair = if spec.hair_dry { hair_factor(hair, dose) } else { 1.0 };
            for cloth in 0..space.cloths {
                let worn = [1.0, look_spec.damp_factor, look_spec.wet_factor];
                let worn = worn[cloth % space.cloth_levels];
                quality[space.cell(class, level, cloth)] = spec.rain[class] * dry_hair * worn;
            }
        }
    }
    quality
}

/// What hair with a dose leaves of a set that wants it dry: even steps between dry, damp and wet.
fn hair_factor(hair: &crate::problem::Hair, dose_g_m2: f64) -> f64 {
    let (damp, wet) = (hair.damp_at_g_m2, hair.wet_at_g_m2);
    if dose_g_m2 <= damp {
        1.0 - (1.0 - hair.damp_factor) * dose_g_m2 / damp
    } else {
        let way = ((dose_g_m2 - damp) / (wet - damp)).min(1.0);
        hair.damp_factor - (hair.damp_factor - hair.wet_factor) * way
    }
}

/// Looks with a promise whose pictures depend on the forms that were made.
fn counted_looks(problem: &SheetProblem, places: &[(usize, usize)]) -> Vec<usize> {
    let differs = |look: usize| {
        problem.sets.iter().zip(places).any(|(set, place)| {
            let short = set.short.as_ref();
            place.1 == look && short.is_some_and(|short| short.pictures != set.full.pictures)
        })
    };
    let promises = |look: &usize| {
        problem.looks[*look].promise.is_some_and(|promise| promise.penalty_each > 0.0)
    };
    (0..problem.looks.len()).filter(promises).filter(|look| differs(*look)).collect()
}
