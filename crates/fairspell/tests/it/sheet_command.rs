//! `fairspell sheet`: the examples, what is said, what is played, and what is refused.

use std::{fs, path::PathBuf};

use fairspell_words::avoided_words;
use serde_json::{Value, json};
use tempfile::TempDir;

use crate::{
    demo_folder::{fairspell, fairspell_json, text},
    schemas::{assert_follows, example, schema, validator},
};

fn file(content: &str) -> (TempDir, PathBuf) {
    let folder = TempDir::new().unwrap();
    let path = folder.path().join("problem.json");
    fs::write(&path, content).unwrap();
    (folder, path)
}

fn changed(change: impl Fn(&mut Value)) -> Value {
    let mut problem = example("sheet-problem");
    change(&mut problem);
    problem
}

fn asked(change: impl Fn(&mut Value)) -> Value {
    let problem = changed(change);
    assert_follows(&validator(&schema("sheet-problem")), &problem, "the problem");
    let (_folder, path) = file(&problem.to_string());
    let report = fairspell_json(&["sheet", "--problem", &path.to_string_lossy(), "--json"]);
    assert_follows(&validator(&schema("sheet")), &report, "sheet --json");
    report
}

#[test]
fn the_example_of_an_answer_is_the_answer_to_the_example_of_a_problem() {
    assert_eq!(asked(|_| ()), example("sheet"));
}

#[test]
fn the_example_of_played_evenings_is_played_again() {
    let (_folder, path) = file(&example("sheet-problem").to_string());
    let path = path.to_string_lossy();
    let played = example("sheet-simulate");
    let runs = played["runs"].to_string();
    let seed = played["seed"].to_string();
    let arguments =
        ["sheet", "simulate", "--problem", &path, "--runs", &runs, "--seed", &seed, "--json"];
    let report = fairspell_json(&arguments);
    assert_follows(&validator(&schema("sheet-simulate")), &report, "sheet simulate --json");
    assert_eq!(report, played);
    let orders = report["orders"].as_array().unwrap();
    for one in orders.iter().chain([&report["strategy"]]) {
        let number = |key: &str| one[key].as_f64().unwrap();
        let off = (number("mean") - number("value")).abs();
        assert!(off < 4.0 * number("standard_error"), "{one}");
    }
}

#[test]
fn a_problem_without_needs_promises_or_orders_is_answered_too() {
    let report = asked(|it| {
        it.as_object_mut().unwrap().remove("orders");
        for set in it["sets"].as_array_mut().unwrap() {
            set.as_object_mut().unwrap().remove("needed");
        }
        for look in it["looks"].as_array_mut().unwrap() {
            look.as_object_mut().unwrap().remove("promise");
            look["missed_penalty"] = json!(0);
        }
    });
    assert_eq!([&report["p_must_haves"], &report["p_bank"]], [&Value::Null, &Value::Null]);
    assert_eq!(report["orders"][0]["name"], Value::Null);
    assert_eq!(report["promises"], json!([]));
}

/// Thirty looks: more ways through the evening than can be weighed. The gap is stated.
#[test]
fn thirty_looks_are_answered_with_a_bound() {
    let report = asked(|it| {
        let sets = it["sets"].as_array().unwrap().clone();
        let sets = (0..30).map(|index| {
            let mut set = sets[index % sets.len()].clone();
            set["name"] = json!(format!("{} {index}", set["name"].as_str().unwrap()));
            set["full"]["minutes"] = json!(2 + index % 3);
            set["full"]["exposed_s"] = json!(20);
            set["worth"] = json!(3.0 + 0.1 * index as f64);
            set.as_object_mut().unwrap().remove("needed");
            set.as_object_mut().unwrap().remove("short");
            set
        });
        it["sets"] = sets.collect();
        it["orders"] = json!([]);
    });
    assert_eq!(report["proof"]["exact"], json!(false));
    let (value, upper) =
        (report["value"].as_f64().unwrap(), report["proof"]["upper_bound"].as_f64().unwrap());
    assert!(value > 0.0 && upper > value && upper < 4.0 * value, "{value} to {upper}");
    assert_eq!(report["rules"], Value::Null);
}

#[test]
fn what_is_said_has_no_word_that_nobody_should_read() {
    let (_folder, path) = file(&example("sheet-problem").to_string());
    let said = fairspell(&["sheet", "--problem", &path.to_string_lossy()]);
    let said = text(&said.stdout);
    assert_eq!(avoided_words(&said), Vec::<&str>::new());
    for line in [
        "First: bank in the arcade.",
        "If it stays dry: bank in the arcade from 0 min;",
        "and no plan is worth more.",
        "As booked, made as it stands:",
        "No single rule holds this evening",
    ] {
        assert!(said.contains(line), "`{line}` is not in:\n{said}");
    }
}

fn refused(content: &str, said: &str) {
    let (_folder, path) = file(content);
    let output = fairspell(&["sheet", "--problem", &path.to_string_lossy()]);
    let error = text(&output.stderr);
    assert!(!output.status.success(), "accepted: {content}");
    assert!(error.contains("read the problem") && error.contains(said), "`{said}`: {error}");
}

#[test]
fn what_contradicts_itself_is_refused_by_name() {
    let with = |change: &dyn Fn(&mut Value)| changed(change).to_string();
    refused("", "EOF");
    refused("3", "invalid type");
    refused(&with(&|it| it["moon"] = json!(1)), "unknown field `moon`");
    refused(&with(&|it| it["sets"] = json!([])), "there are no sets");
    refused(&with(&|it| it["sets"][0]["setting"] = json!("moon")), "unknown variant `moon`");
    refused(&with(&|it| it["sets"][0]["worth"] = json!(null)), "invalid type: null");
    refused(
        &with(&|it| it["spots"][2]["open"] = json!([[0, 3]])),
        "can never be made: its spot is never open long enough",
    );
    refused(&with(&|it| it["walks"][2]["minutes"] = json!(9)), "cannot be longer than a detour");
    refused(&with(&|it| it["rain"]["steps"][3][0][0] = json!(0.1)), "slot 3, row 0 sums to");
}
