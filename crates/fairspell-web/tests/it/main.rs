//! Tests of `fairspell-web`.

#![expect(clippy::unwrap_used, reason = "in a test an unwrap is a check")]

mod desk;
mod first_start;
mod forms;
mod newcomer;
mod people;
mod photo_position;
mod place_input;
mod places;
mod season;
mod session_edit;
mod skyline_input;
mod studio;
