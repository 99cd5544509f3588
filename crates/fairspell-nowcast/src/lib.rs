//! Rain fields: read them, find their motion, carry them forward, answer at a spot.
//!
//! A weather radar sees where it rains now, and rain mostly goes on as it goes. For an hour or two
//! the pictures of the last half hour, carried along their own motion, say more of one place than
//! any forecast. How far rain can be carried differs from evening to evening: what was born and what
//! died on the way is counted in the same pictures, and the farther ahead, the wider the look around
//! the place where the air comes from. Out comes a chance, never a yes or no, and where no radar has
//! measured what will arrive, no chance at all: missing is never dry.
//!
//! ```
//! use fairspell_ground::{LatLon, Projection};
//! use fairspell_nowcast::{Grid, Nowcast, RainField};
//! use jiff::{SignedDuration, Timestamp};
//! use ndarray::Array2;
//!
//! // Rain of 2 mm/h as far as the radar sees, in two pictures five minutes apart.
//! let grid = Grid {
//!     projection: Projection::degrees(),
//!     x_first: 151.8,
//!     y_first: -30.7,
//!     x_step: 0.02,
//!     y_step: 0.02,
//!     rows: 101,
//!     columns: 101,
//! };
//! let issued: Timestamp = "2026-09-03T04:00:00Z".parse()?;
//! let pictures = [5, 0].map(|age_min| RainField {
//!     valid_time: issued - SignedDuration::from_mins(age_min),
//!     grid: grid.clone(),
//!     rain_rate_mm_h: Array2::from_elem((101, 101), 2.0),
//! });
//!
//! let nowcast = Nowcast::from_fields(pictures.to_vec(), issued)?.value;
//! let boathouse = nowcast.at(LatLon::new(-31.7, 152.8)?)?;
//! let in_an_hour = issued + SignedDuration::from_mins(60);
//! let p_gap = boathouse.p_gap(issued, in_an_hour, 25.0).expect("measured, and long enough");
//! assert!(p_gap.get() < 0.1, "no 25 dry minutes within the hour");
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! Pictures come from [`readers`]; [`nowcast`] turns them into answers.
//!
//! - [`field`]: a grid on a map, and rain rate on it at one moment
//! - [`readers`]: radar files of the services
//! - [`reflectivity`]: from what a radar measures to rain rate
//! - [`clutter`]: cells that show something else than rain
//! - [`regrid`]: onto square cells of about a kilometre
//! - [`beam`]: how high above a place the radar looks
//! - [`level`]: rain rate in decibels, and what counts as wet
//! - [`smooth`]: Gaussian means over what is known
//! - [`edge_distance`]: how far it is to the edge of the rain
//! - [`motion`]: where the rain goes
//! - [`advect`]: where the air that arrives somewhere is now
//! - [`nowcast`]: from the last pictures to everything that can be asked of a place
//! - [`record`]: what was said and what came, from which the next answers are corrected
//! - [`ended_windows`]: hours around a place that are over: what was said of them, and what came
//! - [`ahead`]: the hours ahead as a whole, in figures that agree with each other
//! - [`spot`]: chances of rain and of dry gaps at a place, onset, minute by minute
//! - [`evenings`]: plausible evenings at a place, and what is counted in them
//! - [`busy`]: how busy the sky around a place is, and whether it is growing
//! - [`writers`]: nowcasts in files that other programs read
//! - [`error`], [`remark`]: what can be wrong with a file, and what had to be left out of it

pub mod advect;
pub mod ahead;
mod arrivals;
pub mod beam;
pub mod busy;
mod candidates;
mod chance_map;
pub mod clutter;
mod correction;
mod course;
pub mod edge_distance;
pub mod ended_windows;
pub mod error;
pub mod evenings;
pub mod field;
pub mod level;
mod logistic;
mod maps;
pub mod motion;
mod narrow;
pub mod nowcast;
mod rain_table;
pub mod readers;
pub mod record;
pub mod reflectivity;
pub mod regrid;
pub mod remark;
mod reweigh;
pub mod smooth;
pub mod spot;
mod thinned;
mod upstream;
mod wet_steps;
mod window_counts;
pub mod writers;

pub use ahead::Ahead;
pub use beam::{Beam, RadarSite};
pub use busy::{Busyness, Trend};
pub use ended_windows::EndedWindow;
pub use error::RadarError;
pub use evenings::{BestStart, Evenings, MinuteRates, RainChain, Spread, Turn};
pub use field::{Grid, RainField};
pub use logistic::Predictors;
pub use nowcast::{Nowcast, NowcastError, NowcastRemark};
pub use readers::{Cut, ReadOptions, read_rain_fields, read_times};
pub use record::Record;
pub use reflectivity::{ZR, ZRError};
pub use regrid::Regrid;
pub use remark::RadarRemark;
pub use spot::{Between, DryGap, Minute, Onset, Spot};
