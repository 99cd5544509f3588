use fairspell_nowcast::{Nowcast, RainField, Record};
use jiff::Timestamp;

use crate::sky;

/// Four hours of showers that go east at 40 km/h and end at a line through the middle, as rain does
/// behind a ridge; up to `last`, minutes after the moment of the question.
pub(crate) fn behind_a_ridge(last: i64) -> Vec<RainField> {
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

pub(crate) fn nowcast(fields: &[RainField], issued: Timestamp) -> Nowcast {
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
fn two_pictures_left_of_many_are_no_window() {
    let hole = sky::at(-180)..=sky::at(-60);
    let ended = |left: &[i64]| {
        let mut pictures = behind_a_ridge(0);
        pictures.retain(|picture| {
            let is_left = left.iter().any(|minutes| picture.valid_time == sky::at(*minutes));
            is_left || !hole.contains(&picture.valid_time)
        });
        let mut record = Record::rebuilt(&pictures, sky::issued());
        // More starts than are made up for in one go.
        record.catch_up(&pictures, sky::issued());
        record.ended()
    };
    assert!(ended(&[]) > 0);
    // Taken for all that there were, 50 minutes apart, they would judge windows of an hour.
    assert_eq!(ended(&[-130, -80]), ended(&[]));
}

#[test]
fn a_window_is_judged_though_its_pictures_are_never_at_hand_together() {
    // An hour of pictures at a time, and windows of an hour and a half and of two.
    let ended = |history_min: i64| {
        let mut record = Record::default();
        for last in (-180..=0).step_by(10) {
            let mut pictures = behind_a_ridge(last);
            pictures.retain(|picture| picture.valid_time >= sky::at(last - history_min));
            record.catch_up(&pictures, sky::at(last));
        }
        record.ended()
    };
    assert_eq!(ended(60), ended(240));
}

#[test]
fn a_picture_that_comes_twice_counts_once() {
    let mut twice = behind_a_ridge(0);
    twice.extend(behind_a_ridge(0));
    let once = Record::rebuilt(&behind_a_ridge(0), sky::issued());
    assert!(Record::rebuilt(&twice, sky::issued()) == once);
}

#[test]
fn a_radar_that_was_down_when_the_record_began_is_not_missed_for_good() {
    let mut down = behind_a_ridge(-120);
    for picture in &mut down {
        picture.rain_rate_mm_h.fill(f32::NAN);
    }
    let mut record = Record::rebuilt(&down, sky::at(-120));
    assert_eq!(record.ended(), 0);
    let pictures = behind_a_ridge(0);
    record.catch_up(&pictures, sky::issued());
    assert!(nowcast(&pictures, sky::issued()).corrected_by(&record).is_corrected());
}

#[test]
fn a_record_that_makes_no_sense_is_begun_anew() {
    let nowcast = nowcast(&behind_a_ridge(0), sky::issued());
    let mut whole = Record::default();
    whole.follow(&nowcast);
    let written = serde_json::to_value(&whole).unwrap();
    let damages: [fn(&mut serde_json::Value); 6] = [
        |record| record["starts"][0]["answers"][0]["window_min"] = serde_json::json!([0.0, 1e300]),
        |record| record["starts"][1]["answers"][0]["said"] = serde_json::json!([1]),
        |record| record["starts"][1]["answers"][0]["came"] = serde_json::json!([true]),
        |record| record["seen"][2]["wet"] = serde_json::json!([]),
        |record| record["cells"][0] = serde_json::json!([usize::MAX, 3]),
        |record| record["cells"][0] = record["cells"][1].clone(),
    ];
    for damage in damages {
        let mut damaged = written.clone();
        damage(&mut damaged);
        let mut record: Record = serde_json::from_value(damaged).unwrap();
        record.follow(&nowcast);
        assert!(record == whole, "not begun anew");
    }
}

#[test]
fn starts_of_another_day_are_forgotten_whichever_way_time_went() {
    let mut record = Record::rebuilt(&behind_a_ridge(0), sky::issued());
    let days = [-3, 3].map(|days| sky::at(days * 24 * 60));
    for issued in days {
        let mut pictures = behind_a_ridge(0);
        for picture in &mut pictures {
            picture.valid_time += issued.duration_since(sky::issued());
        }
        record.follow(&nowcast(&pictures, issued));
        let mut alone = Record::default();
        alone.follow(&nowcast(&pictures, issued));
        assert!(record == alone, "something else is left");
    }
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
