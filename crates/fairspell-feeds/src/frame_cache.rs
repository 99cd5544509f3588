//! Decoded radar pictures, kept for the next look.

use std::{
    collections::HashMap,
    fmt, fs, io,
    path::{Path, PathBuf},
    sync::{Arc, Mutex, MutexGuard, PoisonError},
    time::SystemTime,
};

use fairspell_nowcast::ReadOptions;
use jiff::Timestamp;

use crate::{
    frames::{Decoded, Form},
    ready::Ways,
};

/// How many files' times are remembered: a few thousand, less than a megabyte.
const TIMES_MAX: usize = 4096;

/// Decoded radar pictures of earlier looks, so that a look five minutes later decodes only what is
/// new.
///
/// Pictures are kept as they were asked for, ready for the nowcast as a rule, so that nothing is
/// brought onto another grid twice either. A picture is known again by its file's name, length and
/// time of change, and by what was cut out of it. The oldest looked at make room. Share it between
/// threads behind a reference.
pub struct FrameCache {
    most_bytes: usize,
    kept: Mutex<Kept>,
    ways: Ways,
}

#[derive(Default)]
struct Kept {
    looks: u64,
    bytes: usize,
    decoded: u64,
    times: HashMap<FileId, Arc<[Timestamp]>>,
    pictures: HashMap<PictureKey, Entry>,
}

struct Entry {
    decoded: Arc<Decoded>,
    bytes: usize,
    last_look: u64,
}

/// One state of one file.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub(crate) struct FileId {
    file: PathBuf,
    bytes: u64,
    changed_at: Option<SystemTime>,
}

impl FileId {
    pub(crate) fn of(file: &Path) -> io::Result<Self> {
        let data = fs::metadata(file)?;
        Ok(FileId { file: file.to_owned(), bytes: data.len(), changed_at: data.modified().ok() })
    }
}

/// What was taken out of one state of one file.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub(crate) struct PictureKey {
    file: FileId,
    times: Vec<Timestamp>,
    /// The cut and the relation to rain rate as written: both print every digit they have.
    part: String,
    form: Form,
}

impl PictureKey {
    /// - `times`: the moments of the file's pictures that are wanted.
    pub(crate) fn new(
        file: FileId,
        times: Vec<Timestamp>,
        options: &ReadOptions,
        form: Form,
    ) -> Self {
        let part = format!("{:?} {:?}", options.cut, options.z_r);
        PictureKey { file, times, part, form }
    }

    /// The same pictures in another form.
    pub(crate) fn in_form(&self, form: Form) -> Self {
        PictureKey { form, ..self.clone() }
    }
}

impl FrameCache {
    /// A cache that holds pictures of up to so many bytes; a picture of 300 km around a place has
    /// between half a megabyte and two.
    pub fn new(most_bytes: usize) -> Self {
        FrameCache { most_bytes, kept: Mutex::default(), ways: Ways::default() }
    }

    /// How many files were decoded for it so far.
    pub fn decoded(&self) -> u64 {
        self.kept().decoded
    }

    pub(crate) fn count_decoded(&self) {
        self.kept().decoded += 1;
    }

    /// The ways between grids, kept along with the pictures.
    pub(crate) fn ways(&self) -> &Ways {
        &self.ways
    }

    /// How many bytes of pictures it holds.
    pub fn bytes(&self) -> usize {
        self.kept().bytes
    }

    pub(crate) fn times(&self, file: &FileId) -> Option<Arc<[Timestamp]>> {
        self.kept().times.get(file).cloned()
    }

    pub(crate) fn keep_times(&self, file: FileId, times: Arc<[Timestamp]>) {
        let mut kept = self.kept();
        if kept.times.len() >= TIMES_MAX {
            kept.times.clear();
        }
        kept.times.insert(file, times);
    }

    pub(crate) fn pictures(&self, key: &PictureKey) -> Option<Arc<Decoded>> {
        let mut kept = self.kept();
        kept.looks += 1;
        let look = kept.looks;
        let entry = kept.pictures.get_mut(key)?;
        entry.last_look = look;
        Some(Arc::clone(&entry.decoded))
    }

    pub(crate) fn keep_pictures(&self, key: PictureKey, decoded: Arc<Decoded>) {
        let cells = decoded.as_ref().as_ref().map_or(0, |pictures| {
            pictures.fields.iter().map(|field| field.rain_rate_mm_h.len()).sum::<usize>()
        });
        let bytes = cells * size_of::<f32>() + size_of::<Entry>();
        let mut kept = self.kept();
        kept.looks += 1;
        let last_look = kept.looks;
        if bytes > self.most_bytes {
            return;
        }
        kept.bytes += bytes;
        if let Some(before) = kept.pictures.insert(key, Entry { decoded, bytes, last_look }) {
            kept.bytes -= before.bytes;
        }
        while kept.bytes > self.most_bytes {
            let oldest = kept.pictures.iter().min_by_key(|(_, entry)| entry.last_look);
            let Some(key) = oldest.map(|(key, _)| key.clone()) else { break };
            if let Some(gone) = kept.pictures.remove(&key) {
                kept.bytes -= gone.bytes;
            }
        }
    }

    /// What is kept is whole after each change, even where another thread panicked.
    fn kept(&self) -> MutexGuard<'_, Kept> {
        self.kept.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Default for FrameCache {
    /// Room for a dozen pictures around two places.
    fn default() -> Self {
        FrameCache::new(48 << 20)
    }
}

impl fmt::Debug for FrameCache {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let kept = self.kept();
        f.debug_struct("FrameCache")
            .field("most_bytes", &self.most_bytes)
            .field("bytes", &kept.bytes)
            .field("pictures", &kept.pictures.len())
            .finish_non_exhaustive()
    }
}
