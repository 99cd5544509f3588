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
use jiff::{Timestamp, ToSpan, civil::Date, tz::TimeZone};

use crate::{
    season_risk::{EveningUse, SeasonEvening, SeasonProblem, SeasonRules, SeasonSession},
    starts::{NoStart, Start, StartQuestion, starts},
};

/// So many dates are offered at least, where there are, and at most.
const OFFERS: (usize, usize) = (3, 5);

/// Beyond the fewest a date is offered only while its looks are granted so much of the best one's.
const NEARLY_AS_GOOD: f64 = 0.9;

/// Up to so many days on a reserve evening is the near one: for hair and visiting relatives.
const NEAR_DAYS: i32 = 4;

/// Up to so many days on it is the far one: bad weather lasts for days.
const FAR_DAYS: i32 = 9;

/// After the last session evenings are looked at for so many days more.
const TAIL_DAYS: i64 = 28;

/// The sessions that stand: neither moved on nor erased.
pub fn standing_sessions(sessions: &[Session]) -> impl Iterator<Item = &Session> {
    sessions.iter().filter(|session| {
        let is_moved =
            || sessions.iter().any(|other| other.moved_from.as_deref() == Some(&session.id));
        !session.is_erased() && !is_moved()
    })
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

/// The season from a day on; `None` where no session is to come.
///
/// Evenings are those of the pattern until four weeks after the last session, or until the last
/// deadline where that is later.
///
/// - `p_lost`: the chance that a session on a date has to move.
/// - `correlation`: of lost evenings from one day to the next.
pub fn season_ahead(
    studio: &Studio,
    sessions: &[Session],
    today: Date,
    p_lost: &dyn Fn(Date) -> Probability,
    correlation: f64,
) -> Option<SeasonAhead> {
    let mut coming: Vec<&Session> =
        standing_sessions(sessions).filter(|session| session.start.date() >= today).collect();
    coming.sort_by_key(|session| session.start);
    let last_booked = coming.last()?.start.date().saturating_add(TAIL_DAYS.days());
    let latest = coming.iter().filter_map(|session| latest_evening(studio, session)).max();
    let last = latest.map_or(last_booked, |latest| latest.max(last_booked));
    let mut uses: BTreeMap<Date, EveningUse> = Pattern::of(studio, (today, last))
        .evenings()
        .filter_map(|(date, kind)| match kind {
            EveningKind::Working => Some((date, EveningUse::Unsold)),
            EveningKind::Reserve => Some((date, EveningUse::Reserve)),
            EveningKind::Never => None,
        })
        .collect();
    let (mut placed, mut left_out): (Vec<SeasonSession>, Vec<String>) = (Vec::new(), Vec::new());
    for session in coming {
        let date = session.start.date();
        if matches!(uses.get(&date), Some(EveningUse::Sold(_))) {
            left_out.push(session.id.clone());
            continue;
        }
        uses.insert(date, EveningUse::Sold(placed.len()));
        placed.push(SeasonSession {
            id: session.id.clone(),
            latest: latest_evening(studio, session),
            waiting_since: None,
        });
    }
    close_full_weeks(&mut uses, usize::from(studio.policy.season.sold_a_week_max));
    let evening = |(date, use_)| SeasonEvening { date, p_lost: p_lost(date).get(), use_ };
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

/// Working evenings beyond what a week sells are open to moves only.
fn close_full_weeks(uses: &mut BTreeMap<Date, EveningUse>, sold_max: usize) {
    let mut in_week: BTreeMap<Date, usize> = BTreeMap::new();
    for date in uses.iter().filter(|(_, it)| matches!(it, EveningUse::Sold(_))).map(|it| it.0) {
        *in_week.entry(monday(*date)).or_default() += 1;
    }
    for (date, use_) in uses.iter_mut().filter(|(_, it)| **it == EveningUse::Unsold) {
        let count = in_week.entry(monday(*date)).or_default();
        if *count >= sold_max {
            *use_ = EveningUse::Reserve;
        }
        *count += 1;
    }
}

/// Two evenings kept for weather: one near, one far.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct ReservePair {
    /// One to four days on.
    pub near: Option<Date>,
    /// Five to nine days on.
    pub far: Option<Date>,
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
    /// The evenings, the best light first.
    pub offers: Vec<SeasonOffer>,
    /// The first evening that could be sold at all, and the time that it leaves; `None` without a
    /// deadline, or where no evening is free before it.
    pub first_free: Option<(Date, TimeLeft)>,
    /// Reserve evenings before the deadline: what is left where no working one is free.
    pub reserves_in_time: Vec<Date>,
}

/// Three to five evenings for an enquiry, where there are so many.
///
/// Evenings that are sold, weeks that are full, and drives longer than the studio's are left out; so is
/// everything from which not even a single frame would come in time.
///
/// - `deadline`: the day on which a picture must be handed in.
/// - `as_of`: whoever would have to leave home before it is not offered that evening.
///
/// # Errors
///
/// [`NoStart`] where there is nothing to offer for other reasons than the deadline.
pub fn season_offers(
    studio: &Studio,
    zone: &TimeZone,
    sessions: &[Session],
    question: &StartQuestion<'_>,
    deadline: Option<Date>,
    as_of: Timestamp,
    tide_m: &(dyn Fn(Timestamp) -> Option<f64> + Sync),
) -> Result<SeasonOffers, NoStart> {
    let terms = &studio.policy.season;
    let (from, to) = question.dates;
    let taken: Vec<Date> =
        standing_sessions(sessions).map(|session| session.start.date()).collect();
    let pattern = Pattern::of(studio, (from, to.saturating_add(i64::from(FAR_DAYS).days())));
    let sold_in = |week: Date| taken.iter().filter(|date| monday(**date) == week).count();
    let is_full = |date: Date| sold_in(monday(date)) >= usize::from(terms.sold_a_week_max);
    let left = |date: Date| deadline.map(|due| terms.back_plan.time_left(date, due));
    let in_time = |date: Date| left(date) != Some(TimeLeft::No);
    let is_open = |date: Date, kind: EveningKind| {
        pattern.kind(date) == kind && !taken.contains(&date) && in_time(date)
    };
    let dates = || from.series(1.day()).take_while(|date| *date <= to);
    let first_free = dates()
        .filter(|date| is_open(*date, EveningKind::Working) && !is_full(*date))
        .find_map(|date| left(date).map(|left| (date, left)));
    let reserves_in_time = dates().filter(|it| is_open(*it, EveningKind::Reserve)).collect();
    if question.drive_min > terms.drive_max_min {
        return Err(NoStart::Drive(question.drive_min, terms.drive_max_min));
    }
    let closed = dates().filter(|date| !in_time(*date) || is_full(*date));
    let mut sold: Vec<Date> = taken.clone();
    sold.extend(closed);
    let asked = StartQuestion {
        taken: sold,
        // Dawn and evening of one date are two answers, and today's may be over.
        count: 2 * (OFFERS.1 + 1),
        ..question.clone()
    };
    let found = match starts(studio, zone, &asked, tide_m) {
        Ok(found) => offered(found, as_of),
        Err(NoStart::NoDays) if deadline.is_some() => Vec::new(),
        Err(why) => return Err(why),
    };
    if found.is_empty() && deadline.is_none() {
        return Err(NoStart::NoDays);
    }
    let pair = |date: Date| {
        let first = |days: std::ops::RangeInclusive<i32>| {
            days.map(|on| date.saturating_add(i64::from(on).days()))
                .find(|day| is_open(*day, EveningKind::Reserve))
        };
        ReservePair { near: first(1..=NEAR_DAYS), far: first(NEAR_DAYS + 1..=FAR_DAYS) }
    };
    let offers = found.into_iter().map(|start| SeasonOffer {
        reserves: pair(start.date),
        time_left: left(start.date),
        start,
    });
    Ok(SeasonOffers { offers: offers.collect(), first_free, reserves_in_time })
}

/// The best dates, the best first, each once.
fn offered(found: Vec<Start>, as_of: Timestamp) -> Vec<Start> {
    let mut offered: Vec<Start> = Vec::new();
    for start in found.into_iter().filter(|start| start.leave_home > as_of) {
        let is_new = offered.iter().all(|known| known.date != start.date);
        let is_good = |best: &Start| start.score >= NEARLY_AS_GOOD * best.score;
        let is_wanted = offered.len() < OFFERS.0 || offered.first().is_some_and(is_good);
        if is_new && is_wanted && offered.len() < OFFERS.1 {
            offered.push(start);
        }
    }
    offered
}
