//! `fairspell tide`: how high the water stands, and when a spot can be used.

use std::{fs, path::PathBuf, process::ExitCode};

use anyhow::{Context, Result, bail};
use clap::Args;
use fairspell_almanac::tide::{
    HarmonicConstants, HarmonicTide, NodalCorrection, Tide, TideKind, TideLimits, TideTable,
};
use fairspell_words::{TideTold, tide_lines};
use jiff::{Timestamp, tz::TimeZone};
use serde::Serialize;

use crate::{
    json::{self, rounded},
    local_time::{local, moment, zone_named},
    terminal::say,
};

/// More heights than these are no list to read: half a year of minutes.
const HEIGHTS_MAX: i64 = 262_800;

/// More days than these are no tide to read.
const DAYS_MAX: i64 = 731;

/// How high the water stands, and when a spot can be used.
#[derive(Args)]
pub(crate) struct TideArguments {
    /// Harmonic constants of the place (see `fairspell schema tide-constants`)
    #[arg(long, value_name = "FILE", required_unless_present = "table")]
    constants: Option<PathBuf>,
    /// A table of high and low waters: CSV with `time,height_m`
    #[arg(long, value_name = "FILE", conflicts_with = "constants")]
    table: Option<PathBuf>,
    /// The zone of the clock, for times without an offset and for what is printed
    #[arg(long, value_name = "TZ", value_parser = zone_named, default_value = "UTC")]
    zone: TimeZone,
    /// The first moment: RFC 3339, or by the zone's clock
    #[arg(long, value_name = "T")]
    from: String,
    /// The last moment
    #[arg(long, value_name = "T")]
    to: String,
    /// From one height to the next, minutes
    #[arg(long, value_name = "MIN", default_value_t = 60)]
    step: u32,
    /// A spot needs this much water, m
    #[arg(long, value_name = "M", allow_hyphen_values = true)]
    usable_from: Option<f64>,
    /// A spot is under water above this, m
    #[arg(long, value_name = "M", allow_hyphen_values = true)]
    usable_to: Option<f64>,
    /// Print JSON (see `fairspell schema tide`)
    #[arg(long)]
    json: bool,
}

/// What is printed; its keys are stable.
#[derive(Serialize)]
struct TideReport {
    name: Option<String>,
    datum: Option<String>,
    nodal: Option<NodalCorrection>,
    from: String,
    to: String,
    heights: Vec<HeightReport>,
    extremes: Vec<ExtremeReport>,
    usable: Option<Vec<SpanReport>>,
}

#[derive(Serialize)]
struct HeightReport {
    time: String,
    height_m: f64,
}

#[derive(Serialize)]
struct ExtremeReport {
    time: String,
    height_m: f64,
    kind: TideKind,
}

#[derive(Serialize)]
struct SpanReport {
    from: String,
    to: String,
}

