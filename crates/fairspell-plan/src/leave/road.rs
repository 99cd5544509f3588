//! What the road passes at which moment, and whether it is open then.

use fairspell_almanac::tide::Tide;
use fairspell_ground::LatLon;
use fairspell_studio::{RoadPoint, Session, Span, Studio, site::open_at};
use jiff::{SignedDuration, Timestamp, ToSpan, tz::TimeZone};

use super::Trip;
use crate::warnings::{road, road_points, road_stops};

/// Nobody passes a point to the minute, minutes either way: traffic, a stop for fuel.
///
/// # Source
///
/// Common practice; our choice of the figure.
const EITHER_WAY_MIN: i64 = 15;

/// So far around the passing a turn of the water is looked for, hours.
const LOOKED_H: i64 = 12;

/// Which way the road is taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// To the session.
    There,
    /// From it.
    Home,
}

/// How a point of the road stands while it is passed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RoadState {
    /// Open all the while, by what is known; the water or the clock shuts it, if it does within half a
    /// day, at this moment.
    Open {
        /// When it shuts.
        until: Option<Timestamp>,
    },
    /// Shut for all or part of it.
    Shut {
        /// From when on it is open again, if it is within half a day.
        opens: Option<Timestamp>,
    },
    /// The tide is above the limit, at which it is shut when a swell runs; whether one does nobody knows.
    ShutWithSwell {
        /// From when on the tide is below it again.
        opens: Option<Timestamp>,
    },
    /// Open by tide and clock, but shut after so much rain, and how much fell nobody knows.
    OpenButForRain {
        /// When tide or clock shuts it, if it does within half a day.
        until: Option<Timestamp>,
    },
    /// It has a limit of tide, and the tide is not known.
    NotKnown,
}

impl RoadState {
    /// Whether only the rain that fell keeps it from being called open.
    pub fn is_open_but_for_rain(self) -> bool {
        matches!(self, RoadState::OpenButForRain { .. })
    }
}

/// A point of the road on one of the two ways.
#[derive(Debug, Clone, PartialEq)]
pub struct RoadCheck {
    /// What people call it.
    pub name: String,
    /// Which way.
    pub way: Way,
    /// The earliest and latest moment at which it is passed.
    pub passed: Span,
    /// The highest tide then, m; `None` where the tide is not known or nothing depends on it.
    pub tide_max_m: Option<f64>,
    /// The tide above which it is shut, m.
    pub tide_limit_m: Option<f64>,
    /// How it stands.
    pub state: RoadState,
    /// Rain of the last 24 hours from which it is shut, mm: no source says how much fell, so she has
    /// to look herself.
    pub rain_limit_mm_24h: Option<f64>,
}

impl RoadCheck {
    /// Whether it can be called open: not shut, and nothing about tide or rain left open.
    pub fn is_open(&self) -> bool {
        matches!(self.state, RoadState::Open { .. })
    }

    /// When to leave at the latest to find it open on the way there; `None` where nothing that is known
    /// shuts it within half a day.
    ///
    /// - `leaving_at`: when she is taken to leave.
    pub fn leave_by(&self, leaving_at: Timestamp) -> Option<Timestamp> {
        let (RoadState::Open { until } | RoadState::OpenButForRain { until }) = self.state else {
            return None;
        };
        let until = until.filter(|_| self.way == Way::There)?;
        // On the minute it shuts it is shut.
        let spare = until.duration_since(self.passed.to) - SignedDuration::from_mins(1);
        leaving_at.checked_add(spare).ok()
    }
}

