//! `fairspell tide`: heights and times against the printed ones, windows against heights, and what is
//! refused.

use std::{fs, path::PathBuf};

use fairspell_words::avoided_words;
use jiff::{SignedDuration, Timestamp};
use serde_json::{Value, json};
use tempfile::TempDir;

use crate::{
    demo_folder::{fairspell, fairspell_json, studio_folder, text},
    schemas::{assert_follows, schema, validator},
};

/// The invented coast's constants in a file of their own, changed a little.
fn constants(change: impl Fn(&mut Value)) -> (TempDir, PathBuf) {
    let studio = fs::read_to_string(studio_folder().join("studio.json")).unwrap();
    let mut studio: Value = serde_json::from_str(&studio).unwrap();
    let mut constants = studio["tide"]["constants"].take();
    change(&mut constants);
    file("constants.json", &constants.to_string())
}

fn file(name: &str, content: &str) -> (TempDir, PathBuf) {
    let folder = TempDir::new().unwrap();
    let path = folder.path().join(name);
    fs::write(&path, content).unwrap();
    (folder, path)
}

/// The command's arguments for the invented coast, by its clock.
fn asked<'a>(file: &'a str, from: &'a str, to: &'a str, more: &[&'a str]) -> Vec<&'a str> {
    let usual = ["tide", "--constants", file, "--zone", "Australia/Sydney"];
    [&usual[..], &["--from", from, "--to", to], more].concat()
}

fn report(from: &str, to: &str, more: &[&str]) -> Value {
    let (_folder, path) = constants(|_| ());
    let path = path.to_string_lossy();
    let arguments = asked(&path, from, to, &[more, &["--json"]].concat());
    let report = fairspell_json(&arguments);
    assert_follows(&validator(&schema("tide")), &report, &format!("{arguments:?}"));
    report
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

/// All heights that the season's sheet prints, at the minutes (sunsets, mostly) that it prints for them.
const PRINTED: [(&str, f64); 13] = [
    ("2026-08-18T17:24", 0.60),
    ("2026-09-03T17:33", 0.6),
    ("2026-09-08T17:36", 1.45),
    ("2026-10-01T17:54", 0.57),
    ("2026-10-06T18:54", 1.35),
    ("2026-10-06T17:54", 1.41),
    ("2026-11-10T19:21", 1.32),
    ("2026-11-10T21:40", 1.68),
    ("2026-11-24T19:33", 1.69),
    ("2026-11-24T19:00", 1.56),
    ("2026-11-29T19:38", 0.71),
    ("2026-12-02T05:36", 1.04),
    ("2026-12-10T19:46", 1.43),
];

/// Printed to a centimetre for a minute in which this water moves half of one; one of them, "0.6", to a
/// decimetre.
#[test]
fn the_thirteen_printed_heights_of_the_season_come_out() {
    for (at, printed_m) in PRINTED {
        let day = &at[..10];
        let report = report(at, &format!("{day}T23:59"), &["--step", "1440"]);
        let height_m = report["heights"][0]["height_m"].as_f64().unwrap();
        let tolerance_m = if day == "2026-09-03" { 0.05 } else { 0.02 };
        assert!((height_m - printed_m).abs() <= tolerance_m, "{at}: {height_m}, not {printed_m}");
    }
}

/// "Rising", "falling", high water at 21:40 and boards that flood at 19:00, to five minutes.
#[test]
fn turns_and_floods_come_at_the_printed_times() {
    let rising = |at: &str, to: &str| report(at, to, &[])["heights"][0]["rising"].clone();
    assert_eq!(rising("2026-11-10T19:21", "2026-11-10T20:00"), true);
    assert_eq!(rising("2026-12-02T05:36", "2026-12-02T06:00"), false);
    assert_eq!(rising("2026-12-10T19:46", "2026-12-10T20:00"), true);

    let apart = |a: Timestamp, b: &str| a.duration_since(b.parse().unwrap()).as_secs().abs();
    let humid = report("2026-11-10T18:00", "2026-11-11T00:00", &[]);
    let turn = &humid["extremes"][0];
    assert_eq!(turn["kind"], "high");
    assert!(apart(time(&turn["time"]), "2026-11-10T21:40+11:00") <= 300, "{turn}");

    let storm = report("2026-11-24T16:00", "2026-11-24T20:00", &["--usable-to", "1.55"]);
    let dry = &storm["usable"][0];
    assert!(apart(time(&dry["to"]), "2026-11-24T19:00+11:00") <= 300, "{dry}");
}

/// Windows and heights are computed in two ways; a fortnight has springs and neaps.
#[test]
fn a_spot_can_be_used_exactly_where_the_heights_say_so() {
    let more = ["--step", "10", "--usable-from", "0.5", "--usable-to", "1.4", "--wide-to", "0.9"];
    let report = report("2026-09-01T00:00", "2026-09-15T00:00", &more);
    let heights = report["heights"].as_array().unwrap();
    assert_eq!(heights.len(), 14 * 144 + 1);
    for (window, to_m) in [("usable", 1.4), ("wide", 0.9)] {
        let spans = report[window].as_array().unwrap();
        assert!(spans.len() > 20, "{window}: {}", spans.len());
        for height in heights {
            let (at, height_m) = (time(&height["time"]), height["height_m"].as_f64().unwrap());
            if (height_m - to_m).abs() < 1e-3 || (height_m - 0.5).abs() < 1e-3 {
                continue; // the window's end is a whole second, the height four decimals
            }
            let is_open =
                spans.iter().any(|span| time(&span["from"]) <= at && at <= time(&span["to"]));
            assert_eq!(is_open, (0.5..to_m).contains(&height_m), "{window} at {height}");
        }
    }
}

#[test]
fn between_two_turns_the_water_goes_one_way() {
    let report = report("2026-10-03T12:00", "2026-10-05T12:00", &["--step", "5"]);
    let turns = report["extremes"].as_array().unwrap();
    assert!((7..=8).contains(&turns.len()), "{turns:?}");
    for height in report["heights"].as_array().unwrap() {
        let at = time(&height["time"]);
        let next = turns.iter().find(|turn| time(&turn["time"]) > at);
        if let Some(next) = next {
            assert_eq!(height["rising"], next["kind"] == "high", "{height}");
        }
    }
    // The clocks go forward in between: offsets change, five minutes stay five minutes.
    let times: Vec<Timestamp> =
        report["heights"].as_array().unwrap().iter().map(|it| time(&it["time"])).collect();
    assert!(
        times
            .windows(2)
            .all(|pair| { pair[1].duration_since(pair[0]) == SignedDuration::from_mins(5) })
    );
    assert!(report["from"].as_str().unwrap().ends_with("+10:00"));
    assert!(report["to"].as_str().unwrap().ends_with("+11:00"));
}

#[test]
fn a_person_reads_where_it_comes_from_and_that_the_sea_has_the_last_word() {
    let (_folder, path) = constants(|_| ());
    let path = path.to_string_lossy();
    let more = ["--step", "180", "--usable-to", "1.4", "--wide-to", "0.9"];
    let output = fairspell(&asked(&path, "2026-09-03T12:00", "2026-09-04T00:00", &more));
    let said = text(&output.stdout);
    insta::assert_snapshot!(said, @r"
    Harmonic constants of Saltern Bight (invented), 5 of them, for any date; heights count from lowest tide.
    The 18.6 years in which the moon's path swings are left out.
    Times by the clock of Australia/Sydney.

    Thu 3 Sep, 12:30: high water, 1.4 m
    Thu 3 Sep, 18:16: low water, 0.6 m

    Thu 3 Sep, 12:00: 1.34 m, rising
    Thu 3 Sep, 15:00: 1.05 m, falling
    Thu 3 Sep, 18:00: 0.58 m, falling
    Thu 3 Sep, 21:00: 0.98 m, rising
    Fri 4 Sep, 00:00: 1.62 m, rising

    The spot can be used from Thu 3 Sep, 12:00 to Thu 3 Sep, 22:40.
    It has all its room from Thu 3 Sep, 15:42 to Thu 3 Sep, 20:40.
    A prediction for planning, not for navigation. This is the tide of a quiet day. Wind, low pressure and swell add to it, by a metre and more in a storm. Official tide tables, warnings and local advice come first; never let the way back be cut off.
    ");
    assert_eq!(avoided_words(&said), Vec::<&str>::new());

    let never =
        fairspell(&asked(&path, "2026-09-03T12:00", "2026-09-03T14:00", &["--usable-to", "0.1"]));
    assert!(text(&never.stdout).contains("The spot cannot be used in these hours."));
    let output = fairspell(&[
        "tide",
        "--constants",
        &path,
        "--from",
        "2026-09-03T12:00Z",
        "--to",
        "2026-09-03T14:00Z",
    ]);
    assert_eq!(avoided_words(&text(&output.stdout)), Vec::<&str>::new(), "without a zone");
}

const TABLE: &str = "time,height_m\n2026-09-03 06:40,1.40\n2026-09-03 12:50,0.62\n\
                     2026-09-03 19:10,1.48\n";

#[test]
fn a_table_is_followed_from_its_first_row_to_its_last_and_no_further() {
    let (_folder, path) = file("table.csv", TABLE);
    let path = path.to_string_lossy();
    let table = |from, to| {
        let zone = ["--zone", "Australia/Sydney"];
        [&["tide", "--table", path.as_ref()][..], &zone, &["--from", from, "--to", to]].concat()
    };
    let arguments = table("2026-09-03T06:40", "2026-09-03T19:10");
    let report = fairspell_json(&[&arguments[..], &["--json"]].concat());
    assert_follows(&validator(&schema("tide")), &report, "a table");
    assert_eq!((&report["source"], &report["datum"]), (&json!("table"), &Value::Null));
    assert_eq!(report["heights"][0]["height_m"], 1.4);
    assert_eq!(report["extremes"].as_array().unwrap().len(), 3);
    let said = text(&fairspell(&arguments).stdout);
    assert!(said.contains("A table of 3 high and low waters, from 3 Sep 2026"), "{said}");
    assert_eq!(avoided_words(&said), Vec::<&str>::new());

    for (from, to, known) in [
        ("2026-09-03T06:39", "2026-09-03T12:00", "2026-09-03T06:40:00+10:00 to"),
        ("2026-09-03T12:00", "2026-09-03T19:11", "to 2026-09-03T19:10:00+10:00"),
        ("2026-09-04T12:00", "2026-09-04T19:11", "it knows none of these hours"),
    ] {
        refused(&table(from, to), &["the table does not reach all of these hours", known]);
    }
}

#[test]
fn a_table_that_cannot_be_followed_is_refused_at_its_line() {
    for (table, said) in [
        (TABLE.replace("0.62", "low"), "line 3: `low` is no height"),
        (TABLE.replace("0.62", "620"), "line 3: `620` is no height"),
        (TABLE.replace("2026-09-03 12:50", "noon"), "line 3: cannot tell which moment `noon` is"),
        (TABLE.replace("time,", "when,"), "expected the header `time,height_m`, found `when,"),
        (TABLE.replace("0.62", "1.45"), "do not take turns; is a row missing?"),
        (TABLE.replace("12:50", "05:50"), "stands after a later time"),
        (TABLE.replace("03 19:10", "09 19:10"), "is a part of the table missing?"),
        (TABLE.lines().take(2).collect::<Vec<_>>().join("\n"), "at least two rows, found 1"),
        (TABLE.replace(",0.62", ""), "line 3"),
        (String::new(), "expected the header"),
    ] {
        let (_folder, path) = file("table.csv", &table);
        let path = path.to_string_lossy();
        let hours = ["--from", "2026-09-03T07:00", "--to", "2026-09-03T08:00"];
        let zone = ["--zone", "Australia/Sydney"];
        let arguments = [&["tide", "--table", path.as_ref()][..], &zone, &hours].concat();
        refused(&arguments, &["read the table", "table.csv", said]);
    }
}

#[test]
fn constants_that_cannot_be_are_refused_by_file_and_key() {
    type Spoil = (fn(&mut Value), &'static str);
    let spoils: [Spoil; 10] = [
        (|it| it["constituents"][0]["name"] = json!("M99"), "unknown constituent `M99`"),
        (|it| it["constituents"][1]["name"] = json!("m2"), "constituent `m2` is given twice"),
        (|it| it["constituents"][0]["amplitude_m"] = json!(48), "`M2` has amplitude 48 m"),
        (|it| it["constituents"][0]["phase_lag_deg"] = json!(400), "`M2` has phase lag 400"),
        (|it| it["constituents"] = json!([]), "no constituents"),
        (|it| it["phase_zone"] = json!("Sydney"), "`phase_zone` is `Sydney`"),
        (|it| it["datum"] = json!(" "), "which level (`datum`)"),
        (|it| it["mean_level_m"] = json!(1000), "`mean_level_m` 1000"),
        (|it| it["mean_level"] = json!(1), "unknown field `mean_level`"),
        (|it| drop(it.as_object_mut().unwrap().remove("nodal")), "missing field `nodal`"),
    ];
    for (spoil, said) in spoils {
        let (_folder, path) = constants(spoil);
        let path = path.to_string_lossy();
        let arguments = asked(&path, "2026-09-03T12:00", "2026-09-03T13:00", &[]);
        refused(&arguments, &["read the constants", "constants.json", said]);
    }
    let (_folder, path) = file("constants.json", "{\n  \"name\": \"x\",\n  oops\n}");
    let path = path.to_string_lossy();
    refused(&asked(&path, "2026-09-03T12:00", "2026-09-03T13:00", &[]), &["line 3"]);
    refused(
        &asked("nowhere.json", "2026-09-03T12:00", "2026-09-03T13:00", &[]),
        &["read the constants nowhere.json"],
    );
}

#[test]
fn hours_steps_and_limits_that_cannot_be_are_refused_by_their_name() {
    let (_folder, path) = constants(|_| ());
    let path = path.to_string_lossy();
    let (from, to) = ("2026-09-03T12:00", "2026-09-03T13:00");
    let asked = |from, to, more: &[&'static str]| asked(&path, from, to, more);
    refused(&asked(to, from, &[]), &["--to 2026-09-03T12:00", "after the first"]);
    refused(&asked(from, from, &[]), &["after the first"]);
    refused(&asked(from, "2029-01-01T00:00", &[]), &["more than two years"]);
    refused(&asked(from, "2028-08-01T00:00", &["--step", "1"]), &["--step 1: more than"]);
    refused(&asked("noon", to, &[]), &["--from", "`noon` is no time"]);
    refused(&asked("2026-10-04T02:30", "2026-10-05T00:00", &[]), &["--from", "does not come"]);
    for step in ["0", "1441", "4294967295"] {
        refused(&asked(from, to, &["--step", step]), &[&format!("--step {step}"), "1440"]);
    }
    refused(&asked(from, to, &["--usable-to", "NaN"]), &["--usable-to NaN"]);
    refused(&asked(from, to, &["--wide-to", "900"]), &["--wide-to 900"]);
    let limits = ["--usable-from", "1.5", "--usable-to", "1.4"];
    refused(&asked(from, to, &limits), &["--usable-to 1.4: lies below --usable-from 1.5"]);
    let limits = ["--wide-to", "1.5", "--usable-to", "1.4"];
    refused(&asked(from, to, &limits), &["--wide-to 1.5: lies above --usable-to 1.4"]);
    refused(&["tide", "--from", from, "--to", to], &["--constants"]);
    let both = asked(from, to, &["--table", "table.csv"]);
    refused(&both, &["--table", "cannot be used with"]);
}
