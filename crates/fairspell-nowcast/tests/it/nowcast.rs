use fairspell_nowcast::{Nowcast, NowcastError, NowcastRemark, RainField, nowcast::COMING_MAX_MIN};
use jiff::Timestamp;

use crate::sky;

/// Everything that is answered for the middle of the sky.
fn answers(nowcast: &Nowcast) -> String {
    let spot = nowcast.at(sky::middle()).unwrap();
    format!(
        "{:?} {:?} {:?} {:?} {:?} {:?}",
        nowcast.motion_at(sky::middle()),
        spot.p_rain(sky::at(0), sky::at(30)),
        spot.p_rain(sky::at(30), sky::at(120)),
        spot.p_gap(sky::at(0), sky::at(90), 25.0),
        spot.onset(),
        spot.minutes(),
    )
}

fn nowcast(fields: Vec<RainField>) -> Nowcast {
    let reading = Nowcast::from_fields(fields, sky::issued()).unwrap();
    assert!(reading.remarks.is_empty(), "{:?}", reading.remarks);
    reading.value
}

fn showers() -> Vec<RainField> {
    sky::moving_showers(&sky::grid(200, 1.0), 42, (40.0, 20.0), 5, 8)
}

#[test]
fn the_same_pictures_give_the_same_answers_in_any_order_and_on_any_number_of_threads() {
    let expected = answers(&nowcast(showers()));
    let mut shuffled = showers();
    shuffled.swap(0, 6);
    shuffled.reverse();
    shuffled.swap(2, 3);
    assert_eq!(answers(&nowcast(shuffled)), expected);
    let alone = rayon::ThreadPoolBuilder::new().num_threads(1).build().unwrap();
    assert_eq!(alone.install(|| answers(&nowcast(showers()))), expected);
}

#[test]
fn no_picture_of_the_future_is_ever_looked_at() {
    let expected = answers(&nowcast(showers()));
    let mut fields = showers();
    let grid = fields[0].grid.clone();
    // A downpour one second later, and a picture on another grid an hour later.
    let mut later = sky::field(&grid, 0, |_, _| 50.0);
    later.valid_time = "2026-09-03T04:00:01Z".parse::<Timestamp>().unwrap();
    fields.insert(3, later);
    fields.insert(0, sky::field(&sky::grid(100, 2.0), 60, |_, _| 50.0));
    let nowcast = nowcast(fields);
    assert_eq!(answers(&nowcast), expected);
    assert_eq!(nowcast.frames_used(), 8);
    assert_eq!(nowcast.valid_time(), sky::issued());
}

#[test]
fn a_picture_twice_is_remarked_and_changes_nothing() {
    let expected = answers(&nowcast(showers()));
    let mut fields = showers();
    fields.push(fields[4].clone());
    let reading = Nowcast::from_fields(fields, sky::issued()).unwrap();
    assert_eq!(reading.remarks, [NowcastRemark::Duplicate { valid_time: sky::at(-15) }]);
    assert_eq!(answers(&reading.value), expected);
}

#[test]
fn a_picture_on_another_grid_than_the_newest_is_left_out_with_a_remark() {
    let mut fields = showers();
    fields.push(sky::field(&sky::grid(100, 2.0), -12, |_, _| 50.0));
    let reading = Nowcast::from_fields(fields, sky::issued()).unwrap();
    assert_eq!(reading.remarks, [NowcastRemark::OtherGrid { valid_time: sky::at(-12) }]);
    assert_eq!(answers(&reading.value), answers(&nowcast(showers())));
}

#[test]
fn a_gap_between_pictures_is_remarked() {
    let mut fields = showers();
    fields.remove(5);
    let reading = Nowcast::from_fields(fields, sky::issued()).unwrap();
    assert_eq!(reading.remarks, [NowcastRemark::Gap { from: sky::at(-15), to: sky::at(-5) }]);
    assert!(reading.value.at(sky::middle()).is_ok());
}

#[test]
fn one_picture_answers_widely_and_says_so() {
    let grid = sky::grid(256, 1.0);
    let front = sky::front(&grid, 3.0, 40.0, 60.0, 5, 8);
    let one = Nowcast::from_fields(vec![front[7].clone()], sky::issued()).unwrap();
    assert_eq!(one.remarks, [NowcastRemark::MotionUnknown]);
    assert_eq!(one.value.frames_used(), 1);
    assert_eq!(one.value.motion_at(sky::middle()), None);
    let many = nowcast(front);
    let p = |nowcast: &Nowcast, from, to| {
        let spot = nowcast.at(sky::middle()).unwrap();
        spot.p_rain(sky::at(from), sky::at(to)).unwrap().get()
    };
    // With motion it is known to come; with one picture it may or may not.
    assert!(p(&many, 60, 90) > 0.9);
    assert!((0.15..0.85).contains(&p(&one.value, 60, 90)), "{}", p(&one.value, 60, 90));
}

