//! Taking away what has become too old to matter.

use std::{
    collections::{BTreeMap, HashSet},
    fs,
    path::{Path, PathBuf},
};

use fairspell_studio::outlook::SourceKind;
use jiff::{SignedDuration, Timestamp};
use serde::{Deserialize, Serialize};

use crate::{
    FeedsError,
    feed::folder_of,
    keep::{ListLock, part_ending, rewrite},
    received::{FOLDERS, changed_at, files_in, lines},
};

/// How long readings are kept after they were last fetched, days.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Retention {
    /// Forecasts.
    pub forecasts_days: u32,
    /// Warnings.
    pub warnings_days: u32,
    /// Radar pictures.
    pub radar_days: u32,
}

impl Default for Retention {
    fn default() -> Self {
        Retention { forecasts_days: 60, warnings_days: 60, radar_days: 3 }
    }
}

impl Retention {
    /// What was last fetched before this moment goes.
    pub fn earliest(&self, kind: SourceKind, now: Timestamp) -> Timestamp {
        let days = match kind {
            SourceKind::Forecast => self.forecasts_days,
            SourceKind::Warnings => self.warnings_days,
            SourceKind::Radar => self.radar_days,
        };
        let kept = SignedDuration::from_hours(24 * i64::from(days));
        now.checked_sub(kept).unwrap_or(Timestamp::MIN)
    }
}

/// Takes away readings that were last fetched longer ago than `keep` says; returns how many files
/// went.
///
/// The list is written anew first: should anything stop this half way, what is left counts from its
/// time of change, which is as old, and goes the next time. Only for a clock that is right: for a
/// clock that was set ahead everything is old.
///
/// # Errors
///
/// [`FeedsError`] where the list cannot be read or written, or a folder cannot be read; then nothing
/// was taken away. A file that cannot be deleted stays.
pub fn prune(readings: &Path, now: Timestamp, keep: Retention) -> Result<usize, FeedsError> {
    if !readings.is_dir() {
        return Ok(0);
    }
    let lock = ListLock::new(readings)?;
    let all = lines(readings)?;
    let mut last: BTreeMap<&str, Timestamp> = BTreeMap::new();
    for line in &all {
        let known = last.entry(&line.file).or_insert(line.fetched_at);
        *known = line.fetched_at.max(*known);
    }
    let mut gone: HashSet<PathBuf> = HashSet::new();
    for kind in [SourceKind::Forecast, SourceKind::Warnings, SourceKind::Radar] {
        let earliest = keep.earliest(kind, now);
        let folder = readings.join(folder_of(kind));
        for file in files_in(&folder)? {
            let name = format!("{}/{}", folder_of(kind), crate::readings::name(&file));
            let fetched_at = match last.get(name.as_str()) {
                Some(fetched_at) => Some(*fetched_at),
                None => changed_at(&file)?,
            };
            if fetched_at.is_some_and(|fetched_at| fetched_at < earliest) {
                gone.insert(file);
            }
        }
    }
    let is_kept = |file: &str, fetched_at: Timestamp| {
        let path = readings.join(file);
        if path.is_file() {
            return !gone.contains(&path);
        }
        // "Nothing new", or a file that somebody took away.
        let kinds = [SourceKind::Forecast, SourceKind::Warnings, SourceKind::Radar];
        let kind = kinds.into_iter().find(|kind| Path::new(file).starts_with(folder_of(*kind)));
        kind.is_none_or(|kind| fetched_at >= keep.earliest(kind, now))
    };
    let kept: Vec<_> =
        all.iter().filter(|line| is_kept(&line.file, line.fetched_at)).cloned().collect();
    if kept.len() < all.len() {
        rewrite(&lock, readings, &kept)?;
    }
    sweep(readings, now);
    Ok(gone.iter().filter(|file| fs::remove_file(file).is_ok()).count())
}

/// Sweeps away what was half written when a program was stopped; never what this one is writing.
fn sweep(readings: &Path, now: Timestamp) {
    let yesterday = now.checked_sub(SignedDuration::from_hours(24)).unwrap_or(Timestamp::MIN);
    for folder in FOLDERS.iter().map(|kind| readings.join(kind)).chain([readings.to_owned()]) {
        let Ok(entries) = fs::read_dir(folder) else { continue };
        for file in entries.filter_map(|entry| Some(entry.ok()?.path())) {
            let name = crate::readings::name(&file);
            let is_ours = name.ends_with(&part_ending());
            let is_part =
                name.starts_with('.') && file.extension().is_some_and(|end| end == "part");
            let is_old = || changed_at(&file).is_ok_and(|at| at.is_some_and(|at| at < yesterday));
            if is_part && !is_ours && is_old() {
                fs::remove_file(&file).ok();
            }
        }
    }
}
