//! The whole studio in one file.
//!
//! A backup is a tar archive (POSIX ustar, with the GNU extension for long names): `studio.db`, a
//! consistent copy made while the program goes on; `readings/`; `coast.json` where the studio has its
//! own; and last `backup.json`, the [`Manifest`], with the journal's head and every file's digest. A
//! backup that was cut short has no manifest, and so cannot be mistaken for a whole one.

use std::{
    fs, io,
    path::{Path, PathBuf},
};

use fairspell_studio::journal::{Digest, EntryKind};
use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use tokio::sync::mpsc;

use crate::{
    Store, StoreError,
    archive::write_archive,
    journal::{About, append},
    private,
    store::{DATABASE, known_version},
};

/// The manifest's name in the archive.
pub(crate) const MANIFEST: &str = "backup.json";
/// The outline for maps, in the studio's folder.
pub(crate) const COAST: &str = "coast.json";
/// The readings as received, in the studio's folder.
pub(crate) const READINGS: &str = "readings";

/// What a backup says of itself.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Manifest {
    /// When it was made.
    pub made_at: Timestamp,
    /// The version of the database's tables.
    pub version: i64,
    /// The journal's newest head; `None` for an empty journal.
    pub head: Option<Digest>,
    /// All other files.
    pub files: Vec<ManifestFile>,
}

/// One file of a backup.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ManifestFile {
    /// Its path in the archive and in the studio's folder, with `/` between its parts.
    pub path: String,
    /// Its length, bytes.
    pub bytes: u64,
    /// Its SHA-256.
    pub sha256: Digest,
}

/// Told how many bytes of how many are done.
pub type Progress<'a> = dyn FnMut(u64, u64) + Send + 'a;

/// Backs a studio's folder up into one file, also while another process has it open.
///
/// # Errors
///
/// Those of [`Store::look`] and [`Store::backup`].
pub async fn backup(
    folder: &Path,
    out: &Path,
    at: Timestamp,
    progress: &mut Progress<'_>,
) -> Result<Manifest, StoreError> {
    if !folder.join(DATABASE).is_file() {
        return Err(StoreError::NotThere);
    }
    let store = match Store::open(folder, at).await {
        Err(StoreError::InUse | StoreError::ReadOnly) => Store::look(folder).await,
        opened => opened,
    }?;
    let manifest = store.backup(out, at, progress).await;
    store.close().await;
    manifest
}

impl Store {
    /// Backs the studio up into one file. Where it may write, the journal says so first, so that the
    /// backup holds its own entry.
    ///
    /// # Errors
    ///
    /// [`StoreError::Conflict`] if there is a file of that name, no folder for it, or if it would lie
    /// among what is backed up, [`StoreError::DiskFull`] and [`StoreError::ReadOnly`] where `out` cannot be written.
    /// Nothing is left behind then.
    pub async fn backup(
        &self,
        out: &Path,
        at: Timestamp,
        progress: &mut Progress<'_>,
    ) -> Result<Manifest, StoreError> {
        let place = Place::of(out, self.folder())?;
        if self.may_write() {
            let mut writing = self.begin().await?;
            append(&mut writing, at, EntryKind::BackedUp, "{}", About::default()).await?;
            writing.commit().await?;
        }
        let snapshot = Temporary(place.beside(DATABASE));
        snapshot.clear()?;
        // Made before SQLite makes it, so that nobody else may read it.
        private::create_file(&snapshot.0)?;
        let snapshot_path = snapshot.0.to_str().ok_or(StoreError::Conflict {
            why: "the database cannot write to a path that is not UTF-8",
        })?;
        sqlx::query("VACUUM INTO $1").bind(snapshot_path).execute(self.pool()).await?;
        let head = head_of(&snapshot.0).await?;
        let archive = Temporary(place.beside("part"));
        archive.clear()?;
        let folder = self.folder().to_owned();
        let (sender, mut receiver) = mpsc::unbounded_channel();
        let writing = tokio::task::spawn_blocking(move || {
            let manifest = Manifest { made_at: at, version: known_version(), head, files: vec![] };
            let manifest = write_archive(&archive.0, &snapshot.0, &folder, manifest, &sender)?;
            fs::rename(&archive.0, &place.out)?;
            Ok(manifest)
        });
        while let Some((done, total)) = receiver.recv().await {
            progress(done, total);
        }
        writing.await.map_err(|error| StoreError::Other(error.into()))?
    }
}

/// Where a backup goes.
struct Place {
    out: PathBuf,
}

impl Place {
    fn of(out: &Path, folder: &Path) -> Result<Place, StoreError> {
        if fs::symlink_metadata(out).is_ok() {
            return Err(StoreError::Conflict { why: "there is a file of this name already" });
        }
        let out = std::path::absolute(out)?;
        let parent = out.parent().map(fs::canonicalize).transpose().map_err(|error| {
            let no_folder = StoreError::Conflict { why: "the backup's folder is not there" };
            if error.kind() == io::ErrorKind::NotFound { no_folder } else { error.into() }
        })?;
        let readings = fs::canonicalize(folder.join(READINGS)).ok();
        if let (Some(parent), Some(readings)) = (parent, readings)
            && parent.starts_with(readings)
        {
            return Err(StoreError::Conflict { why: "it would lie among what is backed up" });
        }
        Ok(Place { out })
    }

    /// A temporary file's path beside it, on the same disk.
    fn beside(&self, what: &str) -> PathBuf {
        let name = self.out.file_name().unwrap_or_default().to_string_lossy();
        self.out.with_file_name(format!(".{name}.{what}.tmp"))
    }
}

/// A file that goes when it is done with, however that ends.
struct Temporary(PathBuf);

impl Temporary {
    /// Removes what an interrupted backup left of it.
    fn clear(&self) -> io::Result<()> {
        match fs::remove_file(&self.0) {
            Err(error) if error.kind() != io::ErrorKind::NotFound => Err(error),
            _ => Ok(()),
        }
    }
}

impl Drop for Temporary {
    fn drop(&mut self) {
        // Renamed or never made: then there is nothing to remove, and nobody to tell.
        let _ = self.clear();
    }
}

/// The newest head in a database that nobody else uses.
async fn head_of(database: &Path) -> Result<Option<Digest>, StoreError> {
    let store = Store::look_at_copy(database).await?;
    let head = store.journal_head().await;
    store.close().await;
    head
}
