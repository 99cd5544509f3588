use fairspell_plan::moves::{
    Clash, MalformedMoves, MoveChoice, MoveLimit, MoveNext, MoveProblem, MoveReason, MoveSession,
    Moves, NoMoves, best_moves, best_moves_within,
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
    let count = 2000;
    let solved = (0..count).filter(|&seed| check_against_all_plans(seed)).count();
    assert!(solved > 600 && count - (solved as u64) > 300, "{solved} of {count} have a plan");
}

fn session(id: &str) -> MoveSession {
    MoveSession { id: id.to_owned(), unplaced_cost: None }
}

fn limit(name: &str, evenings: &[usize], sessions: Option<&[usize]>, at_most: usize) -> MoveLimit {
    let (evenings, sessions) = (evenings.to_vec(), sessions.map(<[usize]>::to_vec));
    MoveLimit { name: name.to_owned(), evenings, sessions, at_most }
}

/// Two sessions, three evenings, one week.
fn plain() -> MoveProblem {
    MoveProblem {
        sessions: vec![session("a"), session("b")],
        evenings: ["2026-09-16", "2026-09-17", "2026-09-22"].map(str::to_owned).to_vec(),
        costs: vec![vec![Some(1.0), Some(2.0), Some(4.0)], vec![Some(1.5), None, Some(9.0)]],
        limits: vec![limit("week", &[0, 1], None, 1)],
    }
}

#[test]
fn a_full_week_sends_the_session_on_that_minds_least() {
    let moves = best_moves(&plain()).unwrap();
    assert_eq!(moves.best.evening_of, [Some(2), Some(0)]);
    assert_close(moves.best.cost, 5.5, "best");
    assert_eq!(moves.second.unwrap().evening_of, [Some(0), Some(2)]);
    assert_eq!(moves.choices[0].why, MoveReason::TakenByOther { session: 1, saved: Some(4.5) });
    assert_eq!(moves.choices[1].why, MoveReason::OwnCheapest);
    assert_eq!(moves.choices[1].next, MoveNext::Rises(4.5));

    let mut other = plain();
    other.costs[0][0] = None;
    let moves = best_moves(&other).unwrap();
    assert_eq!(moves.choices[0].why, MoveReason::LimitFull { limit: 0 });
}

#[test]
fn nobody_to_move_is_a_plan_of_no_cost() {
    let moves = best_moves(&MoveProblem::default()).unwrap();
    assert!(moves.best.evening_of.is_empty() && moves.proof.proven && moves.second.is_none());
    assert_eq!(moves.best.cost.to_bits(), 0.0_f64.to_bits());
}

#[test]
fn a_session_without_any_evening_stays_where_it_may_and_clashes_where_it_must_not() {
    let mut problem = MoveProblem { evenings: vec![], limits: vec![], ..plain() };
    problem.costs = vec![vec![], vec![]];
    let NoMoves::Clash(clash) = best_moves(&problem).unwrap_err() else { panic!("no clash") };
    assert_eq!((clash.sessions, clash.evenings), (vec![0], vec![]));
    for session in &mut problem.sessions {
        session.unplaced_cost = Some(3.0);
    }
    let moves = best_moves(&problem).unwrap();
    assert_eq!(moves.best.evening_of, [None, None]);
    assert_eq!(moves.choices[0].next, MoveNext::Impossible);
    assert_eq!(moves.choices[0].why, MoveReason::LeftUnplaced);
}

#[test]
fn two_that_can_only_have_one_evening_are_named_and_nobody_else() {
    let mut problem = MoveProblem { limits: vec![], ..plain() };
    problem.sessions.extend([session("c"), session("d")]);
    problem.costs = vec![
        vec![Some(1.0), Some(1.0), Some(1.0)],
        vec![None, Some(1.0), None],
        vec![Some(1.0), Some(1.0), Some(1.0)],
        vec![None, Some(5.0), None],
    ];
    let NoMoves::Clash(clash) = best_moves(&problem).unwrap_err() else { panic!("no clash") };
    let (sessions, evenings) = (vec![1, 3], vec![1]);
    assert_eq!(clash, Clash { sessions, evenings, limits: vec![], is_smallest: true });
}

