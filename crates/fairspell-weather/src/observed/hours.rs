//! Our own layout: one hour a row, `time` and an amount whose name ends in its unit.

use csv::StringRecord;
use jiff::Timestamp;

use super::{
    ObservedFault, ObservedRemark, Stations,
    columns::{Columns, field, joined, line, position},
    rows::{Amount, MM_PER_INCH, Tallies, note, shown, tally},
};
use crate::WeatherError;

/// Hours: `time` (RFC 3339 with offset: when the hour begins), `rain_amount_mm` or `rain_amount_in`,
/// and where the file has them `station`, `name`, `lat_deg`, `lon_deg`.
pub(super) fn read(
    text: &str,
    unnamed: &str,
    remarks: &mut Vec<ObservedRemark>,
) -> Result<Stations<Timestamp>, WeatherError> {
    let mut columns = Columns::new(text)?;
    let (amount, mm) = amount_column(&columns)?;
    let [time, station, name, lat, lon] =
        ["time", "station", "name", "lat_deg", "lon_deg"].map(|name| columns.index(name));
    let mut stations = Stations::<Timestamp>::new();
    let mut unreadable = Tallies::new();
    let mut row = StringRecord::new();
    while columns.next(&mut row)? {
        let Some(at) = field(&row, time).and_then(|text| text.parse::<Timestamp>().ok()) else {
            let first = shown(line(&row), &joined(&row));
            tally(&mut unreadable, ObservedFault::UnreadableRow, first);
            continue;
        };
        let station = field(&row, station).unwrap_or(unnamed);
        let rows = stations.entry(station.to_owned()).or_default();
        rows.name = field(&row, name).map(str::to_owned).or(rows.name.take());
        rows.position = position(&row, lat, lon).or(rows.position);
        rows.put(at, Amount::parsed(row.get(amount).unwrap_or_default(), mm));
    }
    note(unreadable, "", remarks);
    Ok(stations)
}

/// The one column with an amount, and how many mm its unit has.
fn amount_column(columns: &Columns<'_>) -> Result<(usize, f64), WeatherError> {
    let found = (columns.index("rain_amount_mm"), columns.index("rain_amount_in"));
    match found {
        (Some(index), None) => Ok((index, 1.0)),
        (None, Some(index)) => Ok((index, MM_PER_INCH)),
        _ => Err(WeatherError::WrongDocument {
            expected: "one column `rain_amount_mm` or `rain_amount_in`",
            found: format!("the header `{}`", columns.names().join("`, `")),
        }),
    }
}
