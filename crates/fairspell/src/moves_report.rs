//! What `fairspell moves` found, by name: as JSON, and ready to be said.

use fairspell_plan::moves::{
    Clash, MoveChoice, MoveLeaf, MoveNext, MovePlan, MoveProblem, MoveReason, Moves,
};
use fairspell_words::{ClashTold, MoveTold, MovesTold, NextTold, SecondTold, WhyTold};
use serde::Serialize;

/// What is printed; its keys are stable.
#[derive(Serialize)]
pub(crate) struct MovesReport<'a> {
    plan: Option<PlanReport<'a>>,
    second: Option<PlanReport<'a>>,
    choices: Vec<ChoiceReport<'a>>,
    proof: Option<ProofReport<'a>>,
    clash: Option<ClashReport<'a>>,
}

#[derive(Serialize)]
struct PlanReport<'a> {
    cost: f64,
    moves: Vec<MoveReport<'a>>,
}

#[derive(Serialize)]
struct MoveReport<'a> {
    session: &'a str,
    evening: Option<&'a str>,
}

#[derive(Serialize)]
struct ChoiceReport<'a> {
    session: &'a str,
    evening: Option<&'a str>,
    cost: f64,
    own_cheapest: Option<&'a str>,
    why: WhyReport<'a>,
    next: NextReport,
}

#[derive(Serialize)]
#[serde(tag = "reason", rename_all = "snake_case")]
enum WhyReport<'a> {
    OwnCheapest,
    TakenByOther { session: &'a str, saved: Option<f64> },
    LimitFull { limit: &'a str },
    LeftUnplaced,
}

#[derive(Serialize)]
#[serde(tag = "is", rename_all = "snake_case")]
enum NextReport {
    Rises { by: f64 },
    Impossible,
    NotProven { at_least: f64 },
}

#[derive(Serialize)]
struct ProofReport<'a> {
    proven: bool,
    second_proven: bool,
    lower_bound: f64,
    gap: f64,
    nodes: usize,
    nodes_in_all: usize,
    limits_in_flow: Vec<&'a str>,
    leaves: Vec<LeafReport<'a>>,
}

#[derive(Serialize)]
struct LeafReport<'a> {
    rules: Vec<RuleReport<'a>>,
    sessions: Vec<PriceReport<'a>>,
    evenings: Vec<PriceReport<'a>>,
    limits: Vec<PriceReport<'a>>,
}

#[derive(Serialize)]
struct RuleReport<'a> {
    session: &'a str,
    limit: &'a str,
    within: bool,
}

#[derive(Serialize)]
struct PriceReport<'a> {
    id: &'a str,
    value: f64,
}

#[derive(Serialize)]
struct ClashReport<'a> {
    sessions: Vec<&'a str>,
    evenings: Vec<&'a str>,
    limits: Vec<&'a str>,
    is_smallest: bool,
}

/// A cost to nine decimals, the unit that the search counts in.
fn rounded(cost: f64) -> f64 {
    (cost * 1e9).round() / 1e9 + 0.0
}

fn session(problem: &MoveProblem, s: usize) -> &str {
    &problem.sessions[s].id
}

fn evening(problem: &MoveProblem, e: usize) -> &str {
    &problem.evenings[e]
}

fn limit(problem: &MoveProblem, k: usize) -> &str {
    &problem.limits[k].name
}

/// A plan as JSON.
pub(crate) fn moves_report<'a>(problem: &'a MoveProblem, moves: &'a Moves) -> MovesReport<'a> {
    let proof = &moves.proof;
    MovesReport {
        plan: Some(plan_report(problem, &moves.best)),
        second: moves.second.as_ref().map(|second| plan_report(problem, second)),
        choices: moves.choices.iter().map(|choice| choice_report(problem, choice)).collect(),
        proof: Some(ProofReport {
            proven: proof.proven,
            second_proven: proof.second_proven,
            lower_bound: rounded(proof.lower_bound),
            gap: rounded(proof.gap),
            nodes: proof.nodes,
            nodes_in_all: proof.nodes_in_all,
            limits_in_flow: proof.limits_in_flow.iter().map(|&k| limit(problem, k)).collect(),
            leaves: proof.leaves.iter().map(|leaf| leaf_report(problem, leaf)).collect(),
        }),
        clash: None,
    }
}

/// A clash as JSON.
pub(crate) fn clash_report<'a>(problem: &'a MoveProblem, clash: &Clash) -> MovesReport<'a> {
    let ClashTold { sessions, evenings, limits, is_smallest } = clash_told(problem, clash);
    let limits = limits.iter().map(|(name, _)| *name).collect();
    let clash = Some(ClashReport { sessions, evenings, limits, is_smallest });
    MovesReport { plan: None, second: None, choices: Vec::new(), proof: None, clash }
}