/// Of 51 sessions over 50 evenings, 41 can have only 45: no fewer than all clash, and where more
/// would be needed than could be blocked at all, nothing is tried.
#[test]
fn a_clash_of_everybody_is_found_without_trying_every_part() {
    let allowed = |s: usize, e: usize| (s >= 41 || e < 45).then_some(1.0);
    let problem = MoveProblem {
        sessions: (0..51).map(|s| session(&s.to_string())).collect(),
        evenings: (0..50).map(|e| e.to_string()).collect(),
        costs: (0..51).map(|s| (0..50).map(|e| allowed(s, e)).collect()).collect(),
        limits: vec![],
    };
    let NoMoves::Clash(clash) = best_moves(&problem).unwrap_err() else { panic!("no clash") };
    assert_eq!((clash.sessions.len(), clash.is_smallest), (51, true));
}

#[test]
fn every_fault_of_a_problem_is_named() {
    let check = |change: &dyn Fn(&mut MoveProblem), said: &str| {
        let mut problem = plain();
        change(&mut problem);
        let error = best_moves(&problem).unwrap_err();
        assert!(matches!(error, NoMoves::Malformed(_)), "{error:?}");
        assert_eq!(error.to_string(), said);
    };
    check(&|it| it.sessions.truncate(1), "2 rows of costs, expected 1");
    check(&|it| it.costs[1].truncate(2), "2 costs of session `b`, expected 3");
    check(&|it| it.sessions[1].id = "a".to_owned(), "the session `a` stands twice");
    check(&|it| it.sessions[0].id = " ".to_owned(), "the session at index 0 has no name");
    check(&|it| it.evenings[2] = it.evenings[0].clone(), "the evening `2026-09-16` stands twice");
    check(&|it| it.evenings[2].clear(), "the evening at index 2 has no name");
    check(&|it| it.limits.push(it.limits[0].clone()), "the limit `week` stands twice");
    check(&|it| it.limits[0].name.clear(), "the limit at index 0 has no name");
    check(
        &|it| it.costs[0][1] = Some(f64::NAN),
        "session `a`, evening `2026-09-17`: cost NaN, expected -1000000 to 1000000",
    );
    check(
        &|it| it.costs[0][0] = Some(f64::NEG_INFINITY),
        "session `a`, evening `2026-09-16`: cost -inf, expected -1000000 to 1000000",
    );
    check(
        &|it| it.sessions[1].unplaced_cost = Some(1.1e6),
        "session `b`, without a date: cost 1100000, expected -1000000 to 1000000",
    );
    check(&|it| it.limits[0].evenings.push(3), "limit `week` names evening 3, there are 3");
    check(&|it| it.limits[0].evenings.push(1), "limit `week` names evening 1 twice");
    let counts = |sessions: &[usize]| Some(sessions.to_vec());
    check(
        &|it| it.limits[0].sessions = counts(&[0, 2]),
        "limit `week` names session 2, there are 2",
    );
    check(&|it| it.limits[0].sessions = counts(&[1, 1]), "limit `week` names session 1 twice");
    check(
        &|it| it.sessions = (0..201).map(|s| session(&s.to_string())).collect(),
        "201 sessions, at most 200 can be searched",
    );
    check(
        &|it| it.evenings = (0..401).map(|e| e.to_string()).collect(),
        "401 evenings, at most 400 can be searched",
    );
    check(
        &|it| it.limits = (0..401).map(|k| limit(&k.to_string(), &[], None, 1)).collect(),
        "401 limits, at most 400 can be searched",
    );
    let error = MalformedMoves::Nameless { what: "session", index: 0 };
    assert_eq!(NoMoves::from(error.clone()), NoMoves::Malformed(error));
}

