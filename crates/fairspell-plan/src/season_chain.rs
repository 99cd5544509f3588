//! A season made ready for the solver: checked, with the weather's chances from evening to evening and
//! each session's last chance.

use jiff::civil::Date;

use crate::season_risk::{EveningUse, SeasonError, SeasonProblem};

/// Evenings and waiting sessions, ready to be followed.
pub(crate) struct Course {
    pub(crate) steps: Vec<Step>,
    /// Who waits before the first evening, longest first.
    pub(crate) waiting: Vec<Waiting>,
    pub(crate) sessions: usize,
    pub(crate) notice_days: i32,
    pub(crate) made_this_week: usize,
}

/// One evening.
pub(crate) struct Step {
    /// Days since an origin that lies before everything.
    pub(crate) day: i32,
    /// The chance of losing it after a fine evening, and after a lost one.
    pub(crate) p_lost: [f64; 2],
    pub(crate) use_: StepUse,
    /// The first evening of its week.
    pub(crate) week_begins: bool,
    /// An open evening may be given away while fewer than so many were made this week; `None` when
    /// the week has too few evenings for that to matter.
    pub(crate) made_below: Option<usize>,
}

#[derive(Clone, Copy)]
pub(crate) enum StepUse {
    Sold {
        session: usize,
        in_time: bool,
        /// The last chance, if any is left after this evening.
        chance: Option<usize>,
    },
    Open,
}

/// A session that waits from the start.
pub(crate) struct Waiting {
    pub(crate) session: usize,
    pub(crate) since_day: i32,
    pub(crate) chance: Option<usize>,
}

impl Course {
    pub(crate) fn new(problem: &SeasonProblem) -> Result<Self, SeasonError> {
        check(problem)?;
        let evenings = &problem.evenings;
        let first = evenings[0].date;
        let origin = problem.sessions.iter().filter_map(|s| s.waiting_since).fold(first, Date::min);
        let day = |date| days_between(origin, date) + 1;
        let open: Vec<usize> = (0..evenings.len())
            .filter(|&at| !matches!(evenings[at].use_, EveningUse::Sold(_)))
            .collect();
        let last_chance = |session: usize| {
            let latest = problem.sessions[session].latest;
            let passed = |at: &usize| latest.is_some_and(|latest| evenings[*at].date > latest);
            open.iter().rev().copied().find(|at| !passed(at))
        };
        let mut steps = Vec::with_capacity(evenings.len());
        let mut week = 0..0;
        for (at, evening) in evenings.iter().enumerate() {
            let week_begins = !week.contains(&at);
            if week_begins {
                let monday = monday_of(evening.date);
                let more = evenings[at..].iter().take_while(|e| monday_of(e.date) == monday);
                week = at..at + more.count();
            }
            let sold_ahead = evenings[at + 1..week.end]
                .iter()
                .filter(|e| matches!(e.use_, EveningUse::Sold(_)))
                .count();
            let made_before = if week.start == 0 { problem.made_this_week } else { 0 };
            let max = problem.rules.sessions_a_week_max;
            let matters = made_before + week.len() > max;
            let before = at.checked_sub(1).map(|before| &evenings[before]);
            steps.push(Step {
                day: day(evening.date),
                p_lost: before.map_or([evening.p_lost; 2], |before| {
                    let days = days_between(before.date, evening.date);
                    p_lost_after(before.p_lost, evening.p_lost, problem.rules.correlation, days)
                }),
                use_: match evening.use_ {
                    EveningUse::Sold(session) => StepUse::Sold {
                        session,
                        in_time: problem.sessions[session]
                            .latest
                            .is_none_or(|latest| latest >= evening.date),
                        chance: last_chance(session).filter(|&chance| chance > at),
                    },
                    EveningUse::Reserve | EveningUse::Unsold => StepUse::Open,
                },
                week_begins,
                made_below: matters.then(|| max.saturating_sub(sold_ahead)),
            });
        }
        let mut waiting: Vec<_> = (problem.sessions.iter().enumerate())
            .filter_map(|(session, s)| {
                let since_day = day(s.waiting_since?);
                Some(Waiting { session, since_day, chance: last_chance(session) })
            })
            .collect();
        waiting.sort_by_key(|waiting| waiting.since_day);
        Ok(Self {
            steps,
            waiting,
            sessions: problem.sessions.len(),
            notice_days: problem.rules.notice_days,
            made_this_week: problem.made_this_week,
        })
    }
}

/// The chance that an evening is lost after a fine one, and after a lost one.
pub(crate) fn p_lost_after(p_before: f64, p: f64, correlation: f64, days: i32) -> [f64; 2] {
    let spread = (p_before * (1.0 - p_before) * p * (1.0 - p)).sqrt();
    // Not `clamp`: next to certainty the bounds meet, and rounding may put the lower one on top.
    let both = (p_before * p + correlation.powi(days) * spread)
        .max(p_before + p - 1.0)
        .clamp(0.0, p_before.min(p));
    // After what cannot happen, whatever is said is never used.
    let after_fine = if p_before < 1.0 { (p - both) / (1.0 - p_before) } else { p };
    let after_lost = if p_before > 0.0 { both / p_before } else { p };
    [after_fine.clamp(0.0, 1.0), after_lost.clamp(0.0, 1.0)]
}

/// The Monday of a date's week.
pub(crate) fn monday_of(date: Date) -> i64 {
    let days = i64::from(days_between(Date::constant(2024, 1, 1), date));
    days.div_euclid(7)
}

/// Whole days from one date to another.
pub(crate) fn days_between(from: Date, to: Date) -> i32 {
    let hours = to.duration_since(from).as_hours();
    i32::try_from(hours / 24).expect("the calendar has fewer days than that")
}

/// Refuses what is no season.
fn check(problem: &SeasonProblem) -> Result<(), SeasonError> {
    let Some(first) = problem.evenings.first() else { return Err(SeasonError::NoEvenings) };
    for pair in problem.evenings.windows(2) {
        let (before, date) = (pair[0].date, pair[1].date);
        if date <= before {
            return Err(SeasonError::NotInOrder { date, before });
        }
    }
    let correlation = problem.rules.correlation;
    if !(0.0..1.0).contains(&correlation) {
        return Err(SeasonError::Correlation(correlation));
    }
    let mut placed = vec![false; problem.sessions.len()];
    for (session, s) in problem.sessions.iter().enumerate() {
        if let Some(since) = s.waiting_since {
            if since >= first.date {
                return Err(SeasonError::WaitsTooSoon { id: s.id.clone(), since });
            }
            placed[session] = true;
        }
    }
    for evening in &problem.evenings {
        let &crate::season_risk::SeasonEvening { date, p_lost, use_ } = evening;
        if !(0.0..=1.0).contains(&p_lost) {
            return Err(SeasonError::NotAChance { date, p_lost });
        }
        if let EveningUse::Sold(session) = use_ {
            let Some(placed) = placed.get_mut(session) else {
                return Err(SeasonError::NoSuchSession { date, session });
            };
            if std::mem::replace(placed, true) {
                let id = problem.sessions[session].id.clone();
                return Err(SeasonError::SoldTwice { id, date });
            }
        }
    }
    match placed.iter().position(|placed| !placed) {
        Some(at) => Err(SeasonError::SoldNowhere { id: problem.sessions[at].id.clone() }),
        None => Ok(()),
    }
}
