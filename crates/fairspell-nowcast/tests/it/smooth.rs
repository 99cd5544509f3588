use fairspell_nowcast::smooth::{KnownGaussian, Width, gaussian};
use ndarray::Array2;
use proptest::prelude::*;

/// The integral of the normal distribution up to 0.5, 1.5 and 2.5, from any printed table of it.
const NORMAL: [f32; 3] = [0.69146, 0.93319, 0.99379];

#[test]
fn a_straight_edge_becomes_the_normal_distribution() {
    for cells in [1_u16, 3, 5, 15, 63] {
        let sigma = f64::from(cells);
        let edge = Array2::from_shape_fn((4, 801), |(_, column)| f32::from(column >= 400));
        let smoothed = gaussian(&edge, Width { rows: sigma, columns: sigma });
        for (index, expected) in NORMAL.into_iter().enumerate() {
            // The edge lies half a cell before the centre of column 400, and so at odd widths these
            // places lie on centres.
            let cells = usize::from(cells);
            let share = smoothed[[2, 400 + index * cells + cells / 2]];
            // At one cell the sum over cells is 0.008 off the integral; three boxes have 0.4 less
            // kurtosis than the normal distribution, which is 0.008 at half a width.
            assert!((share - expected).abs() < 0.01, "width {sigma}, {expected}: {share}");
        }
    }
}

#[test]
fn unknown_cells_weigh_nothing() {
    let known = Array2::from_shape_fn((60, 60), |(row, _)| f32::from(row < 20));
    let gaussian = KnownGaussian::new(&known, Width { rows: 5.0, columns: 5.0 });
    let mean = gaussian.mean(&(&known * 3.0), -1.0);
    assert!((mean[[10, 30]] - 3.0).abs() < 1e-4);
    assert!((mean[[25, 30]] - 3.0).abs() < 1e-4, "the known side alone speaks across the edge");
    assert_eq!(mean[[55, 30]], -1.0, "far from everything known");
}

proptest! {
    #[test]
    fn a_mean_never_leaves_the_range_of_what_it_is_of(
        values in prop::collection::vec(0.0_f32..1.0, 30 * 20),
        rows in 0.0..40.0, columns in 0.0..40.0,
    ) {
        let map = Array2::from_shape_vec((30, 20), values).unwrap();
        let smoothed = gaussian(&map, Width { rows, columns });
        // Single precision.
        prop_assert!(smoothed.iter().all(|value| (-1e-5..=1.0 + 1e-5).contains(value)));
    }
}
