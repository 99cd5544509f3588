//! Chances and best estimates of every cell on planted skies.

use fairspell_ground::{LatLon, Projection};
use fairspell_nowcast::{Grid, Nowcast, RainField};
use jiff::{SignedDuration, Timestamp};
use ndarray::Array2;

const SIDE: usize = 120;

fn nowcast(ages_min: &[i64], rate: impl Fn(usize, usize, i64) -> f32) -> Nowcast {
    let issued: Timestamp = "2026-09-03T04:00:00Z".parse().unwrap();
    let grid = Grid {
        projection: Projection::from_proj_string("+proj=laea +lat_0=-31.7 +lon_0=152.8").unwrap(),
        x_first: -59_500.0,
        y_first: 59_500.0,
        x_step: 1000.0,
        y_step: 1000.0,
        rows: SIDE,
        columns: SIDE,
    };
    let fields = ages_min.iter().map(|age_min| RainField {
        valid_time: issued - SignedDuration::from_mins(*age_min),
        grid: grid.clone(),
        rain_rate_mm_h: Array2::from_shape_fn((SIDE, SIDE), |(row, column)| {
            rate(row, column, *age_min)
        }),
    });
    Nowcast::from_fields(fields.collect(), issued).unwrap().value
}

/// A curtain of 2 mm/h from column 20 to 60, which moves eastward by half a kilometre a minute.
fn curtain(column: usize, age_min: i64) -> f32 {
    let now = 2 * i64::try_from(column).unwrap() + age_min;
    if (40..120).contains(&now) { 2.0 } else { 0.0 }
}

#[test]
fn a_curtain_arrives_where_it_was_planted() {
    let nowcast = nowcast(&[20, 15, 10, 5, 0], |row, column, age_min| {
        // A little structure, so that there is something to follow.
        if row % 17 == 0 { 0.0 } else { curtain(column, age_min) }
    });
    let best = nowcast.best_rate_at(40.0).unwrap();
    let chance = nowcast.exceedance_at(40.0, 0.1).unwrap();
    // In 40 minutes the curtain lies from column 40 to 80.
    for (column, wet) in [(60, true), (105, false)] {
        assert_eq!(best[[59, column]] >= 0.1, wet, "column {column}");
        assert_eq!(chance[[59, column]] > 0.5, wet, "column {column}: {}", chance[[59, column]]);
    }
}

#[test]
fn more_rain_is_never_likelier_than_some() {
    let nowcast = nowcast(&[10, 5, 0], |row, column, age_min| {
        curtain(column, age_min) * f32::from(u8::try_from(row / 12).unwrap())
    });
    let [some, more, most] =
        [0.1, 1.0, 5.0].map(|least| nowcast.exceedance_at(30.0, least).unwrap());
    // Running sums of single-precision maps leave as much.
    let least = |upper: f32, lower: f32| upper - lower > -1e-5;
    for ((some, more), most) in some.iter().zip(&more).zip(&most) {
        let known = [some, more, most].iter().all(|chance| (0.0..=1.0).contains(*chance));
        assert!(some.is_nan() || known && least(*some, *more) && least(*more, *most));
    }
}

#[test]
fn what_is_not_measured_has_no_chance_and_no_estimate() {
    let nowcast = nowcast(
        &[10, 5, 0],
        |row, column, age_min| {
            if row < 40 { f32::NAN } else { curtain(column, age_min) }
        },
    );
    assert!(nowcast.best_rate_at(10.0).unwrap()[[10, 50]].is_nan());
    let chance = nowcast.exceedance_at(10.0, 0.1).unwrap();
    assert!(chance[[10, 50]].is_nan() && chance[[80, 50]].is_finite());
}

#[test]
fn beyond_the_horizon_and_for_no_threshold_there_is_no_map() {
    let nowcast = nowcast(&[10, 5, 0], |_, column, age_min| curtain(column, age_min));
    assert!(nowcast.exceedance_at(-1.0, 0.1).is_none());
    assert!(nowcast.exceedance_at(301.0, 0.1).is_none());
    assert!(nowcast.exceedance_at(10.0, 0.0).is_none());
    assert!(nowcast.exceedance_at(10.0, f64::NAN).is_none());
    assert!(nowcast.best_rate_at(301.0).is_none());
}

