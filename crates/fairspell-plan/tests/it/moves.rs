use fairspell_plan::moves::{
    Clash, MalformedMoves, MoveLimit, MoveNext, MoveProblem, MoveReason, MoveSession, Moves,
    NoMoves, best_moves, best_moves_within,
};
use proptest::prelude::*;

use crate::moves_slow::{all_plans, cost, is_plan, part, small};

/// Costs count in units of 1e-9; six sessions round by less.
const CLOSE: f64 = 1e-6;

fn assert_close(found: f64, expected: f64, what: &str) {
    assert!((found - expected).abs() <= CLOSE, "{what}: {found}, not {expected}");
}

/// Anything that can be known of a small problem by trying every plan.
fn check_against_all_plans(seed: u64) -> bool {
    let problem = small(seed);
    let mut plans: Vec<(f64, Vec<Option<usize>>)> =
        all_plans(&problem).into_iter().map(|plan| (cost(&problem, &plan), plan)).collect();
    plans.sort_by(|a, b| a.0.total_cmp(&b.0));
    let found = best_moves(&problem);
    let Some((least, _)) = plans.first() else {
        let Err(NoMoves::Clash(clash)) = found else { panic!("{seed}: {found:?}, not a clash") };
        check_clash(&problem, &clash, seed);
        return false;
    };
    let moves = found.unwrap_or_else(|none| panic!("{seed}: {none}"));
    let best = &moves.best.evening_of;
    assert!(is_plan(&problem, best), "{seed}: {best:?}");
    assert_close(moves.best.cost, cost(&problem, best), &format!("{seed}: its own cost"));
    assert_close(moves.best.cost, *least, &format!("{seed}: least cost"));
    assert!(moves.proof.proven && moves.proof.second_proven, "{seed}: {:?}", moves.proof);
    assert_close(moves.proof.lower_bound, *least, &format!("{seed}: bound"));
    check_ties(&problem, &plans, best, seed);

    let others = || plans.iter().filter(|(_, plan)| plan != best);
    match (&moves.second, others().next()) {
        (Some(second), Some((cost, _))) => {
            assert!(is_plan(&problem, &second.evening_of) && second.evening_of != *best, "{seed}");
            assert_close(second.cost, *cost, &format!("{seed}: second"));
        }
        (None, None) => {}
        (second, other) => panic!("{seed}: second {second:?}, not {other:?}"),
    }
    for choice in &moves.choices {
        let s = choice.session;
        let what = format!("{seed}: {choice:?}");
        let without = others().find(|(_, plan)| plan[s] != best[s]);
        match (choice.next, without) {
            (MoveNext::Rises(by), Some((cost, _))) => assert_close(by, cost - least, &what),
            (MoveNext::Impossible, None) => {}
            (_, without) => panic!("{what}: without it {without:?}"),
        }
        check_reason(&problem, &plans, &moves, s, &what);
    }
    check_leaves(&problem, &moves, &plans, seed);
    true
}

/// Of equally cheap plans: the earlier evenings in sum, then for the sessions listed first.
fn check_ties(
    problem: &MoveProblem,
    plans: &[(f64, Vec<Option<usize>>)],
    best: &[Option<usize>],
    seed: u64,
) {
    let key = |plan: &[Option<usize>]| {
        let late = plan.iter().map(|e| e.unwrap_or(problem.evenings.len()));
        let weighted = late.clone().rev().enumerate().map(|(rank, e)| (rank + 1) * e);
        (late.clone().sum::<usize>(), weighted.sum::<usize>())
    };
    let equals = plans.iter().filter(|(cost, _)| cost - plans[0].0 < CLOSE);
    let first = equals.map(|(_, plan)| key(plan)).min();
    assert_eq!(Some(key(best)), first, "{seed}: {best:?}");
}

fn check_reason(
    problem: &MoveProblem,
    plans: &[(f64, Vec<Option<usize>>)],
    moves: &Moves,
    s: usize,
    what: &str,
) {
    let (choice, best) = (&moves.choices[s], &moves.best.evening_of);
    let barred = |e: usize| {
        problem.limits.iter().any(|limit| {
            limit.at_most == 0
                && limit.evenings.contains(&e)
                && limit.sessions.as_ref().is_none_or(|only| only.contains(&s))
        })
    };
    let own = (0..problem.evenings.len())
        .filter(|&e| !barred(e))
        .filter_map(|e| Some((problem.costs[s][e]?, e)))
        .min_by(|a, b| a.partial_cmp(b).unwrap());
    assert_eq!(choice.own_cheapest, own.map(|(_, e)| e), "{what}");
    assert_eq!(choice.evening, best[s], "{what}");
    assert_close(choice.cost, cost(&part_free(problem, s), &[best[s]]), what);
    match choice.why {
        MoveReason::LeftUnplaced => assert_eq!(best[s], None, "{what}"),
        MoveReason::OwnCheapest => assert_close(choice.cost, own.unwrap().0, what),
        MoveReason::TakenByOther { session, saved } => {
            let (least, e) = own.unwrap();
            assert!(best[session] == Some(e) && least < choice.cost, "{what}");
            let other = plans.iter().find(|(_, plan)| plan[s] == Some(e));
            match (saved, other) {
                (Some(saved), Some((cost, _))) => assert_close(saved, cost - plans[0].0, what),
                (None, None) => {}
                (_, other) => panic!("{what}: {other:?}"),
            }
        }
        MoveReason::LimitFull { limit } => {
            let mut moved = best.clone();
            moved[s] = choice.own_cheapest;
            let only =
                MoveProblem { limits: vec![problem.limits[limit].clone()], ..problem.clone() };
            assert!(own.unwrap().0 < choice.cost && !is_plan(&only, &moved), "{what}");
            assert!(is_plan(&MoveProblem { limits: vec![], ..problem.clone() }, &moved), "{what}");
        }
    }
}

