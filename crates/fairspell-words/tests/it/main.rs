//! Integration tests; the modules mirror `src/`. People, places and weather in them are invented.

#![expect(clippy::unwrap_used, reason = "a helper that cannot set a test up fails it")]

mod avoid;
mod cautions;
mod climate;
mod clock;
mod compass;
mod evening;
mod family;
mod field;
mod field_log;
mod field_sheet;
mod labels;
mod leave;
mod letters;
mod looks;
mod moves;
mod notices;
mod radar;
mod rain;
mod rain_score;
mod reasons;
mod replies;
mod screens;
mod sending;
mod sheet;
mod short;
mod sky;
mod sources;
mod world;
