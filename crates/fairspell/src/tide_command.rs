//! `fairspell tide`: how high the water stands, and when a spot can be used.

use std::{fs, path::PathBuf, process::ExitCode};

use anyhow::{Context, Result, bail};
use clap::Args;
use fairspell_almanac::tide::{
    HarmonicConstants, HarmonicTide, HighOrLow, NodalCorrection, Tide, TideKind, TideLimits,
    TideSpan, TideTable,
};
use fairspell_words::{TideSourceTold, TideTold, tide_lines};
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

/// A longer step shows nothing of a tide: a day, minutes.
const STEP_MAX_MIN: u32 = 1440;

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
    /// Up to here a spot has all its room, m; above it narrows
    #[arg(long, value_name = "M", allow_hyphen_values = true)]
    wide_to: Option<f64>,
    /// Print JSON (see `fairspell schema tide`)
    #[arg(long)]
    json: bool,
}

/// What is printed; its keys are stable.
#[derive(Serialize)]
struct TideReport {
    name: Option<String>,
    datum: Option<String>,
    zone: String,
    source: &'static str,
    nodal: Option<NodalCorrection>,
    from: String,
    to: String,
    heights: Vec<HeightReport>,
    extremes: Vec<ExtremeReport>,
    usable: Option<Vec<SpanReport>>,
    wide: Option<Vec<SpanReport>>,
}

#[derive(Serialize)]
struct HeightReport {
    time: String,
    height_m: f64,
    rising: bool,
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

/// What was found in the hours that were asked for.
struct Found {
    /// When, how high in metres, whether the water rises.
    heights: Vec<(Timestamp, f64, bool)>,
    turns: Vec<HighOrLow>,
    usable: Option<Vec<TideSpan>>,
    wide: Option<Vec<TideSpan>>,
}

/// Runs the command.
pub(crate) fn run(arguments: &TideArguments) -> Result<ExitCode> {
    let zone = &arguments.zone;
    let (from, to) = hours(arguments)?;
    let (limits, wide) = limits(arguments)?;
    let (tide, constants) = read(arguments, zone)?;
    if tide.height_m(from).is_none() || tide.height_m(to).is_none() {
        let known = tide.known(from, to);
        let reaches = known.map_or_else(
            || "none of these hours".to_owned(),
            |span| format!("{} to {}", local(span.from, zone), local(span.to, zone)),
        );
        bail!("the table does not reach all of these hours; of them it knows {reaches}");
    }
    let is_asked = |limits: &TideLimits| *limits != TideLimits::default();
    let spans = |limits: TideLimits| is_asked(&limits).then(|| tide.usable(limits, from, to));
    let found = Found {
        heights: heights(&tide, from, to, arguments.step)?,
        turns: tide.extremes(from, to),
        usable: spans(limits),
        wide: spans(wide),
    };
    if arguments.json {
        json::print(&report(arguments, (from, to), constants.as_ref(), &found))?;
    } else {
        for line in tide_lines(&told(zone, &tide, constants.as_ref(), &found)) {
            say(&line);
        }
    }
    Ok(ExitCode::SUCCESS)
}

/// The first and the last moment.
fn hours(arguments: &TideArguments) -> Result<(Timestamp, Timestamp)> {
    let from = moment(&arguments.from, &arguments.zone).context("--from")?;
    let to = moment(&arguments.to, &arguments.zone).context("--to")?;
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
    if !(1..=STEP_MAX_MIN).contains(&arguments.step) {
        bail!("--step {}: heights need a step from 1 to {STEP_MAX_MIN} minutes", arguments.step);
    }
    if to.duration_since(from).as_mins() / i64::from(arguments.step) + 1 > HEIGHTS_MAX {
        bail!("--step {}: more than {HEIGHTS_MAX} heights", arguments.step);
    }
    Ok((from, to))
}

/// Between which heights a spot can be used, and between which it has all its room.
fn limits(arguments: &TideArguments) -> Result<(TideLimits, TideLimits)> {
    let usable_from_m = limit("--usable-from", arguments.usable_from)?;
    let usable_to_m = limit("--usable-to", arguments.usable_to)?;
    let wide_to_m = limit("--wide-to", arguments.wide_to)?;
    let lies_below = |lower: Option<f64>, upper: Option<f64>| {
        lower.zip(upper).filter(|(lower, upper)| lower < upper)
    };
    if let Some((most, least)) = lies_below(usable_to_m, usable_from_m) {
        bail!("--usable-to {most}: lies below --usable-from {least}");
    }
    if let Some((wide, least)) = lies_below(wide_to_m, usable_from_m) {
        bail!("--wide-to {wide}: lies below --usable-from {least}");
    }
    if let Some((most, wide)) = lies_below(usable_to_m, wide_to_m) {
        bail!("--wide-to {wide}: lies above --usable-to {most}");
    }
    let usable = TideLimits { usable_from_m, usable_to_m };
    let wide = wide_to_m.map(|wide_to_m| TideLimits { usable_to_m: Some(wide_to_m), ..usable });
    Ok((usable, wide.unwrap_or_default()))
}

fn limit(name: &str, height_m: Option<f64>) -> Result<Option<f64>> {
    match height_m {
        Some(odd) if !(-50.0..=50.0).contains(&odd) => {
            bail!("{name} {odd}: heights are metres from -50 to 50")
        }
        height_m => Ok(height_m),
    }
}

/// Heights at even steps, and whether the water then rises.
fn heights(
    tide: &Tide,
    from: Timestamp,
    to: Timestamp,
    step_min: u32,
) -> Result<Vec<(Timestamp, f64, bool)>> {
    let step_s = i64::from(step_min) * 60;
    let count = to.duration_since(from).as_secs() / step_s + 1;
    let heights_m = tide.heights_m(from, step_min * 60, usize::try_from(count)?);
    let steps = (0_i64..).zip(heights_m).map(|(step, height_m)| {
        let at = Timestamp::from_millisecond(from.as_millisecond() + step * step_s * 1000)?;
        Ok((at, height_m, tide.rate_m_h(at).is_some_and(|rate_m_h| rate_m_h > 0.0)))
    });
    steps.collect()
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

fn told<'a>(
    zone: &'a TimeZone,
    tide: &'a Tide,
    constants: Option<&'a HarmonicConstants>,
    found: &Found,
) -> TideTold<'a> {
    let source = match (tide, constants) {
        (Tide::Table(table), _) => {
            let rows = table.rows();
            let date = |row: Option<&HighOrLow>| {
                zone.to_datetime(row.map_or(Timestamp::UNIX_EPOCH, |row| row.time)).date()
            };
            TideSourceTold::Table {
                rows: rows.len(),
                dates: (date(rows.first()), date(rows.last())),
            }
        }
        (Tide::Harmonic(tide), constants) => TideSourceTold::Constants {
            name: constants.map_or(tide.name(), |constants| constants.name.as_str()),
            datum: constants.map_or("", |constants| constants.datum.as_str()),
            waves: constants.map_or(0, |constants| constants.constituents.len()),
            follows_the_moons_years: constants
                .is_some_and(|constants| constants.nodal == NodalCorrection::Standard),
        },
    };
    let spans = |spans: &Option<Vec<TideSpan>>| {
        let spans = spans.as_ref()?;
        Some(spans.iter().map(|span| (span.from, span.to)).collect())
    };
    let turn = |turn: &HighOrLow| (turn.time, turn.height_m, turn.kind == TideKind::High);
    TideTold {
        source,
        zone,
        turns: found.turns.iter().map(turn).collect(),
        heights: found.heights.clone(),
        usable: spans(&found.usable),
        wide: spans(&found.wide),
    }
}

