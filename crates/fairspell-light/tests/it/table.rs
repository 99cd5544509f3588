//! Reference tables.

/// The rows of some columns, as numbers; rows in which one of them is empty are left out.
pub(crate) fn rows<const N: usize>(table: &str, columns: [&str; N]) -> Vec<[f64; N]> {
    // Some rows end early.
    let mut reader = csv::ReaderBuilder::new().flexible(true).from_reader(table.as_bytes());
    let header = reader.headers().unwrap().clone();
    let columns = columns
        .map(|column| header.iter().position(|name| name == column).expect("is in the head"));
    let records = reader.records().map(Result::unwrap);
    records
        .filter(|record| columns.iter().all(|column| !record[*column].is_empty()))
        .map(|record| columns.map(|column| record[column].parse().unwrap()))
        .collect()
}
