//! Which session moves to which evening: the cheapest plan for all sessions that must move, with
//! the proof that no other is cheaper.
//!
//! Weather takes a week, and six families need other evenings. Moving each to its own best evening
//! does not work when two want the same one, when a week has room for three sessions or when a long
//! drive fits only once a week. [`best_moves`] takes what each pair of session and evening would
//! cost (whatever that is made of) and returns the plan of least cost, the second best, why each
//! session got its evening, and the prices that prove it. When there is no plan it names the fewest
//! sessions that cannot all be placed.
//!
//! # The problem
//!
//! With `x(s,e) = 1` where session `s` gets evening `e`, `z(s) = 1` where it stays without a date,
//! and limits `k` over evenings `E_k` and sessions `S_k`:
//!
//! ```text
//! minimise    sum c(s,e) x(s,e) + sum f(s) z(s)
//! subject to  sum over e of x(s,e) + z(s)           = 1       every session s
//!             sum over s of x(s,e)                 <= 1       every evening e
//!             sum over s in S_k, e in E_k of x(s,e) <= b_k    every limit k
//! ```
//!
//! # The method
//!
//! Limits over all sessions whose evenings are nested or apart (weeks, months) form a tree, and the
//! problem with these alone is a flow of least cost from sessions over evenings and weeks to a
//! sink. It is solved by shortest augmenting paths with prices (`moves_flow`), whole by itself.
//! Each other limit `k` gets a price `l_k >= 0` that every pair in it pays (`moves_price`); for any
//! prices
//!
//! ```text
//! L(l) = least cost of a flow with c(s,e) + sum of l_k over the limits of (s,e)  -  sum l_k b_k
//! ```
//!
//! is no more than the cost of any plan. Prices are raised and lowered one at a time, each to the
//! top of `L` along it, and then together where that led (`moves_climb`). What gap is left is
//! closed by branch and bound (`moves_branch`): a session is either within a limit or out of it,
//! and both are solved, the lower bound first.
//!
//! All this is in whole numbers: a cost counts in units of 1e-9, and below that unit stands which
//! of two equally cheap plans comes first (the earlier evenings in sum, then the earlier evenings
//! for the sessions listed first; a long search gives that up and heeds cost alone). So "proven" is
//! meant to the letter; rounding to the unit moves a plan's cost by 1e-7 at most.
//!
//! # The proof
//!
//! Each [`MoveLeaf`] holds prices, and the leaves together leave no plan out. With `u` the
//! sessions' values, `p` the evenings' and `l` the limits' prices, anyone can check, to 1e-6,
//!
//! ```text
//! u(s) <= c(s,e) + p(e) + sum of l_k over the limits of (s,e)     every pair that the leaf allows
//! u(s) <= f(s)                                                    where the leaf lets s stay
//! sum u(s) - sum p(e) - sum l_k b_k  >=  cost of the best plan
//! ```
//!
//! which is the bound of linear programming duality.
//!
//! # Source
//!
//! Successive shortest paths with prices: Ahuja, Magnanti and Orlin, "Network Flows" (1993),
//! chapters 9 and 12 (the assignment problem there is Kuhn's Hungarian method). Prices for limits:
//! Geoffrion, "Lagrangean relaxation for integer programming", Mathematical Programming Study 2
//! (1974), 82-114. Second best: Murty, "An algorithm for ranking all the assignments in order of
//! increasing cost", Operations Research 16(3) (1968), 682-687; as only one more plan is wanted,
//! and for each session what it would cost to do without its evening, his parts are solved without
//! keeping them apart.

use crate::{
    moves_branch::{Node, Outcome, Search},
    moves_check::check,
    moves_clash::clash,
    moves_model::{Model, as_cost, cost_of},
    moves_why::{Asked, choices, polished},
};

pub use crate::moves_check::MalformedMoves;

/// No problem takes more sessions than these.
pub const SESSIONS_MAX: usize = 200;

/// No problem takes more evenings than these.
pub const EVENINGS_MAX: usize = 400;

/// No problem takes more limits than these.
pub const LIMITS_MAX: usize = 400;

/// No cost lies further from zero than this.
pub const COST_MAX: f64 = 1e6;

/// Nodes that [`best_moves`] spends on the best plan before it states a gap instead; fewer where a
/// problem has more than [`PAIRS_QUICK`] pairs of session and evening, in proportion.
pub const NODES_MAX: usize = 5000;

/// Up to so many pairs of session and evening a node takes a millisecond at most.
pub const PAIRS_QUICK: usize = 2400;

/// Sessions that must move, free evenings, and what each pair would cost.
///
/// Costs are in any one unit, the lower the better; they may be negative.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct MoveProblem {
    /// The sessions.
    pub sessions: Vec<MoveSession>,
    /// The evenings by id, usually an ISO date, the earliest first. Each takes one session.
    pub evenings: Vec<String>,
    /// What each pair costs, `[session][evening]`; `None`: this session cannot have this evening.
    pub costs: Vec<Vec<Option<f64>>>,
    /// What else must hold.
    pub limits: Vec<MoveLimit>,
}

