//! The hours of a session, and the light that bounds them.

use fairspell_almanac::{Crossing, evening_end, last_direct_light, sun_day};
use fairspell_ground::LatLon;
use fairspell_studio::{
    Session, SessionError, Span, Spot, Studio, gate::minus_minutes, outlook::LightBounds,
};
use jiff::{Timestamp, tz::TimeZone};

/// The hours of one session at its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Hours {
    /// Where rain is asked for: the first look's spot.
    pub place: LatLon,
    /// What people call it.
    pub place_name: String,
    /// The booked hours, cut at last usable light.
    pub window: Span,
    /// From the start to last usable light: a session that waited out a shower may run on until
    /// then. A morning has no such end, and there it is the booked one.
    pub until_last_light: Span,
    /// From arrival to last usable light.
    pub evening: Span,
    /// The light.
    pub light: LightBounds,
}

/// The spots of a session's looks, each once, in the planned order.
pub fn spots<'a>(studio: &'a Studio, session: &Session) -> Vec<&'a Spot> {
    let mut spots: Vec<&Spot> = Vec::new();
    for spot in session.looks.iter().filter_map(|look| studio.spot(&look.spot)) {
        if spots.iter().all(|known| known.id != spot.id) {
            spots.push(spot);
        }
    }
    spots
}

/// When a session is, and how long its light lasts.
///
/// Last usable light is when the sun sinks to the policy's height below the horizon; cloud can end
/// it 15 to 25 minutes sooner (common practice), which no almanac knows.
///
/// # Errors
///
/// A [`SessionError`] for a start that does not exist or comes twice.
pub fn hours(studio: &Studio, zone: &TimeZone, session: &Session) -> Result<Hours, SessionError> {
    let booked = session.booked(zone)?;
    let spots = spots(studio, session);
    let (place, place_name) = spots
        .first()
        .map_or((studio.home, studio.place.clone()), |spot| (spot.position, spot.name.clone()));
    let date = session.start.date();
    let day = sun_day(date, zone, place);
    let (sunrise, sunset) = (day.sunrise.timestamp(), day.sunset.timestamp());

    let elevation_deg = studio.policy.last_usable_sun_elevation_deg;
    let in_the_morning = in_the_morning(booked.from, sunrise, sunset);
    let (last_usable, light_ends) = match evening_end(date, zone, place, elevation_deg) {
        Crossing::At(moment) if !in_the_morning => (Some(moment), moment.max(booked.from)),
        Crossing::At(_) | Crossing::AlwaysAbove => (None, booked.to),
        // The sun does not rise that high that day: there is no light to work by.
        Crossing::AlwaysBelow => (Some(booked.from), booked.from),
    };
    let arrival = minus_minutes(booked.from, studio.policy.arrive_before_min);
    let last_direct = spots
        .iter()
        .filter_map(|spot| {
            let crossing = last_direct_light(date, zone, spot.position, &spot.skyline);
            crossing.timestamp().map(|moment| (spot.id.clone(), moment))
        })
        .collect();
    Ok(Hours {
        place,
        place_name,
        window: Span { from: booked.from, to: booked.to.min(light_ends) },
        until_last_light: Span { from: booked.from, to: light_ends },
        evening: Span { from: arrival, to: light_ends },
        light: LightBounds { sunset, sunrise, last_direct, last_usable },
    })
}

/// Whether a session begins in the first half of the daylight of its day.
pub(crate) fn is_at_dawn(studio: &Studio, zone: &TimeZone, session: &Session) -> bool {
    let place = spots(studio, session).first().map_or(studio.home, |spot| spot.position);
    let day = sun_day(session.start.date(), zone, place);
    let (sunrise, sunset) = (day.sunrise.timestamp(), day.sunset.timestamp());
    session.booked(zone).is_ok_and(|booked| in_the_morning(booked.from, sunrise, sunset))
}

/// Whether a start lies in the first half of the daylight; then the evening's light is no bound.
pub(crate) fn in_the_morning(
    start: Timestamp,
    sunrise: Option<Timestamp>,
    sunset: Option<Timestamp>,
) -> bool {
    match (sunrise, sunset) {
        (Some(rise), Some(set)) => start.duration_since(rise) < set.duration_since(start),
        _ => false,
    }
}
