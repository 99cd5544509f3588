//! `fairspell import bookings`: the sessions of a list or a calendar.

use std::{fs, path::PathBuf, process::ExitCode};

use anyhow::{Context, Result};
use clap::{Args, Subcommand};
use fairspell_calendar::{people_from, read_bookings, sessions_from};
use serde::Serialize;

use crate::{
    json, serve_command,
    terminal::{now, say},
    waiting::wait_for,
};

/// Takes in what is written down elsewhere.
#[derive(Args)]
pub(crate) struct ImportArguments {
    #[command(subcommand)]
    what: What,
}

#[derive(Subcommand)]
enum What {
    /// Takes in the bookings of a CSV list or an iCalendar file
    Bookings(BookingsArguments),
}

#[derive(Args)]
struct BookingsArguments {
    /// The list or the calendar
    file: PathBuf,
    /// The studio's folder
    #[arg(long, value_name = "DIR")]
    data: PathBuf,
    /// Print JSON (see `fairspell schema import`)
    #[arg(long)]
    json: bool,
}

/// What is printed; its keys are stable.
#[derive(Serialize)]
struct ImportReport {
    sessions: Vec<String>,
    remarks: Vec<String>,
}

/// Runs the command.
pub(crate) fn run(arguments: &ImportArguments) -> Result<ExitCode> {
    let What::Bookings(arguments) = &arguments.what;
    let bytes =
        fs::read(&arguments.file).with_context(|| format!("read {}", arguments.file.display()))?;
    serve_command::expect_studio(&arguments.data)?;
    let report = wait_for(async {
        let store = serve_command::open(&arguments.data, now()).await?;
        let studio = store.studio().await?.context("there is no studio in this folder yet")?;
        let bookings = read_bookings(&bytes, &studio.zone()?)
            .with_context(|| format!("understand {}", arguments.file.display()))?;
        let made = sessions_from(&bookings.value, &studio, &store.sessions().await?);
        let people = people_from(&bookings.value, &made.value);
        store.import(&people, &made.value, "bookings", now()).await?;
        store.close().await;
        let remarks = bookings.remarks.iter().map(ToString::to_string);
        Ok(ImportReport {
            sessions: made.value.into_iter().map(|session| session.id).collect(),
            remarks: remarks.chain(made.remarks.iter().map(ToString::to_string)).collect(),
        })
    })?;
    if arguments.json {
        json::print(&report)?;
    } else {
        say(&fairspell_words::imported(report.sessions.len()));
        for line in report.sessions.iter().chain(&report.remarks) {
            say(line);
        }
    }
    Ok(ExitCode::SUCCESS)
}
