//! Lists of places in CSV files.

use std::path::Path;

use anyhow::{Context, Result, bail};
use csv::StringRecord;
use fairspell_ground::LatLon;

/// What every such file begins with.
const NEEDED: [&str; 2] = ["lat", "lon"];

/// Every row's place, in order, or what is wrong with the row.
///
/// Fails when the file cannot be read as CSV with the header `lat,lon` (in any order, among other
/// columns), and when no row is a place.
pub(crate) fn each(file: &Path) -> Result<Vec<Result<LatLon, String>>> {
    let shown = file.display();
    let mut reader = csv::ReaderBuilder::new()
        .trim(csv::Trim::All)
        .flexible(true)
        .from_path(file)
        .with_context(|| format!("read {shown}"))?;
    let header = reader.headers().with_context(|| format!("read {shown}"))?.clone();
    let columns = NEEDED
        .map(|name| header.iter().position(|column| column.trim_start_matches('\u{feff}') == name));
    let [Some(lat), Some(lon)] = columns else {
        bail!("{shown} needs the header lat,lon");
    };
    let mut places = Vec::new();
    for (index, row) in reader.records().enumerate() {
        let row = row.with_context(|| format!("read {shown}"))?;
        let line = row.position().map_or(index as u64 + 2, csv::Position::line);
        places.push(place(&row, lat, lon).map_err(|cause| format!("line {line}: {cause}")));
    }
    if places.iter().all(Result::is_err) {
        let cause = places.into_iter().find_map(Result::err);
        bail!(
            "{shown} holds no places{}",
            cause.map_or_else(String::new, |cause| format!(": {cause}"))
        );
    }
    Ok(places)
}

/// Every place of a file in which every row has to be one.
pub(crate) fn all(file: &Path) -> Result<Vec<LatLon>> {
    each(file)?
        .into_iter()
        .map(|place| place.map_err(|cause| anyhow::anyhow!("{}, {cause}", file.display())))
        .collect()
}

fn place(row: &StringRecord, lat: usize, lon: usize) -> Result<LatLon, String> {
    let number = |column: usize| {
        let text = row.get(column).unwrap_or_default();
        text.parse::<f64>().map_err(|_| format!("expected degrees, found `{text}`"))
    };
    LatLon::new(number(lat)?, number(lon)?).map_err(|error| error.to_string())
}
