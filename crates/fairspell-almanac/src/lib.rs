//! What can be printed years ahead: sun, twilight, moon, skyline crossings, tide.
//!
//! A session is planned backwards from its last usable light, and that hangs on three things which
//! never need a forecast: where the sun stands, which hill it goes behind, and what the clock says
//! by then. All of it is arithmetic on a date, a time zone and a position.
//!
//! ```
//! use fairspell_almanac::{Crossing, LAST_USABLE_LIGHT_DEG, evening_end, sun_day};
//! use fairspell_ground::LatLon;
//! use jiff::{civil::date, tz::TimeZone};
//!
//! let harbour = LatLon::new(-31.72, 152.79)?;
//! let zone = TimeZone::get("Australia/Sydney")?;
//! let thursday = date(2026, 9, 3);
//!
//! let Crossing::At(sunset) = sun_day(thursday, &zone, harbour).sunset else {
//!     unreachable!("the sun sets every day at this latitude");
//! };
//! assert_eq!(sunset.to_zoned_datetime(zone.clone()).strftime("%H:%M").to_string(), "17:33");
//!
//! // The soft light after sunset is gone a quarter of an hour later.
//! let last_light = evening_end(thursday, &zone, harbour, LAST_USABLE_LIGHT_DEG).timestamp();
//! assert_eq!(last_light.expect("it gets dark").duration_since(sunset).as_mins(), 15);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! - [`sun`]: where the sun stands at a moment
//! - [`events`]: when it passes an elevation: rise, set, twilight, last usable light
//! - [`skyline`]: when it goes behind the hill that is really there
//! - [`skyline_sighting`]: what hill that is, from when the sun was seen to go
//! - [`mod@phases`]: how a date divides into day, golden, blue and night, and when it is noon
//! - [`sun_track`]: the sun at every minute of a year, quickly
//! - [`refraction`]: how far the air lifts it
//! - [`moon`]: where the moon stands, how much of it is lit, rise and set
//! - [`tide`]: how high the water stands, and when a spot can be used

pub mod events;
mod lunar_series;
pub mod moon;
pub mod phases;
pub mod refraction;
mod search;
pub mod skyline;
pub mod skyline_sighting;
pub mod sun;
pub mod sun_track;
pub mod tide;

pub use events::{
    CIVIL_TWILIGHT_DEG, Crossing, Direction, LAST_USABLE_LIGHT_DEG, NAUTICAL_TWILIGHT_DEG,
    SUNRISE_DEG, SunDay, crossings, evening_end, morning_start, sun_day,
};
pub use phases::{PhaseBounds, PhaseSpan, SunPhase, phases, solar_noon};
pub use skyline::{direct_light_spans, first_direct_light, last_direct_light};
pub use skyline_sighting::{NoSun, Sighting, SightingKind, with_sightings};
pub use sun::{SunPosition, sun_position};
pub use sun_track::SunTrack;
