//! How long a nowcast takes: 12 pictures of 600 x 700 cells of a kilometre, as a cut of a national
//! mosaic has them.

use divan::{Bencher, black_box};
use fairspell_ground::{LatLon, Projection};
use fairspell_nowcast::{Grid, Nowcast, RainField};
use jiff::{SignedDuration, Timestamp};
use ndarray::Array2;

const ROWS: usize = 600;
const COLUMNS: usize = 700;

fn main() {
    divan::main();
}

fn issued() -> Timestamp {
    "2026-09-03T04:00:00Z".parse().expect("a moment")
}

fn place(east_km: f64, north_km: f64) -> LatLon {
    let middle = LatLon::new(-31.7, 152.8).expect("a place");
    middle.at_offset_km(east_km, north_km).expect("far from the poles")
}

/// Cells of rain 40 km apart that go east at a kilometre a minute; a corner without coverage.
#[expect(clippy::cast_possible_truncation, reason = "rates are kept in single precision")]
fn pictures() -> Vec<RainField> {
    let projection = Projection::from_proj_string("+proj=laea +lat_0=-31.7 +lon_0=152.8");
    let grid = Grid {
        projection: projection.expect("a projection"),
        x_first: -349_500.0,
        y_first: 299_500.0,
        x_step: 1000.0,
        y_step: 1000.0,
        rows: ROWS,
        columns: COLUMNS,
    };
    let picture = |age: u16| {
        let age_min = 4 * age;
        let rain_rate_mm_h = Array2::from_shape_fn((ROWS, COLUMNS), |(row, column)| {
            if row + column < 200 {
                return f32::NAN;
            }
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
    (0..12).map(picture).collect()
}

fn nowcast() -> Nowcast {
    Nowcast::from_fields(pictures(), issued()).expect("twelve pictures").value
}

#[divan::bench(sample_count = 10)]
fn maps_of_twelve_pictures(bencher: Bencher) {
    bencher
        .with_inputs(pictures)
        .bench_local_values(|fields| Nowcast::from_fields(black_box(fields), issued()));
}

/// One window of two hours, its gap, the minutes and the onset.
#[divan::bench(sample_count = 20)]
fn everything_at_one_place(bencher: Bencher) {
    let nowcast = nowcast();
    let (from, to) =
        (issued() + SignedDuration::from_mins(30), issued() + SignedDuration::from_mins(150));
    bencher.bench_local(|| {
        let spot = nowcast.at(black_box(place(3.0, 4.0))).expect("a measured place");
        let chances = (spot.p_rain(from, to), spot.p_gap(from, to, 25.0));
        (chances, spot.minutes(), spot.onset())
    });
}

/// The evenings of a place of which nothing has been asked yet.
#[divan::bench(sample_count = 20)]
fn plausible_evenings_of_one_place(bencher: Bencher) {
    let nowcast = nowcast();
    bencher.bench_local(|| {
        nowcast.at(black_box(place(3.0, 4.0))).expect("a measured place").evenings()
    });
}

/// The same when the chances have been asked before: what weighing them costs.
#[divan::bench(sample_count = 20)]
fn plausible_evenings_beside_the_chances(bencher: Bencher) {
    let nowcast = nowcast();
    let spot = nowcast.at(place(3.0, 4.0)).expect("a measured place");
    bencher.bench_local(|| black_box(&spot).evenings());
}

/// All that is counted in the evenings of one place.
#[divan::bench(sample_count = 20)]
fn everything_counted_in_evenings(bencher: Bencher) {
    let nowcast = nowcast();
    let evenings = nowcast.at(place(3.0, 4.0)).expect("measured").evenings().expect("told");
    let (from, to) = (issued(), issued() + SignedDuration::from_mins(180));
    bencher.bench_local(|| {
        let evenings = black_box(&evenings);
        (
            evenings.minutes(),
            (evenings.onset(), evenings.end(), evenings.best_start(25.0, from, to)),
            (evenings.wet_minutes(), evenings.longest_gap_min(), evenings.gap_duration(25.0)),
            evenings.rain_chain(),
        )
    });
}

#[divan::bench(sample_count = 20)]
fn how_busy_the_sky_is(bencher: Bencher) {
    let nowcast = nowcast();
    let spot = nowcast.at(place(3.0, 4.0)).expect("a measured place");
    bencher.bench_local(|| black_box(&spot).busyness(100.0));
}

#[divan::bench(sample_count = 5)]
fn half_an_hour_at_three_hundred_places(bencher: Bencher) {
    let nowcast = nowcast();
    let (from, to) =
        (issued() + SignedDuration::from_mins(15), issued() + SignedDuration::from_mins(45));
    bencher.bench_local(|| {
        (0..300_u16)
            .filter_map(|index| {
                let east_km = f64::from(index % 20) * 10.0 - 100.0;
                let north_km = f64::from(index / 20) * 10.0 - 75.0;
                nowcast.at(place(east_km, north_km)).ok()?.p_rain(from, to)
            })
            .count()
    });
}

/// Seven coming pictures, ten minutes apart: what a loop shows.
#[divan::bench(sample_count = 5)]
fn an_hour_of_coming_pictures(bencher: Bencher) {
    let nowcast = nowcast();
    bencher.bench_local(|| {
        (1..=7_u8)
            .filter_map(|step| nowcast.field_at(black_box(10.0 * f64::from(step))))
            .collect::<Vec<_>>()
    });
}
