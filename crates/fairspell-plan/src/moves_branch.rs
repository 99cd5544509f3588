//! Branch and bound over limits that the flow cannot hold: a session is within a limit, or out of
//! it.

use std::{cmp::Reverse, collections::BinaryHeap};

use crate::{
    moves::{LEAVES_MAX, MoveLeaf},
    moves_climb::Raised,
    moves_flow::Flow,
    moves_model::{COST, Model, Units, as_cost},
    moves_price::{Pricing, Rule},
    moves_repair::repaired,
};

/// After so many nodes only cost counts, and no longer which of two equally cheap plans comes
/// first.
const TIE_NODES: usize = 300;

/// Rounds of prices at the root at most, ...
const ROOT_ROUNDS: usize = 60;

/// ... and in the tree, where branching gains more.
const NODE_ROUNDS: usize = 3;

/// A part of all plans.
#[derive(Debug, Clone)]
pub(crate) struct Node {
    pub(crate) rules: Vec<Rule>,
    prices: Vec<Units>,
    flow: Option<Flow>,
    /// No plan of this part is worth less.
    bound: Units,
}

impl Node {
    /// All plans.
    pub(crate) fn root(model: &Model) -> Self {
        let prices = vec![0; model.priced.len()];
        Node { rules: Vec::new(), prices, flow: None, bound: -model.dear }
    }
}

/// Parts that are still to be searched, by their bounds.
#[derive(Debug, Default)]
struct Open {
    queue: BinaryHeap<Reverse<(Units, usize)>>,
    parts: Vec<Option<Node>>,
}

impl Open {
    fn push(&mut self, part: Node) {
        self.queue.push(Reverse((part.bound, self.parts.len())));
        self.parts.push(Some(part));
    }

    /// The part with the lowest bound; of several, the one that came first.
    fn pop(&mut self) -> Option<Node> {
        let Reverse((_, index)) = self.queue.pop()?;
        self.parts[index].take()
    }

    /// No plan in any of them is worth less.
    fn bound(&self) -> Units {
        self.queue.peek().map_or(Units::MAX, |Reverse((bound, _))| *bound)
    }
}

/// What became of a search.
#[derive(Debug)]
pub(crate) struct Outcome {
    /// The cheapest plan that was met, with its value.
    pub(crate) plan: Option<(Units, Vec<usize>)>,
    /// No plan is worth less, apart from ties.
    pub(crate) bound: Units,
    /// Whether the plan is the cheapest, or that there is none.
    pub(crate) proven: bool,
    pub(crate) nodes: usize,
    pub(crate) leaves: Vec<MoveLeaf>,
    /// The root, once its prices were raised.
    pub(crate) root: Node,
}

/// One problem, searched again and again under different rules.
#[derive(Debug)]
pub(crate) struct Search<'a> {
    pub(crate) model: &'a Model,
    pricing: Pricing<'a>,
    /// Every plan that was the cheapest of its search at some time.
    plans: Vec<Vec<usize>>,
}

impl<'a> Search<'a> {
    pub(crate) fn new(model: &'a Model) -> Self {
        Search { model, pricing: Pricing::new(model), plans: Vec::new() }
    }

    /// Ends every search at its first plan: all that is asked is whether there is one.
    pub(crate) fn any_plan_will_do(&mut self) {
        self.pricing.any_plan = true;
    }

    /// The cheapest plan under one rule, given the root of the search without it and its plan.
    pub(crate) fn under(
        &mut self,
        root: &Node,
        at: &[usize],
        rule: Rule,
        nodes_max: usize,
    ) -> Outcome {
        self.plans.extend(repaired(self.model, at, rule).map(|(_, at)| at));
        self.run(Node { rules: vec![rule], ..root.clone() }, nodes_max, false)
    }

    /// The root of a search with better prices, now that its plan is known.
    pub(crate) fn sharpened(&mut self, root: &Node, at: &[usize]) -> Node {
        self.resume(root);
        self.pricing.look();
        self.pricing.met = Some((self.model.value(at), at.to_vec()));
        self.pricing.by_cost = false;
        self.pricing.raise(ROOT_ROUNDS);
        self.part(root.rules.clone())
    }

