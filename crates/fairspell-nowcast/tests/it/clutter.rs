use fairspell_nowcast::RadarRemark;
use fairspell_nowcast::clutter::{Clutter, mend, without_clutter};
use ndarray::Array2;
use proptest::prelude::*;

use crate::sky;

const HOLE: f32 = f32::NAN;

/// Five by five cells of one rate.
fn sky_of(rate_mm_h: f32) -> Array2<f32> {
    Array2::from_elem((5, 5), rate_mm_h)
}

/// Equal, a hole being equal to a hole.
fn same(a: &Array2<f32>, b: &Array2<f32>) -> bool {
    a.dim() == b.dim() && a.iter().zip(b).all(|(a, b)| a == b || (a.is_nan() && b.is_nan()))
}

#[track_caller]
fn check_untouched(rates: &Array2<f32>) {
    let mut mended = rates.clone();
    assert_eq!(mend(&mut mended), None);
    assert!(same(&mended, rates), "{mended}");
}

#[test]
fn drizzle_and_small_showers_stay() {
    for lone in [0.1, 0.4, 2.0, 9.9] {
        let mut rates = sky_of(0.0);
        rates[[2, 2]] = lone;
        check_untouched(&rates);
    }
    // A hard shower of one cell and its fringe.
    let mut rates = sky_of(0.0);
    rates[[2, 2]] = 60.0;
    rates[[2, 3]] = 6.1;
    check_untouched(&rates);
}

#[test]
fn skies_of_one_kind_stay() {
    for rate in [0.0, 0.3, 5.0, 250.0, HOLE] {
        check_untouched(&sky_of(rate));
    }
    check_untouched(&Array2::zeros((0, 0)));
    check_untouched(&Array2::from_elem((1, 1), 200.0));
}

#[test]
fn a_spike_takes_the_median_of_what_is_around() {
    let mut rates = sky_of(0.2);
    rates[[2, 2]] = 70.0;
    rates[[1, 1]] = 6.0;
    let found = mend(&mut rates).unwrap();
    let expected = Clutter { impossible: 0, spikes: 1, not_measured: 0, largest_mm_h: 70.0 };
    assert_eq!(found, expected);
    assert_eq!(rates[[2, 2]], 0.2);
    assert_eq!(rates[[1, 1]], 6.0);
}

#[test]
fn half_dry_surroundings_do_not_make_a_spike_dry() {
    // Four of eight dry: of the two in the middle the wetter one.
    let mut rates = sky_of(0.0);
    rates[[2, 2]] = 70.0;
    for column in 1..=3 {
        rates[[1, column]] = 0.5;
    }
    rates[[2, 1]] = 0.5;
    assert_eq!(mend(&mut rates).unwrap().spikes, 1);
    assert_eq!(rates[[2, 2]], 0.5);
}

#[test]
fn where_little_is_measured_a_spike_stays() {
    // Four measured neighbours: it could be the near side of a shower in the hole.
    let mut rates = sky_of(0.0);
    rates[[2, 2]] = 70.0;
    for column in 1..=3 {
        rates[[1, column]] = HOLE;
    }
    let five = rates.clone();
    rates[[2, 1]] = HOLE;
    check_untouched(&rates);
    let mut mended = five;
    assert_eq!(mend(&mut mended).unwrap().spikes, 1);
    assert_eq!(mended[[2, 2]], 0.0);
    assert!(mended[[1, 1]].is_nan(), "a hole stays a hole");
}

#[test]
fn an_impossible_rate_without_measured_neighbours_is_a_hole_not_dry() {
    // At the edge of the coverage.
    let mut rates = sky_of(HOLE);
    rates[[2, 1]] = 0.7;
    rates[[2, 2]] = 1205.22;
    rates[[2, 3]] = 0.0;
    let found = mend(&mut rates).unwrap();
    let expected = Clutter { impossible: 1, spikes: 0, not_measured: 1, largest_mm_h: 1205.22 };
    assert_eq!(found, expected);
    assert!(rates[[2, 2]].is_nan());
    assert_eq!((rates[[2, 1]], rates[[2, 3]]), (0.7, 0.0));
}

#[test]
fn a_hail_core_keeps_the_rain_around_it() {
    let mut rates = Array2::from_shape_fn((9, 9), |(row, column)| {
        let off = row.abs_diff(4).max(column.abs_diff(4));
        [700.0, 400.0, 180.0, 90.0, 40.0][off]
    });
    let found = mend(&mut rates).unwrap();
    assert_eq!((found.impossible, found.not_measured), (9, 0));
    for row in 3..=5 {
        for column in 3..=5 {
            assert_eq!(rates[[row, column]], 180.0);
        }
    }
}

#[test]
fn a_patch_of_nonsense_is_filled_from_its_rim_or_not_at_all() {
    let patch = |side: usize| {
        let mut rates = Array2::zeros((20, 20));
        for row in 0..side {
            for column in 0..side {
                rates[[row + 5, column + 5]] = 2000.0;
            }
        }
        (mend(&mut rates), rates)
    };
    let (found, rates) = patch(4);
    assert_eq!(found.unwrap().not_measured, 0);
    assert!(rates.iter().all(|rate| *rate == 0.0));
    // The middle of a large one is nobody's guess.
    let (found, rates) = patch(9);
    let holes = rates.iter().filter(|rate| rate.is_nan()).count();
    assert_eq!(holes, found.unwrap().not_measured);
    assert!(holes >= 9 && rates[[9, 9]].is_nan(), "{rates}");
    assert!(rates.iter().all(|rate| rate.is_nan() || *rate == 0.0));
}

#[test]
fn what_was_changed_is_remarked_with_its_picture() {
    let grid = sky::grid(5, 1.0);
    let mut field = sky::field(&grid, -5, |_, _| 0.0);
    assert_eq!(without_clutter(field.clone()).remarks, []);
    field.rain_rate_mm_h[[1, 1]] = f32::INFINITY;
    field.rain_rate_mm_h[[3, 3]] = 40.0;
    let mended = without_clutter(field);
    let expected = RadarRemark::Clutter {
        valid_time: sky::at(-5),
        cells: 2,
        not_measured: 0,
        largest_mm_h: f32::INFINITY,
    };
    assert_eq!(mended.remarks, [expected]);
    assert!(mended.value.rain_rate_mm_h.iter().all(|rate| *rate == 0.0));
}

proptest! {
    #[test]
    fn only_strong_cells_change_and_holes_stay(
        rates in proptest::collection::vec(
            prop_oneof![Just(HOLE), Just(0.0_f32), 0.0_f32..5.0, 5.0_f32..2000.0],
            48,
        )
    ) {
        let rates = Array2::from_shape_vec((6, 8), rates).unwrap();
        let mut mended = rates.clone();
        let found = mend(&mut mended);
        let mut changed = 0;
        for (before, after) in rates.iter().zip(&mended) {
            if before.is_nan() {
                prop_assert!(after.is_nan());
            } else if before != after {
                changed += 1;
                prop_assert!(*before >= 10.0);
                prop_assert!(after.is_nan() || after < before);
            }
        }
        prop_assert_eq!(changed, found.map_or(0, |found| found.impossible + found.spikes));
        // What is left passes: there is nothing impossible, and no hole is filled later on.
        prop_assert!(mended.iter().all(|rate| rate.is_nan() || *rate <= 300.0));
    }
}
