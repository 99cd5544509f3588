//! `fairspell sheet`: what to make next in the field, for every turn of the weather, and the same
//! played with dice.

use std::{
    fs,
    path::{Path, PathBuf},
    process::ExitCode,
};

use anyhow::{Context, Result};
use clap::{Args, Subcommand};
use fairspell_plan::{FieldAsk, field_plan};
use fairspell_sheet::{
    SheetBudget, SheetModel, SheetProblem, Solved, considerations, fixed_orders, play, play_orders,
    solve,
};
use fairspell_web::{
    field_document::field_document,
    field_sheet::{FieldSource, field_sheet},
};
use fairspell_words::{
    field_begins, field_rain_basis, field_set_title,
    field_sheet::{field_packed, field_stop},
    played_lines, sheet_lines, warning_lines,
};
use jiff::{Timestamp, tz::TimeZone};

use crate::{
    json,
    sheet_report::{Sheet, played_report, played_told, sheet_report, sheet_told},
    standing::SessionArguments,
    terminal::{Counter, now, progress, say},
    typed,
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
    /// Writes the field sheet of a session as one file that works by itself on a phone
    Pack(PackArguments),
}

#[derive(Args)]
struct AskArguments {
    /// A problem as JSON (see `fairspell schema sheet-problem`)
    #[arg(long, value_name = "FILE", conflicts_with_all = ["data", "session", "as_of"])]
    problem: Option<PathBuf>,
    /// The studio's folder
    #[arg(long, value_name = "DIR", requires = "session")]
    data: Option<PathBuf>,
    /// The session, by its id
    #[arg(long, value_name = "ID", requires = "data")]
    session: Option<String>,
    /// The moment (RFC 3339); nothing fetched later is looked at. Now when left out
    #[arg(long, value_name = "T", value_parser = typed::moment)]
    as_of: Option<Timestamp>,
    /// Print the problem that the session becomes (see `fairspell schema sheet-problem`), unsolved
    #[arg(long, requires = "session")]
    as_problem: bool,
    /// Print JSON (see `fairspell schema sheet`)
    #[arg(long)]
    json: bool,
}

#[derive(Args)]
struct PackArguments {
    #[command(flatten)]
    which: SessionArguments,
    /// Where to write it
    #[arg(long, value_name = "FILE.html")]
    out: PathBuf,
    /// Also print the sheet as JSON (see `fairspell schema field-sheet`)
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
        (Some(What::Pack(pack)), _) => run_pack(pack),
        (None, Some(ask)) => run_ask(ask),
        (None, None) => anyhow::bail!("neither --problem nor a command"),
    }
}

fn run_ask(arguments: &AskArguments) -> Result<ExitCode> {
    let named = arguments.data.clone().zip(arguments.session.clone());
    match (&arguments.problem, named) {
        (Some(problem), _) => {
            let model = read_model(problem)?;
            let solved = solve(&model, SheetBudget::default())?;
            print_sheet(&model, &solved, None, arguments.json)?;
        }
        (None, Some((data, session))) => {
            let which = SessionArguments::new(data, session, arguments.as_of);
            run_session(&which, arguments)?;
        }
        (None, None) => anyhow::bail!("neither --problem nor --data and --session"),
    }
    Ok(ExitCode::SUCCESS)
}

/// The sheet of a session, its sets called as she calls them.
fn run_session(which: &SessionArguments, arguments: &AskArguments) -> Result<()> {
    let json = arguments.json;
    let folder = which.folder()?;
    let standing = which.standing(&folder)?;
    let tide = folder.studio.tide()?;
    let field = field_plan(FieldAsk {
        studio: &folder.studio,
        zone: &folder.zone,
        session: standing.session,
        outlook: standing.outlook(),
        seen: &standing.seen,
        tide: tide.as_ref(),
    })?
    .solve(SheetBudget::default())?;
    let plan = &field.plan;
    let titles: Vec<String> =
        plan.sets.iter().map(|set| field_set_title(set, standing.session)).collect();
    let problem = renamed(field.model.problem(), &titles);
    if arguments.as_problem {
        return json::print(&problem);
    }
    let model = SheetModel::new(&problem)?;
    if !json {
        if folder.studio.invented {
            say(fairspell_words::INVENTED);
        }
        let stop = field_stop(standing.ruling().band, folder.moved_to(standing.session).is_some());
        let warnings = warning_lines(standing.outlook(), &folder.zone);
        for line in stop.into_iter().chain(warnings.iter().map(String::as_str)) {
            say(line);
        }
        let start = &plan.problem.start.spot;
        let spot = folder.studio.spot(start).map_or(start.as_str(), |spot| &spot.name);
        say(&field_begins(plan.origin, spot, &folder.zone));
        say(field_rain_basis(plan.rain.basis));
    }
    print_sheet(&model, &field.solved, Some((plan.origin, &folder.zone)), json)
}

/// A problem with other names for its sets.
fn renamed(problem: &SheetProblem, titles: &[String]) -> SheetProblem {
    let mut problem = problem.clone();
    let old: Vec<String> = problem.sets.iter().map(|set| set.name.clone()).collect();
    for (set, title) in problem.sets.iter_mut().zip(titles) {
        set.name.clone_from(title);
    }
    for name in problem.orders.iter_mut().flat_map(|order| &mut order.sets) {
        let set = old.iter().position(|old| old == name).expect("an order of the problem's sets");
        name.clone_from(&titles[set]);
    }
    problem
}

/// Says or prints a solved evening.
///
/// - `arrival`: minute 0 and the clock it is read from, where it is a session's.
fn print_sheet(
    model: &SheetModel,
    solved: &Solved,
    arrival: Option<(Timestamp, &TimeZone)>,
    json: bool,
) -> Result<()> {
    let budget = SheetBudget::default();
    let sheet = Sheet {
        orders: fixed_orders(model, budget),
        considerations: considerations(model, solved, budget),
        solved,
        model,
        arrival,
    };
    if json {
        return json::print(&sheet_report(&sheet));
    }
    for line in sheet_lines(&sheet_told(&sheet)) {
        say(&line);
    }
    Ok(())
}

fn run_pack(arguments: &PackArguments) -> Result<ExitCode> {
    let folder = arguments.which.folder()?;
    let standing = arguments.which.standing(&folder)?;
    let sheet = field_sheet(FieldSource {
        studio: &folder.studio,
        zone: &folder.zone,
        session: standing.session,
        people: &folder.people,
        standing: &standing.at,
        seen: &standing.seen,
        is_moved: folder.moved_to(standing.session).is_some(),
        now: standing.outlook().as_of,
        made_at: now(),
    })?;
    let text = serde_json::to_string(&sheet)?;
    let out = &arguments.out;
    fs::write(out, field_document(&text, None, None))
        .with_context(|| format!("write {}", out.display()))?;
    if arguments.json {
        json::print(&sheet)?;
    } else {
        say(&field_packed(&out.display().to_string()));
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
