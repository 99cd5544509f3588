//! Tests of `fairspell-web`.

#![expect(clippy::unwrap_used, reason = "in a test an unwrap is a check")]

mod demo_clock;
mod desk;
mod error;
mod family;
mod field;
mod field_log;
mod first_start;
mod forms;
mod guard;
mod leave;
mod letter;
mod light_plan;
mod looks;
mod newcomer;
mod notices;
mod now;
mod offers;
mod people;
mod photo_position;
mod place_input;
mod places;
mod radar;
mod readings;
mod running;
mod season;
mod self_check;
mod served;
mod session_edit;
mod sign_in;
mod skies;
mod skyline_input;
mod spot_light;
mod studio;
