//! Radar pictures out of files: only those that can matter, in parallel, ready for the nowcast.

use std::{
    collections::BTreeMap,
    fs, io,
    path::{Path, PathBuf},
    sync::Arc,
};

use fairspell_ground::LatLon;
use fairspell_nowcast::{
    Cut, RadarError, RainField, ReadOptions, Regrid, ZR, read_rain_fields, read_times,
};
use jiff::{SignedDuration, Timestamp};
use rayon::prelude::*;

use crate::{
    frame_cache::{FileId, FrameCache, PictureKey},
    http_time::later,
    readings::name,
    ready::{Mended, Pictures, Ways},
};

/// How far back pictures are decoded for a plain look, before the moment asked about. A nowcast
/// looks at the 40 minutes before its newest picture, and an old newest picture is still shown, with
/// its age.
const HISTORY: SignedDuration = SignedDuration::from_mins(90);

/// How far back they are decoded when the nowcast is to be corrected by the windows that have ended.
/// The farthest window that is asked about ends three hours ahead, and its weight halves in two.
const HISTORY_OF_RECORD: SignedDuration = SignedDuration::from_hours(3);

/// How many pictures any look may have, the newest ones.
const FRAMES_MAX: usize = 12;

/// How many cells the pictures of a longer look may have together: 96 MB of rain rates, which is
/// three hours every five minutes of 800 x 800 cells.
const CELLS_OF_RECORD_MAX: usize = 24_000_000;

/// How far around the place the sky is decoded, km: four hours of rain at 75 km/h.
const RADIUS_KM: f64 = 300.0;

/// What a file of pictures turned out to hold.
pub(crate) type Decoded = Result<Pictures, String>;

/// Pictures, and what was left out.
#[derive(Debug, Default)]
pub struct Frames {
    /// The pictures.
    pub fields: Vec<RainField>,
    /// What could not be read, as phrases.
    pub remarks: Vec<String>,
    /// What of the pictures was no rain and is taken out.
    pub mended: Mended,
    /// How the pictures came to the grid that they have, where the file had another.
    pub regrids: Vec<Arc<Regrid>>,
}

impl Frames {
    /// [`remarks`](Self::remarks), and clutter as one of them.
    pub fn into_remarks(self) -> Vec<String> {
        let clutter = (self.mended.cells() > 0).then(|| self.mended.to_string());
        self.remarks.into_iter().chain(clutter).collect()
    }
}

/// What is made of pictures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Form {
    /// Nothing: every cell as the file has it. This is what came, when a forecast is judged.
    AsRead,
    /// Without clutter, and on square cells of about a kilometre where the file's are not.
    ForNowcast,
}

/// Which pictures are wanted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Look {
    /// The moment asked about: later pictures are never decoded.
    pub issued: Timestamp,
    /// How far back from there.
    pub history: SignedDuration,
    /// How many cells they may have together, the newest pictures first, though a dozen pictures are
    /// always allowed; `None`: that dozen and no more.
    pub cells_max: Option<usize>,
    /// The part of the map; all of it when `None`.
    pub cut: Option<Cut>,
    /// How reflectivity becomes rain rate, where a file has reflectivity.
    pub z_r: ZR,
    /// What is made of them.
    pub form: Form,
}

impl Look {
    /// What a nowcast needs for itself: a dozen pictures of the last hour and a half.
    ///
    /// - `places`: what is cut out reaches 300 km beyond each of them; the whole picture when empty.
    pub fn plain(issued: Timestamp, places: &[LatLon], z_r: ZR) -> Self {
        let cut = cut_around(places, RADIUS_KM);
        Look { issued, history: HISTORY, cells_max: None, cut, z_r, form: Form::ForNowcast }
    }

    /// What a nowcast needs to be corrected by the windows that have ended as well: three hours, as
    /// far as 96 MB hold them.
    pub fn with_record(issued: Timestamp, places: &[LatLon], z_r: ZR) -> Self {
        let cut = cut_around(places, RADIUS_KM);
        let cells_max = Some(CELLS_OF_RECORD_MAX);
        Look { issued, history: HISTORY_OF_RECORD, cells_max, cut, z_r, form: Form::ForNowcast }
    }
}

