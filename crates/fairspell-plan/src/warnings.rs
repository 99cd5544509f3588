//! Official warnings over a session and the drive to it and home.

use fairspell_ground::LatLon;
use fairspell_studio::{
    Session, Span, Studio, Tier,
    gate::{minus_minutes, plus_minutes},
    outlook::{Reach, WarningSeen},
};
use fairspell_weather::{
    board::{Match, Whereabouts},
    event_policy::{self, EventPolicy},
    warning::{GeoCode, WarnedArea},
};

use crate::{evening, seen::SeenWarnings};

/// Points along the road lie no farther apart than this, km: narrower than any storm that is warned of.
const ROUTE_STEP_KM: f64 = 2.0;

/// Warnings that touch the session's evening at its spots, or the drive there and home.
///
/// The gravest first. A warning that touches both counts for the session.
pub fn warnings(
    studio: &Studio,
    session: &Session,
    evening: Span,
    seen: &SeenWarnings,
) -> Vec<WarningSeen> {
    let policy = EventPolicy::default();
    let spots = evening::spots(studio, session);
    let codes: Vec<GeoCode> = studio
        .warning_areas
        .iter()
        .filter_map(|area| area.split_once(':'))
        .map(|(system, value)| GeoCode::new(system, value))
        .collect();
    let shore = spots.iter().any(|spot| spot.shore);
    let points: Vec<LatLon> = spots.iter().map(|spot| spot.position).collect();
    let at_session = Whereabouts { points: points.clone(), codes: codes.clone(), shore };

    let mut stops = vec![studio.home];
    stops.extend(&session.drive.route);
    stops.extend(&points);
    let on_the_road = Whereabouts { points: road(&stops), codes, shore };
    let drive = Span {
        from: minus_minutes(evening.from, session.drive.minutes),
        to: plus_minutes(evening.to, session.drive.minutes),
    };

    let session_hours = (evening.from, evening.to);
    let mut found: Vec<WarningSeen> = seen
        .board
        .in_force(&policy, &at_session, session_hours)
        .iter()
        .filter_map(|found| warning_seen(found, Reach::Session, &seen.source))
        .collect();
    for on_the_road in seen.board.in_force(&policy, &on_the_road, (drive.from, drive.to)) {
        if let Some(warning) = warning_seen(&on_the_road, Reach::Drive, &seen.source) {
            let known = found.iter().any(|known| {
                known.event == warning.event
                    && known.issued == warning.issued
                    && known.tier >= warning.tier
            });
            if !known {
                found.push(warning);
            }
        }
    }
    found.sort_by_key(|warning| std::cmp::Reverse(warning.tier));
    found
}

/// Events of messages in force in these hours whose area we cannot tell: they have no drawing, and
/// their codes are of systems in which the studio has none.
pub fn unplaced(studio: &Studio, evening: Span, seen: &SeenWarnings) -> Vec<String> {
    let systems: Vec<&str> = studio
        .warning_areas
        .iter()
        .filter_map(|area| area.split_once(':'))
        .map(|(system, _)| system)
        .collect();
    let is_placed = |area: &WarnedArea| {
        let known = |code: &GeoCode| {
            systems.iter().any(|system| GeoCode::new(*system, "").system == code.system)
        };
        !area.shapes.is_empty() || area.geocodes.iter().any(known)
    };
    seen.board
        .messages()
        .iter()
        .filter(|warning| warning.meets(evening.from, evening.to))
        .filter(|warning| !warning.areas.iter().any(is_placed))
        .map(|warning| warning.event.clone())
        .collect()
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
fn road(stops: &[LatLon]) -> Vec<LatLon> {
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
