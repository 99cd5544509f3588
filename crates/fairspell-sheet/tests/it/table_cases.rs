//! The cases that the phone's reader of a table is tried on. They are written by this test and read
//! by the phone's own: both look the same states up, and have to find the same actions.
//!
//! After a change of the table's layout write them anew:
//! `FAIRSPELL_WRITE_TABLE_CASES=1 cargo test -p fairspell-sheet table_cases`.

use std::{env, fs, path::Path};

use fairspell_sheet::{
    FieldState, FormKind, SheetBudget, SheetModel, SheetProblem, SheetTable, solve,
};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use serde::Serialize;

use crate::drawn;

/// Where they are kept.
const FILE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/fixtures/table-cases.json");

/// How many states each table is asked for: known ones, and others.
const KNOWN: usize = 110;
const UNKNOWN: usize = 40;

/// A table with states and what it says to them.
#[derive(Serialize)]
struct TableCases {
    name: &'static str,
    table: SheetTable,
    cases: Vec<Case>,
}

/// A state and the byte of its action; `None` where the plan does not know it.
#[derive(Serialize)]
struct Case {
    slot: usize,
    /// Set and form (0 full, 1 short), in the order they were made.
    made: Vec<(usize, usize)>,
    rain_class: usize,
    hair_dose_g_m2: f64,
    look_doses_g_m2: Vec<f64>,
    action: Option<u8>,
}

/// A showery evening with promises whose pictures count; looks that may return, with a look worn on
/// arrival; and looks of which one returns and one counts.
fn problems() -> [(&'static str, SheetProblem); 3] {
    let evening = include_str!("../fixtures/showery_evening.json");
    let drawn_where = |fits: &dyn Fn(&SheetTable) -> bool| {
        let mut drawn = (0..200).map(|seed| drawn::problem(seed, 4));
        drawn.find(|problem| table(problem).is_some_and(|it| fits(&it))).unwrap()
    };
    [
        ("showery evening", serde_json::from_str(evening).unwrap()),
        (
            "looks that may return",
            drawn_where(&|it| it.kept_looks.len() > 1 && it.look_at_start.is_some()),
        ),
        (
            "a look that returns and one that counts",
            drawn_where(&|it| {
                !it.kept_looks.is_empty() && !it.counted.is_empty() && it.look_at_start.is_none()
            }),
        ),
    ]
}

fn table(problem: &SheetProblem) -> Option<SheetTable> {
    let model = SheetModel::new(problem).ok()?;
    Some(SheetTable::pack(&solve(&model, SheetBudget::default()).unwrap().strategy))
}

/// A dose in tenths, often one that lies just between two levels.
fn dose(random: &mut ChaCha8Rng, most: u32) -> f64 {
    if random.random_bool(0.3) {
        return 2.5 * f64::from(random.random_range(0..=most / 25));
    }
    f64::from(random.random_range(0..=most)) / 10.0
}

fn state(random: &mut ChaCha8Rng, problem: &SheetProblem) -> FieldState {
    let mut sets: Vec<usize> = (0..problem.sets.len()).collect();
    let mut made = Vec::new();
    for _ in 0..random.random_range(0..=sets.len()) {
        let set = sets.swap_remove(random.random_range(0..sets.len()));
        let is_short = random.random_bool(0.4);
        made.push((set, if is_short { FormKind::Short } else { FormKind::Full }));
    }
    FieldState {
        slot: random.random_range(0..=problem.slots),
        made,
        rain_class: random.random_range(0..4),
        hair_dose_g_m2: dose(random, 400),
        look_doses_g_m2: problem.looks.iter().map(|_| dose(random, 700)).collect(),
    }
}

fn cases(name: &'static str, problem: &SheetProblem, seed: u64) -> TableCases {
    let model = SheetModel::new(problem).unwrap();
    let strategy = solve(&model, SheetBudget::default()).unwrap().strategy;
    let table = SheetTable::pack(&strategy);
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let (mut known, mut unknown) = (Vec::new(), Vec::new());
    {
        let open = table.open().unwrap();
        for _ in 0..200_000 {
            let state = state(&mut random, problem);
            let action = strategy.action(&state);
            assert_eq!(open.action(&state), action, "{state:?}");
            let (cases, enough) =
                if action.is_some() { (&mut known, KNOWN) } else { (&mut unknown, UNKNOWN) };
            if cases.len() < enough {
                cases.push(Case {
                    slot: state.slot,
                    made: state
                        .made
                        .iter()
                        .map(|(set, form)| (*set, usize::from(*form == FormKind::Short)))
                        .collect(),
                    rain_class: state.rain_class,
                    hair_dose_g_m2: state.hair_dose_g_m2,
                    look_doses_g_m2: state.look_doses_g_m2,
                    action: action.map(fairspell_sheet::Action::code),
                });
            }
            if known.len() == KNOWN && unknown.len() == UNKNOWN {
                break;
            }
        }
    }
    assert_eq!((known.len(), unknown.len()), (KNOWN, UNKNOWN), "{name}");
    known.append(&mut unknown);
    TableCases { name, table, cases: known }
}

#[test]
fn the_phone_is_tried_on_what_the_strategy_says() {
    let all: Vec<TableCases> =
        (1..).zip(problems()).map(|(seed, (name, problem))| cases(name, &problem, seed)).collect();
    // A line for each table and for each state, so that a change can be read.
    let lines = |all: &TableCases| {
        let cases: Vec<String> =
            all.cases.iter().map(|case| serde_json::to_string(case).unwrap()).collect();
        format!(
            "{{\"name\":{},\n\"table\":{},\n\"cases\":[\n{}]}}",
            serde_json::to_string(all.name).unwrap(),
            serde_json::to_string(&all.table).unwrap(),
            cases.join(",\n")
        )
    };
    let text = format!("[{}]\n", all.iter().map(lines).collect::<Vec<_>>().join(",\n"));
    assert!(text.len() < 300_000, "{} bytes", text.len());
    if env::var_os("FAIRSPELL_WRITE_TABLE_CASES").is_some() {
        fs::write(Path::new(FILE), &text).unwrap();
    }
    let kept = fs::read_to_string(FILE).unwrap();
    assert!(kept == text, "table-cases.json is not what the strategy says; see this file's head");
}
