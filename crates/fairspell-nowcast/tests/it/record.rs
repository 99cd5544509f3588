use fairspell_nowcast::{Nowcast, RainField, Record};
use jiff::Timestamp;

use crate::sky;

/// Four hours of showers that go east at 40 km/h and end at a line through the middle, as rain does
/// behind a ridge; up to `last`, minutes after the moment of the question.
fn behind_a_ridge(last: i64) -> Vec<RainField> {
    let grid = sky::grid(240, 1.0);
    (-24..=24)
        .map(|step| 10 * step)
        .filter(|minutes| *minutes <= last)
        .map(|minutes| {
            let mut field = sky::showers_at(&grid, 7, (40.0, 0.0), minutes);
            for mut row in field.rain_rate_mm_h.rows_mut() {
                row.iter_mut().skip(120).for_each(|rate| *rate = 0.0);
            }
            field
        })
        .collect()
}

fn nowcast(fields: &[RainField], issued: Timestamp) -> Nowcast {
    Nowcast::from_fields(fields.to_vec(), issued).unwrap().value
}

/// Mean chance of rain in the hour after next half hour at places so far east of the ridge.
fn chance_east_of_ridge(nowcast: &Nowcast, east_km: f64) -> f64 {
    let chance = |index: i32| {
        let place = sky::middle().at_offset_km(east_km, f64::from(index) * 4.0 - 48.0).unwrap();
        nowcast.at(place).unwrap().p_rain(sky::at(30), sky::at(90)).unwrap().get()
    };
    (0..=24).map(chance).sum::<f64>() / 25.0
}

#[test]
fn where_rain_never_came_less_is_said_and_elsewhere_as_much() {
    let pictures = behind_a_ridge(0);
    let record = Record::rebuilt(&pictures, sky::issued());
    let plain = nowcast(&pictures, sky::issued());
    let [behind, before] = [15.0, -40.0].map(|east_km| chance_east_of_ridge(&plain, east_km));
    let corrected = plain.corrected_by(&record);
    assert!(corrected.is_corrected());
    let behind_now = chance_east_of_ridge(&corrected, 15.0);
    let before_now = chance_east_of_ridge(&corrected, -40.0);
    assert!(behind_now < 0.75 * behind, "{behind_now} instead of {behind}");
    assert!((before_now - before).abs() < 0.15, "{before_now} instead of {before}");
}

#[test]
fn what_had_not_ended_by_the_newest_picture_corrects_nothing() {
    let until_now = Record::rebuilt(&behind_a_ridge(0), sky::issued());
    // A record that goes on for two hours, cut back to now: what ended later must not count.
    let mut kept = until_now.clone();
    kept.catch_up(&behind_a_ridge(120), sky::at(120));
    assert!(kept.ended() > until_now.ended());
    let pictures = behind_a_ridge(0);
    let chance = |record: &Record| {
        chance_east_of_ridge(&nowcast(&pictures, sky::issued()).corrected_by(record), 15.0)
    };
    assert_eq!(chance(&kept), chance(&until_now));
    let before_all = Record::rebuilt(&behind_a_ridge(-230), sky::at(-230));
    assert_eq!(before_all.ended(), 0);
    assert!(!nowcast(&pictures, sky::issued()).corrected_by(&before_all).is_corrected());
}

#[test]
fn a_record_that_is_kept_up_says_what_a_rebuilt_one_says() {
    let mut kept = Record::default();
    for last in [-120, -80, -40, 0] {
        kept.catch_up(&behind_a_ridge(last), sky::at(last));
    }
    let rebuilt = Record::rebuilt(&behind_a_ridge(0), sky::issued());
    let pictures = behind_a_ridge(0);
    let chance = |record: &Record| {
        chance_east_of_ridge(&nowcast(&pictures, sky::issued()).corrected_by(record), 15.0)
    };
    // It has seen more of the first two hours than the dozen starts of a rebuilt one.
    assert!(kept.ended() >= rebuilt.ended());
    assert!((chance(&kept) - chance(&rebuilt)).abs() < 0.05);
    assert_eq!(
        Record::default(),
        Record::rebuilt(&[], sky::issued()),
        "nothing is known of no pictures"
    );
}

#[test]
fn pictures_on_another_grid_start_the_record_anew() {
    let mut record = Record::rebuilt(&behind_a_ridge(0), sky::issued());
    let wider = sky::moving_showers(&sky::grid(120, 2.0), 3, (40.0, 0.0), 10, 12);
    let of_wider = nowcast(&wider, sky::issued());
    assert!(!nowcast(&wider, sky::issued()).corrected_by(&record).is_corrected());
    record.add(&of_wider);
    assert_eq!(record.ended(), 0);
    record.catch_up(&wider, sky::issued());
    assert!(of_wider.corrected_by(&record).is_corrected());
}

#[test]
fn a_window_whose_pictures_are_missing_is_not_judged() {
    let complete = Record::rebuilt(&behind_a_ridge(0), sky::issued());
    let mut pictures = behind_a_ridge(0);
    pictures.retain(|picture| !(sky::at(-100)..=sky::at(-30)).contains(&picture.valid_time));
    let with_a_hole = Record::rebuilt(&pictures, sky::issued());
    assert!(with_a_hole.ended() > 0);
    assert!(with_a_hole.ended() < complete.ended());
}

#[test]
fn what_was_not_measured_is_no_case() {
    let mut pictures = behind_a_ridge(0);
    for picture in &mut pictures {
        picture.rain_rate_mm_h.fill(f32::NAN);
    }
    let record = Record::rebuilt(&pictures, sky::issued());
    let plain = nowcast(&behind_a_ridge(0), sky::issued());
    assert!(!plain.corrected_by(&record).is_corrected());
}

#[test]
fn a_record_is_the_same_after_it_was_written_and_read() {
    let record = Record::rebuilt(&behind_a_ridge(0), sky::issued());
    let read: Record = serde_json::from_str(&serde_json::to_string(&record).unwrap()).unwrap();
    assert_eq!(read, record);
}
