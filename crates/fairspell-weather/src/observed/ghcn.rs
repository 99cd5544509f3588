//! GHCN-Daily: the daily records of the US National Centers for Environmental Information, in the three
//! layouts in which they are given away. Rain is the element PRCP, in tenths of a millimetre.

use csv::StringRecord;
use jiff::civil::Date;

use super::{
    ObservedFault, ObservedRemark, Stations,
    columns::{Columns, field, joined, line, position, reader, unreadable},
    rows::{Amount, Tallies, note, shown, tally},
};
use crate::WeatherError;

const MM: f64 = 0.1;
const ELEMENT: &str = "PRCP";

/// Fixed columns: station 1 to 11, year 12 to 15, month 16 to 17, element 18 to 21, then for each day
/// of the month a value of five columns and the flags of measurement, quality and source.
pub(super) fn dly(text: &str, remarks: &mut Vec<ObservedRemark>) -> Stations<Date> {
    let mut stations = Stations::<Date>::new();
    let mut faults = Tallies::new();
    for (number, text) in (1..).zip(text.lines()) {
        let line = text.as_bytes();
        if line.is_empty() || columns(line, 17, 21).is_some_and(|element| element != ELEMENT) {
            continue;
        }
        let Some((station, days)) = month(line) else {
            tally(&mut faults, ObservedFault::UnreadableRow, shown(number, text));
            continue;
        };
        let rows = stations.entry(station).or_default();
        for (date, amount) in days {
            rows.put(date, amount);
        }
    }
    note(faults, "", remarks);
    stations
}

/// The text between two columns, counted from 0; `None` where the line ends before.
fn columns(line: &[u8], from: usize, to: usize) -> Option<&str> {
    std::str::from_utf8(line.get(from..to)?).ok()
}

/// A month's station and days; `None` for a line that cannot be one.
fn month(line: &[u8]) -> Option<(String, Vec<(Date, Amount)>)> {
    let station = columns(line, 0, 11)?.trim();
    let year = columns(line, 11, 15)?.parse().ok()?;
    let month = columns(line, 15, 17)?.parse().ok()?;
    let first = Date::new(year, month, 1).ok()?;
    let day = |day: i8| {
        let date = Date::new(year, month, day).ok()?;
        let at = 21 + 8 * usize::try_from(day - 1).ok()?;
        // Blanks at the end of a line are often lost.
        let flag = |offset| columns(line, at + offset, at + offset + 1).unwrap_or_default();
        let value = columns(line, at, at + 5).unwrap_or_default();
        Some((date, amount(value, flag(5), flag(6))))
    };
    let days = (1..=first.days_in_month()).filter_map(day).collect();
    (!station.is_empty()).then(|| (station.to_owned(), days))
}

/// CSV with a header: `STATION`, `DATE`, `PRCP`, and where there are any `PRCP_ATTRIBUTES` (flags with
/// commas between them), `NAME`, `LATITUDE`, `LONGITUDE`.
pub(super) fn by_station(
    text: &str,
    remarks: &mut Vec<ObservedRemark>,
) -> Result<Stations<Date>, WeatherError> {
    let mut columns = Columns::new(text)?;
    let [station, date, value, flags] =
        ["station", "date", "prcp", "prcp_attributes"].map(|name| columns.index(name));
    let [name, lat, lon] = ["name", "latitude", "longitude"].map(|name| columns.index(name));
    let mut stations = Stations::<Date>::new();
    let mut faults = Tallies::new();
    let mut row = StringRecord::new();
    while columns.next(&mut row)? {
        let day = field(&row, date).and_then(|text| text.parse::<Date>().ok());
        let (Some(id), Some(day)) = (field(&row, station), day) else {
            let first = shown(line(&row), &joined(&row));
            tally(&mut faults, ObservedFault::UnreadableRow, first);
            continue;
        };
        let value = field(&row, value).unwrap_or_default();
        // Orders in inches or in millimetres have the same header, and a point in their values.
        if value.contains('.') {
            return Err(WeatherError::WrongDocument {
                expected: "`PRCP` in tenths of a millimetre",
                found: format!("`{value}` in `PRCP`, whose unit the file does not name"),
            });
        }
        let mut flags = field(&row, flags).unwrap_or_default().split(',').map(str::trim);
        let [m, q] = [flags.next(), flags.next()].map(Option::unwrap_or_default);
        let rows = stations.entry(id.to_owned()).or_default();
        rows.name = field(&row, name).map(str::to_owned).or(rows.name.take());
        rows.position = position(&row, lat, lon).or(rows.position);
        rows.put(day, amount(value, m, q));
    }
    note(faults, "", remarks);
    Ok(stations)
}

/// CSV without a header: station, day as `YYYYMMDD`, element, value, flags of measurement, quality and
/// source, time of observation. A header is passed over.
pub(super) fn by_element(
    text: &str,
    remarks: &mut Vec<ObservedRemark>,
) -> Result<Stations<Date>, WeatherError> {
    let mut reader = reader(text, false);
    let mut stations = Stations::<Date>::new();
    let mut faults = Tallies::new();
    let mut row = StringRecord::new();
    while reader.read_record(&mut row).map_err(|error| unreadable(&error))? {
        let cell = |index: usize| row.get(index).unwrap_or_default();
        let is_header =
            cell(0).eq_ignore_ascii_case("id") && cell(2).eq_ignore_ascii_case("element");
        let is_other = cell(2).len() == 4 && cell(2) != ELEMENT;
        if is_header || is_other {
            continue;
        }
        let day = Date::strptime("%Y%m%d", cell(1)).ok().filter(|_| cell(1).len() == 8);
        let (Some(day), false, ELEMENT) = (day, cell(0).is_empty(), cell(2)) else {
            let first = shown(line(&row), &joined(&row));
            tally(&mut faults, ObservedFault::UnreadableRow, first);
            continue;
        };
        let rows = stations.entry(cell(0).to_owned()).or_default();
        rows.put(day, amount(cell(3), cell(4), cell(5)));
    }
    note(faults, "", remarks);
    Ok(stations)
}

/// A value and its flags.
///
/// - `m`: of measurement. `P`: identified as "missing presumed zero"; `A`: a total of several days.
/// - `q`: of quality; blank where no check failed.
fn amount(value: &str, m: &str, q: &str) -> Amount {
    match (Amount::parsed(value, MM), m.trim(), q.trim()) {
        (Amount::Unknown(fault), ..) => Amount::Unknown(fault),
        (_, "P", _) => Amount::Unknown(ObservedFault::Presumed),
        (_, "A", _) => Amount::Unknown(ObservedFault::SeveralDays),
        (amount, _, "") => amount,
        _ => Amount::Unknown(ObservedFault::Flagged),
    }
}