#[test]
fn without_a_picture_up_to_the_moment_there_is_no_nowcast() {
    let none = |fields| Nowcast::from_fields(fields, sky::issued()).unwrap_err();
    assert_eq!(none(vec![]), NowcastError::NoFrames);
    let later = sky::field(&sky::grid(64, 1.0), 5, |_, _| 1.0);
    assert_eq!(none(vec![later]), NowcastError::NoFrames);
}

#[test]
fn an_unmeasured_place_and_one_outside_are_errors_and_never_dry() {
    let grid = sky::grid(200, 1.0);
    let fields = (0..6)
        .map(|index| {
            sky::field(&grid, (index - 5) * 5, |east, _| if east > 20.0 { f64::NAN } else { 1.0 })
        })
        .collect();
    let reading = Nowcast::from_fields(fields, sky::issued()).unwrap();
    // Rain without any structure could go anywhere.
    assert_eq!(reading.remarks, [NowcastRemark::MotionUnknown]);
    let nowcast = reading.value;
    let place = |east_km| sky::middle().at_offset_km(east_km, 0.0).unwrap();
    assert_eq!(nowcast.at(place(50.0)).unwrap_err(), NowcastError::NoCoverage);
    assert_eq!(nowcast.at(place(150.0)).unwrap_err(), NowcastError::OutsideGrid);
    assert!(nowcast.at(place(0.0)).is_ok());
    assert_eq!(nowcast.wet_share(place(50.0), 20.0), None);
    assert_eq!(nowcast.wet_share(place(0.0), 15.0), Some(1.0));
    // The circle of 40 km around the edge of coverage is measured to a half.
    assert!((nowcast.coverage(place(20.0), 40.0) - 0.5).abs() < 0.02);
    assert!(nowcast.coverage(place(150.0), 20.0) <= 0.0);
}

#[test]
fn a_sky_that_no_radar_sees_has_no_answer() {
    let nowcast = nowcast(sky::even(&sky::grid(64, 1.0), f64::NAN, 6));
    assert_eq!(nowcast.at(sky::middle()).unwrap_err(), NowcastError::NoCoverage);
    assert_eq!(nowcast.wet_share(sky::middle(), 60.0), None);
}

#[test]
fn the_wet_share_counts_cells_within_the_circle() {
    // Wet on the left half, less than 0.1 mm/h on the right: a half of the circle.
    let field = sky::field(&sky::grid(200, 1.0), 0, |east, _| if east < 0.0 { 0.1 } else { 0.09 });
    let nowcast = Nowcast::from_fields(vec![field], sky::issued()).unwrap().value;
    let share = nowcast.wet_share(sky::middle(), 60.0).unwrap();
    // The column through the middle is dry: half of 1/94 of the circle.
    assert!((share - 0.5).abs() < 0.01, "{share}");
}

#[test]
fn an_old_picture_has_an_age_and_longer_leads() {
    let grid = sky::grid(256, 1.0);
    let fields = sky::front(&grid, 3.0, 40.0, 60.0, 5, 8);
    let late = Nowcast::from_fields(fields.clone(), sky::at(20)).unwrap().value;
    assert!((late.frame_age_min() - 20.0).abs() < 1e-9);
    let fresh = nowcast(fields);
    let (fresh, late) = (fresh.at(sky::middle()).unwrap(), late.at(sky::middle()).unwrap());
    // The same clock times are the same lead from the same picture.
    let (from, to) = (sky::at(25), sky::at(40));
    assert_eq!(fresh.p_rain(from, to), late.p_rain(from, to));
}

#[test]
fn a_grid_of_a_few_cells_does_not_panic() {
    for side in [1, 2, 5, 13, 20] {
        let grid = sky::grid(side, 1.0);
        let fields = sky::moving_showers(&grid, 1, (30.0, 0.0), 5, 6);
        let reading = Nowcast::from_fields(fields, sky::issued()).unwrap();
        if let Ok(spot) = reading.value.at(sky::middle()) {
            spot.minutes();
            spot.onset();
        }
    }
}

