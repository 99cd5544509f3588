//! `fairspell starts`: answers that keep to studio, light and water, and what is refused.

use std::{fs, path::Path};

use fairspell_words::{avoided_words, cautions::ADVICE_ONLY};
use jiff::{SignedDuration, Timestamp};
use serde_json::{Value, json};
use tempfile::TempDir;

use crate::{
    demo_folder::{copied, fairspell, fairspell_json, studio_folder, text},
    schemas::{assert_follows, schema, validator},
};

const SEPTEMBER: [&str; 4] = ["--from", "2026-09-01", "--to", "2026-09-30"];
const LOOKS: [&str; 4] =
    ["--looks", "satin:backlight:25", "linen:open_shade:20", "red:afterglow:15"];

fn data() -> String {
    studio_folder().to_string_lossy().into_owned()
}

fn asked<'a>(data: &'a str, place: &'a str, more: &[&'a str]) -> Vec<&'a str> {
    [&["starts", "--data", data, "--place", place][..], &SEPTEMBER, more].concat()
}

fn report(data: &str, place: &str, more: &[&str]) -> Value {
    let arguments = [&asked(data, place, more)[..], &["--json"]].concat();
    let report = fairspell_json(&arguments);
    assert_follows(&validator(&schema("starts")), &report, &format!("{arguments:?}"));
    report
}

fn starts(report: &Value) -> &[Value] {
    report["starts"].as_array().unwrap()
}

fn refused(arguments: &[&str], said: &[&str]) {
    let output = fairspell(arguments);
    let error = text(&output.stderr);
    assert!(!output.status.success(), "{arguments:?} was taken");
    assert!(!error.contains("panicked"), "{arguments:?}: {error}");
    for said in said {
        assert!(error.contains(said), "{arguments:?}: no `{said}` in: {error}");
    }
}

fn time(value: &Value) -> Timestamp {
    value.as_str().unwrap().parse().unwrap()
}

/// A copy of the invented studio with its `studio.json` changed.
fn changed(change: impl Fn(&mut Value)) -> TempDir {
    let copy = copied();
    let path = copy.path().join("studio.json");
    let mut studio = read(&path);
    change(&mut studio);
    // Written anew, not over the file that the copy shares with its original.
    fs::remove_file(&path).unwrap();
    fs::write(&path, studio.to_string()).unwrap();
    copy
}

fn read(path: &Path) -> Value {
    serde_json::from_str(&fs::read_to_string(path).unwrap()).unwrap()
}

fn spot<'a>(studio: &'a mut Value, id: &str) -> &'a mut Value {
    let mut spots = studio["spots"].as_array_mut().unwrap().iter_mut();
    spots.find(|spot| spot["id"] == id).unwrap()
}

/// Dates of sessions that were not moved to another.
fn taken() -> Vec<String> {
    let sessions = read(&studio_folder().join("sessions.json"));
    let sessions = sessions.as_array().unwrap();
    let moved = |id: &Value| sessions.iter().any(|other| other["moved_from"] == *id);
    let standing = sessions.iter().filter(|session| !moved(&session["id"]));
    standing.map(|session| session["start"].as_str().unwrap()[..10].to_owned()).collect()
}

#[test]
fn asked_again_it_says_the_same_to_the_last_letter() {
    let data = data();
    for more in [&[][..], &["--json"], &["--reserve", "--count", "20"]] {
        let arguments = asked(&data, "all", &[&LOOKS[..], more].concat());
        let (first, second) = (fairspell(&arguments), fairspell(&arguments));
        assert!(first.status.success(), "{}", text(&first.stderr));
        assert_eq!(text(&first.stdout), text(&second.stdout));
    }
}

