//! `fairspell season` and `fairspell moves --data` on the invented studio.

use std::fs;

use fairspell_words::avoided_words;
use serde_json::Value;

use crate::{
    demo_folder::{copied, fairspell, fairspell_json, studio_folder, text},
    schemas::{assert_follows, schema, validator},
};

const BEFORE: &str = "2026-09-02T08:00:00Z";

fn report(name: &str, arguments: &[&str]) -> Value {
    let arguments = [arguments, &["--json"]].concat();
    let report = fairspell_json(&arguments);
    assert_follows(&validator(&schema(name)), &report, &format!("{arguments:?}"));
    report
}

#[test]
fn the_seasons_risk_is_worked_out_and_played_alike() {
    let data = studio_folder().to_string_lossy().into_owned();
    let asked = ["season", "risk", "--data", &data, "--as-of", BEFORE];
    let exact = report("season-risk", &asked);
    let played = report("season-risk", &[&asked[..], &["--runs", "20000"]].concat());
    assert_eq!(
        (exact["method"]["kind"].as_str(), played["method"]["kind"].as_str()),
        (Some("exact"), Some("simulated"))
    );
    let p = |report: &Value| report["p_all_delivered"].as_f64().unwrap();
    let error = played["method"]["standard_error"].as_f64().unwrap();
    assert!((p(&exact) - p(&played)).abs() < 4.0 * error, "{} {}", p(&exact), p(&played));
    // Whoever is due on the next day has no evening to move to.
    let of = |id: &str| {
        let sessions = exact["sessions"].as_array().unwrap();
        sessions.iter().find(|it| it["id"] == id).unwrap()["p_delivered"].as_f64().unwrap()
    };
    assert!(of("2026-09-17-soraya") < of("2026-09-08-callum"));
    assert_eq!(exact["rests_on"]["kind"], "climate");
}

#[test]
fn offers_keep_reserve_evenings_and_say_what_time_is_left() {
    let data = studio_folder().to_string_lossy().into_owned();
    let asked = |deadline: &str| {
        report(
            "season-offers",
            &[
                "season",
                "offers",
                "--data",
                &data,
                "--as-of",
                BEFORE,
                "--place",
                "heron_walk",
                "--from",
                "2026-09-04",
                "--to",
                "2026-09-30",
                "--deadline",
                deadline,
            ],
        )
    };
    let ample = asked("2026-11-06");
    let offers = ample["offers"].as_array().unwrap();
    assert!((3..=5).contains(&offers.len()), "{offers:?}");
    for offer in offers {
        assert_eq!(offer["time_left"]["kind"], "enough", "{offer}");
        assert!(!offer["reserve_near"].is_null() || !offer["reserve_far"].is_null(), "{offer}");
    }
    let rush = asked("2026-09-18");
    assert_eq!(rush["first_free"]["time_left"]["kind"], "rush_only");
    let late = asked("2026-09-05");
    assert_eq!(late["offers"].as_array().unwrap().len(), 0, "no evening before it");
    assert!(late["first_free"].is_null());
}

/// The invented season's own story: the low from Tuesday the 15th, the yearbook due on Friday, a
/// covered set on Thursday and the rest on Sunday the 27th.
#[test]
fn the_three_day_low_is_re_dated_as_the_season_tells() {
    let folder = copied();
    let file = folder.path().join("sessions.json");
    let mut sessions: Value = serde_json::from_slice(&fs::read(&file).unwrap()).unwrap();
    let later = ["2026-09-17-soraya", "2026-09-27-soraya"];
    sessions.as_array_mut().unwrap().retain(|it| !later.contains(&it["id"].as_str().unwrap()));
    // The copy is made of links: the original stays as it is.
    fs::remove_file(&file).unwrap();
    fs::write(&file, sessions.to_string()).unwrap();
    let data = folder.path().to_string_lossy().into_owned();
    let saturday = "2026-09-12T00:00:00Z";
    let asked = ["moves", "--data", &data, "--as-of", saturday, "--sessions", "2026-09-15-soraya"];
    let plan = report("season-moves", &asked);
    assert_eq!(plan["proven"], true);
    let soraya = &plan["sessions"][0];
    assert_eq!(soraya["date"], "2026-09-17");
    assert_eq!(
        (soraya["way"].as_str(), soraya["roof"].as_str()),
        (Some("covered_then_rest"), Some("ferrow_veranda"))
    );
    assert_eq!(soraya["spare"], "2026-09-27");
    assert!(soraya["costs"]["permit"].as_f64().unwrap().abs() < 1e-9, "the veranda moves free");
    let told = text(&fairspell(&asked).stdout);
    assert!(told.contains("Thu 17 Sep") && told.contains("The rest: Sun 27 Sep."), "{told}");
    assert_eq!(avoided_words(&told), Vec::<&str>::new());
}

#[test]
fn what_cannot_be_asked_is_refused_in_words() {
    let data = studio_folder().to_string_lossy().into_owned();
    let refused = |arguments: &[&str], said: &str| {
        let output = fairspell(arguments);
        let error = text(&output.stderr);
        assert!(!output.status.success() && error.contains(said), "{arguments:?}: {error}");
    };
    refused(
        &["season", "risk", "--data", &data, "--as-of", "2027-06-01T00:00:00Z"],
        "no session lies",
    );
    refused(&["moves", "--data", &data, "--as-of", BEFORE, "--sessions", "nobody"], "nobody");
    let moved = ["moves", "--data", &data, "--as-of", BEFORE, "--sessions", "2026-09-15-soraya"];
    refused(&moved, "was moved already, to Thu 17 Sep");
    let over = ["moves", "--data", &data, "--as-of", BEFORE, "--sessions", "2026-08-18-amara"];
    refused(&over, "has begun or is over");
    let offers = ["season", "offers", "--data", &data, "--as-of", BEFORE, "--place", "heron_walk"];
    let dated = |from, to, more: &[&'static str]| {
        [&offers[..], &["--from", from, "--to", to], more].concat()
    };
    refused(&dated("2026-09-30", "2026-09-04", &[]), "is later than");
    refused(&dated("2026-08-01", "2026-08-20", &[]), "lie behind");
    refused(&dated("2026-13-01", "2026-12-20", &[]), "write a date that is in the calendar");
    refused(
        &dated("2026-09-04", "2026-09-30", &["--deadline", "2026-09-01"]),
        "Tue 1 Sep lies behind",
    );
    refused(&["season", "risk", "--data", &data, "--as-of", BEFORE, "--runs", "0"], "--runs");
    refused(
        &[
            "season",
            "offers",
            "--data",
            &data,
            "--place",
            "heron_walk",
            "--from",
            "2026-09-04",
            "--to",
            "2026-09-30",
            "--drive",
            "200",
            "--as-of",
            BEFORE,
        ],
        "longer than the 150",
    );
}
