//! `fairspell journal verify`: whether what was agreed is still as it was.

use std::{path::PathBuf, process::ExitCode};

use anyhow::{Context, Result};
use clap::{Args, Subcommand};
use fairspell_store::Store;
use fairspell_studio::journal::Digest;
use fairspell_words::journal_verdict;

use crate::{json, terminal::say, waiting::wait_for};

/// Looks at the record of what was told and agreed.
#[derive(Args)]
pub(crate) struct JournalArguments {
    #[command(subcommand)]
    what: What,
}

#[derive(Subcommand)]
enum What {
    /// Checks that no entry was changed, left out or put in afterwards
    Verify(VerifyArguments),
}

#[derive(Args)]
struct VerifyArguments {
    /// The studio's folder
    #[arg(long, value_name = "DIR")]
    data: PathBuf,
    /// A seal that somebody holds, from a receipt or a backup: is it part of this record?
    ///
    /// As one piece, or in the groups of four that a receipt shows
    #[arg(long, value_name = "H", num_args = 1..)]
    head: Vec<String>,
    /// Print JSON (see `fairspell schema journal`)
    #[arg(long)]
    json: bool,
}

/// Runs the command.
pub(crate) fn run(arguments: &JournalArguments) -> Result<ExitCode> {
    let What::Verify(arguments) = &arguments.what;
    let seal: String = arguments.head.concat().split_whitespace().collect();
    let head: Option<Digest> = match seal.as_str() {
        "" => None,
        seal => Some(seal.parse().context("read the seal")?),
    };
    let verdict = wait_for(async {
        let store = Store::look(&arguments.data)
            .await
            .with_context(|| format!("open the studio in {}", arguments.data.display()))?;
        let verdict = store.journal_verify(head).await?;
        store.close().await;
        Ok(verdict)
    })?;
    if arguments.json {
        json::print(&verdict)?;
    } else {
        for line in journal_verdict(&verdict) {
            say(&line);
        }
    }
    Ok(if verdict.holds() { ExitCode::SUCCESS } else { ExitCode::FAILURE })
}
