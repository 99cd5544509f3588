//! The neighbours' series: what would arrive at every place of a lattice, step by step.
//!
//! The rain that reaches the neighbours is rain that might as well reach us. Kept as one bit a step,
//! "would any of it be wet?" and "is there a dry run?" are a few machine instructions a neighbour.

use ndarray::{Array2, Axis};
use rayon::prelude::*;

use crate::advect::{Carrier, Position};
use crate::level::WET_MIN;
use crate::narrow::{cell_and_rest, cell_at, nearest_cell, single, whole};

/// Spacing of the lattice, km.
const LATTICE_KM: f64 = 2.0;

/// The most steps a series can hold.
pub(crate) const STEPS_MAX: usize = 127;

/// What arrives at one place: bit `k` is step `k`; bit 0 is now.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(crate) struct Series {
    /// Wet on arrival.
    pub(crate) wet: u128,
    /// Measured in the newest picture.
    pub(crate) known: u128,
}

/// The bits of steps `first..=last`.
pub(crate) fn steps_mask(first: usize, last: usize) -> u128 {
    let up_to = |step: usize| u128::MAX >> (STEPS_MAX - step);
    up_to(last) & !(up_to(first) >> 1)
}

/// Series on a lattice over the grid.
#[derive(Debug)]
pub(crate) struct Arrivals {
    /// Row by row.
    series: Vec<Series>,
    rows: usize,
    columns: usize,
    /// Cells of the grid from one lattice place to the next.
    stride: (usize, usize),
    cell_km: (f64, f64),
}

impl Arrivals {
    /// Follows the air that arrives at every lattice place back for `steps` steps.
    pub(crate) fn new(
        level: &Array2<f32>,
        carrier: &Carrier,
        step_min: f64,
        steps: usize,
        cell_km: (f64, f64),
    ) -> Self {
        let (rows, columns) = level.dim();
        let stride = |km: f64| whole((LATTICE_KM / km).round()).max(1);
        let stride = (stride(cell_km.0), stride(cell_km.1));
        let shape = (rows.div_ceil(stride.0), columns.div_ceil(stride.1));
        let ways = Ways::new(carrier, level.dim(), step_min, steps);
        let mut series = vec![Series::default(); shape.0 * shape.1];
        series.par_chunks_mut(shape.1).enumerate().for_each(|(i, line)| {
            for (j, series) in line.iter_mut().enumerate() {
                let place = Position { row: (i * stride.0) as f64, column: (j * stride.1) as f64 };
                let mut bit = 1;
                ways.follow(place, |here| {
                    let cell = cell_at(here.row, rows).zip(cell_at(here.column, columns));
                    let level = cell.map_or(f32::NAN, |(row, column)| level[[row, column]]);
                    series.wet |= if level >= WET_MIN { bit } else { 0 };
                    series.known |= if level.is_nan() { 0 } else { bit };
                    bit <<= 1;
                });
            }
        });
        Arrivals { series, rows: shape.0, columns: shape.1, stride, cell_km }
    }

    /// Series of neighbours that stand for a Gaussian of `width_km` around a place.
    ///
    /// Neighbours off the grid are left out.
    pub(crate) fn around(
        &self,
        place: Position,
        width_km: f64,
        pattern: &[(f64, f64)],
    ) -> impl Iterator<Item = Series> {
        let stride = (self.stride.0 as f64, self.stride.1 as f64);
        let (row, column) = (place.row / stride.0, place.column / stride.1);
        let down = width_km / (self.cell_km.0 * stride.0);
        let right = width_km / (self.cell_km.1 * stride.1);
        // Most places have all their neighbours on the grid, where nothing need be checked.
        let farthest = farthest(pattern);
        let is_inside = |place: f64, reach: f64, count: usize| {
            place >= reach * farthest && place + reach * farthest <= count as f64 - 1.0
        };
        let is_inside = is_inside(row, down, self.rows) && is_inside(column, right, self.columns);
        pattern.iter().filter_map(move |(south, east)| {
            if is_inside {
                let row = nearest_cell(row + south * down);
                let column = nearest_cell(column + east * right);
                return Some(self.series[row * self.columns + column]);
            }
            let row = cell_at(row + south * down, self.rows)?;
            let column = cell_at(column + east * right, self.columns)?;
            Some(self.series[row * self.columns + column])
        })
    }
}

/// How far the farthest of some offsets is away: the last, as they are made.
fn farthest(pattern: &[(f64, f64)]) -> f64 {
    pattern.last().map_or(0.0, |(south, east)| south.hypot(*east))
}

/// Cells between the places whose ways back are followed; in between ways are linear, as the motion,
/// smoothed over ten cells and more, nearly is.
const WAYS_EVERY: usize = 8;

/// Ways back from places all over the grid: how far the air has come by each step.
struct Ways {
    /// Of each such place, step by step: cells southward and eastward from it.
    offsets: Array2<Vec<[f32; 2]>>,
}

