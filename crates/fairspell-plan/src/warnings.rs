//! Official warnings over a session and the drive to it and home.

use fairspell_ground::LatLon;
use fairspell_studio::{
    RoadPoint, Session, Span, Studio, Tier,
    gate::{minus_minutes, plus_minutes},
    outlook::{Reach, WarningSeen},
};
use fairspell_weather::{
    board::{Match, Whereabouts},
    event_policy::{self, EventPolicy},
    warning::{GeoCode, WarnedArea, Warning},
};

use crate::{evening, seen::SeenWarnings};

/// Points along the road lie no farther apart than this, km: narrower than any storm that is warned of.
const ROUTE_STEP_KM: f64 = 2.0;

/// What official warnings mean for a session.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Warned {
    /// Those that touch it, the gravest first.
    pub seen: Vec<WarningSeen>,
    /// Events of those, in its hours, whose area we cannot tell.
    pub unplaced: Vec<String>,
}

/// Warnings that touch the session's evening at its spots, or the drive there and home.
///
/// A warning that touches both counts for the session. One with an area that has no drawing, and codes
/// only of kinds of which the studio has none, may be for here or not: it is unplaced.
pub fn warnings(studio: &Studio, session: &Session, evening: Span, seen: &SeenWarnings) -> Warned {
    let policy = EventPolicy::default();
    let (at_session, on_the_road) = whereabouts(studio, session);
    let codes = at_session.codes.clone();
    let drive = Span {
        from: minus_minutes(evening.from, session.drive.minutes),
        to: plus_minutes(evening.to, session.drive.minutes),
    };

    let session_hours = (evening.from, evening.to);
    let mut matched: Vec<(&Warning, WarningSeen)> = Vec::new();
    for (place, hours, reach) in [
        (&at_session, session_hours, Reach::Session),
        (&on_the_road, (drive.from, drive.to), Reach::Drive),
    ] {
        for found in seen.board.in_force(&policy, place, hours) {
            let Some(warning) = warning_seen(&found, reach, &seen.source) else { continue };
            let is_known = matched
                .iter()
                .any(|(of, known)| *of == found.warning && known.tier >= warning.tier);
            if !is_known {
                matched.push((found.warning, warning));
            }
        }
    }
    let unplaced = seen
        .board
        .messages()
        .iter()
        .filter(|warning| warning.meets(drive.from, drive.to))
        .filter(|warning| matched.iter().all(|(of, _)| of != warning))
        .filter(|warning| {
            warning.areas.is_empty() || warning.areas.iter().any(|area| !is_placed(area, &codes))
        })
        .map(|warning| warning.event.clone())
        .collect();
    let mut seen: Vec<WarningSeen> = matched.into_iter().map(|(_, warning)| warning).collect();
    seen.sort_by_key(|warning| std::cmp::Reverse(warning.tier));
    Warned { seen, unplaced }
}

/// Where a session is, and where the road to it runs.
fn whereabouts(studio: &Studio, session: &Session) -> (Whereabouts, Whereabouts) {
    let spots = evening::spots(studio, session);
    let codes: Vec<GeoCode> = studio
        .warning_areas
        .iter()
        .filter_map(|area| area.split_once(':'))
        .map(|(system, value)| GeoCode::new(system, value))
        .collect();
    let shore = spots.iter().any(|spot| spot.shore);
    let points: Vec<LatLon> = spots.iter().map(|spot| spot.position).collect();
    let mut stops = road_stops(studio, session);
    stops.extend(points.iter().skip(1));
    let on_the_road = Whereabouts { points: road(&stops), codes: codes.clone(), shore };
    (Whereabouts { points, codes, shore }, on_the_road)
}

/// From home along the road to the session's first spot: by the session's own route, or where it has
/// none by what the spots' road is noted to pass.
pub(crate) fn road_stops(studio: &Studio, session: &Session) -> Vec<LatLon> {
    let spots = evening::spots(studio, session);
    let mut stops = vec![studio.home];
    if session.drive.route.is_empty() {
        stops.extend(road_points(studio, session).into_iter().map(|point| point.position));
    } else {
        stops.extend(&session.drive.route);
    }
    stops.extend(spots.first().map(|spot| spot.position));
    stops
}

