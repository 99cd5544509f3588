//! The archive that a backup is, written in one pass.

use std::{
    fs::{self, File},
    io::{self, Read, Write},
    path::{Path, PathBuf},
};

use fairspell_studio::journal::Digest;
use jiff::Timestamp;
use sha2::{Digest as _, Sha256};
use tokio::sync::mpsc;

use crate::{
    Manifest, StoreError,
    backup::{COAST, MANIFEST, ManifestFile, READINGS},
    private,
    store::DATABASE,
    values::to_json,
};

/// Bytes done, bytes in all.
pub(crate) type Sender = mpsc::UnboundedSender<(u64, u64)>;

/// Writes database, coast and readings, and completes the manifest, which is written last.
pub(crate) fn write_archive(
    archive: &Path,
    snapshot: &Path,
    folder: &Path,
    mut manifest: Manifest,
    progress: &Sender,
) -> Result<Manifest, StoreError> {
    let mut sources = vec![(DATABASE.to_owned(), snapshot.to_owned())];
    sources
        .extend(Some((COAST.to_owned(), folder.join(COAST))).filter(|(_, coast)| coast.is_file()));
    list_below(&folder.join(READINGS), READINGS, &mut sources)?;
    let bytes = |(_, path): &(String, PathBuf)| path.metadata().map_or(0, |file| file.len());
    let total = sources.iter().map(bytes).sum();
    let mut tar = tar::Builder::new(private::create_file(archive)?);
    let mut done = 0;
    for (path, source) in sources {
        // A reading may be pruned while we work.
        let file = match File::open(&source) {
            Err(error) if error.kind() == io::ErrorKind::NotFound => continue,
            file => file?,
        };
        // What is added to it from now on belongs to the next backup.
        let bytes = file.metadata()?.len();
        let mut counted = Counted {
            file: file.take(bytes),
            hash: Sha256::new(),
            done: &mut done,
            total,
            progress,
        };
        tar.append_data(&mut header(bytes, manifest.made_at), &path, &mut counted)?;
        let sha256 = Digest(counted.hash.finalize().into());
        manifest.files.push(ManifestFile { path, bytes, sha256 });
    }
    let text = to_json(&manifest)?;
    let bytes = text.len() as u64;
    tar.append_data(&mut header(bytes, manifest.made_at), MANIFEST, text.as_bytes())?;
    let mut file = tar.into_inner()?;
    file.flush()?;
    file.sync_all()?;
    Ok(manifest)
}

fn header(bytes: u64, made_at: Timestamp) -> tar::Header {
    let mut header = tar::Header::new_gnu();
    header.set_entry_type(tar::EntryType::Regular);
    header.set_size(bytes);
    header.set_mode(0o600);
    header.set_mtime(u64::try_from(made_at.as_second()).unwrap_or(0));
    header
}

/// All regular files below a folder, in the order of their names; links are not followed.
fn list_below(
    folder: &Path,
    name: &str,
    sources: &mut Vec<(String, PathBuf)>,
) -> Result<(), StoreError> {
    let entries = match fs::read_dir(folder) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(()),
        entries => entries?,
    };
    let mut entries: Vec<fs::DirEntry> = entries.collect::<io::Result<_>>()?;
    entries.sort_by_key(fs::DirEntry::file_name);
    for entry in entries {
        let kind = entry.file_type()?;
        let path = format!("{name}/{}", entry.file_name().to_string_lossy());
        if kind.is_dir() {
            list_below(&entry.path(), &path, sources)?;
        } else if kind.is_file() {
            sources.push((path, entry.path()));
        }
    }
    Ok(())
}

/// A file that is digested and counted while it is read.
struct Counted<'a> {
    file: io::Take<File>,
    hash: Sha256,
    done: &'a mut u64,
    total: u64,
    progress: &'a Sender,
}

impl Read for Counted<'_> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let count = self.file.read(buffer)?;
        if count == 0 && self.file.limit() > 0 {
            // The archive has promised more; an archive that lies is worse than none.
            let cut = "a reading was cut short while it was backed up";
            return Err(io::Error::new(io::ErrorKind::UnexpectedEof, cut));
        }
        self.hash.update(&buffer[..count]);
        *self.done += count as u64;
        // Whoever asked may have gone; the backup is made all the same.
        let _ = self.progress.send((*self.done, self.total.max(*self.done)));
        Ok(count)
    }
}
