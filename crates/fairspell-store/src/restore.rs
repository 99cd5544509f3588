//! A backup becomes a studio's folder again.
//!
//! Everything is unpacked beside the folder and checked there; only what is whole is moved to its
//! place. A backup may come from anywhere, so nothing in it is believed: no path that leads out, no
//! link, no file that the manifest does not name with this digest, no journal that does not hold.

use std::{
    collections::{HashMap, HashSet},
    ffi::OsString,
    fs::{self, File},
    io::{self, Read, Write},
    path::{Component, Path, PathBuf},
};

use fairspell_studio::journal::{Digest, HeadPlace};
use sha2::{Digest as _, Sha256};
use tokio::sync::mpsc;

use crate::{
    Manifest, Store, StoreError,
    archive::Sender,
    backup::{COAST, MANIFEST, Progress, READINGS},
    private,
    store::{DATABASE, known_version},
    values::from_json,
};

/// No manifest is longer, bytes: a hundred thousand files.
const MANIFEST_BYTES_MAX: u64 = 32 << 20;
const PIECE: usize = 64 << 10;

/// Restores a backup into a folder that is empty or not there yet.
///
/// # Errors
///
/// [`StoreError::Conflict`] if the folder holds anything, [`StoreError::NoBackup`] if there is no such
/// file, [`StoreError::Damaged`] if it is not whole or not ours, [`StoreError::NewerVersion`],
/// [`StoreError::DiskFull`], [`StoreError::ReadOnly`]. Nothing is left behind then.
pub async fn restore(
    from: &Path,
    folder: &Path,
    progress: &mut Progress<'_>,
) -> Result<Manifest, StoreError> {
    let archive = File::open(from).map_err(|error| match error.kind() {
        io::ErrorKind::NotFound => StoreError::NoBackup,
        _ => error.into(),
    })?;
    let folder = std::path::absolute(folder)?;
    check_empty(&folder)?;
    let unpacked = Unpacked::beside(&folder)?;
    let into = unpacked.0.clone();
    let (sender, mut receiver) = mpsc::unbounded_channel();
    let unpacking = tokio::task::spawn_blocking(move || unpack(archive, &into, &sender));
    while let Some((done, total)) = receiver.recv().await {
        progress(done, total);
    }
    let manifest = unpacking.await.map_err(|error| StoreError::Other(error.into()))??;
    check_database(&unpacked.0, &manifest).await?;
    check_empty(&folder)?;
    if folder.exists() {
        fs::remove_dir(&folder)?;
    }
    fs::rename(&unpacked.0, &folder)?;
    Ok(manifest)
}

fn check_empty(folder: &Path) -> Result<(), StoreError> {
    match fs::read_dir(folder) {
        Ok(entries) => match entries.count() {
            0 => Ok(()),
            _ => Err(StoreError::Conflict { why: "the folder is not empty" }),
        },
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(()),
        Err(error) if error.kind() == io::ErrorKind::NotADirectory => {
            Err(StoreError::Conflict { why: "there is a file in the folder's place" })
        }
        Err(error) => Err(error.into()),
    }
}

/// The folder that is unpacked into; it goes unless it was moved to its place.
struct Unpacked(PathBuf);

impl Unpacked {
    fn beside(folder: &Path) -> Result<Unpacked, StoreError> {
        let mut name = OsString::from(".");
        name.push(folder.file_name().unwrap_or_default());
        name.push(".restoring");
        let path = folder.with_file_name(name);
        if let Some(parent) = path.parent() {
            private::create_folder(parent)?;
        }
        // What a restore that was interrupted left there.
        if path.exists() {
            fs::remove_dir_all(&path)?;
        }
        private::create_folder(&path)?;
        Ok(Unpacked(path))
    }
}