/// Decodes the newest pictures of some files up to a moment, cut to the sky around the places and
/// ready for the nowcast.
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
    read_look(files, &Look::plain(issued, places, z_r), cache)
}

/// Decodes the pictures of some files that are wanted, and nothing that `cache` still has.
///
/// What is held in memory is bounded whatever the folder holds: a file is read for its times and
/// again when it is decoded, the newest picture tells how many of its size there may be, and older
/// ones than that are left alone.
pub fn read_look(files: &[PathBuf], look: &Look, cache: Option<&FrameCache>) -> Frames {
    let mut failed = Failures::default();
    let mut useful = useful(files, look, cache, &mut failed);
    let mut options = ReadOptions {
        cut: look.cut,
        z_r: look.z_r,
        valid_times: Some(later(look.issued, -look.history)..=look.issued),
    };
    let own = Ways::default();
    let ways = cache.map_or(&own, FrameCache::ways);
    let decode =
        |file: &Useful<'_>, options: &ReadOptions| decode(file, options, look.form, cache, ways);
    let mut known = None;
    match look.cells_max {
        None => {
            useful.drain(..useful.len().saturating_sub(FRAMES_MAX));
        }
        Some(cells_max) => {
            if let Some(newest) = useful.last() {
                let alone = newest.wanted.len() == 1;
                let newest_only =
                    ReadOptions { valid_times: Some(newest.last..=newest.last), ..options.clone() };
                let decoded = decode(newest, &newest_only);
                let cells = decoded.as_ref().as_ref().ok().and_then(|pictures| {
                    Some(pictures.fields.first()?.rain_rate_mm_h.len()).filter(|cells| *cells > 0)
                });
                // Where the newest cannot be read its size is not known: the usual dozen then.
                let most = cells.map_or(FRAMES_MAX, |cells| (cells_max / cells).max(FRAMES_MAX));
                let earliest = earliest_of(&useful, most).unwrap_or(newest.last);
                known = alone.then_some(decoded);
                useful.retain(|file| file.last >= earliest);
                options.valid_times = Some(earliest..=look.issued);
            }
        }
    }
    // The newest may have been decoded already.
    let newest = known.and_then(|decoded| Some((useful.pop()?, decoded)));
    let mut decoded: Vec<(Useful<'_>, Arc<Decoded>)> = useful
        .into_par_iter()
        .map(|file| {
            let decoded = decode(&file, &options);
            (file, decoded)
        })
        .collect();
    decoded.extend(newest);
    let mut frames = Frames::default();
    for (file, pictures) in decoded {
        // Copied only where a cache keeps it too.
        match Arc::unwrap_or_clone(pictures) {
            Ok(pictures) => {
                for remark in pictures.remarks {
                    if let Some(other) = frames.mended.take(remark) {
                        frames.remarks.push(format!("{}: {other}", name(file.path)));
                    }
                }
                frames.fields.extend(pictures.fields);
                frames.regrids.extend(pictures.regrids);
            }
            Err(error) => failed.add(file.path, error),
        }
    }
    frames.regrids.dedup_by(|a, b| Arc::ptr_eq(a, b));
    frames.remarks.extend(failed.into_remarks());
    frames
}

/// The moments of all pictures in some files, ascending, each once; nothing is decoded.
///
/// Files that cannot be read have none.
pub fn picture_times(files: &[PathBuf], cache: Option<&FrameCache>) -> Vec<Timestamp> {
    let opened: Vec<_> = files.par_iter().map(|file| open(file, cache)).collect();
    let mut times: Vec<Timestamp> =
        opened.into_iter().flatten().flat_map(|opened| opened.times.to_vec()).collect();
    times.sort_unstable();
    times.dedup();
    times
}

/// A file with a picture that is wanted.
struct Useful<'f> {
    path: &'f Path,
    id: Option<FileId>,
    /// The moments of its pictures that are wanted, at least one.
    wanted: Vec<Timestamp>,
    /// The newest of these.
    last: Timestamp,
}

