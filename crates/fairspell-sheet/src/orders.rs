//! What an order decided beforehand would get.

use crate::action::{Action, FormKind};
use crate::course::{Course, Policy, course};
use crate::graph::graph;
use crate::model::SheetModel;
use crate::progress::Progress;
use crate::solve::{SheetBudget, induced};

/// What a fixed order leads to.
#[derive(Debug, Clone, PartialEq)]
pub struct OrderCourse {
    /// Its name; `None`: the order in which the problem lists its sets.
    pub name: Option<String>,
    /// Its sets, by their places in the problem.
    pub sets: Vec<usize>,
    /// Made as it stands: each set in full where it is open, else short, else left out; when nothing
    /// of the rest is open, one waits.
    pub as_listed: Course,
    /// The same order with the best waits, forms and omissions; `None`: more states than allowed.
    pub at_best: Option<Course>,
}

/// What each fixed order of a problem leads to; the order of its sets where it names none.
pub fn fixed_orders(model: &SheetModel, budget: SheetBudget) -> Vec<OrderCourse> {
    named_orders(model)
        .into_iter()
        .map(|(name, sets)| order_course(model, name, sets, budget))
        .collect()
}

/// The fixed orders of a problem.
pub(crate) fn named_orders(model: &SheetModel) -> Vec<(Option<String>, Vec<usize>)> {
    let problem = model.problem();
    let place = |name: &String| problem.sets.iter().position(|set| set.name == *name);
    let orders = problem
        .orders
        .iter()
        .map(|order| (Some(order.name.clone()), order.sets.iter().filter_map(place).collect()));
    let orders: Vec<_> = orders.collect();
    if orders.is_empty() { vec![(None, (0..problem.sets.len()).collect())] } else { orders }
}

fn order_course(
    model: &SheetModel,
    name: Option<String>,
    sets: Vec<usize>,
    budget: SheetBudget,
) -> OrderCourse {
    let ordered = in_order(model, &sets);
    let as_listed = course(&ordered, &AsListed::new(&ordered, &sets));
    OrderCourse { name, as_listed, at_best: best_in_order(ordered, budget), sets }
}

/// The best course in which sets are made in an order; `None`: more states than allowed.
pub(crate) fn best_in_order(ordered: SheetModel, budget: SheetBudget) -> Option<Course> {
    let graph = graph(&ordered, budget.states_max).ok()?;
    let strategy = induced(ordered, graph);
    Some(course(strategy.model(), &strategy))
}

/// The same evening, where sets may only be made in this order.
pub(crate) fn in_order(model: &SheetModel, sets: &[usize]) -> SheetModel {
    let place = |set| sets.iter().position(|it| *it == set);
    let mut ordered = model.clone();
    ordered.order = Some((0..model.sets.len()).map(place).collect());
    ordered
}

/// An order made as it stands.
pub(crate) struct AsListed<'a> {
    model: &'a SheetModel,
    sets: &'a [usize],
}

impl<'a> AsListed<'a> {
    pub(crate) fn new(model: &'a SheetModel, sets: &'a [usize]) -> Self {
        AsListed { model, sets }
    }

    fn next(&self, slot: usize, progress: Progress, last: usize, cell: usize) -> Action {
        let model = self.model;
        let cloths = model.space.cloths;
        let mut later = false;
        for &set in self.sets {
            if !model.may_make(progress, last, set) {
                continue;
            }
            let approach = &model.approaches[last][set];
            let there = approach
                .cloth
                .as_ref()
                .map_or(cell, |cloth| cell - cell % cloths + cloth[cell % cloths]);
            for form in 0..model.sets[set].forms.len() {
                let open = &model.run(last, set, form).open;
                if open[slot] && model.sets[set].quality[there] > 0.0 {
                    let form = if form == 0 { FormKind::Full } else { FormKind::Short };
                    return Action::Make { set, form };
                }
                later |= open[slot..].contains(&true);
            }
        }
        if later { Action::Wait } else { Action::Finish }
    }
}

impl Policy for AsListed<'_> {
    fn actions(&self, slot: usize, progress: Progress, last: usize) -> Vec<u8> {
        let cells = 0..self.model.space.cells();
        cells.map(|cell| self.next(slot, progress, last, cell).code()).collect()
    }
}
