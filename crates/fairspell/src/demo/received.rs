//! What was received when: the list beside the readings.

use anyhow::Context as _;
use jiff::Timestamp;

/// A file under `readings/`.
#[derive(Debug)]
pub(super) struct File {
    /// Its path, relative to `readings/`.
    pub(super) name: String,
    /// What stands in it.
    pub(super) bytes: Vec<u8>,
}

/// One fetch.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Received {
    /// The file, relative to `readings/`; the same one again when nothing had changed.
    pub(super) file: String,
    /// When.
    pub(super) fetched_at: Timestamp,
    /// From whom.
    pub(super) source: &'static str,
}

/// The list as CSV, in order of time.
pub(super) fn csv_of(mut received: Vec<Received>) -> anyhow::Result<Vec<u8>> {
    received.sort_by(|a, b| (a.fetched_at, &a.file).cmp(&(b.fetched_at, &b.file)));
    let mut csv = csv::Writer::from_writer(Vec::new());
    csv.write_record(["file", "fetched_at", "source"])?;
    for row in &received {
        csv.write_record([row.file.as_str(), &row.fetched_at.to_string(), row.source])?;
    }
    csv.into_inner().context("write the list of readings")
}
