//! What can be printed years ahead: sun, twilight, skyline crossings, tide.
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
//! - [`tide`]: how high the water stands, and when a spot can be used

pub mod events;
mod search;
pub mod skyline;
pub mod sun;
pub mod tide;

pub use events::{
    CIVIL_TWILIGHT_DEG, Crossing, Direction, LAST_USABLE_LIGHT_DEG, NAUTICAL_TWILIGHT_DEG,
    SUNRISE_DEG, SunDay, crossings, evening_end, morning_start, sun_day,
};
pub use skyline::{first_direct_light, last_direct_light};
pub use sun::{SunPosition, sun_position};
