//! What to do in every state, and how to ask it.

use crate::action::{Action, FormKind};
use crate::course::Policy;
use crate::graph::Graph;
use crate::model::SheetModel;
use crate::progress::Progress;

/// What to do in each state of an evening.
#[derive(Debug, Clone)]
pub struct Strategy {
    model: SheetModel,
    graph: Graph,
    actions: Vec<u8>,
}

/// Where an evening stands, as a person on the spot can say it.
#[derive(Debug, Clone, PartialEq)]
pub struct FieldState {
    /// The slot that begins now.
    pub slot: usize,
    /// Sets made so far with their forms, in the order they were made.
    pub made: Vec<(usize, FormKind)>,
    /// The class of rain now: 0 dry, 1 drizzle, 2 rain, 3 heavy.
    pub rain_class: usize,
    /// Water taken by the hair, g/m².
    pub hair_dose_g_m2: f64,
    /// Water taken by each look, g/m²; what was not worn is dry.
    pub look_doses_g_m2: Vec<f64>,
}

impl Strategy {
    pub(crate) fn new(model: SheetModel, graph: Graph, actions: Vec<u8>) -> Self {
        Strategy { model, graph, actions }
    }

    /// The evening that it is for.
    pub fn model(&self) -> &SheetModel {
        &self.model
    }

    /// How many states it knows.
    pub fn states(&self) -> usize {
        self.graph.cells
    }

    pub(crate) fn graph(&self) -> &Graph {
        &self.graph
    }

    /// The actions of all states, block by block.
    pub(crate) fn codes(&self) -> &[u8] {
        &self.actions
    }

    /// What to do on arrival, by the class of rain then.
    pub fn first(&self, rain_class: usize) -> Action {
        let hair = self.model.hair.nearest(self.model.problem().start.hair_dose_g_m2);
        let cell = self.model.space.cell(rain_class, hair, 0);
        Action::from_code(self.actions[cell])
    }

    /// What to do where an evening stands; `None` where the plan cannot have led: a set made earlier
    /// than it can be, in an order that was ruled out, or a slot or class that does not exist.
    ///
    /// Doses go by the nearest level, of two equally near the wetter.
    pub fn action(&self, state: &FieldState) -> Option<Action> {
        let (model, space) = (&self.model, &self.model.space);
        let mut progress = Progress::default();
        let mut last = model.nothing_yet();
        for (set, form) in &state.made {
            let exists = model.sets.get(*set).is_some_and(|set| form.index() < set.forms.len());
            if !exists || progress.has(*set) {
                return None;
            }
            progress = model.after(progress, *set, form.index());
            last = *set;
        }
        let dose = |look: usize| state.look_doses_g_m2.get(look).copied().unwrap_or(0.0);
        let wetness = |look: usize| model.cloth[look].nearest(dose(look));
        let worn = model.look_after(last);
        let off = space
            .kept_looks
            .iter()
            .map(|look| if worn == Some(*look) { 0 } else { wetness(*look) });
        let digits: Vec<usize> = std::iter::once(worn.map_or(0, wetness)).chain(off).collect();
        let cloth = digits.iter().rev().fold(0, |cloth, digit| cloth * space.cloth_levels + digit);
        let hair = model.hair.nearest(state.hair_dose_g_m2);
        if state.rain_class >= crate::problem::RAIN_CLASSES {
            return None;
        }
        let actions = self.block(state.slot, progress, last)?;
        Some(Action::from_code(actions[space.cell(state.rain_class, hair, cloth)]))
    }

    /// The actions of all cells of a slot.
    fn block(&self, slot: usize, progress: Progress, last: usize) -> Option<&[u8]> {
        let made = progress.made.count_ones() as usize;
        let layer = self.graph.layers.get(made)?;
        let block = layer.node(progress)?.block(last)?;
        if !(block.first_slot..self.model.problem().slots).contains(&slot) {
            return None;
        }
        let cells = self.model.space.cells();
        let at = layer.first_cell + block.at + (slot - block.first_slot) * cells;
        Some(&self.actions[at..at + cells])
    }
}

impl Policy for Strategy {
    fn actions(&self, slot: usize, progress: Progress, last: usize) -> Vec<u8> {
        let block = self.block(slot, progress, last);
        block.expect("a strategy leads to states that it knows").to_vec()
    }
}
