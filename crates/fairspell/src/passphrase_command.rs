//! `fairspell passphrase`: a new passphrase, for whoever can open the studio's folder.

use std::{io, path::PathBuf, process::ExitCode};

use anyhow::{Context, Result, bail};
use clap::Args;
use fairspell_store::Store;
use fairspell_web::{PassphraseRefused, replace_passphrase};

use crate::{
    serve_command,
    terminal::{machine, now, say},
    waiting::wait_for,
};

/// Chooses a new passphrase and ends all sign-ins; it is read from standard input.
#[derive(Args)]
pub(crate) struct PassphraseArguments {
    /// The studio's folder
    #[arg(long, value_name = "DIR")]
    data: PathBuf,
}

/// Runs the command.
pub(crate) fn run(arguments: &PassphraseArguments) -> Result<ExitCode> {
    serve_command::expect_studio(&arguments.data)?;
    say(fairspell_words::TYPE_PASSPHRASE);
    let mut line = String::new();
    io::stdin().read_line(&mut line).context("read the passphrase")?;
    wait_for(async {
        let store = Store::open(&arguments.data, now())
            .await
            .with_context(|| format!("open the studio in {}", arguments.data.display()))?;
        match replace_passphrase(&store, machine(), line.trim()).await {
            Ok(()) => {}
            Err(PassphraseRefused::Length { shortest, longest }) => {
                bail!("a passphrase has {shortest} to {longest} characters")
            }
            Err(PassphraseRefused::Page(error)) => return Err(error.into()),
        }
        store.close().await;
        Ok(())
    })?;
    say(fairspell_words::PASSPHRASE_CHOSEN);
    Ok(ExitCode::SUCCESS)
}
