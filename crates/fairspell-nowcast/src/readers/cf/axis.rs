//! Coordinate variables: what they count, and in even steps.

use netcdf_reader::{NcFile, NcVariable};

use super::{damaged, text};
use crate::RadarError;
use crate::readers::Direction;

/// Cells along one axis that we accept.
const COUNT_MAX: u64 = 1 << 20;

/// What a coordinate variable counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Role {
    Time,
    /// Southward or northward.
    Row,
    /// Eastward or westward.
    Column,
}

impl Role {
    /// What a coordinate variable says that it is; `None` for heights, members and the like.
    pub(super) fn of(variable: &NcVariable) -> Option<Self> {
        let units = text(variable, "units").unwrap_or_default();
        let standard_name = text(variable, "standard_name").unwrap_or_default();
        let axis = text(variable, "axis").unwrap_or_default();
        let name = variable.name().to_lowercase();
        if units.contains(" since ") {
            return Some(Role::Time);
        }
        match standard_name.as_str() {
            "projection_x_coordinate" | "longitude" | "grid_longitude" => {
                return Some(Role::Column);
            }
            "projection_y_coordinate" | "latitude" | "grid_latitude" => return Some(Role::Row),
            _ => {}
        }
        match (axis.as_str(), units.to_lowercase().as_str()) {
            ("X", _) | (_, "degrees_east" | "degree_east" | "degrees_e" | "degree_e") => {
                return Some(Role::Column);
            }
            ("Y", _) | (_, "degrees_north" | "degree_north" | "degrees_n" | "degree_n") => {
                return Some(Role::Row);
            }
            _ => {}
        }
        match name.as_str() {
            "x" | "xc" | "easting" | "lon" | "longitude" => Some(Role::Column),
            "y" | "yc" | "northing" | "lat" | "latitude" => Some(Role::Row),
            _ => None,
        }
    }
}

/// The unit of a map axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum AxisUnit {
    Degrees,
    /// So many metres.
    Metres(f64),
}

/// An evenly spaced axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct MapAxis {
    pub(super) unit: AxisUnit,
    /// Centre of the first cell in our counting, metres or degrees.
    pub(super) first: f64,
    /// Distance of neighbours, positive.
    pub(super) step: f64,
    pub(super) count: usize,
    pub(super) direction: Direction,
}

impl MapAxis {
    /// Reads the coordinate variable of an axis that should run as `role` does with us.
    pub(super) fn read(
        file: &NcFile,
        variable: &NcVariable,
        role: Role,
    ) -> Result<Self, RadarError> {
        let name = variable.name();
        let unit = unit(variable)?;
        let mut values = numbers(file, variable)?;
        if let AxisUnit::Metres(metres) = unit {
            for value in &mut values {
                *value *= metres;
            }
        } else if role == Role::Column {
            unwind(&mut values);
        }
        let (&[first, .., last], count) = (values.as_slice(), values.len()) else {
            return Err(RadarError::Unsupported {
                what: "an axis of fewer than two cells",
                found: name.to_owned(),
            });
        };
        let step = (last - first) / (count as f64 - 1.0);
        // A tenth of a cell allows for coordinates in single precision.
        let even = values
            .iter()
            .enumerate()
            .all(|(i, value)| (value - (first + i as f64 * step)).abs() <= 0.1 * step.abs());
        if !even || step == 0.0 {
            return Err(RadarError::Unsupported {
                what: "an axis without even steps",
                found: name.to_owned(),
            });
        }
        let ours = if role == Role::Row { step < 0.0 } else { step > 0.0 };
        let (first, direction) =
            if ours { (first, Direction::Ours) } else { (last, Direction::Reversed) };
        Ok(MapAxis { unit, first, step: step.abs(), count, direction })
    }
}

/// The values of a coordinate variable.
pub(super) fn numbers(file: &NcFile, variable: &NcVariable) -> Result<Vec<f64>, RadarError> {
    let cells = variable.num_elements().unwrap_or(u64::MAX);
    if cells > COUNT_MAX {
        return Err(RadarError::TooLarge { cells, most: 1 << 20 });
    }
    let values = file.read_variable_unpacked(variable.name()).map_err(damaged)?;
    Ok(values.into_iter().collect())
}

fn unit(variable: &NcVariable) -> Result<AxisUnit, RadarError> {
    let said = text(variable, "units")
        .ok_or_else(|| RadarError::Missing(format!("unit of `{}`", variable.name())))?;
    match said.to_lowercase().as_str() {
        "m" | "metre" | "metres" | "meter" | "meters" => Ok(AxisUnit::Metres(1.0)),
        "km" | "kilometre" | "kilometres" | "kilometer" | "kilometers" => {
            Ok(AxisUnit::Metres(1000.0))
        }
        lower if lower.starts_with("degree") => Ok(AxisUnit::Degrees),
        _ => Err(RadarError::Unsupported { what: "the unit of an axis", found: said }),
    }
}

/// Makes longitudes that jump by a full turn at a meridian run on evenly.
fn unwind(longitudes: &mut [f64]) {
    let mut turn = 0.0;
    for i in 1..longitudes.len() {
        let step = longitudes[i] + turn - longitudes[i - 1];
        if step < -180.0 {
            turn += 360.0;
        } else if step > 180.0 {
            turn -= 360.0;
        }
        longitudes[i] += turn;
    }
}
