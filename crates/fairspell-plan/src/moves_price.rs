//! Prices for the limits that the flow cannot hold, the rules of a part of all plans, and the flow
//! that is cheapest with both.

use crate::{
    moves::MoveRule,
    moves_flow::{Costs, Flow, Scratch},
    moves_model::{COST, GRAIN, Model, NEVER, NOBODY, Units},
};

/// What holds in a part of all plans.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Rule {
    /// The session does not have this evening (the index after the last: must not stay).
    Not(usize, usize),
    /// The session has this evening.
    Only(usize, usize),
    /// The session is within a priced limit.
    Within(usize, usize),
    /// The session is out of a priced limit.
    Out(usize, usize),
}

impl Rule {
    pub(crate) fn session(self) -> usize {
        let (Rule::Not(s, _) | Rule::Only(s, _) | Rule::Within(s, _) | Rule::Out(s, _)) = self;
        s
    }

    /// Whether a plan keeps it.
    pub(crate) fn is_kept(self, model: &Model, at: &[usize]) -> bool {
        self.allows(model, at[self.session()])
    }

    /// Whether it leaves this evening to its session.
    pub(crate) fn allows(self, model: &Model, e: usize) -> bool {
        match self {
            Rule::Not(_, other) => e != other,
            Rule::Only(_, only) => e == only,
            Rule::Within(_, k) => model.priced[k].has_evening(e),
            Rule::Out(_, k) => !model.priced[k].has_evening(e),
        }
    }

    /// As a proof has it.
    pub(crate) fn told(self, model: &Model) -> Option<MoveRule> {
        let (session, k, within) = match self {
            Rule::Within(s, k) => (s, k, true),
            Rule::Out(s, k) => (s, k, false),
            Rule::Not(..) | Rule::Only(..) => return None,
        };
        Some(MoveRule { session, limit: model.priced[k].limit, within })
    }
}

/// Prices of limits, and the flow that is cheapest with them under some rules.
#[derive(Debug)]
pub(crate) struct Pricing<'a> {
    pub(crate) model: &'a Model,
    pub(crate) flow: Flow,
    /// The price of each priced limit.
    pub(crate) prices: Vec<Units>,
    /// How many each priced limit counts.
    pub(crate) counts: Vec<usize>,
    costs: Costs,
    scratch: Scratch,
    /// The cheapest plan that was met, with its value.
    pub(crate) met: Option<(Units, Vec<usize>)>,
    /// Whether ties no longer matter, as they would take too long.
    pub(crate) by_cost: bool,
    /// Whether any plan will do.
    pub(crate) any_plan: bool,
}

impl<'a> Pricing<'a> {
    pub(crate) fn new(model: &'a Model) -> Self {
        Pricing {
            model,
            flow: Flow::empty(model),
            prices: vec![0; model.priced.len()],
            counts: vec![0; model.priced.len()],
            costs: Costs { pairs: model.pairs.clone(), stays: model.stays.clone() },
            scratch: Scratch::new(model),
            met: None,
            by_cost: false,
            any_plan: false,
        }
    }

    /// From this bound on no plan is better than the one that was met.
    pub(crate) fn goal(&self) -> Units {
        let least = self.met.as_ref().map_or(self.model.dear, |(least, _)| *least);
        if self.any_plan && self.met.is_some() {
            return -NEVER / 2;
        }
        if self.by_cost { least.div_euclid(COST) * COST } else { least - GRAIN + 1 }
    }

    /// Whether no plan of this part is better than the one that was met.
    pub(crate) fn is_beaten(&self) -> bool {
        self.bound() >= self.goal()
    }

    /// Takes every session in.
    pub(crate) fn fill(&mut self) {
        for s in 0..self.model.sessions {
            self.add(s);
        }
        self.look();
    }

    /// Goes on from another flow, its prices and its rules. To be looked at or filled next.
    pub(crate) fn resume(&mut self, rules: &[Rule], prices: &[Units], flow: &Flow) {
        let model = self.model;
        self.costs.pairs.copy_from_slice(&model.pairs);
        self.costs.stays.copy_from_slice(&model.stays);
        self.prices.fill(0);
        for (k, &price) in prices.iter().enumerate() {
            self.recost(k, price);
        }
        for rule in rules {
            self.rule_out(*rule);
        }
        self.flow.clone_from(flow);
    }

    /// Lets a further rule hold.
    pub(crate) fn apply(&mut self, rule: Rule) {
        let s = rule.session();
        let holds_already = rule.allows(self.model, self.flow.at[s]);
        if !holds_already {
            self.remove(s);
        }
        self.rule_out(rule);
        if !holds_already {
            self.add(s);
        }
        self.look();
    }

    fn rule_out(&mut self, rule: Rule) {
        let (m, s) = (self.model.evenings, rule.session());
        for e in 0..m {
            if !rule.allows(self.model, e) {
                self.costs.pairs[s * m + e] = NEVER;
            }
        }
        if !rule.allows(self.model, m) {
            self.costs.stays[s] = self.model.none;
        }
    }

