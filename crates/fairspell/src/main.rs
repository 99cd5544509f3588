//! The command line: puts the parts together.
//!
//! Everything that touches files, the clock or the terminal is here. Read `folder.rs` and
//! `readings.rs` for what a studio's folder holds, then the command of your choice.

use std::process::ExitCode;

use clap::{Parser, Subcommand};

mod demo;
mod demo_command;
mod evening_figure;
mod folder;
mod frames;
mod json;
mod letter_command;
mod outlook_command;
mod rain_command;
mod readings;
mod schema_command;
mod standing;
mod terminal;

/// From a session's date to its letter, through weather nobody controls.
#[derive(Parser)]
#[command(version, about, arg_required_else_help = true)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Builds the invented studio and walks through its hardest evening.
    Demo(demo_command::DemoArguments),
    /// Says what radar pictures tell of one place in the next hours.
    Rain(rain_command::RainArguments),
    /// Says what is known of a session's sky, and where it stands by the studio's policy.
    Outlook(outlook_command::OutlookArguments),
    /// Writes the letter that would go to the family now.
    Letter(letter_command::LetterArguments),
    /// Prints the JSON Schema of what a command reads or writes; without a name, the names.
    Schema(schema_command::SchemaArguments),
}

fn main() -> ExitCode {
    let result = match Arguments::parse().command {
        Command::Demo(arguments) => demo_command::run(&arguments),
        Command::Rain(arguments) => rain_command::run(&arguments),
        Command::Outlook(arguments) => outlook_command::run(&arguments),
        Command::Letter(arguments) => letter_command::run(&arguments),
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
