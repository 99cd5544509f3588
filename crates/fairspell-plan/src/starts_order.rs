//! The best order of looks and spots within a half day: dynamic programming over what is left.

use crate::starts::StartQuestion;
use crate::starts_day::{Table, slots_of};

/// What five minutes on the road cost, in looks.
const ROAD_COST: f64 = 0.02;
/// What five minutes of waiting cost, in looks.
const WAIT_COST: f64 = 0.03;

/// A look in the answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Placed {
    pub(crate) look: usize,
    pub(crate) spot: usize,
    pub(crate) slot: usize,
    pub(crate) slots: usize,
}

/// The best that can be made of a half day.
#[derive(Debug, Clone)]
pub(crate) struct Made {
    pub(crate) looks: Vec<Placed>,
    /// Sum of scores less road and waiting: what was maximised.
    pub(crate) value: f64,
}

/// What to do next.
#[derive(Debug, Clone, Copy)]
enum Step {
    Wait,
    Make(Placed),
}

/// The best order, spots and start; `None` where no session holds all looks.
pub(crate) fn best(table: &Table<'_>, question: &StartQuestion<'_>) -> Option<Made> {
    let search = Search::new(table, question);
    let (mut value, mut first) = (f64::NEG_INFINITY, None);
    for slot in 0..table.slots {
        for (look, spot) in search.choices(0) {
            let made = search.make(slot, 0, None, look, spot);
            if let Some((worth, placed)) = made.filter(|made| made.0 > value + TIE) {
                (value, first) = (worth, Some(placed));
            }
        }
    }
    let mut placed = first?;
    let mut looks = vec![placed];
    let mut made = 1_usize << placed.look;
    let mut slot = placed.slot + placed.slots;
    while made != search.all {
        match search.steps[search.index(slot, made, placed.spot)]? {
            Step::Wait => slot += 1,
            Step::Make(next) => {
                placed = next;
                made |= 1 << next.look;
                slot = next.slot + next.slots;
                looks.push(next);
            }
        }
    }
    Some(Made { looks, value })
}

/// Two values closer than this are one: the earlier start stands.
const TIE: f64 = 1e-9;

struct Search<'a, 'b> {
    table: &'a Table<'b>,
    /// Slots of each look.
    slots: Vec<usize>,
    change: usize,
    in_order: bool,
    /// Bits of all looks.
    all: usize,
    /// By slot, looks made and spot: the value of the best way on, and its first step.
    values: Vec<f64>,
    steps: Vec<Option<Step>>,
}

impl<'a, 'b> Search<'a, 'b> {
    fn new(table: &'a Table<'b>, question: &StartQuestion<'_>) -> Self {
        let looks = question.looks.len();
        let states = (table.slots + 1) * (1 << looks) * table.spots.len();
        let mut search = Search {
            table,
            slots: question.looks.iter().map(|look| slots_of(f64::from(look.minutes))).collect(),
            change: slots_of(f64::from(question.change_min)),
            in_order: question.in_order,
            all: (1 << looks) - 1,
            values: vec![f64::NEG_INFINITY; states],
            steps: vec![None; states],
        };
        for slot in (0..=table.slots).rev() {
            for made in (1..=search.all).rev() {
                for spot in 0..table.spots.len() {
                    search.solve(slot, made, spot);
                }
            }
        }
        search
    }

    fn index(&self, slot: usize, made: usize, spot: usize) -> usize {
        (slot * (self.all + 1) + made) * self.table.spots.len() + spot
    }

    /// Looks that may come next, at every spot.
    fn choices(&self, made: usize) -> impl Iterator<Item = (usize, usize)> {
        let (spots, in_order) = (self.table.spots.len(), self.in_order);
        let looks = self.slots.len();
        let is_next = move |look: &usize| {
            let is_left = made & (1 << look) == 0;
            is_left && (!in_order || *look == made.count_ones() as usize)
        };
        (0..looks).filter(is_next).flat_map(move |look| (0..spots).map(move |spot| (look, spot)))
    }

