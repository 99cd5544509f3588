//! The leave gate: go, hold, or don't go, and with what in the car.
//!
//! When she has to drive off, hair is done and money is sunk; what she asks is whether there will be
//! **one dry gap** long enough between her arrival and the last usable light, and whether the road lets
//! her there and home. The gap's chance is that of [`outlook()`](crate::outlook()) as far as radar
//! reaches. Beyond, radar only tells [how busy](BusySky) the sky is, and that is mixed with the forecast:
//!
//! ```text
//! p = s p_radar + (1 - s) (b p_busy + (1 - b) p_forecast)
//! ```
//!
//! with `s` the radar's share by the [handover](fairspell_chance::Handover), 0 where its pictures do
//! not reach, and `b` that of [`busy_share`], times 1 - `s` where they do. What the policy makes of it
//! is [`rule_leaving`]; on top of that the step only ever gets more careful: a warning never becomes a
//! go, nor does a road that nobody knows to be open. Official notices that are mere information (an
//! outlook, a marine warning) are shown and weigh nothing.

mod busy;
mod mixed;
mod road;
mod step;

pub use self::{
    busy::{BusySky, busy_gap, busy_share, wet_share_ahead},
    mixed::{Say, Voice, WAITING_MIN, Waiting},
    road::{RoadCheck, RoadState, Way},
    step::{LeaveReason, LeaveStep, LookUp},
};
pub use fairspell_nowcast::{Spread, Trend};

use fairspell_chance::Chance;
use fairspell_studio::{
    Outlook, Ruling, Session, SessionError, SourceState, Sourced, Span, Studio,
    gate::{latest_leave, minus_minutes, plus_minutes},
    outlook::{SourceKind, WarningSeen},
    rule_leaving,
};
use jiff::{Timestamp, ToSpan, civil, tz::TimeZone};

use self::{
    mixed::{Fresh, Sky},
    step::{Decided, decide},
};
use crate::{
    evening::{Hours, hours},
    light_plan::{BagOut, bag_out},
    seen::Seen,
    standing::Standing,
    warnings::warnings_by_leg,
};

/// When she has to leave, and what time she has.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeaveTimes {
    /// Leaving then she is there in good time before the start.
    pub for_the_start: Timestamp,
    /// The last moment at which leaving still gives the rescue set its minutes before the light goes,
    /// and still finds every point of the way there open.
    pub latest: Timestamp,
    /// The same by the light alone.
    pub latest_for_light: Timestamp,
    /// When she is taken to leave: now, or for the start where that is still to come.
    pub leaving_at: Timestamp,
    /// When she is then there.
    pub arrives_at: Timestamp,
    /// The last light that can be worked by.
    pub last_usable: Timestamp,
    /// How long she can still wait at home, minutes: until [`latest`](LeaveTimes::latest), which is last
    /// usable light - drive - rescue set where the road shuts no sooner. Below zero it is too late.
    pub wait_at_home_min: f64,
    /// How long a shower can be waited out at the place, minutes: last usable light - arrival (or start)
    /// - rescue set.
    pub wait_at_place_min: f64,
}

/// An official warning with the parts of the outing that it touches.
#[derive(Debug, Clone, PartialEq)]
pub struct WayWarning {
    /// The warning.
    pub warning: WarningSeen,
    /// On the way there.
    pub there: bool,
    /// At the place.
    pub place: bool,
    /// On the way home.
    pub home: bool,
}

/// The drive home.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DriverHours {
    /// When she is home at the latest, if she works to the end of the light.
    pub home_at: Timestamp,
    /// When she wants to be home.
    pub home_by: Timestamp,
    /// How long each way takes, minutes.
    pub drive_min: u32,
    /// The longest drive home, minutes: the owner's.
    pub drive_home_max_min: u32,
}

impl DriverHours {
    /// Whether to stay the night: the way home ends too late, or takes too long.
    pub fn stay_over(&self) -> bool {
        self.home_at > self.home_by || self.drive_min > self.drive_home_max_min
    }
}

/// When she is where.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Trip {
    leaving_at: Timestamp,
    arrives_at: Timestamp,
    /// The earliest and the latest moment to set out for home.
    home_from: Span,
}