fn report(
    arguments: &TideArguments,
    (from, to): (Timestamp, Timestamp),
    constants: Option<&HarmonicConstants>,
    found: &Found,
) -> TideReport {
    let zone = &arguments.zone;
    let height = |(at, height_m, rising): &(Timestamp, f64, bool)| HeightReport {
        time: local(*at, zone),
        height_m: rounded(*height_m),
        rising: *rising,
    };
    let extreme = |turn: &HighOrLow| ExtremeReport {
        time: local(turn.time, zone),
        height_m: rounded(turn.height_m),
        kind: turn.kind,
    };
    let span =
        |span: &TideSpan| SpanReport { from: local(span.from, zone), to: local(span.to, zone) };
    let spans = |spans: &Option<Vec<TideSpan>>| {
        let spans = spans.as_ref()?;
        Some(spans.iter().map(span).collect())
    };
    TideReport {
        name: constants.map(|constants| constants.name.clone()),
        datum: constants.map(|constants| constants.datum.clone()),
        zone: zone.iana_name().unwrap_or_default().to_owned(),
        source: if constants.is_some() { "constants" } else { "table" },
        nodal: constants.map(|constants| constants.nodal),
        from: local(from, zone),
        to: local(to, zone),
        heights: found.heights.iter().map(height).collect(),
        extremes: found.turns.iter().map(extreme).collect(),
        usable: spans(&found.usable),
        wide: spans(&found.wide),
    }
}
