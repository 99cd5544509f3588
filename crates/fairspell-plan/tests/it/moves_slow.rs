//! Every plan of a small problem, one after the other; and problems made of a seed.

use fairspell_plan::moves::{MoveLimit, MoveProblem, MoveSession};

/// Numbers that look drawn, the same on every machine (Steele, Lea and Flood's splitmix64).
pub(crate) struct Draw(pub(crate) u64);

impl Draw {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// 0 to one less than `count`.
    pub(crate) fn below(&mut self, count: usize) -> usize {
        usize::try_from(self.next() % count as u64).unwrap()
    }

    pub(crate) fn in_100(&mut self, percent: usize) -> bool {
        self.below(100) < percent
    }
}

/// A small problem: up to six sessions and evenings, weeks, months, limits that cross them, limits
/// for some sessions only, costs that are often equal, pairs and sessions that must not or need not
/// be.
pub(crate) fn small(seed: u64) -> MoveProblem {
    let mut draw = Draw(seed);
    let (n, m) = (1 + draw.below(6), 1 + draw.below(7));
    let spread = [2, 5, 40, 1000][draw.below(4)];
    let allowed = [45, 70, 95][draw.below(3)];
    let may_stay = [0, 0, 30][draw.below(3)];
    let cost = |draw: &mut Draw| draw.below(spread) as f64 / 4.0 - 1.0;
    let sessions = (0..n)
        .map(|s| MoveSession {
            id: format!("session {s}"),
            unplaced_cost: draw.in_100(may_stay).then(|| cost(&mut draw) + 2.0),
        })
        .collect();
    let costs = (0..n)
        .map(|_| (0..m).map(|_| draw.in_100(allowed).then(|| cost(&mut draw))).collect())
        .collect();
    let limit = |index: usize, draw: &mut Draw| {
        let (from, length) = (draw.below(m), 1 + draw.below(m));
        let evenings: Vec<usize> = match draw.below(3) {
            0 => (0..m).filter(|_| draw.in_100(60)).collect(),
            1 => (0..m).filter(|e| e / 3 == from / 3).collect(),
            _ => (from..m.min(from + length)).collect(),
        };
        let some = draw.in_100(60).then(|| (0..n).filter(|_| draw.in_100(60)).collect());
        let at_most = draw.below(3) + usize::from(draw.in_100(70));
        MoveLimit { name: format!("limit {index}"), evenings, sessions: some, at_most }
    };
    let limits = (0..draw.below(6)).map(|index| limit(index, &mut draw)).collect();
    let evenings = (0..m).map(|e| format!("evening {e}")).collect();
    MoveProblem { sessions, evenings, costs, limits }
}

pub(crate) fn cost(problem: &MoveProblem, plan: &[Option<usize>]) -> f64 {
    let cost = |(s, e): (usize, &Option<usize>)| match e {
        Some(e) => problem.costs[s][*e].unwrap(),
        None => problem.sessions[s].unplaced_cost.unwrap(),
    };
    plan.iter().enumerate().map(cost).sum()
}

/// Whether a plan, perhaps for the first sessions only, keeps to everything.
pub(crate) fn is_plan(problem: &MoveProblem, plan: &[Option<usize>]) -> bool {
    let is_allowed = |(s, e): (usize, &Option<usize>)| match e {
        Some(e) => problem.costs[s][*e].is_some(),
        None => problem.sessions[s].unplaced_cost.is_some(),
    };
    let holds = |limit: &MoveLimit| {
        let counts = |s: usize| limit.sessions.as_ref().is_none_or(|only| only.contains(&s));
        let is_in = |(s, e): &(usize, &Option<usize>)| {
            counts(*s) && e.is_some_and(|e| limit.evenings.contains(&e))
        };
        plan.iter().enumerate().filter(is_in).count() <= limit.at_most
    };
    let mut taken: Vec<usize> = plan.iter().copied().flatten().collect();
    let placed = taken.len();
    taken.sort_unstable();
    taken.dedup();
    taken.len() == placed
        && plan.iter().enumerate().all(is_allowed)
        && problem.limits.iter().all(holds)
}

/// Every plan there is.
pub(crate) fn all_plans(problem: &MoveProblem) -> Vec<Vec<Option<usize>>> {
    let mut plans = vec![Vec::new()];
    for _ in &problem.sessions {
        let longer = |plan: &Vec<Option<usize>>| -> Vec<Vec<Option<usize>>> {
            let choices = (0..problem.evenings.len()).map(Some).chain([None]);
            choices
                .map(|e| [&plan[..], &[e]].concat())
                .filter(|plan| is_plan(problem, plan))
                .collect()
        };
        plans = plans.iter().flat_map(longer).collect();
    }
    plans
}

/// The problem of some sessions alone, all of which must be placed.
pub(crate) fn part(problem: &MoveProblem, sessions: &[usize]) -> MoveProblem {
    let index = |s: &usize| sessions.iter().position(|t| t == s);
    let limit = |limit: &MoveLimit| MoveLimit {
        sessions: limit.sessions.as_ref().map(|only| only.iter().filter_map(index).collect()),
        ..limit.clone()
    };
    MoveProblem {
        sessions: sessions
            .iter()
            .map(|&s| MoveSession { unplaced_cost: None, ..problem.sessions[s].clone() })
            .collect(),
        evenings: problem.evenings.clone(),
        costs: sessions.iter().map(|&s| problem.costs[s].clone()).collect(),
        limits: problem.limits.iter().map(limit).collect(),
    }
}
