//! `fairspell moves`: the cheapest evenings for all sessions that must move, with the proof.

use std::{
    collections::{BTreeMap, BTreeSet},
    fmt, fs,
    marker::PhantomData,
    path::{Path, PathBuf},
    process::ExitCode,
};

use anyhow::{Context, Result, bail};
use clap::Args;
use fairspell_plan::moves::{
    Clash, MoveLimit, MoveProblem, MoveSession, Moves, NoMoves, best_moves,
};
use fairspell_words::{clash_lines, moves_lines};
use jiff::Timestamp;
use serde::{
    Deserialize, Deserializer,
    de::{MapAccess, Visitor},
};

use crate::{
    json,
    moves_report::{clash_report, clash_told, moves_report, moves_told},
    redate_command,
    terminal::{now, say},
    typed::{moment, trimmed},
};

/// The cheapest evenings for all sessions that must move, with the proof.
#[derive(Args)]
pub(crate) struct MovesArguments {
    #[command(flatten)]
    from: From,
    /// The sessions of --data, by their ids with commas; those that the policy says must or should
    /// move when left out
    #[arg(
        long,
        value_name = "IDS",
        value_delimiter = ',',
        value_parser = trimmed,
        conflicts_with = "problem"
    )]
    sessions: Vec<String>,
    /// The moment for --data (RFC 3339); nothing fetched later is looked at. Now when left out
    #[arg(long, value_name = "T", conflicts_with = "problem", value_parser = moment)]
    as_of: Option<Timestamp>,
    /// Print JSON (see `fairspell schema moves` for --problem, `season-moves` for --data)
    #[arg(long)]
    json: bool,
}

/// Where the problem comes from.
#[derive(Args)]
#[group(required = true, multiple = false)]
struct From {
    /// A problem as JSON (see `fairspell schema moves-problem`)
    #[arg(long, value_name = "FILE")]
    problem: Option<PathBuf>,
    /// The studio's folder
    #[arg(long, value_name = "DIR")]
    data: Option<PathBuf>,
}

/// Runs the command. Where there is no plan the answer is the clash, and the exit code says so.
pub(crate) fn run(arguments: &MovesArguments) -> Result<ExitCode> {
    if let Some(data) = &arguments.from.data {
        let as_of = arguments.as_of.unwrap_or_else(now);
        return redate_command::run(data, &arguments.sessions, as_of, arguments.json);
    }
    let file = arguments.from.problem.as_ref().context("neither --data nor --problem")?;
    let read = || format!("read the problem {}", file.display());
    let problem = read_problem(file).with_context(read)?;
    match best_moves(&problem) {
        Ok(moves) => print_moves(&problem, &moves, arguments.json),
        Err(NoMoves::Clash(clash)) => print_clash(&problem, &clash, arguments.json),
        Err(NoMoves::Malformed(fault)) => Err(fault).with_context(read),
        Err(other) => Err(other.into()),
    }
}

fn print_moves(problem: &MoveProblem, moves: &Moves, as_json: bool) -> Result<ExitCode> {
    if as_json {
        json::print(&moves_report(problem, moves))?;
    } else {
        for line in moves_lines(&moves_told(problem, moves)) {
            say(&line);
        }
    }
    Ok(ExitCode::SUCCESS)
}

fn print_clash(problem: &MoveProblem, clash: &Clash, as_json: bool) -> Result<ExitCode> {
    if as_json {
        json::print(&clash_report(problem, clash))?;
    } else {
        for line in clash_lines(&clash_told(problem, clash)) {
            say(&line);
        }
    }
    Ok(ExitCode::FAILURE)
}

/// What a file holds.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ProblemFile {
    sessions: Vec<SessionEntry>,
    evenings: Vec<String>,
    costs: Entries<Entries<f64>>,
    #[serde(default)]
    limits: Vec<LimitEntry>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SessionEntry {
    id: String,
    #[serde(default)]
    unplaced_cost: Option<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LimitEntry {
    name: String,
    at_most: usize,
    evenings: Vec<String>,
    #[serde(default)]
    sessions: Option<Vec<String>>,
}

/// An object's entries as they stand, so that a name that stands twice is not lost.
struct Entries<T>(Vec<(String, T)>);

impl<'de, T: Deserialize<'de>> Deserialize<'de> for Entries<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct All<T>(PhantomData<T>);
        impl<'de, T: Deserialize<'de>> Visitor<'de> for All<T> {
            type Value = Entries<T>;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("an object")
            }

            fn visit_map<M: MapAccess<'de>>(self, mut map: M) -> Result<Entries<T>, M::Error> {
                let mut entries = Vec::new();
                while let Some(entry) = map.next_entry()? {
                    entries.push(entry);
                }
                Ok(Entries(entries))
            }
        }
        deserializer.deserialize_map(All(PhantomData))
    }
}

fn read_problem(file: &Path) -> Result<MoveProblem> {
    let file: ProblemFile = serde_json::from_str(&fs::read_to_string(file)?)?;
    let sessions = Names::new("session", file.sessions.iter().map(|session| &session.id))?;
    let evenings = Names::new("evening", file.evenings.iter())?;
    let mut costs = vec![vec![None; file.evenings.len()]; file.sessions.len()];
    let mut seen = BTreeSet::new();
    for (session, row) in &file.costs.0 {
        let s = sessions.index(session).context("costs")?;
        for (evening, cost) in &row.0 {
            let e = evenings.index(evening).with_context(|| format!("costs of `{session}`"))?;
            if !seen.insert((s, e)) {
                bail!("the cost of `{session}` on `{evening}` stands twice");
            }
            costs[s][e] = Some(*cost);
        }
    }
    let limits = file.limits.iter().map(|limit| {
        let what = || format!("limit `{}`", limit.name);
        let counts = limit.sessions.as_ref().map(|ids| sessions.indices(ids)).transpose();
        Ok(MoveLimit {
            name: limit.name.clone(),
            evenings: evenings.indices(&limit.evenings).with_context(what)?,
            sessions: counts.with_context(what)?,
            at_most: limit.at_most,
        })
    });
    let limits = limits.collect::<Result<_>>()?;
    let session =
        |entry: SessionEntry| MoveSession { id: entry.id, unplaced_cost: entry.unplaced_cost };
    let sessions = file.sessions.into_iter().map(session).collect();
    Ok(MoveProblem { sessions, evenings: file.evenings, costs, limits })
}

/// Names with their places in a list.
struct Names<'a> {
    what: &'static str,
    index: BTreeMap<&'a str, usize>,
}

impl<'a> Names<'a> {
    fn new(what: &'static str, names: impl Iterator<Item = &'a String>) -> Result<Self> {
        let mut index = BTreeMap::new();
        for (place, name) in names.enumerate() {
            if index.insert(name.as_str(), place).is_some() {
                bail!("the {what} `{name}` stands twice");
            }
        }
        Ok(Names { what, index })
    }

    fn index(&self, name: &str) -> Result<usize> {
        let index = self.index.get(name).copied();
        index.with_context(|| format!("there is no {} `{name}`", self.what))
    }

    fn indices(&self, names: &[String]) -> Result<Vec<usize>> {
        names.iter().map(|name| self.index(name)).collect()
    }
}
