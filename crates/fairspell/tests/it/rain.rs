//! `fairspell rain` on the invented studio's radar pictures, and on folders that are not as they
//! should be.

use std::fs;

use serde_json::Value;
use tempfile::TempDir;

use crate::demo_folder::{fairspell, fairspell_json, studio_folder, text};

const ISSUED: &str = "2026-09-03T04:30:00Z";
const WINDOW: &str = "2026-09-03T05:15:00Z/2026-09-03T07:45:00Z";
const PLACE: &str = "-31.7252,152.7741";

/// Copies some of the wet Thursday's pictures, by the clock of UTC, into a folder of their own.
fn pictures(of: &[&str]) -> TempDir {
    let folder = TempDir::new().unwrap();
    for entry in fs::read_dir(studio_folder().join("readings/radar")).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if of.iter().any(|clock| name.contains(&format!("20260903T{clock}"))) {
            fs::copy(&path, folder.path().join(name)).unwrap();
        }
    }
    assert!(fs::read_dir(folder.path()).unwrap().count() >= of.len(), "no such pictures: {of:?}");
    folder
}

const USUAL: [&str; 6] = ["0400", "0405", "0410", "0415", "0420", "0425"];

fn rain(folder: &TempDir, more: &[&str]) -> Value {
    let frames = folder.path().to_string_lossy();
    let at = format!("--at={PLACE}");
    let mut arguments = vec!["rain", "--frames", &frames, &at, "--issued", ISSUED, "--json"];
    arguments.extend(more);
    fairspell_json(&arguments)
}

fn remarks(report: &Value) -> String {
    report["remarks"].to_string()
}

#[test]
fn the_report_has_the_stated_keys() {
    let report = rain(&pictures(&USUAL), &["--window", WINDOW]);
    assert_eq!(report["issued"], ISSUED);
    assert_eq!(report["frames_used"], 6);
    assert_eq!(report["frame_age_min"], 5.0);
    assert!(report["wet_share"].as_f64().unwrap() > 0.1);
    let window = &report["windows"][0];
    for figure in ["p_rain", "p_gap"] {
        let p = window[figure].as_f64().unwrap();
        assert!((0.0..=1.0).contains(&p), "{figure} {p}");
    }
    let minutes = report["minutes"].as_array().unwrap();
    assert_eq!(minutes.len(), 181);
    assert_eq!(minutes[0]["time"], ISSUED);
    assert_eq!(minutes[180]["time"], "2026-09-03T07:30:00Z");
    assert!(report.as_object().unwrap().contains_key("onset"));
}

#[test]
fn gaps_have_their_chance_and_best_start_and_the_sky_its_trend() {
    let report = rain(&pictures(&USUAL), &["--window", WINDOW]);
    let ahead = &report["ahead"];
    assert_eq!(ahead["gap_min"], 25.0);
    let p_dry = ahead["best_start"]["p_dry"].as_f64().unwrap();
    assert!(p_dry <= ahead["p_gap"].as_f64().unwrap() + 1e-4, "{ahead}");
    let longest = &ahead["longest_gap_min"];
    assert!(longest["p10"].as_f64().unwrap() <= longest["p90"].as_f64().unwrap(), "{longest}");
    for minute in report["minutes"].as_array().unwrap().iter().take(60) {
        let p = |key: &str| minute[key].as_f64().unwrap();
        assert!(p("p_at_least_5_mm_h") <= p("p_at_least_1_mm_h"), "{minute}");
        assert!(p("p_at_least_1_mm_h") <= p("p_rain"), "{minute}");
    }
    assert_eq!(report["busyness"]["radius_km"], 60.0);
    let trend = report["busyness"]["trend"].as_str().unwrap();
    assert!(["growing", "steady", "shrinking"].contains(&trend), "{trend}");
}

#[test]
fn the_hours_ahead_and_a_window_of_the_same_hours_say_the_same() {
    let pictures = pictures(&USUAL);
    let until = rain(&pictures, &[])["ahead"]["until"].as_str().unwrap().to_owned();
    let report = rain(&pictures, &["--window", &format!("{ISSUED}/{until}")]);
    let (ahead, window) = (&report["ahead"], &report["windows"][0]);
    assert_eq!(ahead["p_gap"], window["p_gap"]);
    assert_eq!(ahead["best_start"], window["best_start"]);
    let p_rain = window["p_rain"].as_f64().unwrap();
    assert!(ahead["p_at_least_1_mm_h"].as_f64().unwrap() <= p_rain, "{ahead} {window}");
    assert!(ahead["rain_begins"]["p"].as_f64().unwrap() <= p_rain, "{ahead} {window}");
}

