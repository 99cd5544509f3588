//! What had been fetched by a moment, out of a studio's `readings/` folder.
//!
//! What counts is when a file was fetched, not what it is about: `received.csv` says so, a line for
//! each time it was fetched. A file that is not in the list counts from its own time of change. What
//! was fetched later than the moment asked about is never opened. A line with `warnings/` for a file
//! says that the service was looked at and had nothing new.

use std::{
    collections::{BTreeMap, HashSet},
    fs, io,
    path::{Path, PathBuf},
};

use fairspell_ground::LatLon;
use fairspell_nowcast::{Nowcast, ZR};
use fairspell_plan::{Seen, SeenForecast, SeenRadar, SeenWarnings, record::FORECAST_REACH_KM};
use fairspell_weather::{
    Forecast, Remark, Warning, WarningBoard, WeatherError, read_forecast, read_warnings,
};
use jiff::{SignedDuration, Timestamp};

pub use crate::received::{files_in, fingerprint, newest};
use crate::{
    FeedsError,
    frame_cache::FrameCache,
    frames::read_frames_with,
    http_time::later,
    received::{Received, received},
    record_file::corrected,
    unpack::unpacked,
};

/// How far back radar pictures are looked for. A nowcast looks at less.
const RADAR_HISTORY: SignedDuration = SignedDuration::from_mins(75);

/// Lists of alerts from one source fetched within this time belong together.
const LISTS_TOGETHER: SignedDuration = SignedDuration::from_mins(10);

/// How far a service's clock may run ahead of ours.
const CLOCK_ERROR: SignedDuration = SignedDuration::from_mins(15);

/// How many forecasts are tried, newest first, before giving up: one that is damaged, or for another
/// town, is passed over.
const FORECASTS_TRIED: usize = 12;

/// A forecast for a point nearer than this is one for the place: half a grid square or two, km.
const SAME_PLACE_KM: f64 = 6.0;

/// What had been seen by a moment, with what could not be read.
#[derive(Debug, Default)]
pub struct SeenBy {
    /// What had been seen.
    pub seen: Seen,
    /// What could not be read, or had to be left out, as phrases.
    pub remarks: Vec<String>,
}

/// Whether radar pictures are looked at: decoding them costs a few tenths of a second.
#[derive(Debug, Clone, Copy, Default)]
pub enum Radar<'a> {
    /// They are, each decoded anew.
    #[default]
    Decoded,
    /// They are, and what was decoded for an earlier look is not decoded again.
    Cached(&'a FrameCache),
    /// They are not: the session is too far off. Nothing is then known of radar.
    LeftOut,
}

/// Reads what had been fetched by `as_of`, for a place.
///
/// A folder without readings is no error: then nothing has been seen.
///
/// # Examples
///
/// ```
/// use std::path::Path;
///
/// use fairspell_feeds::readings::seen_by;
/// use fairspell_ground::LatLon;
///
/// let beach = LatLon::new(-31.7177, 152.7849)?;
/// let found = seen_by(Path::new("no/such/folder"), "2026-09-03T04:30:00Z".parse()?, beach)?;
/// assert!(found.seen.forecast.is_none(), "never fetched is not known, and never dry");
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
///
/// [`FeedsError::Read`] for a folder or a list that cannot be read, [`FeedsError::List`] and
/// [`FeedsError::LeadsOut`] for a list that says what it must not. A reading that cannot be read is
/// a remark.
pub fn seen_by(readings: &Path, as_of: Timestamp, place: LatLon) -> Result<SeenBy, FeedsError> {
    seen_by_with(readings, as_of, place, Radar::Decoded)
}

/// [`seen_by`], with a say in how radar pictures are looked at.
///
/// # Errors
///
/// Those of [`seen_by`].
pub fn seen_by_with(
    readings: &Path,
    as_of: Timestamp,
    place: LatLon,
    radar_pictures: Radar<'_>,
) -> Result<SeenBy, FeedsError> {
    let mut remarks = Vec::new();
    let received = received(readings, as_of, &mut remarks)?;
    let of = |kind: &str| -> Vec<&Received> {
        received.iter().filter(|one| one.file.starts_with(readings.join(kind))).collect()
    };
    let cache = match radar_pictures {
        Radar::Decoded => Some(None),
        Radar::Cached(cache) => Some(Some(cache)),
        Radar::LeftOut => None,
    };
    let seen = Seen {
        forecast: nearest_forecast(&of("forecasts"), place, &mut remarks),
        warnings: warnings(&of("warnings"), as_of, &mut remarks),
        radar: cache.and_then(|cache| radar(&of("radar"), as_of, place, cache, &mut remarks)),
    };
    Ok(SeenBy { seen, remarks })
}

