//! Which states can be reached: what has been made, what was made last, and from which slot on.
//!
//! A [`Block`] holds the cells (rain, hair, wetness) of all slots from the first in which it can be
//! reached; earlier ones are not kept. Nothing is kept either for what can only be reached at the
//! very end, where all that is left is to finish.

use std::collections::{BTreeMap, HashMap};

use crate::model::SheetModel;
use crate::progress::Progress;

/// All states of an evening, in layers of equally many sets made.
#[derive(Debug, Clone)]
pub(crate) struct Graph {
    pub(crate) layers: Vec<Layer>,
    /// States in all.
    pub(crate) cells: usize,
}

/// States with equally many sets made.
#[derive(Debug, Clone)]
pub(crate) struct Layer {
    pub(crate) nodes: Vec<Node>,
    pub(crate) index: HashMap<Progress, usize>,
    /// States of this layer.
    pub(crate) cells: usize,
    /// Where its first state stands among those of all layers.
    pub(crate) first_cell: usize,
}

/// States with the same sets made.
#[derive(Debug, Clone)]
pub(crate) struct Node {
    pub(crate) progress: Progress,
    pub(crate) blocks: Vec<Block>,
}

/// States with the same sets made and the same one last.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Block {
    pub(crate) last: usize,
    /// The first slot in which it can be reached.
    pub(crate) first_slot: usize,
    /// Where its first state stands in its layer.
    pub(crate) at: usize,
}

impl Node {
    pub(crate) fn block(&self, last: usize) -> Option<&Block> {
        self.blocks.iter().find(|block| block.last == last)
    }
}

impl Layer {
    pub(crate) fn node(&self, progress: Progress) -> Option<&Node> {
        self.index.get(&progress).map(|node| &self.nodes[*node])
    }
}

/// There are more states than were allowed: at least so many.
#[derive(Debug, Clone, Copy)]
pub(crate) struct TooMany(pub(crate) usize);

/// Finds all states that can be reached.
pub(crate) fn graph(model: &SheetModel, cells_max: usize) -> Result<Graph, TooMany> {
    let slots = model.problem().slots;
    let mut graph = Graph { layers: Vec::new(), cells: 0 };
    let mut reached =
        BTreeMap::from([(Progress::default(), BTreeMap::from([(model.nothing_yet(), 0)]))]);
    while !reached.is_empty() {
        let mut next: BTreeMap<Progress, BTreeMap<usize, usize>> = BTreeMap::new();
        let mut layer = Layer {
            nodes: Vec::with_capacity(reached.len()),
            index: HashMap::new(),
            cells: 0,
            first_cell: graph.cells,
        };
        let mut ahead_cells = 0;
        for (progress, lasts) in reached {
            let mut blocks = Vec::with_capacity(lasts.len());
            for (last, first_slot) in lasts {
                blocks.push(Block { last, first_slot, at: layer.cells });
                layer.cells += (slots - first_slot) * model.space.cells();
                for (after, set, slot) in arrivals(model, progress, last, first_slot) {
                    let sets = next.entry(after).or_default();
                    let known = sets.entry(set).or_insert_with(|| {
                        ahead_cells += (slots - slot) * model.space.cells();
                        slot
                    });
                    *known = slot.min(*known);
                }
                let so_far = graph.cells + layer.cells + ahead_cells;
                if so_far > cells_max {
                    return Err(TooMany(so_far));
                }
            }
            layer.index.insert(progress, layer.nodes.len());
            layer.nodes.push(Node { progress, blocks });
        }
        graph.cells += layer.cells;
        graph.layers.push(layer);
        reached = next;
    }
    Ok(graph)
}

/// What can be made next, and the earliest slot after it, the end of the evening left out.
fn arrivals(
    model: &SheetModel,
    progress: Progress,
    last: usize,
    first_slot: usize,
) -> Vec<(Progress, usize, usize)> {
    let slots = model.problem().slots;
    let mut arrivals = Vec::new();
    for set in (0..model.sets.len()).filter(|set| model.may_make(progress, last, *set)) {
        for form in 0..model.sets[set].forms.len() {
            let run = model.run(last, set, form);
            let begin = (first_slot..slots).find(|slot| run.open[*slot]);
            let arrival = begin.map(|slot| slot + run.steps.len()).filter(|slot| *slot < slots);
            arrivals.extend(arrival.map(|slot| (model.after(progress, set, form), set, slot)));
        }
    }
    arrivals
}
