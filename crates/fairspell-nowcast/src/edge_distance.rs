//! How far it is to the edge of the rain.

use ndarray::{Array2, Axis};
use rayon::prelude::*;

use crate::narrow::single;

/// Distances are cut to this, km: farther away the edge says nothing.
pub const FARTHEST_KM: f32 = 60.0;

/// Signed distance of every cell to the edge of the wet area, km: positive outside, negative
/// inside, cut to ±[`FARTHEST_KM`]; between cell centres, after a 3 x 3 median against speckle.
///
/// `wet` holds 1 where wet and 0 elsewhere, `cell_km` a cell's height and width.
///
/// # Source
///
/// P. Felzenszwalb and D. Huttenlocher, "Distance transforms of sampled functions", Theory of
/// Computing 8 (2012), 415-428.
pub fn edge_distance_km(wet: &Array2<f32>, cell_km: (f64, f64)) -> Array2<f32> {
    let wet = median(wet);
    let (outside, inside) =
        rayon::join(|| distance_km(&wet, true, cell_km), || distance_km(&wet, false, cell_km));
    outside - inside
}

/// Majority of the nine cells around each, the edge repeated outward.
fn median(wet: &Array2<f32>) -> Array2<bool> {
    let (rows, columns) = wet.dim();
    let around = |centre: usize, count: usize| {
        [centre.saturating_sub(1), centre, (centre + 1).min(count - 1)]
    };
    Array2::from_shape_fn(wet.dim(), |(row, column)| {
        let mut sum = 0.0;
        for i in around(row, rows) {
            for j in around(column, columns) {
                sum += wet[[i, j]];
            }
        }
        sum > 4.5
    })
}

/// Distance to the nearest cell that is `target`, 0 on such cells.
fn distance_km(wet: &Array2<bool>, target: bool, (row_km, column_km): (f64, f64)) -> Array2<f32> {
    let (rows, columns) = wet.dim();
    let farthest = f64::from(FARTHEST_KM);
    let mut distance = Array2::from_elem(wet.dim(), farthest);
    // Along columns: a sweep down and one up.
    for row in (0..rows).chain((0..rows).rev()) {
        for column in 0..columns {
            let here = if wet[[row, column]] == target { 0.0 } else { distance[[row, column]] };
            let above = row.checked_sub(1).map_or(farthest, |i| distance[[i, column]] + row_km);
            let below =
                if row + 1 < rows { distance[[row + 1, column]] + row_km } else { farthest };
            distance[[row, column]] = here.min(above).min(below);
        }
    }
    // Along rows: the lower envelope of parabolas.
    let mut result = Array2::zeros(wet.dim());
    let lines = result.axis_iter_mut(Axis(0)).into_par_iter();
    lines.zip(distance.axis_iter(Axis(0)).into_par_iter()).for_each(|(mut line, heights)| {
        let squares: Vec<f64> = heights.iter().map(|height| height * height).collect();
        let envelope = lower_envelope(&squares, column_km);
        for (value, square) in line.iter_mut().zip(envelope) {
            *value = single(square.sqrt()).min(FARTHEST_KM);
        }
    });
    result
}

/// At every place the least of `heights[j] + (distance to j)^2`.
fn lower_envelope(heights: &[f64], spacing: f64) -> Vec<f64> {
    // The parabolas of the envelope, and from where on each is the lowest.
    let mut parts: Vec<(usize, f64)> = Vec::with_capacity(heights.len());
    for (index, height) in heights.iter().enumerate() {
        let place = index as f64 * spacing;
        let mut begins = f64::NEG_INFINITY;
        while let Some(&(other, other_begins)) = parts.last() {
            let other_place = other as f64 * spacing;
            begins = ((height + place * place) - (heights[other] + other_place * other_place))
                / (2.0 * (place - other_place));
            if begins > other_begins {
                break;
            }
            parts.pop();
            begins = f64::NEG_INFINITY;
        }
        parts.push((index, begins));
    }
    let mut part = 0;
    (0..heights.len())
        .map(|index| {
            let place = index as f64 * spacing;
            while part + 1 < parts.len() && parts[part + 1].1 <= place {
                part += 1;
            }
            let (centre, _) = parts[part];
            heights[centre] + (place - centre as f64 * spacing).powi(2)
        })
        .collect()
}
