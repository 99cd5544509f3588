//! Will everybody of a season be delivered in time, when bad evenings wash sessions out?
//!
//! A season can be sold so full that each session still looks safe while the season is not: one wet
//! fortnight, and five families want the same two reserve evenings. [`season_risk`] gives the chance
//! that each and every session is made by its deadline, and each session's own chance.
//!
//! # The weather
//!
//! An evening is *lost* when a session there has to move, with the chance `p` given for it (`q` is
//! `1 - p`). Bad weather persists: lost evenings follow each other as in a two-state Markov chain. Of
//! two neighbouring evenings of the list, `d` days apart, with `r` the correlation from one day to the
//! next, both are lost with the chance
//!
//! ```text
//! J = p p' + r^d sqrt(p q p' q')      clipped to  max(0, p + p' - 1) <= J <= min(p, p')
//! P(lost | the evening before was lost) = J / p
//! P(lost | the evening before was fine) = (p' - J) / q
//! ```
//!
//! Each evening keeps its own chance. While nothing is clipped, an evening put between two others
//! changes nothing for those two, because the correlations along a chain multiply (`r^d r^d' =
//! r^(d + d')`).
//!
//! # The queue
//!
//! Evening by evening, in order of date:
//!
//! 1. Who has it is the session sold there. An open evening (reserve, or not sold) goes to a session
//!    that waits, if one may have it: it lost its last evening at least `notice_days` before, its
//!    `latest` has not passed, and the week has room. The week runs from Monday; what was made in it
//!    and what is sold on its evenings still to come must stay below `sessions_a_week_max`.
//! 2. Of several, the one whose *last chance* comes first has it: the last open evening up to its
//!    `latest`. Of those with the same last chance, the one that has waited longest since its last
//!    lost evening, then the one listed first.
//! 3. If the evening is not lost, the session is made. If it is, the session has one move more and
//!    waits (again).
//!
//! A session that waits beyond its `latest` is missed; without one, it must be made by the season's
//! last evening. Nothing else changes the queue: nobody asks for another date, and nobody reads a
//! forecast and moves early.
//!
//! Comparing last chances instead of the dates in `latest` changes neither the joint chance nor the
//! moves of all sessions together: two sessions that lack an open evening between their dates have
//! the same evenings before them. It only says which of the two is taken first, and so keeps together
//! what need not be told apart, forty times fewer states in a season of 120 sessions.
//!
//! # How it is computed
//!
//! Forward, evening by evening, over the states (lost or fine, made this week, who waits for which
//! last chance, who may not yet be told). Each state carries its chance, the part of it in which nobody
//! has been missed, and for each place in the queue the chance of each session to stand there; all
//! three pass through an evening linearly, so the result is exact. States below 1e-13, and places
//! below 1e-15, are left out; their sum is [`SeasonMethod::Exact::dropped`], and no chance is wrong by
//! more. Where there
//! are too many states the season is played instead ([`simulate_season`]).
//!
//! # Source
//!
//! Markov chain with given marginals and the joint chance clipped to Fréchet's bounds, as in
//! [`fairspell_chance::any_of_markov`], with the correlation fading by the day. Earliest deadline first
//! is our choice: among unit jobs it misses nobody as long as any order would.

use jiff::civil::Date;
use thiserror::Error;

use crate::season_chain::Course;
use crate::season_exact::{self, Follow, TooMany};
pub use crate::season_room::{
    HelpfulEvening, RoomEvening, RoomForMore, helpful_evenings, room_for_more,
};
pub use crate::season_simulated::simulate_season;

/// Whose an evening is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EveningUse {
    /// Sold to a session: its place in [`SeasonProblem::sessions`].
    Sold(usize),
    /// A reserve evening, kept empty for moves.
    Reserve,
    /// A working evening that nobody has bought; open to moves as well, until somebody does.
    Unsold,
}

/// An evening of the season.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SeasonEvening {
    /// Its date.
    pub date: Date,
    /// The chance, 0 to 1, that a session there has to move.
    pub p_lost: f64,
    /// Whose it is.
    pub use_: EveningUse,
}

/// A session of the season that still has to be made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SeasonSession {
    /// Whatever the studio calls it; only errors repeat it.
    pub id: String,
    /// The latest date on which it serves its purpose; `None`: by the season's last evening.
    pub latest: Option<Date>,
    /// The evening it lost before this season's first, when it has no new one yet. Such a session is
    /// sold nowhere; every other session has exactly one evening, the one that stands today.
    pub waiting_since: Option<Date>,
}

/// What holds for every evening.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SeasonRules {
    /// The correlation of lost evenings from one day to the next, 0 up to 1 (not 1 itself).
    pub correlation: f64,
    /// A family is told of its new evening at least so many days after the lost one. One day at
    /// least, whatever is said here: an evening holds one session.
    pub notice_days: i32,
    /// Sessions made in a week, Monday to Sunday, at most. Only moves are refused by it.
    pub sessions_a_week_max: usize,
}

/// A season from some evening on. What lies before it is said by who still has to be made.
#[derive(Debug, Clone, PartialEq)]
pub struct SeasonProblem {
    /// The evenings still to come, in order of date.
    pub evenings: Vec<SeasonEvening>,
    /// The sessions still to be made.
    pub sessions: Vec<SeasonSession>,
    /// What holds for every evening.
    pub rules: SeasonRules,
    /// Sessions made already in the week of the first evening.
    pub made_this_week: usize,
}

/// How much work an answer is worth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SeasonBudget {
    /// States visited at most, over all evenings; each counts once, and once more for every session
    /// that may stand somewhere in its queue.
    pub states_max: usize,
    /// Seasons to play when there are more states than that.
    pub runs: u32,
    /// The seed of those seasons.
    pub seed: u64,
}

