//! What can be wrong with a problem of moves.

use std::collections::BTreeSet;

use crate::moves::{COST_MAX, EVENINGS_MAX, LIMITS_MAX, MoveLimit, MoveProblem, SESSIONS_MAX};

/// What is wrong with a problem of moves.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MalformedMoves {
    /// More than can be searched.
    #[error("{count} {what}, at most {most} can be searched")]
    TooMany {
        /// Of what.
        what: &'static str,
        /// How many there are.
        count: usize,
        /// How many there may be.
        most: usize,
    },
    /// The costs have another shape than sessions and evenings.
    #[error("{found} {what}, expected {expected}")]
    Shape {
        /// Of what.
        what: String,
        /// How many there are.
        found: usize,
        /// How many there should be.
        expected: usize,
    },
    /// Something has no name.
    #[error("the {what} at index {index} has no name")]
    Nameless {
        /// What: session, evening or limit.
        what: &'static str,
        /// Where it stands.
        index: usize,
    },
    /// A name stands twice.
    #[error("the {what} `{name}` stands twice")]
    Twice {
        /// What: session, evening or limit.
        what: &'static str,
        /// The name.
        name: String,
    },
    /// A cost is no number, or lies too far from zero.
    #[error("session `{session}`, {where_to}: cost {cost}, expected -{COST_MAX} to {COST_MAX}")]
    Cost {
        /// The session's id.
        session: String,
        /// The evening, or that it stays without a date.
        where_to: String,
        /// The cost.
        cost: f64,
    },
    /// A limit names an index that is not there.
    #[error("limit `{limit}` names {what} {index}, there are {count}")]
    NotThere {
        /// The limit's name.
        limit: String,
        /// What: session or evening.
        what: &'static str,
        /// The index.
        index: usize,
        /// How many there are.
        count: usize,
    },
    /// A limit names an index twice.
    #[error("limit `{limit}` names {what} {index} twice")]
    ListedTwice {
        /// The limit's name.
        limit: String,
        /// What: session or evening.
        what: &'static str,
        /// The index.
        index: usize,
    },
}

/// Whether a problem can be searched.
pub(crate) fn check(problem: &MoveProblem) -> Result<(), MalformedMoves> {
    let (sessions, evenings) = (problem.sessions.len(), problem.evenings.len());
    few("sessions", sessions, SESSIONS_MAX)?;
    few("evenings", evenings, EVENINGS_MAX)?;
    few("limits", problem.limits.len(), LIMITS_MAX)?;
    named("session", problem.sessions.iter().map(|session| session.id.as_str()))?;
    named("evening", problem.evenings.iter().map(String::as_str))?;
    named("limit", problem.limits.iter().map(|limit| limit.name.as_str()))?;
    shape(|| "rows of costs".to_owned(), problem.costs.len(), sessions)?;
    for (session, row) in problem.sessions.iter().zip(&problem.costs) {
        shape(|| format!("costs of session `{}`", session.id), row.len(), evenings)?;
        let whether_fine = |where_to: &dyn Fn() -> String, cost: Option<f64>| match cost {
            Some(cost) if !(-COST_MAX..=COST_MAX).contains(&cost) => {
                let (session, where_to) = (session.id.clone(), where_to());
                Err(MalformedMoves::Cost { session, where_to, cost })
            }
            _ => Ok(()),
        };
        whether_fine(&|| "without a date".to_owned(), session.unplaced_cost)?;
        for (evening, cost) in problem.evenings.iter().zip(row) {
            whether_fine(&|| format!("evening `{evening}`"), *cost)?;
        }
    }
    for limit in &problem.limits {
        listed(limit, "evening", &limit.evenings, evenings)?;
        listed(limit, "session", limit.sessions.as_deref().unwrap_or_default(), sessions)?;
    }
    Ok(())
}

fn few(what: &'static str, count: usize, most: usize) -> Result<(), MalformedMoves> {
    if count > most { Err(MalformedMoves::TooMany { what, count, most }) } else { Ok(()) }
}

fn shape(what: impl Fn() -> String, found: usize, expected: usize) -> Result<(), MalformedMoves> {
    if found == expected {
        return Ok(());
    }
    Err(MalformedMoves::Shape { what: what(), found, expected })
}

fn named<'a>(
    what: &'static str,
    names: impl Iterator<Item = &'a str>,
) -> Result<(), MalformedMoves> {
    let mut seen = BTreeSet::new();
    for (index, name) in names.enumerate() {
        if name.trim().is_empty() {
            return Err(MalformedMoves::Nameless { what, index });
        }
        if !seen.insert(name) {
            return Err(MalformedMoves::Twice { what, name: name.to_owned() });
        }
    }
    Ok(())
}

fn listed(
    limit: &MoveLimit,
    what: &'static str,
    indices: &[usize],
    count: usize,
) -> Result<(), MalformedMoves> {
    let mut seen = BTreeSet::new();
    for &index in indices {
        let limit = || limit.name.clone();
        if index >= count {
            return Err(MalformedMoves::NotThere { limit: limit(), what, index, count });
        }
        if !seen.insert(index) {
            return Err(MalformedMoves::ListedTwice { limit: limit(), what, index });
        }
    }
    Ok(())
}
