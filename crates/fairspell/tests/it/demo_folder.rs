//! The invented studio, built once for all tests, and a way to run the command line.

use std::{
    fs,
    path::Path,
    process::{Command, Output},
    sync::OnceLock,
};

use serde_json::Value;
use tempfile::TempDir;

/// Runs the command line.
pub(crate) fn fairspell(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_fairspell"))
        .args(arguments)
        .output()
        .expect("the program was built for this test")
}

/// Runs it, expects success, and reads its output as JSON.
pub(crate) fn fairspell_json(arguments: &[&str]) -> Value {
    let output = fairspell(arguments);
    assert!(output.status.success(), "{arguments:?}: {}", text(&output.stderr));
    serde_json::from_slice(&output.stdout).expect("JSON on standard output")
}

pub(crate) fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// The folder of the invented studio. Tests that change something copy it first.
pub(crate) fn demo_folder() -> &'static Path {
    static FOLDER: OnceLock<TempDir> = OnceLock::new();
    FOLDER
        .get_or_init(|| {
            let folder = TempDir::new().expect("a folder for temporary files");
            let at = folder.path().join("demo");
            let output = fairspell(&["demo", "--dir", &at.to_string_lossy(), "--check", "--json"]);
            assert!(output.status.success(), "demo --check: {}", text(&output.stderr));
            fs::write(folder.path().join("check.json"), &output.stdout)
                .expect("room for the report");
            folder
        })
        .path()
}

/// The studio's own folder within it.
pub(crate) fn studio_folder() -> std::path::PathBuf {
    demo_folder().join("demo")
}

/// What `demo --check --json` said when the folder was built.
pub(crate) fn check_report() -> Value {
    let bytes = fs::read(demo_folder().join("check.json")).expect("written when it was built");
    serde_json::from_slice(&bytes).expect("JSON on standard output")
}

/// A copy of the studio's folder, for tests that change it.
pub(crate) fn copied() -> TempDir {
    let copy = TempDir::new().expect("a folder for temporary files");
    copy_folder(&studio_folder(), copy.path());
    copy
}

fn copy_folder(from: &Path, to: &Path) {
    fs::create_dir_all(to).expect("room for a copy");
    for entry in fs::read_dir(from).expect("the demo's folder") {
        let entry = entry.expect("the demo's folder");
        let target = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy_folder(&entry.path(), &target);
        } else {
            // Linked, not copied: a thousand radar pictures that no test changes in place.
            fs::hard_link(entry.path(), &target)
                .or_else(|_| fs::copy(entry.path(), &target).map(|_| ()))
                .expect("room for a copy");
        }
    }
}
