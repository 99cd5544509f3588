//! A problem of moves in whole numbers: costs with their ties, the tree of limits that the flow
//! holds, and the limits that get a price.

use std::collections::BTreeSet;

use crate::moves::{MoveLimit, MoveProblem};

/// Whole numbers that costs count in. Worst case of the largest problem: below 2^126.
pub(crate) type Units = i128;

/// Of all that can be added up, nothing is smaller: what prices round away stays below it.
pub(crate) const GRAIN: Units = 1 << 8;

/// The weight of an evening's index in a tie; above all sums of index times rank of the session.
const EARLIER: Units = GRAIN << 23;

/// One unit of cost, 1e-9: above all sums of ties.
pub(crate) const COST: Units = GRAIN << 41;

/// Units of cost in 1.
const PER_ONE: f64 = 1e9;

/// A pair that cannot be.
pub(crate) const NEVER: Units = Units::MAX / 2;

/// A session that is in no flow, an evening that nobody has.
pub(crate) const NOBODY: usize = usize::MAX;

/// What a pair costs; the index after the last evening stands for staying without a date.
pub(crate) fn cost_of(problem: &MoveProblem, s: usize, e: usize) -> f64 {
    match problem.costs[s].get(e) {
        Some(cost) => cost.unwrap_or(f64::INFINITY),
        None => problem.sessions[s].unplaced_cost.unwrap_or(f64::INFINITY),
    }
}

/// Units as the problem's cost.
pub(crate) fn as_cost(units: Units) -> f64 {
    units as f64 / COST as f64 / PER_ONE
}

/// A limit of the tree.
#[derive(Debug)]
pub(crate) struct TreeLimit {
    /// Its index in the problem.
    pub(crate) limit: usize,
    pub(crate) at_most: usize,
    /// Evenings and limits right below it, by node.
    pub(crate) children: Vec<usize>,
}

/// A limit that has a price.
#[derive(Debug)]
pub(crate) struct Priced {
    /// Its index in the problem.
    pub(crate) limit: usize,
    pub(crate) at_most: usize,
    pub(crate) evenings: Vec<usize>,
    pub(crate) sessions: Vec<usize>,
    is_evening: Vec<bool>,
    is_session: Vec<bool>,
}

impl Priced {
    pub(crate) fn has_evening(&self, e: usize) -> bool {
        self.is_evening.get(e).is_some_and(|is| *is)
    }

    pub(crate) fn has(&self, s: usize, e: usize) -> bool {
        self.is_session[s] && self.has_evening(e)
    }
}

/// Nodes are evenings, then limits of the tree, then the sink.
#[derive(Debug)]
pub(crate) struct Model {
    pub(crate) sessions: usize,
    pub(crate) evenings: usize,
    /// What each pair costs, session by session.
    pub(crate) pairs: Vec<Units>,
    /// What staying without a date costs; [`Model::none`] where it is not allowed.
    pub(crate) stays: Vec<Units>,
    pub(crate) tree: Vec<TreeLimit>,
    /// The node above each node but the sink.
    pub(crate) parents: Vec<usize>,
    pub(crate) priced: Vec<Priced>,
    /// The priced limits of each evening.
    pub(crate) priced_at: Vec<Vec<usize>>,
    /// What it costs not to place a session that must be: a flow with one of these is dearer than
    /// any plan.
    pub(crate) none: Units,
    /// Every plan is cheaper than this.
    pub(crate) dear: Units,
    /// No price of a limit needs to be higher.
    pub(crate) price_max: Units,
    /// How many limits the problem has.
    limits: usize,
}

impl Model {
    pub(crate) fn new(problem: &MoveProblem) -> Self {
        let (n, m) = (problem.sessions.len(), problem.evenings.len());
        let mut pairs = vec![NEVER; n * m];
        for (s, row) in problem.costs.iter().enumerate() {
            for (e, cost) in row.iter().enumerate() {
                pairs[s * m + e] = cost.map_or(NEVER, |cost| whole(cost) + tie(n, s, e));
            }
        }
        for limit in problem.limits.iter().filter(|limit| limit.at_most == 0) {
            for s in sessions_of(limit, n) {
                for e in &limit.evenings {
                    pairs[s * m + e] = NEVER;
                }
            }
        }
        let stay = |s: usize| problem.sessions[s].unplaced_cost.map(|it| whole(it) + tie(n, s, m));
        let stays: Vec<Option<Units>> = (0..n).map(stay).collect();
        let (none, dear, price_max) = beyond(&pairs, &stays, m);
        let (tree_limits, priced_limits) = sorted_out(problem, &pairs);
        let mut model = Model {
            sessions: n,
            evenings: m,
            pairs,
            stays: stays.iter().map(|stay| stay.unwrap_or(none)).collect(),
            tree: Vec::new(),
            parents: Vec::new(),
            priced: priced_limits.iter().map(|&k| priced(problem, k)).collect(),
            priced_at: vec![Vec::new(); m],
            none,
            dear,
            price_max,
            limits: problem.limits.len(),
        };
        model.plant(problem, &tree_limits);
        for (k, priced) in model.priced.iter().enumerate() {
            for &e in &priced.evenings {
                model.priced_at[e].push(k);
            }
        }
        model
    }

    /// The node of the sink.
    pub(crate) fn sink(&self) -> usize {
        self.evenings + self.tree.len()
    }

