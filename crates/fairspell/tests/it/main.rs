//! Integration tests of the command line, and of the repository itself.

#![expect(clippy::unwrap_used, reason = "in a test an unwrap is a check")]

mod climate;
mod demo;
mod demo_folder;
mod field_log_command;
mod field_sheet_command;
mod kept_studio;
mod leave_command;
mod light_commands;
mod moves;
mod pictures;
mod rain;
mod rain_field;
mod rain_odd;
mod rain_score;
mod schemas;
mod season_command;
mod sheet_command;
mod starts_command;
mod tide_command;
mod tidy;
