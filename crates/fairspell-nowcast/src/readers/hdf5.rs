//! HDF5: the container of ODIM and of NetCDF-4.

use hdf5_reader::{Hdf5File, OpenOptions, group::Group};

use super::CELLS_MAX;
use crate::RadarError;

/// What one reading of a block may take, bytes.
pub(super) const READ_BYTES_MAX: usize = CELLS_MAX * size_of::<f64>();

/// The root of a complete file.
///
/// A file cut short may still have the picture but not the rest; its header says how long it was
/// meant to be, and we rather have it fetched again.
pub(super) fn root(bytes: &[u8]) -> Result<Group, RadarError> {
    let options = OpenOptions {
        max_read_bytes: READ_BYTES_MAX,
        max_chunk_bytes: READ_BYTES_MAX,
        ..OpenOptions::default()
    };
    let file = Hdf5File::from_bytes_with_options(bytes, options).map_err(damaged)?;
    let meant = file.superblock().eof_address;
    if meant > bytes.len() as u64 {
        let cause = format!("{} bytes of {meant}", bytes.len());
        return Err(RadarError::Damaged { format: "HDF5", cause });
    }
    file.root_group().map_err(damaged)
}

#[expect(clippy::needless_pass_by_value, reason = "it is handed to map_err")]
pub(super) fn damaged(error: hdf5_reader::error::Error) -> RadarError {
    RadarError::Damaged { format: "HDF5", cause: error.to_string() }
}
