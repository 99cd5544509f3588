//! ODIM HDF5: the composites of the European radar programme and of many national services.
//!
//! A file is a tree. `/where` says where the map lies and how it is projected, `/what` when it was,
//! `/datasetN/dataM/data` holds a picture, and what its numbers mean stands on a `what` beside it or
//! one level up. Two numbers are codes: *nodata*, not measured, and *undetect*, measured and nothing
//! there. To take one for the other makes a dry evening out of a broken radar.

use fairspell_ground::{LatLon, Projection, Reading};
use hdf5_reader::group::Group;
use hdf5_reader::{Attribute, Dataset, Datatype, H5Type, SliceInfo, SliceInfoElem};
use jiff::{Timestamp, civil, tz::Offset};
use ndarray::{Array2, Ix2};

use super::hdf5::{self, damaged};
use super::{CELLS_MAX, ReadOptions, map, narrowed, sober};
use crate::{Grid, RadarError, RadarRemark, RainField};

/// Reads the rain field of an ODIM composite.
///
/// Rain rate (quantity `RATE`) is taken before reflectivity (`DBZH`), which becomes rain rate by
/// [`ReadOptions::z_r`]. The field's moment is the file's nominal time. A composite holds clutter:
/// single cells of hundreds of mm/h stay in the field, for [`clutter`](crate::clutter) to mend.
///
/// # Errors
///
/// [`RadarError::Quantity`] when the file holds neither quantity or is no map (a volume, a profile),
/// [`RadarError::Damaged`] when it does not fit together.
///
/// # Source
///
/// EUMETNET OPERA data information model for HDF5 (`ODIM_H5`), versions 2.0 to 2.4.
pub fn read_odim(
    bytes: &[u8],
    options: &ReadOptions,
) -> Result<Reading<Vec<RainField>, RadarRemark>, RadarError> {
    let root = hdf5::root(bytes)?;
    let valid_time = nominal_time(&root)?;
    let mut remarks = Vec::new();
    let mut value = Vec::new();
    if options.wants(valid_time) {
        let picture = find_picture(&root, &mut remarks)?;
        let grid = grid(&root, &picture)?;
        let (rows, columns) = options.block(&grid)?;
        let selection = SliceInfo {
            selections: [&rows, &columns]
                .map(|range| SliceInfoElem::Slice {
                    start: range.start as u64,
                    end: range.end as u64,
                    step: 1,
                })
                .to_vec(),
        };
        let dataset = picture.group.dataset("data").map_err(damaged)?;
        let meaning = Meaning::of(&picture)?;
        let rate = |raw: f64| {
            let stored = meaning.value(raw);
            match picture.quantity {
                Quantity::Rate => stored,
                Quantity::Reflectivity if stored == f64::NEG_INFINITY => 0.0,
                Quantity::Reflectivity => options.z_r.rain_rate_mm_h(stored),
            }
        };
        let mut rain_rate_mm_h = read_block(&dataset, &selection, &|raw| narrowed(rate(raw)))?;
        sober(&mut rain_rate_mm_h, valid_time, &mut remarks);
        value.push(RainField { valid_time, grid: grid.block(&rows, &columns), rain_rate_mm_h });
    }
    Ok(Reading { value, remarks })
}

/// The nominal time of an ODIM composite.
///
/// # Errors
///
/// As [`read_odim`].
pub fn read_odim_times(bytes: &[u8]) -> Result<Vec<Timestamp>, RadarError> {
    Ok(vec![nominal_time(&hdf5::root(bytes)?)?])
}

/// Whether an HDF5 file follows ODIM: it says so, or is laid out like it.
pub(super) fn is_odim(root: &Group) -> bool {
    text(root, "Conventions").is_some_and(|said| said.starts_with("ODIM_H5"))
        || (root.group("what").is_ok() && root.group("where").is_ok())
}

fn text(group: &Group, name: &str) -> Option<String> {
    let said = group.attribute(name).ok()?.read_string().ok()?;
    Some(said.trim_matches(['\0', ' ']).to_owned())
}

fn number(group: &Group, name: &str) -> Option<f64> {
    group.attribute(name).ok().as_ref().map(Attribute::read_as_f64)?.ok()
}

