//! What had been fetched by a moment, out of a studio's `readings/` folder.
//!
//! What counts is when a file was fetched, not what it is about: `received.csv` says so, a line for
//! each time it was fetched. A file that is not in the list counts from its own time of change. What
//! was fetched later than the moment asked about is never opened. A line with `warnings/` for a file
//! says that the service was looked at and had nothing new.

use std::{
    collections::{BTreeMap, HashSet},
    fs,
    path::{Path, PathBuf},
};

use anyhow::{Context, Result, bail};
use fairspell_ground::LatLon;
use fairspell_nowcast::{Nowcast, ZR};
use fairspell_plan::{Seen, SeenForecast, SeenRadar, SeenWarnings};
use fairspell_weather::{Forecast, Remark, Warning, WarningBoard, read_forecast, read_warnings};
use jiff::{Timestamp, ToSpan};
use serde::Deserialize;

use crate::frames;

/// How far back radar pictures are looked for, minutes. A nowcast looks at less.
const RADAR_HISTORY_MIN: i64 = 75;

/// Lists of alerts from one source fetched within this time belong together, minutes.
const LISTS_TOGETHER_MIN: i64 = 10;

/// How far a service's clock may run ahead of ours, minutes.
const CLOCK_ERROR_MIN: i64 = 15;

/// How many forecasts are tried, newest first, before giving up: one that is damaged, or for another
/// town, is passed over.
const FORECASTS_TRIED: usize = 12;

/// A forecast for a point nearer than this is one for the place: half a grid square or two, km.
const SAME_PLACE_KM: f64 = 6.0;

/// A forecast for a place farther away than this says nothing of the session, km.
const FORECAST_REACH_KM: f64 = 50.0;

/// A file and the times at which it was fetched.
#[derive(Debug, Clone)]
struct Received {
    file: PathBuf,
    fetched_at: Timestamp,
    source: String,
}

/// A line of `received.csv`.
#[derive(Deserialize)]
struct Line {
    file: String,
    fetched_at: Timestamp,
    source: String,
}

/// What had been seen by a moment, with what could not be read.
#[derive(Debug, Default)]
pub(crate) struct SeenBy {
    pub(crate) seen: Seen,
    pub(crate) remarks: Vec<String>,
}

/// Reads what had been fetched by `as_of`, for a place.
///
/// A folder without readings is no error: then nothing has been seen.
pub(crate) fn seen_by(readings: &Path, as_of: Timestamp, place: LatLon) -> Result<SeenBy> {
    let mut remarks = Vec::new();
    let received = received(readings, as_of, &mut remarks)?;
    let of = |kind: &str| -> Vec<&Received> {
        received.iter().filter(|one| one.file.starts_with(readings.join(kind))).collect()
    };
    let seen = Seen {
        forecast: nearest_forecast(&of("forecasts"), place, &mut remarks),
        warnings: warnings(&of("warnings"), as_of, &mut remarks),
        radar: radar(&of("radar"), as_of, place, &mut remarks),
    };
    Ok(SeenBy { seen, remarks })
}

