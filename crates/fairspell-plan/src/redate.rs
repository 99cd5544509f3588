//! One plan when a week washes out: what each evening would cost each session, and the cheapest whole.
//!
//! For every session that has to move and every evening that could take it this adds up, in the
//! studio's own currency, what is expected to be lost there:
//!
//! ```text
//! cost = P(no gap) washed_out + (p - P(no gap)) thin_gallery    rain, by forecast or climate
//!      + what moving costs today                                messages, artist, an evening unsold
//!      + fee of a permit that the move voids
//!      + (1 - light) thin_gallery                               what the looks want, skyline, tide
//!      + a working evening that can be sold to nobody else then
//!      + days of waiting, and another message where it is none of the family's own dates
//!      + thin_gallery, where a deadline gets one frame in a rush only
//!      + P(lost) goodwill, where it leaves no days for weather before the deadline
//! ```
//!
//! Where rain is so likely that the policy advises moving, a **covered set** may be made on the evening
//! and the rest on another one: the loss then is a thinner gallery at most, and a second evening. That
//! is also what is left to a family whose deadline comes before the sky clears.
//!
//! [`best_moves`] finds the cheapest plan over all sessions with its proof; a second plan of the same
//! kind then finds a spare evening for each, at least three days after the one planned.

use std::collections::BTreeMap;

use fairspell_almanac::tide::Tide;
use fairspell_studio::{
    Band, Session, Studio,
    back_plan::TimeLeft,
    gate::GateKind,
    gates,
    permit::PermitStanding,
    ruling::whole_percent,
    season::{EveningKind, Pattern, monday},
};
use jiff::{
    Timestamp, ToSpan,
    civil::{Date, DateTime},
    tz::TimeZone,
};

use crate::{
    cost_advice::{cost_of_moving, mean_loss},
    evening::{is_at_dawn, spots},
    evening_rain::EveningRain,
    moves::{MoveLimit, MoveProblem, MoveSession, Moves, NoMoves, best_moves},
    season::standing_sessions,
    shift::roof_near,
    starts::{NoStart, Start, StartQuestion, score_as_booked, starts, wanted_looks},
};

/// From one outfit into the next, minutes (common practice).
const CHANGE_MIN: u32 = 8;

/// Evenings are looked at for so many days after the last session that moves.
const AFTER_DAYS: i64 = 28;

/// Without any spare evening a family is worth so many washed-out ones: any that is free is dearer than
/// none only if it is sure to be lost twice (our choice).
const WITHOUT_SPARE: f64 = 2.0;

/// A spare evening lies at least so many days from the one planned (common practice: bad weather lasts).
const SPARE_APART_DAYS: i32 = 3;

/// What is asked.
pub struct RedateQuestion<'a> {
    /// The studio.
    pub studio: &'a Studio,
    /// The clock on its wall.
    pub zone: &'a TimeZone,
    /// All sessions of the season.
    pub sessions: &'a [Session],
    /// The ids of those that must or should move.
    pub moving: Vec<String>,
    /// Evenings that she has chosen herself, by session: the others are placed around them.
    pub fixed: BTreeMap<String, Date>,
    /// The moment at which it is asked.
    pub as_of: Timestamp,
    /// How many days ahead evenings are looked at, at least: four weeks beyond the last session that
    /// moves are always among them.
    pub horizon_days: i64,
    /// What is to be expected of the rain of a session, where it would stand.
    pub rain: &'a dyn Fn(&Session) -> EveningRain,
}

/// How an evening would be used.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// The whole session.
    Whole,
    /// A set under a roof, and the rest on another evening.
    CoveredThenRest,
}

/// What an evening would cost a session, by what it is for, in the studio's currency.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct EveningCosts {
    /// What rain is expected to cost.
    pub rain: f64,
    /// What moving costs today.
    pub moving: f64,
    /// Permits asked again.
    pub permit: f64,
    /// Light that the looks do not get.
    pub light: f64,
    /// Waiting, and dates that the family did not name.
    pub waiting: f64,
    /// A working evening that can be sold to nobody else then.
    pub working_evening: f64,
    /// A second evening, where only a covered set is made.
    pub second_evening: f64,
    /// A deadline that gets one frame instead of a gallery, or leaves no evening if this one is lost.
    pub deadline: f64,
}

