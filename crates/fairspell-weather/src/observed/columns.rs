//! CSV with a header, read by the names of its columns.

use csv::{Reader, ReaderBuilder, StringRecord, Trim};
use fairspell_ground::LatLon;

use crate::WeatherError;

/// A CSV whose columns are known by name, whatever their order and capitals.
pub(super) struct Columns<'a> {
    reader: Reader<&'a [u8]>,
    names: Vec<String>,
}

impl<'a> Columns<'a> {
    /// Reads the header.
    pub(super) fn new(text: &'a str) -> Result<Self, WeatherError> {
        let mut reader = reader(text, true);
        let names = reader.headers().map_err(|error| unreadable(&error))?;
        let names = names.iter().map(str::to_ascii_lowercase).collect();
        Ok(Columns { reader, names })
    }

    /// The names, in small letters.
    pub(super) fn names(&self) -> &[String] {
        &self.names
    }

    /// Where a column stands.
    pub(super) fn index(&self, name: &str) -> Option<usize> {
        self.names.iter().position(|found| found == name)
    }

    /// The next row; `None` at the end.
    pub(super) fn next(&mut self, row: &mut StringRecord) -> Result<bool, WeatherError> {
        self.reader.read_record(row).map_err(|error| unreadable(&error))
    }
}

/// A reader of rows that may differ in length.
pub(super) fn reader(text: &str, has_headers: bool) -> Reader<&[u8]> {
    let mut builder = ReaderBuilder::new();
    builder.has_headers(has_headers).flexible(true).trim(Trim::All);
    builder.from_reader(text.as_bytes())
}

/// A fault that no later row can mend.
pub(super) fn unreadable(error: &csv::Error) -> WeatherError {
    WeatherError::Unreadable { what: "record of rain", cause: error.to_string() }
}

/// A field that is there and not blank.
pub(super) fn field(row: &StringRecord, index: Option<usize>) -> Option<&str> {
    index.and_then(|index| row.get(index)).filter(|text| !text.is_empty())
}

/// A position from two columns, where both say something that can be.
pub(super) fn position(
    row: &StringRecord,
    lat: Option<usize>,
    lon: Option<usize>,
) -> Option<LatLon> {
    let lat_deg = field(row, lat)?.parse().ok()?;
    let lon_deg = field(row, lon)?.parse().ok()?;
    LatLon::new(lat_deg, lon_deg).ok()
}

/// Which line a row stands on, counted from 1.
pub(super) fn line(row: &StringRecord) -> u64 {
    row.position().map_or(0, csv::Position::line)
}

/// A row as it was, for a remark.
pub(super) fn joined(row: &StringRecord) -> String {
    row.iter().collect::<Vec<_>>().join(",")
}
