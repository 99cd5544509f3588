use std::sync::LazyLock;

use fairspell_chance::Probability;
use fairspell_ground::LatLon;
use fairspell_nowcast::{Nowcast, RainField, Spot};
use jiff::{Timestamp, ToSpan};
use proptest::prelude::*;

use crate::sky;

fn nowcast(fields: Vec<RainField>) -> Nowcast {
    Nowcast::from_fields(fields, sky::issued()).unwrap().value
}

fn minutes_ahead(moment: Timestamp) -> f64 {
    moment.duration_since(sky::issued()).as_secs_f64() / 60.0
}

/// Rain that comes at 60 km/h, between so many minutes from now.
fn band(begin_min: f64, end_min: f64) -> Vec<RainField> {
    let grid = sky::grid(512, 1.0);
    let at = |minutes: i64| {
        sky::field(&grid, minutes, |east, _| {
            let upwind_km = minutes as f64 - east;
            if (begin_min..end_min).contains(&upwind_km) { 3.0 } else { 0.0 }
        })
    };
    (0..8).map(|index| at((index - 7) * 5)).collect()
}

/// How far the counted chances are from the stated ones, at the most: single moments, windows, gaps.
fn worst_misses(spot: &Spot<'_>) -> [f64; 3] {
    let evenings = spot.evenings().unwrap();
    let mut misses = [0.0_f64; 3];
    for (stated, counted) in spot.minutes().iter().zip(evenings.minutes()) {
        if let (Some(stated), Some(counted)) = (stated.p_rain, counted.p_at_least) {
            misses[0] = misses[0].max((stated.get() - counted[0].get()).abs());
        }
    }
    for (from, to) in [(0, 30), (15, 45), (30, 60), (30, 120), (0, 180)] {
        let stated = spot.p_rain(sky::at(from), sky::at(to));
        let counted = evenings.p_rate_at_least(sky::at(from), sky::at(to), 0.1);
        if let (Some(stated), Some(counted)) = (stated, counted) {
            misses[1] = misses[1].max((stated.get() - counted.get()).abs());
        }
    }
    for (from, to) in [(0, 60), (30, 120)] {
        let stated = spot.p_gap(sky::at(from), sky::at(to), 25.0);
        let counted = evenings.p_gap(sky::at(from), sky::at(to), 25.0);
        if let (Some(stated), Some(counted)) = (stated, counted) {
            misses[2] = misses[2].max((stated.get() - counted.get()).abs());
        }
    }
    misses
}

/// One showery sky for all properties.
static SHOWERS: LazyLock<Nowcast> =
    LazyLock::new(|| nowcast(sky::moving_showers(&sky::grid(320, 1.0), 21, (35.0, -25.0), 5, 8)));

fn place(east_km: f64, north_km: f64) -> LatLon {
    sky::middle().at_offset_km(east_km, north_km).unwrap()
}

#[test]
fn evenings_agree_with_the_stated_chances() {
    let mut all = Vec::new();
    for (east, north) in [(0.0, 0.0), (20.0, -10.0), (-30.0, 5.0), (8.0, 40.0), (-14.0, -22.0)] {
        all.push(worst_misses(&SHOWERS.at(place(east, north)).unwrap()));
    }
    for fields in [
        band(40.0, 100.0),
        band(-20.0, 30.0),
        sky::front(&sky::grid(320, 1.0), 3.0, 30.0, 36.0, 5, 8),
        sky::moving_showers(&sky::grid(200, 2.0), 5, (40.0, 10.0), 15, 4),
        sky::moving_showers(&sky::grid(320, 1.0), 6, (40.0, 10.0), 3, 12),
    ] {
        all.push(worst_misses(&nowcast(fields).at(sky::middle()).unwrap()));
    }
    for [moments, windows, gaps] in all {
        // Single moments lie up to two pictures from one that was asked about.
        assert!(moments < 0.08 && windows < 0.04 && gaps < 0.04, "{moments} {windows} {gaps}");
    }
}

