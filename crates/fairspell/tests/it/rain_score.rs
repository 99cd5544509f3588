//! `fairspell rain-score`: planted skies score as they must.

use std::{fs, path::PathBuf};

use serde_json::Value;
use tempfile::TempDir;

use crate::{
    demo_folder::{fairspell, fairspell_json, text},
    pictures::{Sky, moment, put, showers},
    schemas::{assert_follows, schema, validator},
};

/// Pictures every five minutes over two and a half hours, and some points near their middle.
fn event(sky: &dyn Fn(i64) -> Box<dyn Fn(f64, f64) -> f32>) -> (TempDir, PathBuf) {
    let folder = TempDir::new().unwrap();
    for minute in (-40..=130).step_by(5) {
        let sky = sky(minute);
        let sky: Sky<'_> = &*sky;
        put(folder.path(), minute, sky);
    }
    let points = folder.path().join("points.txt");
    let rows: Vec<String> = (-4..=4)
        .flat_map(|i| (-4..=4).map(move |j| (f64::from(i), f64::from(j))))
        .map(|(i, j)| format!("{},{}", -31.7252 + 0.05 * i, 152.7741 + 0.05 * j))
        .collect();
    fs::write(&points, format!("lat,lon\n{}\n", rows.join("\n"))).unwrap();
    (folder, points)
}

fn arguments(event: &(TempDir, PathBuf), starts: &[i64]) -> Vec<String> {
    let starts: Vec<String> = starts.iter().map(|start| moment(*start).to_string()).collect();
    [
        "rain-score",
        "--frames",
        &event.0.path().to_string_lossy(),
        "--points",
        &event.1.to_string_lossy(),
        "--starts",
        &starts.join(","),
    ]
    .map(str::to_owned)
    .into()
}

fn scores(event: &(TempDir, PathBuf), starts: &[i64]) -> Value {
    let arguments = arguments(event, starts);
    let mut arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    arguments.push("--json");
    let report = fairspell_json(&arguments);
    assert_follows(&validator(&schema("rain-score")), &report, "rain-score --json");
    report
}

fn question<'r>(report: &'r Value, question: &str, from_min: f64) -> &'r Value {
    let asked = report["questions"].as_array().unwrap();
    let found = |asked: &&Value| asked["question"] == question && asked["from_min"] == from_min;
    asked.iter().find(found).unwrap()
}

#[test]
fn a_sky_that_stands_still_is_told_without_fault_by_persistence() {
    // Rain in the west, for good.
    let event = event(&|_| Box::new(|east_km, _| if east_km < 0.0 { 2.0 } else { 0.0 }));
    let report = scores(&event, &[-10, 0]);
    assert_eq!(report["points"], 81);
    assert_eq!(report["step_min"], 5.0);
    let rain = question(&report, "rain", 15.0);
    assert_eq!(rain["cases"], 162);
    let persistence = &rain["scores"]["persistence"];
    assert_eq!(persistence["brier"], 0.0);
    assert_eq!(persistence["csi"], 1.0);
    assert_eq!(persistence["roc_area"], 1.0);
    assert_eq!(rain["against"]["persistence"]["ratio"], Value::Null, "nothing to be better than");
    // The window's closed ends: 15, 20, ... 45 minutes.
    assert_eq!(rain["starts"][0]["pictures"], 7);
    // The picture of the start is no part of the first hour.
    assert_eq!(question(&report, "gap", 0.0)["starts"][0]["pictures"], 12);
    let gap = question(&report, "gap", 0.0);
    let wet = rain["came_share"].as_f64().unwrap();
    assert!((gap["came_share"].as_f64().unwrap() - (1.0 - wet)).abs() < 1e-6);
    assert_eq!(gap["scores"]["persistence"]["brier"], 0.0);
}

