//! How much light there is, where it comes from, and what it does to a face.
//!
//! Daylight has two sources that behave like two lamps. The sun is small, warm and hard; the sky is
//! as large as a lamp can be, cool and soft. High sun drowns the sky six to one and makes black eye
//! sockets; at ten degrees the two are even, at three the sky has nearly all, which is why evenings
//! flatter. What stands around a spot then takes its part: a hill takes the sun, a porch takes the
//! sky overhead and leaves the horizon's, and that is what puts light under a brow.
//!
//! Cloud is known loosely, so light under cloud is a range: under broken cloud the sun is out or it
//! isn't, and no forecast says which.
//!
//! ```
//! use fairspell_almanac::SunPosition;
//! use fairspell_light::{Dome, Ground, Roof, SkyRange, Surroundings, best_facing};
//!
//! // A wet evening under the boathouse roof, which opens to the south: a metre back from the edge.
//! let roof = Roof { opens_toward_azimuth_deg: 180.0, ..Roof::porch(1.0, 1.5) };
//! let spot = Surroundings { roof: Some(roof), ..Surroundings::open(Ground::Concrete, true) };
//! let dome = Dome::new(spot);
//!
//! let sun = SunPosition { elevation_deg: 5.0, apparent_elevation_deg: 5.2, azimuth_deg: 282.0 };
//! let grey = SkyRange::for_cloud(Some(1.0)).low.daylight(sun.elevation_deg);
//! let facings = best_facing(&dome.lit(&sun, &grey));
//!
//! // Looking out, roughly, with light in the eyes: the roof took what would come from above.
//! let light = facings.flattering.light;
//! assert!((light.facing_azimuth_deg - 180.0).abs() <= 60.0);
//! assert!(light.eyes_lit() && light.top_over_front() < 2.0);
//! assert!(facings.backlit.is_none());
//! ```
//!
//! From sky to face, each step a module:
//!
//! - [`illuminance`]: lux on the ground under a clear sky and under cloud
//! - [`daylight`]: the same, sun and sky apart
//! - [`cloud`]: the several skies that a forecast of cloud allows
//! - [`cie_sky`]: how bright the sky is where
//! - [`surroundings`], [`ground_surface`]: what stands around, above and below a spot
//! - [`dome`]: all that a spot sees, and the light from it on any surface
//! - [`face`]: the ratio across a face, light in its eyes, squint
//! - [`facing`]: which way to turn somebody, and why
//! - [`colour_temperature`]: how warm or cool the light is
//! - [`ev100`]: light as the camera counts it
//! - [`usable_light`]: until when there is enough
//! - [`spot_light`]: a spot's light for every minute of a year
//! - [`mod@exposure`]: shutter, aperture and sensitivity to begin with; [`doing`], [`camera`]: for what, with
//!   what
//! - [`mod@depth_of_field`]: what is sharp, and what movement smears
//! - [`rain_drops`], [`mod@rain_look`]: drops, and what a shutter time makes of them
//! - [`mod@lens_mist`]: when cold glass is clear again
//! - [`phase`]: what the light of an elevation is good for

pub mod camera;
pub mod cie_sky;
pub mod cloud;
pub mod colour_temperature;
pub mod daylight;
pub mod depth_of_field;
pub mod direction;
pub mod doing;
pub mod dome;
pub mod ev100;
pub mod exposure;
pub mod face;
pub mod facing;
pub mod ground_surface;
pub mod illuminance;
pub mod lens_mist;
pub mod phase;
mod quadrature;
pub mod rain_drops;
pub mod rain_look;
pub mod spot_light;
pub mod surroundings;
pub mod usable_light;

pub use camera::Camera;
pub use cie_sky::CieSky;
pub use cloud::{SkyCondition, SkyRange};
pub use colour_temperature::{ColourTemperatureRange, colour_temperature_k};
pub use daylight::{Daylight, air_mass, daylight_clear};
pub use depth_of_field::{DepthOfField, depth_of_field, motion_blur_mm};
pub use direction::Direction;
pub use doing::Doing;
pub use dome::{Dome, LitDome, PlaneLight};
pub use ev100::{Ev100, Ev100Range, ExposureFloor};
pub use exposure::{SettingLimit, Settings, exposure_value_100, settings};
pub use face::{EYES_LIT_FROM, FaceLight, SQUINT_FROM_DEG};
pub use facing::{FacingAdvice, FacingReason, Facings, best_facing};
pub use ground_surface::Ground;
pub use illuminance::{IlluminanceRange, cloud_transmission, illuminance_clear_lx, illuminance_lx};
pub use lens_mist::{
    COOLED_CAR_C, LARGE_LENS_MIN, LensMist, SMALL_LENS_MIN, dew_point_c, lens_mist,
};
pub use phase::LightPhase;
pub use rain_drops::{drops_per_m3, fall_speed_m_s, median_drop_mm, visual_range_km};
pub use rain_look::{RainKind, RainLook, RainShows, rain_look, shutter_for};
pub use spot_light::{SpotLight, SpotMoment};
pub use surroundings::{Canopy, Roof, Seen, Surroundings};
pub use usable_light::{Facing, UsableLight, first_usable_light, last_usable_light};