/// The leave gate's answer.
#[derive(Debug, Clone, PartialEq)]
pub struct LeaveAdvice {
    /// The session, by id.
    pub session: String,
    /// The moment; nothing fetched later was looked at.
    pub as_of: Timestamp,
    /// What to do.
    pub step: LeaveStep,
    /// Why, what decides first.
    pub reasons: Vec<LeaveReason>,
    /// What alone stands between her and a go: with it looked up and found good she may go. Empty
    /// where it is a go already, or where something else speaks against one.
    pub go_once: Vec<LookUp>,
    /// Length of the gap, minutes.
    pub gap_min: u32,
    /// From arrival or the start, whichever is later, to last usable light.
    pub window: Span,
    /// Chance of one such gap in it.
    pub p_gap: Option<Sourced<Chance>>,
    /// Chance of any wet minute (at least 0.1 mm/h) from the start on.
    pub p_wet_minute: Option<Sourced<Chance>>,
    /// Who says how much of the chance of the gap, the one with the most say first.
    pub says: Vec<Say>,
    /// How busy the sky is around the place; `None` where no radar tells.
    pub busy: Option<BusySky>,
    /// When to leave.
    pub times: LeaveTimes,
    /// What waiting would change; `None` where it cannot be said, or no time is left for it.
    pub waiting: Option<Waiting>,
    /// Official warnings, the gravest first.
    pub warnings: Vec<WayWarning>,
    /// The road, the way there first.
    pub road: Vec<RoadCheck>,
    /// The way home.
    pub driver: DriverHours,
    /// When the bag has to be out of a cooled car; `None` where the forecast says nothing of the air.
    pub bag: Option<BagOut>,
    /// How the sources stand.
    pub sources: Vec<(SourceKind, SourceState)>,
    /// What the policy says, with the leave gate's own chance of a gap.
    pub ruling: Ruling,
}

/// Whether to drive off to a session.
///
/// - `standing`: where it stands at the moment of the question, as [`standing`](crate::standing()) gives it.
/// - `seen`: what that was made from.
///
/// # Errors
///
/// A [`SessionError`] for a start that does not exist or comes twice.
pub fn leave_advice(
    studio: &Studio,
    zone: &TimeZone,
    session: &Session,
    standing: &Standing,
    seen: &Seen,
) -> Result<LeaveAdvice, SessionError> {
    let hours = hours(studio, zone, session)?;
    let outlook = &standing.outlook;
    let as_of = outlook.as_of;
    let gap_min = studio.policy.rescue_set_min;
    let (times, trip) = times(studio, session, &hours, as_of);
    // A tide that cannot be made is one that nobody knows.
    let tide = studio.tide().ok().flatten();
    let road = road::road_checks(studio, zone, session, &trip, tide.as_ref());
    let times = times.within_the_road(&road, as_of);
    let sky = Sky { hours: &hours, seen: Fresh::of(seen, outlook), as_of, gap_min };

    let window = sky.window(trip.arrives_at);
    let (p_gap, says) = sky.gap(window);
    let ruling = rule_leaving(
        studio,
        session,
        &standing.gates,
        &Outlook { p_gap: p_gap.clone(), ..outlook.clone() },
    );
    let warnings = way_warnings(studio, session, &hours, &trip, outlook, seen);
    let Decided { step, reasons, go_once } = decide(&ruling, outlook, &times, &warnings, &road);
    let forecast = sky.seen.forecast.map(|seen| &seen.forecast);
    Ok(LeaveAdvice {
        session: session.id.clone(),
        as_of,
        step,
        reasons,
        go_once,
        gap_min,
        window,
        waiting: sky.waiting(session, &times),
        busy: sky.seen.radar.and_then(|radar| BusySky::around(hours.place, radar)),
        p_gap,
        p_wet_minute: outlook.p_wet_minute.clone(),
        says,
        times,
        warnings,
        road,
        driver: driver_hours(studio, zone, session, &trip),
        bag: forecast
            .and_then(|forecast| bag_out(forecast, hours.window.from.max(trip.arrives_at))),
        sources: outlook.sources.clone(),
        ruling,
    })
}

