//! The studio's season: who has which evening, what can still be offered, and how it all stands.
//!
//! From the pattern of the week, the sessions and their deadlines comes a [`SeasonProblem`] whose risk
//! [`season_risk`](mod@crate::season_risk) finds; [`season_offers`] answers an enquiry with dated evenings,
//! each with a near and a far reserve evening and the time that it leaves before the deadline.

use std::collections::BTreeMap;

use fairspell_chance::Probability;
use fairspell_studio::{
    Session, Studio,
    back_plan::TimeLeft,
    season::{EveningKind, Pattern, monday},
};
use jiff::{
    Timestamp, ToSpan,
    civil::{Date, DateTime, Time},
    tz::TimeZone,
};

use crate::{
    season_climate::DayHalf,
    season_risk::{EveningUse, SeasonEvening, SeasonProblem, SeasonRules, SeasonSession},
    starts::{NoStart, Start, StartQuestion, starts},
};

/// So many dates are offered at least, where there are, and at most.
const OFFERS: (usize, usize) = (3, 5);

/// Beyond the fewest a date is offered only while it is worth so much of the best one.
const NEARLY_AS_GOOD: f64 = 0.9;

/// Up to so many days on a reserve evening is the near one: for hair and visiting relatives.
const NEAR_DAYS: i32 = 4;

/// Up to so many days on it is the far one: bad weather lasts for days.
const FAR_DAYS: i32 = 9;

/// After the last session evenings are looked at for so many days more.
const TAIL_DAYS: i64 = 28;

/// What a session is called that nobody has bought.
const ENQUIRY: &str = "enquiry";

/// The sessions that stand: neither moved on nor erased.
pub fn standing_sessions(sessions: &[Session]) -> impl Iterator<Item = &Session> {
    sessions.iter().filter(|session| {
        let is_moved =
            || sessions.iter().any(|other| other.moved_from.as_deref() == Some(&session.id));
        !session.is_erased() && !is_moved()
    })
}

/// Why a session cannot look for another evening.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CannotMove {
    /// It has begun, or is over.
    Over,
    /// It has moved already, to this start by the studio's clock.
    MovedTo(DateTime),
    /// What was known of it was erased.
    Erased,
}

/// Whether a session can look for another evening.
///
/// # Errors
///
/// [`CannotMove`] says why it cannot.
pub fn can_move(
    sessions: &[Session],
    session: &Session,
    zone: &TimeZone,
    as_of: Timestamp,
) -> Result<(), CannotMove> {
    let later = sessions.iter().find(|other| other.moved_from.as_deref() == Some(&session.id));
    let is_over = || session.start <= zone.to_datetime(as_of);
    match later {
        Some(later) => Err(CannotMove::MovedTo(later.start)),
        None if session.is_erased() => Err(CannotMove::Erased),
        None if is_over() => Err(CannotMove::Over),
        None => Ok(()),
    }
}

/// The last evening on which a session still serves its deadline, at the least with a single frame.
pub fn latest_evening(studio: &Studio, session: &Session) -> Option<Date> {
    let plan = &studio.policy.season.back_plan;
    session.deadline.as_ref().map(|deadline| plan.latest_rush(deadline.date))
}

/// The season from a day on, as a question after its risk.
#[derive(Debug, Clone, PartialEq)]
pub struct SeasonAhead {
    /// The question.
    pub problem: SeasonProblem,
    /// Sessions that share an evening with another one and are left out of it, by id.
    pub left_out: Vec<String>,
}

/// A session that somebody asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Enquiry {
    /// The evening it would have.
    pub date: Date,
    /// The day on which a picture must be handed in.
    pub deadline: Option<Date>,
}

