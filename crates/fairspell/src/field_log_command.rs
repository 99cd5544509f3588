//! `fairspell field-log`: what was made in the field, and a log that came as text.

use std::{fs, path::PathBuf, process::ExitCode};

use anyhow::{Context, Result};
use clap::Args;
use fairspell_store::{KeptFieldLog, Store, TakenFieldLog, store::DATABASE};
use fairspell_studio::{
    FieldRecord, Session,
    field_event::Refusal,
    field_log::{Accepted, HandedIn},
    field_text::read_log_text,
    variety::{CORE, Missing},
};
use fairspell_words::field_log as words;
use serde::Serialize;

use crate::{
    folder::Folder,
    json, serve_command,
    terminal::{now, say},
    waiting::wait_for,
};

/// Says what was made in the field, and takes in a log as text.
#[derive(Args)]
pub(crate) struct FieldLogArguments {
    /// The studio's folder
    #[arg(long, value_name = "DIR")]
    data: PathBuf,
    /// The session, by id
    #[arg(long, value_name = "ID")]
    session: String,
    /// Take in a log first, as a field sheet gives it as text (see `fairspell schema field-events`)
    #[arg(long, value_name = "FILE")]
    add: Option<PathBuf>,
    /// Print JSON (see `fairspell schema field-log`)
    #[arg(long)]
    json: bool,
}

/// What is printed; its keys are stable.
#[derive(Serialize)]
struct FieldLogReport {
    session: String,
    events: usize,
    added: Option<Added>,
    foreign_sheet: bool,
    altered: bool,
    record: FieldRecord,
    coverage: Vec<LookCoverage>,
}

#[derive(Serialize)]
struct Added {
    kept: usize,
    new: usize,
    refused: Vec<RefusedReport>,
    skew_s: f64,
    corrected: bool,
}

#[derive(Serialize)]
struct RefusedReport {
    id: String,
    reason: Refusal,
    why: &'static str,
}

#[derive(Serialize)]
struct LookCoverage {
    look: String,
    core_filled: usize,
    core_count: usize,
    core_empty: Vec<&'static str>,
    missing: Missing,
    next_prompts: Vec<String>,
}

/// Runs the command.
pub(crate) fn run(arguments: &FieldLogArguments) -> Result<ExitCode> {
    serve_command::expect_studio(&arguments.data)?;
    let added = match &arguments.add {
        Some(file) => Some(add(arguments, file)?),
        None => None,
    };
    let folder = Folder::open(&arguments.data)?;
    let session = folder.session(&arguments.session)?;
    let log = kept(arguments)?;
    let record = FieldRecord::of(&log.events);
    if arguments.json {
        let coverage = coverage(session, &record);
        let (foreign_sheet, altered) = (log.foreign_sheet, !log.altered.is_empty());
        let (session, events) = (session.id.clone(), log.events.len());
        let report =
            FieldLogReport { session, events, added, foreign_sheet, altered, record, coverage };
        json::print(&report)?;
        return Ok(ExitCode::SUCCESS);
    }
    if let Some(added) = &added {
        say(&words::taken_in(added.kept, added.new, added.refused.len()));
        for refused in &added.refused {
            say(&words::refused_line(&refused.id, refused.reason));
        }
        if added.corrected {
            say(&words::clock_corrected(added.skew_s));
        }
    }
    let told = words::FieldTold {
        record: &record,
        spots: &folder.studio.spots,
        zone: &folder.zone,
        foreign_sheet: log.foreign_sheet,
        altered: !log.altered.is_empty(),
    };
    let lines = words::field_record_lines(&told);
    if lines.is_empty() {
        say(words::EMPTY);
    }
    for line in &lines {
        say(line);
    }
    if !log.events.is_empty() {
        for look in record.looks(session) {
            for line in words::coverage_lines(look, &record.coverage(look)) {
                say(&line);
            }
        }
    }
    Ok(ExitCode::SUCCESS)
}

/// Takes in a log as text.
fn add(arguments: &FieldLogArguments, file: &PathBuf) -> Result<Added> {
    let text = fs::read_to_string(file).with_context(|| format!("read {}", file.display()))?;
    let id = &arguments.session;
    let log = read_log_text(&text, id).with_context(|| format!("understand {}", file.display()))?;
    wait_for(async {
        let store = serve_command::open(&arguments.data, now()).await?;
        store.session(id).await?.with_context(|| format!("there is no session `{id}`"))?;
        let (written, now) = (HandedIn::Written(log.written_at), now());
        let taken =
            store.take_field_log(id, &log.events, &log.sheet_digest, written, now, now).await?;
        store.close().await;
        let TakenFieldLog { accepted, new, .. } = taken;
        let Accepted { kept, refused, skew_s, corrected } = accepted;
        let refused = refused.into_iter().map(|it| RefusedReport {
            id: it.id,
            reason: it.why,
            why: words::refusal(it.why),
        });
        Ok(Added { kept: kept.len(), new, refused: refused.collect(), skew_s, corrected })
    })
}

/// What is kept; of a studio that was never opened for writing, nothing.
fn kept(arguments: &FieldLogArguments) -> Result<KeptFieldLog> {
    if !arguments.data.join(DATABASE).is_file() {
        return Ok(KeptFieldLog::default());
    }
    wait_for(async {
        let store = Store::look(&arguments.data)
            .await
            .with_context(|| format!("open the studio in {}", arguments.data.display()))?;
        let log = store.field_log(&arguments.session).await?;
        store.close().await;
        Ok(log)
    })
}

fn coverage(session: &Session, record: &FieldRecord) -> Vec<LookCoverage> {
    let of = |look: &str| {
        let coverage = record.coverage(look);
        LookCoverage {
            look: look.to_owned(),
            core_filled: coverage.core_filled(),
            core_count: CORE.len(),
            core_empty: coverage.core_empty().iter().map(|core| core.id).collect(),
            missing: coverage.missing(),
            next_prompts: coverage.next_prompts(5).iter().map(words::prompt_line).collect(),
        }
    };
    record.looks(session).into_iter().map(of).collect()
}
