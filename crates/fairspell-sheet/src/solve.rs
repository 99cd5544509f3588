//! Backward induction: from the end of the evening to its beginning, from many sets made to none.
//!
//! Layers of equally many sets made are solved one after another, the last first, since a set leads
//! into the next layer; within one, what has been made is solved on all threads. Only the values of
//! two layers are kept at a time, and a byte for each state's action.

use rayon::prelude::*;

use crate::action::{Action, FormKind};
use crate::bound::{Bound, upper_bound};
use crate::course::{Course, course};
use crate::error::SheetError;
use crate::graph::{Graph, Layer, Node, graph};
use crate::kernel::{Narrow, mixed, narrow, worked};
use crate::model::{Run, SheetModel};
use crate::part::best_part;
use crate::strategy::Strategy;

/// How much may be kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SheetBudget {
    /// States at most; each takes a byte, and those of two layers four more.
    pub states_max: usize,
}

/// Twelve sets of a two-hour evening, whatever their minutes, with room to spare.
impl Default for SheetBudget {
    fn default() -> Self {
        SheetBudget { states_max: 64_000_000 }
    }
}

/// An evening solved.
#[derive(Debug)]
pub struct Solved {
    /// What to do in each state.
    pub strategy: Strategy,
    /// What it leads to.
    pub course: Course,
    /// No strategy is worth more than this; `None`: none is worth more than the course's value.
    pub bound: Option<Bound>,
}

/// Waiting must be worth more than this share of what is at stake before it is advised: less is
/// rounding, and nobody should stand in the rain for it.
const WAIT_MARGIN: f64 = 1e-6;

/// Solves an evening.
///
/// The answer is exact where its reachable states fit the budget: the value is the best of all
/// strategies, up to the rounding of single precision. Where they don't, the best part of the sets
/// that fits is solved instead, and [`Solved::bound`] says how much better another strategy could
/// at most be.
///
/// # Errors
///
/// [`SheetError::TooLarge`] where not even one set fits the budget.
///
/// # Examples
///
/// ```
/// use fairspell_sheet::{Action, FormKind, SheetBudget, SheetModel, SheetProblem, solve};
///
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// // A shower is coming: the satin that marks for good goes before the denim.
/// let problem: SheetProblem = serde_json::from_str(include_str!("../tests/fixtures/shower.json"))?;
/// let solved = solve(&SheetModel::new(&problem)?, SheetBudget::default())?;
/// assert_eq!(solved.strategy.first(0), Action::Make { set: 1, form: FormKind::Full });
/// assert_eq!(problem.sets[1].name, "satin on the steps");
/// # Ok(())
/// # }
/// ```
pub fn solve(model: &SheetModel, budget: SheetBudget) -> Result<Solved, SheetError> {
    let (strategy, bound) = if let Ok(graph) = graph(model, budget.states_max) {
        (induced(model.clone(), graph), None)
    } else {
        let relaxed = upper_bound(model);
        (best_part(model, &relaxed, budget)?, Some(relaxed.bound))
    };
    let course = course(strategy.model(), &strategy);
    Ok(Solved { strategy, course, bound })
}

/// The strategy of a model with its states.
pub(crate) fn induced(model: SheetModel, graph: Graph) -> Strategy {
    let narrowed = Narrow::new(&model);
    let mut actions = vec![Action::Finish.code(); graph.cells];
    let mut ahead: Option<(&Layer, Vec<f32>)> = None;
    for layer in graph.layers.iter().rev() {
        let mut values = vec![0.0_f32; layer.cells];
        let actions = &mut actions[layer.first_cell..layer.first_cell + layer.cells];
        let next = ahead.as_ref().map(|(layer, values)| (*layer, values.as_slice()));
        // Runs of nodes, so that two threads seldom wait and none is handed crumbs.
        let work = split(layer, model.problem().slots * model.space.cells(), &mut values, actions);
        work.into_par_iter().for_each(|(node, values, actions)| {
            let at = node.blocks.first().map_or(0, |block| block.at);
            NodeSolver { model: &model, narrowed: &narrowed, node, next, at }
                .solve(values, actions);
        });
        ahead = Some((layer, values));
    }
    Strategy::new(model, graph, actions)
}

