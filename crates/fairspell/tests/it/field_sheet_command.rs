//! `fairspell sheet` of a session, and the file that a phone carries.

use std::{collections::BTreeSet, fs, path::Path};

use fairspell_sheet::{Action, FieldState, FormKind, SheetTable};
use fairspell_words::avoided_words;
use serde_json::Value;
use tempfile::TempDir;

use crate::{
    demo_folder::{fairspell, fairspell_json, studio_folder, text},
    schemas::{assert_follows, schema, validator},
};

/// The showery Thursday at its leave gate, 14:30 by the clock.
const SHOWERS: [&str; 4] = ["--session", "2026-09-03-linh", "--as-of", "2026-09-03T04:30:00Z"];

fn asked(more: &[&str]) -> Vec<String> {
    let data = studio_folder().to_string_lossy().into_owned();
    let first = ["sheet".to_owned(), "--data".to_owned(), data];
    first.into_iter().chain(SHOWERS.iter().chain(more).map(|it| (*it).to_owned())).collect()
}

/// The sheet of the showery Thursday, also written to a file.
fn packed(file: &Path) -> Value {
    let data = studio_folder().to_string_lossy().into_owned();
    let out = file.to_string_lossy().into_owned();
    let mut arguments = vec!["sheet", "pack", "--data", &data, "--out", &out, "--json"];
    arguments.extend(SHOWERS);
    fairspell_json(&arguments)
}

fn strings(arguments: &[String]) -> Vec<&str> {
    arguments.iter().map(String::as_str).collect()
}

/// What the sheet of the leave gate advises through an evening, with nothing asked of anybody since.
struct Advised {
    title: String,
    setting: String,
    /// The first picture and the last, in minutes of the day.
    pictures: (u32, u32),
}

/// Follows a sheet, as a phone without a signal does, through rain that falls as it fell.
///
/// - `rain`: from and to, in minutes of the day, and the class.
fn followed(sheet: &Value, rain: &[(u32, u32, usize)]) -> Vec<Advised> {
    let table: SheetTable = serde_json::from_value(sheet["table"].clone()).unwrap();
    let open = table.open().unwrap();
    let origin: jiff::Timestamp = sheet["origin"].as_str().unwrap().parse().unwrap();
    let offset_min = sheet["utc_offset_min"].as_i64().unwrap();
    let begins = u32::try_from((origin.as_second() / 60 + offset_min).rem_euclid(1440)).unwrap();
    let falls = |slot: usize| {
        let middle = begins + 5 * u32::try_from(slot).unwrap() + 2;
        let now = rain.iter().find(|(from, to, _)| (*from..*to).contains(&middle));
        now.map_or(0, |(_, _, class)| *class)
    };
    let number = |value: &Value| u32::try_from(value.as_u64().unwrap()).unwrap();
    let mut state = FieldState {
        slot: 0,
        made: Vec::new(),
        rain_class: 0,
        hair_dose_g_m2: 0.0,
        look_doses_g_m2: vec![0.0; table.looks.len()],
    };
    let mut spot = sheet["start"]["spot"].as_str().unwrap().to_owned();
    let mut advised = Vec::new();
    while state.slot < table.slots {
        state.rain_class = falls(state.slot);
        match open.action(&state).expect("the sheet knows what it advised itself") {
            Action::Finish => break,
            Action::Wait => state.slot += 1,
            Action::Make { set, form } => {
                let it = &sheet["sets"][set];
                let form_name = if form == FormKind::Full { "full" } else { "short" };
                let minutes = number(&it["minutes"][form_name]);
                let look = table.sets[set].look;
                let worn = state.made.last().map(|(made, _)| table.sets[*made].look);
                let change = if worn == Some(look) {
                    0
                } else {
                    number(&sheet["looks"][look]["change_min"])
                };
                let spots = sheet["spots"].as_array().unwrap();
                let to = it["spot"].as_str().unwrap();
                let here = spots.iter().find(|it| it["id"] == spot.as_str()).unwrap();
                let walk = if to == spot { 0 } else { number(&here["walks_min"][to]) };
                let before = change + walk + number(&it["setup_min"]);
                let first = begins + 5 * u32::try_from(state.slot).unwrap() + before;
                let share = sheet["exposure"][it["setting"].as_str().unwrap()].as_f64().unwrap();
                let wet_min = (0..minutes).filter(|minute| {
                    let at = first + minute;
                    rain.iter().any(|(from, to, _)| (*from..*to).contains(&at))
                });
                // Rain of class 2 stands for 2 mm/h.
                let out_s = it["exposed_s"][form_name].as_f64().unwrap() * share;
                let dose = 2.0 / 3.6 * out_s * wet_min.count() as f64 / f64::from(minutes);
                state.hair_dose_g_m2 += dose;
                state.look_doses_g_m2[look] += dose;
                state.made.push((set, form));
                state.slot += usize::try_from((before + minutes).div_ceil(5)).unwrap();
                to.clone_into(&mut spot);
                advised.push(Advised {
                    title: it["title"].as_str().unwrap().to_owned(),
                    setting: it["setting"].as_str().unwrap().to_owned(),
                    pictures: (first, first + minutes),
                });
            }
        }
    }
    advised
}

