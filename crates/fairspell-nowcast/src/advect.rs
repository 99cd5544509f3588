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
        self.carry_with(map, minutes, |origin| {
            let cell = cell_at(origin.row, rows).zip(cell_at(origin.column, columns));
            cell.map_or(f32::NAN, |at| map[at])
        })
    }

    /// Carries a rain rate forward, linear between the cells it comes from: the best single guess.
    ///
    /// - `rain_rate`: mm/h, NaN where not measured.
    /// - `minutes`: how far ahead; negative carries back.
    ///
    /// The newest picture is interpolated once, however far ahead, so that drizzle and edges lose
    /// nothing but what less than a cell of blurring takes, and a uniform motion loses no rain at
    /// all ([`balance`](Self::balance)). Unknown cells weigh nothing; NaN where the air comes from
    /// outside the map or from an unknown cell. Ways back are followed as in
    /// [`carry_for_show`](Self::carry_for_show).
    ///
    /// # Source
    ///
    /// Backward semi-Lagrangian extrapolation: U. Germann and I. Zawadzki, Mon. Wea. Rev. 130
    /// (2002), 2859-2873. Linear in the rate: our choice. Mean CSI over the leads of two open events
    /// (OPERA, MRMS), less that of this choice, at 0.1 and then at 1 mm/h: the nearest cell -0.006,
    /// -0.009; -0.011, -0.013. Linear but wet and dry as at the nearest cell -0.006, -0.009; 0.000,
    /// -0.003. Wet where half of the four cells are wet by weight -0.005, -0.007; 0.000, -0.002.
    /// Linear in the rate's root -0.001, 0.000; -0.002, -0.004.
    pub fn carry_rain_rate(&self, rain_rate: &Array2<f32>, minutes: f64) -> Array2<f32> {
        self.carry_with(rain_rate, minutes, |origin| linear_over_known(rain_rate, origin))
    }

    /// What carrying a rain rate does to the amount of rain on the map.
    ///
    /// Sums are over the cells, in mm/h: times a cell's area and the hours they are amounts of rain.
    ///
    /// # Examples
    ///
    /// ```
    /// use fairspell_nowcast::advect::Motion;
    /// use ndarray::Array2;
    ///
    /// // Two wet cells, one of which leaves in ten minutes; what comes in is not known.
    /// let mut rain = Array2::zeros((5, 10));
    /// rain[[2, 3]] = 4.0;
    /// rain[[2, 8]] = 1.0;
    /// let balance = Motion::uniform(0.0, 0.5).balance(&rain, 10.0);
    /// assert_eq!((balance.before, balance.after, balance.out), (5.0, 4.0, 1.0));
    /// assert_eq!(balance.unknown_share, 0.5);
    /// ```
    pub fn balance(&self, rain_rate: &Array2<f32>, minutes: f64) -> Balance {
        let (rows, columns) = rain_rate.dim();
        let carried = self.carry_rain_rate(rain_rate, minutes);
        let known = |map: &Array2<f32>| -> (f64, usize) {
            let known = map.iter().filter(|rate| !rate.is_nan());
            known.fold((0.0, 0), |(sum, count), rate| (sum + f64::from(*rate), count + 1))
        };
        let (before, _) = known(rain_rate);
        let (after, known_after) = known(&carried);
        // Where each cell's rain will be: the way back of the motion turned round.
        let destinations = self.origins(rain_rate.dim(), -minutes);
        let inside = |centre: f64, count: usize| {
            let (first, last) = (centre.max(0.0), (centre + 1.0).min(count as f64));
            (last - first).clamp(0.0, 1.0)
        };
        let out = rain_rate.indexed_iter().filter(|(_, rate)| **rate > 0.0);
        let out = out.map(|((row, column), rate)| {
            let to = destinations.at(row, column);
            f64::from(*rate) * (1.0 - inside(to.row, rows) * inside(to.column, columns))
        });
        Balance {
            before,
            after,
            out: out.sum(),
            unknown_share: 1.0 - known_after as f64 / carried.len().max(1) as f64,
        }
    }

    /// A map each of whose cells is read where its air was.
    fn carry_with(
        &self,
        map: &Array2<f32>,
        minutes: f64,
        value_from: impl Fn(Position) -> f32 + Sync,
    ) -> Array2<f32> {
        let origins = self.origins(map.dim(), minutes);
        let mut carried = Array2::from_elem(map.dim(), f32::NAN);
        carried.axis_iter_mut(Axis(0)).into_par_iter().enumerate().for_each(|(row, mut line)| {
            for (column, value) in line.iter_mut().enumerate() {
                *value = value_from(origins.at(row, column));
            }
        });
        carried
    }

    /// Where the air over each cell of a map was so many minutes ago.
    fn origins(&self, (rows, columns): (usize, usize), minutes: f64) -> Origins {
        let steps = (minutes.abs() / STRAIGHT_MIN).ceil().max(1.0);
        let origin = |i: usize, j: usize| {
            let here = Position { row: (i * SPARSE) as f64, column: (j * SPARSE) as f64 };
            self.way_back(here, minutes / steps).nth(whole(steps)).unwrap_or(here)
        };
        let shape = (rows.div_ceil(SPARSE) + 1, columns.div_ceil(SPARSE) + 1);
        let mut sparse = Array2::from_elem(shape, Position { row: 0.0, column: 0.0 });
        sparse.axis_iter_mut(Axis(0)).into_par_iter().enumerate().for_each(|(i, mut line)| {
            for (j, position) in line.iter_mut().enumerate() {
                *position = origin(i, j);
            }
        });
        Origins { sparse }
    }
}

