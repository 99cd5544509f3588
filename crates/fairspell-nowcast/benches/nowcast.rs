//! How long a nowcast takes: 12 pictures of 600 x 700 cells of a kilometre, as a cut of a national
//! mosaic has them.

use divan::{Bencher, black_box};
use fairspell_nowcast::{Nowcast, RainField};

use common::{ahead, issued, pictures, place};

mod common;

fn main() {
    divan::main();
}

fn twelve_pictures() -> Vec<RainField> {
    pictures((600, 700), 12, 4)
}

fn nowcast() -> Nowcast {
    Nowcast::from_fields(twelve_pictures(), issued()).expect("twelve pictures").value
}

#[divan::bench(sample_count = 10)]
fn maps_of_twelve_pictures(bencher: Bencher) {
    bencher
        .with_inputs(twelve_pictures)
        .bench_local_values(|fields| Nowcast::from_fields(black_box(fields), issued()));
}

/// One window of two hours, its gap, the minutes and the onset.
#[divan::bench(sample_count = 20)]
fn everything_at_one_place(bencher: Bencher) {
    let nowcast = nowcast();
    let (from, to) = (ahead(30), ahead(150));
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
    let (from, to) = (ahead(0), ahead(180));
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
    let (from, to) = (ahead(15), ahead(45));
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