#[test]
fn answers_are_free_working_evenings_with_all_looks_one_after_another() {
    let data = data();
    let found = report(&data, "all", &LOOKS);
    let taken = taken();
    assert_eq!(starts(&found).len(), 5);
    for start in starts(&found) {
        let date = start["date"].as_str().unwrap();
        assert!(!taken.contains(&date.to_owned()), "{date} is taken");
        assert_eq!(start["evening"], "working");
        let weekday = date.parse::<jiff::civil::Date>().unwrap().strftime("%a").to_string();
        assert!(["Tue", "Thu"].contains(&weekday.as_str()), "{date} is a {weekday}");
        assert!(time(&start["start"]) >= format!("{date}T15:20+10:00").parse().unwrap());
        let looks = start["looks"].as_array().unwrap();
        let mut names: Vec<&str> = looks.iter().map(|it| it["name"].as_str().unwrap()).collect();
        names.sort_unstable();
        assert_eq!(names, ["linen", "red", "satin"]);
        assert!(looks.windows(2).all(|pair| time(&pair[0]["to"]) <= time(&pair[1]["from"])));
        assert!(time(&start["start"]) < time(&looks[0]["from"]));
        assert!(time(&looks[2]["to"]) < time(&start["end"]));
        let bounds = start["bounds"].as_array().unwrap();
        assert!(bounds.is_sorted_by(|a, b| time(&a["time"]) <= time(&b["time"])));
    }
    let best = starts(&found).windows(2);
    assert!(best.into_iter().all(|pair| pair[0]["value"].as_f64() >= pair[1]["value"].as_f64()));

    // Wednesdays and Sundays only when they are asked for; never the Fridays and Saturdays.
    let more = [&LOOKS[..], &["--reserve", "--count", "50"]].concat();
    let all = report(&data, "all", &more);
    assert!(
        starts(&all).iter().all(|start| !taken.iter().any(|date| start["date"] == date.as_str()))
    );
    let reserve = starts(&all).iter().filter(|start| start["evening"] == "reserve").count();
    assert!(reserve >= 4 && reserve < starts(&all).len(), "{reserve}");
    assert!(starts(&all).iter().any(|start| start["at_dawn"] == true), "a Sunday morning");
}

/// The search samples the water within its five minutes; `fairspell tide` finds the second.
#[test]
fn no_look_is_made_under_water_by_the_tide_command_s_own_windows() {
    let studio = read(&studio_folder().join("studio.json"));
    let folder = TempDir::new().unwrap();
    let constants = folder.path().join("constants.json");
    fs::write(&constants, studio["tide"]["constants"].to_string()).unwrap();
    let constants = constants.to_string_lossy();
    for (spot, to_m) in [("long_dune", "1.4"), ("heron_walk", "1.55")] {
        let usual = ["tide", "--constants", &constants, "--zone", "Australia/Sydney", "--json"];
        let month = ["--from", "2026-09-01T00:00", "--to", "2026-10-01T00:00"];
        let tide = fairspell_json(&[&usual[..], &month, &["--usable-to", to_m]].concat());
        let spans = tide["usable"].as_array().unwrap();
        let more = ["--looks", "linen:any:40", "--reserve", "--count", "50"];
        let found = report(&data(), spot, &more);
        assert!(starts(&found).len() >= 4, "{spot}: {}", starts(&found).len());
        for look in starts(&found).iter().map(|start| &start["looks"][0]) {
            let slack = SignedDuration::from_secs(150);
            let (from, to) = (time(&look["from"]) + slack, time(&look["to"]) - slack);
            let is_inside = |span: &&Value| time(&span["from"]) <= from && to <= time(&span["to"]);
            assert!(spans.iter().find(is_inside).is_some(), "{spot}: {look} is flooded");
        }
    }
}

#[test]
fn a_moved_tide_limit_changes_the_answer_and_an_unknown_tide_is_no_dry_land() {
    let more = ["--looks", "linen:any:40"];
    let before = report(&data(), "long_dune", &more);
    let lower = changed(|studio| {
        spot(studio, "long_dune")["site"]["tide"] = json!({ "usable_to_m": 0.75 });
    });
    let after = report(&lower.path().to_string_lossy(), "long_dune", &more);
    assert_ne!(before["starts"], after["starts"]);
    assert!(starts(&after).len() <= starts(&before).len());

    let unknown = changed(|studio| studio["tide"] = Value::Null);
    let data = unknown.path().to_string_lossy();
    refused(&asked(&data, "long_dune", &more), &["the tide of these dates is not known"]);
    assert!(!starts(&report(&data, "beacon_field", &more)).is_empty(), "it needs no tide");
}