/// Every point of the road that something can shut, on the way there and on the way home.
pub(super) fn road_checks(
    studio: &Studio,
    zone: &TimeZone,
    session: &Session,
    trip: &Trip,
    tide: Option<&Tide>,
) -> Vec<RoadCheck> {
    let line = Line::of(&road_stops(studio, session));
    let drive = SignedDuration::from_mins(session.drive.minutes.into());
    let limited: Vec<&RoadPoint> =
        road_points(studio, session).into_iter().filter(|point| point.is_limited()).collect();
    let mut checks = Vec::new();
    for way in [Way::There, Way::Home] {
        for point in &limited {
            let share = line.share(point.position);
            let (from, to) = match way {
                Way::There => {
                    let at = trip.leaving_at + part_of(drive, share);
                    (at, at)
                }
                Way::Home => {
                    let after = part_of(drive, 1.0 - share);
                    (trip.home_from.from + after, trip.home_from.to + after)
                }
            };
            let passed =
                Span { from: from - EITHER_WAY_MIN.minutes(), to: to + EITHER_WAY_MIN.minutes() };
            checks.push(check(point, way, passed, zone, tide));
        }
    }
    checks
}

fn part_of(drive: SignedDuration, share: f64) -> SignedDuration {
    SignedDuration::from_secs_f64(drive.as_secs_f64() * share)
}

fn check(
    point: &RoadPoint,
    way: Way,
    passed: Span,
    zone: &TimeZone,
    tide: Option<&Tide>,
) -> RoadCheck {
    let height_m = |at: Timestamp| tide.and_then(|tide| tide.height_m(at));
    let heights: Option<Vec<f64>> = minutes(passed.from, passed.to).map(height_m).collect();
    let tide_max_m =
        point.tide_limit_m.and_then(|_| heights.as_ref()?.iter().copied().reduce(f64::max));
    let is_open_by_clock = |at: Timestamp| open_at(&point.hours, zone.to_datetime(at));
    // Where the tide is not known it is not below anything.
    let is_dry = |at: Timestamp| {
        point.tide_limit_m.is_none_or(|limit_m| height_m(at).is_some_and(|m| m <= limit_m))
    };
    let is_open = |at: Timestamp| is_open_by_clock(at) && is_dry(at);
    let later = |from: Timestamp, wanted: bool| {
        minutes(from, from + LOOKED_H.hours()).find(|at| is_open(*at) == wanted)
    };
    let shut_by_clock = minutes(passed.from, passed.to).any(|at| !is_open_by_clock(at));
    let is_over = point.tide_limit_m.zip(tide_max_m).is_some_and(|(limit, max)| max > limit);
    let state = if shut_by_clock {
        RoadState::Shut { opens: later(passed.to, true) }
    } else if is_over && point.with_swell {
        RoadState::ShutWithSwell { opens: later(passed.to, true) }
    } else if is_over {
        RoadState::Shut { opens: later(passed.to, true) }
    } else if point.tide_limit_m.is_some() && tide_max_m.is_none() {
        RoadState::NotKnown
    } else if point.closes_after_rain_mm_24h.is_some() {
        RoadState::OpenButForRain { until: later(passed.to, false) }
    } else {
        RoadState::Open { until: later(passed.to, false) }
    };
    RoadCheck {
        name: point.name.clone(),
        way,
        passed,
        tide_max_m,
        tide_limit_m: point.tide_limit_m,
        state,
        rain_limit_mm_24h: point.closes_after_rain_mm_24h,
    }
}

fn minutes(from: Timestamp, to: Timestamp) -> impl Iterator<Item = Timestamp> {
    (0..).map(move |minute: i64| from + minute.minutes()).take_while(move |at| *at <= to)
}

/// The road as a line of points close together, with how far along each lies.
struct Line {
    points: Vec<(LatLon, f64)>,
    length_km: f64,
}

impl Line {
    fn of(stops: &[LatLon]) -> Line {
        let mut length_km = 0.0;
        let mut before: Option<LatLon> = None;
        let points = road(stops)
            .into_iter()
            .map(|point| {
                length_km += before.map_or(0.0, |before: LatLon| before.distance_km(point));
                before = Some(point);
                (point, length_km)
            })
            .collect();
        Line { points, length_km }
    }

    /// How much of the way lies before the place on it that is nearest to a point, 0 to 1.
    fn share(&self, place: LatLon) -> f64 {
        let nearest = self
            .points
            .iter()
            .min_by(|(a, _), (b, _)| a.distance_km(place).total_cmp(&b.distance_km(place)));
        nearest.filter(|_| self.length_km > 0.0).map_or(0.0, |(_, km)| km / self.length_km)
    }
}