/// A session that must move.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct MoveSession {
    /// Its id.
    pub id: String,
    /// What it costs to leave it without a date; `None`: it must have one.
    pub unplaced_cost: Option<f64>,
}

/// At most so many sessions on these evenings: a week, long drives in a week, an artist's day.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct MoveLimit {
    /// What it is called.
    pub name: String,
    /// The evenings that it is about, by index.
    pub evenings: Vec<usize>,
    /// The sessions that count, by index; `None`: all.
    pub sessions: Option<Vec<usize>>,
    /// How many of them at most.
    pub at_most: usize,
}

/// What [`best_moves`] found.
#[derive(Debug, Clone, PartialEq)]
pub struct Moves {
    /// The cheapest plan, or the cheapest that was found where the proof is not whole.
    pub best: MovePlan,
    /// The cheapest plan that gives at least one session another evening. `None` where there is no
    /// other plan, or where it is not proven ([`MoveProof::second_proven`] says which).
    pub second: Option<MovePlan>,
    /// What each session got, and why, in the order of the sessions.
    pub choices: Vec<MoveChoice>,
    /// Why no plan is cheaper.
    pub proof: MoveProof,
}

/// A plan for all sessions.
#[derive(Debug, Clone, PartialEq)]
pub struct MovePlan {
    /// The evening of each session, by index; `None`: it stays without a date.
    pub evening_of: Vec<Option<usize>>,
    /// What the plan costs, in the unit of the costs.
    pub cost: f64,
}

/// What a session got.
#[derive(Debug, Clone, PartialEq)]
pub struct MoveChoice {
    /// The session, by index.
    pub session: usize,
    /// Its evening, by index; `None`: it stays without a date.
    pub evening: Option<usize>,
    /// What that costs.
    pub cost: f64,
    /// The evening that would be cheapest for it alone (the earliest of several); `None`: there is
    /// no evening that it can have.
    pub own_cheapest: Option<usize>,
    /// Why it got what it got.
    pub why: MoveReason,
    /// How much the whole plan rises if this session may not have this evening (or may not stay
    /// without a date, where it does).
    pub next: MoveNext,
}

/// Why a session got its evening.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum MoveReason {
    /// No evening is cheaper for it.
    OwnCheapest,
    /// Its cheapest evening went to another session.
    TakenByOther {
        /// Which session, by index.
        session: usize,
        /// How much dearer the cheapest plan is that gives this session its cheapest evening;
        /// `None`: there is no such plan, or none is proven.
        saved: Option<f64>,
    },
    /// Its cheapest evening is free, but a limit there is full.
    LimitFull {
        /// Which limit, by index.
        limit: usize,
    },
    /// It stays without a date: that is cheaper for the whole plan than any evening.
    LeftUnplaced,
}

/// How much a plan rises when a session does without what it got.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum MoveNext {
    /// By this much; never negative.
    Rises(f64),
    /// There is no plan without it.
    Impossible,
    /// The nodes ran out: by at least this much.
    NotProven {
        /// At least by this; 0 where nothing is known.
        at_least: f64,
    },
}

/// Why no plan is cheaper than the best.
#[derive(Debug, Clone, PartialEq)]
pub struct MoveProof {
    /// No plan costs less than this.
    pub lower_bound: f64,
    /// The best plan's cost less the bound; 0 where it is proven.
    pub gap: f64,
    /// Whether the best plan is proven to be the cheapest.
    pub proven: bool,
    /// Whether the second plan is proven, or that there is none.
    pub second_proven: bool,
    /// Nodes of the tree for the best plan; 1 where no branching was needed.
    pub nodes: usize,
    /// Nodes of all trees: also those for the second plan and for the reasons.
    pub nodes_in_all: usize,
    /// Which limits are held by the flow itself, by index; the others by prices and branching.
    pub limits_in_flow: Vec<usize>,
    /// The leaves of the tree with their prices. Empty where the best plan is not proven, or where
    /// there are more than [`LEAVES_MAX`].
    pub leaves: Vec<MoveLeaf>,
}

/// No proof carries more leaves than these.
pub const LEAVES_MAX: usize = 1000;

/// A part of all plans, and prices that prove that no plan in it is cheaper than the best.
///
/// The [documentation of the module](self) says what to check.
#[derive(Debug, Clone, PartialEq)]
pub struct MoveLeaf {
    /// What holds in this part, in the order of branching: of two leaves that part ways, the first
    /// rule that differs has the same session and limit, once within and once out.
    pub rules: Vec<MoveRule>,
    /// The value of each session.
    pub session_values: Vec<f64>,
    /// The price of each evening, at least 0.
    pub evening_prices: Vec<f64>,
    /// The price of each limit, at least 0. A limit of none at all has the price 0: its pairs count
    /// as forbidden.
    pub limit_prices: Vec<f64>,
}

/// A session is within a limit, or out of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct MoveRule {
    /// The session, by index.
    pub session: usize,
    /// The limit, by index.
    pub limit: usize,
    /// Whether it has one of the limit's evenings; otherwise it has none of them.
    pub within: bool,
}

