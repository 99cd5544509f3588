//! Where the air that arrives somewhere is now: semi-Lagrangian paths through a field of motion.

use ndarray::{Array2, Axis};
use rayon::prelude::*;

use crate::narrow::{cell_and_rest, cell_at, single, whole};

/// A position on the grid, in cells: whole numbers are cell centres; it may lie outside.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Position {
    /// From the centre of row 0 southward.
    pub row: f64,
    /// From the centre of column 0 eastward.
    pub column: f64,
}

/// Where rain goes, everywhere on a grid: (y, x), cells a minute, fixed in time.
///
/// Kept on blocks of cells, linear in between; outside it is as at the nearest edge.
#[derive(Debug, Clone)]
pub struct Motion {
    /// (row, column), cells a minute.
    cells_per_min: Array2<[f32; 2]>,
    /// Cells along a block's side.
    block: f64,
}

/// The longest step along a path for which the motion may be taken as straight, minutes.
const STRAIGHT_MIN: f64 = 5.0;

impl Motion {
    /// Motion on blocks of `block` x `block` cells, in (row, column), cells a minute.
    pub(crate) fn on_blocks(cells_per_min: Array2<[f32; 2]>, block: usize) -> Self {
        assert!(!cells_per_min.is_empty(), "a field of motion has at least one block");
        Motion { cells_per_min, block: block as f64 }
    }

    /// The same motion everywhere: cells a minute, southward and eastward.
    pub fn uniform(rows_per_min: f64, columns_per_min: f64) -> Self {
        let vector = [single(rows_per_min), single(columns_per_min)];
        Motion::on_blocks(Array2::from_elem((1, 1), vector), 1)
    }

    /// Motion at a position: (southward, eastward), cells a minute.
    pub fn at(&self, position: Position) -> (f64, f64) {
        let (rows, columns) = self.cells_per_min.dim();
        let middle = (self.block - 1.0) / 2.0;
        let (row, down) = cell_and_rest((position.row - middle) / self.block, rows);
        let (column, right) = cell_and_rest((position.column - middle) / self.block, columns);
        let (below, beside) = ((row + 1).min(rows - 1), (column + 1).min(columns - 1));
        let corner = |i: usize, j: usize| self.cells_per_min[[i, j]].map(f64::from);
        let (a, b) = (corner(row, column), corner(row, beside));
        let (c, d) = (corner(below, column), corner(below, beside));
        let part = |axis: usize| {
            let upper = a[axis] + (b[axis] - a[axis]) * right;
            let lower = c[axis] + (d[axis] - c[axis]) * right;
            upper + (lower - upper) * down
        };
        (part(0), part(1))
    }

    /// The way back of the air that is at `from`, in equal steps; `from` itself comes first.
    ///
    /// Each step goes with the motion half-way along it, which errs by the square of the curvature;
    /// keep steps to a quarter of an hour.
    pub fn way_back(&self, from: Position, step_min: f64) -> WayBack<'_> {
        WayBack { motion: self, here: from, last: self.at(from), step_min }
    }

    /// Carries a map forward: what each cell would hold `minutes` later if all only moved.
    ///
    /// The nearest cell's value is taken, so that a wet edge stays an edge. NaN where the air comes
    /// from outside the map.
    pub fn carry(&self, map: &Array2<f32>, minutes: f64) -> Array2<f32> {
        let steps = (minutes / STRAIGHT_MIN).ceil().max(1.0);
        let (rows, columns) = map.dim();
        let mut carried = Array2::from_elem(map.dim(), f32::NAN);
        carried.axis_iter_mut(Axis(0)).into_par_iter().enumerate().for_each(|(row, mut line)| {
            for (column, value) in line.iter_mut().enumerate() {
                let here = Position { row: row as f64, column: column as f64 };
                let origin = self.way_back(here, minutes / steps).nth(whole(steps));
                let cell = origin.and_then(|origin| {
                    cell_at(origin.row, rows).zip(cell_at(origin.column, columns))
                });
                if let Some((row, column)) = cell {
                    *value = map[[row, column]];
                }
            }
        });
        carried
    }
}

/// An endless way back through a field of motion; see [`Motion::way_back`].
#[derive(Debug, Clone)]
pub struct WayBack<'a> {
    motion: &'a Motion,
    here: Position,
    /// The last step's motion, which is close enough to find the next step's half-way by.
    last: (f64, f64),
    step_min: f64,
}

impl Iterator for WayBack<'_> {
    type Item = Position;

    fn next(&mut self) -> Option<Position> {
        let here = self.here;
        let half_way = Position {
            row: here.row - self.last.0 * self.step_min / 2.0,
            column: here.column - self.last.1 * self.step_min / 2.0,
        };
        self.last = self.motion.at(half_way);
        self.here = Position {
            row: here.row - self.last.0 * self.step_min,
            column: here.column - self.last.1 * self.step_min,
        };
        Some(here)
    }
}

/// A map at a position, linear between cell centres; outside, the nearest edge's value.
pub fn value_at(map: &Array2<f32>, position: Position) -> f64 {
    let (rows, columns) = map.dim();
    let (row, down) = cell_and_rest(position.row, rows);
    let (column, right) = cell_and_rest(position.column, columns);
    let (below, beside) = ((row + 1).min(rows - 1), (column + 1).min(columns - 1));
    let upper = mix(map[[row, column]], map[[row, beside]], right);
    let lower = mix(map[[below, column]], map[[below, beside]], right);
    upper + (lower - upper) * down
}

fn mix(a: f32, b: f32, share: f64) -> f64 {
    f64::from(a) + (f64::from(b) - f64::from(a)) * share
}
