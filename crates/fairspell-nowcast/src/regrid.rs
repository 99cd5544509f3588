//! Onto square cells of about a kilometre.
//!
//! The nowcast counts in cells and was fitted on cells of one and two kilometres. Two kinds of maps
//! are not like that. A map in degrees has cells that narrow towards the pole: 0.01 degree is 1.1 km
//! from north to south, from east to west 0.9 km at 35 degrees and 0.4 km at 70. And some services
//! publish cells of 500 or 250 m, where a single shower is a hundred cells. [`Regrid`] brings both
//! to square or nearly square cells, and results back onto the map that they came from.
//!
//! - **Fine cells are put together** to blocks, as many as bring a side nearest to a kilometre or to
//!   the cell's longer side: blocks of 2 x 2 from 500 m, pairs of 0.01 degree beyond 48 degrees of
//!   latitude. A block has the mean rate of its measured cells, as a coarser radar product has; with
//!   less than half of them measured it counts as not measured. Drizzle that fills less than the
//!   block gets weaker and may fall below 0.1 mm/h: that is what 0.1 mm/h meant on the maps that the
//!   formulas were fitted on.
//! - **Degrees become an equal-area map** centred on the grid's middle, with square cells as large
//!   as the middle one. Every cell takes the nearest cell's rate, unchanged: drizzle stays drizzle,
//!   a hole stays a hole, nothing is mixed. Cells beyond the source are not measured.
//!
//! Which cell goes where is worked out once for a grid and used for all its pictures.
//!
//! # How exact
//!
//! Positions are projected at every 16th cell and interpolated in between, where that is right to
//! [`POSITION_ERROR_MAX`] of a cell, and cell by cell elsewhere (close to the poles). On six cuts of
//! the American mosaic (600 x 600 km, 28 to 44 N, 2019-06-10 00:00) the mean rate changed by at most
//! 0.8 % and the wet share by at most 0.3 % of itself.

use fairspell_ground::{LatLon, Projection};
use ndarray::Array2;
use rayon::prelude::*;

use crate::narrow::{cell_at, single, whole};
use crate::readers::CELLS_MAX;
use crate::{Grid, RainField};

/// Side of the cells that we aim at, km.
const SIDE_KM: f64 = 1.0;

/// Positions may be off by so much of a cell.
pub const POSITION_ERROR_MAX: f64 = 0.05;

/// From one projected cell to the next.
const LATTICE: usize = 16;

/// Wider maps than this, degrees, have no middle to be flattened around.
const WIDTH_MAX_DEG: f64 = 180.0;

/// Points on each side of a grid that its outline is told from.
const OUTLINE: usize = 64;

/// Stands for "no cell" in a list of cells.
const NOWHERE: u32 = u32::MAX;

/// The way from a grid to one that suits the nowcast, and back.
///
/// # Examples
///
/// A map in hundredths of a degree, around 35 degrees north:
///
/// ```
/// use fairspell_ground::Projection;
/// use fairspell_nowcast::{Grid, RainField, Regrid};
/// use ndarray::Array2;
///
/// let grid = Grid {
///     projection: Projection::degrees(),
///     x_first: -90.0,
///     y_first: 36.5,
///     x_step: 0.01,
///     y_step: 0.01,
///     rows: 300,
///     columns: 300,
/// };
/// let valid_time = "2026-09-03T04:00:00Z".parse()?;
/// let rain_rate_mm_h = Array2::from_elem((300, 300), 0.2);
/// let picture = RainField { valid_time, grid, rain_rate_mm_h };
///
/// let regrid = Regrid::for_nowcast(&picture.grid).expect("degrees are not kilometres");
/// let square = regrid.field(&picture).expect("the grid that it was made for");
/// assert_eq!((square.grid.x_step / 100.0).round(), 10.0);
/// assert_eq!(square.grid.x_step, square.grid.y_step);
///
/// let back = regrid.onto_source(&square.rain_rate_mm_h).expect("the grid that it leads to");
/// assert_eq!((back.dim(), back[[150, 150]]), ((300, 300), 0.2));
/// # Ok::<(), jiff::Error>(())
/// ```
#[derive(Debug, Clone)]
pub struct Regrid {
    source: Grid,
    /// Cells of the source that become one: down, across.
    block: (usize, usize),
    target: Grid,
    /// `None` when the target's cells are the blocks themselves.
    ways: Option<Ways>,
}

