//! `fairspell demo`: the invented studio and its hardest evening, in the browser or in the terminal.

use std::{
    fs,
    net::{Ipv4Addr, SocketAddr},
    path::{Path, PathBuf},
    process::ExitCode,
};

use anyhow::{Context, Result};
use clap::Args;
use fairspell_figures::{Size, Theme, evening_svg, rain_map_svg};
use fairspell_studio::{Band, Gate, GateKind, Session, Step};
use fairspell_web::{
    Settings,
    drawing::{evening_figure, rain_map},
    serve,
};
use fairspell_words::{band_name, clock::moment, demo_opening, gate_name, step_name};
use jiff::Timestamp;
use serde::Serialize;

use crate::{
    demo,
    folder::Folder,
    json, letter_command, outlook_command, serve_command,
    standing::Standing,
    terminal::{machine, progress, say, start_log},
    waiting::wait_for,
};

/// The evening that the walk goes through: a dry forecast and a wet sky.
const HARDEST: &str = "2026-09-03-linh";

/// The gates at which the walk stops.
const STOPS: [GateKind; 4] =
    [GateKind::EveningReading, GateKind::MorningReading, GateKind::Chair, GateKind::LeaveBy];

/// Builds the invented studio and opens it in the browser, on the eve of its hardest evening.
#[derive(Args)]
#[expect(clippy::struct_excessive_bools, reason = "each is a switch of the command line")]
pub(crate) struct DemoArguments {
    /// Where to build it
    #[arg(long, value_name = "DIR", default_value = "demo-studio")]
    dir: PathBuf,
    /// The port to listen on at 127.0.0.1; 0 lets the system choose
    #[arg(long, value_name = "P", default_value_t = 8046)]
    port: u16,
    /// Do not open a browser
    #[arg(long)]
    no_browser: bool,
    /// Go through the hardest evening in the terminal instead
    #[arg(long, conflicts_with = "check")]
    walk: bool,
    /// Build everything, print where each session stood, and fail if any part did not work
    #[arg(long)]
    check: bool,
    /// Print JSON (see `fairspell schema demo`)
    #[arg(long)]
    json: bool,
}

/// What is printed; its keys are stable.
#[derive(Serialize)]
struct DemoReport {
    invented: bool,
    folder: PathBuf,
    sessions: Vec<SessionReport>,
}

/// Where one session stood at two of its gates.
#[derive(Serialize)]
struct SessionReport {
    id: String,
    evening_reading: Option<GateReport>,
    chair: Option<GateReport>,
    leave_by: Option<GateReport>,
}

#[derive(Serialize)]
struct GateReport {
    as_of: Timestamp,
    band: Band,
    step: Option<Step>,
    letter_words: Option<usize>,
    remarks: Vec<String>,
}

/// Runs the command.
pub(crate) fn run(arguments: &DemoArguments) -> Result<ExitCode> {
    demo::write(&arguments.dir, &mut |line| progress(line))
        .with_context(|| format!("build the demo in {}", arguments.dir.display()))?;
    let folder = Folder::open(&arguments.dir)?;
    if arguments.check || arguments.json {
        return check(&folder, arguments.json);
    }
    if arguments.walk {
        walk(&folder)?;
    } else {
        serve_it(arguments, &folder)?;
    }
    Ok(ExitCode::SUCCESS)
}

/// Serves the studio with its clock at the eve of the hardest evening.
fn serve_it(arguments: &DemoArguments, folder: &Folder) -> Result<()> {
    start_log();
    let session = folder.session(HARDEST)?;
    let eve = folder.gates(session)?.into_iter().find(|gate| gate.kind == STOPS[0]);
    // The record begins with the season's first gate.
    let mut opened = Timestamp::MAX;
    for session in &folder.sessions {
        opened = folder.gates(session)?.iter().map(|gate| gate.at).fold(opened, Timestamp::min);
    }
    let settings = Settings {
        data: arguments.dir.clone(),
        listen: (Ipv4Addr::LOCALHOST, arguments.port).into(),
        public_url: None,
        is_demo: true,
        clock: eve.map(|gate| gate.at),
    };
    wait_for(async {
        let store = serve_command::open(&arguments.dir, opened).await?;
        if let Some(eve) = settings.clock {
            demo::record::keep(&store, folder, eve).await?;
        }
        let ready = |address: SocketAddr| {
            let url = format!("http://{address}/");
            say(&fairspell_words::serving_demo(&url));
            if !arguments.no_browser && open::that_detached(&url).is_err() {
                say(fairspell_words::NO_BROWSER);
            }
        };
        serve(settings, machine(), store, ready).await?;
        Ok(())
    })
}

/// The hardest evening, gate by gate.
fn walk(folder: &Folder) -> Result<()> {
    let session = folder.session(HARDEST)?;
    let gates = folder.gates(session)?;
    say(fairspell_words::INVENTED);
    say(&demo_opening(&folder.studio.name, &folder.studio.place, session));
    for gate in gates.iter().filter(|gate| STOPS.contains(&gate.kind)) {
        say("");
        say(&heading(folder, gate));
        let standing = Standing::at(folder, &session.id, gate.at)?;
        outlook_command::print_lines(folder, &standing);
        if let Some((_, letter)) = letter_command::write(folder, &standing)? {
            say("");
            letter_command::print_letter(&letter);
        }
    }
    let drawn = draw(folder, session, &gates)?;
    say("");
    for file in drawn {
        say(&fairspell_words::drawn(&file.display().to_string()));
    }
    Ok(())
}

