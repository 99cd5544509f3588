//! CF NetCDF: best estimates and chances of coming moments on the grid of the pictures.

use fairspell_ground::LatLon;
use jiff::Timestamp;
use ndarray::{Array2, ArrayView2};
use netcdf_writer::{
    DimensionId, NC_FILL_FLOAT, NcAttrValue, NcFileBuilder, NcSliceInfo, NcSliceInfoElem,
    NcWriteFormat, NcWriteOptions, VariableId,
};
use rayon::prelude::*;

use crate::Grid;
use crate::nowcast::minutes;
use grid_mapping::mapping_attributes;

mod grid_mapping;

/// Cells that all moments together may have: the writer holds them in memory, about 32 bytes each.
pub const CELLS_MAX: usize = 60_000_000;

/// Strength of compression: quick, and nearly as small as the slowest.
const DEFLATE_LEVEL: u8 = 4;

/// Chances are kept in steps of so much, a power of two, so that their last digits compress away.
const CHANCE_STEP: f32 = 1.0 / 4096.0;

const TIME_UNITS: &str = "seconds since 1970-01-01 00:00:00";

/// What a file of coming moments says of itself.
#[derive(Debug, Clone, Copy)]
pub struct About<'a> {
    /// The grid.
    pub grid: &'a Grid,
    /// The moment from which leads are counted.
    pub issued: Timestamp,
    /// The moment of the newest picture.
    pub newest: Timestamp,
    /// How many pictures it rests on.
    pub frames_used: usize,
    /// The moments, in order, at least one.
    pub valid_times: &'a [Timestamp],
    /// Rain rates whose chances are written, mm/h, at least one.
    pub thresholds_mm_h: &'a [f64],
    /// How the file came about. Put no path of a machine into it.
    pub history: &'a str,
}

/// Why a file could not be written.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum WriteError {
    /// More than fits into memory: a smaller part of the map, or fewer moments.
    #[error("{cells} cells in all moments together, at most {most} can be written")]
    TooLarge {
        /// How many there would be.
        cells: usize,
        /// How many there may be.
        most: usize,
    },
    /// The writing library refused.
    #[error("write NetCDF: {0}")]
    NetCdf(String),
}

impl From<netcdf_writer::Error> for WriteError {
    fn from(error: netcdf_writer::Error) -> Self {
        WriteError::NetCdf(error.to_string())
    }
}

/// A NetCDF-4 file of coming moments, filled moment by moment.
///
/// It holds `rain_rate(time, y, x)` in mm/h, the best estimate, and `exceedance(threshold, time, y,
/// x)`, the chance of at least so much at that moment; the last two dimensions are called `lat` and
/// `lon` where the grid is one of degrees. What is not known has `_FillValue`, never 0. Row 0 is the
/// north. What was not added stays not known.
///
/// # Examples
///
/// ```
/// use fairspell_ground::Projection;
/// use fairspell_nowcast::readers::cf::read_cf;
/// use fairspell_nowcast::writers::cf::{About, CfFile};
/// use fairspell_nowcast::{Grid, ReadOptions};
/// use jiff::{SignedDuration, Timestamp};
/// use ndarray::array;
///
/// let grid = Grid {
///     projection: Projection::degrees(),
///     x_first: 152.0,
///     y_first: -31.0,
///     x_step: 0.5,
///     y_step: 0.5,
///     rows: 2,
///     columns: 2,
/// };
/// let issued: Timestamp = "2026-09-03T04:00:00Z".parse()?;
/// let valid_times = [issued + SignedDuration::from_mins(5)];
/// let about = About {
///     grid: &grid,
///     issued,
///     newest: issued,
///     frames_used: 3,
///     valid_times: &valid_times,
///     thresholds_mm_h: &[0.1],
///     history: "an example",
/// };
/// let mut file = CfFile::new(&about)?;
/// file.add_rain_rate(0, &array![[0.0, 0.5], [2.0, f32::NAN]].view())?;
/// file.add_exceedance(0, 0, &array![[0.1, 0.5], [0.9, f32::NAN]].view())?;
/// let bytes = file.into_bytes()?;
///
/// let back = read_cf(&bytes, &ReadOptions::default())?.value;
/// assert_eq!(back[0].valid_time, valid_times[0]);
/// assert_eq!(back[0].rain_rate_mm_h[[1, 0]], 2.0);
/// assert!(back[0].rain_rate_mm_h[[1, 1]].is_nan());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Source
///
/// NetCDF Climate and Forecast (CF) metadata conventions 1.8: chapters 2.5 (missing data), 4
/// (coordinates), 5.6 and appendix F (grid mappings), 6.1 (scalar coordinates). `rainfall_rate` is
/// in the standard name table with the canonical unit m s-1, into which mm h-1 can be turned; for a
/// chance of exceeding a threshold the table has no name, so `exceedance` has a `long_name` alone.
#[derive(Debug)]
pub struct CfFile {
    file: NcFileBuilder,
    rain_rate: VariableId,
    exceedance: VariableId,
    rows: usize,
    columns: usize,
}

