//! What is remembered of each feed between looks: `feeds.json`.

use std::{
    collections::BTreeMap,
    fs,
    path::{Path, PathBuf},
};

use jiff::Timestamp;
use serde::{Deserialize, Serialize};

use crate::{FeedsError, Why, keep::write_atomically};

/// Name of the file within the folder of readings.
const FILE: &str = "feeds.json";

/// What is remembered of all feeds.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct FeedsState {
    /// By feed.
    pub feeds: BTreeMap<String, FeedState>,
    /// When each host was last asked.
    pub hosts: BTreeMap<String, Timestamp>,
}

/// What is remembered of one feed.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct FeedState {
    /// The address that the fields below belong to.
    pub address: Option<String>,
    /// `ETag` of what we have.
    pub etag: Option<String>,
    /// `Last-Modified` of what we have, as it was sent.
    pub last_modified: Option<String>,
    /// Until when what we have is fresh, by the service's own word.
    pub expires: Option<Timestamp>,
    /// Not asked again before.
    pub next_at: Option<Timestamp>,
    /// How often it failed since it last brought anything.
    pub failures: u32,
    /// When it was last asked.
    pub last_asked_at: Option<Timestamp>,
    /// When it last brought something, or said that nothing is new.
    pub last_ok_at: Option<Timestamp>,
    /// What went wrong the last time that something did.
    pub last_error: Option<LastError>,
    /// The newest reading, relative to the folder of readings.
    pub last_file: Option<PathBuf>,
    /// When that was made, by its own word.
    pub made: Option<Timestamp>,
    /// Where an address that names another one led to.
    pub led_to: Option<LedTo>,
    /// Files of a watched folder as they were when last looked at.
    pub looked: BTreeMap<String, LookedAt>,
}

/// What went wrong, and when.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct LastError {
    /// When.
    pub at: Timestamp,
    /// What.
    pub why: Why,
}

/// Where an address that names another one led to.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct LedTo {
    /// The address that was asked.
    pub asked: String,
    /// The one that it named.
    pub address: String,
    /// Asked anew from then on.
    pub until: Timestamp,
}

/// A file of a watched folder.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct LookedAt {
    /// Its length.
    pub bytes: u64,
    /// Its time of change.
    pub changed_at: Timestamp,
    /// Whether it was taken, or put aside.
    pub done: bool,
}

impl FeedState {
    /// Whether the service said that it has nothing for the place.
    pub fn is_not_covering(&self) -> bool {
        self.failures > 0 && self.last_error.as_ref().is_some_and(|e| e.why == Why::NotCovering)
    }
}

impl FeedsState {
    /// Reads what was remembered; nothing, where there is no such file.
    ///
    /// A damaged file is as good as none: it is put aside as `feeds.json.damaged`, and the feeds are
    /// asked without conditions once.
    ///
    /// # Errors
    ///
    /// [`FeedsError::Read`] for a file that is there and cannot be read.
    pub fn load(readings: &Path) -> Result<Self, FeedsError> {
        let path = readings.join(FILE);
        let bytes = match fs::read(&path) {
            Ok(bytes) => bytes,
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
                return Ok(Self::default());
            }
            Err(error) => return Err(FeedsError::reading(&path, error)),
        };
        Ok(serde_json::from_slice(&bytes).unwrap_or_else(|_| {
            // Only for whoever wants to know what happened to it.
            fs::rename(&path, path.with_extension("json.damaged")).ok();
            Self::default()
        }))
    }

    /// Remembers it, atomically.
    ///
    /// # Errors
    ///
    /// [`FeedsError::DiskFull`], [`FeedsError::ReadOnly`] or [`FeedsError::Write`]; then the file is
    /// as it was.
    pub fn save(&self, readings: &Path) -> Result<(), FeedsError> {
        let path = readings.join(FILE);
        let bytes = serde_json::to_vec_pretty(self)
            .map_err(|error| FeedsError::writing(&path, error.into()))?;
        write_atomically(&path, &bytes)
    }
}