    /// Whether the rules so far leave a session evenings within a limit, and something else.
    pub(crate) fn is_open(&self, s: usize, k: usize) -> bool {
        let (model, m) = (self.model, self.model.evenings);
        let row = self.costs.row(s, m);
        let limit = &model.priced[k];
        let has_within = limit.evenings.iter().any(|&e| row[e] != NEVER);
        let may_stay = self.costs.stays[s] != model.none;
        let mut others = row.iter().enumerate();
        has_within && (may_stay || others.any(|(e, cost)| *cost != NEVER && !limit.has_evening(e)))
    }

    /// How much dearer a session's cheapest way to the other side of a limit is, by the prices of
    /// now.
    pub(crate) fn detour(&self, s: usize, k: usize) -> Units {
        let (row, y) = (self.costs.row(s, self.model.evenings), &self.flow.y);
        let limit = &self.model.priced[k];
        let way = |e: usize| if row[e] == NEVER { NEVER } else { row[e] + y[e] };
        let least = if limit.has_evening(self.flow.at[s]) {
            let others = (0..row.len()).filter(|e| !limit.has_evening(*e));
            others.map(way).fold(self.costs.stays[s], Units::min)
        } else {
            limit.evenings.iter().map(|e| way(*e)).fold(NEVER, Units::min)
        };
        least - self.flow.u[s]
    }

    fn add(&mut self, s: usize) {
        self.flow.add(self.model, &self.costs, &mut self.scratch, s);
    }

    fn remove(&mut self, s: usize) {
        self.flow.remove(self.model, &self.costs, &mut self.scratch, s);
    }

    /// Counts the limits, and keeps the flow if it is the cheapest plan so far.
    pub(crate) fn look(&mut self) {
        self.counts.fill(0);
        for (s, &e) in self.flow.at.iter().enumerate() {
            for &k in self.model.priced_at.get(e).into_iter().flatten() {
                self.counts[k] += usize::from(self.model.priced[k].has(s, e));
            }
        }
        let is_plan = self.model.priced.iter().zip(&self.counts).all(|(k, n)| *n <= k.at_most)
            && self.places_all();
        if is_plan {
            let value = self.model.value(&self.flow.at);
            if self.met.as_ref().is_none_or(|(least, _)| value < *least) {
                self.met = Some((value, self.flow.at.clone()));
            }
        }
    }

    /// Whether nobody stays who must not.
    fn places_all(&self) -> bool {
        let m = self.model.evenings;
        let is_placed =
            |(s, &e): (usize, &usize)| e < m || (e == m && self.costs.stays[s] != self.model.none);
        self.flow.at.iter().enumerate().all(is_placed)
    }

    /// No plan of this part costs less.
    pub(crate) fn bound(&self) -> Units {
        let m = self.model.evenings;
        let flow: Units =
            self.flow.at.iter().enumerate().map(|(s, &e)| self.costs.of(s, e, m)).sum();
        let room = self.prices.iter().zip(&self.model.priced);
        flow - room.map(|(price, limit)| price * limit.at_most as Units).sum::<Units>()
    }

    /// By how many the flow breaks a priced limit.
    pub(crate) fn slope(&self, k: usize) -> Units {
        self.counts[k] as Units - self.model.priced[k].at_most as Units
    }

    /// Changes what the pairs of a limit cost, and leaves the flow as it is.
    fn recost(&mut self, k: usize, price: Units) {
        let m = self.model.evenings;
        let by = price - std::mem::replace(&mut self.prices[k], price);
        if by == 0 {
            return;
        }
        let limit = &self.model.priced[k];
        for s in &limit.sessions {
            for e in &limit.evenings {
                let cost = &mut self.costs.pairs[s * m + e];
                if *cost != NEVER {
                    *cost += by;
                }
            }
        }
    }

    /// Changes a price, and mends the flow.
    pub(crate) fn set_price(&mut self, k: usize, price: Units) {
        let by = price - self.prices[k];
        let limit = &self.model.priced[k];
        let mut again = Vec::new();
        // Who leaves makes evenings cheaper, which may draw others: until all that are left stay
        // put.
        let mut is_calm = false;
        while !std::mem::replace(&mut is_calm, true) {
            for &s in &limit.sessions {
                let is_in = self.flow.at[s] != NOBODY;
                let is_within = limit.has_evening(self.flow.at[s]);
                if is_in && (by > 0) == is_within && self.detour(s, k) < by.abs() {
                    self.remove(s);
                    again.push(s);
                    is_calm = false;
                }
            }
        }
        for &s in &limit.sessions {
            if limit.has_evening(self.flow.at[s]) {
                self.flow.u[s] += by;
            }
        }
        self.recost(k, price);
        for &s in &again {
            self.add(s);
        }
        self.look();
    }

    /// Takes all prices back.
    pub(crate) fn start_over(&mut self) {
        for k in 0..self.prices.len() {
            self.set_price(k, 0);
        }
    }
}
