//! Radar pictures out of files: only those that can matter, in parallel.

use std::{
    collections::BTreeMap,
    fs, io,
    path::{Path, PathBuf},
    sync::Arc,
};

use fairspell_ground::{LatLon, Reading};
use fairspell_nowcast::{
    Cut, RadarError, RadarRemark, RainField, ReadOptions, ZR, read_rain_fields, read_times,
};
use jiff::{SignedDuration, Timestamp};
use rayon::prelude::*;

use crate::{
    frame_cache::{FileId, FrameCache, PictureKey},
    http_time::later,
    readings::name,
};

/// How far back pictures are decoded, before the moment asked about. A nowcast looks at the
/// 40 minutes before its newest picture, and an old newest picture is still shown, with its age.
const HISTORY: SignedDuration = SignedDuration::from_mins(90);

/// How many pictures are decoded at most, the newest ones.
const FRAMES_MAX: usize = 12;

/// How far around the place the sky is decoded, km: four hours of rain at 75 km/h.
const RADIUS_KM: f64 = 300.0;

/// What a file of pictures turned out to hold.
pub(crate) type Decoded = Result<Reading<Vec<RainField>, RadarRemark>, String>;

/// Pictures, and what was left out.
#[derive(Debug, Default)]
pub struct Frames {
    /// The pictures.
    pub fields: Vec<RainField>,
    /// What could not be read, as phrases.
    pub remarks: Vec<String>,
}

/// Decodes the newest pictures of some files up to a moment, cut to the sky around the places.
///
/// Files that hold only later pictures are never decoded; a file that cannot be read is a remark.
///
/// - `places`: what is cut out reaches 300 km beyond each of them; the whole picture when empty.
/// - `z_r`: how reflectivity becomes rain rate, where a file has reflectivity.
pub fn read_frames(files: &[PathBuf], issued: Timestamp, places: &[LatLon], z_r: ZR) -> Frames {
    read_frames_with(files, issued, places, z_r, None)
}

/// [`read_frames`], which decodes nothing that `cache` still has.
pub fn read_frames_with(
    files: &[PathBuf],
    issued: Timestamp,
    places: &[LatLon],
    z_r: ZR,
    cache: Option<&FrameCache>,
) -> Frames {
    let earliest = later(issued, -HISTORY);
    let mut failed = Failures::default();
    let mut remarks = Vec::new();
    let mut useful: Vec<(Timestamp, &Path, Opened)> = Vec::new();
    let opened: Vec<_> = files.par_iter().map(|file| (file, open(file, cache))).collect();
    for (file, opened) in opened {
        match opened {
            Ok(opened) => {
                let newest = opened.times.iter().copied().filter(|time| *time <= issued).max();
                if let Some(time) = newest.filter(|time| *time >= earliest) {
                    useful.push((time, file, opened));
                }
            }
            Err(error) => failed.add(file, error),
        }
    }
    useful.sort_by_key(|(time, _, _)| *time);
    let useful = useful.split_off(useful.len().saturating_sub(FRAMES_MAX));

    let options = ReadOptions { cut: cut(places), z_r, valid_times: Some(earliest..=issued) };
    let decoded: Vec<_> = useful
        .into_par_iter()
        .map(|(_, file, opened)| (file, decode(file, opened, &options, cache)))
        .collect();
    let mut fields = Vec::new();
    for (file, reading) in decoded {
        match reading.as_ref() {
            Ok(reading) => {
                remarks.extend(reading.remarks.iter().map(|r| format!("{}: {r}", name(file))));
                fields.extend(reading.value.iter().cloned());
            }
            Err(error) => failed.add(file, error.clone()),
        }
    }
    remarks.extend(failed.into_remarks());
    Frames { fields, remarks }
}

/// A file whose pictures' times are known; its bytes, unless the cache knew the times.
struct Opened {
    id: Option<FileId>,
    times: Arc<[Timestamp]>,
    bytes: Option<Vec<u8>>,
}

fn open(file: &Path, cache: Option<&FrameCache>) -> Result<Opened, String> {
    let unread = |error: io::Error| format!("read: {error}");
    let id = match cache {
        Some(_) => Some(FileId::of(file).map_err(unread)?),
        None => None,
    };
    if let (Some(cache), Some(id)) = (cache, &id)
        && let Some(times) = cache.times(id)
    {
        return Ok(Opened { id: Some(id.clone()), times, bytes: None });
    }
    let bytes = fs::read(file).map_err(unread)?;
    let times: Arc<[Timestamp]> =
        read_times(&bytes).map_err(|error: RadarError| error.to_string())?.into();
    if let (Some(cache), Some(id)) = (cache, &id) {
        cache.keep_times(id.clone(), Arc::clone(&times));
    }
    Ok(Opened { id, times, bytes: Some(bytes) })
}

fn decode(
    file: &Path,
    opened: Opened,
    options: &ReadOptions,
    cache: Option<&FrameCache>,
) -> Arc<Decoded> {
    let wanted = options.valid_times.as_ref();
    let times = opened.times.iter().copied().filter(|t| wanted.is_none_or(|w| w.contains(t)));
    let key = opened.id.map(|id| PictureKey::new(id, times.collect(), options));
    if let (Some(cache), Some(key)) = (cache, &key)
        && let Some(known) = cache.pictures(key)
    {
        return known;
    }
    let bytes = opened.bytes.map_or_else(|| fs::read(file), Ok);
    let decoded = bytes
        .map_err(|error| format!("read: {error}"))
        .and_then(|bytes| read_rain_fields(&bytes, options).map_err(|error| error.to_string()));
    let decoded = Arc::new(decoded);
    if let (Some(cache), Some(key)) = (cache, key) {
        cache.keep_pictures(key, Arc::clone(&decoded));
    }
    decoded
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