impl EveningCosts {
    /// All of it.
    pub fn total(&self) -> f64 {
        self.rain
            + self.moving
            + self.permit
            + self.light
            + self.waiting
            + self.working_evening
            + self.second_evening
            + self.deadline
    }
}

/// An evening that a session could have.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate {
    /// The start, by the clock on the studio's wall.
    pub start: DateTime,
    /// What the evening is in the week.
    pub kind: EveningKind,
    /// How it would be used.
    pub way: Way,
    /// Its rain.
    pub rain: EveningRain,
    /// What it costs.
    pub costs: EveningCosts,
    /// The time that it leaves before the deadline, where there is one.
    pub time_left: Option<TimeLeft>,
    /// Permits, by spot.
    pub permits: Vec<(String, PermitStanding)>,
    /// The roof of a covered set, a spot's id.
    pub roof: Option<String>,
}

/// Why a session cannot have an evening.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum OutOfReach {
    /// It is behind.
    Past,
    /// Another session has it, by id.
    Taken(String),
    /// It is none that the studio sells or keeps in reserve.
    Never,
    /// It lies in dates that are never offered, by their name.
    Blackout(String),
    /// Its week has as many sessions as are worked.
    WeekFull,
    /// Its week has as many long drives as are driven.
    LongDrives,
    /// The family cannot come.
    Cannot,
    /// It is too late to ask for a spot's permit.
    Permit(String),
    /// Nothing made then comes in time.
    Deadline,
    /// Light, tide or opening hours do not allow its looks at their spots, or they cannot be searched.
    NoStart(NoStart),
    /// The clocks skip its start, or show it twice.
    NoSuchTime,
    /// The forecast rules it out too.
    Sky(Band),
    /// Getting ready would have to begin before the family can know of it.
    TooSoon,
    /// The drive is longer than the studio drives.
    Drive,
}

/// What came out of it.
#[derive(Debug)]
pub struct Redating {
    /// The sessions that move, in the order of the plan.
    pub sessions: Vec<Session>,
    /// The evenings that were looked at, in the order of the plan.
    pub evenings: Vec<Date>,
    /// For each session and evening what it would cost, or why it cannot be.
    pub candidates: Vec<Vec<Result<Candidate, OutOfReach>>>,
    /// The problem that was solved.
    pub problem: MoveProblem,
    /// The plan, or why there is none.
    pub moves: Result<Moves, NoMoves>,
    /// A spare evening for each session, on the other side of a few days, or the second part's where
    /// a covered set is made first.
    pub spares: Vec<Option<Date>>,
}

impl Redating {
    /// The evening of a session in the plan, with what it costs.
    pub fn chosen(&self, session: usize) -> Option<(Date, &Candidate)> {
        let moves = self.moves.as_ref().ok()?;
        let evening = (*moves.best.evening_of.get(session)?)?;
        let candidate = self.candidates.get(session)?.get(evening)?.as_ref().ok()?;
        Some((*self.evenings.get(evening)?, candidate))
    }
}