impl LeaveTimes {
    /// The same with a road whose points shut: who leaves later than that stands before one.
    fn within_the_road(self, road: &[RoadCheck], as_of: Timestamp) -> LeaveTimes {
        let shuts = road.iter().filter_map(|check| check.leave_by(self.leaving_at));
        let latest = shuts.fold(self.latest, Timestamp::min);
        LeaveTimes { latest, wait_at_home_min: minutes_between(as_of, latest), ..self }
    }
}

fn minutes_between(from: Timestamp, to: Timestamp) -> f64 {
    to.duration_since(from).as_secs_f64() / 60.0
}

fn times(
    studio: &Studio,
    session: &Session,
    hours: &Hours,
    as_of: Timestamp,
) -> (LeaveTimes, Trip) {
    let policy = &studio.policy;
    let (start, last_usable) = (hours.window.from, hours.until_last_light.to);
    let drive_min = session.drive.minutes;
    let for_the_start = minus_minutes(start, drive_min + policy.arrive_before_min);
    let latest = latest_leave(session, policy.rescue_set_min, last_usable);
    let leaving_at = as_of.max(for_the_start);
    let arrives_at = plus_minutes(leaving_at, drive_min);
    let works_from = arrives_at.max(start);
    let times = LeaveTimes {
        for_the_start,
        latest,
        latest_for_light: latest,
        leaving_at,
        arrives_at,
        last_usable,
        wait_at_home_min: minutes_between(as_of, latest),
        wait_at_place_min: minutes_between(works_from, last_usable)
            - f64::from(policy.rescue_set_min),
    };
    // Once begun we finish, but nobody sets out for home before arriving.
    let home_from = Span {
        from: hours.window.to.max(arrives_at),
        to: hours.window.to.max(last_usable).max(arrives_at),
    };
    (times, Trip { leaving_at, arrives_at, home_from })
}

/// Warnings over the way there, the place and the way home; those that the outlook names for the hours
/// around are named too.
fn way_warnings(
    studio: &Studio,
    session: &Session,
    hours: &Hours,
    trip: &Trip,
    outlook: &Outlook,
    seen: &Seen,
) -> Vec<WayWarning> {
    let there = Span { from: trip.leaving_at, to: trip.arrives_at };
    let place = Span { from: hours.evening.from.min(trip.arrives_at), to: trip.home_from.to };
    let home = Span {
        from: trip.home_from.from,
        to: plus_minutes(trip.home_from.to, session.drive.minutes),
    };
    // Even an old list is read: nobody has said that its warnings are over.
    let by_leg = seen
        .warnings
        .as_ref()
        .map(|seen| warnings_by_leg(studio, session, [there, place, home], seen));
    let mut warnings: Vec<WayWarning> = by_leg
        .unwrap_or_default()
        .into_iter()
        .map(|(warning, [there, place, home])| WayWarning { warning, there, place, home })
        .collect();
    for warning in &outlook.warnings {
        match warnings.iter_mut().find(|known| is_same(&known.warning, warning)) {
            Some(known) if known.warning.tier < warning.tier => known.warning = warning.clone(),
            Some(_) => {}
            None => warnings.push(WayWarning {
                warning: warning.clone(),
                there: false,
                place: false,
                home: false,
            }),
        }
    }
    warnings.sort_by_key(|known| std::cmp::Reverse(known.warning.tier));
    warnings
}

/// Whether it is the same warning, whatever it overlaps.
fn is_same(one: &WarningSeen, other: &WarningSeen) -> bool {
    let of = |seen: &WarningSeen| (seen.event.clone(), seen.issued, seen.from, seen.to);
    of(one) == of(other)
}

fn driver_hours(studio: &Studio, zone: &TimeZone, session: &Session, trip: &Trip) -> DriverHours {
    let rules = studio.policy.driver;
    let before_noon = rules.home_by < civil::time(12, 0, 0, 0);
    let day = session.start.date();
    let day = if before_noon { day.saturating_add(1.day()) } else { day };
    let home_at = plus_minutes(trip.home_from.to, session.drive.minutes);
    DriverHours {
        home_at,
        // At the end of the calendar there is no later day; then she stays.
        home_by: zone.to_timestamp(day.to_datetime(rules.home_by)).unwrap_or(Timestamp::MIN),
        drive_min: session.drive.minutes,
        drive_home_max_min: rules.drive_home_max_min,
    }
}