/// Of the newest forecasts the one whose place is nearest; of several for that place the newest, with
/// those that it replaced.
fn nearest_forecast(
    received: &[&Received],
    place: LatLon,
    remarks: &mut Vec<String>,
) -> Option<SeenForecast> {
    let mut nearest: Option<(f64, SeenForecast)> = None;
    let mut others: Vec<Forecast> = Vec::new();
    for one in received.iter().rev().take(FORECASTS_TRIED) {
        let reading = match read(&one.file).and_then(|bytes| Ok(read_forecast(&bytes)?)) {
            Ok(reading) => reading,
            Err(error) => {
                remarks.push(format!("{}: {error}", name(&one.file)));
                continue;
            }
        };
        let away_km = reading.value.place.distance_km(place);
        let is_better = nearest.as_ref().is_none_or(|(known_km, known)| {
            away_km < known_km - 1.0 || is_newer_run(&reading.value, &known.forecast)
        });
        if away_km <= FORECAST_REACH_KM && is_better {
            note(remarks, &one.file, &reading.remarks);
            let source = source_of(&one.source, || service_name(&reading.value));
            let seen = SeenForecast { forecast: reading.value, earlier: Vec::new(), source };
            others.extend(nearest.replace((away_km, seen)).map(|(_, passed)| passed.forecast));
        } else {
            others.push(reading.value);
        }
    }
    match &nearest {
        Some((away_km, _)) if *away_km > SAME_PLACE_KM => {
            remarks.push(format!("the forecast is for a point {away_km:.0} km from {place}"));
        }
        None if !received.is_empty() => {
            remarks.push(format!("no forecast for within {FORECAST_REACH_KM} km of {place}"));
        }
        _ => {}
    }
    nearest.map(|(_, mut seen)| {
        others.retain(|other| is_newer_run(&seen.forecast, other));
        seen.earlier = others;
        seen
    })
}

/// Whether a forecast is the same service's for the same place as another, and was made later. It may
/// have been fetched sooner: a cache on the way may hand out yesterday's.
fn is_newer_run(forecast: &Forecast, known: &Forecast) -> bool {
    forecast.service == known.service
        && forecast.place.distance_km(known.place) < 1.0
        && forecast.reference_time > known.reference_time
}

fn service_name(forecast: &Forecast) -> String {
    use fairspell_weather::Service;
    match forecast.service {
        Service::NwsHourly | Service::NwsGridpoint => "US National Weather Service",
        Service::MetLocationforecast => "MET Norway",
    }
    .to_owned()
}

/// Messages in force.
///
/// A list of active alerts replaces those that the same source sent before it: what it no longer names
/// is over. Lists that were fetched together (for the spot, for the road) all count. Single messages
/// stay until replaced or lapsed. A message that cannot be read may be the one that matters: then
/// nothing is known of warnings.
fn warnings(
    received: &[&Received],
    as_of: Timestamp,
    remarks: &mut Vec<String>,
) -> Option<SeenWarnings> {
    let mut last_look: BTreeMap<&str, Timestamp> = BTreeMap::new();
    for one in received {
        last_look.insert(&one.source, one.fetched_at);
    }
    // The source that was looked at longest ago: what it may have said since is not known.
    let looked_at = last_look.values().min().copied()?;
    let mut messages: Vec<Warning> = Vec::new();
    let mut newest_list: BTreeMap<&str, Timestamp> = BTreeMap::new();
    let mut read_files = HashSet::new();
    for one in received.iter().rev().filter(|one| one.file.is_file() || !one.file.exists()) {
        if !read_files.insert(&one.file) {
            continue;
        }
        let reading = read(&one.file).and_then(|bytes| {
            let is_list = bytes.iter().find(|byte| !byte.is_ascii_whitespace()) == Some(&b'{');
            if is_list {
                let newest = *newest_list.entry(&one.source).or_insert(one.fetched_at);
                if one.fetched_at < later(newest, -LISTS_TOGETHER) {
                    return Ok(None);
                }
            }
            Ok(Some(read_warnings(&bytes)?))
        });
        match reading {
            Ok(None) => {}
            Ok(Some(reading)) => {
                note(remarks, &one.file, &reading.remarks);
                // The one that cannot be used may be the one that matters.
                if reading.remarks.iter().any(|r| matches!(r, Remark::UnusableWarning { .. })) {
                    return None;
                }
                messages.extend(reading.value);
            }
            Err(error) => {
                remarks.push(format!("{}: {error}", name(&one.file)));
                return None;
            }
        }
    }
    // A clock that runs a little ahead of ours does not take a fetched message away.
    let ahead = later(as_of, CLOCK_ERROR);
    let sent = messages.iter().map(|message| message.sent).filter(|sent| *sent <= ahead).max();
    let board = WarningBoard::as_of(messages, sent.map_or(as_of, |sent| sent.max(as_of)));
    remarks.extend(board.remarks.iter().map(ToString::to_string));
    let sources: Vec<&str> = last_look.keys().copied().filter(|s| !s.is_empty()).collect();
    let source = source_of(&sources.join(" + "), || "official warnings".to_owned());
    Some(SeenWarnings { board: board.value, looked_at, source })
}