/// The cheapest plan for the sessions that must or should move.
///
/// A session's own evening stands among its candidates unless the sky rules it out: then keeping it is
/// part of the comparison.
pub fn redate(question: &RedateQuestion<'_>) -> Redating {
    let RedateQuestion { studio, zone, sessions, .. } = question;
    let today = zone.to_datetime(question.as_of).date();
    let asked_until = today.saturating_add(question.horizon_days.days());
    let latest = sessions.iter().filter(|it| question.moving.contains(&it.id));
    let latest = latest.map(|session| session.start.date().saturating_add(AFTER_DAYS.days())).max();
    let last = latest.map_or(asked_until, |latest| latest.max(asked_until));
    let pattern = Pattern::of(studio, (today, last));
    let standing: Vec<&Session> = standing_sessions(sessions).collect();
    let moving: Vec<&Session> =
        standing.iter().copied().filter(|it| question.moving.contains(&it.id)).collect();
    let staying: Vec<&Session> =
        standing.iter().copied().filter(|it| !question.moving.contains(&it.id)).collect();
    let booked = |date: &Date| moving.iter().any(|session| session.start.date() == *date);
    let is_ahead = |date: &Date| *date >= today;
    let evenings: Vec<Date> = pattern
        .evenings()
        .filter(|(date, kind)| is_ahead(date) && (*kind != EveningKind::Never || booked(date)))
        .map(|(date, _)| date)
        .collect();
    let desk = Desk::new(question, today, &pattern, &staying);
    let candidates: Vec<Vec<Result<Candidate, OutOfReach>>> =
        moving.iter().map(|session| desk.candidates(session, &evenings)).collect();
    let cost = |session: usize, evening: usize| {
        let fixed = question.fixed.get(&moving[session].id);
        let is_left = fixed.is_none_or(|date| *date == evenings[evening]);
        let candidate = candidates[session][evening].as_ref().ok();
        candidate.filter(|_| is_left).map(|candidate| candidate.costs.total())
    };
    let row = |session| (0..evenings.len()).map(|evening| cost(session, evening)).collect();
    let unplaced_cost = WITHOUT_SPARE * studio.policy.season.stakes.washed_out();
    let movers = |unplaced_cost: Option<f64>| {
        moving.iter().map(|it| MoveSession { id: it.id.clone(), unplaced_cost }).collect()
    };
    let limits = desk.limits(&moving, &evenings);
    let problem = MoveProblem {
        sessions: movers(None),
        evenings: evenings.iter().map(Date::to_string).collect(),
        costs: (0..moving.len()).map(row).collect(),
        limits: limits.clone(),
    };
    let moves = best_moves(&problem);
    let spares = moves.as_ref().map_or_else(
        |_| vec![None; moving.len()],
        |moves| {
            let chosen = &moves.best.evening_of;
            let spare = MoveProblem {
                sessions: movers(Some(unplaced_cost)),
                evenings: problem.evenings.clone(),
                costs: desk.spare_costs(&moving, &evenings, &candidates, chosen),
                limits: Desk::limits_left(&limits, chosen),
            };
            let found = best_moves(&spare).map(|found| found.best.evening_of).unwrap_or_default();
            let date = |at: Option<usize>| at.and_then(|at| evenings.get(at).copied());
            let spares = found.into_iter().map(date).collect::<Vec<_>>();
            if spares.len() == moving.len() { spares } else { vec![None; moving.len()] }
        },
    );
    Redating {
        sessions: moving.into_iter().cloned().collect(),
        evenings,
        candidates,
        problem,
        moves,
        spares,
    }
}

/// What one evening would cost one session, or why it cannot have it: what a plan asks of every pair.
///
/// The evening may be the one it has.
///
/// # Errors
///
/// [`OutOfReach`] says why it cannot have it.
pub fn candidate_on(
    question: &RedateQuestion<'_>,
    session: &Session,
    date: Date,
) -> Result<Candidate, OutOfReach> {
    let today = question.zone.to_datetime(question.as_of).date();
    let pattern = Pattern::of(question.studio, (date, date));
    let staying: Vec<&Session> =
        standing_sessions(question.sessions).filter(|other| other.id != session.id).collect();
    let desk = Desk::new(question, today, &pattern, &staying);
    let candidate = desk.candidate(session, date)?;
    let limits = desk.limits(&[session], &[date]);
    match limits.iter().find(|limit| limit.at_most == 0) {
        Some(full) if full.sessions.is_some() => Err(OutOfReach::LongDrives),
        Some(_) => Err(OutOfReach::WeekFull),
        None => Ok(candidate),
    }
}

/// Everything that the evenings of one question share.
struct Desk<'a> {
    question: &'a RedateQuestion<'a>,
    today: Date,
    pattern: &'a Pattern,
    staying: &'a [&'a Session],
    tide: Option<Tide>,
}

impl<'a> Desk<'a> {
    fn new(
        question: &'a RedateQuestion<'a>,
        today: Date,
        pattern: &'a Pattern,
        staying: &'a [&'a Session],
    ) -> Self {
        let tide = question.studio.tide().ok().flatten();
        Desk { question, today, pattern, staying, tide }
    }
}

