//! A folder into which another program puts files.

use std::{
    collections::BTreeMap,
    fs,
    path::{Path, PathBuf},
};

use fairspell_ground::LatLon;
use fairspell_studio::outlook::SourceKind;
use jiff::{SignedDuration, Timestamp};

use crate::{
    FeedsError, Fetcher,
    content::{Sound, check_aside},
    feed::Feed,
    fetched::{FetchRemark, Fetched, Why},
    fetcher::MayAsk,
    http_time::later,
    keep::{put_aside, stem},
    pauses::Pauses,
    prune::Retention,
    received::{changed_at, files_in},
    state::LookedAt,
};

/// How many files are taken at one look, the oldest first.
const TAKEN_MAX: usize = 100;

/// How soon it is looked again whether a file still grows.
const LOOK_AGAIN: SignedDuration = SignedDuration::from_secs(10);

/// Longer files are no readings.
const BYTES_MAX: u64 = 256 << 20;

impl Fetcher {
    /// Takes the files that are complete: of the same length and time of change at two looks.
    ///
    /// They count from their own time of change: that is when somebody fetched them. So a folder that
    /// nobody fills any more grows old, as it should.
    pub(crate) async fn take_from(
        &self,
        feed: &Feed,
        folder: &Path,
        place: LatLon,
        pauses: &Pauses,
    ) -> Result<Fetched, FeedsError> {
        let now = pauses.now;
        let mut state = match self.may_ask(feed, None, pauses)? {
            MayAsk::Now(state) => *state,
            MayAsk::From(until) => return Ok(Fetched::TooEarly { until }),
        };
        let found = match looked_at(feed.kind, folder, now) {
            Ok(found) => found,
            Err(cause) => return self.failed(feed, Why::Folder { cause }, None, pauses),
        };
        let (mut files, mut remarks) = (Vec::new(), Vec::new());
        let mut looked = BTreeMap::new();
        let mut is_waiting = false;
        for (name, seen) in found {
            let known = state.looked.get(&name);
            let is_still = known.is_some_and(|known| {
                (known.bytes, known.changed_at) == (seen.bytes, seen.changed_at)
            });
            let is_done = is_still && known.is_some_and(|known| known.done);
            if is_done || !is_still || files.len() + remarks.len() >= TAKEN_MAX {
                is_waiting |= !is_done;
                looked.insert(name, LookedAt { done: is_done, ..seen });
                continue;
            }
            match self.take(feed, &folder.join(&name), place, seen.changed_at.min(now)).await {
                Ok(Ok(file)) => files.push(file),
                Ok(Err(why)) => remarks.push(FetchRemark::PutAside { file: name.clone(), why }),
                Err(error) => {
                    // What was taken so far is not taken twice; the rest is, next time.
                    state.looked.extend(looked);
                    self.remembered().feeds.insert(feed.id.clone(), state);
                    return Err(error);
                }
            }
            looked.insert(name, LookedAt { done: true, ..seen });
        }
        state.looked = looked;
        state.last_asked_at = Some(now);
        let next_at = if is_waiting { later(now, LOOK_AGAIN) } else { pauses.after_success(None) };
        state.next_at = Some(next_at);
        if let (true, Some(FetchRemark::PutAside { why, .. })) = (files.is_empty(), remarks.first())
        {
            let why = why.clone();
            self.remember(feed, state)?;
            return self.failed(feed, why, None, pauses);
        }
        if let Some(last) = files.last() {
            state.last_file = Some(last.clone());
            state.failures = 0;
            state.last_ok_at = Some(now);
        }
        self.remember(feed, state)?;
        Ok(if files.is_empty() { Fetched::NotModified } else { Fetched::New { files, remarks } })
    }

    async fn take(
        &self,
        feed: &Feed,
        file: &Path,
        place: LatLon,
        fetched_at: Timestamp,
    ) -> Result<Result<PathBuf, Why>, FeedsError> {
        let bytes = match fs::read(file) {
            Ok(bytes) => bytes,
            Err(error) => return Ok(Err(Why::Folder { cause: error.to_string() })),
        };
        let stem = stem(&feed.id, fetched_at);
        let (checked, bytes) = check_aside(feed.kind, bytes, place).await;
        match checked {
            Ok(Sound { extension, .. }) => {
                self.keep_listed(feed, &stem, extension, &bytes, fetched_at).map(Ok)
            }
            Err(why) => {
                put_aside(&self.readings, &stem, &bytes);
                Ok(Err(why))
            }
        }
    }
}

/// The files of a folder as they are now, the oldest first; without those too old or too long to be
/// kept.
fn looked_at(
    kind: SourceKind,
    folder: &Path,
    now: Timestamp,
) -> Result<Vec<(String, LookedAt)>, String> {
    if !folder.is_dir() {
        return Err(format!("{} is no folder", folder.display()));
    }
    let earliest = Retention::default().earliest(kind, now);
    let mut found = Vec::new();
    for file in files_in(folder).map_err(|error| error.to_string())? {
        let changed_at = changed_at(&file).map_err(|error| error.to_string())?;
        let bytes = fs::metadata(&file).map(|data| data.len());
        let (Some(changed_at), Ok(bytes)) = (changed_at, bytes) else { continue };
        if changed_at >= earliest && bytes <= BYTES_MAX {
            let name = crate::readings::name(&file);
            found.push((name, LookedAt { bytes, changed_at, done: false }));
        }
    }
    found.sort_by_key(|(_, seen)| seen.changed_at);
    Ok(found)
}