#[test]
fn the_observed_pictures_are_those_that_were_used_oldest_first() {
    let mut fields = showers();
    fields.reverse();
    fields.push(fields[2].clone());
    fields.push(sky::field(&sky::grid(100, 2.0), -12, |_, _| 50.0));
    let nowcast = Nowcast::from_fields(fields, sky::issued()).unwrap().value;
    let times: Vec<Timestamp> = nowcast.observed().iter().map(|field| field.valid_time).collect();
    let expected: Vec<Timestamp> = (0..8).map(|index| sky::at(5 * index - 35)).collect();
    assert_eq!(times, expected);
    assert_eq!(nowcast.observed().last().unwrap().valid_time, nowcast.newest().valid_time);
    assert_eq!(nowcast.observed().len(), nowcast.frames_used());
}

/// How much two pictures agree on where it is wet: cells wet in both among those wet in either.
fn overlap(a: &RainField, b: &RainField) -> f64 {
    let wet = |rate: f32| rate >= 0.1;
    let (mut both, mut either) = (0, 0);
    for (a, b) in a.rain_rate_mm_h.iter().zip(&b.rain_rate_mm_h) {
        if a.is_nan() || b.is_nan() {
            continue;
        }
        both += i32::from(wet(*a) && wet(*b));
        either += i32::from(wet(*a) || wet(*b));
    }
    f64::from(both) / f64::from(either)
}

/// The sky moves on steadily, so that what comes is known: the same showers later.
#[test]
fn a_coming_picture_is_the_planted_shift_of_the_newest() {
    let grid = sky::grid(200, 1.0);
    let nowcast = nowcast(sky::moving_showers(&grid, 42, (40.0, 20.0), 5, 8));
    for minutes in [10, 30, 60] {
        let truth = sky::showers_at(&grid, 42, (40.0, 20.0), minutes);
        let coming = nowcast.field_at(minutes as f64).unwrap();
        assert_eq!(coming.valid_time, truth.valid_time);
        let (still, moved) = (overlap(nowcast.newest(), &truth), overlap(&coming, &truth));
        // Estimated motion errs by a cell at the most, and cells at the rim are rounded.
        assert!(moved > 0.95 && still < 0.85, "{minutes} min: {moved}, standing still {still}");
    }
}

#[test]
fn the_picture_at_no_lead_is_the_newest() {
    let nowcast = nowcast(showers());
    let now = nowcast.field_at(0.0).unwrap();
    assert_eq!(now.valid_time, nowcast.valid_time());
    assert_eq!(now.rain_rate_mm_h, nowcast.newest().rain_rate_mm_h);
}

/// Rain goes east at 60 km/h; west of 20 km west of the middle nothing is measured.
#[test]
fn air_from_where_nothing_was_measured_stays_unmeasured_in_a_coming_picture() {
    let grid = sky::grid(200, 1.0);
    let fields = sky::moving_showers(&grid, 7, (60.0, 0.0), 5, 8)
        .into_iter()
        .map(|mut field| {
            for mut row in field.rain_rate_mm_h.rows_mut() {
                row.iter_mut().take(80).for_each(|rate| *rate = f32::NAN);
            }
            field
        })
        .collect();
    let nowcast = nowcast(fields);
    let coming = nowcast.field_at(30.0).unwrap();
    let at = |east_km| coming.rain_rate_at(sky::middle().at_offset_km(east_km, 0.0).unwrap());
    // The edge of what is known has moved 30 km: from 20 km in the west to 10 km in the east.
    assert_eq!(at(-15.0), None);
    assert_eq!(at(5.0), None);
    assert!(at(15.0).is_some() && at(90.0).is_some());
    let unmeasured = |field: &RainField| field.rain_rate_mm_h.iter().filter(|r| r.is_nan()).count();
    assert!(unmeasured(&coming) >= unmeasured(nowcast.newest()));
}

#[test]
fn nothing_is_shown_of_what_cannot_be_told() {
    let nowcast = nowcast(showers());
    assert!(nowcast.field_at(COMING_MAX_MIN).is_some());
    for minutes in [-1.0, COMING_MAX_MIN + 1.0, f64::NAN, f64::INFINITY] {
        assert!(nowcast.field_at(minutes).is_none(), "{minutes}");
    }
    let one = vec![showers().pop().unwrap()];
    let one = Nowcast::from_fields(one, sky::issued()).unwrap().value;
    assert_eq!(one.motion_at(sky::middle()), None);
    assert!(one.field_at(10.0).is_none());
}
