//! Evenings played with dice: the check that a value means what it says.

use rand::RngExt;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;

use crate::action::Action;
use crate::course::{Policy, beginning};
use crate::kernel::wet_ways;
use crate::model::SheetModel;
use crate::orders::{AsListed, in_order, named_orders};
use crate::problem::Need;
use crate::progress::Progress;
use crate::strategy::Strategy;

/// What so many played evenings came to.
#[derive(Debug, Clone, PartialEq)]
pub struct Played {
    /// Whose evenings: an order's name; `None` for the strategy, and for the order in which the
    /// problem lists its sets.
    pub name: Option<String>,
    /// How many.
    pub runs: u64,
    /// The mean of their values.
    pub mean: f64,
    /// Its standard error.
    pub standard_error: f64,
    /// The share in which every must-have was made.
    pub p_must_haves: f64,
    /// Its standard error.
    pub p_must_haves_error: f64,
}

/// Plays a strategy.
///
/// - `runs`: evenings, at least two.
/// - `seed`: the same seed plays the same evenings.
/// - `done`: hears how many evenings have been played, now and then.
pub fn play(strategy: &Strategy, runs: u64, seed: u64, done: &mut dyn FnMut(u64)) -> Played {
    play_policy(strategy.model(), strategy, None, runs, seed, done)
}

/// Plays each fixed order of a problem as it stands.
pub fn play_orders(
    model: &SheetModel,
    runs: u64,
    seed: u64,
    done: &mut dyn FnMut(u64),
) -> Vec<Played> {
    let mut before = 0;
    let orders = named_orders(model).into_iter().map(|(name, sets)| {
        let ordered = in_order(model, &sets);
        let listed = AsListed::new(&ordered, &sets);
        let played = play_policy(&ordered, &listed, name, runs, seed, &mut |it| done(before + it));
        before += runs;
        played
    });
    orders.collect()
}

/// How often progress is told of.
const TOLD_EVERY: u64 = 1000;

fn play_policy(
    model: &SheetModel,
    policy: &impl Policy,
    name: Option<String>,
    runs: u64,
    seed: u64,
    done: &mut dyn FnMut(u64),
) -> Played {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let (mut sum, mut squares, mut met) = (0.0, 0.0, 0_u64);
    // The first value is subtracted from all, so that squares of large penalties lose nothing.
    let mut shift = None;
    for run in 0..runs {
        let (value, has_all) = play_once(model, policy, &mut random);
        let off = value - *shift.get_or_insert(value);
        sum += off;
        squares += off * off;
        met += u64::from(has_all);
        if (run + 1) % TOLD_EVERY == 0 {
            done(run + 1);
        }
    }
    let count = runs as f64;
    let variance = ((squares - sum * sum / count) / (count - 1.0)).max(0.0);
    let p = met as f64 / count;
    Played {
        name,
        runs,
        mean: shift.unwrap_or(0.0) + sum / count,
        standard_error: (variance / count).sqrt(),
        p_must_haves: p,
        p_must_haves_error: (p * (1.0 - p) / count).sqrt(),
    }
}

/// One evening: its value, and whether every must-have was made.
fn play_once(model: &SheetModel, policy: &impl Policy, random: &mut ChaCha8Rng) -> (f64, bool) {
    let space = &model.space;
    let slots = model.problem().slots;
    let start = beginning(model);
    let mut cell = drawn(random, start.iter().copied().enumerate());
    let (mut slot, mut progress, mut last) = (0, Progress::default(), model.nothing_yet());
    let mut value = 0.0;
    while slot < slots {
        match Action::from_code(policy.actions(slot, progress, last)[cell]) {
            Action::Finish => break,
            Action::Wait => {
                cell = after_rain(model, random, slot, cell);
                slot += 1;
            }
            Action::Make { set, form } => {
                let form = form.index();
                let spec = &model.sets[set];
                let run = model.run(last, set, form);
                if let Some(cloth) = &model.approaches[last][set].cloth {
                    cell = cell - cell % space.cloths + cloth[cell % space.cloths];
                }
                for (k, step) in run.steps.iter().enumerate() {
                    value += spec.forms[form].worth * run.light[slot][k] * spec.quality[cell];
                    let class = cell / space.class_cells();
                    let (hair, cloth) =
                        (cell % space.class_cells() / space.cloths, cell % space.cloths);
                    let ways = wet_ways(space, step.wets[class].as_ref(), hair, cloth);
                    let ways = ways.into_iter();
                    let ways = ways.map(|(hair, cloth, p)| (space.cell(class, hair, cloth), p));
                    cell = drawn(random, ways);
                    cell = after_rain(model, random, slot + k, cell);
                }
                progress = model.after(progress, set, form);
                last = set;
                slot += run.steps.len();
            }
        }
    }
    (value + model.finish_value(progress), model.need_met(progress, Need::MustHave))
}

fn after_rain(model: &SheetModel, random: &mut ChaCha8Rng, slot: usize, cell: usize) -> usize {
    let size = model.space.class_cells();
    let row = model.rain_step(slot)[cell / size];
    drawn(random, row.into_iter().enumerate()) * size + cell % size
}

/// One of these, by its chance; the last that can be where rounding leaves a crumb.
fn drawn(random: &mut ChaCha8Rng, ways: impl Iterator<Item = (usize, f64)>) -> usize {
    let mut left: f64 = random.random();
    let mut last = 0;
    for (way, p) in ways.filter(|(_, p)| *p > 0.0) {
        last = way;
        left -= p;
        if left < 0.0 {
            break;
        }
    }
    last
}
