//! `fairspell moves`: the example, a clash, what is said, and what is refused.

use std::{fs, path::PathBuf};

use fairspell_words::avoided_words;
use serde_json::{Value, json};
use tempfile::TempDir;

use crate::{
    demo_folder::{fairspell, fairspell_json, text},
    schemas::{assert_follows, example, schema, validator},
};

/// The example's problem in a file, changed a little.
fn problem(change: impl Fn(&mut Value)) -> (TempDir, PathBuf) {
    let mut problem = example("moves-problem");
    change(&mut problem);
    assert_follows(&validator(&schema("moves-problem")), &problem, "the problem");
    file(&problem.to_string())
}

fn file(content: &str) -> (TempDir, PathBuf) {
    let folder = TempDir::new().unwrap();
    let path = folder.path().join("problem.json");
    fs::write(&path, content).unwrap();
    (folder, path)
}

fn asked(change: impl Fn(&mut Value)) -> Value {
    let (_folder, path) = problem(change);
    let report = fairspell_json(&["moves", "--problem", &path.to_string_lossy(), "--json"]);
    assert_follows(&validator(&schema("moves")), &report, "moves --json");
    report
}

#[test]
fn the_example_of_an_answer_is_the_answer_to_the_example_of_a_problem() {
    assert_eq!(asked(|_| ()), example("moves"));
}

#[test]
fn a_plan_keeps_to_its_limits_and_costs_what_its_parts_cost() {
    let asked_for = example("moves-problem");
    let report = asked(|_| ());
    let mut cost = 0.0;
    for choice in report["choices"].as_array().unwrap() {
        let (session, evening) = (&choice["session"], &choice["evening"]);
        let own = if let Some(evening) = evening.as_str() {
            &asked_for["costs"][session.as_str().unwrap()][evening]
        } else {
            let sessions = asked_for["sessions"].as_array().unwrap();
            &sessions.iter().find(|it| it["id"] == *session).unwrap()["unplaced_cost"]
        };
        assert_eq!(choice["cost"], *own, "{choice}");
        cost += own.as_f64().unwrap();
    }
    assert_eq!(report["plan"]["cost"].as_f64(), Some(cost));
    assert_eq!(report["proof"]["lower_bound"].as_f64(), Some(cost));
    assert_eq!(report["proof"]["limits_in_flow"], json!(["the week of 14 September"]));
    for limit in asked_for["limits"].as_array().unwrap() {
        let is_in = |list: &Value, it: &Value| list.as_array().unwrap().contains(it);
        let counted = report["plan"]["moves"].as_array().unwrap().iter().filter(|it| {
            is_in(&limit["evenings"], &it["evening"])
                && (limit["sessions"].is_null() || is_in(&limit["sessions"], &it["session"]))
        });
        assert!(counted.count() as u64 <= limit["at_most"].as_u64().unwrap(), "{limit}");
    }
}

#[test]
fn every_line_of_a_plan_can_be_read_by_anybody() {
    let (_folder, path) = problem(|_| ());
    let output = fairspell(&["moves", "--problem", &path.to_string_lossy()]);
    let said = text(&output.stdout);
    assert!(output.status.success());
    assert!(said.starts_with("The plan costs 17 in all, and no other costs less.\n"), "{said}");
    assert_eq!(said.lines().count(), 6, "{said}");
    assert_eq!(avoided_words(&said), Vec::<&str>::new(), "{said}");
}

#[test]
fn a_clash_is_named_in_words_and_in_json_and_by_the_exit_code() {
    let (_folder, path) = problem(|problem| {
        let only = json!({ "2026-09-16": 2.0 });
        problem["costs"]["2026-09-03-linh"] = only.clone();
        problem["costs"]["2026-09-04-okafor"] = only;
    });
    let path = path.to_string_lossy();
    let output = fairspell(&["moves", "--problem", &path]);
    assert_eq!(output.status.code(), Some(1));
    let said = text(&output.stdout);
    let expected = "2026-09-03-linh and 2026-09-04-okafor can both only have Wed 16 Sep.\n";
    assert!(said.starts_with(expected), "{said}");

    let output = fairspell(&["moves", "--problem", &path, "--json"]);
    assert_eq!(output.status.code(), Some(1));
    let report: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_follows(&validator(&schema("moves")), &report, "a clash");
    let clash = json!({
        "sessions": ["2026-09-03-linh", "2026-09-04-okafor"],
        "evenings": ["2026-09-16"],
        "limits": [],
        "is_smallest": true,
    });
    assert_eq!(report["clash"], clash);
    assert!(report["plan"].is_null() && report["proof"].is_null());
}