#[test]
fn costs_at_the_ends_of_what_is_allowed_neither_overflow_nor_lose_the_order() {
    let mut problem = plain();
    let most = 1e6;
    problem.costs = vec![vec![Some(-most), Some(most), Some(most)], vec![Some(most), None, None]];
    problem.sessions[1].unplaced_cost = Some(most);
    problem.limits = vec![];
    let moves = best_moves(&problem).unwrap();
    assert_eq!(moves.best.evening_of, [Some(0), None]);
    assert_close(moves.best.cost, 0.0, "best");

    // The largest problem with the largest costs: all that is added up must stay in range.
    let (n, m) = (198, 198);
    let row = |s: usize| {
        (0..m).map(|e| Some(if (s + e).is_multiple_of(3) { -most } else { most })).collect()
    };
    let large = MoveProblem {
        sessions: (0..n).map(|s| session(&s.to_string())).collect(),
        evenings: (0..m).map(|e| e.to_string()).collect(),
        costs: (0..n).map(row).collect(),
        limits: vec![limit("some", &[0, 1, 2], Some(&[0, 1, 2, 3]), 1)],
    };
    let moves = best_moves_within(&large, 2).unwrap();
    assert_close(moves.best.cost, -198.0 * most, "large");
}

/// One node is all there is.
#[test]
fn without_nodes_to_spend_a_plan_comes_with_its_gap_and_nothing_is_claimed() {
    let open = (0..3000).map(small).filter_map(|problem| {
        let moves = best_moves_within(&problem, 1).ok()?;
        (!moves.proof.proven).then_some((problem, moves))
    });
    let open: Vec<_> = open.collect();
    assert!(open.len() >= 3, "only {} need more than one node", open.len());
    for (problem, moves) in open {
        let whole = best_moves(&problem).unwrap();
        let proof = &moves.proof;
        assert!(is_plan(&problem, &moves.best.evening_of));
        assert!(proof.lower_bound <= whole.best.cost + CLOSE, "{proof:?}");
        assert!(moves.best.cost >= whole.best.cost - CLOSE, "{moves:?}");
        assert_close(proof.gap, moves.best.cost - proof.lower_bound, "gap");
        assert!(moves.second.is_none() && !proof.second_proven && proof.leaves.is_empty());
        let says_nothing =
            |choice: &MoveChoice| choice.next == MoveNext::NotProven { at_least: 0.0 };
        assert!(moves.choices.iter().all(says_nothing), "{moves:?}");
    }
    let none = (0..3000).filter(|&seed| {
        matches!(best_moves_within(&small(seed), 0), Err(NoMoves::NotSettled { nodes: 0 }))
    });
    assert!(none.count() >= 3);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn any_small_problem_comes_out_as_when_every_plan_is_tried(seed in 1_000_000_u64..) {
        check_against_all_plans(seed);
    }

    #[test]
    fn the_same_problem_has_the_same_answer(seed in any::<u64>()) {
        let problem = small(seed);
        prop_assert_eq!(best_moves(&problem), best_moves(&problem));
    }

    /// A limit more never makes a plan cheaper, an evening more never dearer.
    #[test]
    fn what_is_taken_away_never_helps(seed in any::<u64>()) {
        let problem = small(seed);
        let mut looser = problem.clone();
        looser.limits.pop();
        if let (Ok(tight), Ok(loose)) = (best_moves(&problem), best_moves(&looser)) {
            prop_assert!(loose.best.cost <= tight.best.cost + CLOSE);
        }
        let mut wider = problem.clone();
        wider.evenings.push("one more".to_owned());
        wider.costs.iter_mut().for_each(|row| row.push(Some(0.5)));
        if let Ok(moves) = best_moves(&problem) {
            let wide = best_moves(&wider).unwrap();
            prop_assert!(wide.best.cost <= moves.best.cost + CLOSE);
        }
    }
}
