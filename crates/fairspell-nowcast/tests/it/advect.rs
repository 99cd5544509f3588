use fairspell_nowcast::advect::{Motion, Position, value_at};
use ndarray::{Array2, array};
use proptest::prelude::*;

#[test]
fn air_comes_from_where_the_rain_goes_away_from() {
    // Rain that goes 2 cells south and 3 cells west a minute was north and east of here.
    let motion = Motion::uniform(2.0, -3.0);
    let here = Position { row: 50.0, column: 50.0 };
    let places: Vec<Position> = motion.way_back(here, 5.0).take(3).collect();
    assert_eq!(places[0], here);
    assert_eq!(places[1], Position { row: 40.0, column: 65.0 });
    assert_eq!(places[2], Position { row: 30.0, column: 80.0 });
}

#[test]
fn a_wet_cell_is_carried_whole_cells_along_the_motion() {
    let mut map = Array2::zeros((9, 9));
    map[[2, 3]] = 1.0;
    let carried = Motion::uniform(0.2, 0.4).carry(&map, 10.0);
    assert_eq!(carried[[4, 7]], 1.0);
    assert_eq!(carried[[2, 3]].max(0.0), 0.0);
    assert!(carried[[1, 8]].is_nan(), "it comes from above the map");
}

#[test]
fn a_map_is_linear_between_cell_centres_and_constant_outside() {
    let map = array![[0.0, 1.0], [2.0, 3.0]];
    let value = |row, column| value_at(&map, Position { row, column });
    assert_eq!(value(0.5, 0.5), 1.5);
    assert_eq!(value(0.0, 0.25), 0.25);
    assert_eq!(value(-5.0, 9.0), 1.0);
}

/// The quick way against the slow one, over a way of two hours, on a chequered map: the hardest.
#[test]
fn a_map_carried_for_show_is_the_map_carried() {
    let map =
        Array2::from_shape_fn(
            (90, 110),
            |(row, column)| {
                if (row / 5 + column / 5) % 2 == 0 { 1.0 } else { 0.0 }
            },
        );
    let motion = Motion::uniform(0.21, -0.43);
    for minutes in [0.0, 3.0, 47.0, 120.0] {
        let (slow, quick) = (motion.carry(&map, minutes), motion.carry_for_show(&map, minutes));
        let differ = slow.iter().zip(&quick).filter(|(a, b)| a.to_bits() != b.to_bits()).count();
        assert_eq!(differ, 0, "{minutes} min");
    }
}

#[test]
fn a_rain_rate_is_carried_by_parts_of_cells() {
    let mut rain = Array2::zeros((9, 9));
    rain[[2, 3]] = 4.0;
    let carried = Motion::uniform(0.2, 0.025).carry_rain_rate(&rain, 10.0);
    assert!((carried[[4, 3]] - 3.0).abs() < 1e-5);
    assert!((carried[[4, 4]] - 1.0).abs() < 1e-5);
    assert!(carried[[1, 8]].is_nan(), "it comes from above the map");
}

#[test]
fn unknown_cells_weigh_nothing_and_stay_unknown_as_the_rain_goes_on() {
    let mut rain = Array2::from_elem((20, 20), 2.0);
    rain[[10, 10]] = f32::NAN;
    let carried = Motion::uniform(0.0, 0.14).carry_rain_rate(&rain, 10.0);
    assert!(carried[[10, 11]].is_nan());
    let known = carried.indexed_iter().filter(|(_, rate)| !rate.is_nan());
    assert!(known.into_iter().all(|(_, rate)| (rate - 2.0).abs() < 1e-6));
}

#[test]
fn rain_over_the_edge_is_counted_and_none_is_lost() {
    let rain = Array2::from_shape_fn((60, 80), |(row, column)| {
        if (20..40).contains(&row) && column >= 30 {
            f32::from(u8::try_from((row * 7 + column * 13) % 11).unwrap())
        } else {
            0.0
        }
    });
    let mut out_before = 0.0;
    for minutes in [5.0, 30.0, 90.0] {
        let balance = Motion::uniform(0.031, 0.437).balance(&rain, minutes);
        // Single precision of a few thousand cells.
        assert!(balance.made().abs() < 1e-3 * balance.before, "{minutes} min: {balance:?}");
        assert!(balance.out > out_before);
        let columns = (0.437 * minutes - 0.5).ceil() / 80.0;
        let rows = f64::max(0.031 * minutes - 0.5, 0.0).ceil() / 60.0;
        let unknown = 1.0 - (1.0 - columns) * (1.0 - rows);
        assert!((balance.unknown_share - unknown).abs() < 1e-9, "{minutes} min: {balance:?}");
        out_before = balance.out;
    }
}

proptest! {
    #[test]
    fn half_the_step_leads_to_the_same_place_where_the_motion_is_even(
        down in -2.0..2.0, right in -2.0..2.0, minutes in 1.0..15.0,
    ) {
        let motion = Motion::uniform(down, right);
        let here = Position { row: 10.0, column: 20.0 };
        let once = motion.way_back(here, minutes).nth(2).unwrap();
        let twice = motion.way_back(here, minutes / 2.0).nth(4).unwrap();
        prop_assert!((once.row - twice.row).abs() < 1e-9);
        prop_assert!((once.column - twice.column).abs() < 1e-9);
    }
}
