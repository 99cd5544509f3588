//! What a nowcast costs with its correction's record, on two hours of pictures of cells of a
//! kilometre, five minutes apart; and a quarter and four times the area.

use divan::{Bencher, black_box};
use fairspell_nowcast::{Nowcast, RainField, Record, Spot};
use rayon::prelude::*;

use common::{ahead, issued, pictures, place};

mod common;

const SIDES: [usize; 3] = [256, 512, 1024];
const WINDOWS_MIN: [(i64, i64); 3] = [(0, 60), (15, 45), (30, 120)];
const GAP_MIN: f64 = 25.0;

fn main() {
    divan::main();
}

fn two_hours(side: usize) -> Vec<RainField> {
    pictures((side, side), 25, 5)
}

fn corrected(fields: Vec<RainField>, record: &Record) -> Nowcast {
    Nowcast::from_fields(fields, issued()).expect("pictures").value.corrected_by(record)
}

/// Chances of rain and of a gap in three windows.
fn chances(spot: &Spot<'_>) -> [bool; 3] {
    WINDOWS_MIN.map(|(from, to)| {
        let (from, to) = (ahead(from), ahead(to));
        spot.p_rain(from, to).is_some() && spot.p_gap(from, to, GAP_MIN).is_some()
    })
}

/// Every question: the windows, the minutes ahead, the onset, the best start, and what is counted.
fn everything(spot: &Spot<'_>) -> usize {
    let evenings = spot.evenings().expect("told");
    black_box((
        (chances(spot), spot.onset(), spot.busyness(100.0)),
        (evenings.minutes(), evenings.onset(), evenings.end(), evenings.wet_minutes()),
        (evenings.longest_gap_min(), evenings.gap_duration(GAP_MIN)),
        WINDOWS_MIN.map(|(from, to)| evenings.best_start(GAP_MIN, ahead(from), ahead(to))),
    ));
    spot.minutes().len()
}

#[divan::bench(args = SIDES, sample_count = 5)]
fn rebuilt_from_two_hours(bencher: Bencher, side: usize) {
    let pictures = two_hours(side);
    bencher.bench_local(|| Record::rebuilt(black_box(&pictures), issued()));
}

#[divan::bench(sample_count = 5)]
fn one_more_start(bencher: Bencher) {
    let nowcast = Nowcast::from_fields(two_hours(512), issued()).expect("pictures").value;
    bencher.with_inputs(Record::default).bench_local_values(|mut record| {
        record.add(black_box(&nowcast));
        record
    });
}

/// From twelve pictures to every answer at ten places.
#[divan::bench(args = SIDES, sample_count = 10)]
fn ten_places_with_the_record_at_hand(bencher: Bencher, side: usize) {
    let record = Record::rebuilt(&two_hours(side), issued());
    bencher.with_inputs(|| two_hours(side).split_off(13)).bench_local_values(|fields| {
        let nowcast = corrected(fields, &record);
        let at =
            |index: u8| everything(&nowcast.at(place(8.0 * f64::from(index), 7.0)).expect("seen"));
        (0..10).map(at).sum::<usize>()
    });
}

/// From twelve pictures to the chances in three windows at 2000 places.
#[divan::bench(args = SIDES, sample_count = 10)]
fn two_thousand_places_and_three_windows(bencher: Bencher, side: usize) {
    let record = Record::rebuilt(&two_hours(side), issued());
    let places: Vec<_> = (0..2000_u16)
        .map(|index| place(f64::from(index % 50) - 25.0, f64::from(index / 50) - 20.0))
        .collect();
    bencher.with_inputs(|| two_hours(side).split_off(13)).bench_local_values(|fields| {
        let nowcast = corrected(fields, &record);
        let told = places.par_iter().filter_map(|place| nowcast.at(*place).ok());
        told.filter(|spot| chances(spot) == [true; 3]).count()
    });
}

/// Every answer at a place of which nothing has been asked yet.
#[divan::bench(sample_count = 20)]
fn a_further_place(bencher: Bencher) {
    let pictures = two_hours(512);
    let record = Record::rebuilt(&pictures, issued());
    let nowcast = corrected(pictures, &record);
    bencher.bench_local(|| everything(&nowcast.at(black_box(place(3.0, 4.0))).expect("seen")));
}
