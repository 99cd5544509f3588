//! A rain field: rain rate on a map at one moment.

use std::ops::Range;

use fairspell_ground::{LatLon, Projection};
use jiff::Timestamp;
use ndarray::{Array2, Axis};

/// A regular grid in a projection. Row 0 is the north, column 0 the west, whatever the file had.
#[derive(Debug, Clone)]
pub struct Grid {
    /// The map that the grid lies on.
    pub projection: Projection,
    /// Plane x of the centres of column 0: metres, or degrees east where the projection is degrees.
    pub x_first: f64,
    /// Plane y of the centres of row 0: metres, or degrees north.
    pub y_first: f64,
    /// From one column to the next, eastward: positive, metres or degrees.
    pub x_step: f64,
    /// From one row to the next, **southward**: positive, metres or degrees.
    pub y_step: f64,
    /// Rows, north to south.
    pub rows: usize,
    /// Columns, west to east.
    pub columns: usize,
}

impl Grid {
    /// Fractional (row, column) of a point; whole numbers are cell centres.
    ///
    /// `None` outside the grid by more than half a cell, or where the projection is not defined.
    pub fn cell_of(&self, point: LatLon) -> Option<(f64, f64)> {
        let (row, column) = self.position_of(point)?;
        let inside = (-0.5..self.rows as f64 - 0.5).contains(&row)
            && (-0.5..self.columns as f64 - 0.5).contains(&column);
        inside.then_some((row, column))
    }

    /// Fractional (row, column) of a point, on the grid or beyond it.
    pub(crate) fn position_of(&self, point: LatLon) -> Option<(f64, f64)> {
        let (x, y) = self.projection.to_plane(point)?;
        let mut column = (x - self.x_first) / self.x_step;
        if self.projection.is_degrees() {
            // A grid may count 0..360 or cross the 180th meridian: of all the turns that lead to the
            // point, the one nearest to the grid's middle.
            let turn = 360.0 / self.x_step;
            let west = (self.columns as f64 - 1.0 - turn) / 2.0;
            column = (column - west).rem_euclid(turn) + west;
        }
        Some(((self.y_first - y) / self.y_step, column))
    }

    /// Centre of a cell; `None` where the projection has no inverse there.
    pub fn point_at(&self, row: f64, column: f64) -> Option<LatLon> {
        let x = self.x_first + column * self.x_step;
        let x =
            if self.projection.is_degrees() { (x + 180.0).rem_euclid(360.0) - 180.0 } else { x };
        self.projection.to_point(x, self.y_first - row * self.y_step)
    }

    /// Height and width of a cell at a point, km: (north-south, east-west).
    ///
    /// `None` where the projection is not defined.
    pub fn spacing_km(&self, point: LatLon) -> Option<(f64, f64)> {
        let (row, column) = self.position_of(point)?;
        let north = self.point_at(row - 0.5, column)?;
        let south = self.point_at(row + 0.5, column)?;
        let west = self.point_at(row, column - 0.5)?;
        let east = self.point_at(row, column + 0.5)?;
        Some((north.distance_km(south), west.distance_km(east)))
    }

    /// Rows and columns of the smallest block that holds all within `radius_km` of a point.
    ///
    /// `None` where no part of that lies on the grid.
    pub fn block_around(
        &self,
        point: LatLon,
        radius_km: f64,
    ) -> Option<(Range<usize>, Range<usize>)> {
        let (row, column) = self.position_of(point)?;
        let (row_km, column_km) = self.spacing_km(point)?;
        let rows = clipped(row, radius_km / row_km, self.rows)?;
        Some((rows, clipped(column, radius_km / column_km, self.columns)?))
    }

    /// The grid of a block of this one.
    #[must_use]
    pub fn block(&self, rows: &Range<usize>, columns: &Range<usize>) -> Grid {
        Grid {
            x_first: self.x_first + columns.start as f64 * self.x_step,
            y_first: self.y_first - rows.start as f64 * self.y_step,
            rows: rows.len(),
            columns: columns.len(),
            ..self.clone()
        }
    }

    /// Whether two grids have the same cells in the same places (to a hundredth of a cell).
    pub fn matches(&self, other: &Grid) -> bool {
        let near = |a: f64, b: f64, step: f64| (a - b).abs() < 0.01 * step;
        self.projection.as_str() == other.projection.as_str()
            && (self.rows, self.columns) == (other.rows, other.columns)
            && near(self.x_first, other.x_first, self.x_step)
            && near(self.y_first, other.y_first, self.y_step)
            && near(self.x_step, other.x_step, self.x_step / self.columns as f64)
            && near(self.y_step, other.y_step, self.y_step / self.rows as f64)
    }
}

/// Whole cells within `reach` of `centre`, cut to `0..count`.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "both ends are clamped to the grid first"
)]
fn clipped(centre: f64, reach: f64, count: usize) -> Option<Range<usize>> {
    let start = (centre - reach).floor().clamp(0.0, count as f64) as usize;
    let end = ((centre + reach).ceil() + 1.0).clamp(0.0, count as f64) as usize;
    (start < end).then_some(start..end)
}

/// Rain rate on a grid at one moment.
#[derive(Debug, Clone)]
pub struct RainField {
    /// The moment that the picture shows (of a scan that took minutes: its nominal time).
    pub valid_time: Timestamp,
    /// Where the cells lie.
    pub grid: Grid,
    /// Rain rate, mm/h, (row, column), row 0 in the north. NaN: not measured. Never "missing is 0".
    pub rain_rate_mm_h: Array2<f32>,
}

impl RainField {
    /// All within `radius_km` of a point, as a smaller field.
    ///
    /// `None` where no part of that lies on the grid.
    pub fn cut(&self, point: LatLon, radius_km: f64) -> Option<RainField> {
        let (rows, columns) = self.grid.block_around(point, radius_km)?;
        let grid = self.grid.block(&rows, &columns);
        let band = self.rain_rate_mm_h.slice_axis(Axis(0), rows.into());
        let rain_rate_mm_h = band.slice_axis(Axis(1), columns.into()).to_owned();
        Some(RainField { valid_time: self.valid_time, grid, rain_rate_mm_h })
    }
    /// Rain rate of the cell around a point, mm/h; `None` off the grid and where it was not measured.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a cell of the grid is not negative, and rounds to one of its indices"
    )]
    pub fn rain_rate_at(&self, point: LatLon) -> Option<f32> {
        let (row, column) = self.grid.cell_of(point)?;
        let cell = (row.round().max(0.0) as usize, column.round().max(0.0) as usize);
        self.rain_rate_mm_h.get(cell).copied().filter(|rate| rate.is_finite())
    }
}
