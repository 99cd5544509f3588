//! `fairspell serve`: the studio in the browser.

use std::{
    net::SocketAddr,
    path::{Path, PathBuf},
    process::ExitCode,
};

use anyhow::{Context, Result, bail};
use clap::Args;
use fairspell_store::{Store, store::DATABASE};
use fairspell_web::{Settings, serve};
use jiff::Timestamp;
use serde::Serialize;

use crate::{
    folder::Files,
    json,
    terminal::{machine, now, say, start_log},
    waiting::wait_for,
};

/// Serves a studio to browsers on this computer or at home.
#[derive(Args)]
pub(crate) struct ServeArguments {
    /// The studio's folder; made when it is not there
    #[arg(long, value_name = "DIR")]
    data: PathBuf,
    /// Where to listen; `0.0.0.0:8045` for other devices on the home network
    #[arg(long, value_name = "ADDR", default_value = "127.0.0.1:8045")]
    listen: SocketAddr,
    /// The address under which families reach it, such as `https://studio.example.org`
    #[arg(long, value_name = "URL")]
    public_url: Option<String>,
    /// Print the address as JSON once it is open
    #[arg(long)]
    json: bool,
}

/// What is printed; its keys are stable.
#[derive(Serialize)]
struct ServeReport<'a> {
    url: &'a str,
    public_url: Option<&'a str>,
}

/// Runs the command.
pub(crate) fn run(arguments: &ServeArguments) -> Result<ExitCode> {
    start_log();
    let settings = Settings {
        data: arguments.data.clone(),
        listen: arguments.listen,
        public_url: arguments.public_url.as_deref().map(public_url).transpose()?,
        is_demo: false,
        clock: None,
    };
    wait_for(async {
        let store = open(&arguments.data, now()).await?;
        let public_url = settings.public_url.clone();
        let ready = |address: SocketAddr| {
            let (url, public_url) = (format!("http://{address}/"), public_url.as_deref());
            if arguments.json {
                let report = ServeReport { url: &url, public_url };
                // A reader that has gone away is no reason to end.
                let _ = json::print_line(&report);
            } else {
                say(&fairspell_words::serving(&url, public_url));
            }
        };
        serve(settings, machine(), store, ready).await?;
        Ok(())
    })?;
    Ok(ExitCode::SUCCESS)
}

/// Opens a studio for writing; one that was written down in files is taken over once.
///
/// - `at`: when that is, for the record.
pub(crate) async fn open(data: &Path, at: Timestamp) -> Result<Store> {
    let store = Store::open(data, at)
        .await
        .with_context(|| format!("open the studio in {}", data.display()))?;
    if store.studio().await?.is_none() && Files::are_in(data) {
        let files = Files::read(data)?;
        files
            .studio
            .check(&files.sessions)
            .with_context(|| format!("check the files in {}", data.display()))?;
        store.save_studio(&files.studio, at).await?;
        store.import(&files.people, &files.sessions, "studio.json", at).await?;
    }
    Ok(store)
}

/// Refuses a folder without a studio, before one is made in it by mistake.
pub(crate) fn expect_studio(data: &Path) -> Result<()> {
    if data.join(DATABASE).is_file() || Files::are_in(data) {
        return Ok(());
    }
    bail!("there is no studio in {}", data.display())
}

/// An address of a host: https, or http for trying things out.
fn public_url(text: &str) -> Result<String> {
    let url = text.trim_end_matches('/');
    let host = url.strip_prefix("https://").or_else(|| url.strip_prefix("http://"));
    match host {
        Some(host) if !host.is_empty() && !host.contains(['/', '?', '#', '@', ' ']) => {
            Ok(url.to_owned())
        }
        _ => bail!("expected an address such as https://studio.example.org, found `{text}`"),
    }
}
