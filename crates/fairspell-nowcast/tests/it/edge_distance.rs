use fairspell_nowcast::edge_distance::{FARTHEST_KM, edge_distance_km};
use ndarray::Array2;

use crate::sky;

/// The slow way: every cell against every other, after the same median.
fn slow(wet: &Array2<f32>, (row_km, column_km): (f64, f64)) -> Array2<f32> {
    let (rows, columns) = wet.dim();
    let majority = Array2::from_shape_fn(wet.dim(), |(row, column)| {
        let clamp = |base: usize, step: usize, count: usize| (base + step).clamp(1, count) - 1;
        let mut sum = 0.0;
        for i in 0..3 {
            for j in 0..3 {
                sum += wet[[clamp(row, i, rows), clamp(column, j, columns)]];
            }
        }
        sum > 4.5
    });
    Array2::from_shape_fn(wet.dim(), |(row, column)| {
        let here = majority[[row, column]];
        let mut nearest = f64::from(FARTHEST_KM);
        for ((i, j), other) in majority.indexed_iter() {
            if *other != here {
                let down_km = (i as f64 - row as f64) * row_km;
                let right_km = (j as f64 - column as f64) * column_km;
                nearest = nearest.min(down_km.hypot(right_km));
            }
        }
        sky::single(if here { -nearest } else { nearest })
    })
}

#[test]
fn the_quick_way_equals_the_slow_way() {
    for (seed, cell_km) in [(1_u32, (1.0, 1.0)), (2, (1.11, 0.92)), (3, (2.0, 7.0))] {
        let wet = Array2::from_shape_fn((37, 53), |(row, column)| {
            let (row, column) = (row as f32, column as f32);
            f32::from((row / 5.0 + seed as f32).sin() + (column / (4.0 + seed as f32)).cos() > 0.7)
        });
        let difference = edge_distance_km(&wet, cell_km) - slow(&wet, cell_km);
        assert!(difference.iter().all(|difference| difference.abs() < 1e-3));
    }
}

#[test]
fn without_an_edge_it_is_as_far_as_it_gets() {
    let distance = |wet: f32| edge_distance_km(&Array2::from_elem((8, 8), wet), (1.0, 1.0));
    assert!(distance(0.0).iter().all(|km| (km - FARTHEST_KM).abs() < 1e-6));
    assert!(distance(1.0).iter().all(|km| (km + FARTHEST_KM).abs() < 1e-6));
}
