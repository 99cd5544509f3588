//! Where: positions on the globe, distances, map projections, areas, the coast outline.
//!
//! Everything else in the workspace that has a place has it from here. Positions are degrees on
//! the WGS 84 ellipsoid; distances are those on a sphere of the earth's mean radius, which errs by
//! at most half a per cent and never matters to somebody who drives there.
//!
//! ```
//! use fairspell_ground::LatLon;
//!
//! let boathouse: LatLon = "-31.7218,152.7832".parse()?;
//! let steps = LatLon::new(-31.7177, 152.7849)?;
//! assert!(boathouse.distance_km(steps) < 0.5);
//! # Ok::<(), fairspell_ground::GroundError>(())
//! ```
//!
//! - [`position`]: a point, and how far and in which direction another one lies
//! - [`area`]: what an official warning covers
//! - [`projection`]: between degrees and the metres of a radar map
//! - [`coast`]: the outline of land, for maps
//! - [`skyline`]: what hides the sun at a spot, by direction; [`ridge`]: a stretch of it through points
//! - [`skyline_check`]: whether it can be one; [`skyline_csv`]: out of a table
//! - [`skyline_points`]: corrected by what was seen on the spot
//! - [`sightline`]: how high what a person sees stands in degrees
//! - [`reading`]: what could be read from foreign bytes, together with what could not

pub mod area;
pub mod coast;
pub mod position;
pub mod projection;
pub mod reading;
pub mod ridge;
pub mod sightline;
pub mod skyline;
pub mod skyline_check;
pub mod skyline_csv;
pub mod skyline_points;

pub use area::Area;
pub use position::{GroundError, LatLon};
pub use projection::Projection;
pub use reading::Reading;
pub use ridge::{Ridge, RidgePoint};
pub use skyline::{Skyline, SkylineSector, SkylineStretch};
pub use skyline_check::SkylineError;
