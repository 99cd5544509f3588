//! How much an evening could be worth at most, where it has too many states to be solved whole.
//!
//! What has been made is forgotten but for the set made last and the looks taken off, so that a set
//! could be made twice; each time it is made costs a price, and all prices are paid back once:
//!
//! ```text
//! value <= sum of prices + value of the forgetful evening
//! ```
//!
//! for any prices of at least zero, since no strategy of the true evening makes a set more than once
//! (Lagrangian relaxation). Penalties of looks and promises, which are not sums over sets, are
//! replaced by straight lines that are nowhere below them. Prices are moved along the subgradient
//! (how often each set is made) and the lowest bound is kept; any of them would be valid.

use crate::action::{Action, FormKind};
use crate::course::{beginning, course};
use crate::kernel::{Narrow, forward, mixed, narrow, worked};
use crate::model::SheetModel;
use crate::orders::{AsListed, in_order};

/// What no strategy is worth more than.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bound {
    /// The value that none exceeds.
    pub upper: f64,
}

/// A bound, with what finding it says of which sets matter.
pub(crate) struct Relaxed {
    pub(crate) bound: Bound,
    /// Two ways to rank the sets: by how often each was made over the last rounds, and by what making
    /// it twice would have been worth when the bound was found.
    pub(crate) rankings: [Vec<f64>; 2],
}

/// Rounds of moving prices: more bring less than a hundredth.
const ROUNDS: usize = 80;
/// Rounds without a better bound after which steps are halved.
const PATIENCE: usize = 5;
/// Single precision may be off by this share of what is at stake.
const ROUNDING: f64 = 1e-5;

/// Prices of making a set once more, and the slopes of penalties by look.
struct Prices {
    set: Vec<f64>,
    missed: Vec<f64>,
    short: Vec<f64>,
}

/// The least bound found.
pub(crate) fn upper_bound(model: &SheetModel) -> Relaxed {
    let problem = model.problem();
    let narrowed = Narrow::new(model);
    let places = Places::new(model);
    let listed: Vec<usize> = (0..model.sets.len()).collect();
    let ordered = in_order(model, &listed);
    let lower = course(&ordered, &AsListed::new(&ordered, &listed)).value;
    let mut prices = Prices {
        set: vec![0.0; problem.sets.len()],
        missed: problem.looks.iter().map(|look| look.missed_penalty).collect(),
        short: vec![0.0; problem.looks.len()],
    };
    let mut best = f64::INFINITY;
    let mut made_sum = vec![0.0; problem.sets.len()];
    let mut price_at_best = prices.set.clone();
    let (mut length, mut idle) = (1.0, 0);
    for round in 0..ROUNDS {
        let evening = Forgetful { model, narrowed: &narrowed, places: &places, prices: &prices };
        let (value, counts) = evening.solve();
        if value < best - 1e-6 {
            (best, idle) = (value, 0);
            price_at_best.clone_from(&prices.set);
        } else {
            idle += 1;
            if idle == PATIENCE {
                (length, idle) = (length / 2.0, 0);
            }
        }
        if round >= ROUNDS / 2 {
            made_sum.iter_mut().zip(&counts).for_each(|(sum, form)| *sum += form[0] + form[1]);
        }
        prices.move_along(model, &counts, length * (value - lower).max(1e-9));
    }
    let stake: f64 = problem.sets.iter().map(|set| set.worth).sum::<f64>() + best.abs();
    Relaxed { bound: Bound { upper: best + ROUNDING * stake }, rankings: [made_sum, price_at_best] }
}

impl Prices {
    /// A step against the subgradient, of Polyak's length. Prices that stand at an end of their range
    /// and would leave it are left out of the length: they stay where they are.
    fn move_along(&mut self, model: &SheetModel, counts: &[[f64; 2]], length: f64) {
        let problem = model.problem();
        let mut made = vec![0.0; problem.looks.len()];
        let mut pictures = vec![0.0; problem.looks.len()];
        for (set, count) in model.sets.iter().zip(counts) {
            for (form, count) in set.forms.iter().zip(count) {
                made[set.look] += count;
                pictures[set.look] += count * f64::from(form.pictures);
            }
        }
        let mut moves: Vec<Slope<'_>> = Vec::new();
        for (price, count) in self.set.iter_mut().zip(counts) {
            moves.push(Slope {
                price,
                most: f64::INFINITY,
                steepness: 1.0 - count[0] - count[1],
                unit: 1.0,
            });
        }
        for (look, price) in self.missed.iter_mut().enumerate() {
            let most = problem.looks[look].missed_penalty;
            moves.push(Slope { price, most, steepness: made[look] - 1.0, unit: 1.0 });
        }
        for (look, price) in self.short.iter_mut().enumerate() {
            let Some(promise) = problem.looks[look].promise else { continue };
            let slope = pictures[look] - f64::from(promise.pictures);
            // A price for each picture counts as many times as a set has pictures.
            let unit = 1.0 / f64::from(model.most_pictures(look).max(1));
            moves.push(Slope { price, most: promise.penalty_each, steepness: slope * unit, unit });
        }
        moves.retain(|it| {
            !(*it.price <= 0.0 && it.steepness > 0.0 || *it.price >= it.most && it.steepness < 0.0)
        });
        let squares: f64 = moves.iter().map(|it| it.steepness * it.steepness).sum();
        let step = length / squares.max(1e-9);
        for it in moves {
            *it.price = (*it.price - step * it.steepness * it.unit).clamp(0.0, it.most);
        }
    }
}

