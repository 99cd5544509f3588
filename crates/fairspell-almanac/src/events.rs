//! When the sun passes an elevation: rise, set, twilight, last usable light.
//!
//! Two questions look alike and are not. [`crossings`] asks what happens between 00:00 and 24:00 of
//! a date; in a northern June that can be two sunsets, or none. [`sun_day`], [`morning_start`] and
//! [`evening_end`] ask about the daylight that belongs to a date, from the night before to the
//! night after, and so tell an evening session when it ends even where that is past midnight.

use fairspell_ground::LatLon;
use jiff::{Timestamp, civil::Date, tz::TimeZone};
use serde::{Deserialize, Serialize};

use crate::{search::Stretch, sun::sun_position};

/// Sunrise and sunset: the true elevation, degrees, at which the upper edge of the disc stands on a
/// flat horizon, by the convention of 34' for refraction and 16' for the sun's radius.
pub const SUNRISE_DEG: f64 = -50.0 / 60.0;

/// Civil dawn and dusk, degrees.
pub const CIVIL_TWILIGHT_DEG: f64 = -6.0;

/// Nautical dawn and dusk, degrees.
pub const NAUTICAL_TWILIGHT_DEG: f64 = -12.0;

/// Where the soft light after sunset ends unless the owner says otherwise, degrees.
///
/// Below it the light turns blue and lamps mix in. A rule of the trade, not a measurement; under
/// thick cloud it is dark 15 to 25 minutes sooner.
pub const LAST_USABLE_LIGHT_DEG: f64 = -4.0;

/// When the sun passes a level, or on which side of it the sun stays.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Crossing {
    /// It passes at this moment, given to the second. The air moves it by more than that.
    At(Timestamp),
    /// It stays above: it never gets dark, or the hill never takes the sun.
    AlwaysAbove,
    /// It stays below: it never gets light, or the sun never clears the hill.
    AlwaysBelow,
}

impl Crossing {
    /// The moment, if there is one.
    pub fn timestamp(self) -> Option<Timestamp> {
        match self {
            Crossing::At(moment) => Some(moment),
            Crossing::AlwaysAbove | Crossing::AlwaysBelow => None,
        }
    }
}

/// Which way the sun passes a level.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Direction {
    /// Upwards.
    Rising,
    /// Downwards.
    Setting,
}

/// The daylight of a date.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct SunDay {
    /// The sun rises through -12°: the sky begins to show what stands against it.
    pub nautical_dawn: Crossing,
    /// The sun rises through -6°: enough light to walk by.
    pub civil_dawn: Crossing,
    /// The sun's upper edge appears on a flat horizon.
    pub sunrise: Crossing,
    /// The sun's upper edge leaves a flat horizon. Behind a hill it is gone sooner:
    /// [`last_direct_light`](crate::last_direct_light).
    pub sunset: Crossing,
    /// The sun sinks through -6°: too dark for a portrait without lamps.
    pub civil_dusk: Crossing,
    /// The sun sinks through -12°: night for every purpose of ours.
    pub nautical_dusk: Crossing,
}

/// How often to look. A sun that clears a level for less than this does so by under 0.002°.
const STEP_MIN: i64 = 5;

/// Every moment of a civil day at which the sun passes an elevation in one direction.
///
/// - `date`, `zone`: the day, from 00:00 up to but not including 24:00 by that zone's clocks,
///   whether it lasts 23, 24 or 25 hours.
/// - `elevation_deg`: true elevation of the sun's centre: [`SUNRISE_DEG`] and its relatives, or any
///   other.
///
/// In order, to the nearest second. Mostly one; none in polar day and night; none or two where the
/// sun sets about midnight.
///
/// # Examples
///
/// ```
/// use fairspell_almanac::{Direction, SUNRISE_DEG, crossings};
/// use fairspell_ground::LatLon;
/// use jiff::{civil::date, tz::TimeZone};
///
/// // In Iceland the 29th of June begins and ends with a sunset.
/// let reykjavik = LatLon::new(64.1466, -21.9426)?;
/// let zone = TimeZone::get("Atlantic/Reykjavik")?;
/// let sunsets = crossings(date(2026, 6, 29), &zone, reykjavik, SUNRISE_DEG, Direction::Setting);
/// assert_eq!(sunsets.len(), 2);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Source
///
/// Roots of the elevation that [`sun_position`] gives. The rise and set method in the appendix of
/// the same publication works on days of UTC and is up to two minutes off in zones far from
/// Greenwich.
pub fn crossings(
    date: Date,
    zone: &TimeZone,
    place: LatLon,
    elevation_deg: f64,
    direction: Direction,
) -> Vec<Timestamp> {
    let changes = Stretch::civil_day(date, zone).values(STEP_MIN, above(place, elevation_deg));
    let rising = direction == Direction::Rising;
    changes.into_iter().filter(|change| change.1 == rising).map(|change| change.0).collect()
}

