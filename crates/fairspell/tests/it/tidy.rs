//! The repository itself: a convention worth having is a test here.

use std::{
    collections::BTreeMap,
    fs,
    path::{Path, PathBuf},
};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// All files below a folder, build results and hidden folders left out.
fn files_below(folder: &Path) -> Vec<PathBuf> {
    let mut files = Vec::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).unwrap() {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            if path.is_dir()
                && !["target", "demo-studio", "node_modules"].contains(&name.as_str())
                && !name.starts_with('.')
            {
                folders.push(path);
            } else if path.is_file() {
                files.push(path);
            }
        }
    }
    files.sort();
    files
}

/// Which of our crates each crate may use outside its tests.
fn allowed() -> BTreeMap<&'static str, Vec<&'static str>> {
    let mathematics = ["ground", "chance", "almanac", "light", "weather", "nowcast"];
    let mut all_but_figures = mathematics.to_vec();
    all_but_figures.extend(["studio"]);
    let mut all_but_the_shell = all_but_figures.clone();
    all_but_the_shell
        .extend(["plan", "sheet", "words", "figures", "store", "feeds", "calendar", "tell"]);
    BTreeMap::from([
        ("ground", vec![]),
        ("chance", vec![]),
        ("almanac", vec!["ground"]),
        ("light", vec!["ground", "almanac"]),
        ("weather", vec!["ground", "chance"]),
        ("nowcast", vec!["ground", "chance"]),
        ("studio", vec!["ground", "chance", "almanac"]),
        ("plan", [all_but_figures.as_slice(), &["sheet"]].concat()),
        // The words of a chance are words of the studio's figures, whose type is chance's.
        // So are those of a light: reasons for a facing, settings, the look of rain.
        ("words", vec!["chance", "light", "studio", "plan"]),
        ("sheet", vec![]),
        ("figures", vec![]),
        ("reach", vec![]),
        ("store", vec!["studio"]),
        // What was fetched is read as what had been seen, whose type is plan's.
        ("feeds", vec!["ground", "chance", "weather", "nowcast", "studio", "plan", "reach"]),
        ("calendar", vec!["ground", "studio", "words"]),
        ("tell", vec!["studio", "reach"]),
        ("web", all_but_the_shell.clone()),
        ("", [all_but_the_shell, vec!["web"]].concat()),
    ])
}

#[test]
fn arrows_between_crates_only_point_up_the_table() {
    let allowed = allowed();
    for folder in fs::read_dir(root().join("crates")).unwrap() {
        let folder = folder.unwrap().path();
        let name = folder.file_name().unwrap().to_string_lossy().into_owned();
        let short = name.trim_start_matches("fairspell").trim_start_matches('-').to_owned();
        let may_use = allowed.get(short.as_str()).unwrap_or_else(|| panic!("{name} is not listed"));
        let manifest = fs::read_to_string(folder.join("Cargo.toml")).unwrap();
        let mut section = String::new();
        for line in manifest.lines() {
            if line.starts_with('[') {
                line.clone_into(&mut section);
            }
            if section != "[dependencies]" {
                continue;
            }
            let Some(used) = line.strip_prefix("fairspell-") else { continue };
            let used = used.split(['.', ' ', '=']).next().unwrap();
            assert!(may_use.contains(&used), "{name} must not use fairspell-{used}");
        }
    }
}

#[test]
fn every_reference_file_is_listed_in_the_readme_beside_it() {
    let mut checked = 0;
    for file in files_below(&root().join("crates")) {
        let folder = file.parent().unwrap();
        let kind = folder.file_name().unwrap().to_string_lossy().into_owned();
        let name = file.file_name().unwrap().to_string_lossy().into_owned();
        if !(kind == "reference" || kind == "fixtures") || name == "README.md" {
            continue;
        }
        let readme = folder.join("README.md");
        let text = fs::read_to_string(&readme)
            .unwrap_or_else(|_| panic!("{} is missing", readme.display()));
        assert!(text.contains(&name), "{} does not name {name}", readme.display());
        checked += 1;
    }
    assert!(checked > 20, "only {checked} reference files were found");
}

#[test]
fn no_snapshot_waits_for_an_answer() {
    let waiting: Vec<_> = files_below(&root())
        .into_iter()
        .filter(|file| {
            let name = file.to_string_lossy();
            name.ends_with(".snap.new") || name.ends_with(".pending-snap")
        })
        .collect();
    assert_eq!(waiting, Vec::<PathBuf>::new());
}

/// Sentences for people stand in `words`. What may stand elsewhere: error and remark phrases, which
/// begin with a small letter, documentation, and tests.
#[test]
fn sentences_for_people_stand_in_words_alone() {
    for folder in fs::read_dir(root().join("crates")).unwrap() {
        let folder = folder.unwrap().path();
        // The demo's warnings and guide are a service's and a studio's own words, not the program's.
        let is_elsewhere =
            |file: &PathBuf| !file.components().any(|part| part.as_os_str() == "demo");
        if folder.ends_with("fairspell-words") {
            continue;
        }
        for file in files_below(&folder.join("src")).into_iter().filter(is_elsewhere) {
            for (index, line) in fs::read_to_string(&file).unwrap().lines().enumerate() {
                let code = line.trim_start();
                if code.starts_with("//") {
                    continue;
                }
                assert!(
                    !holds_a_sentence(code),
                    "{}:{}: a sentence outside words: {code}",
                    file.display(),
                    index + 1
                );
            }
        }
    }
}

/// Whether a line of code holds a literal that begins with a capital, has several words, and ends
/// like a sentence.
fn holds_a_sentence(code: &str) -> bool {
    code.split('"').skip(1).step_by(2).any(|literal| {
        let begins = literal.chars().next().is_some_and(char::is_uppercase);
        let words = literal.split_whitespace().count();
        begins && words >= 4 && literal.ends_with(['.', '!', '?'])
    })
}

#[test]
fn the_check_for_sentences_can_fail() {
    assert!(holds_a_sentence(r#"let line = "It will rain all evening.";"#));
    assert!(!holds_a_sentence(r#"#[error("no radar measures the place")]"#));
    assert!(!holds_a_sentence(r#"expect("minutes are of fixed length")"#));
}

#[test]
fn the_math_rolls_no_dice_and_asks_no_clock() {
    let text = fs::read_to_string(root().join("clippy.toml")).unwrap();
    for call in ["Timestamp::now", "SystemTime::now", "Instant::now", "rand::rng"] {
        assert!(text.contains(call), "clippy.toml no longer forbids {call}");
    }
}
