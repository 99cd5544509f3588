//! A plan under a further rule from one without it: a session takes another evening, and whoever
//! had that evening a free one. Seldom the cheapest such plan, but at once, and never far off.

use crate::{
    moves_model::{Model, NOBODY, Units},
    moves_price::Rule,
};

/// The cheapest plan that such an exchange leads to, with its value.
pub(crate) fn repaired(model: &Model, at: &[usize], rule: Rule) -> Option<(Units, Vec<usize>)> {
    let mut exchange = Exchange::new(model, at);
    let s = rule.session();
    match rule {
        // Two more may have to change: the one that had the evening, and the one whose it takes.
        Rule::Only(_, e) => {
            let holder = exchange.who[e];
            exchange.set(s, e);
            if holder == NOBODY {
                exchange.consider();
            } else {
                exchange.give(holder, |f| f != e);
            }
        }
        _ => exchange.give(s, |e| rule.allows(model, e)),
    }
    exchange.best
}

struct Exchange<'a> {
    model: &'a Model,
    at: Vec<usize>,
    who: Vec<usize>,
    value: Units,
    /// How many each limit of the tree and each priced limit counts, and how many are broken.
    used: Vec<usize>,
    counts: Vec<usize>,
    broken: usize,
    best: Option<(Units, Vec<usize>)>,
}

impl<'a> Exchange<'a> {
    fn new(model: &'a Model, at: &[usize]) -> Self {
        let mut exchange = Exchange {
            model,
            at: at.to_vec(),
            who: vec![NOBODY; model.evenings],
            value: model.value(at),
            used: vec![0; model.tree.len()],
            counts: vec![0; model.priced.len()],
            broken: 0,
            best: None,
        };
        for (s, &e) in at.iter().enumerate().filter(|(_, e)| **e < model.evenings) {
            exchange.who[e] = s;
            exchange.count(s, e, true);
        }
        exchange
    }

    /// Moves a session; whoever is where it goes has to go next.
    fn set(&mut self, s: usize, e: usize) {
        let old = std::mem::replace(&mut self.at[s], e);
        self.value += self.model.of(s, e) - self.model.of(s, old);
        if old < self.model.evenings {
            self.count(s, old, false);
            if self.who[old] == s {
                self.who[old] = NOBODY;
            }
        }
        if e < self.model.evenings {
            self.count(s, e, true);
            self.who[e] = s;
        }
    }

    /// A session more or fewer in the limits of an evening.
    fn count(&mut self, s: usize, e: usize, is_more: bool) {
        let model = self.model;
        let mut count = |count: &mut usize, at_most: usize| {
            let before = *count;
            *count = if is_more { before + 1 } else { before - 1 };
            match (before > at_most, *count > at_most) {
                (false, true) => self.broken += 1,
                (true, false) => self.broken -= 1,
                _ => {}
            }
        };
        let mut node = model.parents[e];
        while let Some(limit) = model.tree.get(node - model.evenings) {
            count(&mut self.used[node - model.evenings], limit.at_most);
            node = model.parents[node];
        }
        for &k in model.priced_at[e].iter().filter(|k| model.priced[**k].has(s, e)) {
            count(&mut self.counts[k], model.priced[k].at_most);
        }
    }

    /// Tries every evening for a session; if somebody has it, every free one for them.
    fn give(&mut self, s: usize, is_allowed: impl Fn(usize) -> bool) {
        let (model, m, held) = (self.model, self.model.evenings, self.at[s]);
        let held_by = self.who.get(held).copied();
        for e in (0..=m).filter(|&e| is_allowed(e) && model.may(s, e)) {
            match self.who.get(e).copied().filter(|t| *t != NOBODY) {
                None => {
                    self.set(s, e);
                    self.consider();
                }
                Some(t) => {
                    self.set(s, e);
                    for f in (0..=m).filter(|&f| model.may(t, f)) {
                        if f == m || self.who[f] == NOBODY {
                            self.set(t, f);
                            self.consider();
                        }
                    }
                    self.set(t, e);
                }
            }
            self.set(s, held);
            if let Some(held_by) = held_by {
                self.who[held] = held_by;
            }
        }
    }

    fn consider(&mut self) {
        let is_better = self.best.as_ref().is_none_or(|(least, _)| self.value < *least);
        if is_better && self.broken == 0 {
            self.best = Some((self.value, self.at.clone()));
        }
    }
}
