//! CF NetCDF: classic and 4, one picture or many to a file.
//!
//! The Climate and Forecast conventions say what a variable is by its `standard_name` and `units`,
//! where its cells lie by one coordinate variable an axis and a `grid_mapping`, and what is missing
//! by `_FillValue` and its kin. Files may count either axis either way and put axes in any order.

use fairspell_ground::Reading;
use jiff::Timestamp;
use ndarray::{Array2, Axis, Ix2};
use netcdf_reader::{NcFile, NcOpenOptions, NcSliceInfo, NcSliceInfoElem, NcVariable};

use super::{CELLS_MAX, Direction, ReadOptions, hdf5, narrowed, sober};
use crate::{RadarError, RadarRemark, RainField};
use layout::Layout;

mod axis;
mod grid_mapping;
mod layout;
mod rain_variable;
mod time_units;

/// Cells that all pictures of a file may have together: 800 MB of rain rates.
const CELLS_ALL_MAX: usize = 4 * CELLS_MAX;

/// Reads the rain fields of a CF NetCDF file.
///
/// The variable is found by `standard_name` (`rainfall_rate`, `lwe_precipitation_rate` and their
/// kin) or else by its units (mm h-1, m s-1, kg m-2 s-1 in any usual spelling). Axes are one-dimensional:
/// longitude and latitude in degrees, or metres or kilometres with a `grid_mapping`, evenly spaced.
///
/// # Errors
///
/// [`RadarError::Quantity`] when nothing in the file is a rain rate or its unit is another,
/// [`RadarError::Missing`] when axes, map or time are not there, [`RadarError::Unsupported`] for
/// two-dimensional coordinates, uneven axes, and projections that we cannot make.
///
/// # Source
///
/// NetCDF Climate and Forecast (CF) metadata conventions 1.8: chapters 2.5 (missing data), 3.1
/// (units), 4 (coordinates), 8.1 (packed data) and appendix F (grid mappings).
pub fn read_cf(
    bytes: &[u8],
    options: &ReadOptions,
) -> Result<Reading<Vec<RainField>, RadarRemark>, RadarError> {
    let file = open(bytes)?;
    let mut remarks = Vec::new();
    let (variable, mm_h_per_unit) = rain_variable::find(&file, &mut remarks)?;
    let layout = Layout::of(&file, variable, &mut remarks)?;
    let (rows, columns) = options.block(&layout.grid)?;
    let grid = layout.grid.block(&rows, &columns);
    let wanted: Vec<(usize, Timestamp)> = layout
        .valid_times
        .iter()
        .copied()
        .enumerate()
        .filter(|(_, time)| options.wants(*time))
        .collect();
    let cells = (grid.rows as u64 * grid.columns as u64).saturating_mul(wanted.len() as u64);
    if cells > CELLS_ALL_MAX as u64 {
        return Err(RadarError::TooLarge { cells, most: CELLS_ALL_MAX });
    }

    let mut value = Vec::new();
    let mut failure = None;
    for (index, valid_time) in wanted {
        let selection = layout.selection(index, &rows, &columns);
        match read_picture(&file, variable, selection, &layout, mm_h_per_unit) {
            Ok(mut rain_rate_mm_h) => {
                sober(&mut rain_rate_mm_h, valid_time, &mut remarks);
                value.push(RainField { valid_time, grid: grid.clone(), rain_rate_mm_h });
            }
            Err(error) => {
                let cause = error.to_string();
                remarks.push(RadarRemark::PictureLost { index, cause });
                failure.get_or_insert(error);
            }
        }
    }
    match failure {
        Some(error) if value.is_empty() => Err(error),
        _ => Ok(Reading { value, remarks }),
    }
}

/// The moments of the pictures in a CF NetCDF file.
///
/// # Errors
///
/// As [`read_cf`].
pub fn read_cf_times(bytes: &[u8]) -> Result<Vec<Timestamp>, RadarError> {
    let file = open(bytes)?;
    let (variable, _) = rain_variable::find(&file, &mut Vec::new())?;
    Ok(Layout::of(&file, variable, &mut Vec::new())?.valid_times)
}

#[expect(clippy::needless_pass_by_value, reason = "it is handed to map_err")]
fn damaged(error: netcdf_reader::Error) -> RadarError {
    RadarError::Damaged { format: "NetCDF", cause: error.to_string() }
}

fn open(bytes: &[u8]) -> Result<NcFile, RadarError> {
    if !bytes.starts_with(b"CDF") {
        hdf5::root(bytes)?;
    }
    let options = NcOpenOptions {
        max_read_bytes: hdf5::READ_BYTES_MAX,
        max_chunk_bytes: hdf5::READ_BYTES_MAX,
        ..NcOpenOptions::default()
    };
    NcFile::from_bytes_with_options(bytes, options).map_err(damaged)
}

/// A text attribute of a variable, blanks trimmed; `None` when it is empty.
fn text(variable: &NcVariable, name: &str) -> Option<String> {
    let said = variable.attribute(name)?.value.as_string()?;
    let said = said.trim_matches(['\0', ' ', '\n']);
    (!said.is_empty()).then(|| said.to_owned())
}

/// One picture, turned our way, in mm/h.
fn read_picture(
    file: &NcFile,
    variable: &NcVariable,
    selection: Vec<NcSliceInfoElem>,
    layout: &Layout,
    mm_h_per_unit: f64,
) -> Result<Array2<f32>, RadarError> {
    let selection = NcSliceInfo { selections: selection };
    let values = file
        .read_variable_slice_unpacked_masked(variable.name(), &selection)
        .map_err(damaged)?
        .into_dimensionality::<Ix2>()
        .map_err(|error| RadarError::Damaged { format: "NetCDF", cause: error.to_string() })?;
    let mut view = values.view();
    if layout.column_axis < layout.row_axis {
        view.swap_axes(0, 1);
    }
    if layout.rows == Direction::Reversed {
        view.invert_axis(Axis(0));
    }
    if layout.columns == Direction::Reversed {
        view.invert_axis(Axis(1));
    }
    Ok(view.map(|value| narrowed(value * mm_h_per_unit)))
}
