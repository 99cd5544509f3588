//! `fairspell moves`: one plan for all sessions that must or should move.

use std::{path::PathBuf, process::ExitCode};

use anyhow::Result;
use clap::Args;
use jiff::Timestamp;

use crate::{redate_command, terminal::now};

/// One plan for all sessions that must or should move.
#[derive(Args)]
pub(crate) struct MovesArguments {
    /// The studio's folder
    #[arg(long, value_name = "DIR")]
    data: PathBuf,
    /// The sessions, by their ids with commas; those that the policy says must or should move when
    /// left out
    #[arg(long, value_name = "IDS", value_delimiter = ',')]
    sessions: Vec<String>,
    /// The moment (RFC 3339); nothing fetched later is looked at. Now when left out
    #[arg(long, value_name = "T")]
    as_of: Option<Timestamp>,
    /// Print JSON (see `fairspell schema season-moves`)
    #[arg(long)]
    json: bool,
}

/// Runs the command.
pub(crate) fn run(arguments: &MovesArguments) -> Result<ExitCode> {
    let as_of = arguments.as_of.unwrap_or_else(now);
    redate_command::run(&arguments.data, &arguments.sessions, as_of, arguments.json)
}
