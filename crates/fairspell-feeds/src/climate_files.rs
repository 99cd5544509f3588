//! Archived records of rain, kept in a studio's folder as they were received.
//!
//! ```text
//! climate/USW00094789.dly       one file a station; its name says which, and the layout
//! climate/JFK.airports.csv      of a file with several stations only the one named counts
//! climate/stations.csv          where stations stand whose files don't say: station,lat_deg,lon_deg,
//!                               the station named as its file is
//! ```

use std::{
    fs,
    path::{Path, PathBuf},
};

use fairspell_ground::{LatLon, Reading};
use fairspell_weather::{
    WeatherError,
    observed::{Layout, ObservedRain, ObservedRemark, read_observed_rain},
};
use jiff::Timestamp;
use serde::{Deserialize, Serialize};

use crate::{
    FeedsError,
    keep::write_atomically,
    received::{changed_at, files_in},
};

/// Name of the folder within the studio's.
const FOLDER: &str = "climate";

/// Name of the list of positions in it.
const POSITIONS: &str = "stations.csv";

/// Longer files are no record of one station.
const BYTES_MAX: u64 = 256 << 20;

/// An hourly record so near is asked rather than a daily one nearer by, km.
///
/// Our choice: how far evening showers at two places have much to do with each other. Three airports
/// 15 to 35 km apart had correlations of 0.65 to 0.71 between their evening windows.
pub const HOURLY_NEAR_KM: f64 = 60.0;

/// A record farther away says nothing of a place, km (our choice).
pub const FAR_KM: f64 = 150.0;