    /// The cheapest plan of a part, the lowest bound first; depth first until there is a plan.
    ///
    /// Without any node the bound of the part as it comes is all there is.
    pub(crate) fn run(&mut self, root: Node, nodes_max: usize, keep_leaves: bool) -> Outcome {
        self.begin(&root);
        let root = self.part(root.rules);
        let mut outcome = Outcome {
            plan: None,
            bound: root.bound,
            proven: true,
            nodes: 0,
            leaves: Vec::new(),
            root: root.clone(),
        };
        let mut open = Open::default();
        let mut current = Some(root);
        while let Some(node) = current.take().or_else(|| open.pop()) {
            if outcome.nodes >= nodes_max {
                outcome.proven = false;
                open.push(node);
                break;
            }
            let rounds = if outcome.nodes == 0 && keep_leaves { ROOT_ROUNDS } else { NODE_ROUNDS };
            outcome.nodes += 1;
            self.pricing.by_cost = outcome.nodes > TIE_NODES;
            if outcome.nodes > 1 {
                self.resume(&node);
                self.pricing.look();
            }
            let (raised, branch) = self.raise(rounds);
            self.note();
            let here = self.part(node.rules);
            if outcome.nodes == 1 {
                outcome.root = here.clone();
            }
            if raised != Raised::Stuck {
                self.keep_leaf(keep_leaves, &here.rules, &mut outcome.leaves);
                continue;
            }
            let Some((s, k)) = branch else {
                outcome.proven = false;
                open.push(here);
                break;
            };
            // The side that the session is not on first: it is the one that changes something.
            let is_within = self.model.priced[k].has_evening(self.pricing.flow.at[s]);
            let mut rules = [Rule::Out(s, k), Rule::Within(s, k)];
            if !is_within {
                rules.reverse();
            }
            for rule in rules {
                self.resume(&here);
                self.pricing.apply(rule);
                self.note();
                let rules = [&here.rules[..], &[rule]].concat();
                if self.pricing.is_beaten() {
                    self.keep_leaf(keep_leaves, &rules, &mut outcome.leaves);
                    continue;
                }
                let child = self.part(rules);
                if self.pricing.met.is_none() && current.is_none() {
                    current = Some(child);
                } else {
                    open.push(child);
                }
            }
        }
        outcome.bound = open.bound();
        outcome.plan = self.pricing.met.take();
        if let Some((value, _)) = &outcome.plan {
            // What is left open may be beaten all the same.
            outcome.proven = outcome.bound >= value.div_euclid(COST) * COST;
            outcome.bound = outcome.bound.min(*value);
        } else {
            outcome.proven |= outcome.bound >= self.model.dear;
        }
        if outcome.leaves.len() > LEAVES_MAX {
            outcome.leaves.clear();
        }
        outcome
    }

    /// Raises the prices; where a gap is left, says what to branch on.
    fn raise(&mut self, rounds: usize) -> (Raised, Option<(usize, usize)>) {
        let raised = self.pricing.raise(rounds);
        let branch = self.to_branch_on();
        if raised == Raised::Stuck && branch.is_none() {
            // All have chosen sides where it matters, and the prices hold each other up.
            self.pricing.start_over();
            return (self.pricing.raise(ROOT_ROUNDS), self.to_branch_on());
        }
        (raised, branch)
    }

    fn begin(&mut self, root: &Node) {
        self.pricing.met = None;
        self.pricing.by_cost = false;
        match &root.flow {
            None => {
                self.pricing.resume(&root.rules, &root.prices, &Flow::empty(self.model));
                self.pricing.fill();
            }
            Some(flow) => {
                let (last, before) = root.rules.split_last().expect("it goes on under a rule");
                self.pricing.resume(before, &root.prices, flow);
                let is_kept =
                    |at: &&Vec<usize>| root.rules.iter().all(|rule| rule.is_kept(self.model, at));
                let known = self.plans.iter().filter(is_kept);
                self.pricing.met = known.map(|at| (self.model.value(at), at.clone())).min();
                self.pricing.apply(*last);
            }
        }
    }

    fn resume(&mut self, node: &Node) {
        let flow = node.flow.as_ref().expect("a part has its flow");
        self.pricing.resume(&node.rules, &node.prices, flow);
    }

    /// The part that is being worked on.
    fn part(&self, rules: Vec<Rule>) -> Node {
        let (prices, flow) = (self.pricing.prices.clone(), Some(self.pricing.flow.clone()));
        Node { rules, prices, flow, bound: self.pricing.bound() }
    }

    /// Remembers the cheapest plan so far for later searches.
    fn note(&mut self) {
        if let Some((_, at)) = &self.pricing.met
            && !self.plans.contains(at)
        {
            self.plans.push(at.clone());
        }
    }

    /// The session and the priced limit to branch on: the limit that is broken most, or else the
    /// one whose price is paid for nothing most, or else any with a price (prices can hold each
    /// other up); the session that is nearest to changing sides.
    fn to_branch_on(&self) -> Option<(usize, usize)> {
        let pricing = &self.pricing;
        let mut best = None;
        for (k, limit) in self.model.priced.iter().enumerate() {
            let (over, price) = (pricing.slope(k), pricing.prices[k]);
            if over <= 0 && price == 0 {
                continue;
            }
            let matters = Reverse(if over > 0 { (1, over) } else { (0, -over * price) });
            for &s in &limit.sessions {
                let is_within = limit.has_evening(pricing.flow.at[s]);
                if (over == 0 || is_within == (over > 0)) && pricing.is_open(s, k) {
                    let candidate = (matters, pricing.detour(s, k), k, s);
                    if best.as_ref().is_none_or(|best| candidate < *best) {
                        best = Some(candidate);
                    }
                }
            }
        }
        best.map(|(_, _, k, s)| (s, k))
    }

    fn keep_leaf(&mut self, is_wanted: bool, rules: &[Rule], leaves: &mut Vec<MoveLeaf>) {
        if !is_wanted || leaves.len() > LEAVES_MAX {
            return;
        }
        let model = self.model;
        self.pricing.flow.level(model);
        let y = &self.pricing.flow.y;
        let over_parent = |node: usize| as_cost(y[node] - y[model.parents[node]]);
        let mut limit_prices = vec![0.0; model.limits()];
        for (index, limit) in model.tree.iter().enumerate() {
            limit_prices[limit.limit] = over_parent(model.evenings + index);
        }
        for (limit, &price) in model.priced.iter().zip(&self.pricing.prices) {
            limit_prices[limit.limit] = as_cost(price);
        }
        leaves.push(MoveLeaf {
            rules: rules.iter().filter_map(|rule| rule.told(model)).collect(),
            session_values: self.pricing.flow.u.iter().map(|&u| as_cost(u)).collect(),
            evening_prices: (0..model.evenings).map(over_parent).collect(),
            limit_prices,
        });
    }
}
