//! One forecast and one warning type whatever the service; comfort and danger.
//!
//! Weather services disagree about units, about names, and about what a "chance of rain" is the chance
//! of. Here a chance always keeps the hours that it was stated for: a 30 % for six hours says much less
//! about a session of two. Warnings follow the Common Alerting Protocol, where an update, a cancel and
//! an expiry matter as much as the alert. All readers take bytes and return what could be read together
//! with what could not; whatever is missing stays missing.
//!
//! ```
//! use fairspell_weather::read_forecast;
//!
//! let bytes = include_bytes!("../tests/fixtures/nws_hourly.json");
//! let forecast = read_forecast(bytes)?.value;
//!
//! // Seven and eight in the evening of 14 June: 35 % for the one hour, and 20 % for six.
//! let (from, to) = ("2030-06-14T19:00:00-04:00".parse()?, "2030-06-14T21:00:00-04:00".parse()?);
//! let hours: Vec<i64> = forecast
//!     .rain_during(from, to)
//!     .map(|rain| rain.to.duration_since(rain.from).as_hours())
//!     .collect();
//! assert_eq!(hours, [1, 6]);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! - [`forecast`]: one forecast, whatever the service
//! - [`read`]: reads a forecast or warnings without being told from which service
//! - [`nws_hourly`], [`nws_gridpoint`]: the two forecasts of the US National Weather Service
//! - [`met`]: the forecast of the Norwegian Meteorological Institute
//! - [`estimate`]: a chance of rain from an amount, where a service gives no chance
//! - [`warning`]: one official warning, whatever the service; [`vtec`]: the event code in US ones
//! - [`cap`], [`nws_alerts`]: readers of warnings
//! - [`board`]: which warnings are in force, and which concern an evening
//! - [`event_policy`]: what each kind of warning means for a session
//! - [`comfort`]: how the air feels
//! - [`observed`]: rain that was measured, from archived records
//! - [`error`], [`remark`]: what can be wrong with a document, as a whole and in part

pub mod board;
pub mod cap;
pub mod comfort;
pub mod error;
pub mod estimate;
pub mod event_policy;
pub mod forecast;
pub mod met;
pub mod nws_alerts;
pub mod nws_gridpoint;
pub mod nws_hourly;
pub mod observed;
pub mod read;
pub mod remark;
pub mod vtec;
pub mod warning;

mod interval;
mod json;
mod nws;
mod nws_periods;
mod timeline;
mod units;
mod wording;
mod xml;

pub use board::{How, Match, WarningBoard, Whereabouts};
pub use cap::read_cap;
pub use error::WeatherError;
pub use event_policy::{EventPolicy, Tier};
pub use forecast::{Basis, Condition, Forecast, PeriodChance, RainAmount, RainStatement, Service};
pub use met::read_met;
pub use nws_alerts::read_nws_alerts;
pub use nws_gridpoint::read_nws_gridpoint;
pub use nws_hourly::read_nws_hourly;
pub use read::{read_forecast, read_warnings};
pub use remark::Remark;
pub use warning::{GeoCode, Warning};
