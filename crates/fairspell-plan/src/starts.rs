//! When to start: dates, starts, and the order of looks and spots that put each look in its light.
//!
//! The photographer knows "two hours before sunset". What decides is the sun's height, this spot's
//! skyline, the tide on it, its hours, when school is out, and what each look wants. [`starts`] tries
//! every date, start, order of looks and spot on a grid of five minutes and keeps the best of each
//! date, by dynamic programming over what is left to make.
//!
//! The value of an evening is the mean over its looks of how well the light
//! [grants](crate::light_wish) what each wants, less a little for minutes on the road or waiting:
//!
//! ```text
//! V(t, S, s) = max( V(t + 1, S, s) - w,
//!                   max over looks l not in S, spots p:  g(l, p, t + d) - r d + V(t + d + m_l, S + l, p) )
//! ```
//!
//! with `t` the slot, `S` the looks made, `s` the spot, `d` the slots to change and get from `s` to
//! `p`, `m_l` the slots the look takes and `g` its mean score there, which counts only where every one
//! of its minutes is usable. Exact on that grid.

use fairspell_ground::LatLon;
use fairspell_studio::{
    LightWish, Session, Spot, Studio,
    season::{EveningKind, Pattern},
    session::Look,
};
use jiff::{
    Timestamp, ToSpan,
    civil::{self, Date},
    tz::TimeZone,
};

use crate::starts_day::{Half, Table, booked_half, halves, slots_of};
use crate::starts_order::{Made, best};

/// The grid of the search, minutes.
pub const SLOT_MIN: u8 = 5;

/// Time to greet each other and put the bag down, before the first look, minutes (common practice).
pub const GREETING_MIN: i64 = 10;

/// Kept free at the end, minutes (common practice).
pub const SLACK_MIN: i64 = 10;

/// From the school's bell to the spot, minutes.
const SCHOOL_TO_SPOT_MIN: i64 = 20;

/// A look of a booked session takes so many minutes at least.
const LOOK_MIN: u32 = 5;

/// No search takes more looks than these.
pub const LOOKS_MAX: usize = 6;

/// No search goes over more days than these: a season and its reserve.
pub const DAYS_MAX: i32 = 400;

/// A look that wants its light.
#[derive(Debug, Clone, PartialEq)]
pub struct WantedLook {
    /// What it is called.
    pub name: String,
    /// The light that it wants.
    pub wants: LightWish,
    /// How long it takes, minutes.
    pub minutes: u32,
    /// The spot, by id, where it must be; `None`: wherever the light is best.
    pub spot: Option<String>,
}

/// What is asked for.
#[derive(Debug, Clone)]
pub struct StartQuestion<'a> {
    /// The spots to choose from. They should lie within a session's reach of each other.
    pub spots: Vec<&'a Spot>,
    /// The looks.
    pub looks: Vec<WantedLook>,
    /// Whether they stay in this order.
    pub in_order: bool,
    /// First and last date.
    pub dates: (Date, Date),
    /// Dates that are taken already.
    pub taken: Vec<Date>,
    /// Whether reserve evenings are offered too.
    pub with_reserve: bool,
    /// The drive from home, minutes.
    pub drive_min: u32,
    /// From one outfit into the next, minutes.
    pub change_min: u32,
    /// Whether every morning counts, not only those of the week.
    pub any_dawn: bool,
    /// How many answers at most.
    pub count: usize,
}

/// Which kind of day an answer lies on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DayKind {
    /// Sold to sessions.
    Working,
    /// Kept empty for weather.
    Reserve,
}

/// A look with its spot and its minutes.
#[derive(Debug, Clone, PartialEq)]
pub struct PlacedLook {
    /// Its index in the question.
    pub look: usize,
    /// Its spot, by id.
    pub spot: String,
    /// When it begins.
    pub from: Timestamp,
    /// When it ends.
    pub to: Timestamp,
    /// How well the light grants its wish, 0 to 1, the mean of its minutes.
    pub score: f64,
    /// The sun's height at its beginning and end, degrees.
    pub sun_elevation_deg: (f64, f64),
    /// The sun's direction in its middle, degrees clockwise from true north.
    pub sun_azimuth_deg: f64,
    /// The share of its minutes with the sun on the spot, 0 to 1.
    pub direct_share: f64,
}

