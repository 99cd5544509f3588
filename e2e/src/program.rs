//! The program, built if it has to be.

use std::{
    env::{self, consts::EXE_SUFFIX},
    ffi::OsStr,
    fs,
    path::{Path, PathBuf},
    process::Command,
    sync::OnceLock,
    time::SystemTime,
};

use anyhow::{Context, Result, ensure};

use crate::tools::profile_folder;

/// Names a program to be looked at instead, such as one that is about to be shipped.
const VARIABLE: &str = "FAIRSPELL_PROGRAM";

/// The program of the same build as this test, unless the environment names another.
///
/// `cargo test --workspace` has built it already; a single package's test has not, and would look at
/// the program of yesterday.
pub(crate) fn program() -> Result<PathBuf> {
    static PROGRAM: OnceLock<Result<PathBuf, String>> = OnceLock::new();
    let found = PROGRAM.get_or_init(|| find_or_build().map_err(|error| format!("{error:#}")));
    found.clone().map_err(anyhow::Error::msg)
}

fn find_or_build() -> Result<PathBuf> {
    if let Some(named) = env::var_os(VARIABLE) {
        return Ok(named.into());
    }
    let folder = profile_folder()?;
    let program = folder.join(format!("fairspell{EXE_SUFFIX}"));
    let crates = Path::new(env!("CARGO_MANIFEST_DIR")).join("../crates");
    let built = fs::metadata(&program).and_then(|known| known.modified());
    if !built.is_ok_and(|built| is_newest(&crates, built)) {
        build(&folder)?;
    }
    Ok(program)
}

fn build(folder: &Path) -> Result<()> {
    let profile = match folder.file_name().and_then(OsStr::to_str) {
        None | Some("debug") => "dev",
        Some(profile) => profile,
    };
    let cargo = env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
    let built = Command::new(cargo)
        .args(["build", "--quiet", "--package", "fairspell", "--profile", profile])
        .current_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join(".."))
        .status()
        .context("start cargo")?;
    ensure!(built.success(), "the program cannot be built");
    Ok(())
}

/// Whether nothing that a program is built from is younger than it.
fn is_newest(crates: &Path, built: SystemTime) -> bool {
    let mut folders = vec![crates.to_owned()];
    while let Some(folder) = folders.pop() {
        let Ok(entries) = fs::read_dir(&folder) else { return false };
        for path in entries.filter_map(|entry| Some(entry.ok()?.path())) {
            let name = path.file_name().and_then(OsStr::to_str).unwrap_or_default();
            if path.is_dir() {
                if !["tests", "benches", "examples"].contains(&name) {
                    folders.push(path);
                }
            } else if fs::metadata(&path)
                .and_then(|known| known.modified())
                .map_or(true, |changed| changed > built)
            {
                return false;
            }
        }
    }
    true
}
