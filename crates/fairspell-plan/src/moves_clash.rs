//! The fewest sessions that cannot all be placed.
//!
//! Sessions are left out one by one as long as the others still clash: what remains clashes, but no
//! part of it does. Smaller clashes elsewhere are then looked for by size. A session belongs to a
//! clash of `k` only if `k - 1` others can block all its evenings, and the sessions of a clash hang
//! together by evenings or limits; without this the search would be hopeless, with it a studio's
//! problems are quick. (The question as such is hard: it is the girth of a transversal matroid.)

use std::collections::BTreeSet;

use crate::{
    moves::{Clash, MoveLimit, MoveProblem, MoveSession},
    moves_branch::{Node, Search},
    moves_model::Model,
};

/// The search for smaller clashes ends after so many tries.
const TRIES_MAX: usize = 20_000;

/// A try is given up after so many nodes.
const NODES_MAX: usize = 500;

/// The smallest clash of a problem that has no plan.
pub(crate) fn clash(problem: &MoveProblem) -> Clash {
    let must = |s: &usize| problem.sessions[*s].unplaced_cost.is_none();
    let must: Vec<usize> = (0..problem.sessions.len()).filter(must).collect();
    let all: Vec<usize> = (0..problem.limits.len()).collect();
    let mut is_sure = true;
    let mut sessions = must.clone();
    for s in must.iter().rev() {
        let without: Vec<usize> = sessions.iter().copied().filter(|t| t != s).collect();
        match placed(problem, &without, &all) {
            Placed::Never => sessions = without,
            Placed::All => {}
            Placed::NotKnown => is_sure = false,
        }
    }
    let mut tries = Tries { problem, limits: &all, left: TRIES_MAX, is_sure };
    for size in 1..sessions.len() {
        let blockable = |s: &usize| blockers(problem, *s) < size;
        let candidates: Vec<usize> = must.iter().copied().filter(blockable).collect();
        if let Some(found) = tries.of_size(size, &candidates, &mut Vec::new()) {
            sessions = found;
            break;
        }
    }
    let is_smallest = tries.is_sure;
    let mut limits = all;
    for k in 0..problem.limits.len() {
        let without: Vec<usize> = limits.iter().copied().filter(|it| *it != k).collect();
        if placed(problem, &sessions, &without) == Placed::Never {
            limits = without;
        }
    }
    let evenings = (0..problem.evenings.len())
        .filter(|&e| sessions.iter().any(|&s| problem.costs[s][e].is_some()))
        .collect();
    Clash { sessions, evenings, limits, is_smallest }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Placed {
    All,
    Never,
    NotKnown,
}

/// Whether these sessions can all be placed within these limits.
fn placed(problem: &MoveProblem, sessions: &[usize], limits: &[usize]) -> Placed {
    let index = |s: &usize| sessions.iter().position(|t| t == s);
    let limit = |&k: &usize| {
        let limit = &problem.limits[k];
        let only = limit.sessions.as_ref();
        MoveLimit {
            sessions: only.map(|only| only.iter().filter_map(index).collect()),
            ..limit.clone()
        }
    };
    let free = |cost: &Option<f64>| cost.map(|_| 0.0);
    let part = MoveProblem {
        sessions: vec![MoveSession::default(); sessions.len()],
        evenings: problem.evenings.clone(),
        costs: sessions.iter().map(|&s| problem.costs[s].iter().map(free).collect()).collect(),
        limits: limits.iter().map(limit).collect(),
    };
    let model = Model::new(&part);
    let mut search = Search::new(&model);
    search.ties_matter = false;
    let outcome = search.run(Node::root(&model), NODES_MAX, false);
    match (outcome.plan, outcome.proven) {
        (Some(_), _) => Placed::All,
        (None, true) => Placed::Never,
        (None, false) => Placed::NotKnown,
    }
}

struct Tries<'a> {
    problem: &'a MoveProblem,
    limits: &'a [usize],
    left: usize,
    is_sure: bool,
}

impl Tries<'_> {
    /// The first clash of a size among some sessions, in their order.
    fn of_size(
        &mut self,
        size: usize,
        from: &[usize],
        chosen: &mut Vec<usize>,
    ) -> Option<Vec<usize>> {
        if chosen.len() == size {
            if !self.hang_together(chosen) {
                return None;
            }
            if self.left == 0 {
                self.is_sure = false;
                return None;
            }
            self.left -= 1;
            return match placed(self.problem, chosen, self.limits) {
                Placed::Never => Some(chosen.clone()),
                Placed::All => None,
                Placed::NotKnown => {
                    self.is_sure = false;
                    None
                }
            };
        }
        for (index, s) in from.iter().enumerate() {
            if self.left == 0 {
                self.is_sure = false;
                return None;
            }
            chosen.push(*s);
            let found = self.of_size(size, &from[index + 1..], chosen);
            chosen.pop();
            if found.is_some() {
                return found;
            }
        }
        None
    }

    /// Whether sessions are linked by evenings and limits.
    fn hang_together(&self, sessions: &[usize]) -> bool {
        let mut linked: Vec<usize> = sessions[..1].to_vec();
        let mut others: BTreeSet<usize> = sessions[1..].iter().copied().collect();
        while let Some(s) = linked.pop() {
            let near: Vec<usize> = others.iter().copied().filter(|&t| self.touch(s, t)).collect();
            for t in near {
                others.remove(&t);
                linked.push(t);
            }
        }
        others.is_empty()
    }

    fn touch(&self, s: usize, t: usize) -> bool {
        let (a, b) = (&self.problem.costs[s], &self.problem.costs[t]);
        let is_counted = |limit: &MoveLimit, s: usize| {
            limit.sessions.as_ref().is_none_or(|only| only.contains(&s))
                && limit.evenings.iter().any(|&e| self.problem.costs[s][e].is_some())
        };
        a.iter().zip(b).any(|(a, b)| a.is_some() && b.is_some())
            || self.problem.limits.iter().any(|it| is_counted(it, s) && is_counted(it, t))
    }
}

/// At least so many others are needed to block all evenings of a session.
///
/// Another session blocks the evening it has, and of a limit for `b` sessions the `b`-th part.
fn blockers(problem: &MoveProblem, s: usize) -> usize {
    let (m, row) = (problem.evenings.len(), &problem.costs[s]);
    let counts = |limit: &&MoveLimit| limit.sessions.as_ref().is_none_or(|only| only.contains(&s));
    let limits: Vec<&MoveLimit> = problem.limits.iter().filter(counts).collect();
    let mut own: BTreeSet<usize> = (0..m).filter(|&e| row[e].is_some()).collect();
    for limit in limits.iter().filter(|limit| limit.at_most == 0) {
        limit.evenings.iter().for_each(|e| {
            own.remove(e);
        });
    }
    // The most of the session's evenings that one other can block, by where that one is.
    let mut most = 0.0_f64;
    for at in 0..m {
        let mut share = vec![0.0_f64; m];
        share[at] = 1.0;
        for limit in limits.iter().filter(|it| it.at_most > 0 && it.evenings.contains(&at)) {
            for &e in &limit.evenings {
                share[e] = share[e].max(1.0 / limit.at_most as f64);
            }
        }
        most = most.max(own.iter().map(|&e| share[e]).sum());
    }
    if own.is_empty() { 0 } else { whole_above(own.len() as f64 / most) }
}

/// The next whole number above, or the same.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a count of evenings, at most a few hundred"
)]
fn whole_above(count: f64) -> usize {
    (count - 1e-9).ceil() as usize
}
