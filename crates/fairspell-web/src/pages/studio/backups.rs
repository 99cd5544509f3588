//! The whole studio in one file: made here, restored on the command line.

use std::{collections::BTreeMap, path::PathBuf};

use axum::response::{IntoResponse, Redirect, Response};
use fairspell_studio::journal::Digest;
use fairspell_words::screens::studio::backups as words;
use jiff::Timestamp;
use maud::{Markup, html};
use serde::{Deserialize, Serialize};

use super::part;
use crate::{
    app::Shared,
    error::PageError,
    skies::House,
    spelled_id::spelled_id,
    visit::{Posted, Visit},
};

/// The folder of backups in the studio's.
const FOLDER: &str = "backups";
/// Under which name is kept what each backup vouches for: reading it out of the files would take
/// seconds.
const SETTING: &str = "backups";

/// What is remembered of a backup that was made here.
#[derive(Debug, Clone, Copy, Serialize, Deserialize)]
struct Remembered {
    made_at: Timestamp,
    head: Option<Digest>,
}

/// A file in the folder of backups.
#[derive(Debug)]
pub(super) struct BackupFile {
    file: String,
    bytes: u64,
    /// When it was made; `None` for a file that was put there by hand.
    pub(super) made_at: Option<Timestamp>,
    head: Option<Digest>,
}

fn folder(app: &Shared) -> PathBuf {
    app.settings.data.join(FOLDER)
}

/// The backups that lie in the folder, the newest first.
pub(super) async fn made(app: &Shared) -> Result<Vec<BackupFile>, PageError> {
    let remembered: BTreeMap<String, Remembered> =
        app.store.setting(SETTING).await?.unwrap_or_default();
    let folder = folder(app);
    let files = tokio::task::spawn_blocking(move || files_in(&folder));
    let files = files.await.map_err(PageError::ours)?.map_err(PageError::ours)?;
    let mut made: Vec<BackupFile> = files
        .into_iter()
        .map(|(file, bytes)| {
            let known = remembered.get(&file);
            let (made_at, head) =
                (known.map(|known| known.made_at), known.and_then(|known| known.head));
            BackupFile { file, bytes, made_at, head }
        })
        .collect();
    made.sort_by(|a, b| (b.made_at, &b.file).cmp(&(a.made_at, &a.file)));
    Ok(made)
}

/// Backups by name, with their lengths; none where there is no folder.
fn files_in(folder: &std::path::Path) -> std::io::Result<Vec<(String, u64)>> {
    let entries = match std::fs::read_dir(folder) {
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(Vec::new()),
        entries => entries?,
    };
    let mut files = Vec::new();
    for entry in entries {
        let entry = entry?;
        let (name, about) = (entry.file_name().to_string_lossy().into_owned(), entry.metadata()?);
        // What begins with a dot is still being written.
        if about.is_file() && !name.starts_with('.') {
            files.push((name, about.len()));
        }
    }
    Ok(files)
}

/// `GET /studio/backups`.
pub(crate) async fn show(visit: Visit) -> Result<Response, PageError> {
    let skies = visit.app.skies();
    let house = skies.house.as_deref().ok_or(PageError::NotThere)?;
    let made = made(&visit.app).await?;
    let body = html! {
        p { (words::MEANS) }
        form method="post" action="/studio/backups" {
            (visit.form_field())
            button.main { (words::MAKE) }
        }
        @if made.is_empty() {
            p { (words::NONE) }
        } @else {
            ul.lines { @for one in &made { li { (line(house, one)) } } }
        }
        p.quiet { (words::SEAL_MEANS) }
        h2 { (words::RESTORE) }
        p { (words::RESTORE_MEANS) }
        pre.scroll tabindex="0" { code { (words::RESTORE_COMMAND) } }
    };
    Ok(part(&visit, words::HEADING, &body))
}

fn line(house: &House, made: &BackupFile) -> Markup {
    html! {
        @match made.made_at {
            None => (words::elsewhere(&made.file, made.bytes)),
            Some(made_at) => {
                p { (words::backup(made_at, &made.file, made.bytes, &house.zone)) }
                p.quiet {
                    @match made.head {
                        Some(head) => (words::seal(&head.to_string())),
                        None => (words::NO_SEAL),
                    }
                }
            },
        }
    }
}

/// `POST /studio/backups`: makes one now.
pub(crate) async fn make(Posted { visit, .. }: Posted) -> Result<Response, PageError> {
    let app = visit.app.clone();
    let zone = app.skies().house.as_ref().ok_or(PageError::NotThere)?.zone.clone();
    // It goes on when the browser does not wait for it.
    let making = tokio::spawn(async move {
        let now = app.clock.real();
        let folder = folder(&app);
        std::fs::create_dir_all(&folder).map_err(fairspell_store::StoreError::from)?;
        let name = format!("fairspell {}", zone.to_datetime(now).strftime("%Y-%m-%d-%H%M%S"));
        let is_there = |name: &str| folder.join(format!("{name}.tar")).exists();
        let file = format!("{}.tar", spelled_id(&name, "fairspell", is_there));
        let manifest = app.store.backup(&folder.join(&file), now, &mut |_, _| {}).await?;
        let mut remembered: BTreeMap<String, Remembered> =
            app.store.setting(SETTING).await?.unwrap_or_default();
        remembered.insert(file, Remembered { made_at: now, head: manifest.head });
        let there = files_in(&folder).map_err(PageError::ours)?;
        remembered.retain(|file, _| there.iter().any(|(name, _)| name == file));
        app.store.save_setting(SETTING, &remembered).await?;
        Ok::<(), PageError>(())
    });
    making.await.map_err(PageError::ours)??;
    Ok(Redirect::to("/studio/backups?done=backup").into_response())
}