impl Drop for Unpacked {
    fn drop(&mut self) {
        // Moved to its place: then there is nothing to remove.
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// Unpacks an archive and checks every file against the manifest.
fn unpack(archive: File, into: &Path, progress: &Sender) -> Result<Manifest, StoreError> {
    let total = archive.metadata()?.len();
    let mut archive = tar::Archive::new(archive);
    let mut manifest = None;
    let mut found = HashMap::new();
    for entry in archive.entries()? {
        let entry = entry.map_err(not_an_archive)?;
        let bytes = entry.size();
        let path = path_in(&entry)?;
        if path == MANIFEST && manifest.is_some() {
            return Err(twice());
        }
        if path == MANIFEST {
            let mut text = String::new();
            let read = entry.take(MANIFEST_BYTES_MAX).read_to_string(&mut text);
            read.map_err(not_an_archive)?;
            manifest = Some(from_json::<Manifest>(MANIFEST, &text)?);
            continue;
        }
        let done = entry.raw_file_position();
        let sha256 = write_out(entry, &into.join(&path), (done, total), progress)?;
        if found.insert(path, (bytes, sha256)).is_some() {
            return Err(twice());
        }
    }
    let manifest = manifest.ok_or_else(|| StoreError::damaged("the backup was cut short"))?;
    check_version(manifest.version)?;
    let named: HashSet<&str> = manifest.files.iter().map(|file| file.path.as_str()).collect();
    let whole = named.len() == found.len()
        && manifest.files.len() == found.len()
        && manifest
            .files
            .iter()
            .all(|file| found.get(&file.path) == Some(&(file.bytes, file.sha256)));
    if whole { Ok(manifest) } else { Err(StoreError::damaged("the files are not the manifest's")) }
}

/// Where an entry may go: it has to be a plain file at a place that a backup uses.
fn path_in<R: Read>(entry: &tar::Entry<'_, R>) -> Result<String, StoreError> {
    let refused = || StoreError::damaged("the backup holds what no backup holds");
    if entry.header().entry_type() != tar::EntryType::Regular {
        return Err(refused());
    }
    let path = entry.path().map_err(not_an_archive)?;
    let mut parts = Vec::new();
    for part in path.components() {
        match part {
            Component::Normal(part) => parts.push(part.to_str().ok_or_else(refused)?),
            _ => return Err(refused()),
        }
    }
    let is_ours = match parts.as_slice() {
        [file] => [MANIFEST, DATABASE, COAST].contains(file),
        [folder, ..] => *folder == READINGS,
        [] => false,
    };
    if is_ours { Ok(parts.join("/")) } else { Err(refused()) }
}

fn write_out(
    mut entry: impl Read,
    path: &Path,
    (mut done, total): (u64, u64),
    progress: &Sender,
) -> Result<Digest, StoreError> {
    if let Some(parent) = path.parent() {
        private::create_folder(parent)?;
    }
    let mut file = match private::create_file(path) {
        Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {
            return Err(twice());
        }
        file => file?,
    };
    let mut hash = Sha256::new();
    let mut piece = vec![0; PIECE];
    loop {
        let count = entry.read(&mut piece).map_err(not_an_archive)?;
        if count == 0 {
            break;
        }
        file.write_all(&piece[..count])?;
        hash.update(&piece[..count]);
        done += count as u64;
        // Whoever asked may have gone; the restore goes on all the same.
        let _ = progress.send((done.min(total), total));
    }
    file.sync_all()?;
    Ok(Digest(hash.finalize().into()))
}

fn twice() -> StoreError {
    StoreError::damaged("a file stands in the backup twice")
}

fn check_version(found: i64) -> Result<(), StoreError> {
    let known = known_version();
    if found > known { Err(StoreError::NewerVersion { found, known }) } else { Ok(()) }
}

/// Whether the database is sound and its journal is the one that the manifest speaks of.
async fn check_database(unpacked: &Path, manifest: &Manifest) -> Result<(), StoreError> {
    let store = Store::look_at_copy(&unpacked.join(DATABASE)).await?;
    let checked = check_opened(&store, manifest).await;
    store.close().await;
    checked
}

async fn check_opened(store: &Store, manifest: &Manifest) -> Result<(), StoreError> {
    let found: String =
        sqlx::query_scalar("PRAGMA integrity_check(1)").fetch_one(store.pool()).await?;
    if found != "ok" {
        return Err(StoreError::damaged(found));
    }
    let verdict = store.journal_verify(manifest.head).await?;
    let is_newest = match manifest.head {
        Some(_) => verdict.expected == Some(HeadPlace::Newest),
        None => verdict.entries == 0,
    };
    if verdict.holds() && is_newest {
        Ok(())
    } else {
        Err(StoreError::damaged("the journal is not the one that was backed up"))
    }
}

/// A reading error in the midst of an archive is the archive's, unless the disk says otherwise.
fn not_an_archive(error: io::Error) -> StoreError {
    match error.kind() {
        io::ErrorKind::Other | io::ErrorKind::InvalidData | io::ErrorKind::UnexpectedEof => {
            StoreError::damaged(format!("not a backup, or not whole: {error}"))
        }
        _ => error.into(),
    }
}