impl CfFile {
    /// A file in which nothing is known yet.
    ///
    /// # Errors
    ///
    /// [`WriteError::TooLarge`] beyond [`CELLS_MAX`].
    pub fn new(about: &About<'_>) -> Result<Self, WriteError> {
        let Grid { rows, columns, .. } = *about.grid;
        let cells = rows.saturating_mul(columns).saturating_mul(about.valid_times.len());
        if cells > CELLS_MAX {
            return Err(WriteError::TooLarge { cells, most: CELLS_MAX });
        }
        let mut file = NcFileBuilder::new();
        describe(&mut file, about)?;
        let time = time_coordinates(&mut file, about)?;
        let threshold = threshold_coordinate(&mut file, about.thresholds_mm_h)?;
        let (y, x) = map_coordinates(&mut file, about.grid)?;

        let rain_rate = file.add_variable::<f32>("rain_rate", &[time, y, x])?;
        attributes(
            &mut file,
            rain_rate,
            &[
                ("standard_name", "rainfall_rate"),
                ("long_name", "rain rate at the moment, best estimate"),
                ("units", "mm h-1"),
                ("cell_methods", "time: point"),
            ],
        )?;
        let exceedance = file.add_variable::<f32>("exceedance", &[threshold, time, y, x])?;
        attributes(
            &mut file,
            exceedance,
            &[
                ("long_name", "chance of at least the threshold's rain rate at the moment"),
                ("units", "1"),
                ("cell_methods", "time: point"),
            ],
        )?;
        let [rows_long, columns_long] = [rows, columns].map(|count| count as u64);
        let coordinates = if about.grid.projection.is_degrees() {
            "forecast_reference_time lead_time"
        } else {
            "forecast_reference_time lead_time lat lon"
        };
        for (variable, chunk) in [
            (rain_rate, vec![1, rows_long, columns_long]),
            (exceedance, vec![1, 1, rows_long, columns_long]),
        ] {
            attributes(
                &mut file,
                variable,
                &[("grid_mapping", "crs"), ("coordinates", coordinates)],
            )?;
            file.set_variable_fill_value(variable, NC_FILL_FLOAT)?;
            file.set_variable_chunking(variable, chunk)?;
            file.set_variable_deflate(variable, Some(DEFLATE_LEVEL), true)?;
        }
        let mut file = CfFile { file, rain_rate, exceedance, rows, columns };
        let unknown = Array2::from_elem((rows, columns), f32::NAN);
        for moment in 0..about.valid_times.len() {
            file.add_rain_rate(moment, &unknown.view())?;
            for threshold in 0..about.thresholds_mm_h.len() {
                file.add_exceedance(threshold, moment, &unknown.view())?;
            }
        }
        Ok(file)
    }

    /// The best estimate of a moment, mm/h, NaN where it is not known.
    ///
    /// # Errors
    ///
    /// [`WriteError::NetCdf`] for a moment that the file does not have, or another number of cells.
    pub fn add_rain_rate(
        &mut self,
        moment: usize,
        rain_rate_mm_h: &ArrayView2<'_, f32>,
    ) -> Result<(), WriteError> {
        let values = stored(rain_rate_mm_h, |rate| rate);
        let at = self.selection(&[moment]);
        Ok(self.file.write_variable_slice(self.rain_rate, &at, &values)?)
    }