#[test]
fn pictures_later_than_the_question_change_nothing() {
    let asked = rain(&pictures(&USUAL), &["--window", WINDOW]);
    let with_later = pictures(&["0400", "0405", "0410", "0415", "0420", "0425", "0435", "0500"]);
    // A later picture that cannot even be decoded.
    fs::write(with_later.path().join("radar_20260903T0600Z.nc"), b"CDF\x01 and then nothing")
        .unwrap();
    let report = rain(&with_later, &["--window", WINDOW]);
    assert_eq!(report["windows"], asked["windows"]);
    assert_eq!(report["minutes"], asked["minutes"]);
}

#[test]
fn a_window_shorter_than_the_gap_has_no_gap_and_a_remark() {
    let window = "2026-09-03T05:15:00Z/2026-09-03T05:35:00Z";
    let report = rain(&pictures(&USUAL), &["--window", window]);
    assert_eq!(report["windows"][0]["p_gap"], Value::Null);
    assert!(report["windows"][0]["p_rain"].is_number());
    assert!(remarks(&report).contains("less than the gap"), "{}", remarks(&report));
    let shorter = rain(&pictures(&USUAL), &["--window", window, "--gap", "15"]);
    assert!(shorter["windows"][0]["p_gap"].is_number());
}

#[test]
fn a_gap_in_the_folder_and_a_single_picture_are_remarked() {
    let report = rain(&pictures(&["0345", "0350", "0420", "0425"]), &[]);
    assert!(remarks(&report).contains("pictures missing between"), "{}", remarks(&report));
    let report = rain(&pictures(&["0425"]), &["--window", WINDOW]);
    assert!(remarks(&report).contains("do not tell where the rain goes"), "{}", remarks(&report));
    assert!(report["windows"][0]["p_rain"].is_number());
}

#[test]
fn a_picture_given_twice_counts_once() {
    let folder = pictures(&USUAL);
    let one = fs::read_dir(folder.path()).unwrap().next().unwrap().unwrap().path();
    fs::copy(&one, folder.path().join("again.nc")).unwrap();
    let report = rain(&folder, &[]);
    assert_eq!(report["frames_used"], 6);
    assert!(remarks(&report).contains("two pictures"), "{}", remarks(&report));
}

#[test]
fn a_damaged_picture_is_remarked_and_the_others_still_speak() {
    let folder = pictures(&USUAL);
    fs::write(folder.path().join("damaged.grib2"), b"GRIB and then nothing").unwrap();
    fs::write(folder.path().join("empty.h5"), b"").unwrap();
    let report = rain(&folder, &["--window", WINDOW]);
    assert!(remarks(&report).contains("damaged.grib2"), "{}", remarks(&report));
    assert!(remarks(&report).contains("empty.h5"), "{}", remarks(&report));
    assert!(report["windows"][0]["p_rain"].is_number());
}

#[test]
fn a_place_outside_the_pictures_is_not_known() {
    let folder = pictures(&USUAL);
    let frames = folder.path().to_string_lossy();
    let points = folder.path().join("points.txt");
    fs::write(&points, format!("lat,lon\n{PLACE}\n48.2,16.4\n{PLACE}\n")).unwrap();
    let output = fairspell(&[
        "rain",
        "--frames",
        &frames,
        "--points",
        &points.to_string_lossy(),
        "--issued",
        ISSUED,
        "--window",
        WINDOW,
    ]);
    let lines: Vec<Value> =
        text(&output.stdout).lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    assert_eq!(lines.len(), 3, "one line a point, in order");
    assert_eq!(lines[1]["windows"][0]["p_rain"], Value::Null);
    assert!(remarks(&lines[1]).contains("outside"), "{}", remarks(&lines[1]));
    assert_eq!(lines[0]["windows"], lines[2]["windows"]);
    assert!(lines[0]["windows"][0]["p_rain"].is_number());
}

#[test]
fn an_empty_folder_is_not_a_dry_sky() {
    let empty = TempDir::new().unwrap();
    let frames = empty.path().to_string_lossy();
    let at = format!("--at={PLACE}");
    let output = fairspell(&[
        "rain", "--frames", &frames, &at, "--issued", ISSUED, "--window", WINDOW, "--json",
    ]);
    assert!(!output.status.success());
    let report: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(report["windows"][0]["p_rain"], Value::Null);
    assert_eq!(report["frames_used"], 0);
    assert_eq!(report["frame_age_min"], Value::Null);
}

