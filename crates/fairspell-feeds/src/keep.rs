//! Keeping readings so that nothing is ever half there.

use std::{
    fs::{self, File},
    io::{self, Write},
    path::{Path, PathBuf},
    sync::atomic::{AtomicU64, Ordering},
};

use jiff::Timestamp;

use crate::{
    FeedsError,
    received::{LIST, Line, files_in},
};

/// The folder of what was fetched and cannot be read, within the folder of readings.
const REFUSED: &str = "refused";

/// How many of these are kept, and how much of each.
const REFUSED_MAX: usize = 20;
const REFUSED_BYTES_MAX: usize = 256 << 10;

/// Files that this process has begun to write.
static WRITTEN: AtomicU64 = AtomicU64::new(0);

/// Writes a file in one step: it is there whole, or as it was before.
pub(crate) fn write_atomically(path: &Path, bytes: &[u8]) -> Result<(), FeedsError> {
    let folder = path.parent().unwrap_or(Path::new("."));
    fs::create_dir_all(folder).map_err(|error| FeedsError::writing(folder, error))?;
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    // Two threads may write the same file: each writes a part of its own.
    let count = WRITTEN.fetch_add(1, Ordering::Relaxed);
    let part = folder.join(format!(".{name}.{count}{}", part_ending()));
    write_through(&part, path, bytes)
}

fn write_through(part: &Path, path: &Path, bytes: &[u8]) -> Result<(), FeedsError> {
    let written = File::create(part)
        .and_then(|mut file| fill(&mut file, bytes))
        .and_then(|()| fs::rename(part, path));
    written.map_err(|error| {
        // Best effort: a leftover is hidden, and swept away by `prune`.
        fs::remove_file(part).ok();
        FeedsError::writing(path, error)
    })
}

/// How the name of what this process is writing ends; it begins with a dot.
pub(crate) fn part_ending() -> String {
    format!(".{}.part", std::process::id())
}

fn fill(file: &mut File, bytes: &[u8]) -> io::Result<()> {
    file.write_all(bytes)?;
    file.sync_data()
}

/// Keeps a reading under a name that nothing else has; returns where, relative to `readings`.
pub(crate) fn keep_reading(
    readings: &Path,
    folder: &str,
    stem: &str,
    extension: &str,
    bytes: &[u8],
) -> Result<PathBuf, FeedsError> {
    let mut relative = Path::new(folder).join(format!("{stem}.{extension}"));
    let mut count = 1;
    while readings.join(&relative).exists() {
        count += 1;
        relative = Path::new(folder).join(format!("{stem}-{count}.{extension}"));
    }
    write_atomically(&readings.join(&relative), bytes)?;
    Ok(relative)
}

/// Keeps what could not be read aside, for whoever wants to know what a service sent.
///
/// That it could not be read is said elsewhere: what goes wrong here changes nothing.
pub(crate) fn put_aside(readings: &Path, stem: &str, bytes: &[u8]) {
    let start = &bytes[..bytes.len().min(REFUSED_BYTES_MAX)];
    if keep_reading(readings, REFUSED, stem, "refused", start).is_err() {
        return;
    }
    let files = files_in(&readings.join(REFUSED)).unwrap_or_default();
    for file in files.iter().take(files.len().saturating_sub(REFUSED_MAX)) {
        fs::remove_file(file).ok();
    }
}

/// The beginning of a reading's name: when it was fetched, and from which feed.
pub(crate) fn stem(feed: &str, fetched_at: Timestamp) -> String {
    let fits = |c: char| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '-' };
    let feed: String = feed.chars().take(60).map(fits).collect();
    format!("{}-{feed}", fetched_at.strftime("%Y-%m-%dT%H%M%SZ"))
}

/// Held while the list is read and written anew, by any thread of any process.
pub(crate) struct ListLock(#[expect(dead_code, reason = "unlocked when it is dropped")] File);

impl ListLock {
    pub(crate) fn new(readings: &Path) -> Result<Self, FeedsError> {
        fs::create_dir_all(readings).map_err(|error| FeedsError::writing(readings, error))?;
        let path = readings.join(".received.lock");
        let file = File::options()
            .create(true)
            .truncate(false)
            .write(true)
            .open(&path)
            .and_then(|file| file.lock().map(|()| file));
        file.map(ListLock).map_err(|error| FeedsError::writing(&path, error))
    }
}

/// Adds lines to the list.
pub(crate) fn append(readings: &Path, lines: &[Line]) -> Result<(), FeedsError> {
    let _lock = ListLock::new(readings)?;
    let list = readings.join(LIST);
    let mut text = match fs::read(&list) {
        Ok(text) => text,
        Err(error) if error.kind() == io::ErrorKind::NotFound => Vec::new(),
        Err(error) => return Err(FeedsError::reading(&list, error)),
    };
    if text.last().is_some_and(|last| *last != b'\n') {
        text.push(b'\n');
    }
    let is_new = text.is_empty();
    text.extend(as_csv(&list, lines, is_new)?);
    write_atomically(&list, &text)
}

/// Writes the list anew. For whoever holds the lock.
pub(crate) fn rewrite(_lock: &ListLock, readings: &Path, lines: &[Line]) -> Result<(), FeedsError> {
    let list = readings.join(LIST);
    let mut text = b"file,fetched_at,source\n".to_vec();
    text.extend(as_csv(&list, lines, false)?);
    write_atomically(&list, &text)
}

fn as_csv(list: &Path, lines: &[Line], with_header: bool) -> Result<Vec<u8>, FeedsError> {
    let failed = |error: io::Error| FeedsError::writing(list, error);
    let mut writer = csv::WriterBuilder::new().has_headers(with_header).from_writer(Vec::new());
    for line in lines {
        writer.serialize(line).map_err(|error| failed(io::Error::other(error)))?;
    }
    writer.into_inner().map_err(|error| failed(error.into_error()))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `/dev/full` is a file that never has room.
    #[cfg(target_os = "linux")]
    #[test]
    fn a_full_disk_is_told_from_a_read_only_one() {
        let mut full = File::options().write(true).open("/dev/full").unwrap();
        let error = fill(&mut full, b"a forecast").unwrap_err();
        let told = FeedsError::writing(Path::new("readings/forecasts/a.json"), error);
        assert!(matches!(told, FeedsError::DiskFull { .. }), "{told}");

        let read_only = io::Error::from(io::ErrorKind::ReadOnlyFilesystem);
        let told = FeedsError::writing(Path::new("readings"), read_only);
        assert!(matches!(told, FeedsError::ReadOnly { .. }), "{told}");
    }

    #[test]
    fn what_cannot_be_written_leaves_what_was_there() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("received.csv");
        write_atomically(&path, b"before").unwrap();
        // A folder in the way of the half-written file stands in for a disk that refuses.
        let part = folder.path().join(".received.csv.part");
        fs::create_dir(&part).unwrap();
        assert!(write_through(&part, &path, b"after").is_err());
        assert_eq!(fs::read(&path).unwrap(), b"before");
    }
}
