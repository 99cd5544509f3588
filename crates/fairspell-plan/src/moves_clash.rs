//! The fewest sessions that cannot all be placed.
//!
//! Sessions are left out, many at once and then one by one, as long as the others still clash: what
//! remains clashes, but no part of it does. Smaller clashes elsewhere are then looked for by size.
//! A session belongs to a clash of `k` only if `k - 1` others can block all its evenings, and the
//! sessions of a clash hang together by evenings or limits; without this the search would be
//! hopeless, with it a studio's problems are quick. (The question as such is hard: it is the girth
//! of a transversal matroid.)

use std::collections::BTreeSet;

use crate::{
    moves::{Clash, MoveLimit, MoveProblem, MoveSession},
    moves_branch::{Node, Search},
    moves_model::Model,
};

/// A search ends when its tries come to so many pairs of session and evening: the one that leaves
/// sessions or limits out, ...
const SHRINK_PAIRS_MAX: usize = 4_000_000;

/// ... and the one for smaller clashes elsewhere.
const TRIES_PAIRS_MAX: usize = 400_000;

/// A try is given up after so many nodes.
const NODES_MAX: usize = 200;

/// The smallest clash of a problem that has no plan.
pub(crate) fn clash(problem: &MoveProblem) -> Clash {
    let must = |s: &usize| problem.sessions[*s].unplaced_cost.is_none();
    let must: Vec<usize> = (0..problem.sessions.len()).filter(must).collect();
    let all: Vec<usize> = (0..problem.limits.len()).collect();
    // Without the limits that need prices every try is quick; often the others clash by themselves.
    let mut quick = Model::new(problem).limits_in_flow();
    quick.extend(all.iter().filter(|k| problem.limits[**k].at_most == 0));
    quick.sort_unstable();
    let mut limits =
        if placed(problem, &must, &quick) == Placed::Never { quick } else { all.clone() };
    let mut left = SHRINK_PAIRS_MAX;
    let (mut sessions, is_sure) = shrunk(&must, &mut left, |left, some| {
        *left = left.saturating_sub(some.len() * problem.evenings.len());
        placed(problem, some, &limits)
    });
    let mut tries = Tries { problem, limits: &all, left: TRIES_PAIRS_MAX, is_sure };
    let needed: Vec<(usize, usize)> = must.iter().map(|&s| (s, blockers(problem, s))).collect();
    for size in 1..sessions.len() {
        let blockable = needed.iter().filter(|(_, blockers)| *blockers < size);
        let candidates: Vec<usize> = blockable.map(|(s, _)| *s).collect();
        if let Some(found) = tries.of_size(size, &candidates, &mut Vec::new()) {
            (sessions, limits) = (found, all.clone());
            break;
        }
    }
    let is_smallest = tries.is_sure;
    left = SHRINK_PAIRS_MAX;
    let (limits, _) = shrunk(&limits, &mut left, |left, some| {
        *left = left.saturating_sub(sessions.len() * problem.evenings.len());
        placed(problem, &sessions, some)
    });
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
    let part = MoveProblem {
        sessions: vec![MoveSession::default(); sessions.len()],
        evenings: problem.evenings.clone(),
        // Any plan will do; costs all the same only make many ways equal, and the search slow.
        costs: sessions.iter().map(|&s| problem.costs[s].clone()).collect(),
        limits: limits.iter().map(limit).collect(),
    };
    let model = Model::new(&part);
    let mut search = Search::new(&model);
    search.any_plan_will_do();
    let outcome = search.run(Node::root(&model), NODES_MAX, false);
    match (outcome.plan, outcome.proven) {
        (Some(_), _) => Placed::All,
        (None, true) => Placed::Never,
        (None, false) => Placed::NotKnown,
    }
}

/// Leaves out what a clash does not need, and says whether that is certain: all of some, or else
/// each half, the last first.
fn shrunk(
    all: &[usize],
    left: &mut usize,
    mut placed: impl FnMut(&mut usize, &[usize]) -> Placed,
) -> (Vec<usize>, bool) {
    let (mut kept, mut is_sure) = (all.to_vec(), true);
    let mut parts = vec![all];
    while let Some(part) = parts.pop() {
        if *left == 0 {
            return (kept, false);
        }
        let others: Vec<usize> = kept.iter().copied().filter(|it| !part.contains(it)).collect();
        match placed(left, &others) {
            Placed::Never => kept = others,
            Placed::NotKnown if part.len() <= 1 => is_sure = false,
            _ if part.len() > 1 => {
                let (first, last) = part.split_at(part.len() / 2);
                parts.extend([first, last]);
            }
            _ => {}
        }
    }
    (kept, is_sure)
}

struct Tries<'a> {
    problem: &'a MoveProblem,
    limits: &'a [usize],
    /// Pairs that may still be tried.
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
            let pairs = (size * self.problem.evenings.len()).max(1);
            self.left = self.left.saturating_sub(pairs);
            if !self.hang_together(chosen) {
                return None;
            }
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
            if chosen.len() + from.len() - index < size {
                return None;
            }
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
