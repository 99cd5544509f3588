//! What nowcasts said and what came, kept beside the pictures they were made from.

use std::{
    fs,
    io::{self, Write},
    path::{Path, PathBuf},
};

use fairspell_nowcast::{Nowcast, Record};
use flate2::{Compression, write::GzEncoder};

use crate::{
    keep::write_atomically,
    unpack::{UNPACKED_MAX, unpacked_within},
};

/// How the names of these files begin: hidden, so that nothing takes them for pictures.
const BEGINNING: &str = ".record-";

/// How many are kept in a folder, the last written: one for each part of the sky that is asked about.
const RECORDS_MAX: usize = 12;

/// A nowcast, corrected by the record beside its pictures, which is brought up to date.
///
/// - `folder`: where the pictures lie. Each part of the sky has a hidden file of a few hundred
///   kilobytes there; a dozen are kept.
///
/// A record is only a matter of time: where none is, where it is damaged and where nothing can be
/// written, it is made anew from the nowcast's own pictures.
///
/// # Examples
///
/// ```
/// use fairspell_feeds::record_file::corrected;
/// use fairspell_ground::{LatLon, Projection};
/// use fairspell_nowcast::{Grid, Nowcast, RainField};
/// use jiff::SignedDuration;
///
/// let projection = Projection::from_proj_string("+proj=laea +lat_0=-31.7 +lon_0=152.8")?;
/// let (x_first, y_first, x_step, y_step) = (-49_500.0, 49_500.0, 1000.0, 1000.0);
/// let grid = Grid { projection, x_first, y_first, x_step, y_step, rows: 100, columns: 100 };
/// let issued: jiff::Timestamp = "2026-09-03T04:00:00Z".parse()?;
/// let picture = |age_min: i64| RainField {
///     valid_time: issued - SignedDuration::from_mins(age_min),
///     grid: grid.clone(),
///     rain_rate_mm_h: ndarray::Array2::from_elem((100, 100), 2.0),
/// };
/// let pictures = (0..=9).map(|step| picture(10 * step)).collect();
/// let nowcast = Nowcast::from_fields(pictures, issued)?.value;
/// let folder = tempfile::tempdir()?;
/// assert!(corrected(nowcast, folder.path()).is_corrected());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn corrected(nowcast: Nowcast, folder: &Path) -> Nowcast {
    let file = folder.join(name_for(&nowcast));
    let known = read(&file).unwrap_or_default();
    let mut record = known.clone();
    record.follow(&nowcast);
    // A folder that cannot be written to only costs time.
    if record != known && write(&file, &record).is_ok() {
        sweep(folder);
    }
    nowcast.corrected_by(&record)
}

/// A name for the part of the sky that a nowcast knows.
fn name_for(nowcast: &Nowcast) -> String {
    let grid = &nowcast.newest().grid;
    let (x, y) = (grid.x_first, grid.y_first);
    format!("{BEGINNING}{}x{}{x:+.3}{y:+.3}.json.gz", grid.rows, grid.columns)
}

/// `None` for a file that is not there or cannot be made out.
fn read(file: &Path) -> Option<Record> {
    let bytes = unpacked_within(fs::read(file).ok()?, UNPACKED_MAX).ok()?;
    serde_json::from_slice(&bytes).ok()
}

fn write(file: &Path, record: &Record) -> io::Result<()> {
    let mut packed = GzEncoder::new(Vec::new(), Compression::fast());
    packed.write_all(&serde_json::to_vec(record)?)?;
    write_atomically(file, &packed.finish()?).map_err(io::Error::other)
}

/// Takes away all but the last written.
fn sweep(folder: &Path) {
    let Ok(entries) = fs::read_dir(folder) else { return };
    let mut records: Vec<_> = entries
        .filter_map(Result::ok)
        .filter(|entry| {
            let name = entry.file_name();
            let name = name.to_string_lossy();
            name.starts_with(BEGINNING) && name.ends_with(".gz")
        })
        .filter_map(|entry| Some((entry.metadata().ok()?.modified().ok()?, entry.path())))
        .collect::<Vec<(_, PathBuf)>>();
    records.sort();
    let spare = records.len().saturating_sub(RECORDS_MAX);
    for (_, file) in &records[..spare] {
        // Whoever else tidies up may have been quicker.
        fs::remove_file(file).ok();
    }
}
