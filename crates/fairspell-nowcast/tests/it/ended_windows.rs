use std::collections::BTreeSet;

use fairspell_nowcast::{EndedWindow, Nowcast, Record};

use crate::record::{behind_a_ridge, nowcast};
use crate::sky;

/// What is over within 40 km of a place so far east of the ridge.
fn ended(nowcast: &Nowcast, east_km: f64, within_km: f64) -> Vec<EndedWindow> {
    let place = sky::middle().at_offset_km(east_km, 0.0).unwrap();
    nowcast.at(place).unwrap().ended_windows(within_km)
}

fn corrected() -> Nowcast {
    let pictures = behind_a_ridge(0);
    nowcast(&pictures, sky::issued()).corrected_by(&Record::rebuilt(&pictures, sky::issued()))
}

#[test]
fn without_a_record_nothing_is_known_of_what_is_over() {
    let plain = nowcast(&behind_a_ridge(0), sky::issued());
    assert_eq!(ended(&plain, 0.0, 40.0), []);
}

#[test]
fn what_came_is_what_the_pictures_showed() {
    let nowcast = corrected();
    // Behind the ridge it never rained; before it showers came by.
    let behind = ended(&nowcast, 35.0, 25.0);
    assert!(behind.len() > 20);
    assert!(behind.iter().all(|window| !window.came));
    let before = ended(&nowcast, -40.0, 25.0);
    let share = before.iter().filter(|window| window.came).count() as f64 / before.len() as f64;
    let said = before.iter().map(|window| window.said.get()).sum::<f64>() / before.len() as f64;
    assert!(share > 0.0, "{share}");
    // Showers that keep to their way: the formulas tell about as much as comes.
    assert!((said - share).abs() < 0.2, "{said} said, {share} came");
}

#[test]
fn all_of_them_are_over_and_each_has_its_own_number_and_points() {
    let nowcast = corrected();
    let all = ended(&nowcast, 0.0, 40.0);
    let mut once = BTreeSet::new();
    for window in &all {
        assert!(window.to <= nowcast.valid_time(), "{window:?}");
        assert!(window.said_at <= window.from && window.from < window.to, "{window:?}");
        let middle = window.from + window.to.duration_since(window.from) / 2;
        let lead_min = middle.duration_since(window.said_at).as_secs_f64() / 60.0;
        assert!((window.lead_min - lead_min).abs() < 1e-9, "{window:?}");
        assert!(once.insert((window.window, window.point)), "twice: {window:?}");
    }
    let hours: BTreeSet<_> = all.iter().map(|w| (w.said_at, w.from, w.to)).collect();
    let numbers: BTreeSet<u64> = all.iter().map(|window| window.window).collect();
    assert_eq!(hours.len(), numbers.len());
    assert!(all.is_sorted_by_key(|window| window.said_at));
}

#[test]
fn what_ended_after_the_newest_picture_is_not_known() {
    let pictures = behind_a_ridge(0);
    let mut kept = Record::rebuilt(&pictures, sky::issued());
    kept.catch_up(&behind_a_ridge(120), sky::at(120));
    let of = |record: &Record| nowcast(&pictures, sky::issued()).corrected_by(record);
    let until_now = of(&Record::rebuilt(&pictures, sky::issued()));
    assert_eq!(ended(&of(&kept), 0.0, 40.0), ended(&until_now, 0.0, 40.0));
}

#[test]
fn only_points_near_the_place_are_asked() {
    let nowcast = corrected();
    let points = |within_km: f64| {
        let all = ended(&nowcast, 0.0, within_km);
        all.iter().map(|window| window.point).collect::<BTreeSet<_>>()
    };
    let (few, many) = (points(20.0), points(60.0));
    assert!(!few.is_empty() && few.is_subset(&many) && few.len() < many.len());
    assert!(points(-1.0).is_empty() && points(f64::NAN).is_empty());
}