#[test]
fn every_reason_and_every_next_cost_follows_the_schema() {
    let alone = asked(|problem| {
        problem["costs"]["2026-09-03-linh"] = json!({ "2026-09-15": 1.0 });
    });
    assert_eq!(alone["choices"][0]["next"], json!({ "is": "impossible" }));
    assert_eq!(alone["choices"][2]["why"]["reason"], "left_unplaced");
    let full = asked(|problem| problem["limits"][0]["at_most"] = json!(1));
    let full = full["choices"].as_array().unwrap();
    assert!(full.iter().any(|choice| choice["why"]["reason"] == "limit_full"), "{full:?}");
    let none = asked(|problem| *problem = json!({ "sessions": [], "evenings": [], "costs": {} }));
    assert_eq!(none["plan"], json!({ "cost": 0.0, "moves": [] }));
}

fn refused(content: &str, said: &str) {
    let (_folder, path) = file(content);
    let output = fairspell(&["moves", "--problem", &path.to_string_lossy()]);
    let error = text(&output.stderr);
    assert!(!output.status.success(), "{content} was taken");
    assert!(error.contains(said) && error.contains("problem.json"), "no `{said}` in: {error}");
    assert!(!error.contains("panicked"), "{error}");
}

#[test]
fn what_contradicts_itself_is_refused_by_name() {
    let with = |change: &dyn Fn(&mut Value)| {
        let mut problem = example("moves-problem");
        change(&mut problem);
        problem.to_string()
    };
    refused("", "EOF");
    refused("3", "invalid type");
    refused(r#"{"sessions":[],"evenings":[]}"#, "missing field `costs`");
    refused(&with(&|it| it["moon"] = json!(1)), "unknown field `moon`");
    refused(&with(&|it| it["sessions"][0]["moon"] = json!(1)), "unknown field `moon`");
    refused(&with(&|it| it["costs"]["nobody"] = json!({})), "there is no session `nobody`");
    refused(
        &with(&|it| it["costs"]["2026-09-03-linh"]["never"] = json!(1)),
        "there is no evening `never`",
    );
    refused(
        &with(&|it| it["sessions"][1]["id"] = json!("2026-09-03-linh")),
        "the session `2026-09-03-linh` stands twice",
    );
    refused(
        &with(&|it| it["evenings"][1] = json!("2026-09-15")),
        "the evening `2026-09-15` stands twice",
    );
    refused(
        &with(&|it| it["limits"][0]["evenings"][0] = json!("never")),
        "limit `the week of 14 September`: there is no evening `never`",
    );
    refused(
        &with(&|it| it["limits"][1]["sessions"][0] = json!("nobody")),
        "there is no session `nobody`",
    );
    refused(
        &with(&|it| it["limits"][1]["name"] = it["limits"][0]["name"].clone()),
        "the limit `the week of 14 September` stands twice",
    );
    refused(&with(&|it| it["limits"][0]["at_most"] = json!(-1)), "invalid value");
    refused(
        &with(&|it| it["costs"]["2026-09-03-linh"]["2026-09-15"] = json!(1e7)),
        "session `2026-09-03-linh`, evening `2026-09-15`: cost 10000000",
    );
    refused(
        r#"{"sessions":[{"id":"a"}],"evenings":["x"],"costs":{"a":{"x":1,"x":2}}}"#,
        "the cost of `a` on `x` stands twice",
    );
    let output = fairspell(&["moves"]);
    assert!(text(&output.stderr).contains("--problem"), "{}", text(&output.stderr));
}
