//! `fairspell sheet`: what to make next in the field, for every turn of the weather, and the same
//! played with dice.

use std::{
    fs,
    path::{Path, PathBuf},
    process::ExitCode,
};

use anyhow::{Context, Result};
use clap::{Args, Subcommand};
use fairspell_sheet::{
    SheetBudget, SheetModel, SheetProblem, considerations, fixed_orders, play, play_orders, solve,
};
use fairspell_words::{played_lines, sheet_lines};

use crate::{
    json,
    sheet_report::{Sheet, played_report, played_told, sheet_report, sheet_told},
    terminal::{Counter, progress, say},
};

/// What to make next in the field, whatever the sky does.
#[derive(Args)]
#[command(args_conflicts_with_subcommands = true, subcommand_negates_reqs = true)]
pub(crate) struct SheetArguments {
    #[command(subcommand)]
    what: Option<What>,
    #[command(flatten)]
    ask: Option<AskArguments>,
}

#[derive(Subcommand)]
enum What {
    /// Plays the plan, and each fixed order of the problem, again and again
    Simulate(SimulateArguments),
}

#[derive(Args)]
struct AskArguments {
    /// A problem as JSON (see `fairspell schema sheet-problem`)
    #[arg(long, value_name = "FILE")]
    problem: PathBuf,
    /// Print JSON (see `fairspell schema sheet`)
    #[arg(long)]
    json: bool,
}

#[derive(Args)]
struct SimulateArguments {
    /// A problem as JSON (see `fairspell schema sheet-problem`)
    #[arg(long, value_name = "FILE")]
    problem: PathBuf,
    /// How many evenings
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u64).range(2..=100_000_000))]
    runs: u64,
    /// Where the dice begin: the same seed, the same answer
    #[arg(long, value_name = "S")]
    seed: u64,
    /// Print JSON (see `fairspell schema sheet-simulate`)
    #[arg(long)]
    json: bool,
}

/// With so many sets it takes long enough to say so.
const SETS_TOLD: usize = 10;

/// Runs the command.
pub(crate) fn run(arguments: &SheetArguments) -> Result<ExitCode> {
    match (&arguments.what, &arguments.ask) {
        (Some(What::Simulate(simulate)), _) => run_simulate(simulate),
        (None, Some(ask)) => run_ask(ask),
        (None, None) => anyhow::bail!("neither --problem nor a command"),
    }
}

fn run_ask(arguments: &AskArguments) -> Result<ExitCode> {
    let model = read_model(&arguments.problem)?;
    let budget = SheetBudget::default();
    let solved = solve(&model, budget)?;
    let sheet = Sheet {
        orders: fixed_orders(&model, budget),
        considerations: considerations(&model, &solved, budget),
        solved: &solved,
        model: &model,
    };
    if arguments.json {
        json::print(&sheet_report(&sheet))?;
    } else {
        for line in sheet_lines(&sheet_told(&sheet)) {
            say(&line);
        }
    }
    Ok(ExitCode::SUCCESS)
}

fn run_simulate(arguments: &SimulateArguments) -> Result<ExitCode> {
    let model = read_model(&arguments.problem)?;
    let budget = SheetBudget::default();
    let solved = solve(&model, budget)?;
    let orders = fixed_orders(&model, budget);
    let (runs, seed) = (arguments.runs, arguments.seed);
    let total = runs * (1 + orders.len() as u64);
    let mut counter = Counter::new("evenings played");
    let played = play(&solved.strategy, runs, seed, &mut |done| counter.at(done, total));
    let by_order = play_orders(&model, runs, seed, &mut |done| counter.at(runs + done, total));
    if arguments.json {
        json::print(&played_report(seed, &solved, &played, &orders, &by_order))?;
    } else {
        let told = played_told(&solved, &played, &orders, &by_order);
        for line in played_lines(&told) {
            say(&line);
        }
    }
    Ok(ExitCode::SUCCESS)
}

fn read_model(file: &Path) -> Result<SheetModel> {
    let read = || format!("read the problem {}", file.display());
    let text = fs::read_to_string(file).with_context(read)?;
    let problem: SheetProblem = serde_json::from_str(&text).with_context(read)?;
    let model = SheetModel::new(&problem).with_context(read)?;
    if problem.sets.len() >= SETS_TOLD {
        progress("weighing every turn of the weather");
    }
    Ok(model)
}