impl Desk<'_> {
    fn candidates(
        &self,
        session: &Session,
        evenings: &[Date],
    ) -> Vec<Result<Candidate, OutOfReach>> {
        evenings.iter().map(|date| self.candidate(session, *date)).collect()
    }

    /// The best start of a date for the session's looks at their spots, in the half of the day in which
    /// it is booked: nobody asked the family for the other.
    fn start_on(&self, session: &Session, date: Date) -> Result<Start, NoStart> {
        let RedateQuestion { studio, zone, .. } = self.question;
        let is_dawn = is_at_dawn(studio, zone, session);
        let question = StartQuestion {
            spots: spots(studio, session),
            looks: wanted_looks(session, CHANGE_MIN, true),
            in_order: false,
            dates: (date, date),
            taken: Vec::new(),
            with_reserve: true,
            drive_min: session.drive.minutes,
            change_min: CHANGE_MIN,
            any_dawn: is_dawn,
            count: 2,
        };
        let tide = self.tide.as_ref();
        let found = starts(studio, zone, &question, &|at| tide?.height_m(at))?;
        found.into_iter().find(|start| start.at_dawn == is_dawn).ok_or(NoStart::NoLight)
    }

    fn candidate(&self, session: &Session, date: Date) -> Result<Candidate, OutOfReach> {
        let RedateQuestion { studio, zone, as_of, .. } = self.question;
        let terms = &studio.policy.season;
        let is_own = session.start.date() == date;
        let kind = self.pattern.kind(date);
        if date < self.today {
            return Err(OutOfReach::Past);
        }
        if let Some(other) = self.staying.iter().find(|other| other.start.date() == date) {
            return Err(OutOfReach::Taken(other.id.clone()));
        }
        if kind == EveningKind::Never && !is_own {
            let black = studio.blackouts.iter().find(|it| (it.from..=it.to).contains(&date));
            return Err(black.map_or(OutOfReach::Never, |it| OutOfReach::Blackout(it.name.clone())));
        }
        if session.dates.cannot.contains(&date) {
            return Err(OutOfReach::Cannot);
        }
        if session.drive.minutes > terms.drive_max_min && !is_own {
            return Err(OutOfReach::Drive);
        }
        let time_left = session
            .deadline
            .as_ref()
            .map(|deadline| terms.back_plan.time_left(date, deadline.date));
        if time_left == Some(TimeLeft::No) {
            return Err(OutOfReach::Deadline);
        }
        let (start, light) = if is_own {
            let tide = self.tide.as_ref();
            let tide_m = |at| tide?.height_m(at);
            (session.start, score_as_booked(studio, zone, session, CHANGE_MIN, &tide_m))
        } else {
            let best = self.start_on(session, date).map_err(OutOfReach::NoStart)?;
            (zone.to_datetime(best.from), best.score)
        };
        let there = Session { start, ..session.clone() };
        let gates = gates(studio, zone, &there).map_err(|_| OutOfReach::NoSuchTime)?;
        let chair = gates.iter().find(|gate| gate.kind == GateKind::Chair);
        let notice = i64::from(if is_own { 0 } else { terms.notice_h }).hours();
        if chair.is_none_or(|chair| chair.at <= *as_of + notice) {
            return Err(OutOfReach::TooSoon);
        }
        let permits = studio.permits_on(session, date, self.today);
        let late = permits.iter().find(|(_, it)| matches!(it, PermitStanding::TooLate { .. }));
        if let Some((spot, _)) = late {
            return Err(OutOfReach::Permit(spot.clone()));
        }
        let rain = (self.question.rain)(&there);
        if let Some(band @ Band::MustMove) = rain.band {
            return Err(OutOfReach::Sky(band));
        }
        let stakes = &terms.stakes;
        let whole = rain.p_rain.get() * mean_loss(studio, rain.p_rain, rain.p_gap);
        let fees = permits.iter().map(|(_, permit)| match permit {
            PermitStanding::ToAsk { fee, .. } => *fee,
            _ => 0.0,
        });
        let days = session.start.date().until(date).map_or(0, |it| it.get_days());
        let days_waited = f64::from(days.max(0));
        let prefers = &session.dates.prefers;
        let is_wish = is_own || prefers.is_empty() || prefers.contains(&date);
        let mut costs = EveningCosts {
            rain: whole,
            moving: if is_own { 0.0 } else { self.moving_cost(session) },
            permit: fees.fold(0.0, |sum, fee| sum + fee),
            light: (1.0 - light) * stakes.thin_gallery,
            waiting: days_waited * stakes.day_of_waiting
                + if is_wish { 0.0 } else { stakes.messages },
            working_evening: if kind == EveningKind::Working && !is_own {
                stakes.evening
            } else {
                0.0
            },
            second_evening: 0.0,
            deadline: match time_left {
                Some(TimeLeft::RushOnly { .. }) => stakes.thin_gallery,
                Some(TimeLeft::WithoutAllowance { .. }) => rain.p_lost().get() * stakes.goodwill,
                Some(TimeLeft::Yes { .. } | TimeLeft::No) | None => 0.0,
            },
        };
        let roof = roof_near(studio, session, start);
        let covered = rain.p_rain.get() * stakes.thin_gallery;
        let is_likely = whole_percent(rain.p_rain) > studio.policy.any_rain.advise_above_percent;
        let is_covered = roof.is_some() && is_likely && covered + stakes.evening < whole;
        if is_covered {
            (costs.rain, costs.second_evening) = (covered, stakes.evening);
        }
        let way = if is_covered { Way::CoveredThenRest } else { Way::Whole };
        let roof = if is_covered { roof.map(|spot| spot.id.clone()) } else { None };
        Ok(Candidate { start, kind, way, rain, costs, time_left, permits, roof })
    }

    /// What moving costs today.
    fn moving_cost(&self, session: &Session) -> f64 {
        let RedateQuestion { studio, zone, as_of, .. } = self.question;
        let gates = gates(studio, zone, session).unwrap_or_default();
        cost_of_moving(studio, session, &gates, *as_of)
    }

    /// So many sessions a week, and so many long drives.
    fn limits(&self, moving: &[&Session], evenings: &[Date]) -> Vec<MoveLimit> {
        let terms = &self.question.studio.policy.season;
        let is_long = |session: &Session| session.drive.minutes >= terms.long_drive_min;
        let mut weeks: BTreeMap<Date, Vec<usize>> = BTreeMap::new();
        for (index, date) in evenings.iter().enumerate() {
            weeks.entry(monday(*date)).or_default().push(index);
        }
        let far: Vec<usize> =
            (0..moving.len()).filter(|session| is_long(moving[*session])).collect();
        let mut limits = Vec::new();
        for (week, inside) in weeks {
            let worked = self.staying.iter().filter(|it| monday(it.start.date()) == week);
            let long = worked.clone().filter(|session| is_long(session)).count();
            let left = |most: u16, used: usize| usize::from(most).saturating_sub(used);
            limits.push(MoveLimit {
                name: format!("week of {week}"),
                evenings: inside.clone(),
                sessions: None,
                at_most: left(terms.worked_a_week_max, worked.count()),
            });
            if !far.is_empty() {
                limits.push(MoveLimit {
                    name: format!("long drives in the week of {week}"),
                    evenings: inside,
                    sessions: Some(far.clone()),
                    at_most: left(terms.long_drives_a_week_max, long),
                });
            }
        }
        limits
    }

    /// What the plan leaves of the limits.
    fn limits_left(limits: &[MoveLimit], chosen: &[Option<usize>]) -> Vec<MoveLimit> {
        let used = |limit: &MoveLimit| {
            let counts = |(session, evening): &(usize, &Option<usize>)| {
                evening.is_some_and(|evening| limit.evenings.contains(&evening))
                    && limit.sessions.as_ref().is_none_or(|those| those.contains(session))
            };
            chosen.iter().enumerate().filter(counts).count()
        };
        let left = |limit: &MoveLimit| MoveLimit {
            at_most: limit.at_most.saturating_sub(used(limit)),
            ..limit.clone()
        };
        limits.iter().map(left).collect()
    }

    /// What spare evenings cost: free ones, some days after the one planned.
    fn spare_costs(
        &self,
        moving: &[&Session],
        evenings: &[Date],
        candidates: &[Vec<Result<Candidate, OutOfReach>>],
        chosen: &[Option<usize>],
    ) -> Vec<Vec<Option<f64>>> {
        let cost = |session: usize, evening: usize| {
            let planned = evenings[chosen[session]?];
            let first = candidates[session][chosen[session]?].as_ref().ok()?;
            let date = evenings[evening];
            let apart = planned.until(date).map_or(0, |span| span.get_days());
            if apart < SPARE_APART_DAYS || chosen.contains(&Some(evening)) {
                return None;
            }
            match (&candidates[session][evening], first.way) {
                (Ok(candidate), _) => Some(candidate.costs.total()),
                // The picture that the deadline wants is made by then: the rest may come after it.
                (Err(OutOfReach::Deadline), Way::CoveredThenRest) => {
                    let later = Session { deadline: None, ..moving[session].clone() };
                    let found = self.candidate(&later, date).ok();
                    found.map(|candidate| candidate.costs.total())
                }
                (Err(_), _) => None,
            }
        };
        let row = |session| (0..evenings.len()).map(|evening| cost(session, evening)).collect();
        (0..moving.len()).map(row).collect()
    }
}
