//! `fairspell climate`: counts that were planted, days that can say nothing of hours, and what is refused.

use std::{fmt::Write, fs, path::Path};

use fairspell_words::avoided_words;
use serde_json::{Value, json};
use tempfile::TempDir;

use crate::{
    demo_folder::{copied, fairspell, fairspell_json, text},
    schemas::{assert_follows, schema, validator},
};

/// The invented studio before it took in any past.
fn without_past() -> TempDir {
    let folder = copied();
    fs::remove_dir_all(folder.path().join("climate")).unwrap();
    folder
}

/// Two Septembers at the invented coast, five hours an evening: every fifth evening has rain at six, every
/// tenth still at eight, and of the seventh the first hour is missing.
fn hours() -> String {
    let mut text = "time,rain_amount_mm,station,name,lat_deg,lon_deg\n".to_owned();
    for (year, day) in
        [2024, 2025].into_iter().flat_map(|year| (1..=30).map(move |day| (year, day)))
    {
        for hour in 17..=21 {
            let is_wet = (day % 5 == 0 && hour == 18) || (day % 10 == 0 && hour == 20);
            if day == 7 && hour == 18 {
                continue;
            }
            let amount = if is_wet { "0.6" } else { "0" };
            writeln!(
                text,
                "{year}-09-{day:02}T{hour}:00:00+10:00,{amount},jetty,The old jetty,-31.70,152.80"
            )
            .unwrap();
        }
    }
    text
}

const DAYS: &str = "STATION,DATE,NAME,LATITUDE,LONGITUDE,PRCP,PRCP_ATTRIBUTES\n\
                    JT000000001,2025-09-01,THE JETTY,-31.7,152.8,12,\",,W\"\n\
                    JT000000001,2025-09-02,THE JETTY,-31.7,152.8,0,\",,W\"\n\
                    JT000000001,2025-09-03,THE JETTY,-31.7,152.8,99,\",X,W\"\n";

/// A copy of the invented studio, and a file beside it.
fn world(name: &str, content: &str) -> (TempDir, String, String) {
    let folder = without_past();
    let file = folder.path().join(name);
    fs::write(&file, content).unwrap();
    let [data, file] =
        [folder.path(), &file].map(|path: &Path| path.to_string_lossy().into_owned());
    (folder, data, file)
}