#[test]
fn a_curtain_begins_and_ends_when_it_does() {
    for (begin_min, end_min) in [(40.0, 85.0), (25.0, 60.0), (60.0, 120.0)] {
        let nowcast = nowcast(band(begin_min, end_min));
        let evenings = nowcast.at(sky::middle()).unwrap().evenings().unwrap();
        let (onset, end) = (evenings.onset().unwrap(), evenings.end().unwrap());
        for (turn, due_min, allowed_min) in [(onset, begin_min, 7.5), (end, end_min, 15.0)] {
            let [early, likely, late] =
                [turn.when.earliest, turn.when.likely, turn.when.latest].map(minutes_ahead);
            assert!(early <= likely && likely <= late, "{turn:?}");
            assert!(early <= due_min + 2.5 && due_min - 2.5 <= late, "{due_min}: {turn:?}");
            assert!((likely - due_min).abs() <= allowed_min, "{due_min}: {turn:?}");
        }
        assert!(onset.p.get() > 0.8, "{onset:?}");
        let wet = evenings.wet_minutes().unwrap();
        assert!(wet.p10_min < end_min - begin_min && end_min - begin_min < wet.p90_min + 15.0);
    }
}

#[test]
fn a_dry_sky_stays_dry_in_nearly_every_evening() {
    let nowcast = nowcast(sky::even(&sky::grid(512, 1.0), 0.0, 8));
    let spot = nowcast.at(sky::middle()).unwrap();
    let evenings = spot.evenings().unwrap();
    let [moments, windows, gaps] = worst_misses(&spot);
    // The newest picture is a fact in all evenings, and stated with a doubt of 0.02.
    assert!(moments < 0.021 && windows < 0.02 && gaps < 0.02, "{moments} {windows} {gaps}");
    assert!(evenings.onset().is_none_or(|onset| onset.p.get() < 0.06), "{:?}", evenings.onset());
    assert_eq!(evenings.wet_minutes().unwrap().p90_min, 0.0);
    assert_eq!(evenings.longest_gap_min().unwrap().p10_min, 180.0);
    let best = evenings.best_start(25.0, sky::at(0), sky::at(120)).unwrap();
    assert_eq!(best.time, sky::at(0), "no reason to wait");
    assert!(best.p_dry.get() > 0.95, "{best:?}");
}

#[test]
fn rain_everywhere_stays_in_nearly_every_evening() {
    let nowcast = nowcast(sky::even(&sky::grid(512, 1.0), 4.0, 8));
    let spot = nowcast.at(sky::middle()).unwrap();
    let evenings = spot.evenings().unwrap();
    let [moments, windows, gaps] = worst_misses(&spot);
    // The newest picture is a fact in all evenings, and stated with a doubt of 0.02.
    assert!(moments < 0.021 && windows < 0.02 && gaps < 0.02, "{moments} {windows} {gaps}");
    assert!(evenings.wet_minutes().unwrap().p10_min > 170.0, "{:?}", evenings.wet_minutes());
    assert!(evenings.p_gap(sky::at(0), sky::at(60), 25.0).unwrap().get() < 0.06);
    let minutes = evenings.minutes();
    let [wet, rain, heavy] = minutes[60].p_at_least.unwrap();
    assert!(wet.get() > 0.95 && rain.get() > 0.95 && heavy.get() == 0.0, "4 mm/h");
}

#[test]
fn the_best_start_is_where_the_break_is() {
    // Wet until minute 30, dry until minute 80, wet until 150.
    let grid = sky::grid(512, 1.0);
    let fields = (0..8)
        .map(|index| {
            let minutes = (index - 7) * 5;
            sky::field(&grid, minutes, |east, _| {
                let upwind_km = minutes as f64 - east;
                if (30.0..80.0).contains(&upwind_km) || upwind_km > 150.0 { 0.0 } else { 3.0 }
            })
        })
        .collect();
    let nowcast = nowcast(fields);
    let evenings = nowcast.at(sky::middle()).unwrap().evenings().unwrap();
    let best = evenings.best_start(25.0, sky::at(0), sky::at(110)).unwrap();
    let start_min = minutes_ahead(best.time);
    // It must fit, with half a step's doubt at either end.
    assert!((27.5..=57.5).contains(&start_min), "{best:?}");
    assert!(best.p_dry.get() > 0.6, "{best:?}");
    let gap = evenings.gap_duration(25.0).unwrap();
    assert!(gap.p10_min <= 50.0 && 50.0 <= gap.p90_min, "{gap:?}");
}