/// Which cell goes where; cells are counted row by row.
#[derive(Debug, Clone)]
struct Ways {
    /// For every cell of the target the block that it is taken from, or [`NOWHERE`].
    from: Vec<u32>,
    /// For every cell of the source the cell of the target at its centre, or [`NOWHERE`].
    to: Vec<u32>,
}

impl Regrid {
    /// What a grid needs before the nowcast; `None` when it is well as it is.
    ///
    /// Also `None` where nothing can be done: see [`to_equal_area`](Self::to_equal_area).
    pub fn for_nowcast(grid: &Grid) -> Option<Regrid> {
        if grid.projection.is_degrees() {
            Regrid::to_equal_area(grid)
        } else {
            Regrid::to_blocks(grid)
        }
    }

    /// From a map in degrees to an equal-area map in metres.
    ///
    /// `None` for a map that is not in degrees, one that spans half the globe or more, reaches over a
    /// pole, or would become four times as many cells (a wedge that narrows to the pole).
    ///
    /// # Source
    ///
    /// Lambert azimuthal equal-area projection: J. Snyder, "Map projections, a working manual", U.S.
    /// Geological Survey Professional Paper 1395 (1987), 182-190.
    pub fn to_equal_area(grid: &Grid) -> Option<Regrid> {
        let width_deg = grid.columns as f64 * grid.x_step;
        if !grid.projection.is_degrees() || width_deg >= WIDTH_MAX_DEG {
            return None;
        }
        let block = block(grid)?;
        let blocks = of_blocks(grid, block);
        let middle = middle(grid)?;
        let (height_km, width_km) = blocks.spacing_km(middle)?;
        let step = (1000.0 * (height_km * width_km).sqrt()).round();
        let projection = Projection::from_proj_string(&format!(
            "+proj=laea +lat_0={:.6} +lon_0={:.6} +ellps=WGS84",
            middle.lat_deg(),
            middle.lon_deg()
        ))
        .ok()?;
        let Outline { west, east, south, north } = Outline::of(grid, &projection)?;
        // Never short of the outline, and no empty rows for a rounding error.
        let count = |extent: f64| ((extent / step) - 1e-6).ceil().max(1.0);
        let (rows, columns) = (count(north - south), count(east - west));
        let most = (4.0 * (grid.rows * grid.columns) as f64 + 16.0).min(CELLS_MAX as f64);
        if rows * columns > most {
            return None;
        }
        let target = Grid {
            projection,
            x_first: f64::midpoint(west, east) - (columns - 1.0) / 2.0 * step,
            y_first: f64::midpoint(south, north) + (rows - 1.0) / 2.0 * step,
            x_step: step,
            y_step: step,
            rows: whole(rows),
            columns: whole(columns),
        };
        let (from, to) = rayon::join(|| cells_of(&target, &blocks), || cells_of(grid, &target));
        Some(Regrid { source: grid.clone(), block, target, ways: Some(Ways { from, to }) })
    }

    /// From cells much finer than a kilometre, or much longer than wide, to blocks of them on the
    /// same map; `None` when no cells need to be put together.
    pub fn to_blocks(grid: &Grid) -> Option<Regrid> {
        let block = block(grid).filter(|block| *block != (1, 1))?;
        let target = of_blocks(grid, block);
        Some(Regrid { source: grid.clone(), block, target, ways: None })
    }

    /// The grid that it was made for.
    pub fn source(&self) -> &Grid {
        &self.source
    }

    /// The grid that it leads to.
    pub fn target(&self) -> &Grid {
        &self.target
    }

    /// A picture on the new grid; `None` for a picture of another grid than it was made for.
    pub fn field(&self, field: &RainField) -> Option<RainField> {
        let whole = field.rain_rate_mm_h.dim() == (self.source.rows, self.source.columns);
        if !whole || !field.grid.matches(&self.source) {
            return None;
        }
        let blocks = block_means(&field.rain_rate_mm_h, self.block);
        let rain_rate_mm_h = match &self.ways {
            Some(ways) => {
                taken(blocks.as_ref().unwrap_or(&field.rain_rate_mm_h), &ways.from, &self.target)?
            }
            None => blocks?,
        };
        Some(RainField { valid_time: field.valid_time, grid: self.target.clone(), rain_rate_mm_h })
    }