impl Default for SeasonBudget {
    /// About two seconds at most: ten million states, or else 100 000 seasons.
    fn default() -> Self {
        Self { states_max: 50_000_000, runs: 100_000, seed: 1 }
    }
}

/// One session's part in the risk.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SessionRisk {
    /// The chance that it is made by its `latest`.
    pub p_delivered: f64,
    /// Evenings it is expected to lose, from today on.
    pub moves_expected: f64,
}

/// The risk of a season.
#[derive(Debug, Clone, PartialEq)]
pub struct SeasonRisk {
    /// The chance that each and every session is made by its `latest`; 1 without sessions.
    pub p_all_delivered: f64,
    /// Each session's own, in the order they were given.
    pub sessions: Vec<SessionRisk>,
    /// Evenings that all sessions together are expected to lose.
    pub moves_expected: f64,
    /// How it was found.
    pub method: SeasonMethod,
}

/// How a risk was found, and how far it may be wrong.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SeasonMethod {
    /// By following every state.
    Exact {
        /// States visited, over all evenings.
        states: usize,
        /// The chance of all that was left out because it was tiny. Every chance is at most so much
        /// higher than stated.
        dropped: f64,
    },
    /// By playing the season again and again.
    Simulated {
        /// How often.
        runs: u32,
        /// Standard error of `p_all_delivered`: binomial, with one success and one failure more than
        /// seen, so that 100 of 100 is not taken for certainty.
        standard_error: f64,
        /// Standard error of the season's `moves_expected`; `None` for a single run.
        moves_standard_error: Option<f64>,
    },
}

/// What keeps a season from being a question.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum SeasonError {
    /// There is no evening.
    #[error("a season without evenings")]
    NoEvenings,
    /// Evenings stand out of order, or one stands twice.
    #[error("evening {date} stands after {before}")]
    NotInOrder {
        /// The evening.
        date: Date,
        /// The one before it in the list.
        before: Date,
    },
    /// A chance that is none.
    #[error("chance {p_lost} of losing {date} is not between 0 and 1")]
    NotAChance {
        /// The evening.
        date: Date,
        /// What was given.
        p_lost: f64,
    },
    /// A correlation that can't be.
    #[error("correlation {0} is not from 0 up to 1")]
    Correlation(f64),
    /// An evening is sold to a session that isn't listed.
    #[error("evening {date} is sold to session number {session}, which is not listed")]
    NoSuchSession {
        /// The evening.
        date: Date,
        /// The place in the list, counted from 0.
        session: usize,
    },
    /// A session has more than one evening, or has one and waits for one.
    #[error("session `{id}` has evening {date} and another, or waits for one")]
    SoldTwice {
        /// The session.
        id: String,
        /// Its second evening.
        date: Date,
    },
    /// A session has no evening and doesn't wait for one.
    #[error("session `{id}` is sold nowhere and does not wait")]
    SoldNowhere {
        /// The session.
        id: String,
    },
    /// A session waits since an evening that isn't past.
    #[error("session `{id}` waits since {since}, not before the first evening")]
    WaitsTooSoon {
        /// The session.
        id: String,
        /// Since when.
        since: Date,
    },
    /// An evening to be tried is one of the season already.
    #[error("evening {0} is in the season already")]
    AlreadyThere(Date),
    /// More states than [`SeasonBudget::states_max`], where only the exact answer serves.
    #[error("more than {0} states")]
    TooManyStates(usize),
}

/// The chance that everybody is delivered in time, exactly where the budget allows it.
///
/// The [module's page](mod@crate::season_risk) has the model. When there are more states than the budget
/// has room for, the season is played [`SeasonBudget::runs`] times instead, and the answer says so.
///
/// A session whose `latest` lies before its own evening is missed from the start: its chance, and the
/// joint one, is 0.
///
/// # Errors
///
/// For a season that is no question: no evenings, evenings out of order or twice, a chance or
/// correlation out of range, a session sold nowhere or twice.
///
/// # Examples
///
/// ```
/// use fairspell_plan::season_risk::{
///     EveningUse, SeasonBudget, SeasonEvening, SeasonProblem, SeasonRules, SeasonSession, season_risk,
/// };
/// use jiff::civil::date;
///
/// // One session on a Tuesday; every fifth evening is bad, after a bad one two in five.
/// let evening = |day, use_| SeasonEvening { date: date(2026, 9, day), p_lost: 0.2, use_ };
/// let season = |reserve_day| SeasonProblem {
///     evenings: vec![evening(1, EveningUse::Sold(0)), evening(reserve_day, EveningUse::Reserve)],
///     sessions: vec![SeasonSession { id: "A".to_owned(), latest: None, waiting_since: None }],
///     rules: SeasonRules { correlation: 0.25, notice_days: 1, sessions_a_week_max: 3 },
///     made_this_week: 0,
/// };
///
/// // A reserve on the next day fails as well in 8 % of all cases, five days later in 4 %.
/// let next_day = season_risk(&season(2), &SeasonBudget::default())?;
/// let later = season_risk(&season(6), &SeasonBudget::default())?;
/// assert!((next_day.p_all_delivered - 0.92).abs() < 1e-9);
/// assert!((later.p_all_delivered - 0.96).abs() < 0.001);
/// # Ok::<(), fairspell_plan::season_risk::SeasonError>(())
/// ```
pub fn season_risk(
    problem: &SeasonProblem,
    budget: &SeasonBudget,
) -> Result<SeasonRisk, SeasonError> {
    let course = Course::new(problem)?;
    match season_exact::solve(&course, Follow::Everybody, budget.states_max, 0.0) {
        Ok(Some(solved)) => Ok(solved.into_risk()),
        Ok(None) | Err(TooMany) => simulate_season(problem, budget.runs, budget.seed),
    }
}