#[test]
fn air_that_no_radar_has_measured_ends_the_telling() {
    let grid = sky::grid(320, 1.0);
    let mut fields = sky::moving_showers(&grid, 9, (60.0, 0.0), 5, 8);
    for field in &mut fields {
        for ((_, column), rate) in field.rain_rate_mm_h.indexed_iter_mut() {
            if column < 100 {
                *rate = f32::NAN;
            }
        }
    }
    let nowcast = nowcast(fields);
    let spot = nowcast.at(sky::middle()).unwrap();
    let evenings = spot.evenings().unwrap();
    let until_min = minutes_ahead(evenings.until());
    // The edge of what is measured is 60 km upwind; a neighbour may come from elsewhere.
    assert!((30.0..=110.0).contains(&until_min), "{until_min}");
    assert_eq!(evenings.p_rate_at_least(sky::at(0), sky::at(150), 0.1), None);
    assert!(evenings.minutes()[170].p_at_least.is_none());
    let unknown = evenings.series().flat_map(|(_, rates)| rates).filter(|rate| rate.is_nan());
    assert!(unknown.count() > 0, "what is not known stays so");
}

#[test]
fn a_place_in_a_hole_has_no_evenings() {
    // A hole of 2 km around the place: the place can be asked, what comes can't be told from nothing.
    let grid = sky::grid(128, 1.0);
    let mut fields = sky::even(&grid, 0.0, 6);
    for field in &mut fields {
        field.rain_rate_mm_h.fill(f32::NAN);
        for ((row, column), rate) in field.rain_rate_mm_h.indexed_iter_mut() {
            // A strip through the middle is all that is measured.
            if row.abs_diff(64) <= 2 && column.abs_diff(64) <= 2 {
                *rate = 0.0;
            }
        }
    }
    let nowcast = nowcast(fields);
    let spot = nowcast.at(sky::middle()).unwrap();
    assert_eq!(spot.evenings().map(|evenings| minutes_ahead(evenings.until())), None);
}

#[test]
fn questions_that_cannot_be_answered_have_no_answer() {
    let evenings = SHOWERS.at(sky::middle()).unwrap().evenings().unwrap();
    let p = |from, to, threshold| evenings.p_rate_at_least(sky::at(from), sky::at(to), threshold);
    assert_eq!(p(-60, -1, 0.1), None, "it is over");
    assert_eq!(p(40, 30, 0.1), None, "it ends before it begins");
    assert_eq!(p(0, 400, 0.1), None, "too far ahead");
    assert_eq!(p(0, 30, f64::NAN), None);
    assert_eq!(p(0, 30, 0.0), None);
    assert_eq!(evenings.best_start(25.0, sky::at(0), sky::at(20)), None, "too short");
    assert_eq!(evenings.best_start(f64::NAN, sky::at(0), sky::at(60)), None);
    assert_eq!(evenings.p_gap(sky::at(0), sky::at(20), 25.0), None, "too short");
}

