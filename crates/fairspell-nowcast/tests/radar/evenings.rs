//! Plausible evenings against the rain that fell: how much, in what spells, how hard.

use std::path::Path;

use fairspell_nowcast::{Nowcast, RainField, level::WET_RATE_MM_H};
use jiff::Timestamp;
use libtest_mimic::Failed;
use rayon::prelude::*;

use crate::scores::{asked, pictures, points};

/// Points of an event that are looked at, starts, and how far ahead, minutes.
const POINTS: usize = 150;
const STARTS: usize = 6;
const AHEAD_MIN: f64 = 120.0;

/// Figures of [`Sums`], and the factor by which what is plausible may differ from what came.
///
/// Starts of one event are not independent, hence as much. Heavy rain comes from a few showers.
const FIGURES: [(&str, f64); 7] = [
    ("wet share", 1.1),
    ("share of the wet at 1 mm/h", 1.25),
    ("share of the wet at 5 mm/h", 2.0),
    ("wet spells an evening", 1.12),
    ("steps of a wet spell", 1.12),
    ("steps of a dry spell", 1.12),
    ("share of short wet spells", 1.25),
];

/// What evenings add up to. A spell is cut off where the hours begin and end, in both alike.
#[derive(Debug, Default, Clone, Copy)]
struct Sums {
    weight: f64,
    steps: f64,
    wet: f64,
    at_least_1: f64,
    at_least_5: f64,
    wet_spells: f64,
    /// Wet spells of a quarter of an hour and less.
    short_spells: f64,
    dry_spells: f64,
}

impl Sums {
    fn add(&mut self, weight: f64, rates: &[f32], step_min: f64) {
        self.weight += weight;
        self.steps += weight * rates.len() as f64;
        let count = |least: f32| rates.iter().filter(|rate| **rate >= least).count() as f64;
        self.wet += weight * count(WET_RATE_MM_H);
        self.at_least_1 += weight * count(1.0);
        self.at_least_5 += weight * count(5.0);
        for spell in rates.chunk_by(|a, b| (*a >= WET_RATE_MM_H) == (*b >= WET_RATE_MM_H)) {
            if spell[0] >= WET_RATE_MM_H {
                self.wet_spells += weight;
                let short = spell.len() as f64 * step_min <= 15.0;
                self.short_spells += weight * f64::from(u8::from(short));
            } else {
                self.dry_spells += weight;
            }
        }
    }

    fn with(mut self, other: Sums) -> Self {
        self.weight += other.weight;
        self.steps += other.steps;
        self.wet += other.wet;
        self.at_least_1 += other.at_least_1;
        self.at_least_5 += other.at_least_5;
        self.wet_spells += other.wet_spells;
        self.short_spells += other.short_spells;
        self.dry_spells += other.dry_spells;
        self
    }

    /// Those of [`FIGURES`], in that order.
    fn figures(&self) -> [f64; 7] {
        [
            self.wet / self.steps,
            self.at_least_1 / self.wet,
            self.at_least_5 / self.wet,
            self.wet_spells / self.weight,
            self.wet / self.wet_spells,
            (self.steps - self.wet) / self.dry_spells,
            self.short_spells / self.wet_spells,
        ]
    }
}

/// One place: what was plausible, what came, and where what came lies among what was plausible.
struct Place {
    plausible: Sums,
    came: Sums,
    /// Wet steps that came: share of the evenings with fewer, and with no more.
    rank: (f64, f64),
    effective_count: f64,
    /// Stated less counted chance of rain, and of a gap, in the first hour.
    misses: [f64; 2],
}