/// One session alone, which may stay if it may.
fn part_free(problem: &MoveProblem, s: usize) -> MoveProblem {
    let sessions = vec![problem.sessions[s].clone()];
    MoveProblem { sessions, limits: vec![], ..part(problem, &[s]) }
}

/// The proof, checked by the rules of the documentation and nothing else.
fn check_leaves(
    problem: &MoveProblem,
    moves: &Moves,
    plans: &[(f64, Vec<Option<usize>>)],
    seed: u64,
) {
    let (n, m) = (problem.sessions.len(), problem.evenings.len());
    let counts = |k: usize, s: usize, e: usize| {
        let limit = &problem.limits[k];
        limit.evenings.contains(&e) && limit.sessions.as_ref().is_none_or(|only| only.contains(&s))
    };
    assert!(!moves.proof.leaves.is_empty(), "{seed}: no leaves");
    for leaf in &moves.proof.leaves {
        let allows = |s: usize, e: Option<usize>| {
            leaf.rules.iter().filter(|rule| rule.session == s).all(|rule| {
                let is_within = e.is_some_and(|e| problem.limits[rule.limit].evenings.contains(&e));
                is_within == rule.within
            })
        };
        let prices = leaf.evening_prices.iter().chain(&leaf.limit_prices);
        assert!(prices.clone().all(|price| *price >= 0.0), "{seed}: {leaf:?}");
        let mut bound: f64 = leaf.session_values.iter().sum();
        bound -= leaf.evening_prices.iter().sum::<f64>();
        for (limit, price) in problem.limits.iter().zip(&leaf.limit_prices) {
            bound -= price * limit.at_most as f64;
        }
        for s in 0..n {
            let value = leaf.session_values[s];
            if let Some(cost) = problem.sessions[s].unplaced_cost
                && allows(s, None)
            {
                assert!(value <= cost + CLOSE, "{seed}: {s} stays, {leaf:?}");
            }
            for e in (0..m).filter(|&e| allows(s, Some(e))) {
                let limits = (0..problem.limits.len()).filter(|&k| counts(k, s, e));
                let Some(cost) = problem.costs[s][e] else { continue };
                if limits.clone().any(|k| problem.limits[k].at_most == 0) {
                    continue;
                }
                let price: f64 = limits.map(|k| leaf.limit_prices[k]).sum();
                let paid = cost + leaf.evening_prices[e] + price;
                assert!(value <= paid + CLOSE, "{seed}: {s} at {e}, {leaf:?}");
            }
        }
        assert!(bound >= moves.best.cost - CLOSE, "{seed}: {bound}, {leaf:?}");
    }
    // Every plan lies in exactly one leaf.
    for (_, plan) in plans {
        let is_in = |leaf: &&fairspell_plan::moves::MoveLeaf| {
            leaf.rules.iter().all(|rule| {
                let e = plan[rule.session];
                e.is_some_and(|e| problem.limits[rule.limit].evenings.contains(&e)) == rule.within
            })
        };
        assert_eq!(moves.proof.leaves.iter().filter(is_in).count(), 1, "{seed}: {plan:?}");
    }
}

fn check_clash(problem: &MoveProblem, clash: &Clash, seed: u64) {
    let must: Vec<usize> = (0..problem.sessions.len())
        .filter(|&s| problem.sessions[s].unplaced_cost.is_none())
        .collect();
    let clashes = |sessions: &[usize], limits: Option<&[usize]>| {
        let mut part = part(problem, sessions);
        if let Some(limits) = limits {
            part.limits = limits.iter().map(|&k| part.limits[k].clone()).collect();
        }
        all_plans(&part).is_empty()
    };
    let subsets = (1_u32..1 << must.len()).map(|bits| -> Vec<usize> {
        must.iter().enumerate().filter(|(i, _)| bits >> i & 1 == 1).map(|(_, &s)| s).collect()
    });
    let fewest = subsets.filter(|it| clashes(it, None)).map(|it| it.len()).min();
    assert!(clash.is_smallest, "{seed}: {clash:?}");
    assert!(clashes(&clash.sessions, None), "{seed}: {clash:?} is none");
    assert_eq!(Some(clash.sessions.len()), fewest, "{seed}: {clash:?}");
    assert!(clashes(&clash.sessions, Some(&clash.limits)), "{seed}: {clash:?}: more limits");
    for k in &clash.limits {
        let others: Vec<usize> = clash.limits.iter().copied().filter(|it| it != k).collect();
        assert!(!clashes(&clash.sessions, Some(&others)), "{seed}: {clash:?}: without {k}");
    }
    let left = |e: &usize| clash.sessions.iter().any(|&s| problem.costs[s][*e].is_some());
    let left: Vec<usize> = (0..problem.evenings.len()).filter(left).collect();
    assert_eq!(clash.evenings, left, "{seed}");
}

#[test]
fn hundreds_of_small_problems_come_out_as_when_every_plan_is_tried() {
    let count = 3000;
    let solved = (0..count).filter(|&seed| check_against_all_plans(seed)).count();
    assert!(solved > 600 && count - (solved as u64) > 300, "{solved} of {count} have a plan");
}
