//! Radar files of the services, read into rain fields.
//!
//! Three formats carry most of the world's radar pictures: GRIB2 in the United States, ODIM HDF5 in
//! Europe, CF NetCDF wherever research has been. [`read_rain_fields`] tells them apart by their
//! first bytes and hands them to
//!
//! - [`grib2`]: rain rate of the American national mosaic
//! - [`odim`]: composites after the European data information model
//! - [`cf`]: NetCDF, classic and 4, after the Climate and Forecast conventions
//!
//! Whatever the file had, a field comes out with row 0 in the north, columns running east, rain rate
//! in mm/h, NaN where nothing was measured and 0 where it was dry. All readers are pure functions
//! and none panics, whatever the bytes.

use std::io::Read;
use std::ops::{Range, RangeInclusive};

use fairspell_ground::{LatLon, Reading};
use jiff::Timestamp;
use ndarray::Array2;

use crate::{Grid, RadarError, RadarRemark, RainField, ZR};

pub mod cf;
pub mod grib2;
mod hdf5;
mod map;
pub mod odim;

/// Cells that a picture may have: twice the largest national mosaic that we know. A few bytes can
/// declare a picture that fills the memory; beyond this we refuse.
pub const CELLS_MAX: usize = 50_000_000;

/// Rain rates beyond this, mm/h, are a code or a fault, not rain. The hardest minute ever measured
/// was 38 mm (Guadeloupe, 1970), or 2280 mm/h, and clutter looks like more.
pub const RAIN_RATE_MAX_MM_H: f32 = 10_000.0;

/// What a compressed file may unpack to, bytes.
const UNPACKED_MAX: usize = 256 << 20;

/// What of a radar file is wanted.
///
/// # Examples
///
/// ```
/// use fairspell_ground::LatLon;
/// use fairspell_nowcast::{Cut, ReadOptions};
///
/// let beach = LatLon::new(43.27, -2.93)?;
/// let options = ReadOptions {
///     cut: Some(Cut { centre: beach, radius_km: 300.0 }),
///     ..ReadOptions::default()
/// };
/// assert_eq!(options.z_r.to_string(), "200,1.6");
/// # Ok::<(), fairspell_ground::GroundError>(())
/// ```
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ReadOptions {
    /// Only this part of the map; all of it when `None`. Much quicker on a national mosaic.
    pub cut: Option<Cut>,
    /// How reflectivity becomes rain rate, where the file has reflectivity.
    pub z_r: ZR,
    /// Only pictures of these moments; the others are not decoded. All when `None`.
    pub valid_times: Option<RangeInclusive<Timestamp>>,
}

/// A part of the map.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cut {
    /// Its middle.
    pub centre: LatLon,
    /// How far it reaches from there at least, km.
    pub radius_km: f64,
}

/// Reads every rain field of a radar file, whichever of the three formats it has.
///
/// A file that is compressed as a whole with gzip, as some services publish them, is unpacked first.
/// Fields come in the order of the file. A picture that cannot be read is left out with a remark,
/// unless it is the only one.
///
/// # Examples
///
/// ```
/// use fairspell_nowcast::{RadarError, ReadOptions, read_rain_fields};
///
/// // What a server sends when it is down for maintenance is not a dry evening.
/// let page = b"<html>Back soon</html>";
/// let error = read_rain_fields(page, &ReadOptions::default()).unwrap_err();
/// assert!(matches!(error, RadarError::Format(_)));
/// ```
///
/// # Errors
///
/// See [`RadarError`]. A cut that misses the map is [`RadarError::OutsideMap`].
pub fn read_rain_fields(
    bytes: &[u8],
    options: &ReadOptions,
) -> Result<Reading<Vec<RainField>, RadarRemark>, RadarError> {
    match Container::of(bytes)? {
        Container::Gzip => read_rain_fields(&unpacked(bytes)?, options),
        Container::Grib => grib2::read_grib2(bytes, options),
        Container::Hdf5 if odim::is_odim(&hdf5::root(bytes)?) => odim::read_odim(bytes, options),
        Container::Hdf5 | Container::ClassicNetCdf => cf::read_cf(bytes, options),
    }
}

/// The moments of the pictures in a radar file, without decoding the pictures.
///
/// # Errors
///
/// As [`read_rain_fields`]; a file may still turn out unreadable when its pictures are decoded.
pub fn read_times(bytes: &[u8]) -> Result<Vec<Timestamp>, RadarError> {
    match Container::of(bytes)? {
        Container::Gzip => read_times(&unpacked(bytes)?),
        Container::Grib => grib2::read_grib2_times(bytes),
        Container::Hdf5 if odim::is_odim(&hdf5::root(bytes)?) => odim::read_odim_times(bytes),
        Container::Hdf5 | Container::ClassicNetCdf => cf::read_cf_times(bytes),
    }
}

