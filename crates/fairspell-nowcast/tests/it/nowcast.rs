use fairspell_nowcast::{Nowcast, NowcastError, NowcastRemark, RainField};
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
    let nowcast = nowcast(fields);
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