/// The season from a day on; `None` where no session is to come.
///
/// Evenings are those of the pattern until four weeks after the last session, or until the last
/// deadline where that is later.
///
/// - `p_lost`: the chance that a session on a date, at one end of the day, has to move.
/// - `correlation`: of lost evenings from one day to the next.
/// - `enquiry`: a session that is not sold yet, and counts as if it were.
pub fn season_ahead(
    studio: &Studio,
    sessions: &[Session],
    today: Date,
    p_lost: &dyn Fn(Date, DayHalf) -> Probability,
    correlation: f64,
    enquiry: Option<Enquiry>,
) -> Option<SeasonAhead> {
    struct Coming {
        start: DateTime,
        id: String,
        latest: Option<Date>,
    }
    let plan = &studio.policy.season.back_plan;
    let booked = standing_sessions(sessions).map(|session| Coming {
        start: session.start,
        id: session.id.clone(),
        latest: latest_evening(studio, session),
    });
    let asked = enquiry.map(|enquiry| Coming {
        start: enquiry.date.to_datetime(Time::MAX),
        id: ENQUIRY.to_owned(),
        latest: enquiry.deadline.map(|deadline| plan.latest_rush(deadline)),
    });
    let mut coming: Vec<Coming> =
        booked.chain(asked).filter(|coming| coming.start.date() >= today).collect();
    coming.sort_by_key(|coming| coming.start);
    let last_booked = coming.last()?.start.date().saturating_add(TAIL_DAYS.days());
    let latest = coming.iter().filter_map(|coming| coming.latest).max();
    let last = latest.map_or(last_booked, |latest| latest.max(last_booked));
    let mut uses: BTreeMap<Date, EveningUse> = Pattern::of(studio, (today, last))
        .evenings()
        .filter_map(|(date, kind)| match kind {
            EveningKind::Working => Some((date, EveningUse::Unsold)),
            EveningKind::Reserve => Some((date, EveningUse::Reserve)),
            EveningKind::Never => None,
        })
        .collect();
    let mut halves: BTreeMap<Date, DayHalf> = BTreeMap::new();
    let (mut placed, mut left_out): (Vec<SeasonSession>, Vec<String>) = (Vec::new(), Vec::new());
    for session in coming {
        let date = session.start.date();
        if matches!(uses.get(&date), Some(EveningUse::Sold(_))) {
            left_out.push(session.id);
            continue;
        }
        uses.insert(date, EveningUse::Sold(placed.len()));
        halves.insert(date, DayHalf::of(session.start.time()));
        placed.push(SeasonSession { id: session.id, latest: session.latest, waiting_since: None });
    }
    let taken: Vec<Date> = standing_sessions(sessions).map(|it| it.start.date()).collect();
    close_full_weeks(&mut uses, &taken, usize::from(studio.policy.season.sold_a_week_max));
    let evening = |(date, use_)| {
        let half = halves.get(&date).copied().unwrap_or(DayHalf::Evening);
        SeasonEvening { date, p_lost: p_lost(date, half).get(), use_ }
    };
    let made_this_week = standing_sessions(sessions)
        .map(|session| session.start.date())
        .filter(|date| *date < today && monday(*date) == monday(today))
        .count();
    let terms = &studio.policy.season;
    let problem = SeasonProblem {
        evenings: uses.into_iter().map(evening).collect(),
        sessions: placed,
        rules: SeasonRules {
            correlation,
            notice_days: i32::try_from(terms.notice_h.div_ceil(24)).unwrap_or(i32::MAX),
            sessions_a_week_max: usize::from(terms.worked_a_week_max),
        },
        made_this_week,
    };
    Some(SeasonAhead { problem, left_out })
}

/// How many sessions each week has, by its Monday.
fn sold_by_week(taken: &[Date]) -> BTreeMap<Date, usize> {
    taken.iter().fold(BTreeMap::new(), |mut weeks, date| {
        *weeks.entry(monday(*date)).or_default() += 1;
        weeks
    })
}

/// Working evenings beyond what a week sells are open to moves only.
fn close_full_weeks(uses: &mut BTreeMap<Date, EveningUse>, taken: &[Date], sold_max: usize) {
    let mut in_week = sold_by_week(taken);
    for (date, use_) in uses.iter_mut().filter(|(_, it)| **it == EveningUse::Unsold) {
        let count = in_week.entry(monday(*date)).or_default();
        if *count >= sold_max {
            *use_ = EveningUse::Reserve;
        }
        *count += 1;
    }
}

/// An evening kept for weather.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ReserveEvening {
    /// When.
    pub date: Date,
    /// The time it leaves before the deadline, where one was named.
    pub time_left: Option<TimeLeft>,
}

/// Why no evening is kept for weather.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoReserve {
    /// None is free.
    NoneFree,
    /// Those that are free are too late for the deadline.
    TooLate,
}

/// Two evenings kept for weather: one near, one far.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ReservePair {
    /// One to four days on.
    pub near: Result<ReserveEvening, NoReserve>,
    /// Five to nine days on.
    pub far: Result<ReserveEvening, NoReserve>,
}