/// Why there is no plan.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoMoves {
    /// The problem itself is faulty: mend it.
    #[error(transparent)]
    Malformed(#[from] MalformedMoves),
    /// Some sessions cannot all be placed: free an evening, relax a limit, or leave one of them
    /// without a date.
    #[error("{} sessions cannot all be placed", .0.sessions.len())]
    Clash(Clash),
    /// The search ended before it found a plan or a clash.
    #[error("neither a plan nor a clash was found within {nodes} nodes")]
    NotSettled {
        /// How many nodes were solved.
        nodes: usize,
    },
}

/// Sessions that cannot all be placed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Clash {
    /// The fewest sessions that cannot all be placed, by index, ascending.
    pub sessions: Vec<usize>,
    /// The evenings left to them, by index, ascending.
    pub evenings: Vec<usize>,
    /// The limits that it takes for the clash, by index, ascending: without any one of them, and
    /// with none but the others, these sessions could be placed.
    pub limits: Vec<usize>,
    /// Whether it is proven that no fewer sessions clash. Where there are too many to try, the
    /// clash is one all the same, and mostly one without idle sessions.
    pub is_smallest: bool,
}

/// The cheapest plan for all sessions, with its proof.
///
/// # Errors
///
/// [`NoMoves::Malformed`] for a problem that contradicts itself, [`NoMoves::Clash`] with the fewest
/// sessions that cannot all be placed, [`NoMoves::NotSettled`] where [`NODES_MAX`] ran out before
/// either was known.
///
/// # Examples
///
/// ```
/// use fairspell_plan::moves::{MoveProblem, MoveReason, MoveSession, best_moves};
///
/// // Both would rather have Wednesday; the second family minds Thursday more.
/// let session = |id: &str| MoveSession { id: id.to_owned(), unplaced_cost: None };
/// let problem = MoveProblem {
///     sessions: vec![session("linh"), session("okafor")],
///     evenings: vec!["2026-09-16".to_owned(), "2026-09-17".to_owned()],
///     costs: vec![vec![Some(1.0), Some(3.0)], vec![Some(2.0), Some(9.0)]],
///     limits: vec![],
/// };
/// let moves = best_moves(&problem)?;
/// assert_eq!(moves.best.evening_of, [Some(1), Some(0)]);
/// assert_eq!(moves.best.cost, 5.0);
/// let why = MoveReason::TakenByOther { session: 1, saved: Some(5.0) };
/// assert_eq!(moves.choices[0].why, why);
/// assert!(moves.proof.proven);
/// # Ok::<(), fairspell_plan::moves::NoMoves>(())
/// ```
///
/// # Source
///
/// See the [documentation of the module](self).
pub fn best_moves(problem: &MoveProblem) -> Result<Moves, NoMoves> {
    let pairs = problem.sessions.len() * problem.evenings.len();
    best_moves_within(problem, NODES_MAX * PAIRS_QUICK / pairs.max(PAIRS_QUICK))
}

/// The same with another number of nodes for the best plan; the other questions get as many again
/// in all.
///
/// # Errors
///
/// As [`best_moves`].
pub fn best_moves_within(problem: &MoveProblem, nodes_max: usize) -> Result<Moves, NoMoves> {
    check(problem)?;
    let model = Model::new(problem);
    let mut search = Search::new(&model);
    let root = Node::root(&model);
    let outcome = search.run(root, nodes_max, true);
    let Some((_, at)) = outcome.plan.clone() else {
        if !outcome.proven {
            return Err(NoMoves::NotSettled { nodes: outcome.nodes });
        }
        return Err(NoMoves::Clash(clash(problem)));
    };
    let at = if outcome.proven { at } else { polished(problem, &model, at) };
    let best = plan(problem, &at);
    let Asked { choices, second, second_proven, nodes } =
        choices(problem, &mut search, &outcome, &at, nodes_max);
    let second = second.map(|at| plan(problem, &at));
    let proof = proof(&model, &outcome, &best, second_proven, nodes);
    Ok(Moves { best, second, choices, proof })
}

fn plan(problem: &MoveProblem, at: &[usize]) -> MovePlan {
    let evening_of = at.iter().map(|&e| (e < problem.evenings.len()).then_some(e)).collect();
    let costs = at.iter().enumerate().map(|(s, &e)| cost_of(problem, s, e));
    MovePlan { evening_of, cost: costs.fold(0.0, |sum, cost| sum + cost) }
}

fn proof(
    model: &Model,
    outcome: &Outcome,
    best: &MovePlan,
    second_proven: bool,
    nodes: usize,
) -> MoveProof {
    let lower_bound = if outcome.proven { best.cost } else { as_cost(outcome.bound) };
    MoveProof {
        lower_bound: lower_bound.min(best.cost),
        gap: (best.cost - lower_bound).max(0.0),
        proven: outcome.proven,
        second_proven,
        nodes: outcome.nodes,
        nodes_in_all: outcome.nodes + nodes,
        limits_in_flow: model.limits_in_flow(),
        leaves: if outcome.proven { outcome.leaves.clone() } else { Vec::new() },
    }
}
