//! Integration tests; the modules mirror `src/`.

#![expect(clippy::unwrap_used, reason = "a helper that cannot set a test up fails it")]

mod cie_sky;
mod cloud;
mod colour_temperature;
mod daylight;
mod dome;
mod ev100;
mod face;
mod facing;
mod ground_surface;
mod illuminance;
mod lens_mist;
mod phase;
mod rain;
mod scene;
mod settings;
mod spot_light;
mod surroundings;
mod table;
mod usable_light;