    /// A map on the new grid (rates, chances, whatever) brought back onto the grid that the pictures
    /// had: every cell takes the value at its centre, NaN stays NaN. A cell on the border may get NaN
    /// where the square cell around its centre has its own centre beyond the source.
    ///
    /// `None` for a map of another size.
    pub fn onto_source(&self, map: &Array2<f32>) -> Option<Array2<f32>> {
        if map.dim() != (self.target.rows, self.target.columns) {
            return None;
        }
        if let Some(ways) = &self.ways {
            return taken(map, &ways.to, &self.source);
        }
        let (down, across) = self.block;
        let size = (self.source.rows, self.source.columns);
        Some(Array2::from_shape_fn(size, |(row, column)| map[[row / down, column / across]]))
    }
}

/// The centre of a grid; `None` for an empty one.
fn middle(grid: &Grid) -> Option<LatLon> {
    let last = |count: usize| count.checked_sub(1).map(|last| last as f64);
    grid.point_at(last(grid.rows)? / 2.0, last(grid.columns)? / 2.0)
}

/// How many cells to put together, down and across.
fn block(grid: &Grid) -> Option<(usize, usize)> {
    let (height_km, width_km) = grid.spacing_km(middle(grid)?)?;
    let side_km = height_km.max(width_km).max(SIDE_KM);
    let count = |km: f64, most: usize| {
        let usable = km.is_finite() && km > 1e-3;
        usable.then(|| whole((side_km / km).round()).clamp(1, most))
    };
    Some((count(height_km, grid.rows)?, count(width_km, grid.columns)?))
}

/// The grid of blocks of another's cells; the last ones may reach beyond it.
fn of_blocks(grid: &Grid, (down, across): (usize, usize)) -> Grid {
    Grid {
        x_first: grid.x_first + (across - 1) as f64 / 2.0 * grid.x_step,
        y_first: grid.y_first - (down - 1) as f64 / 2.0 * grid.y_step,
        x_step: grid.x_step * across as f64,
        y_step: grid.y_step * down as f64,
        rows: grid.rows.div_ceil(down),
        columns: grid.columns.div_ceil(across),
        projection: grid.projection.clone(),
    }
}

/// Mean of the measured cells of each block; `None` when a block is a single cell.
fn block_means(rates: &Array2<f32>, (down, across): (usize, usize)) -> Option<Array2<f32>> {
    if (down, across) == (1, 1) {
        return None;
    }
    let (rows, columns) = rates.dim();
    let mean = |(row, column): (usize, usize)| {
        let (top, left) = (row * down, column * across);
        let (mut sum, mut known, mut cells) = (0.0, 0_usize, 0_usize);
        for i in top..(top + down).min(rows) {
            for j in left..(left + across).min(columns) {
                let rate = rates[[i, j]];
                cells += 1;
                if !rate.is_nan() {
                    known += 1;
                    sum += f64::from(rate);
                }
            }
        }
        if 2 * known >= cells { single(sum / known as f64) } else { f32::NAN }
    };
    Some(Array2::from_shape_fn((rows.div_ceil(down), columns.div_ceil(across)), mean))
}

/// The values of the listed cells, as a map on `grid`.
fn taken(map: &Array2<f32>, cells: &[u32], grid: &Grid) -> Option<Array2<f32>> {
    let map = map.as_standard_layout();
    let values = map.as_slice()?;
    // A cell that is nowhere is beyond the end of every map.
    let value = |cell: &u32| values.get(*cell as usize).copied().unwrap_or(f32::NAN);
    let taken = cells.par_iter().with_min_len(1 << 14).map(value).collect();
    Array2::from_shape_vec((grid.rows, grid.columns), taken).ok()
}

/// The outermost plane coordinates of a grid on another map.
struct Outline {
    west: f64,
    east: f64,
    south: f64,
    north: f64,
}

impl Outline {
    /// `None` where a point of it has no place on the map.
    fn of(grid: &Grid, projection: &Projection) -> Option<Outline> {
        let mut outline = Outline {
            west: f64::INFINITY,
            east: f64::NEG_INFINITY,
            south: f64::INFINITY,
            north: f64::NEG_INFINITY,
        };
        let (rows, columns) = (grid.rows as f64, grid.columns as f64);
        for i in 0..=OUTLINE {
            let along = i as f64 / OUTLINE as f64;
            let (row, column) = (along * rows - 0.5, along * columns - 0.5);
            for (row, column) in
                [(row, -0.5), (row, columns - 0.5), (-0.5, column), (rows - 0.5, column)]
            {
                let (x, y) = projection.to_plane(grid.point_at(row, column)?)?;
                outline.west = outline.west.min(x);
                outline.east = outline.east.max(x);
                outline.south = outline.south.min(y);
                outline.north = outline.north.max(y);
            }
        }
        Some(outline)
    }
}

