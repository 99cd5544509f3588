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

/// Cells between the ways back that are followed for a picture to look at.
const SPARSE: usize = 4;

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

    /// As [`carry`](Self::carry), an order of magnitude quicker over long ways, for looking at.
    ///
    /// Ways back are followed from every fourth cell only, which is how far apart the blocks of an
    /// estimated motion lie; in between the origins are linear. A cell in a few hundred takes its
    /// neighbour's value.
    pub fn carry_for_show(&self, map: &Array2<f32>, minutes: f64) -> Array2<f32> {
        let (rows, columns) = map.dim();
        let origins =
            self.origins((rows.div_ceil(SPARSE) + 1, columns.div_ceil(SPARSE) + 1), minutes);
        let share = |cell: usize| (cell % SPARSE) as f64 / SPARSE as f64;
        let mut carried = Array2::from_elem(map.dim(), f32::NAN);
        carried.axis_iter_mut(Axis(0)).into_par_iter().enumerate().for_each(|(row, mut line)| {
            let (i, down) = (row / SPARSE, share(row));
            for (column, value) in line.iter_mut().enumerate() {
                let (j, right) = (column / SPARSE, share(column));
                let upper = origins[[i, j]].towards(origins[[i, j + 1]], right);
                let lower = origins[[i + 1, j]].towards(origins[[i + 1, j + 1]], right);
                let origin = upper.towards(lower, down);
                let cell = cell_at(origin.row, rows).zip(cell_at(origin.column, columns));
                if let Some((row, column)) = cell {
                    *value = map[[row, column]];
                }
            }
        });
        carried
    }

    /// Where the air at every fourth cell was so many minutes ago.
    fn origins(&self, shape: (usize, usize), minutes: f64) -> Array2<Position> {
        let steps = (minutes / STRAIGHT_MIN).ceil().max(1.0);
        let origin = |(i, j): (usize, usize)| {
            let here = Position { row: (i * SPARSE) as f64, column: (j * SPARSE) as f64 };
            self.way_back(here, minutes / steps).nth(whole(steps)).unwrap_or(here)
        };
        Array2::from_shape_fn(shape, origin)
    }
}

impl Position {
    /// A share of the way to another position.
    fn towards(self, other: Position, share: f64) -> Position {
        Position {
            row: self.row + (other.row - self.row) * share,
            column: self.column + (other.column - self.column) * share,
        }
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

#[cfg(test)]
mod tests {
    use super::*;

    /// Rain that turns around a middle and spreads, as far as a storm's does, over two hours.
    #[test]
    fn carrying_for_show_differs_from_carrying_in_few_cells_however_the_motion_turns() {
        let vector = |(i, j): (usize, usize)| {
            let (down, right) = (i as f64 * 4.0 - 80.0, j as f64 * 4.0 - 80.0);
            [single(0.3 + 0.006 * right), single(0.4 - 0.006 * down)]
        };
        let motion = Motion::on_blocks(Array2::from_shape_fn((40, 40), vector), 4);
        let map = Array2::from_shape_fn((160, 160), |(row, column)| {
            f32::from(u8::from((row / 5 + column / 5) % 2 == 0))
        });
        let (slow, quick) = (motion.carry(&map, 120.0), motion.carry_for_show(&map, 120.0));
        let differ = slow.iter().zip(&quick).filter(|(a, b)| a.to_bits() != b.to_bits()).count();
        assert!(differ * 300 < map.len(), "{differ} of {}", map.len());
    }
}