#[test]
fn what_was_typed_wrongly_is_named() {
    let folder = pictures(&USUAL);
    let frames = folder.path().to_string_lossy();
    let refused = |arguments: &[&str], expected: &str| {
        let output = fairspell(&[&["rain", "--frames", &frames][..], arguments].concat());
        let error = text(&output.stderr);
        assert!(!output.status.success() && error.contains(expected), "{arguments:?}: {error}");
    };
    refused(&["--at=152.8,-31.7", "--issued", ISSUED], "latitude 152.8");
    refused(&["--at=here", "--issued", ISSUED], "`here`");
    refused(&[&format!("--at={PLACE}"), "--issued", "half past two"], "half past two");
    let backwards = "2026-09-03T07:45:00Z/2026-09-03T05:15:00Z";
    refused(
        &[&format!("--at={PLACE}"), "--issued", ISSUED, "--window", backwards],
        "end before they begin",
    );
    refused(&[&format!("--at={PLACE}"), "--issued", ISSUED, "--gap", "0"], "above 0");
    refused(&["--issued", ISSUED], "--at");
}

#[test]
fn the_beam_over_the_place_is_that_of_the_listed_radar() {
    let folder = pictures(&USUAL);
    let sites = folder.path().join("sites.txt");
    // The place of the library's own example: 133 km away its lower edge passes 1.1 km up.
    fs::write(
        &sites,
        "name,lat,lon,antenna_height_m,max_range_km\n\
         Far away,48.2,16.4,200,250\n\
         Hilltop,-32.73,152.03,84,250\n",
    )
    .unwrap();
    let sites = sites.to_string_lossy().into_owned();
    let report = rain(&folder, &["--radar-sites", &sites]);
    let beam = &report["beam"];
    assert_eq!(beam["nearest_radar"], "Hilltop");
    assert_eq!(beam["above"], "sea_level");
    let number = |key: &str| beam[key].as_f64().unwrap();
    assert!((number("distance_km") - 132.0).abs() < 2.0, "{beam}");
    assert!((number("lower_edge_m") - 1100.0).abs() < 60.0, "{beam}");
    assert!((number("height_m") - 2250.0).abs() < 100.0, "{beam}");
    assert_eq!(report["beam_unknown"], Value::Null);

    let frames = folder.path().to_string_lossy();
    let at = format!("--at={PLACE}");
    let output =
        fairspell(&["rain", "--frames", &frames, &at, "--issued", ISSUED, "--radar-sites", &sites]);
    let said = text(&output.stdout);
    assert!(said.contains("The radar Hilltop, 132 km away"), "{said}");
    assert!(said.contains("sees nothing below 1100 m"), "{said}");
}

#[test]
fn where_no_radar_is_known_the_beam_is_not_either_and_the_reason_is_given() {
    let folder = pictures(&USUAL);
    let report = rain(&folder, &[]);
    assert_eq!(report["beam"], Value::Null);
    assert_eq!(report["beam_unknown"], "no radar sites given");

    let sites = folder.path().join("sites.txt");
    fs::write(&sites, "name,lat,lon\nFar away,48.2,16.4\n").unwrap();
    let report = rain(&folder, &["--radar-sites", &sites.to_string_lossy()]);
    assert_eq!(report["beam"], Value::Null);
    assert_eq!(report["beam_unknown"], "no radar of the list reaches the place");

    // 200 km from a radar the middle of a beam at half a degree is about 4.1 km above it.
    let report = rain(&folder, &["--radar-range", "200"]);
    assert_eq!(report["beam"]["nearest_radar"], Value::Null);
    assert_eq!(report["beam"]["above"], "antenna");
    assert!((report["beam"]["height_m"].as_f64().unwrap() - 4100.0).abs() < 50.0);
}

#[test]
fn a_list_of_radars_that_is_none_is_refused_by_line() {
    let folder = pictures(&USUAL);
    let sites = folder.path().join("sites.txt");
    let frames = folder.path().to_string_lossy().into_owned();
    let at = format!("--at={PLACE}");
    for (list, expected) in [
        ("name,latitude,lon\n", "needs the header name,lat,lon"),
        ("name,lat,lon\n", "holds no radar sites"),
        ("name,lat,lon\nHilltop,-32.7,east\n", "line 2: expected a number, found `east`"),
        ("name,lat,lon,max_range_km\nHilltop,-32.7,152,0\n", "line 2: expected kilometres above 0"),
    ] {
        fs::write(&sites, list).unwrap();
        let sites = sites.to_string_lossy();
        let asked = ["rain", "--frames", &frames, &at, "--issued", ISSUED, "--radar-sites", &sites];
        let output = fairspell(&asked);
        let error = text(&output.stderr);
        assert!(!output.status.success() && error.contains(expected), "{error}");
    }
}