/// The files that hold something wanted, by their newest such picture.
fn useful<'f>(
    files: &'f [PathBuf],
    look: &Look,
    cache: Option<&FrameCache>,
    failed: &mut Failures,
) -> Vec<Useful<'f>> {
    let earliest = later(look.issued, -look.history);
    let opened: Vec<_> = files.par_iter().map(|file| (file, open(file, cache))).collect();
    let mut useful = Vec::new();
    for (path, opened) in opened {
        match opened {
            Ok(Opened { id, times }) => {
                let inside = |time: &Timestamp| (earliest..=look.issued).contains(time);
                let wanted: Vec<Timestamp> = times.iter().copied().filter(inside).collect();
                if let Some(last) = wanted.iter().copied().max() {
                    useful.push(Useful { path, id, wanted, last });
                }
            }
            Err(error) => failed.add(path, error),
        }
    }
    useful.sort_by_key(|file| file.last);
    useful
}

/// The moment of the oldest picture when there may be only so many, the newest.
fn earliest_of(useful: &[Useful<'_>], most: usize) -> Option<Timestamp> {
    let mut times: Vec<Timestamp> = useful.iter().flat_map(|file| file.wanted.clone()).collect();
    times.sort_unstable();
    times.get(times.len().saturating_sub(most)).copied()
}

/// A file whose pictures' times are known.
struct Opened {
    id: Option<FileId>,
    times: Arc<[Timestamp]>,
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
        return Ok(Opened { id: Some(id.clone()), times });
    }
    let bytes = fs::read(file).map_err(unread)?;
    let times: Arc<[Timestamp]> =
        read_times(&bytes).map_err(|error: RadarError| error.to_string())?.into();
    if let (Some(cache), Some(id)) = (cache, &id) {
        cache.keep_times(id.clone(), Arc::clone(&times));
    }
    Ok(Opened { id, times })
}

fn decode(
    file: &Useful<'_>,
    options: &ReadOptions,
    form: Form,
    cache: Option<&FrameCache>,
    ways: &Ways,
) -> Arc<Decoded> {
    let inside = options.valid_times.as_ref();
    let times = file.wanted.iter().copied().filter(|t| inside.is_none_or(|w| w.contains(t)));
    let key = file.id.clone().map(|id| PictureKey::new(id, times.collect(), options, form));
    let cached = cache.zip(key);
    if let Some((cache, key)) = &cached
        && let Some(known) = cache.pictures(key)
    {
        return known;
    }
    let as_read = || {
        let known = cached
            .as_ref()
            .filter(|_| form != Form::AsRead)
            .and_then(|(cache, key)| cache.pictures(&key.in_form(Form::AsRead)));
        known.map(Arc::unwrap_or_clone)
    };
    let decoded = as_read().unwrap_or_else(|| {
        if let Some((cache, _)) = &cached {
            cache.count_decoded();
        }
        let bytes = fs::read(file.path).map_err(|error| format!("read: {error}"))?;
        let reading = read_rain_fields(&bytes, options).map_err(|error| error.to_string())?;
        Ok(Pictures::from(reading))
    });
    let decoded = Arc::new(match form {
        Form::AsRead => decoded,
        Form::ForNowcast => decoded.map(|pictures| pictures.ready(ways)),
    });
    if let Some((cache, key)) = cached {
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

/// A circle that holds all places and the sky around each of them, km; `None` without a place.
pub fn cut_around(places: &[LatLon], radius_km: f64) -> Option<Cut> {
    let first = *places.first()?;
    if places.len() == 1 {
        return Some(Cut { centre: first, radius_km });
    }
    let offsets: Vec<(f64, f64)> = places.iter().map(|place| first.offset_km(*place)).collect();
    let middle = |of: fn(&(f64, f64)) -> f64| {
        let low = offsets.iter().map(of).fold(f64::INFINITY, f64::min);
        let high = offsets.iter().map(of).fold(f64::NEG_INFINITY, f64::max);
        f64::midpoint(low, high)
    };
    let centre = first.at_offset_km(middle(|o| o.0), middle(|o| o.1)).ok()?;
    let spread_km = places.iter().map(|place| centre.distance_km(*place)).fold(0.0, f64::max);
    Some(Cut { centre, radius_km: (radius_km + spread_km).ceil() })
}