/// An evening that can be offered.
#[derive(Debug, Clone, PartialEq)]
pub struct SeasonOffer {
    /// Date, start, looks and what bounds them.
    pub start: Start,
    /// Its reserve evenings, where they are free and in time.
    pub reserves: ReservePair,
    /// The time it leaves before the deadline, where one was named.
    pub time_left: Option<TimeLeft>,
}

/// What an enquiry hears.
#[derive(Debug, Clone, PartialEq)]
pub struct SeasonOffers {
    /// The evenings: those that leave more time before the deadline first, and of these the one that is
    /// worth most.
    pub offers: Vec<SeasonOffer>,
    /// The first evening that could be sold at all, and the time that it leaves; `None` without a
    /// deadline, or where no evening is free before it.
    pub first_free: Option<(Date, TimeLeft)>,
    /// Reserve evenings before the deadline: what is left where no working one is free.
    pub reserves_in_time: Vec<Date>,
}

/// What an enquiry asks.
pub struct OfferQuestion<'a> {
    /// The looks, the spots and the dates.
    pub evenings: StartQuestion<'a>,
    /// The day on which a picture must be handed in.
    pub deadline: Option<Date>,
    /// The moment at which it is asked: whoever would have to leave home before it is not offered that
    /// evening.
    pub as_of: Timestamp,
    /// The chance that a session on a date, at one end of the day, is lost, by counts of the past.
    pub p_lost: &'a dyn Fn(Date, DayHalf) -> Probability,
}

/// Three to five evenings for an enquiry, where there are so many.
///
/// Evenings that are sold, weeks that are full, dates too near for a spot's permit, and drives longer
/// than the studio's are left out; so is everything from which not even a single frame would come in
/// time. An evening that leaves too little time before the deadline is offered only where fewer than
/// three leave more. Among those that leave as much, the light counts for what the climate of those
/// weeks lets through:
///
/// ```text
/// worth = mean score of the looks (0 to 1) * (1 - P(lost))
/// ```
///
/// # Errors
///
/// [`NoStart`] where there is nothing to offer for other reasons than the deadline.
pub fn season_offers(
    studio: &Studio,
    zone: &TimeZone,
    sessions: &[Session],
    question: &OfferQuestion<'_>,
    tide_m: &(dyn Fn(Timestamp) -> Option<f64> + Sync),
) -> Result<SeasonOffers, NoStart> {
    let OfferQuestion { evenings: question, deadline, as_of, p_lost } = question;
    let (deadline, as_of) = (*deadline, *as_of);
    let terms = &studio.policy.season;
    if question.drive_min > terms.drive_max_min {
        return Err(NoStart::Drive(question.drive_min, terms.drive_max_min));
    }
    let (from, to) = question.dates;
    let today = zone.to_datetime(as_of).date();
    let taken: Vec<Date> =
        standing_sessions(sessions).map(|session| session.start.date()).collect();
    let pattern = Pattern::of(studio, (from, to.saturating_add(i64::from(FAR_DAYS).days())));
    let sold = sold_by_week(&taken);
    let is_full = |date: Date| {
        let in_week = sold.get(&monday(date)).copied().unwrap_or_default();
        in_week >= usize::from(terms.sold_a_week_max)
    };
    let left = |date: Date| deadline.map(|due| terms.back_plan.time_left(date, due));
    let in_time = |date: Date| left(date) != Some(TimeLeft::No);
    let is_free = |date: Date, kind: EveningKind| {
        pattern.kind(date) == kind && date >= today && !taken.contains(&date)
    };
    let dates = || from.series(1.day()).take_while(|date| *date <= to);
    let can_be_sold =
        |date: &Date| is_free(*date, EveningKind::Working) && in_time(*date) && !is_full(*date);
    let first_free = dates().filter(can_be_sold).find_map(|date| Some((date, left(date)?)));
    let reserves_in_time =
        dates().filter(|date| is_free(*date, EveningKind::Reserve) && in_time(*date)).collect();
    let mut offered: Vec<Start> = Vec::new();
    let mut last_why = None;
    // A deadline sorts the evenings before their light does.
    for class in TimeClass::ALL {
        let is_asked = |date: &Date| {
            TimeClass::of(left(*date)) == Some(class)
                && *date >= today
                && !taken.contains(date)
                && !is_full(*date)
        };
        if offered.len() >= OFFERS.0 || !dates().any(|date| is_asked(&date)) {
            continue;
        }
        let asked = StartQuestion {
            spots: question.spots.clone(),
            looks: question.looks.clone(),
            taken: dates().filter(|date| !is_asked(date)).collect(),
            // Dawn and evening of one date are two answers, and some may be over or need a permit.
            count: 2 * usize::try_from(from.until(to).map_or(0, |span| span.get_days()) + 1)
                .unwrap_or(OFFERS.1),
            ..*question
        };
        match starts(studio, zone, &asked, tide_m) {
            Ok(mut found) => {
                found.retain(|start| {
                    start.leave_home > as_of && has_permit_time(studio, start, today)
                });
                let worth = |start: &Start| {
                    let half = if start.at_dawn { DayHalf::Morning } else { DayHalf::Evening };
                    start.score * (1.0 - p_lost(start.date, half).get())
                };
                offer_best(&mut offered, found, worth);
            }
            Err(why @ (NoStart::NoDays | NoStart::NoLight | NoStart::TideNotKnown)) => {
                last_why = Some(why);
            }
            Err(why) => return Err(why),
        }
    }
    if offered.is_empty() && deadline.is_none() {
        return Err(last_why.unwrap_or(NoStart::NoDays));
    }
    let reserve = |date: Date, days: std::ops::RangeInclusive<i32>| {
        let mut free = days
            .map(|on| date.saturating_add(i64::from(on).days()))
            .filter(|day| is_free(*day, EveningKind::Reserve))
            .peekable();
        let none = if free.peek().is_some() { NoReserve::TooLate } else { NoReserve::NoneFree };
        let found = free.find(|day| in_time(*day)).ok_or(none)?;
        Ok(ReserveEvening { date: found, time_left: left(found) })
    };
    let offers = offered.into_iter().map(|start| SeasonOffer {
        reserves: ReservePair {
            near: reserve(start.date, 1..=NEAR_DAYS),
            far: reserve(start.date, NEAR_DAYS + 1..=FAR_DAYS),
        },
        time_left: left(start.date),
        start,
    });
    Ok(SeasonOffers { offers: offers.collect(), first_free, reserves_in_time })
}

