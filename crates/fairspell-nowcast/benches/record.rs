//! How long it takes to learn from two hours of pictures of 512 x 512 cells of a kilometre.

use divan::{Bencher, black_box};
use fairspell_ground::{LatLon, Projection};
use fairspell_nowcast::{Grid, Nowcast, RainField, Record};
use jiff::{SignedDuration, Timestamp};
use ndarray::Array2;

const CELLS: usize = 512;

fn main() {
    divan::main();
}

fn issued() -> Timestamp {
    "2026-09-03T04:00:00Z".parse().expect("a moment")
}

/// Cells of rain 40 km apart that go east at a kilometre a minute, every five minutes.
#[expect(clippy::cast_possible_truncation, reason = "rates are kept in single precision")]
fn pictures() -> Vec<RainField> {
    let projection = Projection::from_proj_string("+proj=laea +lat_0=-31.7 +lon_0=152.8");
    let grid = Grid {
        projection: projection.expect("a projection"),
        x_first: -255_500.0,
        y_first: 255_500.0,
        x_step: 1000.0,
        y_step: 1000.0,
        rows: CELLS,
        columns: CELLS,
    };
    let picture = |age: u16| {
        let age_min = 5 * age;
        let rain_rate_mm_h = Array2::from_shape_fn((CELLS, CELLS), |(row, column)| {
            let (y, x) = (row as f64 / 40.0, (column as f64 + f64::from(age_min)) / 40.0);
            let wave = (std::f64::consts::TAU * y).sin() * (std::f64::consts::TAU * x).sin();
            (20.0 * (wave - 0.2).max(0.0)) as f32
        });
        RainField {
            valid_time: issued() - SignedDuration::from_mins(i64::from(age_min)),
            grid: grid.clone(),
            rain_rate_mm_h,
        }
    };
    (0..=24).rev().map(picture).collect()
}

#[divan::bench(sample_count = 5)]
fn rebuilt_from_two_hours(bencher: Bencher) {
    let pictures = pictures();
    bencher.bench_local(|| Record::rebuilt(black_box(&pictures), issued()));
}

#[divan::bench(sample_count = 5)]
fn one_more_start(bencher: Bencher) {
    let nowcast = Nowcast::from_fields(pictures(), issued()).expect("pictures").value;
    bencher.with_inputs(Record::default).bench_local_values(|mut record| {
        record.add(black_box(&nowcast));
        record
    });
}

/// Ten places, every question: three windows and their gaps, the minutes ahead and the onset, from
/// twelve pictures, with the record at hand.
#[divan::bench(sample_count = 5)]
fn ten_places_with_the_record_at_hand(bencher: Bencher) {
    let record = Record::rebuilt(&pictures(), issued());
    let place = |index: u8| {
        let middle = LatLon::new(-31.7, 152.8).expect("a place");
        middle.at_offset_km(10.0 * f64::from(index), 7.0).expect("far from the poles")
    };
    let ahead = |minutes| issued() + SignedDuration::from_mins(minutes);
    let recent = || pictures().split_off(13);
    bencher.with_inputs(recent).bench_local_values(|fields| {
        let nowcast = Nowcast::from_fields(fields, issued()).expect("pictures").value;
        let nowcast = nowcast.corrected_by(&record);
        (0..10)
            .map(|index| {
                let spot = nowcast.at(place(index)).expect("a measured place");
                let chances = [(0, 60), (15, 45), (30, 120)].map(|(from, to)| {
                    let (from, to) = (ahead(from), ahead(to));
                    (spot.p_rain(from, to), spot.p_gap(from, to, 25.0))
                });
                (chances, spot.minutes(), spot.onset())
            })
            .collect::<Vec<_>>()
    });
}