#[test]
fn the_drive_moves_the_road_and_not_the_light() {
    let data = data();
    let drive =
        |minutes| report(&data, "heron_walk", &[&LOOKS[..], &["--drive", minutes]].concat());
    let (near, far) = (drive("10"), drive("40"));
    for (near, far) in starts(&near).iter().zip(starts(&far)) {
        assert_eq!((&near["start"], &near["looks"]), (&far["start"], &far["looks"]));
        let later = |key: &str| time(&near[key]).duration_since(time(&far[key])).as_mins();
        assert_eq!((later("leave_home"), later("home_again")), (30, -30));
    }
}

#[test]
fn a_pinned_look_stays_at_its_spot_and_an_order_is_kept() {
    let data = data();
    let pinned = ["--looks", "red:backlight:20@heron_walk", "linen:any:20"];
    for start in starts(&report(&data, "all", &pinned)) {
        let looks = start["looks"].as_array().unwrap();
        let red = looks.iter().find(|look| look["name"] == "red").unwrap();
        assert_eq!(red["spot"], "heron_walk");
    }
    let order = ["--looks", "red:low_sun:15", "linen:any:20", "--in-order"];
    for start in starts(&report(&data, "all", &order)) {
        assert_eq!(start["looks"][0]["name"], "red", "{start}");
    }
}

#[test]
fn all_is_what_one_session_reaches_and_the_rest_is_named() {
    let data = data();
    let more = ["--looks", "linen:low_sun:25", "--reserve", "--count", "50"];
    let found = report(&data, "all", &more);
    assert!(found["remarks"][0].as_str().unwrap().starts_with("`pell_quay` lies too far away"));
    assert!(!found["starts"].to_string().contains("pell_quay"));
    let far = report(&data, "pell_quay", &[&more[..], &["--drive", "140"]].concat());
    assert!(far["starts"].to_string().contains("pell_quay"));
    assert_eq!(far["remarks"], json!([]));
    let apart = asked(&data, "heron_walk,pell_quay", &more);
    refused(&apart, &["--place pell_quay", "km from heron_walk"]);
}

#[test]
fn the_looks_of_a_session_fit_into_the_hours_that_were_booked() {
    let sessions = read(&studio_folder().join("sessions.json"));
    let session = &sessions.as_array().unwrap()[0];
    let id = session["id"].as_str().unwrap();
    let data = data();
    let found = report(&data, "all", &["--session", id, "--reserve"]);
    let booked = SignedDuration::from_mins(session["duration_min"].as_i64().unwrap());
    let arrive = read(&studio_folder().join("studio.json"));
    let arrive = arrive["policy"]["arrive_before_min"].as_i64().unwrap();
    let drive = session["drive"]["minutes"].as_i64().unwrap();
    let names = |looks: &Value| {
        let looks = looks.as_array().unwrap().iter();
        let mut names: Vec<String> = looks.map(|look| look["name"].to_string()).collect();
        names.sort();
        names
    };
    for start in starts(&found) {
        assert_eq!(names(&start["looks"]), names(&session["looks"]));
        let length = time(&start["end"]).duration_since(time(&start["start"]));
        // Looks begin on the clock's five minutes, roads between spots come on top.
        assert!(length <= booked + SignedDuration::from_mins(30), "{length:?}");
        let leaves = time(&start["start"]).duration_since(time(&start["leave_home"])).as_mins();
        assert_eq!(leaves, arrive + drive, "the session's own drive");
    }
    refused(&asked(&data, "all", &["--session", "nobody"]), &["no session `nobody`", id]);
}

