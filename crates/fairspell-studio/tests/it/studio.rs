//! The studio as it is written down, and its reserve evenings.

use fairspell_studio::{RoadPoint, Studio, StudioError, studio::Blackout};
use jiff::civil::date;

use crate::world::{session, studio};

#[test]
fn a_studio_and_its_session_pass_the_check() {
    studio().check(&[session()]).unwrap();
}

#[test]
fn what_cannot_be_is_named() {
    let check = |change: &dyn Fn(&mut Studio), expected: &str| {
        let mut broken = studio();
        change(&mut broken);
        let refused = broken.check(&[session()]).unwrap_err().to_string();
        assert!(refused.contains(expected), "{refused}");
    };
    check(&|studio| studio.time_zone = "Saltern/Bight".to_owned(), "`Saltern/Bight`");
    check(&|studio| studio.spots.push(studio.spots[0].clone()), "`dune` is given twice");
    check(&|studio| studio.spots.truncate(1), "none of the studio's spots");
    check(&|studio| studio.warning_areas.push("UGC ZZC901".to_owned()), "`UGC ZZC901`");
    check(&|studio| studio.artist.as_mut().unwrap().free_change_h = 71_582_789, "free change");
    check(&|studio| studio.spots[0].wind.gust_factor = f64::NAN, "gust factor of dune");
    let road = |change: fn(&mut RoadPoint)| {
        move |studio: &mut Studio| {
            let mut point = RoadPoint::at("the ford", studio.home);
            change(&mut point);
            studio.spots[0].site.road = vec![point];
        }
    };
    check(&road(|point| point.name = " ".to_owned()), "a point of the road of dune");
    check(&road(|point| point.tide_limit_m = Some(f64::NAN)), "the tide at a point of the road");
    check(&road(|point| point.closes_after_rain_mm_24h = Some(-1.0)), "the rain at a point");
    check(&|studio| studio.policy.driver.drive_home_max_min = 1441, "the longest drive home");
    check(&|studio| studio.policy.any_rain.watch_from_percent = 40, "overlap");
}

#[test]
fn sessions_without_looks_or_minutes_are_named() {
    let mut bare = session();
    bare.looks.clear();
    assert!(studio().check(&[bare]).unwrap_err().to_string().contains("no looks"));
    let mut short = session();
    short.duration_min = 0;
    assert!(studio().check(&[short]).unwrap_err().to_string().contains("0 minutes"));
    let twice = [session(), session()];
    assert_eq!(studio().check(&twice), Err(StudioError::IdTwice("2026-09-03-linh".to_owned())));
}

#[test]
fn the_free_reserve_evenings_of_two_weeks_are_offered() {
    // Thursday 3 Sep; reserve evenings are Wednesdays and Sundays.
    assert_eq!(
        studio().reserve_evenings(&session(), &[]),
        [date(2026, 9, 6), date(2026, 9, 9), date(2026, 9, 13), date(2026, 9, 16)]
    );
}

#[test]
fn reserve_evenings_that_are_taken_or_blacked_out_are_not_offered() {
    let mut busy = studio();
    busy.blackouts.push(Blackout {
        name: "formal".to_owned(),
        from: date(2026, 9, 8),
        to: date(2026, 9, 9),
    });
    let mut other = session();
    other.id = "2026-09-06-amara".to_owned();
    other.start = date(2026, 9, 6).at(15, 15, 0, 0);
    assert_eq!(
        busy.reserve_evenings(&session(), &[other.clone()]),
        [date(2026, 9, 13), date(2026, 9, 16)]
    );

    // The evening to which this very session was moved later is still one to offer.
    other.moved_from = Some(session().id);
    assert_eq!(
        studio().reserve_evenings(&session(), &[other]),
        [date(2026, 9, 6), date(2026, 9, 9), date(2026, 9, 13), date(2026, 9, 16)]
    );
}

#[test]
fn a_studio_survives_its_file() {
    let text = serde_json::to_string(&studio()).unwrap();
    assert_eq!(serde_json::from_str::<Studio>(&text).unwrap(), studio());
}

#[test]
fn a_misspelt_setting_is_refused_rather_than_ignored() {
    let mut text: serde_json::Value = serde_json::to_value(studio()).unwrap();
    text["warning_area"] = serde_json::json!(["UGC:ZZC901"]);
    let refused = serde_json::from_value::<Studio>(text).unwrap_err().to_string();
    assert!(refused.contains("warning_area"), "{refused}");
}

/// Files from before the road and the way home were written down still read, and read the same.
#[test]
fn a_studio_without_roads_and_driver_reads_with_their_defaults() {
    let mut old = serde_json::to_value(studio()).unwrap();
    old["policy"].as_object_mut().unwrap().remove("driver").unwrap();
    assert!(old["spots"][0]["site"].get("road").is_none(), "no road, no key");
    let read: Studio = serde_json::from_value(old).unwrap();
    assert_eq!(read, studio());
}
