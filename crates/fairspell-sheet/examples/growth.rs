//! How the work grows with the number of sets: a table on standard output and, with a file's name, a
//! drawing of it.
//!
//! ```console
//! $ cargo run --release -p fairspell-sheet --example growth -- crates/fairspell-sheet/benches/growth.svg
//! ```

#![expect(
    clippy::disallowed_methods,
    clippy::print_stdout,
    reason = "a measurement asks the clock, and its table is what it is for"
)]

use std::fmt::Write as _;
use std::time::Instant;

use fairspell_sheet::problem::SheetProblem;
use fairspell_sheet::{SheetBudget, SheetModel, SheetTable, solve};

#[path = "../benches/common/mod.rs"]
mod common;

/// One number of sets of one kind of evening.
struct Row {
    sets: usize,
    states: usize,
    seconds: f64,
    table_bytes: usize,
}

/// The best of so many runs counts: the others waited for something.
const RUNS: usize = 5;

fn measured(sets: usize, problem: &SheetProblem) -> Row {
    let run = || {
        let begun = Instant::now();
        let model = SheetModel::new(problem).expect("a sound problem");
        let solved = solve(&model, SheetBudget::default()).expect("within the budget");
        assert!(solved.bound.is_none(), "solved exactly");
        (begun.elapsed().as_secs_f64(), solved)
    };
    let (first, solved) = run();
    let seconds = (1..RUNS).map(|_| run().0).fold(first, f64::min);
    let table = SheetTable::pack(&solved.strategy);
    let table_bytes = serde_json::to_string(&table).expect("a table becomes JSON").len();
    Row { sets, states: solved.strategy.states(), seconds, table_bytes }
}

/// From 0.1 ms at the bottom to 10 s at the top, in pixels.
fn y(seconds: f64) -> f64 {
    340.0 - 60.0 * (seconds / 1e-4).log10()
}

fn x(sets: usize) -> f64 {
    70.0 + 52.0 * (sets as f64 - 3.0)
}

fn drawn(kinds: &[(&str, Vec<Row>)]) -> String {
    let mut svg = String::from(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 640 400\" font-family=\"sans-serif\" \
         font-size=\"13\" fill=\"#23292c\"><title>Seconds to solve an evening, by its sets</title>\
         <rect width=\"640\" height=\"400\" fill=\"#f7f3ea\"/>",
    );
    let mut add = |text: std::fmt::Arguments<'_>| svg.write_fmt(text).expect("memory takes it");
    for (seconds, label) in [
        (1e-4, "0.1 ms"),
        (1e-3, "1 ms"),
        (1e-2, "10 ms"),
        (0.1, "0.1 s"),
        (1.0, "1 s"),
        (5.0, "5 s"),
    ] {
        let at = y(seconds);
        add(format_args!(
            "<line x1=\"70\" x2=\"610\" y1=\"{at:.1}\" y2=\"{at:.1}\" stroke=\"#8b8577\" \
             stroke-width=\"0.5\"/><text x=\"62\" y=\"{:.1}\" text-anchor=\"end\">{label}</text>",
            at + 4.0
        ));
    }
    for sets in 3..=13 {
        add(format_args!(
            "<text x=\"{:.1}\" y=\"362\" text-anchor=\"middle\">{sets}</text>",
            x(sets)
        ));
    }
    add(format_args!("<text x=\"340\" y=\"386\" text-anchor=\"middle\">sets</text>"));
    for (kind, (name, rows)) in kinds.iter().enumerate() {
        let points: Vec<String> =
            rows.iter().map(|row| format!("{:.1},{:.1}", x(row.sets), y(row.seconds))).collect();
        let dashes = if kind == 0 { "" } else { " stroke-dasharray=\"6 4\"" };
        add(format_args!(
            "<polyline points=\"{}\" fill=\"none\" stroke=\"#23292c\" stroke-width=\"2\"{dashes}/>",
            points.join(" ")
        ));
        if let Some(last) = rows.last() {
            let up = if kind == 0 { 56.0 } else { -10.0 };
            add(format_args!(
                "<text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"end\">{name}</text>",
                x(last.sets),
                y(last.seconds) + up
            ));
        }
    }
    svg.push_str("</svg>\n");
    svg
}

fn main() -> std::io::Result<()> {
    let kinds = [
        ("as evenings are", common::evening as fn(usize) -> SheetProblem),
        ("as hard as they can be", common::crowded),
    ];
    println!("kind,sets,states,seconds,table_bytes");
    let told = kinds.map(|(name, problem)| {
        let rows: Vec<Row> = (3..=12).map(|sets| measured(sets, &problem(sets))).collect();
        for Row { sets, states, seconds, table_bytes } in &rows {
            println!("{name},{sets},{states},{seconds:.4},{table_bytes}");
        }
        (name, rows)
    });
    match std::env::args().nth(1) {
        Some(file) => std::fs::write(file, drawn(&told)),
        None => Ok(()),
    }
}
