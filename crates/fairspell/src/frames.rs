//! Radar pictures out of files: only those that can matter, in parallel.

use std::{
    collections::BTreeMap,
    fs,
    path::{Path, PathBuf},
};

use anyhow::{Context, Result};
use fairspell_ground::LatLon;
use fairspell_nowcast::{Cut, RainField, ReadOptions, ZR, read_rain_fields, read_times};
use jiff::{Timestamp, ToSpan};
use rayon::prelude::*;

use crate::readings::name;

/// How far back pictures are decoded, minutes before the moment asked about. A nowcast looks at the
/// 40 minutes before its newest picture, and an old newest picture is still shown, with its age.
const HISTORY_MIN: i64 = 90;

/// How many pictures are decoded at most, the newest ones.
const FRAMES_MAX: usize = 12;

/// How far around the place the sky is decoded, km: four hours of rain at 75 km/h.
const RADIUS_KM: f64 = 300.0;

/// Pictures, and what was left out.
#[derive(Debug, Default)]
pub(crate) struct Frames {
    pub(crate) fields: Vec<RainField>,
    pub(crate) remarks: Vec<String>,
}

/// Decodes the newest pictures of some files up to a moment, cut to the sky around the places.
///
/// Files that hold only later pictures are never decoded; a file that cannot be read is a remark.
pub(crate) fn read_frames(
    files: &[PathBuf],
    issued: Timestamp,
    places: &[LatLon],
    z_r: ZR,
) -> Frames {
    let earliest = issued - HISTORY_MIN.minutes();
    let mut failed = Failures::default();
    let mut remarks = Vec::new();
    let mut useful: Vec<(Timestamp, &Path, Vec<u8>)> = Vec::new();
    let opened: Vec<_> = files.par_iter().map(|file| (file, newest_time(file, issued))).collect();
    for (file, newest) in opened {
        match newest {
            Ok(Some((time, bytes))) if time >= earliest => useful.push((time, file, bytes)),
            Ok(_) => {}
            Err(error) => failed.add(file, format!("{error:#}")),
        }
    }
    useful.sort_by_key(|(time, _, _)| *time);
    let useful = &useful[useful.len().saturating_sub(FRAMES_MAX)..];

    let options = ReadOptions { cut: cut(places), z_r, valid_times: Some(earliest..=issued) };
    let decoded: Vec<_> = useful
        .par_iter()
        .map(|(_, file, bytes)| (*file, read_rain_fields(bytes, &options)))
        .collect();
    let mut fields = Vec::new();
    for (file, reading) in decoded {
        match reading {
            Ok(reading) => {
                remarks.extend(reading.remarks.iter().map(|r| format!("{}: {r}", name(file))));
                fields.extend(reading.value);
            }
            Err(error) => failed.add(file, error.to_string()),
        }
    }
    remarks.extend(failed.into_remarks());
    Frames { fields, remarks }
}

/// Files that could not be read, with their causes; many with one cause are told once.
#[derive(Default)]
struct Failures {
    by_cause: BTreeMap<String, Vec<String>>,
}

impl Failures {
    fn add(&mut self, file: &Path, cause: String) {
        self.by_cause.entry(cause).or_default().push(name(file));
    }

    fn into_remarks(self) -> impl Iterator<Item = String> {
        self.by_cause.into_iter().map(|(cause, files)| match files.as_slice() {
            [only] => format!("{only}: {cause}"),
            [first, ..] => format!("{first} and {} more: {cause}", files.len() - 1),
            [] => cause,
        })
    }
}

/// The newest picture's time up to `issued`, with the file's bytes; `None` when all are later.
fn newest_time(file: &Path, issued: Timestamp) -> Result<Option<(Timestamp, Vec<u8>)>> {
    let bytes = fs::read(file).context("read")?;
    let newest = read_times(&bytes)?.into_iter().filter(|time| *time <= issued).max();
    Ok(newest.map(|time| (time, bytes)))
}

/// A circle that holds all places and the sky around each of them.
fn cut(places: &[LatLon]) -> Option<Cut> {
    let first = *places.first()?;
    if places.len() == 1 {
        return Some(Cut { centre: first, radius_km: RADIUS_KM });
    }
    let offsets: Vec<(f64, f64)> = places.iter().map(|place| first.offset_km(*place)).collect();
    let middle = |of: fn(&(f64, f64)) -> f64| {
        let low = offsets.iter().map(of).fold(f64::INFINITY, f64::min);
        let high = offsets.iter().map(of).fold(f64::NEG_INFINITY, f64::max);
        f64::midpoint(low, high)
    };
    let centre = first.at_offset_km(middle(|o| o.0), middle(|o| o.1)).ok()?;
    let spread_km = places.iter().map(|place| centre.distance_km(*place)).fold(0.0, f64::max);
    Some(Cut { centre, radius_km: (RADIUS_KM + spread_km).ceil() })
}