impl Ways {
    fn new(
        carrier: &Carrier,
        (rows, columns): (usize, usize),
        step_min: f64,
        steps: usize,
    ) -> Self {
        let shape = (rows.div_ceil(WAYS_EVERY) + 1, columns.div_ceil(WAYS_EVERY) + 1);
        let mut offsets = Array2::default(shape);
        offsets.axis_iter_mut(Axis(0)).into_par_iter().enumerate().for_each(|(i, mut line)| {
            for (j, way) in line.iter_mut().enumerate() {
                let row = (i * WAYS_EVERY) as f64;
                let column = (j * WAYS_EVERY) as f64;
                let origins = carrier.origins_of(Position { row, column }, step_min);
                let offset =
                    |here: Position| [single(here.row - row), single(here.column - column)];
                *way = origins.take(steps + 1).map(offset).collect();
            }
        });
        Ways { offsets }
    }

    /// Calls `with` for every step of the way back from a place on the grid.
    fn follow(&self, place: Position, mut with: impl FnMut(Position)) {
        let (rows, columns) = self.offsets.dim();
        let (i, down) = cell_and_rest(place.row / WAYS_EVERY as f64, rows - 1);
        let (j, right) = cell_and_rest(place.column / WAYS_EVERY as f64, columns - 1);
        let weights = [
            (1.0 - down) * (1.0 - right),
            (1.0 - down) * right,
            down * (1.0 - right),
            down * right,
        ]
        .map(single);
        let way = |i: usize, j: usize| self.offsets[[i, j]].as_slice();
        let [a, b, c, d] = [way(i, j), way(i, j + 1), way(i + 1, j), way(i + 1, j + 1)];
        for (((a, b), c), d) in a.iter().zip(b).zip(c).zip(d) {
            let part = |axis: usize| {
                let parts = [a[axis], b[axis], c[axis], d[axis]];
                f64::from(
                    parts.iter().zip(weights).map(|(part, weight)| part * weight).sum::<f32>(),
                )
            };
            with(Position { row: place.row + part(0), column: place.column + part(1) });
        }
    }
}

/// Offsets (south, east) that stand for a Gaussian of width 1, each for the same share of it.
///
/// Radii at equal steps of probability, turned by the golden angle: no two in line, no gaps, and
/// nothing left to chance.
pub(crate) fn gaussian_pattern(count: usize) -> Vec<(f64, f64)> {
    let golden = std::f64::consts::PI * (3.0 - 5.0_f64.sqrt());
    let offset = |index: usize| {
        let inner = (index as f64 + 0.5) / count as f64;
        let radius = (-2.0 * (1.0 - inner).ln()).sqrt();
        let (sine, cosine) = (golden * index as f64).sin_cos();
        (radius * cosine, radius * sine)
    };
    (0..count).map(offset).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn neighbours_are_those_in_whose_cell_they_stand_inside_and_at_the_edge() {
        let (rows, columns) = (60, 75);
        // Every series its own name.
        let name = |cell: usize| Series { wet: cell as u128, known: 1 };
        let arrivals = Arrivals {
            series: (0..rows * columns).map(name).collect(),
            rows,
            columns,
            stride: (2, 2),
            cell_km: (1.0, 1.25),
        };
        let pattern = gaussian_pattern(128);
        for (row, column) in [(60.0, 74.0), (61.0, 75.5), (3.0, 80.0), (118.9, 149.0), (60.0, 8.0)]
        {
            for width_km in [1.0, 4.3, 11.0, 16.0, 60.0] {
                let place = Position { row, column };
                let expected: Vec<Series> = pattern
                    .iter()
                    .filter_map(|(south, east)| {
                        let row = cell_at(row / 2.0 + south * (width_km / (1.0 * 2.0)), rows)?;
                        let east = east * (width_km / (1.25 * 2.0));
                        Some(name(row * columns + cell_at(column / 2.0 + east, columns)?))
                    })
                    .collect();
                let found: Vec<Series> = arrivals.around(place, width_km, &pattern).collect();
                assert_eq!(found, expected, "{place:?} {width_km}");
            }
        }
    }

    #[test]
    fn neighbours_stand_for_a_gaussian() {
        let pattern = gaussian_pattern(256);
        let within = |radius: f64| {
            let count = pattern.iter().filter(|(south, east)| south.hypot(*east) < radius).count();
            count as f64 / 256.0
        };
        // Rayleigh distribution: 1 - exp(-r^2 / 2); half a neighbour either way.
        for (radius, share) in [(0.5, 0.1175), (1.0, 0.3935), (2.0, 0.8647)] {
            assert!((within(radius) - share).abs() < 0.003, "{radius}: {}", within(radius));
        }
        let (south, east) =
            pattern.iter().fold((0.0, 0.0), |sum, (south, east)| (sum.0 + south, sum.1 + east));
        assert!(south.hypot(east) / 256.0 < 0.02, "to no side more than to another");
    }
}