fn plan_report<'a>(problem: &'a MoveProblem, plan: &MovePlan) -> PlanReport<'a> {
    let moves = plan.evening_of.iter().enumerate().map(|(s, e)| MoveReport {
        session: session(problem, s),
        evening: e.map(|e| evening(problem, e)),
    });
    PlanReport { cost: rounded(plan.cost), moves: moves.collect() }
}

fn choice_report<'a>(problem: &'a MoveProblem, choice: &MoveChoice) -> ChoiceReport<'a> {
    ChoiceReport {
        session: session(problem, choice.session),
        evening: choice.evening.map(|e| evening(problem, e)),
        cost: rounded(choice.cost),
        own_cheapest: choice.own_cheapest.map(|e| evening(problem, e)),
        why: match choice.why {
            MoveReason::OwnCheapest => WhyReport::OwnCheapest,
            MoveReason::TakenByOther { session: other, saved } => WhyReport::TakenByOther {
                session: session(problem, other),
                saved: saved.map(rounded),
            },
            MoveReason::LimitFull { limit: full } => {
                WhyReport::LimitFull { limit: limit(problem, full) }
            }
            MoveReason::LeftUnplaced => WhyReport::LeftUnplaced,
        },
        next: match choice.next {
            MoveNext::Rises(by) => NextReport::Rises { by: rounded(by) },
            MoveNext::Impossible => NextReport::Impossible,
            MoveNext::NotProven { at_least } => {
                NextReport::NotProven { at_least: rounded(at_least) }
            }
        },
    }
}

/// A leaf; evenings and limits without a price are left out.
fn leaf_report<'a>(problem: &'a MoveProblem, leaf: &MoveLeaf) -> LeafReport<'a> {
    let rules = leaf.rules.iter().map(|rule| RuleReport {
        session: session(problem, rule.session),
        limit: limit(problem, rule.limit),
        within: rule.within,
    });
    let priced = |prices: &[f64], name: fn(&MoveProblem, usize) -> &str| {
        let prices = prices.iter().enumerate();
        let prices = prices
            .map(|(index, value)| PriceReport { id: name(problem, index), value: rounded(*value) });
        prices.filter(|price| price.value > 0.0).collect()
    };
    let values = leaf.session_values.iter().enumerate();
    LeafReport {
        rules: rules.collect(),
        sessions: values
            .map(|(s, value)| PriceReport { id: session(problem, s), value: rounded(*value) })
            .collect(),
        evenings: priced(&leaf.evening_prices, evening),
        limits: priced(&leaf.limit_prices, limit),
    }
}

/// A plan, ready to be said.
pub(crate) fn moves_told<'a>(problem: &'a MoveProblem, moves: &Moves) -> MovesTold<'a> {
    let told = |choice: &MoveChoice| {
        let own = choice.own_cheapest.map_or("", |e| evening(problem, e));
        MoveTold {
            session: session(problem, choice.session),
            evening: choice.evening.map(|e| evening(problem, e)),
            cost: choice.cost,
            why: match choice.why {
                MoveReason::OwnCheapest => WhyTold::OwnCheapest,
                MoveReason::TakenByOther { session: other, saved } => {
                    WhyTold::TakenByOther { evening: own, session: session(problem, other), saved }
                }
                MoveReason::LimitFull { limit: full } => {
                    WhyTold::LimitFull { evening: own, limit: limit(problem, full) }
                }
                MoveReason::LeftUnplaced => WhyTold::LeftUnplaced,
            },
            next: match choice.next {
                MoveNext::Rises(by) => NextTold::Rises(by),
                MoveNext::Impossible => NextTold::Impossible,
                MoveNext::NotProven { at_least } => NextTold::NotProven(at_least),
            },
        }
    };
    let second = match &moves.second {
        None if moves.proof.second_proven => SecondTold::None,
        None => SecondTold::NotProven,
        Some(second) => {
            let pairs = second.evening_of.iter().zip(&moves.best.evening_of).enumerate();
            let others = pairs
                .filter(|(_, (other, best))| other != best)
                .map(|(s, (e, _))| (session(problem, s), e.map(|e| evening(problem, e))));
            SecondTold::Found(second.cost, others.collect())
        }
    };
    MovesTold {
        cost: moves.best.cost,
        lower_bound: moves.proof.lower_bound,
        proven: moves.proof.proven,
        moves: moves.choices.iter().map(told).collect(),
        second,
    }
}

/// A clash, ready to be said.
pub(crate) fn clash_told<'a>(problem: &'a MoveProblem, clash: &Clash) -> ClashTold<'a> {
    let limit = |&k: &usize| (problem.limits[k].name.as_str(), problem.limits[k].at_most);
    ClashTold {
        sessions: clash.sessions.iter().map(|&s| session(problem, s)).collect(),
        evenings: clash.evenings.iter().map(|&e| evening(problem, e)).collect(),
        limits: clash.limits.iter().map(limit).collect(),
        is_smallest: clash.is_smallest,
    }
}
