//! Which feeds are worth asking now.

use fairspell_plan::evening::hours;
use fairspell_studio::{
    Session, SessionError, Span, Studio, gate::minus_minutes, outlook::SourceKind,
};
use jiff::{SignedDuration, Timestamp, tz::TimeZone};

use crate::{
    feed::{Feed, From},
    http_time::later,
    pauses::still_ahead,
    state::{FeedState, FeedsState},
};

/// A session farther off than this has no forecast yet: nothing is asked for it.
const FORECAST_REACH: SignedDuration = SignedDuration::from_hours(10 * 24);

/// Radar pictures are fetched from so long before a session; on request a little earlier.
const RADAR_FROM: SignedDuration = SignedDuration::from_hours(6);
const RADAR_ON_REQUEST_FROM: SignedDuration = SignedDuration::from_hours(12);

/// How often a forecast is asked for while its session is so far off: (from, pause).
const FORECAST_PAUSES: [(SignedDuration, SignedDuration); 2] = [
    (SignedDuration::from_hours(48), SignedDuration::from_hours(3)),
    (SignedDuration::from_hours(12), SignedDuration::from_hours(1)),
];

/// The same of warnings. Never more than this: after an hour they count as too old, and an evening
/// whose warnings are too old is not known.
const WARNINGS_PAUSES: [(SignedDuration, SignedDuration); 1] =
    [(SignedDuration::from_hours(12), SignedDuration::from_mins(40))];

/// From so many failures on another feed stands in.
const STAND_IN_FROM: u32 = 3;

/// The feeds that are worth asking now, in their order.
///
/// Nothing is asked for while no session is within ten days; radar only while one is near. The nearer
/// the next session, the more often, and never more often than a feed allows. A feed is not due before
/// its own pause is over, whatever the sessions.
///
/// - `sessions`: each from the styling chair or the start, whichever comes first, to its last usable
///   light: [`span_of`].
/// - `is_radar_asked_for`: somebody looks at the radar, and a session is within twelve hours.
pub fn due<'a>(
    feeds: &'a [Feed],
    state: &FeedsState,
    sessions: &[Span],
    now: Timestamp,
    is_radar_asked_for: bool,
) -> Vec<&'a Feed> {
    let ahead = sessions
        .iter()
        .filter(|span| span.to > now)
        .map(|span| span.from.duration_since(now).max(SignedDuration::ZERO))
        .min();
    let Some(lead) = ahead.filter(|lead| *lead <= FORECAST_REACH) else { return Vec::new() };
    let of = |id: &str| state.feeds.get(id);
    let is_worth_it = |feed: &&Feed| {
        let stands_in = feed.stands_in_for.as_deref();
        if stands_in.is_some_and(|id| of(id).is_none_or(|other| !needs_help(other))) {
            return false;
        }
        let pause = match feed.kind {
            SourceKind::Forecast => pause(&FORECAST_PAUSES, lead),
            SourceKind::Warnings => pause(&WARNINGS_PAUSES, lead),
            SourceKind::Radar => {
                let from = if is_radar_asked_for { RADAR_ON_REQUEST_FROM } else { RADAR_FROM };
                if lead > from {
                    return false;
                }
                SignedDuration::ZERO
            }
        };
        of(&feed.id).is_none_or(|known| is_time(feed, known, pause, now))
    };
    feeds.iter().filter(is_worth_it).collect()
}

/// From the styling chair or the start, whichever comes first, to last usable light.
///
/// # Errors
///
/// A [`SessionError`] for a start that does not exist or comes twice.
pub fn span_of(studio: &Studio, zone: &TimeZone, session: &Session) -> Result<Span, SessionError> {
    let hours = hours(studio, zone, session)?;
    let chair = minus_minutes(hours.window.from, session.chair_before_start_min);
    let from = chair.min(hours.evening.from);
    Ok(Span { from, to: hours.until_last_light.to.max(hours.window.to) })
}

fn needs_help(feed: &FeedState) -> bool {
    feed.is_not_covering() || feed.failures >= STAND_IN_FROM
}

fn pause(pauses: &[(SignedDuration, SignedDuration)], lead: SignedDuration) -> SignedDuration {
    let far = pauses.iter().find(|(from, _)| lead > *from);
    far.map_or(SignedDuration::ZERO, |(_, pause)| *pause)
}

fn is_time(feed: &Feed, known: &FeedState, pause: SignedDuration, now: Timestamp) -> bool {
    if still_ahead(known.next_at, now).is_some() {
        return false;
    }
    // A folder costs nobody anything, and after a failure the pause is the feed's own.
    let is_free = matches!(feed.from, From::Folder(_)) || known.failures > 0;
    is_free || known.last_asked_at.is_none_or(|last| last > now || later(last, pause) <= now)
}
