//! `fairspell leave` on the invented studio's evenings.

use std::fs;

use serde_json::Value;

use crate::{
    demo_folder::{check_report, copied, fairspell, fairspell_json, studio_folder, text},
    schemas::{assert_follows, schema, validator},
};

fn leave(folder: &std::path::Path, session: &str, as_of: &str) -> Value {
    let data = folder.to_string_lossy();
    let asked = ["leave", "--data", &data, "--session", session, "--as-of", as_of, "--json"];
    let report = fairspell_json(&asked);
    assert_follows(&validator(&schema("leave")), &report, &format!("{session} at {as_of}"));
    report
}

fn demo(session: &str, as_of: &str) -> Value {
    leave(&studio_folder(), session, as_of)
}

fn p_gap(report: &Value) -> f64 {
    report["p_gap"]["value"]["centre"].as_f64().unwrap()
}

/// 14:30 on 3 September: a dry forecast over a wet sky; rain is likely, and so is a gap.
#[test]
fn the_thursday_of_showers_is_a_go() {
    let report = demo("2026-09-03-linh", "2026-09-03T04:30:00Z");
    assert_eq!(report["step"], "go");
    assert!(p_gap(&report) >= 0.9, "{}", report["p_gap"]);
    assert!(report["p_wet_minute"]["value"]["centre"].as_f64().unwrap() >= 0.6);
    assert_eq!(report["says"][0]["voice"], "radar_track");
    let busy = &report["busy"];
    assert!((0.15..0.3).contains(&busy["wet_share"].as_f64().unwrap()), "{busy}");
    let packed: Vec<&str> = report["kit"]
        .as_array()
        .unwrap()
        .iter()
        .map(|line| line["item"].as_str().unwrap())
        .collect();
    assert!(packed.contains(&"clear_umbrellas") && packed.contains(&"second_bag"), "{packed:?}");
}

/// 1 October: 2 h 20 min by road; radar tells how busy the sky is. The ford is open both ways by the
/// tide, and shut after a day's rain that nobody here knows of: all that stands between her and a go.
#[test]
fn the_far_session_is_a_go_once_the_ford_is_looked_up() {
    let report = demo("2026-10-01-mateo", "2026-10-01T02:55:00Z");
    assert_eq!(report["step"], "yours");
    let once = serde_json::json!([{ "look_up": "road", "name": "Gannet Ford" }]);
    assert_eq!(report["go_once"], once);
    let data = studio_folder();
    let data = data.to_string_lossy();
    let asked = ["leave", "--data", &data, "--session", "2026-10-01-mateo"];
    let said =
        text(&fairspell(&[&asked[..], &["--as-of", "2026-10-01T02:55:00Z"]].concat()).stdout);
    assert_eq!(said.lines().nth(1), Some("Go, once you have looked up Gannet Ford."), "{said}");
    assert!(p_gap(&report) >= 0.8, "{}", report["p_gap"]);
    let voices: Vec<&str> = report["says"]
        .as_array()
        .unwrap()
        .iter()
        .map(|say| say["voice"].as_str().unwrap())
        .collect();
    assert!(voices.contains(&"radar_busyness") && voices.contains(&"forecast"), "{voices:?}");
    let road = report["road"].as_array().unwrap();
    assert_eq!(road.len(), 2);
    for check in road {
        assert_eq!((&check["name"], &check["state"]), (&"Gannet Ford".into(), &"not_known".into()));
        assert!(check["tide_max_m"].as_f64().unwrap() < 1.65, "{check}");
        assert_eq!(check["rain_limit_mm_24h"], 60.0);
    }
    assert_eq!(report["driver"]["stay_over"], false);
    // Last usable light 18:09 less 140 minutes less 25: 15:24; at 12:55 that is 149 minutes away.
    let wait = report["times"]["wait_at_home_min"].as_f64().unwrap();
    assert!((148.0..151.0).contains(&wait), "{wait}");
}