/// How much time an evening leaves, as far as it sorts offers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum TimeClass {
    /// Enough, or nobody waits.
    Enough,
    /// A gallery, with no allowance for weather.
    WithoutAllowance,
    /// A single frame.
    RushOnly,
}

impl TimeClass {
    const ALL: [TimeClass; 3] =
        [TimeClass::Enough, TimeClass::WithoutAllowance, TimeClass::RushOnly];

    /// `None` for an evening from which nothing comes in time.
    fn of(left: Option<TimeLeft>) -> Option<TimeClass> {
        match left {
            None | Some(TimeLeft::Yes { .. }) => Some(TimeClass::Enough),
            Some(TimeLeft::WithoutAllowance { .. }) => Some(TimeClass::WithoutAllowance),
            Some(TimeLeft::RushOnly { .. }) => Some(TimeClass::RushOnly),
            Some(TimeLeft::No) => None,
        }
    }
}

/// Whether the permits of all its spots can still be asked for.
fn has_permit_time(studio: &Studio, start: &Start, today: Date) -> bool {
    let is_late = |spot: &str| {
        let permit = studio.spot(spot).and_then(|spot| spot.site.permit.as_ref());
        permit.is_some_and(|terms| terms.last_day_to_ask(start.date) < today)
    };
    !start.looks.iter().any(|look| is_late(&look.spot))
}

/// Adds the best dates, the best first, each once, until there are enough; of equal ones the earlier.
fn offer_best(offered: &mut Vec<Start>, mut found: Vec<Start>, worth: impl Fn(&Start) -> f64) {
    found.sort_by(|a, b| worth(b).total_cmp(&worth(a)).then(a.date.cmp(&b.date)));
    let best = found.first().map_or(0.0, &worth);
    for start in found {
        let is_new = offered.iter().all(|known| known.date != start.date);
        let is_wanted = offered.len() < OFFERS.0 || worth(&start) >= NEARLY_AS_GOOD * best;
        if is_new && is_wanted && offered.len() < OFFERS.1 {
            offered.push(start);
        }
    }
}