    fn solve(&mut self, slot: usize, made: usize, spot: usize) {
        let index = self.index(slot, made, spot);
        if made == self.all {
            self.values[index] = 0.0;
            return;
        }
        let (mut value, mut step) = (f64::NEG_INFINITY, None);
        for (look, next) in self.choices(made) {
            let found = self.make(slot, made, Some(spot), look, next);
            if let Some((worth, placed)) = found.filter(|found| found.0 > value + TIE) {
                (value, step) = (worth, Some(Step::Make(placed)));
            }
        }
        if slot < self.table.slots {
            let waited = self.values[self.index(slot + 1, made, spot)] - WAIT_COST;
            if waited > value + TIE {
                (value, step) = (waited, Some(Step::Wait));
            }
        }
        self.values[index] = value;
        self.steps[index] = step;
    }

    /// What it is worth to make a look next, and when it then is made.
    ///
    /// - `at`: the spot she stands at; `None` before the first look.
    fn make(
        &self,
        slot: usize,
        made: usize,
        at: Option<usize>,
        look: usize,
        spot: usize,
    ) -> Option<(f64, Placed)> {
        let road = at.map_or(0, |at| self.table.road(at, spot));
        let begins = slot + road + at.map_or(0, |_| self.change);
        let slots = self.slots[look];
        let granted = self.table.grants(look, spot, begins, begins + slots)?;
        let rest = self.values[self.index(begins + slots, made | (1 << look), spot)];
        let value = granted - ROAD_COST * road as f64 + rest;
        value.is_finite().then_some((value, Placed { look, spot, slot: begins, slots }))
    }
}

#[cfg(test)]
mod tests {
    use std::cell::Cell;

    use super::*;

    /// What every order, spot and minute of three looks is worth, one after another.
    fn tried(table: &Table<'_>, question: &StartQuestion<'_>) -> f64 {
        let search = Search::new(table, question);
        let mut most = f64::NEG_INFINITY;
        let orders = [[0, 1, 2], [0, 2, 1], [1, 0, 2], [1, 2, 0], [2, 0, 1], [2, 1, 0]];
        let spots = table.spots.len();
        for order in orders.iter().filter(|order| !question.in_order || **order == [0, 1, 2]) {
            for choice in 0..spots.pow(3) {
                let at = [choice % spots, choice / spots % spots, choice / spots / spots];
                for first in 0..table.slots {
                    let mut reach = vec![(0_usize, first, 0.0)];
                    while let Some((count, slot, value)) = reach.pop() {
                        if count == 3 {
                            most = most.max(value);
                            continue;
                        }
                        let road =
                            if count == 0 { 0 } else { table.road(at[count - 1], at[count]) };
                        let change = if count == 0 { 0 } else { search.change };
                        let most_wait = if count == 0 { 0 } else { table.slots };
                        for wait in 0..=most_wait {
                            let begins = slot + wait + road + change;
                            let ends = begins + search.slots[order[count]];
                            let Some(granted) = table.grants(order[count], at[count], begins, ends)
                            else {
                                continue;
                            };
                            let cost = ROAD_COST * road as f64 + WAIT_COST * wait as f64;
                            reach.push((count + 1, ends, value + granted - cost));
                        }
                    }
                }
            }
        }
        most
    }

    #[test]
    fn the_clever_way_finds_what_trying_everything_finds() {
        let (found, none) = (Cell::new(0), Cell::new(0));
        crate::starts_world::each_case(|table, question| {
            let made = best(table, question).map(|made| made.value);
            let tried = tried(table, question);
            if let Some(value) = made {
                assert!((value - tried).abs() < 1e-9, "{value} {tried}");
                found.set(found.get() + 1);
            } else {
                assert!(tried.is_infinite(), "{tried}");
                none.set(none.get() + 1);
            }
        });
        assert!(found.get() >= 5 && none.get() >= 1, "{} found, {} none", found.get(), none.get());
    }
}