/// Runs the command.
pub(crate) fn run(arguments: &TideArguments) -> Result<ExitCode> {
    let zone = &arguments.zone;
    let from = moment(&arguments.from, zone).context("--from")?;
    let to = moment(&arguments.to, zone).context("--to")?;
    if to <= from {
        bail!(
            "--to {}: the last moment has to be after the first, {}",
            arguments.to,
            arguments.from
        );
    }
    if to.duration_since(from).as_hours() > 24 * DAYS_MAX {
        bail!("--to {}: more than two years at once", arguments.to);
    }
    if arguments.step == 0 {
        bail!("--step 0: heights need a step of at least a minute");
    }
    let count = to.duration_since(from).as_mins() / i64::from(arguments.step) + 1;
    if count > HEIGHTS_MAX {
        bail!("--step {}: more than {HEIGHTS_MAX} heights", arguments.step);
    }
    let limits = TideLimits {
        usable_from_m: limit("--usable-from", arguments.usable_from)?,
        usable_to_m: limit("--usable-to", arguments.usable_to)?,
    };
    if let (Some(least), Some(most)) = (limits.usable_from_m, limits.usable_to_m)
        && least > most
    {
        bail!("--usable-to {most}: lies below --usable-from {least}");
    }
    let (tide, about) = read(arguments, zone)?;
    if tide.height_m(from).is_none() || tide.height_m(to).is_none() {
        let known = tide.known(from, to);
        let reaches = known.map_or_else(
            || "none of these hours".to_owned(),
            |span| format!("{} to {}", local(span.from, zone), local(span.to, zone)),
        );
        bail!("the table does not reach all of these hours; of them it knows {reaches}");
    }
    let step_s = arguments.step * 60;
    let heights = tide.heights_m(from, step_s, usize::try_from(count)?);
    let at = |index: usize| -> Result<Timestamp> {
        let seconds = i64::try_from(index)? * i64::from(step_s);
        Ok(Timestamp::from_second(from.as_second() + seconds)?)
    };
    let has_limit = limits != TideLimits::default();
    let usable = has_limit.then(|| tide.usable(limits, from, to));
    let extremes = tide.extremes(from, to);
    if !arguments.json {
        let told = TideTold {
            name: about.as_ref().map(|constants| constants.name.as_str()),
            datum: about.as_ref().map(|constants| constants.datum.as_str()),
            zone,
            turns: extremes
                .iter()
                .map(|turn| (turn.time, turn.height_m, turn.kind == TideKind::High))
                .collect(),
            usable: usable.map(|spans| spans.iter().map(|span| (span.from, span.to)).collect()),
        };
        for line in tide_lines(&told) {
            say(&line);
        }
        return Ok(ExitCode::SUCCESS);
    }
    let heights = heights.iter().enumerate().map(|(index, height_m)| {
        Ok(HeightReport { time: local(at(index)?, zone), height_m: rounded(*height_m) })
    });
    json::print(&TideReport {
        name: about.as_ref().map(|constants| constants.name.clone()),
        datum: about.as_ref().map(|constants| constants.datum.clone()),
        nodal: about.map(|constants| constants.nodal),
        from: local(from, zone),
        to: local(to, zone),
        heights: heights.collect::<Result<_>>()?,
        extremes: extremes
            .iter()
            .map(|turn| ExtremeReport {
                time: local(turn.time, zone),
                height_m: rounded(turn.height_m),
                kind: turn.kind,
            })
            .collect(),
        usable: usable.map(|spans| {
            let span = |span: &fairspell_almanac::tide::TideSpan| SpanReport {
                from: local(span.from, zone),
                to: local(span.to, zone),
            };
            spans.iter().map(span).collect()
        }),
    })?;
    Ok(ExitCode::SUCCESS)
}

fn limit(name: &str, height_m: Option<f64>) -> Result<Option<f64>> {
    match height_m {
        Some(odd) if !(-50.0..=50.0).contains(&odd) => {
            bail!("{name} {odd}: heights are metres from -50 to 50")
        }
        height_m => Ok(height_m),
    }
}

/// The tide, and its constants where it has some.
fn read(arguments: &TideArguments, zone: &TimeZone) -> Result<(Tide, Option<HarmonicConstants>)> {
    if let Some(file) = &arguments.table {
        let read = || -> Result<TideTable> {
            Ok(TideTable::from_csv(&fs::read_to_string(file)?, Some(zone))?)
        };
        let table = read().with_context(|| format!("read the table {}", file.display()))?;
        return Ok((Tide::Table(table), None));
    }
    let file = arguments.constants.as_ref().context("no --constants and no --table")?;
    let read = || -> Result<(HarmonicTide, HarmonicConstants)> {
        let constants: HarmonicConstants = serde_json::from_str(&fs::read_to_string(file)?)?;
        Ok((HarmonicTide::new(&constants)?, constants))
    };
    let read = read().with_context(|| format!("read the constants {}", file.display()))?;
    Ok((Tide::Harmonic(read.0), Some(read.1)))
}