/// For every cell of a grid the cell of another one that its centre lies in, or [`NOWHERE`].
fn cells_of(grid: &Grid, other: &Grid) -> Vec<u32> {
    let exact = |row: f64, column: f64| {
        let point = grid.point_at(row, column)?;
        other.position_of(point)
    };
    let nodes: Vec<Vec<Option<(f64, f64)>>> = (0..=grid.rows.div_ceil(LATTICE))
        .into_par_iter()
        .map(|i| {
            let row = (i * LATTICE) as f64;
            let nodes = 0..=grid.columns.div_ceil(LATTICE);
            nodes.map(|j| exact(row, (j * LATTICE) as f64)).collect()
        })
        .collect();
    let mut cells = vec![NOWHERE; grid.rows * grid.columns];
    cells.par_chunks_mut(LATTICE * grid.columns.max(1)).enumerate().for_each(|(i, band)| {
        for j in 0..grid.columns.div_ceil(LATTICE) {
            let (top, left) = (i * LATTICE, j * LATTICE);
            let corners = [nodes[i][j], nodes[i][j + 1], nodes[i + 1][j], nodes[i + 1][j + 1]];
            let half = LATTICE as f64 / 2.0;
            let patch = Patch::new(corners)
                .filter(|patch| patch.holds(exact(top as f64 + half, left as f64 + half)));
            for (row, line) in band.chunks_mut(grid.columns).enumerate() {
                let right = (left + LATTICE).min(grid.columns);
                for (column, cell) in line[left..right].iter_mut().enumerate() {
                    let position = match &patch {
                        Some(patch) => Some(patch.at(row, column)),
                        None => exact((top + row) as f64, (left + column) as f64),
                    };
                    *cell = position.map_or(NOWHERE, |position| index(position, other));
                }
            }
        }
    });
    cells
}

/// The number of the cell that a position lies in.
fn index((row, column): (f64, f64), grid: &Grid) -> u32 {
    let cell = cell_at(row, grid.rows)
        .zip(cell_at(column, grid.columns))
        .map(|(row, column)| row * grid.columns + column);
    cell.and_then(|cell| u32::try_from(cell).ok()).unwrap_or(NOWHERE)
}

/// Positions between four that are known.
struct Patch {
    first: (f64, f64),
    /// Change across, down, and of the one along the other, a cell.
    across: (f64, f64),
    down: (f64, f64),
    twist: (f64, f64),
}

impl Patch {
    fn new(corners: [Option<(f64, f64)>; 4]) -> Option<Self> {
        let [Some(a), Some(b), Some(c), Some(d)] = corners else { return None };
        let side = LATTICE as f64;
        let both =
            |f: &dyn Fn(f64, f64, f64, f64) -> f64| (f(a.0, b.0, c.0, d.0), f(a.1, b.1, c.1, d.1));
        Some(Patch {
            first: a,
            across: both(&|a, b, _, _| (b - a) / side),
            down: both(&|a, _, c, _| (c - a) / side),
            twist: both(&|a, b, c, d| (d - c - b + a) / (side * side)),
        })
    }

    fn at(&self, row: usize, column: usize) -> (f64, f64) {
        self.between(row as f64, column as f64)
    }

    fn between(&self, i: f64, j: f64) -> (f64, f64) {
        let value = |first: f64, across: f64, down: f64, twist: f64| {
            first + across * j + down * i + twist * i * j
        };
        (
            value(self.first.0, self.across.0, self.down.0, self.twist.0),
            value(self.first.1, self.across.1, self.down.1, self.twist.1),
        )
    }

    /// Whether it is right in its middle, where it errs most.
    fn holds(&self, middle: Option<(f64, f64)>) -> bool {
        let half = LATTICE as f64 / 2.0;
        let (row, column) = self.between(half, half);
        middle.is_some_and(|middle| {
            (row - middle.0).abs() < POSITION_ERROR_MAX
                && (column - middle.1).abs() < POSITION_ERROR_MAX
        })
    }
}
