//! Wide Gaussian means, kept on fewer cells than the picture has.
//!
//! A mean over many cells hardly changes from one to the next. Kept on blocks a quarter as long as it
//! is wide, it costs a sixteenth and less, and read between the blocks it is within a hundredth of the
//! full one, one and a half widths from the picture's edge (a test says so).

use ndarray::{Array2, Axis};
use rayon::prelude::*;

use crate::advect::{Position, value_at};
use crate::narrow::whole;
use crate::smooth::{KnownGaussian, Width};

/// Cells along a block's side at the most, as a power of two.
const HALVINGS_MAX: usize = 3;

/// A smoothed map that is read at any position of the picture it was made from.
#[derive(Debug)]
pub(crate) struct Thinned {
    blocks: Array2<f32>,
    /// Cells of the picture along a block's side.
    side: usize,
}

impl Thinned {
    /// The value at a position of the picture, linear between the blocks.
    pub(crate) fn at(&self, position: Position) -> f64 {
        if self.side == 1 {
            return value_at(&self.blocks, position);
        }
        let on_blocks = |cells: f64| (cells + 0.5) / self.side as f64 - 0.5;
        let (row, column) = (on_blocks(position.row), on_blocks(position.column));
        value_at(&self.blocks, Position { row, column })
    }

    /// Two maps with blocks of one size as one.
    pub(crate) fn with(mut self, other: &Thinned, join: impl Fn(f32, f32) -> f32) -> Thinned {
        assert_eq!(self.side, other.side, "maps of one width");
        self.blocks.zip_mut_with(&other.blocks, |a, b| *a = join(*a, *b));
        self
    }
}

/// Gaussian means of one width for maps that share their unknown cells.
pub(crate) struct Thinning {
    gaussian: KnownGaussian,
    side: usize,
}

impl Thinning {
    /// For maps in which the cells with `known` 0 are unknown (and 1 where known).
    pub(crate) fn new(known: &Array2<f32>, width: Width) -> Self {
        let quarter = width.rows.min(width.columns) / 4.0;
        let halvings = whole(quarter.log2().max(0.0)).min(HALVINGS_MAX);
        let side = 1 << halvings;
        let width = Width { rows: width.rows / side as f64, columns: width.columns / side as f64 };
        Thinning { gaussian: KnownGaussian::new(&block_means(known, side), width), side }
    }

    /// The mean over known cells of a map that is 0 where unknown; `fill` where too little is known.
    pub(crate) fn mean(&self, map_or_zero: &Array2<f32>, fill: f32) -> Thinned {
        let blocks = self.gaussian.mean(&block_means(map_or_zero, self.side), fill);
        Thinned { blocks, side: self.side }
    }
}

/// Means of square blocks; those at the far edges may hold fewer cells.
fn block_means(map: &Array2<f32>, side: usize) -> Array2<f32> {
    if side == 1 {
        return map.clone();
    }
    let (rows, columns) = map.dim();
    let mut means = Array2::zeros((rows.div_ceil(side), columns.div_ceil(side)));
    means.axis_iter_mut(Axis(0)).into_par_iter().enumerate().for_each(|(block, mut line)| {
        let within = block * side..((block + 1) * side).min(rows);
        for row in within.clone() {
            for (column, value) in map.row(row).iter().enumerate() {
                line[column / side] += value;
            }
        }
        for (column, sum) in line.iter_mut().enumerate() {
            let across = side.min(columns - column * side);
            *sum /= (within.len() * across) as f32;
        }
    });
    means
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::smooth::gaussian;

    #[test]
    fn a_thinned_mean_is_within_a_hundredth_of_the_full_one() {
        let wet = Array2::from_shape_fn((203, 197), |(row, column)| {
            f32::from(u8::from((row / 9 + column / 13) % 3 == 0 && row + column > 90))
        });
        let known = Array2::ones(wet.dim());
        for sigma in [8.0, 15.0, 32.0, 64.0] {
            let width = Width { rows: sigma, columns: sigma };
            let full = gaussian(&wet, width);
            let thinned = Thinning::new(&known, width).mean(&wet, 0.0);
            assert!(thinned.side > 1);
            for ((row, column), expected) in full.indexed_iter() {
                let found = thinned.at(Position { row: row as f64, column: column as f64 });
                // Near the edge, which is repeated outward, a block stands for a line of cells: no
                // better and no worse.
                let border = row.min(column).min(202 - row).min(196 - column);
                let miss = (found - f64::from(*expected)).abs();
                assert!(
                    miss < 0.01 || (border as f64) < 1.5 * sigma,
                    "{sigma}: {row} {column} {miss}"
                );
            }
        }
    }
}