/// How much rain a map holds before and after it is carried; see [`Motion::balance`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Balance {
    /// Rain on the map now, mm/h summed over its known cells.
    pub before: f64,
    /// Rain on the carried map, likewise.
    pub after: f64,
    /// Rain that has left over the edges, likewise.
    pub out: f64,
    /// Share of the carried map's cells whose air comes from outside or from unknown cells. What
    /// rain comes in with it nobody knows.
    pub unknown_share: f64,
}

impl Balance {
    /// Rain that the carrying has made (or lost, if negative), mm/h summed over the cells: where the
    /// motion spreads out each drop is spread wider than it is in nature. Near 0 for a uniform
    /// motion.
    pub fn made(&self) -> f64 {
        self.after + self.out - self.before
    }
}

/// Where the air over every fourth cell was.
struct Origins {
    sparse: Array2<Position>,
}

impl Origins {
    /// Where the air over a cell was, linear between the nearest four.
    fn at(&self, row: usize, column: usize) -> Position {
        let share = |cell: usize| (cell % SPARSE) as f64 / SPARSE as f64;
        let (i, j) = (row / SPARSE, column / SPARSE);
        let upper = self.sparse[[i, j]].towards(self.sparse[[i, j + 1]], share(column));
        let lower = self.sparse[[i + 1, j]].towards(self.sparse[[i + 1, j + 1]], share(column));
        upper.towards(lower, share(row))
    }
}

/// A map at a position, linear over those of the four cells around that are known; NaN outside the
/// map and where the nearest cell is unknown.
fn linear_over_known(map: &Array2<f32>, position: Position) -> f32 {
    let (rows, columns) = map.dim();
    let nearest = cell_at(position.row, rows).zip(cell_at(position.column, columns));
    if nearest.is_none_or(|at| map[at].is_nan()) {
        return f32::NAN;
    }
    let value = value_at(map, position);
    if !value.is_nan() {
        return single(value);
    }
    let (row, down) = cell_and_rest(position.row, rows);
    let (column, right) = cell_and_rest(position.column, columns);
    let (below, beside) = ((row + 1).min(rows - 1), (column + 1).min(columns - 1));
    let corners = [
        (map[[row, column]], (1.0 - down) * (1.0 - right)),
        (map[[row, beside]], (1.0 - down) * right),
        (map[[below, column]], down * (1.0 - right)),
        (map[[below, beside]], down * right),
    ];
    let known = corners.iter().filter(|(value, _)| !value.is_nan());
    let (sum, weight) = known.fold((0.0, 0.0), |(sum, weight), (value, share)| {
        (sum + f64::from(*value) * share, weight + share)
    });
    single(sum / weight)
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

/// Where rain goes in the next half hour, and where in the hours after.
///
/// A shower has a way of its own while it lives; what comes later goes with the air around. The ways
/// back through both are joined by lead: the near one alone up to 20 minutes, the steady one alone
/// from an hour on. Both ends are our choice; `motion::STEADY_SIGMA` has the scores.
#[derive(Debug, Clone)]
pub struct Carrier {
    /// As finely as the pictures tell it.
    pub near: Motion,
    /// Smoothed widely.
    pub steady: Motion,
}

const NEAR_ALONE_MIN: f64 = 20.0;
const STEADY_ALONE_MIN: f64 = 60.0;

impl Carrier {
    /// One motion for all leads.
    pub fn constant(motion: Motion) -> Self {
        Carrier { near: motion.clone(), steady: motion }
    }

    /// Where the air is now that will be at `place` after each of equal steps; `place` comes first.
    pub fn origins_of(
        &self,
        place: Position,
        step_min: f64,
    ) -> impl Iterator<Item = Position> + '_ {
        let near = self.near.way_back(place, step_min);
        near.zip(self.steady.way_back(place, step_min)).enumerate().map(
            move |(step, (near, steady))| {
                let later_min = step as f64 * step_min - NEAR_ALONE_MIN;
                let share = later_min / (STEADY_ALONE_MIN - NEAR_ALONE_MIN);
                near.towards(steady, share.clamp(0.0, 1.0))
            },
        )
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