/// Each node with its own values and actions.
fn split<'a>(
    layer: &'a Layer,
    evening_cells: usize,
    mut values: &'a mut [f32],
    mut actions: &'a mut [u8],
) -> Vec<(&'a Node, &'a mut [f32], &'a mut [u8])> {
    let mut work = Vec::with_capacity(layer.nodes.len());
    for (index, node) in layer.nodes.iter().enumerate() {
        let at = |node: &Node| node.blocks.first().map(|block| block.at);
        let end = layer.nodes.get(index + 1).and_then(at).unwrap_or(layer.cells);
        let size = end - at(node).expect("a node is reached by something");
        debug_assert!(size <= node.blocks.len() * evening_cells);
        let (own_values, later_values) = values.split_at_mut(size);
        let (own_actions, later_actions) = actions.split_at_mut(size);
        work.push((node, own_values, own_actions));
        (values, actions) = (later_values, later_actions);
    }
    work
}

/// Solves the states with the same sets made.
struct NodeSolver<'a> {
    model: &'a SheetModel,
    narrowed: &'a Narrow,
    node: &'a Node,
    next: Option<(&'a Layer, &'a [f32])>,
    /// Where the node's first state stands in its layer.
    at: usize,
}

/// A set that can be made next, with those of the node's blocks that get there the same way.
struct Move<'a> {
    code: u8,
    set: usize,
    worth: f64,
    run: &'a Run,
    /// Values of the block it leads to, and the slot that they begin with.
    after: Option<(&'a [f32], usize)>,
    finish: f32,
    takers: Vec<(usize, Option<&'a [usize]>)>,
}

impl NodeSolver<'_> {
    fn solve(&self, values: &mut [f32], actions: &mut [u8]) {
        let (model, space) = (self.model, &self.model.space);
        let (cells, slots) = (space.cells(), model.problem().slots);
        let finish = narrow(model.finish_value(self.node.progress));
        let margin = narrow(WAIT_MARGIN * self.at_stake());
        let moves = self.moves();
        let mut scratch = Scratch::new(cells);
        let first = self.node.blocks.iter().map(|block| block.first_slot).min().unwrap_or(slots);
        values.fill(finish);
        for slot in (first..slots).rev() {
            for it in moves.iter().filter(|it| it.run.open[slot]) {
                let is_there =
                    |(block, _): &&(usize, _)| self.node.blocks[*block].first_slot <= slot;
                if !it.takers.iter().any(|taker| is_there(&taker)) {
                    continue;
                }
                self.gain(it, slot, &mut scratch);
                for (block, cloth) in it.takers.iter().filter(is_there) {
                    let at = self.cells_at(*block, slot);
                    let (values, actions) =
                        (&mut values[at..at + cells], &mut actions[at..at + cells]);
                    take(space.cloths, it.code, &scratch.gain, *cloth, values, actions);
                }
            }
            if slot + 1 == slots {
                continue;
            }
            for block in 0..self.node.blocks.len() {
                if self.node.blocks[block].first_slot > slot {
                    continue;
                }
                let at = self.cells_at(block, slot);
                let (now, later) = values[at..].split_at_mut(cells);
                mixed(space, &self.narrowed.rain[slot], &later[..cells], &mut scratch.waited);
                let now = now.iter_mut().zip(&mut actions[at..at + cells]);
                for ((value, action), waited) in now.zip(&scratch.waited) {
                    if *waited > *value + margin {
                        (*value, *action) = (*waited, Action::Wait.code());
                    }
                }
            }
        }
    }

    /// What is at stake in an evening: all worth and all penalties.
    fn at_stake(&self) -> f64 {
        let worth: f64 = self.model.problem().sets.iter().map(|set| set.worth).sum();
        worth - self.model.finish_value(crate::progress::Progress::default())
    }

    fn cells_at(&self, block: usize, slot: usize) -> usize {
        let block = &self.node.blocks[block];
        block.at - self.at + (slot - block.first_slot) * self.model.space.cells()
    }

    fn moves(&self) -> Vec<Move<'_>> {
        let (model, progress) = (self.model, self.node.progress);
        let mut moves: Vec<Move<'_>> = Vec::new();
        for set in 0..model.sets.len() {
            let blocks = self.node.blocks.iter().enumerate();
            let able = blocks.filter(|(_, block)| model.may_make(progress, block.last, set));
            let able: Vec<(usize, usize)> = able.map(|(at, block)| (at, block.last)).collect();
            for (form, spec) in model.sets[set].forms.iter().enumerate() {
                let kind = if form == 0 { FormKind::Full } else { FormKind::Short };
                let after = model.after(progress, set, form);
                let ahead = self.next.and_then(|(layer, values)| {
                    let block = layer.node(after)?.block(set)?;
                    Some((&values[block.at..], block.first_slot))
                });
                for (run, run_spec) in spec.runs.iter().enumerate() {
                    let comes = |last: usize| model.approaches[last][set].run == run;
                    let takers = able.iter().filter(|(_, last)| comes(*last));
                    let takers = takers.map(|(block, last)| {
                        (*block, model.approaches[*last][set].cloth.as_deref())
                    });
                    let takers: Vec<_> = takers.collect();
                    if !takers.is_empty() {
                        moves.push(Move {
                            code: Action::Make { set, form: kind }.code(),
                            set,
                            worth: spec.worth,
                            run: run_spec,
                            after: ahead,
                            finish: narrow(model.finish_value(after)),
                            takers,
                        });
                    }
                }
            }
        }
        moves
    }

    /// What beginning a move in a slot is worth, outfit changed, by cell; closed cells are worth
    /// less than anything.
    fn gain(&self, it: &Move<'_>, slot: usize, scratch: &mut Scratch) {
        let space = &self.model.space;
        let cells = space.cells();
        let steps = it.run.steps.len();
        let end = slot + steps;
        match it.after {
            Some((values, first)) if end < self.model.problem().slots => {
                let at = (end - first) * cells;
                scratch.gain.copy_from_slice(&values[at..at + cells]);
            }
            _ => scratch.gain.fill(it.finish),
        }
        let quality = &self.narrowed.quality[it.set];
        for k in (0..steps).rev() {
            let reward = narrow(it.worth * it.run.light[slot][k]);
            mixed(space, &self.narrowed.rain[slot + k], &scratch.gain, &mut scratch.mixed);
            worked(space, &it.run.steps[k], reward, quality, &scratch.mixed, &mut scratch.gain);
        }
        for (gain, quality) in scratch.gain.iter_mut().zip(quality) {
            if *quality == 0.0 {
                *gain = f32::NEG_INFINITY;
            }
        }
    }
}

struct Scratch {
    gain: Vec<f32>,
    mixed: Vec<f32>,
    waited: Vec<f32>,
}

impl Scratch {
    fn new(cells: usize) -> Self {
        Scratch { gain: vec![0.0; cells], mixed: vec![0.0; cells], waited: vec![0.0; cells] }
    }
}

/// Takes an action wherever it is worth more than what was best so far.
fn take(
    cloths: usize,
    code: u8,
    gain: &[f32],
    cloth: Option<&[usize]>,
    values: &mut [f32],
    actions: &mut [u8],
) {
    match cloth {
        None => {
            for ((value, action), gain) in values.iter_mut().zip(actions).zip(gain) {
                if *gain > *value {
                    (*value, *action) = (*gain, code);
                }
            }
        }
        Some(cloth) => {
            let rows = values.chunks_exact_mut(cloths).zip(actions.chunks_exact_mut(cloths));
            for ((values, actions), gain) in rows.zip(gain.chunks_exact(cloths)) {
                for ((value, action), cloth) in values.iter_mut().zip(actions).zip(cloth) {
                    if gain[*cloth] > *value {
                        (*value, *action) = (gain[*cloth], code);
                    }
                }
            }
        }
    }
}
