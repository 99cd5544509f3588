//! `fairspell backup` and `fairspell restore`: the whole studio in one file, and back.

use std::{path::PathBuf, process::ExitCode};

use anyhow::{Context, Result};
use clap::Args;
use fairspell_store::{Manifest, backup, restore};

use crate::{
    json,
    terminal::{Counter, now, say},
    waiting::wait_for,
};

/// Writes the whole studio into one file, also while it is being served.
#[derive(Args)]
pub(crate) struct BackupArguments {
    /// The studio's folder
    #[arg(long, value_name = "DIR")]
    data: PathBuf,
    /// The file to write
    #[arg(long, value_name = "FILE")]
    out: PathBuf,
    /// Print JSON (see `fairspell schema backup`)
    #[arg(long)]
    json: bool,
}

/// Makes a studio's folder out of a backup.
#[derive(Args)]
pub(crate) struct RestoreArguments {
    /// The backup
    #[arg(long, value_name = "FILE")]
    from: PathBuf,
    /// The folder to make; it must be empty or not there
    #[arg(long, value_name = "DIR")]
    data: PathBuf,
    /// Print JSON (see `fairspell schema backup`)
    #[arg(long)]
    json: bool,
}

/// Runs `fairspell backup`.
pub(crate) fn run_backup(arguments: &BackupArguments) -> Result<ExitCode> {
    let mut counter = Counter::new("backup");
    let manifest = wait_for(async {
        let mut progress = |done, total| counter.at(done, total);
        backup(&arguments.data, &arguments.out, now(), &mut progress)
            .await
            .with_context(|| format!("back up {}", arguments.data.display()))
    })?;
    report(&manifest, &arguments.out.display().to_string(), arguments.json)
}

/// Runs `fairspell restore`.
pub(crate) fn run_restore(arguments: &RestoreArguments) -> Result<ExitCode> {
    let mut counter = Counter::new("restore");
    let manifest = wait_for(async {
        let mut progress = |done, total| counter.at(done, total);
        restore(&arguments.from, &arguments.data, &mut progress)
            .await
            .with_context(|| format!("restore {}", arguments.from.display()))
    })?;
    report(&manifest, &arguments.data.display().to_string(), arguments.json)
}

fn report(manifest: &Manifest, written: &str, as_json: bool) -> Result<ExitCode> {
    if as_json {
        json::print(manifest)?;
    } else {
        let seal = manifest.head.as_ref().map(ToString::to_string);
        say(&fairspell_words::backed_up(written, manifest.files.len(), seal.as_deref()));
    }
    Ok(ExitCode::SUCCESS)
}