/// What the first bytes say.
enum Container {
    Gzip,
    Grib,
    Hdf5,
    ClassicNetCdf,
}

impl Container {
    fn of(bytes: &[u8]) -> Result<Self, RadarError> {
        match bytes {
            [] => Err(RadarError::Format("an empty file".to_owned())),
            [0x1f, 0x8b, ..] => Ok(Container::Gzip),
            [b'G', b'R', b'I', b'B', ..] => Ok(Container::Grib),
            [0x89, b'H', b'D', b'F', ..] => Ok(Container::Hdf5),
            [b'C', b'D', b'F', ..] => Ok(Container::ClassicNetCdf),
            _ => {
                let start = &bytes[..bytes.len().min(16)];
                Err(RadarError::Format(format!("`{}`", start.escape_ascii())))
            }
        }
    }
}

/// What a gzip file holds. A gzip file inside a gzip file is refused.
fn unpacked(bytes: &[u8]) -> Result<Vec<u8>, RadarError> {
    let damaged = |cause: String| RadarError::Damaged { format: "gzip", cause };
    let mut inside = Vec::new();
    flate2::read::MultiGzDecoder::new(bytes)
        .take(UNPACKED_MAX as u64 + 1)
        .read_to_end(&mut inside)
        .map_err(|error| damaged(error.to_string()))?;
    if inside.len() > UNPACKED_MAX {
        return Err(damaged(format!("it unpacks to more than {UNPACKED_MAX} bytes")));
    }
    if inside.starts_with(&[0x1f, 0x8b]) {
        return Err(RadarError::Format("a gzip file within a gzip file".to_owned()));
    }
    Ok(inside)
}

impl ReadOptions {
    /// Whether a picture of this moment is wanted.
    fn wants(&self, valid_time: Timestamp) -> bool {
        self.valid_times.as_ref().is_none_or(|wanted| wanted.contains(&valid_time))
    }

    /// The rows and columns of a grid that are wanted; refuses grids that no radar has.
    fn block(&self, grid: &Grid) -> Result<(Range<usize>, Range<usize>), RadarError> {
        let cells = grid.rows as u64 * grid.columns as u64;
        if cells > CELLS_MAX as u64 {
            return Err(RadarError::TooLarge { cells, most: CELLS_MAX });
        }
        let Some(Cut { centre, radius_km }) = self.cut else {
            return Ok((0..grid.rows, 0..grid.columns));
        };
        grid.block_around(centre, radius_km).ok_or(RadarError::OutsideMap { centre, radius_km })
    }
}

/// How a file counts along one axis of its picture.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Direction {
    /// As we do: rows southward, columns eastward.
    Ours,
    /// The other way round.
    Reversed,
}

impl Direction {
    /// Where the file keeps a range of our indices.
    fn in_file(self, range: &Range<usize>, count: usize) -> Range<usize> {
        match self {
            Direction::Ours => range.clone(),
            Direction::Reversed => count - range.end..count - range.start,
        }
    }
}

/// Takes rain rates that no sky has as not measured, and says so.
///
/// Rates just below zero are what packing makes of zero, and become zero.
fn sober(rain_rate_mm_h: &mut Array2<f32>, valid_time: Timestamp, remarks: &mut Vec<RadarRemark>) {
    const PACKED_ZERO_MM_H: f32 = -1e-3;
    let mut cells = 0;
    let mut example_mm_h = f32::NAN;
    for rate in rain_rate_mm_h.iter_mut() {
        if (PACKED_ZERO_MM_H..0.0).contains(rate) {
            *rate = 0.0;
        } else if *rate < 0.0 || *rate > RAIN_RATE_MAX_MM_H {
            if cells == 0 {
                example_mm_h = *rate;
            }
            cells += 1;
            *rate = f32::NAN;
        }
    }
    if cells > 0 {
        remarks.push(RadarRemark::ImpossibleRates { valid_time, cells, example_mm_h });
    }
}

/// A rate as it is kept: radar rates have three or four figures, single precision seven.
#[expect(clippy::cast_possible_truncation, reason = "the narrowing that this function is for")]
fn narrowed(rain_rate_mm_h: f64) -> f32 {
    rain_rate_mm_h as f32
}