/// The same drive on an evening of spring tides: home again over the ford nobody knows to be open.
#[test]
fn at_springs_the_ford_is_named_and_the_way_home_is_hers_to_decide() {
    let folder = copied();
    let path = folder.path().join("sessions.json");
    let mut sessions: Value = serde_json::from_str(&fs::read_to_string(&path).unwrap()).unwrap();
    let is_mateo = |session: &&mut Value| session["id"] == "2026-10-01-mateo";
    let mateo = sessions.as_array_mut().unwrap().iter_mut().find(is_mateo).unwrap();
    mateo["start"] = "2026-11-24T16:30:00".into();
    fs::remove_file(&path).unwrap();
    fs::write(&path, sessions.to_string()).unwrap();
    let report = leave(folder.path(), "2026-10-01-mateo", "2026-11-24T02:00:00Z");
    let home = &report["road"][1];
    assert_eq!((&home["way"], &home["state"]), (&"home".into(), &"shut_with_swell".into()));
    assert!(home["tide_max_m"].as_f64().unwrap() > 1.65 && home["changes_at"].is_string());
    assert_ne!(report["step"], "go");
}

#[test]
fn the_storm_and_the_heat_are_never_a_go_at_any_hour_of_the_day() {
    for (session, day) in
        [("2026-11-24-priyanka", "2026-11-24"), ("2026-12-01-elodie", "2026-12-01")]
    {
        for hour in ["00:30", "03:00", "05:00", "05:45", "07:00"] {
            let report = demo(session, &format!("{day}T{hour}:00Z"));
            assert_eq!(report["step"], "no", "{session} at {hour}");
        }
    }
    let storm = demo("2026-11-24-priyanka", "2026-11-24T05:45:00Z");
    let warning = &storm["warnings"][0];
    assert_eq!(warning["warning"]["tier"], "stop");
    assert!(["there", "place", "home"].iter().all(|leg| warning[*leg] == true), "{warning}");
    assert_eq!(storm["reasons"][0]["rule"]["rule"], "stop_warning");
    let heat = demo("2026-12-01-elodie", "2026-12-01T05:45:00Z");
    assert_eq!(heat["reasons"][0]["rule"]["rule"], "too_hot");
}

/// At every session's own leave gate, and with nothing fetched: the schema holds and nothing that is
/// missing is a go.
#[test]
fn every_session_has_an_answer_and_without_readings_none_is_a_go() {
    let bare = copied();
    fs::remove_dir_all(bare.path().join("readings")).unwrap();
    let report = check_report();
    let mut steps = std::collections::BTreeSet::new();
    for session in report["sessions"].as_array().unwrap() {
        let (id, as_of) = (session["id"].as_str().unwrap(), &session["leave_by"]["as_of"]);
        let as_of = as_of.as_str().unwrap();
        steps.insert(demo(id, as_of)["step"].as_str().unwrap().to_owned());
        assert_ne!(leave(bare.path(), id, as_of)["step"], "go", "{id}");
    }
    assert!(steps.contains("go") && steps.contains("no"), "{steps:?}");
}

#[test]
fn in_words_the_step_stands_first_and_what_is_invented_says_so() {
    let data = studio_folder();
    let data = data.to_string_lossy();
    let said = |session, as_of| {
        text(&fairspell(&["leave", "--data", &data, "--session", session, "--as-of", as_of]).stdout)
    };
    let go = said("2026-09-03-linh", "2026-09-03T04:30:00Z");
    let lines: Vec<&str> = go.lines().collect();
    assert!(lines[0].contains("invented") && lines[1] == "Go.", "{go}");
    assert!(go.contains("In the car:") && go.contains("The way home:"), "{go}");
    let no = said("2026-11-24-priyanka", "2026-11-24T05:45:00Z");
    assert_eq!(no.lines().nth(1), Some("Don't go."), "{no}");
    for line in go.lines().chain(no.lines()) {
        assert_eq!(fairspell_words::avoided_words(line), Vec::<&str>::new(), "{line}");
    }
    let unknown = fairspell(&["leave", "--data", &data, "--session", "nobody"]);
    assert!(!unknown.status.success());
}
