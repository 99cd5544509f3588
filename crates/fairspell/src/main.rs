//! The command line: puts the parts together.
//!
//! Everything that touches files, the clock or the terminal is here. Read `folder.rs`
//! for what a studio's folder holds, then the command of your choice.

use std::process::ExitCode;

use clap::{Parser, Subcommand};

mod backup_command;
mod climate_command;
mod clutter_told;
mod demo;
mod demo_command;
mod field_log_command;
mod folder;
mod import_command;
mod journal_command;
mod json;
mod leave_command;
mod leave_report;
mod letter_command;
mod light_command;
mod local_time;
mod moves_command;
mod moves_report;
mod outlook_command;
mod passphrase_command;
mod points;
mod radar_sites;
mod rain_command;
mod rain_field_command;
mod rain_score_command;
mod redate_command;
mod schema_command;
mod season_command;
mod season_sky;
mod serve_command;
mod settings_command;
mod sheet_command;
mod sheet_report;
mod skyline_file;
mod standing;
mod starts_command;
mod stopping;
mod sun_command;
mod terminal;
mod tide_command;
mod typed;
mod waiting;

/// From a session's date to its letter, through weather nobody controls.
#[derive(Parser)]
#[command(version, about, arg_required_else_help = true)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Builds the invented studio and opens it in the browser.
    Demo(demo_command::DemoArguments),
    /// Serves a studio to browsers on this computer or at home.
    Serve(serve_command::ServeArguments),
    /// Says what radar pictures tell of one place in the next hours.
    Rain(rain_command::RainArguments),
    /// Writes maps of the coming hours' rain into a NetCDF file.
    RainField(rain_field_command::RainFieldArguments),
    /// Scores the nowcast on pictures that are there already.
    RainScore(rain_score_command::RainScoreArguments),
    /// Says what is known of a session's sky, and where it stands by the studio's policy.
    Outlook(outlook_command::OutlookArguments),
    /// Says whether to drive off to a session, when at the latest, and what to pack.
    Leave(leave_command::LeaveArguments),
    /// Writes the letter that would go to the family now.
    Letter(letter_command::LetterArguments),
    /// Says what the sun does at a place on a date.
    Sun(sun_command::SunArguments),
    /// Says how much light a spot has at a moment, and what it does to a face.
    Light(light_command::LightArguments),
    /// Says what to set the camera to, and what rain will look like with it.
    Settings(settings_command::SettingsArguments),
    /// Says what past evenings were like at a place, and takes in records of rain.
    Climate(climate_command::ClimateArguments),
    /// Says how high the water stands, and when a spot can be used.
    Tide(tide_command::TideArguments),
    /// Finds one plan for all sessions that must or should move.
    Moves(moves_command::MovesArguments),
    /// Says how the season stands, and which evenings an enquiry can be offered.
    Season(season_command::SeasonArguments),
    /// Finds the evenings and starts that put each look in its light.
    Starts(starts_command::StartsArguments),
    /// Says what to make next in the field, whatever the sky does.
    Sheet(sheet_command::SheetArguments),
    /// Says what was made in the field, and takes in a log as text.
    FieldLog(field_log_command::FieldLogArguments),
    /// Takes in bookings from a list or a calendar.
    Import(import_command::ImportArguments),
    /// Checks the record of what was told and agreed.
    Journal(journal_command::JournalArguments),
    /// Writes the whole studio into one file, also while it is being served.
    Backup(backup_command::BackupArguments),
    /// Makes a studio's folder out of a backup.
    Restore(backup_command::RestoreArguments),
    /// Chooses a new passphrase, read from standard input, and ends all sign-ins.
    Passphrase(passphrase_command::PassphraseArguments),
    /// Prints the JSON Schema of what a command reads or writes; without a name, the names.
    Schema(schema_command::SchemaArguments),
}

fn main() -> ExitCode {
    let result = match Arguments::parse().command {
        Command::Demo(arguments) => demo_command::run(&arguments),
        Command::Serve(arguments) => serve_command::run(&arguments),
        Command::Rain(arguments) => rain_command::run(&arguments),
        Command::RainField(arguments) => rain_field_command::run(&arguments),
        Command::RainScore(arguments) => rain_score_command::run(&arguments),
        Command::Outlook(arguments) => outlook_command::run(&arguments),
        Command::Leave(arguments) => leave_command::run(&arguments),
        Command::Letter(arguments) => letter_command::run(&arguments),
        Command::Sun(arguments) => sun_command::run(&arguments),
        Command::Light(arguments) => light_command::run(&arguments),
        Command::Settings(arguments) => settings_command::run(&arguments),
        Command::Climate(arguments) => climate_command::run(&arguments),
        Command::Tide(arguments) => tide_command::run(&arguments),
        Command::Season(arguments) => season_command::run(&arguments),
        Command::Starts(arguments) => starts_command::run(&arguments),
        Command::Moves(arguments) => moves_command::run(&arguments),
        Command::Sheet(arguments) => sheet_command::run(&arguments),
        Command::FieldLog(arguments) => field_log_command::run(&arguments),
        Command::Import(arguments) => import_command::run(&arguments),
        Command::Journal(arguments) => journal_command::run(&arguments),
        Command::Backup(arguments) => backup_command::run_backup(&arguments),
        Command::Restore(arguments) => backup_command::run_restore(&arguments),
        Command::Passphrase(arguments) => passphrase_command::run(&arguments),
        Command::Schema(arguments) => schema_command::run(&arguments),
    };
    match result {
        Ok(code) => code,
        Err(error) => {
            terminal::complain(&format!("{error:#}"));
            ExitCode::FAILURE
        }
    }
}
