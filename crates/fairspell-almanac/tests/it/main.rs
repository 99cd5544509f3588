//! Integration tests; the modules mirror `src/`.

#![expect(clippy::unwrap_used, reason = "a helper that cannot set a test up fails it")]

mod demo;
mod events;
mod moon;
mod phases;
mod refraction;
mod skyline;
mod skyline_sighting;
mod sun;
mod sun_track;
mod tide;
mod tide_season;
mod tide_table;
mod tide_windows;

use fairspell_ground::LatLon;
use jiff::{Timestamp, tz::TimeZone};

fn place(lat_deg: f64, lon_deg: f64) -> LatLon {
    LatLon::new(lat_deg, lon_deg).unwrap()
}

fn zone(name: &str) -> TimeZone {
    TimeZone::get(name).unwrap()
}

/// The rows of a reference table, each with a way to look a column up.
fn rows(table: &'static str) -> impl Iterator<Item = Row> {
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    let header = reader.headers().unwrap().clone();
    reader.into_records().map(move |record| Row { header: header.clone(), record: record.unwrap() })
}

struct Row {
    header: csv::StringRecord,
    record: csv::StringRecord,
}

impl Row {
    fn text(&self, column: &str) -> &str {
        let index = self.header.iter().position(|name| name == column).unwrap();
        &self.record[index]
    }

    fn number(&self, column: &str) -> f64 {
        self.text(column).parse().unwrap()
    }

    fn time(&self, column: &str) -> Timestamp {
        self.text(column).parse().unwrap()
    }

    fn place(&self) -> LatLon {
        place(self.number("lat"), self.number("lon"))
    }
}

fn seconds_between(a: Timestamp, b: Timestamp) -> i64 {
    a.duration_since(b).as_secs()
}