/// Everything fetched by a moment, in the order of fetching.
fn received(readings: &Path, as_of: Timestamp, remarks: &mut Vec<String>) -> Result<Vec<Received>> {
    let list = readings.join("received.csv");
    let mut received = Vec::new();
    let mut listed = HashSet::new();
    if list.exists() {
        let mut lines =
            csv::Reader::from_path(&list).with_context(|| format!("read {}", list.display()))?;
        for line in lines.deserialize() {
            let line: Line = line.with_context(|| format!("understand {}", list.display()))?;
            let relative = Path::new(&line.file);
            if relative.components().any(|part| !matches!(part, std::path::Component::Normal(_))) {
                bail!("{}: `{}` leads out of the folder", list.display(), line.file);
            }
            let file = readings.join(relative);
            listed.insert(file.clone());
            if line.fetched_at <= as_of {
                received.push(Received { file, fetched_at: line.fetched_at, source: line.source });
            }
        }
    }
    for kind in ["forecasts", "warnings", "radar"] {
        let unlisted = files_in(&readings.join(kind))?.into_iter().filter(|f| !listed.contains(f));
        let mut count = 0_usize;
        for file in unlisted {
            let fetched_at = changed_at(&file)?;
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

/// The files of a folder in the order of their names; none where there is no folder.
pub(crate) fn files_in(folder: &Path) -> Result<Vec<PathBuf>> {
    if !folder.is_dir() {
        return Ok(Vec::new());
    }
    let mut files = Vec::new();
    for entry in fs::read_dir(folder).with_context(|| format!("list {}", folder.display()))? {
        let path = entry.with_context(|| format!("list {}", folder.display()))?.path();
        let hidden = path.file_name().is_some_and(|name| name.to_string_lossy().starts_with('.'));
        if path.is_file() && !hidden {
            files.push(path);
        }
    }
    files.sort();
    Ok(files)
}

fn changed_at(file: &Path) -> Result<Timestamp> {
    let changed = fs::metadata(file)
        .and_then(|data| data.modified())
        .with_context(|| format!("look at {}", file.display()))?;
    Timestamp::try_from(changed).with_context(|| format!("time of change of {}", file.display()))
}

/// Of the newest forecasts the one whose place is nearest; of several for that place the newest.
fn nearest_forecast(
    received: &[&Received],
    place: LatLon,
    remarks: &mut Vec<String>,
) -> Option<SeenForecast> {
    let mut nearest: Option<(f64, SeenForecast)> = None;
    for one in received.iter().rev().take(FORECASTS_TRIED) {
        let reading = match read(&one.file).and_then(|bytes| Ok(read_forecast(&bytes)?)) {
            Ok(reading) => reading,
            Err(error) => {
                remarks.push(format!("{}: {error:#}", name(&one.file)));
                continue;
            }
        };
        let away_km = reading.value.place.distance_km(place);
        let is_nearer = nearest.as_ref().is_none_or(|(known_km, _)| away_km < known_km - 1.0);
        if away_km <= FORECAST_REACH_KM && is_nearer {
            note(remarks, &one.file, &reading.remarks);
            let source = source_of(&one.source, || service_name(&reading.value));
            nearest = Some((away_km, SeenForecast { forecast: reading.value, source }));
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
    nearest.map(|(_, forecast)| forecast)
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
                if one.fetched_at < newest - LISTS_TOGETHER_MIN.minutes() {
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
                remarks.push(format!("{}: {error:#}", name(&one.file)));
                return None;
            }
        }
    }
    // A clock that runs a little ahead of ours does not take a fetched message away.
    let ahead = as_of + CLOCK_ERROR_MIN.minutes();
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
    remarks: &mut Vec<String>,
) -> Option<SeenRadar> {
    let earliest = as_of - RADAR_HISTORY_MIN.minutes();
    let mut services: Vec<(&str, Vec<PathBuf>)> = Vec::new();
    for one in received.iter().rev().filter(|one| one.fetched_at >= earliest) {
        match services.iter_mut().find(|(source, _)| *source == one.source) {
            Some((_, files)) => files.push(one.file.clone()),
            None => services.push((&one.source, vec![one.file.clone()])),
        }
    }
    let mut newest = None;
    for (source, files) in services {
        let (seen, said) = radar_of(source, &files, as_of, place);
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
) -> (Option<SeenRadar>, Vec<String>) {
    let frames = frames::read_frames(files, as_of, &[place], ZR::default());
    let mut remarks = frames.remarks;
    match Nowcast::from_fields(frames.fields, as_of) {
        Ok(reading) => {
            remarks.extend(reading.remarks.iter().map(ToString::to_string));
            let source = source_of(source, || "radar".to_owned());
            (Some(SeenRadar { nowcast: reading.value, source }), remarks)
        }
        Err(error) => {
            remarks.push(format!("radar: {error}"));
            (None, remarks)
        }
    }
}

fn read(file: &Path) -> Result<Vec<u8>> {
    fs::read(file).with_context(|| format!("read {}", file.display()))
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