    /// The chance of at least a threshold at a moment, 0 to 1, NaN where it is not known.
    ///
    /// # Errors
    ///
    /// As [`add_rain_rate`](Self::add_rain_rate).
    pub fn add_exceedance(
        &mut self,
        threshold: usize,
        moment: usize,
        chance: &ArrayView2<'_, f32>,
    ) -> Result<(), WriteError> {
        let values = stored(chance, |chance| (chance / CHANCE_STEP).round() * CHANCE_STEP);
        let at = self.selection(&[threshold, moment]);
        Ok(self.file.write_variable_slice(self.exceedance, &at, &values)?)
    }

    /// The bytes of the file.
    ///
    /// # Errors
    ///
    /// [`WriteError::NetCdf`] should the library find a fault.
    pub fn into_bytes(self) -> Result<Vec<u8>, WriteError> {
        Ok(self.file.to_vec(NcWriteOptions { format: NcWriteFormat::Nc4 })?.1)
    }

    /// All cells at some place of the dimensions before them.
    fn selection(&self, outer: &[usize]) -> NcSliceInfo {
        let all = |count: usize| NcSliceInfoElem::Slice { start: 0, end: count as u64, step: 1 };
        let mut selections: Vec<NcSliceInfoElem> =
            outer.iter().map(|index| NcSliceInfoElem::Index(*index as u64)).collect();
        selections.extend([all(self.rows), all(self.columns)]);
        NcSliceInfo { selections }
    }
}

fn stored(values: &ArrayView2<'_, f32>, rounded: impl Fn(f32) -> f32) -> Vec<f32> {
    let kept = |value: &f32| if value.is_finite() { rounded(*value) } else { NC_FILL_FLOAT };
    values.iter().map(kept).collect()
}

fn text(text: &str) -> NcAttrValue {
    NcAttrValue::Chars(text.to_owned())
}

fn attributes(
    file: &mut NcFileBuilder,
    variable: VariableId,
    said: &[(&str, &str)],
) -> Result<(), WriteError> {
    for (name, value) in said {
        file.add_variable_attribute(variable, *name, text(value))?;
    }
    Ok(())
}

/// What the file says of itself as a whole.
fn describe(file: &mut NcFileBuilder, about: &About<'_>) -> Result<(), WriteError> {
    let age_min = minutes(about.newest, about.issued);
    for (name, value) in [
        ("Conventions", text("CF-1.8")),
        ("title", text("Rain of the coming hours by radar extrapolation")),
        ("source", text("radar pictures carried along their own motion")),
        ("history", text(about.history)),
        ("radar_picture_time", text(&about.newest.to_string())),
        ("radar_picture_age_min", NcAttrValue::Doubles(vec![age_min])),
        ("radar_pictures_used", NcAttrValue::Ints(vec![count(about.frames_used)])),
    ] {
        file.add_attribute(name, value)?;
    }
    Ok(())
}

/// A count as the format keeps it.
fn count(value: usize) -> i32 {
    i32::try_from(value).unwrap_or(i32::MAX)
}

/// `time` with its leads, and the moment from which these count.
fn time_coordinates(
    file: &mut NcFileBuilder,
    about: &About<'_>,
) -> Result<DimensionId, WriteError> {
    let seconds = |moment: Timestamp| moment.duration_since(Timestamp::UNIX_EPOCH).as_secs_f64();
    let time = file.add_dimension("time", about.valid_times.len() as u64)?;
    let axis = file.add_variable::<f64>("time", &[time])?;
    let said = [
        ("standard_name", "time"),
        ("long_name", "moment that is foretold"),
        ("units", TIME_UNITS),
        ("calendar", "standard"),
        ("axis", "T"),
    ];
    attributes(file, axis, &said)?;
    let values: Vec<f64> = about.valid_times.iter().map(|time| seconds(*time)).collect();
    file.write_variable(axis, &values)?;

    let lead = file.add_variable::<f64>("lead_time", &[time])?;
    let said = [
        ("standard_name", "forecast_period"),
        ("long_name", "time ahead of the moment of the question, not of the newest picture"),
        ("units", "minutes"),
    ];
    attributes(file, lead, &said)?;
    let values: Vec<f64> =
        about.valid_times.iter().map(|time| minutes(about.issued, *time)).collect();
    file.write_variable(lead, &values)?;

    let issued = file.add_variable::<f64>("forecast_reference_time", &[])?;
    let said = [
        ("standard_name", "forecast_reference_time"),
        ("long_name", "moment of the question"),
        ("units", TIME_UNITS),
        ("calendar", "standard"),
    ];
    attributes(file, issued, &said)?;
    file.write_variable(issued, &[seconds(about.issued)])?;
    Ok(time)
}

