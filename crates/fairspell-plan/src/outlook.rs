//! All that is known of a session's sky at one moment.

use fairspell_chance::Handover;
use fairspell_studio::{
    Outlook, Session, SessionError, SourceState, Span, Studio,
    outlook::{Comfort, RadarView, SourceKind},
    studio::Expected,
};
use jiff::{Timestamp, tz::TimeZone};

use crate::{
    comfort::comfort,
    evening::{Hours, hours},
    rain::rain,
    seen::{Seen, SeenForecast, SeenRadar},
    warnings::warnings,
};

/// How far ahead radar has anything to say, minutes; before that it is not missed.
const RADAR_REACH_MIN: f64 = fairspell_chance::handover::FORECAST_ALONE_FROM_MIN;

/// How far around the place the sky's busyness is counted, km.
pub const BUSY_RADIUS_KM: f64 = 60.0;

/// Puts together what is known of a session's sky.
///
/// Nothing in `seen` may have been fetched after `as_of`: that is for whoever reads the folder, since
/// only it knows when things were fetched. What is older than the policy allows is named as stale and
/// then left out: an old figure is not shown as if it were one.
///
/// # Errors
///
/// A [`SessionError`] for a start that does not exist or comes twice.
pub fn outlook(
    studio: &Studio,
    zone: &TimeZone,
    session: &Session,
    as_of: Timestamp,
    seen: &Seen,
) -> Result<Outlook, SessionError> {
    let hours = hours(studio, zone, session)?;
    let policy = &studio.policy;
    let forecast_state = forecast_state(studio, &hours, as_of, seen.forecast.as_ref());
    let warnings_state = warnings_state(studio, as_of, seen);
    let radar_state = radar_state(studio, &hours, as_of, seen.radar.as_ref());

    let is_fresh = |state: &SourceState| matches!(state, SourceState::Fresh { .. });
    let forecast = seen.forecast.as_ref().filter(|_| is_fresh(&forecast_state));
    let radar = seen.radar.as_ref().filter(|_| is_fresh(&radar_state));
    let rain = rain(&hours, as_of, forecast, radar, f64::from(policy.rescue_set_min));
    let comfort = forecast.map_or_else(Comfort::default, |seen| {
        let from = hours.evening.from.max(as_of).min(hours.evening.to);
        comfort(seen, Span { from, ..hours.evening }, &hours.place_name)
    });
    // Even an old warning is shown: nobody has said that it is over.
    let warned = seen
        .warnings
        .as_ref()
        .map(|seen| warnings(studio, session, hours.evening, seen))
        .unwrap_or_default();
    Ok(Outlook {
        session: session.id.clone(),
        as_of,
        window: hours.window,
        evening: hours.evening,
        rain_threshold_mm: forecast.map(|seen| seen.forecast.service.threshold_mm()),
        p_any_rain: rain.p_any_rain,
        p_wet_minute: rain.p_wet_minute,
        gap_min: policy.rescue_set_min,
        p_gap: rain.p_gap,
        character: rain.character,
        rain_amount_mm: rain.rain_amount_mm,
        largest_hour: rain.largest_hour,
        comfort,
        warnings: warned.seen,
        unplaced_warnings: warned.unplaced,
        sources: vec![
            (SourceKind::Forecast, forecast_state),
            (SourceKind::Warnings, warnings_state),
            (SourceKind::Radar, radar_state),
        ],
        radar: radar.map(|seen| radar_view(seen, &hours, rain.handover)),
        steps: rain.steps,
        likely_gaps: rain.likely_gaps,
        light: hours.light,
    })
}

fn forecast_state(
    studio: &Studio,
    hours: &Hours,
    as_of: Timestamp,
    seen: Option<&SeenForecast>,
) -> SourceState {
    let Some(seen) = seen else { return SourceState::Missing };
    let (source, issued) = (seen.source.clone(), seen.forecast.reference_time);
    if is_older(issued, as_of, studio.policy.freshness.forecast_min) {
        return SourceState::Stale { source, issued };
    }
    let first = hours.window.from.max(as_of);
    let reaches = seen.forecast.starts().is_some_and(|starts| starts <= first)
        && seen.forecast.ends().is_some_and(|ends| ends >= hours.window.to);
    if !reaches {
        return SourceState::NotCovering { source };
    }
    SourceState::Fresh { source, issued }
}

fn warnings_state(studio: &Studio, as_of: Timestamp, seen: &Seen) -> SourceState {
    let Some(seen) = &seen.warnings else {
        return match studio.sources.warnings {
            Expected::Yes => SourceState::Missing,
            Expected::NoneHere => SourceState::NoneHere,
        };
    };
    let (source, issued) = (seen.source.clone(), seen.looked_at);
    if is_older(issued, as_of, studio.policy.freshness.warnings_min) {
        SourceState::Stale { source, issued }
    } else {
        SourceState::Fresh { source, issued }
    }
}

/// Whether a session is near enough for radar to say anything of it; before that, no picture needs
/// to be looked at.
pub fn radar_speaks(hours: &Hours, as_of: Timestamp) -> bool {
    minutes_until(hours.window.from, as_of) <= RADAR_REACH_MIN
}

fn radar_state(
    studio: &Studio,
    hours: &Hours,
    as_of: Timestamp,
    seen: Option<&SeenRadar>,
) -> SourceState {
    let Some(seen) = seen else {
        return match studio.sources.radar {
            Expected::NoneHere => SourceState::NoneHere,
            Expected::Yes if !radar_speaks(hours, as_of) => SourceState::NotYet,
            Expected::Yes => SourceState::Missing,
        };
    };
    let (source, issued) = (seen.source.clone(), seen.nowcast.valid_time());
    if is_older(issued, as_of, studio.policy.freshness.radar_min) {
        return SourceState::Stale { source, issued };
    }
    if seen.nowcast.at(hours.place).is_err() {
        return SourceState::NotCovering { source };
    }
    SourceState::Fresh { source, issued }
}

fn radar_view(seen: &SeenRadar, hours: &Hours, handover: Handover) -> RadarView {
    let nowcast = &seen.nowcast;
    RadarView {
        wet_share: nowcast.wet_share(hours.place, BUSY_RADIUS_KM),
        frames_used: nowcast.frames_used(),
        issued: nowcast.valid_time(),
        rain_rate_mm_h: nowcast.newest().rain_rate_at(hours.place).map(f64::from),
        motion_km_h: nowcast.motion_at(hours.place),
        reach: Some(handover.reach()).filter(|_| handover != Handover::by_hours()),
    }
}

/// How far ahead of the moment a source may be dated before we stop trusting its clock, minutes.
const CLOCK_ERROR_MIN: f64 = 15.0;

/// Whether a source is too old, or dated so far ahead that its clock is wrong.
fn is_older(issued: Timestamp, as_of: Timestamp, limit_min: u32) -> bool {
    minutes_until(as_of, issued) > f64::from(limit_min)
        || minutes_until(issued, as_of) > CLOCK_ERROR_MIN
}

fn minutes_until(moment: Timestamp, as_of: Timestamp) -> f64 {
    if moment >= as_of { Span { from: as_of, to: moment }.minutes() } else { 0.0 }
}
