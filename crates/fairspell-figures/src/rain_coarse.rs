//! Cells of a field joined into larger ones.

/// Joins `grain` by `grain` cells into one with the mean of what was measured in them, NaN unless
/// more than half of them was; returns rates, rows and columns.
pub(crate) fn coarsened(
    rates: &[f32],
    rows: usize,
    columns: usize,
    grain: usize,
) -> (Vec<f32>, usize, usize) {
    // A list that is too short says how many rows there are to look at.
    let rows_there = rates.len().checked_div(columns).map_or(0, |full| (full + 1).min(rows));
    if grain <= 1 {
        return (rates.to_vec(), rows, columns);
    }
    let (coarse_rows, coarse_columns) = (rows.div_ceil(grain), columns.div_ceil(grain));
    let mut coarse = Vec::new();
    for row in 0..rows_there.div_ceil(grain) {
        for column in 0..coarse_columns.min(rates.len()) {
            let (mut sum, mut measured, mut cells) = (0.0, 0_u16, 0_u16);
            for i in row * grain..((row + 1) * grain).min(rows) {
                for j in column * grain..((column + 1) * grain).min(columns) {
                    cells += 1;
                    // Negative is a code for missing.
                    if let Some(rate) = rates.get(i * columns + j).filter(|rate| **rate >= 0.0) {
                        measured += 1;
                        sum += rate;
                    }
                }
            }
            let known = 2 * measured > cells;
            coarse.push(if known { sum / f32::from(measured) } else { f32::NAN });
        }
    }
    (coarse, coarse_rows, coarse_columns)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_joined_cell_is_the_mean_of_what_was_measured_in_it() {
        let rates = [1.0, 3.0, 0.0, -1.0, 2.0, 0.5];
        let (coarse, rows, columns) = coarsened(&rates, 2, 3, 2);
        assert_eq!((rows, columns), (1, 2));
        // The right one is a column wide.
        assert_eq!(coarse, [2.0, 0.25]);
    }

    #[test]
    fn a_joined_cell_is_not_measured_unless_more_than_half_of_it_was() {
        let rates = [f32::NAN, 3.0, -1.0, 2.0];
        assert!(coarsened(&rates, 2, 2, 2).0[0].is_nan());
        // What a short list leaves out was not measured either.
        assert!(coarsened(&[3.0], 2, 2, 2).0[0].is_nan());
        assert!(coarsened(&[], 4, 4, 2).0.iter().all(|rate| rate.is_nan()));
    }
}