/// The pictures of the service that sees the place; where none does, those of the newest one, so that
/// the outlook can say so.
fn radar(
    received: &[&Received],
    as_of: Timestamp,
    place: LatLon,
    cache: Option<&FrameCache>,
    remarks: &mut Vec<String>,
) -> Option<SeenRadar> {
    let earliest = later(as_of, -RADAR_HISTORY);
    let mut services: Vec<(&str, Vec<PathBuf>)> = Vec::new();
    for one in received.iter().rev().filter(|one| one.fetched_at >= earliest) {
        match services.iter_mut().find(|(source, _)| *source == one.source) {
            Some((_, files)) => files.push(one.file.clone()),
            None => services.push((&one.source, vec![one.file.clone()])),
        }
    }
    let mut newest = None;
    for (source, files) in services {
        let (seen, said) = radar_of(source, &files, as_of, place, cache);
        let sees_the_place = seen.as_ref().is_some_and(|seen| seen.nowcast.at(place).is_ok());
        if sees_the_place || newest.is_none() {
            newest = Some((seen, said));
        }
        if sees_the_place {
            break;
        }
    }
    let (seen, said) = newest?;
    remarks.extend(said);
    seen
}

fn radar_of(
    source: &str,
    files: &[PathBuf],
    as_of: Timestamp,
    place: LatLon,
    cache: Option<&FrameCache>,
) -> (Option<SeenRadar>, Vec<String>) {
    let mut frames = read_frames_with(files, as_of, &[place], ZR::default(), cache);
    let fields = std::mem::take(&mut frames.fields);
    let mut remarks = frames.into_remarks();
    match Nowcast::from_fields(fields, as_of) {
        Ok(reading) => {
            remarks.extend(reading.remarks.iter().map(ToString::to_string));
            let source = source_of(source, || "radar".to_owned());
            let nowcast = match files.first().and_then(|file| file.parent()) {
                Some(folder) => corrected(reading.value, folder),
                None => reading.value,
            };
            (Some(SeenRadar { nowcast, source }), remarks)
        }
        Err(error) => {
            remarks.push(format!("radar: {error}"));
            (None, remarks)
        }
    }
}

/// Why one reading of many could not be used.
#[derive(Debug, thiserror::Error)]
enum Unread {
    #[error("read {}: {cause}", path.display())]
    File { path: PathBuf, cause: io::Error },
    #[error(transparent)]
    Document(#[from] WeatherError),
}

fn read(file: &Path) -> Result<Vec<u8>, Unread> {
    let failed = |cause| Unread::File { path: file.to_owned(), cause };
    fs::read(file).and_then(unpacked).map_err(failed)
}

fn note<R: std::fmt::Display>(remarks: &mut Vec<String>, file: &Path, found: &[R]) {
    remarks.extend(found.iter().map(|remark| format!("{}: {remark}", name(file))));
}

pub(crate) fn name(file: &Path) -> String {
    file.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned())
}

fn source_of(listed: &str, otherwise: impl Fn() -> String) -> String {
    if listed.is_empty() { otherwise() } else { listed.to_owned() }
}