fn nominal_time(root: &Group) -> Result<Timestamp, RadarError> {
    let what = root.group("what").map_err(damaged)?;
    let object = text(&what, "object").unwrap_or_default();
    if !matches!(object.as_str(), "COMP" | "IMAGE") {
        return Err(RadarError::Quantity {
            expected: "a composite map",
            found: format!("object `{object}`"),
        });
    }
    let part = |name: &str| {
        text(&what, name).ok_or_else(|| RadarError::Missing(format!("`{name}` in /what")))
    };
    let stamp = format!("{}{}", part("date")?, part("time")?);
    civil::DateTime::strptime("%Y%m%d%H%M%S", &stamp)
        .and_then(|time| Offset::UTC.to_timestamp(time))
        .map_err(|_| RadarError::Unsupported { what: "the nominal time", found: stamp })
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Quantity {
    Rate,
    Reflectivity,
}

/// A picture: its own group, the dataset group above it, and what it shows.
struct Picture {
    group: Group,
    parent: Group,
    quantity: Quantity,
}

impl Picture {
    /// The `what` groups that may say what its numbers mean, the nearest first.
    fn whats(&self) -> impl Iterator<Item = Group> {
        [&self.group, &self.parent].into_iter().filter_map(|group| group.group("what").ok())
    }
}

/// Groups called `stem` and a number, in the order of their numbers.
fn numbered(parent: &Group, stem: &str) -> Result<Vec<(String, Group)>, RadarError> {
    let (names, _) = parent.member_names().map_err(damaged)?;
    let mut found: Vec<(u32, String)> = names
        .into_iter()
        .filter_map(|name| Some((name.strip_prefix(stem)?.parse().ok()?, name)))
        .collect();
    found.sort_unstable();
    found
        .into_iter()
        .map(|(_, name)| {
            let group = parent.group(&name).map_err(damaged)?;
            Ok((name, group))
        })
        .collect()
}

/// Finds rain rate or else reflectivity. The quantity may stand on the data or on its dataset.
fn find_picture(root: &Group, remarks: &mut Vec<RadarRemark>) -> Result<Picture, RadarError> {
    let mut pictures = Vec::new();
    let mut others = Vec::new();
    for (dataset_name, parent) in numbered(root, "dataset")? {
        for (data_name, group) in numbered(&parent, "data")? {
            let quantity = [&group, &parent]
                .into_iter()
                .find_map(|holder| text(&holder.group("what").ok()?, "quantity"));
            let path = format!("{dataset_name}/{data_name}");
            let quantity = match quantity.as_deref() {
                Some("RATE") => Quantity::Rate,
                Some("DBZH") => Quantity::Reflectivity,
                other => {
                    others.push(format!("`{}`", other.unwrap_or_default()));
                    continue;
                }
            };
            pictures.push((path, Picture { group, parent: parent.clone(), quantity }));
        }
    }
    let chosen = pictures
        .iter()
        .position(|(_, picture)| picture.quantity == Quantity::Rate)
        .or_else(|| (!pictures.is_empty()).then_some(0));
    let Some(chosen) = chosen else {
        others.dedup();
        let found = if others.is_empty() {
            "no picture".to_owned()
        } else {
            format!("quantity {}", others.join(", "))
        };
        return Err(RadarError::Quantity { expected: "RATE or DBZH", found });
    };
    let (chosen_path, chosen) = pictures.swap_remove(chosen);
    let alike = |(_, other): &(String, Picture)| other.quantity == chosen.quantity;
    let others: Vec<String> = pictures.into_iter().filter(alike).map(|(path, _)| path).collect();
    if !others.is_empty() {
        remarks.push(RadarRemark::SeveralCandidates { chosen: chosen_path, others });
    }
    Ok(chosen)
}

/// What the stored numbers mean.
struct Meaning {
    gain: f64,
    offset: f64,
    nodata: f64,
    undetect: Option<f64>,
    /// The value of *undetect*: no rain, or a reflectivity that stands for none.
    nothing: f64,
}

impl Meaning {
    fn of(picture: &Picture) -> Result<Self, RadarError> {
        let find = |name: &str| picture.whats().find_map(|what| number(&what, name));
        let gain: f64 = find("gain").unwrap_or(1.0);
        let offset: f64 = find("offset").unwrap_or(0.0);
        if !gain.is_finite() || gain == 0.0 || !offset.is_finite() {
            let found = format!("gain {gain}, offset {offset}");
            return Err(RadarError::Unsupported { what: "the scale of the data", found });
        }
        let nothing = match picture.quantity {
            Quantity::Rate => 0.0,
            Quantity::Reflectivity => f64::NEG_INFINITY,
        };
        // Without the code for "not measured" a hole in the coverage would pass for rain or for none.
        let nodata =
            find("nodata").ok_or_else(|| RadarError::Missing("`nodata` in /what".to_owned()))?;
        Ok(Meaning { gain, offset, nodata, undetect: find("undetect"), nothing })
    }

    /// NaN where not measured. A file whose two codes are the same number is not believed to be dry.
    #[expect(clippy::float_cmp, reason = "codes were stored, not computed")]
    fn value(&self, raw: f64) -> f64 {
        // A code that single precision cannot hold is compared as it was stored.
        let is = |code: f64| raw == code || raw == f64::from(narrowed(code));
        if is(self.nodata) {
            f64::NAN
        } else if self.undetect.is_some_and(is) {
            self.nothing
        } else {
            raw * self.gain + self.offset
        }
    }
}

fn grid(root: &Group, picture: &Picture) -> Result<Grid, RadarError> {
    let holders = [&picture.parent, root];
    let location = holders.into_iter().find_map(|holder| holder.group("where").ok());
    let location = location.ok_or_else(|| RadarError::Missing("/where".to_owned()))?;
    let need = |name: &str| {
        number(&location, name).ok_or_else(|| RadarError::Missing(format!("`{name}` in /where")))
    };
    let proj_string = text(&location, "projdef")
        .ok_or_else(|| RadarError::Missing("`projdef` in /where".to_owned()))?;
    let projection = map::projection(&proj_string)?;

    let dataset = picture.group.dataset("data").map_err(damaged)?;
    let &[rows, columns] = dataset.shape() else {
        let found = format!("{} dimensions", dataset.shape().len());
        return Err(RadarError::Unsupported { what: "the shape of the picture", found });
    };
    let (xsize, ysize) = (need("xsize")?, need("ysize")?);
    if (xsize, ysize) != (columns as f64, rows as f64) {
        return Err(RadarError::Damaged {
            format: "ODIM",
            cause: format!("a picture of {columns} x {rows}, but a map of {xsize} x {ysize}"),
        });
    }

    let corner = |lat: &str, lon: &str| -> Result<(f64, f64), RadarError> {
        plane(&projection, need(lat)?, need(lon)?)
    };
    let (left, top) = corner("UL_lat", "UL_lon")?;
    let (right, bottom) = corner("LR_lat", "LR_lon")?;
    let (mut width, height) = (right - left, top - bottom);
    let (x_step, y_step) = if projection.is_degrees() {
        // The scale of such files is in degrees or in metres; the corners are always in degrees.
        width = width.rem_euclid(360.0);
        (width / xsize, height / ysize)
    } else {
        (need("xscale")?, need("yscale")?)
    };
    // Corners are meant to be outer corners; files that give the outermost centres are one cell off.
    let off = |size: f64, step: f64, extent: f64| (size * step - extent).abs() > 1.5 * step;
    if off(xsize, x_step, width) || off(ysize, y_step, height) {
        return Err(RadarError::Damaged {
            format: "ODIM",
            cause: format!(
                "{xsize} x {ysize} cells of {x_step} x {y_step} between corners {width} x {height} \
                 apart"
            ),
        });
    }
    let count = |size: u64| {
        usize::try_from(size).map_err(|_| RadarError::TooLarge { cells: size, most: CELLS_MAX })
    };
    map::checked(Grid {
        x_first: left + x_step / 2.0,
        y_first: top - y_step / 2.0,
        x_step,
        y_step,
        rows: count(rows)?,
        columns: count(columns)?,
        projection,
    })
}

/// Plane coordinates of a corner.
fn plane(projection: &Projection, lat_deg: f64, lon_deg: f64) -> Result<(f64, f64), RadarError> {
    projection.to_plane(LatLon::new(lat_deg, lon_deg)?).ok_or_else(|| RadarError::Unsupported {
        what: "a corner that the projection does not reach",
        found: format!("{lat_deg},{lon_deg}"),
    })
}

/// Reads a block of a picture of whatever type, cell by cell through `rate`.
///
/// Only the chunks that the block touches are unpacked.
fn read_block(
    dataset: &Dataset,
    selection: &SliceInfo,
    rate: &dyn Fn(f64) -> f32,
) -> Result<Array2<f32>, RadarError> {
    match dataset.dtype() {
        Datatype::FixedPoint { size: 1, signed: false, .. } => {
            read_as::<u8>(dataset, selection, rate)
        }
        Datatype::FixedPoint { size: 2, signed: false, .. } => {
            read_as::<u16>(dataset, selection, rate)
        }
        Datatype::FixedPoint { size: 4, signed: false, .. } => {
            read_as::<u32>(dataset, selection, rate)
        }
        Datatype::FixedPoint { size: 1, .. } => read_as::<i8>(dataset, selection, rate),
        Datatype::FixedPoint { size: 2, .. } => read_as::<i16>(dataset, selection, rate),
        Datatype::FixedPoint { size: 4, .. } => read_as::<i32>(dataset, selection, rate),
        Datatype::FloatingPoint { size: 4, .. } => read_as::<f32>(dataset, selection, rate),
        Datatype::FloatingPoint { size: 8, .. } => read_as::<f64>(dataset, selection, rate),
        other => {
            let found = format!("{other:?}");
            Err(RadarError::Unsupported { what: "the number type of the picture", found })
        }
    }
}

fn read_as<T: H5Type + Copy + Into<f64>>(
    dataset: &Dataset,
    selection: &SliceInfo,
    rate: &dyn Fn(f64) -> f32,
) -> Result<Array2<f32>, RadarError> {
    let raw = dataset.read_slice::<T>(selection).map_err(damaged)?;
    let raw = raw
        .into_dimensionality::<Ix2>()
        .map_err(|error| RadarError::Damaged { format: "HDF5", cause: error.to_string() })?;
    Ok(raw.mapv(|cell| rate(cell.into())))
}