/// What bounds an evening at a spot.
#[derive(Debug, Clone, PartialEq)]
pub enum Bound {
    /// School is out then.
    SchoolOut(Timestamp),
    /// The sun leaves a spot, whose id this is.
    SunLeaves(String, Timestamp),
    /// The tide shuts a spot, by id.
    TideShuts(String, Timestamp),
    /// The tide opens a spot, by id.
    TideOpens(String, Timestamp),
    /// A spot, by id, shuts its gate.
    Shuts(String, Timestamp),
    /// The last light there is to work by.
    LastLight(Timestamp),
}

/// One answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Start {
    /// The date.
    pub date: Date,
    /// Its kind.
    pub kind: DayKind,
    /// Whether it is a session at dawn.
    pub at_dawn: bool,
    /// When the session begins, with the greeting.
    pub from: Timestamp,
    /// When it ends, with its slack.
    pub to: Timestamp,
    /// When she leaves home, to be there as early as the policy says.
    pub leave_home: Timestamp,
    /// When she is home again.
    pub home_again: Timestamp,
    /// The looks in their order.
    pub looks: Vec<PlacedLook>,
    /// The mean score of the looks, 0 to 1.
    pub score: f64,
    /// What the search maximised: the sum of the scores less the road and waiting.
    pub value: f64,
    /// What bounds it, in time.
    pub bounds: Vec<Bound>,
}

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NoStart {
    /// Nothing was asked for.
    #[error("there is no look to place")]
    NoLooks,
    /// Too many looks for one session.
    #[error("{0} looks are more than the {LOOKS_MAX} that one session is searched for")]
    TooManyLooks(usize),
    /// A look that takes no time, or all day.
    #[error("the look `{0}` cannot take {1} minutes")]
    Minutes(String, u32),
    /// There is nowhere to stand.
    #[error("there is no spot to choose from")]
    NoSpots,
    /// A look must be at a spot that is not among these.
    #[error("`{0}` is none of the spots to choose from; spots go by their ids in studio.json")]
    UnknownSpot(String),
    /// The dates are the wrong way round, or too many.
    #[error(
        "from {0} to {1} nothing can be searched: the earlier date comes first, at most {DAYS_MAX} days, in the years 1900 to 2200"
    )]
    Dates(Date, Date),
    /// The drive is longer than the studio drives.
    #[error("a drive of {0} minutes is longer than the {1} that the studio drives")]
    Drive(u32, u32),
    /// All dates are blacked out, taken, or none of the week's days.
    #[error(
        "every one of these dates is taken, never offered, or no working evening; --reserve counts \
         reserve evenings too"
    )]
    NoDays,
    /// The tide is not known, and every spot left hangs on it.
    #[error("the tide of these dates is not known, and all that is left needs it")]
    TideNotKnown,
    /// On no date is there a minute for all looks.
    #[error("on none of these dates there is usable light for all looks in one session")]
    NoLight,
}

/// The best starts, the best first, at most one a date and half of the day.
///
/// - `tide_m`: the water's height at a moment, metres, `None` where it is not known. A spot with a limit
///   is not used while the tide is unknown: missing is never dry.
///
/// # Errors
///
/// [`NoStart`] says what was wrong with the question, or why no evening serves.
pub fn starts(
    studio: &Studio,
    zone: &TimeZone,
    question: &StartQuestion<'_>,
    tide_m: &(dyn Fn(Timestamp) -> Option<f64> + Sync),
) -> Result<Vec<Start>, NoStart> {
    check(question)?;
    let place = middle(&question.spots).unwrap_or(studio.home);
    let days = days(studio, question);
    if days.is_empty() {
        return Err(NoStart::NoDays);
    }
    let mut found = Vec::new();
    let mut is_tide_missing = false;
    for (date, kind) in days {
        let has_dawn = question.any_dawn || studio.week.dawn.contains(&date.weekday().into());
        for half in halves(studio, zone, date, place, SCHOOL_TO_SPOT_MIN, has_dawn) {
            let table = Table::new(studio, zone, question, &half, place, tide_m);
            is_tide_missing |= table.is_tide_missing;
            let Some(made) = best(&table, question) else { continue };
            found.push((made, table, half, (date, kind)));
        }
    }
    if found.is_empty() {
        return Err(if is_tide_missing { NoStart::TideNotKnown } else { NoStart::NoLight });
    }
    // The sort is stable: of equal values the earlier date comes first, every time.
    found.sort_by(|a, b| b.0.value.total_cmp(&a.0.value));
    found.truncate(question.count);
    let told = found
        .iter()
        .map(|(made, table, half, day)| start(studio, zone, question, table, half, *day, made));
    Ok(told.collect())
}