/// What the road to a session's spots is noted to pass, each once by its name.
pub(crate) fn road_points<'a>(studio: &'a Studio, session: &Session) -> Vec<&'a RoadPoint> {
    let mut points: Vec<&RoadPoint> = Vec::new();
    for point in evening::spots(studio, session).into_iter().flat_map(|spot| &spot.site.road) {
        if points.iter().all(|known| known.name != point.name) {
            points.push(point);
        }
    }
    points
}

/// Official warnings over the way there, the hours at the place and the way home.
///
/// - `legs`: the hours of each leg, in that order.
///
/// Every warning once, the gravest first, with the legs that it touches and the gravest that it means
/// on any of them.
pub(crate) fn warnings_by_leg(
    studio: &Studio,
    session: &Session,
    legs: [Span; 3],
    seen: &SeenWarnings,
) -> Vec<(WarningSeen, [bool; 3])> {
    let policy = EventPolicy::default();
    let (at_session, on_the_road) = whereabouts(studio, session);
    let mut found: Vec<(&Warning, WarningSeen, [bool; 3])> = Vec::new();
    let places =
        [(&on_the_road, Reach::Drive), (&at_session, Reach::Session), (&on_the_road, Reach::Drive)];
    for (leg, ((place, reach), span)) in places.into_iter().zip(legs).enumerate() {
        for hit in seen.board.in_force(&policy, place, (span.from, span.to)) {
            let Some(warning) = warning_seen(&hit, reach, &seen.source) else { continue };
            let Some((_, known, touched)) = found.iter_mut().find(|(of, ..)| *of == hit.warning)
            else {
                let mut touched = [false; 3];
                touched[leg] = true;
                found.push((hit.warning, warning, touched));
                continue;
            };
            touched[leg] = true;
            // What touches both counts for the session.
            let weight = |seen: &WarningSeen| (seen.tier, seen.reach == Reach::Session);
            if weight(&warning) > weight(known) {
                *known = warning;
            }
        }
    }
    found.sort_by_key(|(_, warning, _)| std::cmp::Reverse(warning.tier));
    found.into_iter().map(|(_, warning, legs)| (warning, legs)).collect()
}

/// Whether we can tell if an area holds the place: by its drawing, or by a code of a kind that we have.
fn is_placed(area: &WarnedArea, ours: &[GeoCode]) -> bool {
    let known = |code: &GeoCode| ours.iter().any(|our| kind(our) == kind(code));
    !area.shapes.is_empty() || area.geocodes.iter().any(known)
}

/// The kind of a code: its system, and for the US "UGC" whether it names a county or a zone (the third
/// letter, C or Z).
///
/// # Source
///
/// US National Weather Service, Universal Geographic Code (from memory).
fn kind(code: &GeoCode) -> (&str, Option<char>) {
    let sort = if code.system == "UGC" { code.value.chars().nth(2) } else { None };
    (&code.system, sort)
}

fn warning_seen(found: &Match<'_>, reach: Reach, source: &str) -> Option<WarningSeen> {
    let tier = match found.tier {
        event_policy::Tier::Ignore => return None,
        event_policy::Tier::Info => Tier::Info,
        event_policy::Tier::Caution => Tier::Caution,
        event_policy::Tier::Hold => Tier::Hold,
        event_policy::Tier::Stop => Tier::Stop,
    };
    let warning = found.warning;
    Some(WarningSeen {
        event: warning.event.clone(),
        tier,
        reach,
        from: warning.begins(),
        to: warning.event_ends(),
        headline: warning.headline.clone(),
        source: warning.sender_name.clone().unwrap_or_else(|| source.to_owned()),
        issued: warning.sent,
    })
}

/// A line through some points with no two neighbours farther apart than a storm is wide.
pub(crate) fn road(stops: &[LatLon]) -> Vec<LatLon> {
    let mut points: Vec<LatLon> = stops.first().copied().into_iter().collect();
    for leg in stops.windows(2) {
        let (east_km, north_km) = leg[0].offset_km(leg[1]);
        let steps = (leg[0].distance_km(leg[1]) / ROUTE_STEP_KM).ceil().max(1.0);
        let mut step = 1.0;
        while step < steps {
            let part = step / steps;
            points.extend(leg[0].at_offset_km(east_km * part, north_km * part));
            step += 1.0;
        }
        points.push(leg[1]);
    }
    points
}
