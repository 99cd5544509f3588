//! `fairspell rain` on pictures that are too few, too odd or not there: each gives an answer with
//! what limits it, or says that it is not known.

use std::{fs, path::Path};

use serde_json::Value;
use tempfile::TempDir;

use crate::{
    demo_folder::fairspell_json,
    pictures::{NOON, PLACE, Sky, put, showers},
};

const WINDOW: &str = "2026-09-03T04:30:00Z/2026-09-03T05:30:00Z";

fn ask(folder: &Path, place: &str) -> Value {
    let frames = folder.to_string_lossy();
    let at = format!("--at={place}");
    fairspell_json(&[
        "rain", "--frames", &frames, &at, "--issued", NOON, "--window", WINDOW, "--json",
    ])
}

/// The answer at the place to pictures of one sky at some minutes.
fn told(minutes: &[i64], sky: Sky<'_>) -> Value {
    let folder = TempDir::new().unwrap();
    for minute in minutes {
        put(folder.path(), *minute, sky);
    }
    ask(folder.path(), PLACE)
}

fn figures(report: &Value) -> (Option<f64>, Option<f64>) {
    let window = &report["windows"][0];
    (window["p_rain"].as_f64(), window["p_gap"].as_f64())
}

fn assert_known(report: &Value) {
    let (Some(p_rain), Some(p_gap)) = figures(report) else { panic!("not known: {report}") };
    assert!((0.0..=1.0).contains(&p_rain) && (0.0..=1.0).contains(&p_gap));
}

fn assert_remarked(report: &Value, phrase: &str) {
    assert!(report["remarks"].to_string().contains(phrase), "{}", report["remarks"]);
}

const USUAL: [i64; 6] = [-25, -20, -15, -10, -5, 0];

#[test]
fn one_picture_says_how_little_it_knows() {
    let report = told(&[0], &showers(0));
    assert_known(&report);
    assert_remarked(&report, "do not tell where the rain goes");
}

#[test]
fn two_pictures_of_the_same_sky_are_an_answer() {
    assert_known(&told(&[-5, 0], &showers(0)));
}

#[test]
fn pictures_half_an_hour_apart_are_an_answer() {
    let folder = TempDir::new().unwrap();
    for minute in [-60, -30, 0] {
        put(folder.path(), minute, &showers(minute));
    }
    assert_known(&ask(folder.path(), PLACE));
}

#[test]
fn a_sky_that_is_dry_throughout_promises_a_gap() {
    let (p_rain, p_gap) = figures(&told(&USUAL, &|_, _| 0.0));
    assert!(p_rain.unwrap() < 0.2 && p_gap.unwrap() > 0.9, "{p_rain:?} {p_gap:?}");
}

#[test]
fn a_sky_that_is_wet_throughout_promises_none() {
    let (p_rain, p_gap) = figures(&told(&USUAL, &|_, _| 3.0));
    assert!(p_rain.unwrap() > 0.9 && p_gap.unwrap() < 0.1, "{p_rain:?} {p_gap:?}");
}

#[test]
fn a_picture_from_the_future_and_a_corrupted_one_change_nothing() {
    let folder = TempDir::new().unwrap();
    for minute in USUAL {
        put(folder.path(), minute, &showers(minute));
    }
    let usual = ask(folder.path(), PLACE);
    put(folder.path(), 15, &|_, _| 50.0);
    let report = ask(folder.path(), PLACE);
    assert_eq!(report, usual);
    // Half a file.
    let whole = fs::read(folder.path().join("radar_1000.nc")).unwrap();
    fs::write(folder.path().join("half.nc"), &whole[..whole.len() / 2]).unwrap();
    let report = ask(folder.path(), PLACE);
    assert_eq!(report["windows"], usual["windows"]);
    assert_remarked(&report, "half.nc");
}

#[test]
fn outside_the_pictures_and_in_a_hole_nothing_is_known() {
    let folder = TempDir::new().unwrap();
    for minute in USUAL {
        // No radar sees the 30 km around the middle.
        put(folder.path(), minute, &|east_km, north_km| {
            if east_km.hypot(north_km) < 30.0 {
                f32::NAN
            } else {
                showers(minute)(east_km, north_km)
            }
        });
    }
    for (place, phrase) in
        [(PLACE, "no radar measures the place"), ("-30.2,152.7", "outside the radar's grid")]
    {
        let report = ask(folder.path(), place);
        assert_eq!(figures(&report), (None, None), "{place}");
        assert_eq!(report["minutes"], Value::Array(vec![]), "{place}");
        assert_remarked(&report, phrase);
    }
    assert_known(&ask(folder.path(), "-31.35,152.4"));
}

#[test]
fn where_a_radar_falls_silent_nothing_is_known_and_elsewhere_it_is() {
    let folder = TempDir::new().unwrap();
    for minute in USUAL {
        put(folder.path(), minute, &|east_km, north_km| {
            // The western half is missing in the newest picture.
            if minute == 0 && east_km < -10.0 {
                f32::NAN
            } else {
                showers(minute)(east_km, north_km)
            }
        });
    }
    let west = ask(folder.path(), "-31.7252,152.3");
    assert_eq!(figures(&west), (None, None));
    assert_remarked(&west, "no radar measures the place");
    assert_known(&ask(folder.path(), "-31.7252,153.2"));
}

#[test]
fn a_row_that_is_no_place_has_its_line_and_its_reason() {
    let folder = TempDir::new().unwrap();
    for minute in USUAL {
        put(folder.path(), minute, &showers(minute));
    }
    let points = folder.path().join("points.txt");
    fs::write(&points, format!("name,lat,lon\na,{PLACE}\nb,95,10\nc,here,10\nd,{PLACE}\n"))
        .unwrap();
    let output = crate::demo_folder::fairspell(&[
        "rain",
        "--frames",
        &folder.path().to_string_lossy(),
        "--points",
        &points.to_string_lossy(),
        "--issued",
        NOON,
        "--window",
        WINDOW,
    ]);
    let lines: Vec<Value> = crate::demo_folder::text(&output.stdout)
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect();
    assert_eq!(lines.len(), 4);
    assert_eq!(lines[0], lines[3]);
    assert_known(&lines[0]);
    for (line, phrase) in
        [(&lines[1], "line 3: latitude 95"), (&lines[2], "line 4: expected degrees")]
    {
        assert_eq!(line["at"], Value::Null);
        assert_eq!(figures(line), (None, None));
        assert_remarked(line, phrase);
    }
    let validator = crate::schemas::validator(&crate::schemas::schema("rain"));
    for line in &lines {
        crate::schemas::assert_follows(&validator, line, "a line");
    }
}

#[test]
fn a_list_without_a_single_place_is_refused_with_its_first_fault() {
    let folder = TempDir::new().unwrap();
    put(folder.path(), 0, &showers(0));
    let points = folder.path().join("points.txt");
    let list = points.to_string_lossy();
    for (content, said) in [
        ("lat,lon\n95,10\n", "holds no places: line 2: latitude 95"),
        ("lat,lon\n", "holds no places"),
        ("north,east\n-31.7,152.7\n", "needs the header lat,lon"),
    ] {
        fs::write(&points, content).unwrap();
        let frames = folder.path().to_string_lossy();
        let output = crate::demo_folder::fairspell(&[
            "rain", "--frames", &frames, "--points", &list, "--issued", NOON,
        ]);
        let error = crate::demo_folder::text(&output.stderr);
        assert!(!output.status.success() && error.contains(said), "{error}");
    }
}
