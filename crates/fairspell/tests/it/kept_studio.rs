//! A studio that is kept in its database: taken over from files, backed up, restored, checked.

use std::{fs, path::Path};

use serde_json::{Value, json};

use crate::{
    demo_folder::{copied, fairspell, fairspell_json, text},
    schemas::{assert_follows, schema, validator},
};

const BOOKINGS: &str = "\
date,start,name,guardian,minutes,place,email
2026-10-08,16:00,Ngozi Ólafsdóttir-李,Per,110,Heron Walk,per@example.org
2026-10-13,25:00,Nobody,,110,,
2026-10-15,16:10,\"=HYPERLINK(\"\"http://example.org\"\")\",Ada,90,Nowhere we know,
";

fn str(path: &Path) -> String {
    path.to_string_lossy().into_owned()
}

fn import(folder: &Path) -> Value {
    let list = folder.join("bookings.csv");
    fs::write(&list, BOOKINGS).unwrap();
    let report =
        fairspell_json(&["import", "bookings", &str(&list), "--data", &str(folder), "--json"]);
    assert_follows(&validator(&schema("import")), &report, "import bookings --json");
    report
}

fn verify(folder: &Path, head: &[&str]) -> Value {
    let folder = str(folder);
    let mut arguments = vec!["journal", "verify", "--data", &folder, "--json"];
    arguments.extend(head);
    let output = fairspell(&arguments);
    let verdict: Value = serde_json::from_slice(&output.stdout)
        .unwrap_or_else(|_| panic!("{}", text(&output.stderr)));
    assert_follows(&validator(&schema("journal")), &verdict, "journal verify --json");
    verdict
}

#[test]
fn bookings_of_a_list_become_sessions_and_importing_twice_is_harmless() {
    let studio = copied();
    let first = import(studio.path());
    let made: Vec<&str> =
        first["sessions"].as_array().unwrap().iter().map(|id| id.as_str().unwrap()).collect();
    assert_eq!(made.len(), 2, "{first}");
    assert!(made[0].starts_with("2026-10-08-"), "{first}");
    let remarks = first["remarks"].to_string();
    assert!(remarks.contains("25:00"), "the row that cannot be used is named: {remarks}");

    // What was written down in files before is in the same studio now.
    let outlook = fairspell_json(&[
        "outlook",
        "--data",
        &str(studio.path()),
        "--session",
        "2026-09-03-linh",
        "--as-of",
        "2026-09-03T04:30:00Z",
        "--json",
    ]);
    assert_eq!(outlook["ruling"]["step"], "go");
    let new = fairspell(&["outlook", "--data", &str(studio.path()), "--session", made[0]]);
    assert!(new.status.success(), "{}", text(&new.stderr));

    let second = import(studio.path());
    assert_eq!(second["sessions"], json!([]), "{second}");
}

#[test]
fn a_backup_restores_the_whole_studio_and_carries_the_seal_of_its_record() {
    let studio = copied();
    import(studio.path());
    let place = tempfile::tempdir().unwrap();
    let (file, restored) = (place.path().join("studio.tar"), place.path().join("restored"));
    let manifest =
        fairspell_json(&["backup", "--data", &str(studio.path()), "--out", &str(&file), "--json"]);
    assert_follows(&validator(&schema("backup")), &manifest, "backup --json");
    let head = manifest["head"].as_str().unwrap();
    fairspell_json(&["restore", "--from", &str(&file), "--data", &str(&restored), "--json"]);

    let there = verify(studio.path(), &["--head", head]);
    assert_eq!(there["expected"], "newest", "{there}");
    let verdict = verify(&restored, &["--head", head]);
    assert_eq!(verdict["expected"], "newest", "{verdict}");
    assert_eq!(verdict["broken_at"], Value::Null);
    let reading = "readings/received.csv";
    assert_eq!(
        fs::read(restored.join(reading)).unwrap(),
        fs::read(studio.path().join(reading)).unwrap()
    );

    // What was agreed afterwards is not in the backup, and the seal says up to where it agrees.
    import_one_more(studio.path());
    let later = verify(studio.path(), &["--head", head]);
    assert!(later["expected"]["earlier"]["seq"].as_u64().is_some(), "{later}");

    let again = fairspell(&["restore", "--from", &str(&file), "--data", &str(&restored)]);
    assert!(!again.status.success(), "a folder that holds something is left alone");
}

fn import_one_more(folder: &Path) {
    let list = folder.join("more.csv");
    fs::write(&list, "date,start,name\n2026-10-20,16:10,Ada\n").unwrap();
    fairspell_json(&["import", "bookings", &str(&list), "--data", &str(folder), "--json"]);
}

#[test]
fn a_seal_that_is_not_of_this_record_is_told_apart_and_fails() {
    let studio = copied();
    import(studio.path());
    let other = "0".repeat(64);
    assert_eq!(verify(studio.path(), &["--head", &other])["expected"], "not_part");
    let folder = str(studio.path());
    let output = fairspell(&["journal", "verify", "--data", &folder, "--head", &other]);
    assert!(!output.status.success());
    assert!(text(&output.stdout).contains("not part of this record"), "{}", text(&output.stdout));
    let nonsense = fairspell(&["journal", "verify", "--data", &folder, "--head", "xyz"]);
    assert!(text(&nonsense.stderr).contains("xyz"), "{}", text(&nonsense.stderr));
}

#[test]
fn a_folder_without_a_studio_is_named() {
    let empty = tempfile::tempdir().unwrap();
    for command in [["journal", "verify"].as_slice(), &["backup"]] {
        let folder = str(empty.path());
        let out = str(&empty.path().join("out.tar"));
        let mut arguments = command.to_vec();
        arguments.extend(["--data", &folder]);
        if command == ["backup"] {
            arguments.extend(["--out", &out]);
        }
        let output = fairspell(&arguments);
        assert!(!output.status.success());
        assert!(text(&output.stderr).contains("no studio"), "{}", text(&output.stderr));
    }
}
