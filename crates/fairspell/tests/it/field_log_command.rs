//! What was made in the field, on the command line.

use std::fs;

use serde_json::{Value, json};

use crate::{
    demo_folder::{copied, fairspell, fairspell_json, text},
    schemas::{assert_follows, example, schema, validator},
};

const LINH: &str = "2026-09-03-linh";

/// The example's log, in the past whatever the clock.
fn log() -> Value {
    let mut log = example("field-events");
    let earlier = |at: &str| at.replace("2026-09-03", "2024-09-03");
    let written = earlier(log["written_at"].as_str().unwrap());
    log["written_at"] = json!(written);
    for event in log["events"].as_array_mut().unwrap() {
        event["at"] = json!(earlier(event["at"].as_str().unwrap()));
    }
    log
}

#[test]
fn a_log_is_added_once_and_told() {
    let studio = copied();
    let (data, file) =
        (studio.path().to_string_lossy().into_owned(), studio.path().join("log.txt"));
    let ask = |more: &[&str]| {
        let arguments =
            [&["field-log", "--data", &data, "--session", LINH, "--json"], more].concat();
        let report = fairspell_json(&arguments);
        assert_follows(&validator(&schema("field-log")), &report, "field-log --json");
        report
    };
    let nothing = ask(&[]);
    assert_eq!((&nothing["events"], &nothing["added"]), (&json!(0), &Value::Null));
    fs::write(&file, format!("Field log of Linh\n{}", log())).unwrap();
    let file = file.to_string_lossy().into_owned();
    let added = ask(&["--add", &file]);
    assert_eq!((&added["added"]["new"], &added["added"]["refused"]), (&json!(22), &json!([])));
    let again = ask(&["--add", &file]);
    assert_eq!((&again["added"]["new"], &again["added"]["kept"]), (&json!(0), &json!(22)));
    assert_eq!(again["record"], added["record"]);
    // The end of the second set was a slip, and undone.
    assert_eq!(again["record"]["sets"][1]["ending"], "made");
    let looks = again["coverage"].as_array().unwrap();
    let satin = looks.iter().find(|it| it["look"] == "sage satin").unwrap();
    assert_eq!(satin["core_filled"], 2);
    assert_eq!(satin["next_prompts"].as_array().unwrap().len(), 5);
    assert_eq!((&again["foreign_sheet"], &again["altered"]), (&json!(true), &json!(false)));
    let told = fairspell(&["field-log", "--data", &data, "--session", LINH]);
    let told = text(&told.stdout);
    assert!(told.contains("in full, made.") && told.contains("2 of the 12"), "{told}");
}

#[test]
fn what_cannot_be_added_is_told_and_nothing_is_changed() {
    let studio = copied();
    let (data, file) =
        (studio.path().to_string_lossy().into_owned(), studio.path().join("log.txt"));
    let whole = log().to_string();
    let path = file.to_string_lossy().into_owned();
    for (session, log, why) in [
        (LINH, &whole[..whole.len() - 20], "cut off"),
        ("2026-09-10-mai", whole.as_str(), "2026-09-03-linh"),
        (LINH, "how was it?", "no field log"),
    ] {
        fs::write(&file, log).unwrap();
        let output =
            fairspell(&["field-log", "--data", &data, "--session", session, "--add", &path]);
        assert!(!output.status.success());
        assert!(text(&output.stderr).contains(why), "{}", text(&output.stderr));
    }
    let nobody = fairspell(&["field-log", "--data", &data, "--session", "nobody"]);
    assert!(!nobody.status.success());
    let empty = tempfile::tempdir().unwrap();
    let nowhere = empty.path().to_string_lossy().into_owned();
    let output = fairspell(&["field-log", "--data", &nowhere, "--session", LINH]);
    assert!(!output.status.success());
    assert_eq!(fs::read_dir(empty.path()).unwrap().count(), 0);
}