/// How well the light of a session's own hours grants its looks what they want, 0 to 1, the mean of them.
///
/// The looks stand in their order at their spots, each as long as the others. 0 where a spot is shut then,
/// dark, under water, or where nobody knows the tide: what a [search](starts) would not take.
///
/// - `tide_m`: the water's height at a moment, metres, `None` where it is not known.
pub fn score_as_booked(
    studio: &Studio,
    zone: &TimeZone,
    session: &Session,
    change_min: u32,
    tide_m: &(dyn Fn(Timestamp) -> Option<f64> + Sync),
) -> f64 {
    let spots = crate::evening::spots(studio, session);
    let (Some(first), Ok(booked)) = (spots.first(), session.booked(zone)) else { return 0.0 };
    let place = first.position;
    let looks = wanted_looks(session, change_min, true);
    let stretch_min: u32 = looks.iter().map(|look| look.minutes + change_min).sum();
    let Some(half) = booked_half(booked.from + GREETING_MIN.minutes(), stretch_min) else {
        return 0.0;
    };
    let question = StartQuestion {
        spots,
        looks,
        in_order: true,
        dates: (session.start.date(), session.start.date()),
        taken: Vec::new(),
        with_reserve: true,
        drive_min: session.drive.minutes,
        change_min,
        any_dawn: false,
        count: 1,
    };
    let table = Table::new(studio, zone, &question, &half, place, tide_m);
    let mut slot = 0;
    let mut sum = 0.0;
    for (index, look) in question.looks.iter().enumerate() {
        let slots = slots_of(f64::from(look.minutes));
        let spot = question.spots.iter().position(|spot| Some(&spot.id) == look.spot.as_ref());
        let granted = spot.and_then(|spot| table.grants(index, spot, slot, slot + slots));
        sum += granted.unwrap_or(0.0);
        slot += slots + slots_of(f64::from(change_min));
    }
    sum / question.looks.len().max(1) as f64
}

/// A session's looks as a search takes them, each as long as the others.
///
/// Greeting, slack and changes are part of the booked hours, so that an answer is as long as they.
///
/// - `change_min`: from one outfit into the next, minutes.
/// - `at_their_spots`: whether each stays where it is planned, or goes wherever the light is best.
pub fn wanted_looks(session: &Session, change_min: u32, at_their_spots: bool) -> Vec<WantedLook> {
    let count = u32::try_from(session.looks.len()).unwrap_or(u32::MAX).max(1);
    let around_min = u32::try_from(GREETING_MIN + SLACK_MIN).unwrap_or_default();
    let changes_min = change_min.saturating_mul(count - 1);
    let left_min = session.duration_min.saturating_sub(around_min).saturating_sub(changes_min);
    let look = |look: &Look| WantedLook {
        name: look.name.clone(),
        wants: look.wants,
        minutes: (left_min / count).max(LOOK_MIN),
        spot: at_their_spots.then(|| look.spot.clone()),
    };
    session.looks.iter().map(look).collect()
}