fn asked<'a>(data: &'a str, more: &[&'a str]) -> Vec<&'a str> {
    let hours = ["--month", "9", "--from", "18:00", "--to", "20:00"];
    [&["climate", "--data", data][..], &hours, more].concat()
}

fn refused(arguments: &[&str], parts: &[&str]) {
    let output = fairspell(arguments);
    let said = text(&output.stderr);
    assert!(!output.status.success(), "{arguments:?}");
    for part in parts {
        assert!(said.contains(part), "{arguments:?}: no `{part}` in {said}");
    }
}

fn report(data: &str, more: &[&str]) -> Value {
    let report = fairspell_json(&[&asked(data, more)[..], &["--json"]].concat());
    assert_follows(&validator(&schema("climate")), &report, "climate --json");
    report
}

#[test]
fn rain_that_was_planted_is_counted() {
    let (_folder, data, file) = world("hours.csv", &hours());
    let import = ["climate", "import", &file, "--data", &data, "--json"];
    let imported = fairspell_json(&import);
    assert_follows(&validator(&schema("climate-import")), &imported, "climate import --json");
    assert_eq!((&imported["station"], &imported["known"]), (&json!("jetty"), &json!(298)));
    assert_eq!(imported["remarks"][0]["fault"], "gap");

    let found = report(&data, &[]);
    assert_eq!(found["station"]["years"], 2);
    assert_eq!(found["station"]["record"], "hourly");
    assert!(found["station"]["distance_km"].as_f64().unwrap() < 20.0);
    let window = &found["window"];
    assert_eq!(
        (&window["known"], &window["wet"], &window["unknown"]),
        (&json!(58), &json!(12), &json!(2))
    );
    // 12 of 58, and 10 evenings at 20 %: 14 of 68.
    assert_eq!(found["p_rain"]["centre"], 0.2059);
    assert_eq!(window["persistence"][0]["after_wet"], json!({ "known": 10, "wet": 0 }));
    assert_eq!(found["whole_days"], Value::Null);
    assert_eq!(
        found["gaps"]["wet"],
        json!({ "windows": 12, "with_dry_hour": 12, "longest_dry_hours": [0, 12] })
    );
    assert_eq!(
        found["after"][1],
        json!({
            "hours": 2,
            "after_wet": { "known": 12, "wet": 6 },
            "after_dry": { "known": 46, "wet": 0 },
        })
    );

    let said = text(&fairspell(&asked(&data, &[])).stdout);
    for part in [
        "September, 18:00 to 20:00 by the clock of Australia/Sydney. Rain: at least 0.2 mm",
        "Of 58 such evenings 12 had rain in these hours. 2 more are not known",
        "About 2 evenings in 10 like this get rain in these hours: 21 %",
        "Of 12 such evenings with rain 12 still had a whole dry hour",
        "one station, jetty (The old jetty)",
        "1 Sep 2024 to 30 Sep 2025, 2 calendar years. That is short",
        "only the forecast speaks",
    ] {
        assert!(said.contains(part), "no `{part}` in {said}");
    }
    assert_eq!(avoided_words(&said), Vec::<&str>::new());

    let again = fairspell_json(&import);
    assert_eq!(again["replaced"], true);
    let far = report(&data, &["--at", "48.2,16.4"]);
    assert_eq!(far["station"], Value::Null, "the other side of the earth has other rain");
}

#[test]
fn days_say_nothing_of_hours_or_of_gaps() {
    let (_folder, data, file) = world("days.csv", DAYS);
    let output = fairspell(&["climate", "import", &file, "--data", &data]);
    let said = text(&output.stdout);
    assert!(said.contains("JT000000001 (THE JETTY), 2 days with an amount"), "{said}");
    assert!(said.contains("- JT000000001: 1 × failed the service's own checks"), "{said}");
    assert_eq!(avoided_words(&said), Vec::<&str>::new());

    let found = report(&data, &[]);
    assert_eq!(found["whole_days"]["known"], 2);
    for key in ["window", "gaps", "after"] {
        assert_eq!(found[key], Value::Null, "{key}");
    }
    assert_eq!(found["p_rain"]["centre"], 0.2, "the default alone");
    let said = text(&fairspell(&asked(&data, &[])).stdout);
    assert!(said.contains("it can say nothing"), "{said}");
    assert_eq!(avoided_words(&said), Vec::<&str>::new());
}

#[test]
fn without_a_record_it_says_so_and_names_the_assumption() {
    let folder = without_past();
    let data = folder.path().to_string_lossy();
    let found = report(&data, &[]);
    assert_eq!((&found["station"], &found["window"]), (&Value::Null, &Value::Null));
    assert_eq!(found["p_rain"]["centre"], found["assumed"]["p_rain"]);
    let said = text(&fairspell(&asked(&data, &[])).stdout);
    assert!(said.contains("nothing was counted"), "{said}");
    assert!(said.contains("Assumed, an estimate of ours: about 2 evenings in 10"), "{said}");

    fs::create_dir(folder.path().join("climate")).unwrap();
    fs::write(folder.path().join("climate/pier.dly"), "spoilt").unwrap();
    let output = fairspell(&asked(&data, &[]));
    assert!(output.status.success());
    assert!(text(&output.stderr).contains("pier.dly"), "{}", text(&output.stderr));
}

#[test]
fn what_cannot_be_taken_in_or_asked_is_refused_by_name() {
    let (_folder, data, file) = world("rain.csv", "time,rain\n2026-06-01T18:00:00Z,0.4\n");
    let import = |file| ["climate", "import", file, "--data", &data];
    refused(&import(&file), &["take in", "rain.csv", "`time`, `rain`", "`rain_amount_mm`"]);
    refused(&import("nowhere.csv"), &["take in nowhere.csv"]);
    refused(&["climate", "import", &file, "--data", "nowhere"], &["there is no folder nowhere"]);
    refused(&asked(&data, &["--at", "95,0"]), &["latitude 95"]);
    refused(&["climate", "--data", &data, "--month", "13"], &["13 is not in 1..=12"]);
    refused(&["climate", "--data", &data, "--month", "6", "--from", "25:00"], &["25:00"]);
    refused(&["climate", "--data", &data], &["--month"]);
    let (_folder, data, file) =
        world("two.csv", "ID,DATE,ELEMENT,VALUE\na,20260601,PRCP,4,,,W,\nb,20260601,PRCP,4,,,W,\n");
    refused(&["climate", "import", &file, "--data", &data], &["2 stations", "a, b"]);
    let one =
        ["climate", "import", &file, "--data", &data, "--station", "b", "--at", "-31.7,152.8"];
    assert!(text(&fairspell(&one).stdout).contains("Read: b, 1 day with an amount"));
}