    /// How many limits the problem has.
    pub(crate) fn limits(&self) -> usize {
        self.limits
    }

    /// The limits that the flow holds, by index in the problem.
    pub(crate) fn limits_in_flow(&self) -> Vec<usize> {
        let mut limits: Vec<usize> = self.tree.iter().map(|limit| limit.limit).collect();
        limits.sort_unstable();
        limits
    }

    /// What a pair costs in units; the index after the last evening stands for staying.
    pub(crate) fn of(&self, s: usize, e: usize) -> Units {
        if e < self.evenings { self.pairs[s * self.evenings + e] } else { self.stays[s] }
    }

    /// Whether a session may have an evening, or may stay.
    pub(crate) fn may(&self, s: usize, e: usize) -> bool {
        self.of(s, e) != if e < self.evenings { NEVER } else { self.none }
    }

    /// What a plan is worth in units, its ties included.
    pub(crate) fn value(&self, at: &[usize]) -> Units {
        at.iter().enumerate().map(|(s, &e)| self.of(s, e)).sum()
    }

    /// Sets the tree up; of two limits, the smaller lies below.
    fn plant(&mut self, problem: &MoveProblem, limits: &[usize]) {
        let m = self.evenings;
        let mut limits = limits.to_vec();
        limits.sort_by_key(|&k| (problem.limits[k].evenings.len(), k));
        let sink = m + limits.len();
        self.parents = vec![sink; sink];
        // The highest node above each evening so far.
        let mut highest: Vec<usize> = (0..m).collect();
        for (index, &k) in limits.iter().enumerate() {
            let limit = &problem.limits[k];
            let mut children = BTreeSet::new();
            for &e in &limit.evenings {
                children.insert(highest[e]);
                highest[e] = m + index;
            }
            for &child in &children {
                self.parents[child] = m + index;
            }
            let children = children.into_iter().collect();
            self.tree.push(TreeLimit { limit: k, at_most: limit.at_most, children });
        }
    }
}

/// A cost in units, without ties.
#[expect(clippy::cast_possible_truncation, reason = "checked to lie within a million of zero")]
fn whole(cost: f64) -> Units {
    (cost * PER_ONE).round() as Units * COST
}

/// What comes first among equals: earlier evenings in sum, then for the sessions listed first.
fn tie(sessions: usize, s: usize, e: usize) -> Units {
    e as Units * EARLIER + (sessions - s) as Units * e as Units * GRAIN
}

/// What not to place a session costs, what is dearer than any plan, and the highest price.
fn beyond(pairs: &[Units], stays: &[Option<Units>], m: usize) -> (Units, Units, Units) {
    let (mut least, mut dear, mut largest_least, mut smallest) = (0, COST, 0, 0);
    for (s, stay) in stays.iter().enumerate() {
        let row = pairs[s * m..(s + 1) * m].iter().copied().filter(|it| *it != NEVER);
        let (low, high) =
            row.chain(*stay).fold((NEVER, -NEVER), |(low, high), it| (low.min(it), high.max(it)));
        if low < NEVER {
            least += low;
            dear += high;
            largest_least = largest_least.max(low);
            smallest = smallest.min(low);
        }
    }
    let none = dear - least + largest_least;
    (none, dear, none - smallest + 1)
}

fn sessions_of(limit: &MoveLimit, n: usize) -> Vec<usize> {
    limit.sessions.clone().unwrap_or_else(|| (0..n).collect())
}

fn priced(problem: &MoveProblem, k: usize) -> Priced {
    let limit = &problem.limits[k];
    let sessions = sessions_of(limit, problem.sessions.len());
    let mut is_evening = vec![false; problem.evenings.len()];
    for &e in &limit.evenings {
        is_evening[e] = true;
    }
    let mut is_session = vec![false; problem.sessions.len()];
    for &s in &sessions {
        is_session[s] = true;
    }
    let (at_most, evenings) = (limit.at_most, limit.evenings.clone());
    Priced { limit: k, at_most, evenings, sessions, is_evening, is_session }
}

/// Which limits the flow can hold, and which need a price. Limits that cannot bind need neither,
/// and those of none at all have been heeded already.
fn sorted_out(problem: &MoveProblem, pairs: &[Units]) -> (Vec<usize>, Vec<usize>) {
    let (n, m) = (problem.sessions.len(), problem.evenings.len());
    let (mut tree, mut priced): (Vec<usize>, Vec<usize>) = Default::default();
    let mut sets: Vec<BTreeSet<usize>> = Vec::new();
    for (k, limit) in problem.limits.iter().enumerate() {
        let sessions = sessions_of(limit, n);
        if limit.at_most == 0 || limit.at_most >= sessions.len().min(limit.evenings.len()) {
            continue;
        }
        let counts: BTreeSet<usize> = sessions.into_iter().collect();
        let set: BTreeSet<usize> = limit.evenings.iter().copied().collect();
        // Who does not count cannot have these evenings: then all count.
        let others = (0..n).filter(|s| !counts.contains(s));
        let is_for_all = others.into_iter().all(|s| set.iter().all(|e| pairs[s * m + e] == NEVER));
        let is_nested = sets
            .iter()
            .all(|other| set.is_disjoint(other) || set.is_subset(other) || set.is_superset(other));
        if is_for_all && is_nested {
            tree.push(k);
            sets.push(set);
        } else {
            priced.push(k);
        }
    }
    (tree, priced)
}