fn check(question: &StartQuestion<'_>) -> Result<(), NoStart> {
    let (from, to) = question.dates;
    let days = from.until(to).map_or(i32::MAX, |span| span.get_days());
    let is_our_time = |date: &Date| (1900..=2200).contains(&date.year());
    if !(0..=DAYS_MAX).contains(&days) || !is_our_time(&from) || !is_our_time(&to) {
        return Err(NoStart::Dates(from, to));
    }
    match question.looks.len() {
        0 => return Err(NoStart::NoLooks),
        1..=LOOKS_MAX => {}
        more => return Err(NoStart::TooManyLooks(more)),
    }
    if let Some(look) = question.looks.iter().find(|look| !(1..=240).contains(&look.minutes)) {
        return Err(NoStart::Minutes(look.name.clone(), look.minutes));
    }
    if question.spots.is_empty() {
        return Err(NoStart::NoSpots);
    }
    let is_there = |id: &&String| question.spots.iter().any(|spot| spot.id == **id);
    let mut wanted = question.looks.iter().filter_map(|look| look.spot.as_ref());
    match wanted.find(|id| !is_there(id)) {
        Some(id) => Err(NoStart::UnknownSpot(id.clone())),
        None => Ok(()),
    }
}

/// The dates that may be offered, with their kind.
fn days(studio: &Studio, question: &StartQuestion<'_>) -> Vec<(Date, DayKind)> {
    let (from, to) = question.dates;
    let kind = |kind: EveningKind| match kind {
        EveningKind::Working => Some(DayKind::Working),
        EveningKind::Reserve if question.with_reserve => Some(DayKind::Reserve),
        EveningKind::Reserve | EveningKind::Never => None,
    };
    Pattern::of(studio, (from, to))
        .evenings()
        .filter(|(date, _)| !question.taken.contains(date))
        .filter_map(|(date, evening)| kind(evening).map(|kind| (date, kind)))
        .collect()
}

/// The middle of some spots; sun and sky are the same all over a session's reach.
fn middle(spots: &[&Spot]) -> Option<LatLon> {
    let first = spots.first()?.position;
    let farthest = spots.iter().map(|spot| first.distance_km(spot.position)).fold(0.0, f64::max);
    // Half a degree of sun is half a hundred kilometres; nearer spots share the first one's sky.
    (farthest < 50.0).then_some(first)
}

fn start(
    studio: &Studio,
    zone: &TimeZone,
    question: &StartQuestion<'_>,
    table: &Table<'_>,
    half: &Half,
    (date, kind): (Date, DayKind),
    made: &Made,
) -> Start {
    let looks: Vec<PlacedLook> =
        made.looks.iter().map(|placed| table.placed(question, placed)).collect();
    let first = looks.first().map_or(half.from, |look| look.from);
    let last = looks.last().map_or(half.from, |look| look.to);
    let from = first - GREETING_MIN.minutes();
    let to = last + SLACK_MIN.minutes();
    let drive = i64::from(question.drive_min).minutes();
    let arrive = i64::from(studio.policy.arrive_before_min).minutes();
    let score = looks.iter().map(|look| look.score).sum::<f64>() / looks.len().max(1) as f64;
    let mut bounds = table.bounds(zone, &looks, (from, to));
    if let Some(out) = half.school_out {
        bounds.push(Bound::SchoolOut(out));
    }
    if half.has_sunset {
        bounds.push(Bound::LastLight(half.light_ends));
    }
    bounds.sort_by_key(Bound::time);
    Start {
        date,
        kind,
        at_dawn: half.at_dawn,
        from,
        to,
        leave_home: from - arrive - drive,
        home_again: to + drive,
        looks,
        score,
        value: made.value,
        bounds,
    }
}

impl Bound {
    /// When it is.
    pub fn time(&self) -> Timestamp {
        match self {
            Bound::SchoolOut(at)
            | Bound::LastLight(at)
            | Bound::SunLeaves(_, at)
            | Bound::TideShuts(_, at)
            | Bound::TideOpens(_, at)
            | Bound::Shuts(_, at) => *at,
        }
    }
}

/// The wall clock at a moment.
pub(crate) fn wall(zone: &TimeZone, at: Timestamp) -> civil::DateTime {
    zone.to_datetime(at)
}
