//! Integration tests; the modules mirror `src/`. Everything here is invented.

#![expect(clippy::unwrap_used, reason = "in a test an unwrap is a check")]

mod climate;
mod cost_advice;
mod evening;
mod field;
mod handover;
mod kit;
mod leave;
mod letter;
mod moves;
mod moves_outside;
mod moves_slow;
mod outlook;
mod rain;
mod record;
mod redate;
mod season_risk;
mod spot_year;
mod starts;
mod warnings;
mod world;