#[test]
fn a_gap_between_pictures_moves_no_moment() {
    // The newest picture is 7 minutes old.
    let later = sky::issued() + jiff::SignedDuration::from_mins(7);
    let nowcast = Nowcast::from_fields(band(40.0, 100.0), later).unwrap().value;
    let evenings = nowcast.at(sky::middle()).unwrap().evenings().unwrap();
    let onset = evenings.onset().unwrap();
    assert!((minutes_ahead(onset.when.likely) - 40.0).abs() <= 10.0, "{onset:?}");
    let first = evenings.times().next().unwrap();
    assert!(first <= later && minutes_ahead(first) > 0.0, "{first}");
    assert_eq!(evenings.minutes()[0].time, later);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn a_longer_window_never_has_less_rain_and_a_higher_threshold_never_more(
        east in -50.0..50.0, north in -50.0..50.0,
        from in 0_i64..120, length in 0_i64..50, earlier in 0_i64..30, later in 0_i64..9,
        threshold in 0.1..8.0, more in 0.0..4.0, gap in 5_i64..40,
    ) {
        let evenings = SHOWERS.at(place(east, north)).unwrap().evenings().unwrap();
        let inner = (sky::at(from), sky::at(from + length));
        let outer = (sky::at((from - earlier).max(0)), sky::at(from + length + later));
        let p = |(from, to), threshold| evenings.p_rate_at_least(from, to, threshold);
        if let (Some(short), Some(long)) = (p(inner, threshold), p(outer, threshold)) {
            prop_assert!(long.get() >= short.get() - 1e-12);
        }
        if let (Some(low), Some(high)) = (p(inner, threshold), p(inner, threshold + more)) {
            prop_assert!(high.get() <= low.get() + 1e-12);
        }
        let gap = gap as f64;
        let p_gap = |(from, to)| evenings.p_gap(from, to, gap).map(Probability::get);
        if let (Some(short), Some(long)) = (p_gap(inner), p_gap(outer)) {
            prop_assert!(long >= short - 1e-12);
        }
        // Some stretch is dry at least as surely as the best one.
        let best = evenings.best_start(gap, outer.0, outer.1);
        if let (Some(best), Some(any)) = (best, p_gap(outer)) {
            prop_assert!(best.p_dry.get() <= any + 1e-9, "{best:?} {any}");
        }
    }

    #[test]
    fn weights_and_shares_sum_to_one(east in -120.0..120.0, north in -120.0..120.0) {
        let Some(evenings) = SHOWERS.at(place(east, north)).unwrap().evenings() else {
            return Ok(());
        };
        let sum: f64 = evenings.series().map(|(weight, _)| weight).sum();
        prop_assert!((sum - 1.0).abs() < 1e-9, "{sum}");
        prop_assert!(evenings.series().all(|(weight, _)| weight.is_finite() && weight >= 0.0));
        let chain = evenings.rain_chain();
        prop_assert_eq!(chain.times.len(), evenings.times().len());
        prop_assert_eq!(chain.transitions.len() + 1, chain.times.len());
        for share in &chain.shares {
            prop_assert!((share.iter().sum::<f64>() - 1.0).abs() < 1e-9);
        }
        for transition in &chain.transitions {
            prop_assert!((transition.iter().flatten().sum::<f64>() - 1.0).abs() < 1e-9);
        }
    }
}

#[test]
fn a_chain_at_other_moments_has_the_rain_of_the_nearest_step() {
    let evenings = SHOWERS.at(place(0.0, 0.0)).unwrap().evenings().unwrap();
    let chain = evenings.rain_chain();
    let every = evenings.times().collect::<Vec<_>>();
    let beside: Vec<_> = every.iter().map(|time| *time + 40.seconds()).collect();
    let near = evenings.rain_chain_at(&beside);
    assert_eq!((near.shares, near.transitions), (chain.shares.clone(), chain.transitions));
    let beyond = [evenings.until(), evenings.until() + 20.minutes()];
    let last = evenings.rain_chain_at(&beyond);
    assert_eq!(last.shares, [*chain.shares.last().unwrap(), [0.0; 4]]);
    assert_eq!(last.transitions, [[[0.0; 4]; 4]]);
}

#[test]
fn figures_of_the_hours_ahead_never_contradict_each_other() {
    for (east_km, north_km) in [(0.0, 0.0), (20.0, -30.0), (-45.0, 10.0), (60.0, 60.0)] {
        let place = sky::middle().at_offset_km(east_km, north_km).unwrap();
        let spot = SHOWERS.at(place).unwrap();
        let ahead = spot.ahead(25.0).unwrap();
        let any = spot.p_rain(sky::issued(), ahead.until).unwrap().get();
        assert_eq!(ahead.p_gap, spot.p_gap(sky::issued(), ahead.until, 25.0));
        assert!(ahead.best_start.unwrap().p_dry.get() <= ahead.p_gap.unwrap().get());
        let [rain, heavy] = ahead.p_at_least.map(|p| p.unwrap().get());
        assert!(heavy <= rain && rain <= any, "{heavy} {rain} {any}");
        for turn in [ahead.begins, ahead.ends].into_iter().flatten() {
            assert!(turn.p.get() <= any, "{turn:?} and {any}");
            assert!(turn.when.earliest <= turn.when.likely && turn.when.likely <= turn.when.latest);
        }
        assert_eq!(ahead.rain_now, spot.minutes()[0].p_rain);
    }
}
