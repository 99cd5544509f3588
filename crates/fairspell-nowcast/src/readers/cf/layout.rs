//! How the cells of a variable lie in the file, on the map and in time.

use std::ops::Range;

use fairspell_ground::Projection;
use jiff::Timestamp;
use netcdf_reader::{NcFile, NcSliceInfoElem, NcVariable};

use super::axis::{AxisUnit, MapAxis, Role, numbers};
use super::time_units::TimeUnits;
use super::{damaged, grid_mapping, text};
use crate::readers::{Direction, map};
use crate::{Grid, RadarError, RadarRemark};

/// The layout of a rain rate variable.
pub(super) struct Layout {
    pub(super) grid: Grid,
    pub(super) rows: Direction,
    pub(super) columns: Direction,
    /// Which of the variable's dimensions counts rows, columns, pictures.
    pub(super) row_axis: usize,
    pub(super) column_axis: usize,
    time_axis: Option<usize>,
    dimensions: usize,
    /// The moment of every picture, in the order of the file.
    pub(super) valid_times: Vec<Timestamp>,
}

impl Layout {
    pub(super) fn of(
        file: &NcFile,
        variable: &NcVariable,
        remarks: &mut Vec<RadarRemark>,
    ) -> Result<Self, RadarError> {
        let variables = file.variables().map_err(damaged)?;
        let coordinate = |dimension: &str| {
            variables.iter().find(|variable| variable.is_coordinate_variable_for(dimension))
        };
        let mut axes: [Option<(usize, &NcVariable)>; 3] = [None; 3];
        for (index, dimension) in variable.dimensions().iter().enumerate() {
            let found = coordinate(&dimension.name);
            match found.and_then(|found| Some((Role::of(found)?, found))) {
                Some((role, found)) if axes[role as usize].is_none() => {
                    axes[role as usize] = Some((index, found));
                }
                // A height or a member of which there is one is no choice.
                _ if dimension.size == 1 => {}
                _ => return Err(unknown_dimension(variables, &dimension.name)),
            }
        }
        let [time, row, column] = axes;
        let map_axis = |axis: Option<(usize, &NcVariable)>, role: Role, what: &str| {
            let (index, found) = axis.ok_or_else(|| RadarError::Missing(format!("{what} axis")))?;
            Ok::<_, RadarError>((index, MapAxis::read(file, found, role)?))
        };
        let (row_axis, y) = map_axis(row, Role::Row, "northward")?;
        let (column_axis, x) = map_axis(column, Role::Column, "eastward")?;
        let grid = Grid {
            projection: projection(variables, variable, &x, &y, remarks)?,
            x_first: if x.unit == AxisUnit::Degrees && x.first >= 180.0 {
                x.first - 360.0
            } else {
                x.first
            },
            y_first: y.first,
            x_step: x.step,
            y_step: y.step,
            rows: y.count,
            columns: x.count,
        };
        Ok(Layout {
            grid: map::checked(grid)?,
            rows: y.direction,
            columns: x.direction,
            row_axis,
            column_axis,
            time_axis: time.map(|(index, _)| index),
            dimensions: variable.ndim(),
            valid_times: valid_times(file, variables, time.map(|(_, found)| found))?,
        })
    }

    /// Where a block of the picture with this number lies in the file.
    pub(super) fn selection(
        &self,
        picture: usize,
        rows: &Range<usize>,
        columns: &Range<usize>,
    ) -> Vec<NcSliceInfoElem> {
        let slice = |range: Range<usize>| NcSliceInfoElem::Slice {
            start: range.start as u64,
            end: range.end as u64,
            step: 1,
        };
        (0..self.dimensions)
            .map(|dimension| {
                if dimension == self.row_axis {
                    slice(self.rows.in_file(rows, self.grid.rows))
                } else if dimension == self.column_axis {
                    slice(self.columns.in_file(columns, self.grid.columns))
                } else if Some(dimension) == self.time_axis {
                    NcSliceInfoElem::Index(picture as u64)
                } else {
                    NcSliceInfoElem::Index(0)
                }
            })
            .collect()
    }
}

/// What to say of a dimension without a coordinate that we know.
fn unknown_dimension(variables: &[NcVariable], dimension: &str) -> RadarError {
    let two_dimensional = variables.iter().find(|variable| {
        variable.ndim() == 2 && matches!(Role::of(variable), Some(Role::Row | Role::Column))
    });
    match two_dimensional {
        Some(variable) => RadarError::Unsupported {
            what: "two-dimensional latitudes and longitudes without axes of the map",
            found: variable.name().to_owned(),
        },
        None => RadarError::Missing(format!("coordinates of the dimension `{dimension}`")),
    }
}

fn projection(
    variables: &[NcVariable],
    variable: &NcVariable,
    x: &MapAxis,
    y: &MapAxis,
    remarks: &mut Vec<RadarRemark>,
) -> Result<Projection, RadarError> {
    // `crs: x y` of the extended form names the mapping before the colon.
    let said = text(variable, "grid_mapping");
    let name = said.as_deref().and_then(|said| said.split([':', ' ']).next());
    let mapping = match name {
        None => None,
        Some(name) => {
            let found = variables.iter().find(|mapping| mapping.name() == name);
            Some(found.ok_or_else(|| RadarError::Missing(format!("grid mapping `{name}`")))?)
        }
    };
    match (x.unit, y.unit, mapping) {
        (AxisUnit::Degrees, AxisUnit::Degrees, None) => Ok(Projection::degrees()),
        (AxisUnit::Degrees, AxisUnit::Degrees, Some(mapping)) => {
            match text(mapping, "grid_mapping_name").as_deref() {
                None | Some("latitude_longitude") => Ok(Projection::degrees()),
                Some(other) => Err(RadarError::Unsupported {
                    what: "the grid mapping of axes in degrees",
                    found: other.to_owned(),
                }),
            }
        }
        (AxisUnit::Metres(metres), AxisUnit::Metres(_), Some(mapping)) => {
            grid_mapping::projection(mapping, metres, remarks)
        }
        (AxisUnit::Metres(_), AxisUnit::Metres(_), None) => Err(RadarError::Missing(format!(
            "grid mapping of `{}`, whose axes are in metres",
            variable.name()
        ))),
        _ => Err(RadarError::Unsupported {
            what: "axes",
            found: "one in degrees, one in metres".to_owned(),
        }),
    }
}

/// The moments of the pictures: those of the time axis, or else of the one scalar time.
fn valid_times(
    file: &NcFile,
    variables: &[NcVariable],
    axis: Option<&NcVariable>,
) -> Result<Vec<Timestamp>, RadarError> {
    let missing = || RadarError::Missing("time".to_owned());
    let scalar = || {
        let mut times = variables.iter().filter(|variable| {
            variable.num_elements().is_ok_and(|count| count == 1)
                && Role::of(variable) == Some(Role::Time)
        });
        // A file may carry the time of the forecast run as well.
        let valid = |variable: &&NcVariable| {
            text(variable, "standard_name").is_none_or(|name| name == "time")
        };
        times.find(valid)
    };
    let variable = axis.or_else(scalar).ok_or_else(missing)?;
    let units = text(variable, "units").ok_or_else(missing)?;
    let calendar = text(variable, "calendar");
    let units = TimeUnits::read(&units, calendar.as_deref())?;
    numbers(file, variable)?
        .into_iter()
        .map(|count| {
            units.time(count).ok_or_else(|| RadarError::Unsupported {
                what: "a moment",
                found: format!("{count} in `{}`", variable.name()),
            })
        })
        .collect()
}
