//! Why each session got its evening: what the plan would cost without it, and what its own cheapest
//! evening would have cost the others.

use crate::{
    moves::{MoveChoice, MoveNext, MoveProblem, MoveReason},
    moves_branch::{Outcome, Search},
    moves_model::{COST, Model, NEVER, Units, as_cost, cost_of},
    moves_price::Rule,
};

/// What was asked once the best plan stood.
pub(crate) struct Asked {
    pub(crate) choices: Vec<MoveChoice>,
    /// The second plan, if there is one and it is proven.
    pub(crate) second: Option<Vec<usize>>,
    pub(crate) second_proven: bool,
    pub(crate) nodes: usize,
}

/// Each session's choice, and the second plan: the cheapest of those that deny one session what it
/// got.
pub(crate) fn choices(
    problem: &MoveProblem,
    search: &mut Search<'_>,
    best: &Outcome,
    at: &[usize],
    nodes_max: usize,
) -> Asked {
    let model = search.model;
    let mut asked =
        Asked { choices: Vec::new(), second: None, second_proven: best.proven, nodes: 0 };
    let mut second: Option<(Units, Vec<usize>)> = None;
    let mut open = Units::MAX;
    let root = search.sharpened(&best.root, at);
    for (s, &e) in at.iter().enumerate() {
        // Each session asks at most two questions; what the earlier ones did not need is shared
        // out.
        let questions = 2 * (at.len() - s);
        let mut ask = |rule| {
            let nodes_each = nodes_max.saturating_sub(asked.nodes) / questions;
            let outcome = best.proven.then(|| search.under(&root, at, rule, nodes_each))?;
            asked.nodes += outcome.nodes;
            Some(outcome)
        };
        let without = ask(Rule::Not(s, e));
        let next = next(model, at, without.as_ref());
        if let Some(outcome) = without {
            if !outcome.proven {
                open = open.min(outcome.bound);
            }
            second = second.into_iter().chain(outcome.plan).min();
        }
        let own = own_cheapest(model, s);
        let own_cost = own.map(|own| units_of(model, s, own));
        let why = match own.zip(own_cost) {
            _ if e == model.evenings => MoveReason::LeftUnplaced,
            Some((own, cost)) if cost < units_of(model, s, e) => {
                match at.iter().position(|&taken| taken == own) {
                    Some(session) => {
                        let saved = ask(Rule::Only(s, own)).and_then(|it| rise(model, at, &it));
                        MoveReason::TakenByOther { session, saved }
                    }
                    None => full_limit(problem, at, s, own)
                        .map_or(MoveReason::OwnCheapest, |limit| MoveReason::LimitFull { limit }),
                }
            }
            _ => MoveReason::OwnCheapest,
        };
        asked.choices.push(MoveChoice {
            session: s,
            evening: (e < model.evenings).then_some(e),
            cost: cost_of(problem, s, e),
            own_cheapest: own,
            why,
            next,
        });
    }
    let least = second.as_ref().map_or(Units::MAX, |(value, _)| value.div_euclid(COST) * COST);
    asked.second_proven &= open >= least;
    asked.second = second.map(|(_, at)| at).filter(|_| asked.second_proven);
    asked
}

/// How much dearer the plan of an outcome is, where it is proven.
fn rise(model: &Model, at: &[usize], outcome: &Outcome) -> Option<f64> {
    let (value, _) = outcome.plan.as_ref().filter(|_| outcome.proven)?;
    Some(as_cost(value.div_euclid(COST) * COST - cost_units(model, at)))
}

fn next(model: &Model, at: &[usize], without: Option<&Outcome>) -> MoveNext {
    match without {
        None => MoveNext::NotProven { at_least: 0.0 },
        Some(outcome) if !outcome.proven => {
            let at_least = as_cost(outcome.bound - cost_units(model, at)).max(0.0);
            MoveNext::NotProven { at_least }
        }
        Some(outcome) => rise(model, at, outcome).map_or(MoveNext::Impossible, MoveNext::Rises),
    }
}

/// What a plan costs in units, without its ties.
fn cost_units(model: &Model, at: &[usize]) -> Units {
    model.value(at).div_euclid(COST) * COST
}

/// What a pair costs in units, without its ties.
fn units_of(model: &Model, s: usize, e: usize) -> Units {
    model.of(s, e).div_euclid(COST)
}

/// The cheapest evening for a session alone, the earliest of several.
fn own_cheapest(model: &Model, s: usize) -> Option<usize> {
    let row = &model.pairs[s * model.evenings..(s + 1) * model.evenings];
    let allowed = row.iter().enumerate().filter(|(_, cost)| **cost != NEVER);
    allowed.min_by_key(|(e, cost)| (cost.div_euclid(COST), *e)).map(|(e, _)| e)
}

/// A limit that a session's move to a free evening would break.
fn full_limit(problem: &MoveProblem, at: &[usize], s: usize, to: usize) -> Option<usize> {
    let mut moved = at.to_vec();
    moved[s] = to;
    problem.limits.iter().position(|limit| {
        let counts = |s: &usize| limit.sessions.as_ref().is_none_or(|only| only.contains(s));
        let is_in = |s: usize| counts(&s) && limit.evenings.contains(&moved[s]);
        is_in(s) && (0..moved.len()).filter(|s| is_in(*s)).count() > limit.at_most
    })
}

/// A plan in which no single session could move to a cheaper free evening: what is proven is so
/// already, what is not may not be.
pub(crate) fn polished(problem: &MoveProblem, model: &Model, mut at: Vec<usize>) -> Vec<usize> {
    loop {
        let better = (0..at.len()).find_map(|s| {
            let free = |e: &usize| !at.contains(e) && model.pairs[s * model.evenings + e] != NEVER;
            let cheaper = |e: &usize| units_of(model, s, *e) < units_of(model, s, at[s]);
            let fits = |e: &usize| full_limit(problem, &at, s, *e).is_none();
            let e = (0..model.evenings).find(|e| free(e) && cheaper(e) && fits(e))?;
            Some((s, e))
        });
        let Some((s, e)) = better else { return at };
        at[s] = e;
    }
}