#[test]
fn one_picture_of_rain_has_wide_chances_and_no_estimate() {
    let nowcast = nowcast(&[0], |_, column, age_min| curtain(column, age_min));
    assert!(nowcast.best_rate_at(20.0).is_none());
    assert!(nowcast.exceedance_at(20.0, 0.1).is_some());
}

/// Middles of cells of the newest picture.
fn middles(nowcast: &Nowcast, cells: &[(usize, usize)]) -> Vec<LatLon> {
    let grid = &nowcast.newest().grid;
    cells.iter().map(|(row, column)| grid.point_at(*row as f64, *column as f64).unwrap()).collect()
}

#[test]
fn places_have_nearly_the_chances_of_the_cells_they_lie_in() {
    let nowcast = nowcast(&[20, 15, 10, 5, 0], |row, column, age_min| {
        if row % 17 == 0 { 0.0 } else { 3.0 * curtain(column, age_min) }
    });
    let cells: Vec<(usize, usize)> =
        (20..100).step_by(8).flat_map(|row| (30..110).map(move |column| (row, column))).collect();
    let places = middles(&nowcast, &cells);
    for minutes_ahead in [5.0, 30.0, 60.0] {
        let [some, more] = nowcast.exceedances_of(&places, minutes_ahead, [0.1, 5.0]).unwrap();
        for (threshold_mm_h, found) in [(0.1, some), (5.0, more)] {
            let map = nowcast.exceedance_at(minutes_ahead, threshold_mm_h).unwrap();
            let misses: Vec<f32> =
                cells.iter().zip(found).map(|(cell, p)| (map[*cell] - p).abs()).collect();
            // Counted before the way instead of after it: ways that part by a cell or two over an
            // hour change a chance by a few hundredths, at the edge of the rain by more.
            let mean = misses.iter().sum::<f32>() / misses.len() as f32;
            assert!(mean < 0.05, "{minutes_ahead} min, {threshold_mm_h} mm/h: {mean}");
        }
    }
}

#[test]
fn a_place_whose_air_was_not_measured_has_no_chance_of_a_coming_moment() {
    let nowcast = nowcast(&[20, 15, 10, 5, 0], |row, column, age_min| match column {
        ..20 => f32::NAN,
        _ if row % 17 == 0 => 0.0,
        _ => curtain(column, age_min),
    });
    // Off the grid in the west, in what is not measured, and where air comes from there in 40 minutes.
    let mut places = middles(&nowcast, &[(59, 10), (59, 25), (59, 75)]);
    places.push(LatLon::new(-31.7, 140.0).unwrap());
    let [chances] = nowcast.exceedances_of(&places, 40.0, [0.1]).unwrap();
    assert!(chances[0].is_nan() && chances[1].is_nan() && chances[3].is_nan(), "{chances:?}");
    assert!(chances[2] > 0.5, "{chances:?}");
    assert!(nowcast.exceedances_of(&places, -1.0, [0.1]).is_none());
    assert!(nowcast.exceedances_of(&places, 1440.0, [0.1]).is_none());
}

#[test]
fn many_places_have_the_chances_that_each_has_by_itself() {
    let nowcast =
        nowcast(
            &[20, 15, 10, 5, 0],
            |row, column, age_min| {
                if row % 17 == 0 { 0.0 } else { curtain(column, age_min) }
            },
        );
    let mut places = middles(&nowcast, &[(59, 20), (40, 60), (59, 80), (80, 110)]);
    places.push(LatLon::new(-31.7, 140.0).unwrap());
    let (from, to) = (nowcast.issued(), nowcast.issued() + SignedDuration::from_hours(1));
    let together = nowcast.p_rain_of(&places, from, to);
    let alone: Vec<_> =
        places.iter().map(|place| nowcast.at(*place).ok()?.p_rain(from, to)).collect();
    assert_eq!(together, alone);
    assert!(together[..4].iter().all(Option::is_some) && together[4].is_none());
}
