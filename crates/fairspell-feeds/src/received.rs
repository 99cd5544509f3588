//! The list of what was fetched and when: `received.csv`, and files that are not in it.

use std::{
    collections::HashSet,
    fs,
    hash::{DefaultHasher, Hash, Hasher},
    path::{Component, Path, PathBuf},
};

use jiff::Timestamp;
use serde::{Deserialize, Serialize};

use crate::FeedsError;

/// Name of the list within the folder of readings.
pub(crate) const LIST: &str = "received.csv";

/// The folders of the three kinds of reading.
pub(crate) const FOLDERS: [&str; 3] = ["forecasts", "warnings", "radar"];

/// A line of the list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct Line {
    /// The file, relative to the folder of readings; a folder alone says "looked at, nothing new".
    pub(crate) file: String,
    pub(crate) fetched_at: Timestamp,
    pub(crate) source: String,
}

/// A file and one of the times at which it was fetched.
#[derive(Debug, Clone, Hash)]
pub(crate) struct Received {
    pub(crate) file: PathBuf,
    pub(crate) fetched_at: Timestamp,
    pub(crate) source: String,
}

/// Everything fetched by a moment, in the order of fetching.
pub(crate) fn received(
    readings: &Path,
    as_of: Timestamp,
    remarks: &mut Vec<String>,
) -> Result<Vec<Received>, FeedsError> {
    let mut received = Vec::new();
    let mut listed = HashSet::new();
    for line in lines(readings)? {
        let file = readings.join(&line.file);
        listed.insert(file.clone());
        if line.fetched_at <= as_of {
            received.push(Received { file, fetched_at: line.fetched_at, source: line.source });
        }
    }
    for kind in FOLDERS {
        let unlisted = files_in(&readings.join(kind))?.into_iter().filter(|f| !listed.contains(f));
        let mut count = 0_usize;
        for file in unlisted {
            let Some(fetched_at) = changed_at(&file)? else { continue };
            count += 1;
            if fetched_at <= as_of {
                received.push(Received { file, fetched_at, source: String::new() });
            }
        }
        if count > 0 {
            remarks.push(format!(
                "{kind}: {count} files are not in received.csv and count from their time of change"
            ));
        }
    }
    received.sort_by_key(|one| one.fetched_at);
    Ok(received)
}

/// The lines of the list; none where there is no list.
pub(crate) fn lines(readings: &Path) -> Result<Vec<Line>, FeedsError> {
    let list = readings.join(LIST);
    let text = match fs::read_to_string(&list) {
        Ok(text) => text,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(Vec::new()),
        Err(error) => return Err(FeedsError::reading(&list, error)),
    };
    let mut lines = Vec::new();
    for line in csv::Reader::from_reader(text.as_bytes()).deserialize() {
        let line: Line = line
            .map_err(|error| FeedsError::List { list: list.clone(), problem: error.to_string() })?;
        let leads_out = |part: Component<'_>| !matches!(part, Component::Normal(_));
        if Path::new(&line.file).components().any(leads_out) {
            return Err(FeedsError::LeadsOut { list, file: line.file });
        }
        lines.push(line);
    }
    Ok(lines)
}

/// The files of a folder in the order of their names; none where there is no folder.
///
/// Hidden files are left out.
///
/// # Errors
///
/// [`FeedsError::Read`] for a folder that is there and cannot be listed.
pub fn files_in(folder: &Path) -> Result<Vec<PathBuf>, FeedsError> {
    if !folder.is_dir() {
        return Ok(Vec::new());
    }
    let failed = |error| FeedsError::reading(folder, error);
    let mut files = Vec::new();
    for entry in fs::read_dir(folder).map_err(failed)? {
        let path = entry.map_err(failed)?.path();
        let hidden = path.file_name().is_some_and(|name| name.to_string_lossy().starts_with('.'));
        if path.is_file() && !hidden {
            files.push(path);
        }
    }
    files.sort();
    Ok(files)
}

/// A file's time of change; `None` for a file that has gone in the meantime.
pub(crate) fn changed_at(file: &Path) -> Result<Option<Timestamp>, FeedsError> {
    let changed = match fs::metadata(file).and_then(|data| data.modified()) {
        Ok(changed) => changed,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(None),
        Err(error) => return Err(FeedsError::reading(file, error)),
    };
    let invalid = |error| std::io::Error::new(std::io::ErrorKind::InvalidData, error);
    Timestamp::try_from(changed)
        .map(Some)
        .map_err(|error| FeedsError::reading(file, invalid(error)))
}

/// When anything was last fetched, up to a moment; `None` where nothing was.
///
/// # Errors
///
/// Those of [`seen_by`](crate::readings::seen_by).
pub fn newest(readings: &Path, as_of: Timestamp) -> Result<Option<Timestamp>, FeedsError> {
    let received = received(readings, as_of, &mut Vec::new())?;
    Ok(received.last().map(|one| one.fetched_at))
}

/// A number that changes when [`seen_by`](crate::readings::seen_by) would look at something else.
///
/// No reading is opened for it. It means nothing to another build of the program, so keep it in
/// memory only. What is seen also depends on the moment itself (a nowcast is made for it), so keep
/// the moment beside it.
///
/// # Errors
///
/// Those of [`seen_by`](crate::readings::seen_by).
pub fn fingerprint(readings: &Path, as_of: Timestamp) -> Result<u64, FeedsError> {
    let mut hasher = DefaultHasher::new();
    received(readings, as_of, &mut Vec::new())?.hash(&mut hasher);
    Ok(hasher.finish())
}