fn heading(folder: &Folder, gate: &Gate) -> String {
    format!("== {}: {} ==", moment(gate.at, &folder.zone), gate_name(gate.kind))
}

/// Draws the evening at leave-by in two sizes, and the rain around the place.
fn draw(folder: &Folder, session: &Session, gates: &[Gate]) -> Result<Vec<PathBuf>> {
    let figures = folder.path.join("figures");
    fs::create_dir_all(&figures).with_context(|| format!("make {}", figures.display()))?;
    let Some(leave_by) = gates.iter().find(|gate| gate.kind == GateKind::LeaveBy) else {
        return Ok(Vec::new());
    };
    let standing = Standing::at(folder, &session.id, leave_by.at)?;
    let evening = evening_figure(standing.drawn(folder));
    let mut pictures = vec![
        ("evening.svg", evening_svg(&evening, Size::Large, Theme::Auto)),
        ("evening-dark.svg", evening_svg(&evening, Size::Large, Theme::Dark)),
        ("evening-small.svg", evening_svg(&evening, Size::Small, Theme::Auto)),
    ];
    let drawn_map = standing
        .seen
        .radar
        .as_ref()
        .and_then(|seen| rain_map(standing.drawn(folder), seen, folder.coast.as_deref()));
    if let Some(map) = drawn_map {
        pictures.push(("rain.svg", rain_map_svg(&map, Theme::Auto)));
    }
    let mut files = Vec::new();
    for (name, svg) in pictures {
        let file = figures.join(format!("{}-{name}", session.id));
        write(&file, &svg)?;
        files.push(file);
    }
    Ok(files)
}

fn write(file: &Path, text: &str) -> Result<()> {
    fs::write(file, text).with_context(|| format!("write {}", file.display()))
}

/// Every session at its evening reading, the chair and leave-by, with its letter and its figure.
fn check(folder: &Folder, as_json: bool) -> Result<ExitCode> {
    let mut sessions = Vec::new();
    let mut all_worked = true;
    if !as_json {
        say(fairspell_words::INVENTED);
        say(&headings());
    }
    for session in &folder.sessions {
        let gates = folder.gates(session)?;
        let report_at = |kind: GateKind| -> Result<Option<GateReport>> {
            let Some(gate) = gates.iter().find(|gate| gate.kind == kind) else { return Ok(None) };
            let standing = Standing::at(folder, &session.id, gate.at)?;
            let written = letter_command::write(folder, &standing)?;
            let figure = evening_figure(standing.drawn(folder));
            let _drawn = evening_svg(&figure, Size::Small, Theme::Light);
            Ok(Some(GateReport {
                as_of: gate.at,
                band: standing.ruling().band,
                step: standing.ruling().step,
                letter_words: written.map(|(_, letter)| letter.body.split_whitespace().count()),
                remarks: standing.remarks,
            }))
        };
        let report = SessionReport {
            id: session.id.clone(),
            evening_reading: report_at(GateKind::EveningReading)?,
            chair: report_at(GateKind::Chair)?,
            leave_by: report_at(GateKind::LeaveBy)?,
        };
        let gates = [&report.evening_reading, &report.chair, &report.leave_by];
        let worked = gates.iter().all(|gate| {
            gate.as_ref().is_some_and(|gate| gate.band != Band::Unknown && gate.remarks.is_empty())
        });
        all_worked &= worked;
        if !as_json {
            say(&line_of(folder, session, &report));
        }
        sessions.push(report);
    }
    draw_all(folder)?;
    if as_json {
        let invented = folder.studio.invented;
        json::print(&DemoReport { invented, folder: folder.path.clone(), sessions })?;
    }
    Ok(if all_worked { ExitCode::SUCCESS } else { ExitCode::FAILURE })
}

fn draw_all(folder: &Folder) -> Result<()> {
    let session = folder.session(HARDEST)?;
    let gates = folder.gates(session)?;
    draw(folder, session, &gates).map(|_| ())
}

/// The columns of the check: a session, and where it stood at three of its gates.
const COLUMNS: [(GateKind, usize); 3] =
    [(GateKind::EveningReading, 34), (GateKind::Chair, 28), (GateKind::LeaveBy, 0)];

fn headings() -> String {
    let columns = COLUMNS.map(|(kind, width)| format!("{:<width$}", gate_name(kind)));
    format!("{:<22}{}", "", columns.concat())
}

fn line_of(folder: &Folder, session: &Session, report: &SessionReport) -> String {
    let stands = |gate: &Option<GateReport>| {
        let Some(gate) = gate else { return String::new() };
        let step = gate.step.map(|step| format!(", {}", step_name(step, &folder.zone)));
        format!("{}{}", band_name(gate.band), step.unwrap_or_default())
    };
    let gates = [&report.evening_reading, &report.chair, &report.leave_by];
    let columns: Vec<String> = COLUMNS
        .into_iter()
        .zip(gates)
        .map(|((_, width), gate)| format!("{:<width$}", stands(gate)))
        .collect();
    format!("{:<22}{}", session.id, columns.concat()).trim_end().to_owned()
}