/// Dawn, sunrise, sunset and dusk of a date.
///
/// The morning and evening on either side of that date's noon: where the sun sets at ten past
/// midnight, that sunset belongs to the evening before. Use [`crossings`] for what happens within
/// the 24 hours of a date.
///
/// # Examples
///
/// ```
/// use fairspell_almanac::{Crossing, sun_day};
/// use fairspell_ground::LatLon;
/// use jiff::{civil::date, tz::TimeZone};
///
/// let tromso = LatLon::new(69.6492, 18.9553)?;
/// let zone = TimeZone::get("Europe/Oslo")?;
///
/// // A midsummer session there has no sunset to be planned back from.
/// assert_eq!(sun_day(date(2026, 6, 21), &zone, tromso).sunset, Crossing::AlwaysAbove);
///
/// // At midwinter the sun stays down, but there are a few hours of twilight.
/// let midwinter = sun_day(date(2026, 12, 21), &zone, tromso);
/// assert_eq!(midwinter.sunrise, Crossing::AlwaysBelow);
/// assert!(midwinter.civil_dawn.timestamp() < midwinter.civil_dusk.timestamp());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn sun_day(date: Date, zone: &TimeZone, place: LatLon) -> SunDay {
    SunDay {
        nautical_dawn: morning_start(date, zone, place, NAUTICAL_TWILIGHT_DEG),
        civil_dawn: morning_start(date, zone, place, CIVIL_TWILIGHT_DEG),
        sunrise: morning_start(date, zone, place, SUNRISE_DEG),
        sunset: evening_end(date, zone, place, SUNRISE_DEG),
        civil_dusk: evening_end(date, zone, place, CIVIL_TWILIGHT_DEG),
        nautical_dusk: evening_end(date, zone, place, NAUTICAL_TWILIGHT_DEG),
    }
}

/// When the sun rises through an elevation on the morning of a date.
///
/// The counterpart of [`evening_end`], for sessions at dawn.
pub fn morning_start(date: Date, zone: &TimeZone, place: LatLon, elevation_deg: f64) -> Crossing {
    let morning = Stretch::since_night(date, zone, place);
    first_start(morning, STEP_MIN, above(place, elevation_deg))
}

/// When the sun sinks through an elevation on the evening of a date.
///
/// With [`LAST_USABLE_LIGHT_DEG`], or what the owner has set instead, this is the moment a session
/// is planned back from. With 25 or 15 degrees it says when harsh light turns workable.
///
/// - `date`: the evening's. It may end after midnight.
/// - `elevation_deg`: true elevation of the sun's centre.
///
/// [`Crossing::AlwaysAbove`] where the sun stays higher that night, [`Crossing::AlwaysBelow`] where
/// it does not get so high that day.
///
/// # Examples
///
/// ```
/// use fairspell_almanac::{Crossing, LAST_USABLE_LIGHT_DEG, evening_end};
/// use fairspell_ground::LatLon;
/// use jiff::{civil::date, tz::TimeZone};
///
/// // On the 10th of December the harbour has soft light until three minutes past eight.
/// let harbour = LatLon::new(-31.72, 152.79)?;
/// let zone = TimeZone::get("Australia/Sydney")?;
/// let end = evening_end(date(2026, 12, 10), &zone, harbour, LAST_USABLE_LIGHT_DEG);
/// let end = end.timestamp().expect("it gets dark");
/// assert_eq!(end.to_zoned_datetime(zone.clone()).strftime("%H:%M").to_string(), "20:03");
///
/// // The sun does not stand 60 degrees high there in June.
/// let winter = evening_end(date(2026, 6, 21), &zone, harbour, 60.0);
/// assert_eq!(winter, Crossing::AlwaysBelow);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn evening_end(date: Date, zone: &TimeZone, place: LatLon, elevation_deg: f64) -> Crossing {
    let evening = Stretch::until_night(date, zone, place);
    last_end(evening, STEP_MIN, above(place, elevation_deg))
}

fn above(place: LatLon, elevation_deg: f64) -> impl Fn(Timestamp) -> bool {
    move |at| sun_position(at, place).elevation_deg >= elevation_deg
}

/// The first moment at which light begins.
pub(crate) fn first_start(
    stretch: Stretch,
    step_min: i64,
    light: impl Fn(Timestamp) -> bool,
) -> Crossing {
    let starts = stretch.values(step_min, &light).into_iter().find(|change| change.1);
    starts.map_or_else(|| never(stretch, light), |change| Crossing::At(change.0))
}

/// The last moment at which light ends.
pub(crate) fn last_end(
    stretch: Stretch,
    step_min: i64,
    light: impl Fn(Timestamp) -> bool,
) -> Crossing {
    let ends = stretch.values(step_min, &light).into_iter().rfind(|change| !change.1);
    ends.map_or_else(|| never(stretch, light), |change| Crossing::At(change.0))
}

fn never(stretch: Stretch, light: impl Fn(Timestamp) -> bool) -> Crossing {
    if stretch.begins_with(light) { Crossing::AlwaysAbove } else { Crossing::AlwaysBelow }
}
