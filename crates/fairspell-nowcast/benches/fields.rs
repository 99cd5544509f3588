//! How long it takes to make a picture ready for the nowcast.

use divan::{Bencher, black_box};
use fairspell_ground::Projection;
use fairspell_nowcast::{Grid, RainField, Regrid, clutter};
use jiff::Timestamp;
use ndarray::Array2;

/// Rows and columns: a spot's sky in hundredths of a degree, and the size that the nowcast is
/// measured on.
const SIZES: [(usize, usize); 2] = [(600, 700), (512, 512)];

fn main() {
    divan::main();
}

/// Hundredths of a degree around 35 N with rain in a third of the cells.
fn picture((rows, columns): (usize, usize)) -> RainField {
    let reach = |count: usize| (count - 1) as f64 / 2.0 * 0.01;
    let grid = Grid {
        projection: Projection::degrees(),
        x_first: -86.0 - reach(columns),
        y_first: 35.0 + reach(rows),
        x_step: 0.01,
        y_step: 0.01,
        rows,
        columns,
    };
    let rain_rate_mm_h = Array2::from_shape_fn((rows, columns), |(row, column)| {
        if (row / 40 + column / 40) % 3 == 0 { 20.0 } else { 0.0 }
    });
    RainField { valid_time: Timestamp::UNIX_EPOCH, grid, rain_rate_mm_h }
}

#[divan::bench(args = SIZES)]
fn clutter_mended(bencher: Bencher<'_, '_>, size: (usize, usize)) {
    let rates = picture(size).rain_rate_mm_h;
    bencher.with_inputs(|| rates.clone()).bench_local_values(|mut rates| {
        black_box(clutter::mend(&mut rates));
        rates
    });
}

/// Once for all pictures of a grid.
#[divan::bench(args = SIZES)]
fn regrid_set_up(bencher: Bencher<'_, '_>, size: (usize, usize)) {
    let grid = picture(size).grid;
    bencher.bench_local(|| Regrid::for_nowcast(black_box(&grid)));
}

#[divan::bench(args = SIZES)]
fn regrid_a_picture(bencher: Bencher<'_, '_>, size: (usize, usize)) {
    let picture = picture(size);
    let regrid = Regrid::for_nowcast(&picture.grid).expect("degrees are not kilometres");
    bencher.bench_local(|| regrid.field(black_box(&picture)));
}

#[divan::bench(args = SIZES)]
fn a_map_back_onto_the_pictures_grid(bencher: Bencher<'_, '_>, size: (usize, usize)) {
    let picture = picture(size);
    let regrid = Regrid::for_nowcast(&picture.grid).expect("degrees are not kilometres");
    let map = regrid.field(&picture).expect("its own grid").rain_rate_mm_h;
    bencher.bench_local(|| regrid.onto_source(black_box(&map)));
}