/// Why a record of rain was not taken in. Nothing was changed.
#[derive(Debug, thiserror::Error)]
pub enum ClimateFileError {
    /// The folder or the file.
    #[error(transparent)]
    Folder(#[from] FeedsError),
    /// The file is none of the layouts that are read.
    #[error(transparent)]
    Content(#[from] WeatherError),
    /// The file is longer than any station's record: take the station's own.
    #[error("{} is longer than {} MB", path.display(), BYTES_MAX >> 20)]
    TooLong {
        /// Which.
        path: PathBuf,
    },
    /// The file holds several stations: say which one.
    #[error("{count} stations are in the file, say which: {stations}")]
    SeveralStations {
        /// How many.
        count: usize,
        /// The first of them, with commas between.
        stations: String,
    },
    /// The file does not hold the station.
    #[error("there is no station `{station}` in the file; there are {stations}")]
    NoSuchStation {
        /// The one asked for.
        station: String,
        /// The first that are, with commas between.
        stations: String,
    },
}

/// A record that was taken in.
#[derive(Debug, Clone, PartialEq)]
pub struct ImportedClimate {
    /// What it holds.
    pub record: ObservedRain,
    /// The file in the studio's folder.
    pub file: PathBuf,
    /// Whether a record of the same station was there before, and is no more.
    pub replaced: bool,
    /// What could not be used.
    pub remarks: Vec<ObservedRemark>,
}

/// What a folder's records were when they were looked at: another value says that they changed.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ClimateStamp(Vec<(PathBuf, u64, Option<Timestamp>)>);

/// The stamp of a studio's records.
///
/// # Errors
///
/// [`FeedsError::Read`] for a folder that cannot be listed.
pub fn climate_stamp(folder: &Path) -> Result<ClimateStamp, FeedsError> {
    let stamp = |file: PathBuf| {
        let bytes = fs::metadata(&file).map_or(0, |data| data.len());
        let changed = changed_at(&file)?;
        Ok((file, bytes, changed))
    };
    let stamps: Result<Vec<_>, FeedsError> =
        files_in(&folder.join(FOLDER))?.into_iter().map(stamp).collect();
    stamps.map(ClimateStamp)
}

/// Takes a record of rain into a studio's folder, as it was received.
///
/// It is read first: what cannot be read is not kept. A record of the same station that was there is
/// replaced once the new one is whole, and the result says so.
///
/// - `station`: which, where the file has several, or what to call it, where the file names none.
/// - `position`: where it stands, where the file does not say or says it wrongly.
///
/// # Errors
///
/// [`ClimateFileError`]; what was there before is untouched.
pub fn import_climate(
    folder: &Path,
    file: &Path,
    station: Option<&str>,
    position: Option<LatLon>,
) -> Result<ImportedClimate, ClimateFileError> {
    let reading = |error| FeedsError::reading(file, error);
    if fs::metadata(file).map_err(reading)?.len() > BYTES_MAX {
        return Err(ClimateFileError::TooLong { path: file.to_owned() });
    }
    let bytes = fs::read(file).map_err(reading)?;
    let own_name = file.file_stem().unwrap_or_default().to_string_lossy();
    import_climate_bytes(folder, &bytes, &own_name, station, position)
}

/// The same for bytes that came another way, over a form.
///
/// - `own_name`: what a station is called whose file names none, where `station` does not say.
///
/// # Errors
///
/// As [`import_climate`].
pub fn import_climate_bytes(
    folder: &Path,
    bytes: &[u8],
    own_name: &str,
    station: Option<&str>,
    position: Option<LatLon>,
) -> Result<ImportedClimate, ClimateFileError> {
    let read = read_observed_rain(bytes, station.unwrap_or(own_name))?;
    let layout = Layout::of(&String::from_utf8_lossy(bytes))?;
    let mut record = one_of(read.value, station)?;
    let mut remarks = read.remarks;
    remarks.retain(|remark| remark.station.is_empty() || remark.station == record.station);

    let climate = folder.join(FOLDER);
    let stem = stem(&record.station);
    let path = climate.join(format!("{stem}.{}", layout.extension()));
    let before: Vec<PathBuf> = files_in(&climate)?
        .into_iter()
        .filter(|file| split(file).is_some_and(|(its, _)| its == stem))
        .collect();
    write_atomically(&path, bytes)?;
    if let Some(position) = position {
        keep_position(&climate, &stem, position)?;
        record.position = Some(position);
    } else if record.position.is_none() {
        record.position = position_of(&positions(&climate)?, &stem);
    }
    for other in before.iter().filter(|other| **other != path) {
        fs::remove_file(other).map_err(|error| FeedsError::writing(other, error))?;
    }
    Ok(ImportedClimate { record, file: path, replaced: !before.is_empty(), remarks })
}

/// Takes a station's record out of a studio's folder; whether there was one.
///
/// # Errors
///
/// [`FeedsError`] for a folder that cannot be listed, or a file that cannot be removed.
pub fn remove_climate(folder: &Path, station: &str) -> Result<bool, FeedsError> {
    let stem = stem(station);
    let mut removed = false;
    for file in files_in(&folder.join(FOLDER))? {
        if split(&file).is_some_and(|(its, _)| its == stem) {
            fs::remove_file(&file).map_err(|error| FeedsError::writing(&file, error))?;
            removed = true;
        }
    }
    Ok(removed)
}

/// The station meant, of those in a file.
fn one_of(
    mut found: Vec<ObservedRain>,
    station: Option<&str>,
) -> Result<ObservedRain, ClimateFileError> {
    const NAMED: usize = 12;
    let names: Vec<&str> = found.iter().take(NAMED).map(|one| one.station.as_str()).collect();
    let stations = names.join(", ");
    let index = match station {
        Some(station) => found.iter().position(|one| one.station == station).ok_or_else(|| {
            ClimateFileError::NoSuchStation { station: station.to_owned(), stations }
        })?,
        None if found.len() == 1 => 0,
        None => {
            return Err(ClimateFileError::SeveralStations { count: found.len(), stations });
        }
    };
    Ok(found.swap_remove(index))
}

/// All records in a studio's folder, in the order of their files; none where there are none.
///
/// A file that cannot be read is left out and named in a remark.
///
/// # Errors
///
/// [`FeedsError::Read`] and [`FeedsError::List`] for the folder itself.
pub fn climate_records(folder: &Path) -> Result<Reading<Vec<ObservedRain>, String>, FeedsError> {
    let climate = folder.join(FOLDER);
    let positions = positions(&climate)?;
    let mut records = Reading { value: Vec::new(), remarks: Vec::new() };
    for file in files_in(&climate)? {
        let Some((station, _)) = split(&file) else { continue };
        let is_too_long = fs::metadata(&file).is_ok_and(|data| data.len() > BYTES_MAX);
        let bytes = if is_too_long {
            Err(format!("longer than {} MB", BYTES_MAX >> 20))
        } else {
            fs::read(&file).map_err(|error| error.to_string())
        };
        let read = bytes.and_then(|bytes| {
            read_observed_rain(&bytes, &station).map_err(|error| error.to_string())
        });
        let own = read.and_then(|read| {
            let own = read.value.into_iter().find(|one| stem(&one.station) == station);
            own.ok_or_else(|| "does not hold the station that it is named for".to_owned())
        });
        match own {
            Ok(mut record) => {
                record.position = position_of(&positions, &station).or(record.position);
                records.value.push(record);
            }
            Err(problem) => records.remarks.push(format!("{}: {problem}", file.display())),
        }
    }
    Ok(records)
}

/// The record that speaks for a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NearRecord<'a> {
    /// Which.
    pub record: &'a ObservedRain,
    /// How far its station stands from the place; `None` where nobody knows where that is.
    pub distance_km: Option<f64>,
}

/// The station that speaks for a place: the one that was chosen, where its record is there, else the
/// [nearest](nearest_record).
///
/// - `radar`: what radar said of the studio's spots; it speaks only where it was chosen.
pub fn speaking_record<'a>(
    records: &'a [ObservedRain],
    radar: &'a [ObservedRain],
    place: LatLon,
    chosen: Option<&str>,
) -> Option<NearRecord<'a>> {
    let mut all = records.iter().chain(radar);
    let record = all.find(|record| Some(record.station.as_str()) == chosen);
    let distance_km = |record: &ObservedRain| Some(record.position?.distance_km(place));
    record
        .map(|record| NearRecord { record, distance_km: distance_km(record) })
        .or_else(|| nearest_record(records, place))
}

