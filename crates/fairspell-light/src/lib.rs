//! How much light there is, and what it is good for.
//!
//! Below about 20 degrees the sun's elevation decides nearly everything about a portrait outdoors:
//! how much light falls, how hard it is and whether a face can be turned towards it. What the
//! elevation leaves open is the cloud, and a forecast of cloud is loose; so light under cloud is a
//! range here.
//!
//! ```
//! use fairspell_light::{LightPhase, illuminance_clear_lx, illuminance_lx};
//!
//! // A quarter of an hour after sunset the sun stands at -4 degrees: the soft light ends.
//! assert_eq!(LightPhase::at(-3.9), LightPhase::Soft);
//! assert_eq!(illuminance_clear_lx(-4.0).round(), 30.0);
//!
//! // Under a closed cloud that much light is left when the sun is still up.
//! let gloom = illuminance_lx(-2.0, Some(1.0));
//! assert!(gloom.low_lx < 20.0 && gloom.high_lx > 90.0);
//! ```
//!
//! - [`illuminance`]: lux on the ground under a clear sky and under cloud
//! - [`phase`]: what the light of an elevation is good for

pub mod illuminance;
pub mod phase;

pub use illuminance::{IlluminanceRange, cloud_transmission, illuminance_clear_lx, illuminance_lx};
pub use phase::LightPhase;