/// A price with its range and the slope of the bound along it, both in the same unit.
struct Slope<'a> {
    price: &'a mut f64,
    most: f64,
    steepness: f64,
    unit: f64,
}

/// What a forgetful evening remembers: the set made last, and the looks that are off for good.
struct Places {
    /// The last set, by place; the first place is arrival.
    last: Vec<usize>,
    /// Where a set leads, by place and set; `None`: it cannot be made from there.
    next: Vec<Vec<Option<usize>>>,
}

/// With more places than this looks are forgotten too: the bound is weaker, and still one.
const PLACES_MOST: usize = 400;

impl Places {
    fn new(model: &SheetModel) -> Self {
        Places::found(model, true)
            .or_else(|| Places::found(model, false))
            .expect("without looks there is a place for each set")
    }

    fn found(model: &SheetModel, with_looks: bool) -> Option<Self> {
        let mut known = vec![(model.nothing_yet(), 0_u32)];
        let mut next = Vec::new();
        while let Some((last, off)) = known.get(next.len()).copied() {
            let mut ways = vec![None; model.sets.len()];
            for set in (0..model.sets.len()).filter(|set| *set != last) {
                let look = model.sets[set].look;
                if off & (1 << look) != 0 {
                    continue;
                }
                let taken_off = model.look_after(last).filter(|it| {
                    with_looks && *it != look && !model.problem().looks[*it].may_return
                });
                let there = (set, taken_off.map_or(off, |it| off | 1 << it));
                let place = known.iter().position(|it| *it == there).unwrap_or_else(|| {
                    known.push(there);
                    known.len() - 1
                });
                if with_looks && place >= PLACES_MOST {
                    return None;
                }
                ways[set] = Some(place);
            }
            next.push(ways);
        }
        Some(Places { last: known.into_iter().map(|(last, _)| last).collect(), next })
    }
}

/// An evening that forgets what was made.
struct Forgetful<'a> {
    model: &'a SheetModel,
    narrowed: &'a Narrow,
    places: &'a Places,
    prices: &'a Prices,
}

