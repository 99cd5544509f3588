//! The same day at another hour, and the session in two parts.
//!
//! A shower that takes 16:00 may leave 15:00 dry, and cloud ends the light early anyway. [`shifts`] asks
//! of every start in steps of a quarter of an hour what the outlook says of its hours and how much of
//! the golden hour is left in them. [`split`] finds the roof of a covered set and an evening for the
//! rest.

use fairspell_almanac::sun_position;
use fairspell_chance::Probability;
use fairspell_studio::{Session, Span, Spot, Studio, gate::minus_minutes, spot::Cover};
use jiff::{
    SignedDuration, Timestamp, ToSpan,
    civil::{Date, DateTime},
    tz::TimeZone,
};

use crate::{Seen, evening::hours};

/// Between two starts that are tried, minutes.
const STEP_MIN: i64 = 15;
/// A session is moved no further than this within its day, minutes.
const FARTHEST_MIN: i64 = 120;
/// From the school's bell to the spot, minutes.
const SCHOOL_TO_SPOT_MIN: u32 = 20;
/// The rest of a session follows so many days later at the earliest (common practice: weather lasts).
const REST_AFTER_DAYS: i32 = 2;

/// A start on the same day.
#[derive(Debug, Clone, PartialEq)]
pub struct Shift {
    /// The start, by the clock on the studio's wall.
    pub start: DateTime,
    /// How much later than booked, minutes; below 0 it is earlier.
    pub by_min: i64,
    /// The chance of one dry gap long enough in its hours.
    pub p_gap: Option<Probability>,
    /// The chance of any rain in its hours.
    pub p_rain: Option<Probability>,
    /// Minutes of the golden hour in its hours.
    pub golden_min: f64,
    /// Minutes before the light ends.
    pub usable_min: f64,
}

/// The starts of a session's day that can still be met, the booked one among them, in order.
///
/// - `seen`: what had been fetched by `as_of`.
pub fn shifts(
    studio: &Studio,
    zone: &TimeZone,
    session: &Session,
    as_of: Timestamp,
    seen: &Seen,
) -> Vec<Shift> {
    let policy = &studio.policy;
    let before_min = session.drive.minutes + policy.arrive_before_min;
    let school = studio.school.as_ref().and_then(|school| school.out_at(session.start.date()));
    let earliest = school
        .map(|out| out.saturating_add(SignedDuration::from_mins(SCHOOL_TO_SPOT_MIN.into())))
        .filter(|out| session.start.time() >= *out);
    let steps = -FARTHEST_MIN / STEP_MIN..=FARTHEST_MIN / STEP_MIN;
    steps
        .filter_map(|step| {
            let by_min = step * STEP_MIN;
            let start = session.start.checked_add(SignedDuration::from_mins(by_min)).ok()?;
            let is_same_day = start.date() == session.start.date();
            let is_after_school = earliest.is_none_or(|out| start.time() >= out);
            if !is_same_day || !is_after_school {
                return None;
            }
            let there = Session { start, ..session.clone() };
            let hours = hours(studio, zone, &there).ok()?;
            let usable_min = hours.window.minutes();
            let can_be_met = minus_minutes(hours.window.from, before_min) > as_of;
            if usable_min < f64::from(policy.rescue_set_min) || !(can_be_met || by_min == 0) {
                return None;
            }
            let outlook = crate::outlook(studio, zone, &there, as_of, seen).ok()?;
            Some(Shift {
                start,
                by_min,
                p_gap: outlook.p_gap.map(|gap| gap.value.centre),
                p_rain: outlook.p_any_rain.map(|rain| rain.value.centre),
                golden_min: golden_min(studio, hours.window, hours.place),
                usable_min,
            })
        })
        .collect()
}

/// Minutes of a window with the sun where the owner calls it golden.
fn golden_min(studio: &Studio, window: Span, place: fairspell_ground::LatLon) -> f64 {
    let rules = &studio.policy.light;
    let golden = rules.golden_to_deg..=rules.golden_from_deg;
    let minutes = (0..)
        .map(|minute: i64| window.from + minute.minutes())
        .take_while(|moment| *moment < window.to)
        .filter(|moment| golden.contains(&sun_position(*moment, place).elevation_deg));
    minutes.count() as f64
}

/// A session in two parts: a covered set now, the rest on another evening.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Split {
    /// The roof, a spot's id.
    pub roof: String,
    /// The reserve evening for the rest, where one is free.
    pub rest: Option<Date>,
}

/// How a session could be made in two parts; `None` without a roof near its spots that is open then.
pub fn split(studio: &Studio, sessions: &[Session], session: &Session) -> Option<Split> {
    let roof = roof_near(studio, session, session.start)?;
    let booked = session.start.date();
    let is_later = |date: &Date| {
        let apart = booked.until(*date).map_or(0, |span| span.get_days());
        apart >= REST_AFTER_DAYS && !session.dates.cannot.contains(date)
    };
    let rest = studio.reserve_evenings(session, sessions).into_iter().find(is_later);
    Some(Split { roof: roof.id.clone(), rest })
}

/// A roof near a session's spots that is open at a start; the one with the nearest refuge first.
pub(crate) fn roof_near<'a>(
    studio: &'a Studio,
    session: &Session,
    start: DateTime,
) -> Option<&'a Spot> {
    let here = crate::evening::spots(studio, session).first()?.position;
    let is_open =
        |spot: &&Spot| spot.cover == Cover::Roof && spot.is_near(here) && spot.site.is_open(start);
    let to_refuge = |spot: &&Spot| spot.refuge.as_ref().map_or(u32::MAX, |it| it.minutes);
    studio.spots.iter().filter(is_open).min_by_key(to_refuge)
}