#[test]
fn moving_showers_are_told_better_by_extrapolation_than_by_persistence() {
    let event = event(&|minute| Box::new(showers(minute)));
    let report = scores(&event, &[-10, -5, 0]);
    let rain = question(&report, "rain", 15.0);
    let brier = |who: &str| rain["scores"][who]["brier"].as_f64().unwrap();
    assert!(brier("extrapolation") < 0.5 * brier("persistence"));
    assert!(brier("nowcast") < 0.7 * brier("persistence"));
    let parts = |name: &str| rain["scores"]["nowcast"][name].as_f64().unwrap();
    let sum = parts("reliability") - parts("resolution")
        + parts("uncertainty")
        + parts("within_bin_variance")
        - parts("within_bin_covariance");
    assert!((sum - brier("nowcast")).abs() < 5e-6, "{sum}");
    let against = &rain["against"]["persistence"];
    let [ratio, low, high] = ["ratio", "low", "high"].map(|end| against[end].as_f64().unwrap());
    assert!((ratio - brier("nowcast") / brier("persistence")).abs() < 1e-4);
    assert!(low <= ratio && ratio <= high);
    assert_eq!(scores(&event, &[0, -5, -10]), report, "whatever the order of the starts");
    let arguments = arguments(&event, &[-10, 0]);
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let lines = text(&fairspell(&arguments).stdout);
    assert!(lines.contains("any rain, 15 to 45 minutes ahead"), "{lines}");
}

#[test]
fn only_pictures_up_to_the_start_are_used_for_the_answer() {
    let usual = event(&|minute| Box::new(showers(minute)));
    // After the start everything is otherwise.
    let other = event(&|minute| {
        if minute <= 0 { Box::new(showers(minute)) } else { Box::new(|_, _| 2.0) }
    });
    let (usual, other) = (scores(&usual, &[0]), scores(&other, &[0]));
    // All wet: the score is the mean of (1 - p) squared, and the parts tell the mean of p.
    let rain = question(&other, "rain", 15.0);
    assert_eq!(rain["came_share"], 1.0);
    assert_ne!(question(&usual, "rain", 15.0)["came_share"], 1.0);
    let persistence = rain["scores"]["persistence"]["brier"].as_f64().unwrap();
    // Persistence errs wherever it is dry at the start, as it does in the other event's picture.
    assert!(persistence > 0.2, "{persistence}");
}

#[test]
fn windows_without_pictures_to_their_end_are_left_out_with_a_remark() {
    let event = event(&|minute| Box::new(showers(minute)));
    let report = scores(&event, &[0, 60]);
    assert_eq!(question(&report, "rain", 15.0)["starts"].as_array().unwrap().len(), 2);
    assert_eq!(question(&report, "rain", 30.0)["starts"].as_array().unwrap().len(), 1);
    let remarks = report["remarks"].to_string();
    assert!(remarks.contains("2026-09-03T05:30:00Z, 30 to 120 minutes left out"), "{remarks}");
    let none =
        fairspell(&arguments(&event, &[1000]).iter().map(String::as_str).collect::<Vec<_>>());
    assert!(!none.status.success());
    assert!(text(&none.stdout).contains("not known"));
}

#[test]
fn what_a_picture_of_the_window_does_not_measure_is_left_out_and_counted() {
    let event = event(&|minute| {
        Box::new(move |east_km, north_km| {
            if minute == 30 && north_km > 0.0 {
                f32::NAN
            } else {
                showers(minute)(east_km, north_km)
            }
        })
    });
    let report = scores(&event, &[0]);
    let rain = question(&report, "rain", 15.0);
    let [cases, unmeasured] = ["cases", "unmeasured"].map(|key| rain[key].as_u64().unwrap());
    assert_eq!(cases + unmeasured, 81);
    assert_eq!(unmeasured, 36, "four of nine rows of points lie in the north");
}

/// A turbine that is always there is taken out of what the nowcast sees, but what came is judged as
/// the file has it: no forecast is better for a mended truth.
#[test]
fn what_came_is_judged_by_the_pictures_as_they_are() {
    let event = event(&|_| {
        Box::new(|east_km, north_km| if (east_km, north_km) == (5.0, 5.0) { 90.0 } else { 0.0 })
    });
    let report = scores(&event, &[0]);
    let asked = question(&report, "rain", 15.0);
    let cases = asked["cases"].as_u64().unwrap();
    assert!(cases > 50, "{cases}");
    // The point 5 km north-east of the middle lies in the turbine's cell.
    assert!(asked["came_share"].as_f64().unwrap() > 0.0, "{asked}");
    assert_eq!(asked["scores"]["persistence"]["brier"], 0.0, "it was there before");
    let remarks = report["remarks"].to_string();
    assert!(remarks.contains("pixels were no rain"), "{remarks}");
}