#[test]
fn a_person_reads_when_where_and_why_in_plain_words() {
    let data = data();
    let output = fairspell(&asked(&data, "all", &[&LOOKS[..], &["--count", "1"]].concat()));
    let said = text(&output.stdout);
    insta::assert_snapshot!(said, @r"
    Studio, people, places and weather here are invented.
    The best light first, under a clear sky. Dates that are taken are left out.

    Tuesday 1 September
    16:00 to 17:55, a working evening
    Leave home 15:00, home again 18:25.
      16:10 to 16:30: linen, Tin Boathouse: open shade under the roof
      16:55 to 17:20: satin, Heron Walk: low sun behind, in the west-north-west
      17:30 to 17:45: red, Heron Walk: colour in the sky about sunset
    15:00: school is out
    17:17: the sun leaves Heron Walk
    17:47: last light to work by

    This is advice from figures. Official warnings, local rules and your own judgement on the spot come first.
    note: `pell_quay` lies too far away for the same session: ask for it with its own drive
    ");
    assert_eq!(avoided_words(&said), Vec::<&str>::new());
    assert!(said.contains(ADVICE_ONLY));
    assert!(!said.contains('°'), "{said}");
}

#[test]
fn a_question_that_cannot_be_answered_is_refused_with_its_reason() {
    let data = data();
    let asked = |more: &[&'static str]| asked(&data, "all", more);
    let look = ["--looks", "satin:backlight:25"];
    let place = |place: &'static str| {
        [&["starts", "--data", &data, "--place", place][..], &SEPTEMBER, &look].concat()
    };
    refused(&place("nowhere"), &["--place nowhere", "it has heron_walk, tin_boathouse"]);
    let dates = |from: &'static str, to: &'static str| {
        let usual = ["starts", "--data", &data, "--place", "all"];
        [&usual[..], &["--from", from, "--to", to], &look].concat()
    };
    refused(&dates("2026-09-30", "2026-09-01"), &["from 2026-09-30 to 2026-09-01"]);
    refused(&dates("2026-09-01", "2027-12-01"), &["at most 400 days"]);
    refused(&dates("2026-02-30", "2026-09-01"), &["2026-02-30", "--from"]);
    refused(&dates("2026-10-12", "2026-11-06"), &["every one of these dates is taken"]);
    refused(&dates("9999-12-30", "9999-12-31"), &["1900 to 2200"]);
    refused(&asked(&[]), &["--looks"]);
    refused(&asked(&["--looks", "satin:golden:25"]), &["`golden`", "open_shade, backlight"]);
    refused(&asked(&["--looks", "satin:25"]), &["NAME:LIGHT:MINUTES"]);
    refused(&asked(&["--looks", ":any:25"]), &["a look needs a name"]);
    refused(&asked(&["--looks", "satin:any:0"]), &["`satin` cannot take 0 minutes"]);
    refused(&asked(&["--looks", "satin:any:-5"]), &["`-5` is no whole minutes"]);
    refused(&asked(&["--looks", "satin:any:25@moon"]), &["`moon` is none of the spots"]);
    let seven = ["a:any:5", "b:any:5", "c:any:5", "d:any:5", "e:any:5", "f:any:5", "g:any:5"];
    refused(&asked(&[&["--looks"][..], &seven].concat()), &["7 looks are more than the 6"]);
    // Four hours do not fit between school and the dark.
    let long = ["--from", "2026-09-01", "--to", "2026-09-24", "--looks", "satin:any:240"];
    let usual = ["starts", "--data", &data, "--place", "all"];
    refused(&[&usual[..], &long].concat(), &["usable light for all looks"]);
    for (option, odd) in [("--drive", "4294967295"), ("--change", "1441"), ("--count", "0")] {
        refused(&asked(&[&look[..], &[option, odd]].concat()), &[option, odd]);
    }
    let empty = TempDir::new().unwrap();
    let empty = empty.path().to_string_lossy();
    let usual = ["starts", "--data", &empty, "--place", "all"];
    refused(&[&usual[..], &SEPTEMBER, &look].concat(), &["studio.json"]);
}
