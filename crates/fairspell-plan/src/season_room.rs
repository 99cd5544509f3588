//! What would change a season's risk: one evening more, or sessions more.

use jiff::civil::Date;

use crate::season_chain::Course;
use crate::season_exact::{self, Follow, TooMany};
use crate::season_risk::{
    EveningUse, SeasonBudget, SeasonError, SeasonEvening, SeasonProblem, SeasonSession,
};

/// What one further reserve evening would do.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HelpfulEvening {
    /// The evening.
    pub date: Date,
    /// The chance that everybody is delivered in time, with it.
    pub p_all_delivered: f64,
}

/// How many sessions the season still bears.
#[derive(Debug, Clone, PartialEq)]
pub struct RoomForMore {
    /// The chance that everybody is delivered in time as the season stands.
    pub p_all_now: f64,
    /// The evenings to sell, in that order: selling one more would risk more than was allowed, or
    /// none is left.
    pub evenings: Vec<RoomEvening>,
}

/// One session more.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RoomEvening {
    /// Its evening.
    pub date: Date,
    /// The chance that everybody is delivered in time once this and all before it are sold.
    pub p_all_delivered: f64,
}

/// Which further reserve evening would help most: each tried alone, the best first.
///
/// - `candidates`: dates that are not in the season, with the chance of losing each. Of equal ones the
///   earlier date comes first.
///
/// With `notice_days` above 1 an evening can do harm as well: a session that loses it can't be told of
/// the next one in time.
///
/// # Errors
///
/// As [`season_risk`](crate::season_risk::season_risk); for a candidate that is an evening of the
/// season already; and when there are more states than the budget has room for, since played seasons
/// could not tell the candidates apart.
pub fn helpful_evenings(
    problem: &SeasonProblem,
    candidates: &[(Date, f64)],
    budget: &SeasonBudget,
) -> Result<Vec<HelpfulEvening>, SeasonError> {
    let mut helpful = Vec::with_capacity(candidates.len());
    for &(date, p_lost) in candidates {
        let mut with = problem.clone();
        let place = with.evenings.partition_point(|evening| evening.date < date);
        if with.evenings.get(place).is_some_and(|evening| evening.date == date) {
            return Err(SeasonError::AlreadyThere(date));
        }
        with.evenings.insert(place, SeasonEvening { date, p_lost, use_: EveningUse::Reserve });
        helpful.push(HelpfulEvening { date, p_all_delivered: p_all(&with, budget)? });
    }
    helpful
        .sort_by(|a, b| b.p_all_delivered.total_cmp(&a.p_all_delivered).then(a.date.cmp(&b.date)));
    Ok(helpful)
}

/// How many more sessions can be sold before somebody is too likely to miss a deadline.
///
/// Greedy: each further session goes on the unsold evening that keeps the joint chance highest (of
/// equal ones the earliest), as long as the risk stays within `risk_max`. Reserve evenings are never
/// sold.
///
/// - `risk_max`: the chance of missing anybody that is accepted, 0 to 1.
/// - `latest`: the latest date of a session sold on the evening it is given.
///
/// # Errors
///
/// As [`helpful_evenings`].
pub fn room_for_more(
    problem: &SeasonProblem,
    risk_max: f64,
    latest: impl Fn(Date) -> Option<Date>,
    budget: &SeasonBudget,
) -> Result<RoomForMore, SeasonError> {
    let mut season = problem.clone();
    let mut room = RoomForMore { p_all_now: p_all(&season, budget)?, evenings: Vec::new() };
    let enough = 1.0 - risk_max;
    if room.p_all_now < enough {
        return Ok(room);
    }
    loop {
        let session = season.sessions.len();
        season.sessions.push(SeasonSession {
            id: format!("further session {}", room.evenings.len() + 1),
            latest: None,
            waiting_since: None,
        });
        let mut best: Option<(usize, f64)> = None;
        for at in 0..season.evenings.len() {
            if season.evenings[at].use_ != EveningUse::Unsold {
                continue;
            }
            season.evenings[at].use_ = EveningUse::Sold(session);
            season.sessions[session].latest = latest(season.evenings[at].date);
            let floor = best.map_or(enough, |(_, p)| p);
            let p = p_all_from(&season, budget, floor)?;
            season.evenings[at].use_ = EveningUse::Unsold;
            if let Some(p) = p
                && p >= enough
                && best.is_none_or(|(_, other)| p > other)
            {
                best = Some((at, p));
            }
        }
        let Some((at, p_all_delivered)) = best else { return Ok(room) };
        let date = season.evenings[at].date;
        season.evenings[at].use_ = EveningUse::Sold(session);
        season.sessions[session].latest = latest(date);
        room.evenings.push(RoomEvening { date, p_all_delivered });
    }
}

impl RoomForMore {
    /// How many sessions more.
    pub fn more(&self) -> usize {
        self.evenings.len()
    }
}

/// The joint chance alone, which takes fewer states than everybody's own.
fn p_all(problem: &SeasonProblem, budget: &SeasonBudget) -> Result<f64, SeasonError> {
    Ok(p_all_from(problem, budget, 0.0)?.unwrap_or(0.0))
}

/// The same, or `None` once it is known to be below a floor.
fn p_all_from(
    problem: &SeasonProblem,
    budget: &SeasonBudget,
    floor: f64,
) -> Result<Option<f64>, SeasonError> {
    let course = Course::new(problem)?;
    match season_exact::solve(&course, Follow::OnlyAll, budget.states_max, floor) {
        Ok(solved) => Ok(solved.map(|solved| solved.p_all_delivered)),
        Err(TooMany) => Err(SeasonError::TooManyStates(budget.states_max)),
    }
}