/// The one station that speaks for a place.
///
/// The nearest hourly one within [`HOURLY_NEAR_KM`], else the nearest of either kind within [`FAR_KM`],
/// else one whose position nobody knows, hourly first: somebody put it there on purpose. Never several
/// together: neighbours see the same rain, and would make a short record look long. Of stations within
/// the same kilometre the longest record speaks.
pub fn nearest_record(records: &[ObservedRain], place: LatLon) -> Option<NearRecord<'_>> {
    let distance_km = |record: &ObservedRain| Some(record.position?.distance_km(place));
    let within = |limit_km: f64, is_wanted: fn(&ObservedRain) -> bool| {
        let near = records.iter().filter(|record| is_wanted(record)).filter_map(|record| {
            let km = distance_km(record).filter(|km| *km <= limit_km)?;
            Some(NearRecord { record, distance_km: Some(km) })
        });
        near.min_by(|one, other| {
            let km = |near: &NearRecord<'_>| near.distance_km.unwrap_or(f64::INFINITY).round();
            let known = |near: &NearRecord<'_>| near.record.record.known();
            km(one).total_cmp(&km(other)).then_with(|| known(other).cmp(&known(one)))
        })
    };
    let unplaced = || {
        let unplaced = records.iter().filter(|record| record.position.is_none());
        let record = unplaced.min_by_key(|record| !record.record.is_hourly())?;
        Some(NearRecord { record, distance_km: None })
    };
    within(HOURLY_NEAR_KM, |record| record.record.is_hourly())
        .or_else(|| within(FAR_KM, |_| true))
        .or_else(unplaced)
}

/// A station's name as a file can have it.
fn stem(station: &str) -> String {
    let fits = |c: char| if c.is_ascii_alphanumeric() || c == '_' { c } else { '-' };
    station.chars().take(60).map(fits).collect()
}

/// The station and the layout that a file's name says; `None` for other files.
fn split(file: &Path) -> Option<(String, Layout)> {
    const LAYOUTS: [Layout; 5] =
        [Layout::Dly, Layout::Station, Layout::Elements, Layout::Airports, Layout::Hours];
    let name = file.file_name()?.to_str()?;
    let (station, extension) = name.split_once('.')?;
    let layout = LAYOUTS.into_iter().find(|layout| layout.extension() == extension)?;
    (!station.is_empty()).then(|| (station.to_owned(), layout))
}

/// A line of the list of positions.
#[derive(Debug, Clone, Serialize, Deserialize)]
struct Position {
    station: String,
    lat_deg: f64,
    lon_deg: f64,
}

fn positions(climate: &Path) -> Result<Vec<Position>, FeedsError> {
    let list = climate.join(POSITIONS);
    let text = match fs::read(&list) {
        Ok(text) => text,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(Vec::new()),
        Err(error) => return Err(FeedsError::reading(&list, error)),
    };
    let mut rows = csv::ReaderBuilder::new().trim(csv::Trim::All).from_reader(text.as_slice());
    let rows: Result<Vec<Position>, csv::Error> = rows.deserialize().collect();
    rows.map_err(|error| FeedsError::List { list, problem: error.to_string() })
}

/// The position of the station whose files have this stem.
fn position_of(positions: &[Position], station: &str) -> Option<LatLon> {
    let found = positions.iter().find(|position| stem(&position.station) == station)?;
    LatLon::new(found.lat_deg, found.lon_deg).ok()
}

fn keep_position(climate: &Path, station: &str, position: LatLon) -> Result<(), FeedsError> {
    let mut all = positions(climate)?;
    all.retain(|known| stem(&known.station) != station);
    let (lat_deg, lon_deg) = (position.lat_deg(), position.lon_deg());
    all.push(Position { station: station.to_owned(), lat_deg, lon_deg });
    let list = climate.join(POSITIONS);
    let failed = |error: csv::Error| FeedsError::writing(&list, std::io::Error::other(error));
    let mut writer = csv::Writer::from_writer(Vec::new());
    for row in &all {
        writer.serialize(row).map_err(failed)?;
    }
    let text =
        writer.into_inner().map_err(|error| FeedsError::writing(&list, error.into_error()))?;
    write_atomically(&list, &text)
}