impl Forgetful<'_> {
    /// Its value with the prices paid back, and how often each set is made in each form.
    fn solve(&self) -> (f64, Vec<[f64; 2]>) {
        let model = self.model;
        let (slots, lasts) = (model.problem().slots, self.places.last.len());
        let cells = model.space.cells();
        let mut values = vec![0.0_f32; (slots + 1) * lasts * cells];
        let mut actions = vec![Action::Finish.code(); slots * lasts * cells];
        let (mut after_rain, mut gain) = (vec![0.0; cells], vec![0.0; cells]);
        for slot in (0..slots).rev() {
            let (values, later) = values.split_at_mut((slot + 1) * lasts * cells);
            let at = |last: usize| (slot * lasts + last) * cells;
            for last in 0..lasts {
                let next = &later[last * cells..(last + 1) * cells];
                mixed(&model.space, &self.narrowed.rain[slot], next, &mut after_rain);
                for (cell, waited) in after_rain.iter().enumerate() {
                    if *waited > 0.0 {
                        values[at(last) + cell] = *waited;
                        actions[at(last) + cell] = Action::Wait.code();
                    }
                }
            }
            for target in 1..lasts {
                let set = self.places.last[target];
                for (form, spec) in model.sets[set].forms.iter().enumerate() {
                    let kind = if form == 0 { FormKind::Full } else { FormKind::Short };
                    let code = Action::Make { set, form: kind }.code();
                    for (run, run_spec) in spec.runs.iter().enumerate() {
                        if !run_spec.open[slot] {
                            continue;
                        }
                        let ahead = ((run_spec.steps.len() - 1) * lasts + target) * cells;
                        gain.copy_from_slice(&later[ahead..ahead + cells]);
                        self.begin(set, form, run, slot, &mut after_rain, &mut gain);
                        for from in 0..lasts {
                            let approach = &model.approaches[self.places.last[from]][set];
                            if self.places.next[from][set] != Some(target) || approach.run != run {
                                continue;
                            }
                            let there = |cell: usize| {
                                let cloths = model.space.cloths;
                                approach.cloth.as_ref().map_or(cell, |cloth| {
                                    cell - cell % cloths + cloth[cell % cloths]
                                })
                            };
                            for cell in 0..cells {
                                if gain[there(cell)] > values[at(from) + cell] {
                                    values[at(from) + cell] = gain[there(cell)];
                                    actions[at(from) + cell] = code;
                                }
                            }
                        }
                    }
                }
            }
        }
        let first = &values[..cells];
        let value = beginning(model).into_iter().zip(first).map(|(p, value)| p * f64::from(*value));
        (value.sum::<f64>() + self.paid_back(), self.counts(&actions))
    }

    /// What beginning a set in a slot is worth, from what lies after it.
    fn begin(
        &self,
        set: usize,
        form: usize,
        run: usize,
        slot: usize,
        after_rain: &mut [f32],
        gain: &mut [f32],
    ) {
        let model = self.model;
        let spec = &model.sets[set].forms[form];
        let run = &spec.runs[run];
        let quality = &self.narrowed.quality[set];
        for (k, step) in run.steps.iter().enumerate().rev() {
            let reward = narrow(spec.worth * run.light[slot][k]);
            mixed(&model.space, &self.narrowed.rain[slot + k], gain, after_rain);
            worked(&model.space, step, reward, quality, after_rain, gain);
        }
        let bonus = narrow(self.bonus(set, form));
        for (gain, quality) in gain.iter_mut().zip(quality) {
            *gain = if *quality == 0.0 { f32::NEG_INFINITY } else { *gain + bonus };
        }
    }

    /// What making a set saves in penalties, less its price.
    fn bonus(&self, set: usize, form: usize) -> f64 {
        let spec = &self.model.sets[set];
        let needed = self.model.problem().sets[set].needed.map_or(0.0, |it| it.missed_penalty);
        let pictures = f64::from(spec.forms[form].pictures);
        let look = self.prices.missed[spec.look] + self.prices.short[spec.look] * pictures;
        needed + look - self.prices.set[set]
    }

    /// All prices, less all penalties.
    fn paid_back(&self) -> f64 {
        let problem = self.model.problem();
        let mut sum: f64 = self.prices.set.iter().sum();
        for needed in problem.sets.iter().filter_map(|set| set.needed) {
            sum -= needed.missed_penalty;
        }
        for (look, spec) in problem.looks.iter().enumerate() {
            sum -= self.prices.missed[look];
            let promised = spec.promise.map_or(0, |promise| promise.pictures);
            sum -= self.prices.short[look] * f64::from(promised);
        }
        sum
    }

    /// How often each set is made in each form.
    fn counts(&self, actions: &[u8]) -> Vec<[f64; 2]> {
        let model = self.model;
        let (slots, lasts) = (model.problem().slots, self.places.last.len());
        let cells = model.space.cells();
        let mut counts = vec![[0.0; 2]; model.sets.len()];
        let mut ahead = vec![vec![vec![0.0; cells]; lasts]; slots + 1];
        ahead[0][0] = beginning(model);
        for slot in 0..slots {
            for from in 0..lasts {
                let chances = std::mem::take(&mut ahead[slot][from]);
                let last = self.places.last[from];
                let at = (slot * lasts + from) * cells;
                let chosen = &actions[at..at + cells];
                let mut codes = chosen.to_vec();
                codes.sort_unstable();
                codes.dedup();
                for code in codes {
                    let mut here: Vec<f64> = (chances.iter().zip(chosen))
                        .map(|(p, it)| if *it == code { *p } else { 0.0 })
                        .collect();
                    let p: f64 = here.iter().sum();
                    let (end, place) = match Action::from_code(code) {
                        _ if p == 0.0 => continue,
                        Action::Finish => continue,
                        Action::Wait => {
                            let rain = model.rain_step(slot);
                            here = forward(&model.space, rain, None, &[], &here).0;
                            (slot + 1, from)
                        }
                        Action::Make { set, form } => {
                            counts[set][form.index()] += p;
                            let run = model.run(last, set, form.index());
                            here = crate::course::changed(
                                model,
                                model.approaches[last][set].cloth.as_deref(),
                                here,
                            );
                            for (k, step) in run.steps.iter().enumerate() {
                                let rain = model.rain_step(slot + k);
                                here = forward(&model.space, rain, Some(step), &[], &here).0;
                            }
                            let place = self.places.next[from][set];
                            let place = place.expect("only what can be made was chosen");
                            (slot + run.steps.len(), place)
                        }
                    };
                    ahead[end][place].iter_mut().zip(here).for_each(|(sum, p)| *sum += p);
                }
            }
        }
        counts
    }
}