/// The invented hard day: showers at 15:41 to 15:52, 16:14 to 16:30 and 17:01 to 17:12. The satin, booked
/// last, is made first under the roof, and outdoor pictures are made in each of the two gaps.
#[test]
fn on_the_showery_thursday_the_satin_goes_first_and_both_gaps_are_used() {
    let clock = |hour: u32, minute: u32| 60 * hour + minute;
    let rain = [
        (clock(15, 41), clock(15, 52), 2),
        (clock(16, 14), clock(16, 30), 2),
        (clock(17, 1), clock(17, 12), 2),
    ];
    let folder = TempDir::new().unwrap();
    let advised = followed(&packed(&folder.path().join("sheet.html")), &rain);
    let told: Vec<String> =
        advised.iter().map(|it| format!("{} {:?}", it.title, it.pictures)).collect();
    assert_eq!(advised[0].title, "Sage satin at Cannery Arcade, under the roof", "{told:?}");
    let outdoors = |from: u32, to: u32| {
        let minutes = advised
            .iter()
            .filter(|it| it.setting != "cover")
            .map(|it| it.pictures.1.min(to).saturating_sub(it.pictures.0.max(from)));
        minutes.sum::<u32>()
    };
    assert!(outdoors(clock(15, 52), clock(16, 14)) >= 8, "the first gap: {told:?}");
    assert!(outdoors(clock(16, 30), clock(17, 1)) >= 8, "the second gap: {told:?}");
    let looks: BTreeSet<&str> =
        advised.iter().filter_map(|it| it.title.split(" at ").next()).collect();
    assert_eq!(looks, BTreeSet::from(["Denim", "Sage satin", "White linen"]), "{told:?}");

    let report = fairspell_json(&strings(&asked(&["--json"])));
    assert_follows(&validator(&schema("sheet")), &report, "sheet --session --json");
    let booked = report["orders"][0]["as_listed"].as_f64().unwrap();
    assert!(report["value"].as_f64().unwrap() > booked + 100.0);
}

#[test]
fn it_says_where_to_begin_who_speaks_and_when_by_the_clock() {
    let output = fairspell(&strings(&asked(&[])));
    let said = text(&output.stdout);
    assert_eq!(avoided_words(&said), Vec::<&str>::new());
    for line in [
        "Begin at Cannery Arcade at 15:05.",
        "Rain near ahead goes by radar",
        "First: sage satin at Cannery Arcade, under the roof.",
        "If it stays dry: sage satin at Cannery Arcade, under the roof from 15:05;",
    ] {
        assert!(said.contains(line), "`{line}` is not in:\n{said}");
    }
}

#[test]
fn a_session_is_handed_out_as_a_problem_that_can_be_solved_again() {
    let problem = fairspell_json(&strings(&asked(&["--as-problem"])));
    assert_follows(&validator(&schema("sheet-problem")), &problem, "sheet --as-problem");
    let folder = TempDir::new().unwrap();
    let file = folder.path().join("problem.json");
    fs::write(&file, problem.to_string()).unwrap();
    let again = fairspell_json(&["sheet", "--problem", &file.to_string_lossy(), "--json"]);
    assert_eq!(again, fairspell_json(&strings(&asked(&["--json"]))));
}

#[test]
fn the_file_holds_the_sheet_and_asks_for_nothing_else() {
    let folder = TempDir::new().unwrap();
    let file = folder.path().join("sheet.html");
    let sheet = packed(&file);
    assert_follows(&validator(&schema("field-sheet")), &sheet, "sheet pack --json");
    let table = sheet["table"]["actions"].as_str().unwrap().len();
    assert!(table < 500_000, "the strategy takes {table} bytes");
    let page = fs::read_to_string(&file).unwrap();
    let begin = page.find("id=\"field-sheet\">").expect("the sheet's element") + 17;
    let end = begin + page[begin..].find("</script>").unwrap();
    let within: Value = serde_json::from_str(&page[begin..end]).unwrap();
    assert_eq!(within, sheet);
    assert!(!page.contains("http://") && !page.contains("https://"));
    assert!(!page.contains("name=\"field-online\""));
    let people: Vec<&str> = sheet["contacts"]
        .as_array()
        .unwrap()
        .iter()
        .map(|it| it["name"].as_str().unwrap())
        .collect();
    assert_eq!(people, ["Quoc", "Linh"]);
}

#[test]
fn every_session_of_the_demo_has_a_sheet() {
    let data = studio_folder().to_string_lossy().into_owned();
    let sessions = fs::read_to_string(studio_folder().join("sessions.json")).unwrap();
    let sessions: Value = serde_json::from_str(&sessions).unwrap();
    for session in sessions.as_array().unwrap() {
        let id = session["id"].as_str().unwrap();
        // The evening before, 18:00 by the clock of the studio, whatever its summer time.
        let date = session["start"].as_str().unwrap()[..10].parse::<jiff::civil::Date>().unwrap();
        let as_of = format!("{}T08:00:00Z", date.yesterday().unwrap());
        let output = fairspell(&["sheet", "--data", &data, "--session", id, "--as-of", &as_of]);
        let error = text(&output.stderr);
        assert!(output.status.success(), "{id}: {error}");
        assert!(text(&output.stdout).contains("Worth "), "{id}");
    }
}

#[test]
fn what_is_missing_is_asked_for() {
    let data = studio_folder().to_string_lossy().into_owned();
    let refused = |arguments: &[&str], said: &str| {
        let output = fairspell(arguments);
        assert!(!output.status.success(), "{arguments:?}");
        let error = text(&output.stderr);
        assert!(error.contains(said), "`{said}`: {error}");
    };
    refused(&["sheet"], "--problem");
    refused(&["sheet", "--data", &data], "--session");
    refused(&["sheet", "--data", &data, "--session", "nobody"], "2026-09-03-linh");
    refused(&["sheet", "pack", "--data", &data, "--session", "2026-09-03-linh"], "--out");
}