fn threshold_coordinate(
    file: &mut NcFileBuilder,
    thresholds_mm_h: &[f64],
) -> Result<DimensionId, WriteError> {
    let threshold = file.add_dimension("threshold", thresholds_mm_h.len() as u64)?;
    let axis = file.add_variable::<f64>("threshold", &[threshold])?;
    let said = [
        ("standard_name", "rainfall_rate"),
        ("long_name", "rain rate that is reached or exceeded"),
        ("units", "mm h-1"),
    ];
    attributes(file, axis, &said)?;
    file.write_variable(axis, thresholds_mm_h)?;
    Ok(threshold)
}

/// The two dimensions of the map with their coordinates, and the grid mapping `crs`.
fn map_coordinates(
    file: &mut NcFileBuilder,
    grid: &Grid,
) -> Result<(DimensionId, DimensionId), WriteError> {
    let degrees = grid.projection.is_degrees();
    let names: [(&str, &[(&str, &str)]); 2] = if degrees {
        [
            ("lat", &[("standard_name", "latitude"), ("units", "degrees_north"), ("axis", "Y")]),
            ("lon", &[("standard_name", "longitude"), ("units", "degrees_east"), ("axis", "X")]),
        ]
    } else {
        [
            ("y", &[("standard_name", "projection_y_coordinate"), ("units", "m"), ("axis", "Y")]),
            ("x", &[("standard_name", "projection_x_coordinate"), ("units", "m"), ("axis", "X")]),
        ]
    };
    let rows: Vec<f64> =
        (0..grid.rows).map(|row| grid.y_first - row as f64 * grid.y_step).collect();
    let columns: Vec<f64> =
        (0..grid.columns).map(|column| grid.x_first + column as f64 * grid.x_step).collect();
    let mut dimensions = Vec::new();
    for ((name, said), values) in names.into_iter().zip([rows, columns]) {
        let dimension = file.add_dimension(name, values.len() as u64)?;
        let axis = file.add_variable::<f64>(name, &[dimension])?;
        attributes(file, axis, said)?;
        file.write_variable(axis, &values)?;
        dimensions.push(dimension);
    }
    let (y, x) = (dimensions[0], dimensions[1]);
    if !degrees {
        positions(file, grid, y, x)?;
    }
    let crs = file.add_variable::<i32>("crs", &[])?;
    for (name, value) in mapping_attributes(&grid.projection) {
        file.add_variable_attribute(crs, name, value)?;
    }
    file.write_variable(crs, &[0])?;
    Ok((y, x))
}

/// Degrees of every cell, for programs that do not know the map.
fn positions(
    file: &mut NcFileBuilder,
    grid: &Grid,
    y: DimensionId,
    x: DimensionId,
) -> Result<(), WriteError> {
    let points: Vec<Option<LatLon>> = (0..grid.rows * grid.columns)
        .into_par_iter()
        .map(|cell| grid.point_at((cell / grid.columns) as f64, (cell % grid.columns) as f64))
        .collect();
    let kept = |of: fn(LatLon) -> f64| -> Vec<f32> {
        let degrees = points.iter().map(|point| point.map(of));
        degrees.map(|value| value.map_or(NC_FILL_FLOAT, crate::narrow::single)).collect()
    };
    for (name, long, units, of) in [
        ("lat", "latitude", "degrees_north", LatLon::lat_deg as fn(LatLon) -> f64),
        ("lon", "longitude", "degrees_east", LatLon::lon_deg),
    ] {
        let variable = file.add_variable::<f32>(name, &[y, x])?;
        attributes(file, variable, &[("standard_name", long), ("units", units)])?;
        file.set_variable_fill_value(variable, NC_FILL_FLOAT)?;
        file.set_variable_chunking(variable, vec![grid.rows as u64, grid.columns as u64])?;
        file.set_variable_deflate(variable, Some(DEFLATE_LEVEL), true)?;
        file.write_variable(variable, &kept(of))?;
    }
    Ok(())
}