#[expect(clippy::print_stdout, reason = "the figures are wanted beside the verdict")]
pub(crate) fn evenings_look_like_those_that_were_observed(folder: &Path) -> Result<(), Failed> {
    let mut failures = Vec::new();
    for event in ["fmi", "mrms", "opera"] {
        let points = points(folder, event)?;
        let pictures = pictures(folder, event, &points)?;
        let starts: Vec<Timestamp> = asked(event)?.into_keys().collect();
        let every = starts.len().div_ceil(STARTS);
        let mut places = Vec::new();
        for start in starts.into_iter().step_by(every) {
            let nowcast = Nowcast::from_fields(pictures.clone(), start)?.value;
            let looked_at: Vec<_> = points.iter().step_by(points.len() / POINTS).collect();
            let found = looked_at.par_iter().map(|point| {
                let came = observed(&pictures, start, |picture| picture.rain_rate_at(**point));
                place(&nowcast, **point, &came)
            });
            places.extend(found.collect::<Vec<_>>().into_iter().flatten());
        }
        let sum = |part: fn(&Place) -> Sums| {
            places.iter().map(part).fold(Sums::default(), Sums::with).figures()
        };
        let (plausible, came) = (sum(|place| place.plausible), sum(|place| place.came));
        let count = places.len() as f64;
        // A rank that may lie anywhere between two is spread over them.
        let between = |low: f64, high: f64| {
            let share = |place: &Place| {
                let (from, to) = place.rank;
                let width = (to - from).max(1e-9);
                (to.min(high) - from.max(low)).max(0.0) / width
            };
            places.iter().map(share).sum::<f64>() / count
        };
        let ranks = [0.0, 0.2, 0.4, 0.6, 0.8].map(|low| between(low, low + 0.2));
        let [rain_miss, gap_miss] = [0, 1]
            .map(|index| places.iter().map(|place| place.misses[index].abs()).sum::<f64>() / count);
        let effective = places.iter().map(|place| place.effective_count).sum::<f64>() / count;
        println!("{event}: {count} places, {effective:.0} evenings of equal weight at each");
        println!("  plausible {plausible:.3?}\n  observed  {came:.3?}");
        println!("  ranks {ranks:.3?}, misses of rain {rain_miss:.4}, of gaps {gap_miss:.4}");
        for ((name, allowed), (plausible, came)) in FIGURES.iter().zip(plausible.iter().zip(came)) {
            let ratio = plausible / came;
            if !(1.0 / allowed..=*allowed).contains(&ratio) {
                failures.push(format!("{event} {name}: {plausible:.3} instead of {came:.3}"));
            }
        }
        if ranks.iter().any(|share| !(0.13..=0.27).contains(share)) {
            failures.push(format!("{event} ranks of wet minutes: {ranks:.3?}"));
        }
        if rain_miss.max(gap_miss) > 0.015 {
            failures.push(format!("{event} stated and counted: {rain_miss:.4} {gap_miss:.4}"));
        }
    }
    crate::ensure(failures.is_empty(), || failures.join("; "))
}

/// Rain rates that came, from the start on.
fn observed(
    pictures: &[RainField],
    start: Timestamp,
    rate: impl Fn(&RainField) -> Option<f32>,
) -> Vec<f32> {
    let later = pictures.iter().filter(|picture| {
        let ahead_min = picture.valid_time.duration_since(start).as_secs_f64() / 60.0;
        (0.0..=AHEAD_MIN).contains(&ahead_min)
    });
    later.map_while(rate).collect()
}

/// `None` where it is not told as far as was observed.
fn place(nowcast: &Nowcast, point: fairspell_ground::LatLon, came: &[f32]) -> Option<Place> {
    let spot = nowcast.at(point).ok()?;
    let evenings = spot.evenings()?;
    let times: Vec<Timestamp> = evenings.times().take(came.len()).collect();
    let (from, to) = (*times.first()?, *times.last()?);
    if times.len() < came.len() {
        return None;
    }
    let step_min = times.get(1)?.duration_since(from).as_secs_f64() / 60.0;
    let wet = |rates: &[f32]| rates.iter().filter(|rate| **rate >= WET_RATE_MM_H).count();
    let mut place = Place {
        plausible: Sums::default(),
        came: Sums::default(),
        rank: (0.0, 0.0),
        effective_count: evenings.effective_count(),
        misses: [0.0; 2],
    };
    // The newest picture is the same in all.
    place.came.add(1.0, &came[1..], step_min);
    for (weight, rates) in evenings.series() {
        let rates = &rates[1..came.len()];
        place.plausible.add(weight, rates, step_min);
        let (fewer, no_more) = (wet(rates) < wet(&came[1..]), wet(rates) <= wet(&came[1..]));
        place.rank.0 += weight * f64::from(u8::from(fewer));
        place.rank.1 += weight * f64::from(u8::from(no_more));
    }
    let hour = to.min(from + jiff::SignedDuration::from_mins(60));
    let stated = [spot.p_rain(from, hour)?, spot.p_gap(from, hour, 25.0)?];
    let counted = [evenings.p_rate_at_least(from, hour, 0.1)?, evenings.p_gap(from, hour, 25.0)?];
    place.misses = [0, 1].map(|index| stated[index].get() - counted[index].get());
    Some(place)
}
