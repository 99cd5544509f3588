//! `fairspell climate`: what past evenings were like at a place, and records of rain taken in.

use std::{path::PathBuf, process::ExitCode};

use anyhow::{Context, Result};
use clap::{Args, Subcommand};
use fairspell_chance::{
    Counts, Probability,
    climate::{DEFAULT_WEIGHT, difference_range},
};
use fairspell_feeds::{ImportedClimate, climate_records, import_climate, speaking_record};
use fairspell_ground::LatLon;
use fairspell_plan::{
    ClimateQuestion, ClimateSeen, EveningClimate,
    climate::{DaySeries, P_RAIN_DEFAULT, WET_MM},
    evening_climate, evening_climate_unseen,
};
use fairspell_weather::observed::ObservedRemark;
use fairspell_words::{
    ClimateKeptTold, ClimateSeenTold, ClimateTold, DaysTold, StationTold, climate_kept_lines,
    climate_lines,
};
use jiff::{
    civil::{Date, Time},
    tz::TimeZone,
};
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use serde::Serialize;

use crate::{
    folder::Folder,
    json,
    season_sky::radar_records,
    terminal::{complain, say},
    typed::time,
};

mod report;

use report::report;

/// Redrawn records behind a range, and where their dice begin: the same input, the same answer.
const DRAWS: usize = 2000;
const SEED: u64 = 1;

/// For so many hours after the window it is said whether rain went on.
const AFTER_TOLD: i64 = 2;

/// What past evenings were like at a place.
#[derive(Args)]
#[command(args_conflicts_with_subcommands = true, subcommand_negates_reqs = true)]
pub(crate) struct ClimateArguments {
    #[command(subcommand)]
    what: Option<What>,
    #[command(flatten)]
    ask: Option<AskArguments>,
}

#[derive(Subcommand)]
enum What {
    /// Takes in an archived record of rain, as it was received
    Import(ImportArguments),
}

#[derive(Args)]
struct AskArguments {
    /// The studio's folder
    #[arg(long, value_name = "DIR")]
    data: PathBuf,
    /// The month, 1 to 12
    #[arg(long, value_name = "M", value_parser = clap::value_parser!(i8).range(1..=12))]
    month: i8,
    /// When the hours begin, by the studio's clock
    #[arg(long, value_name = "HH:MM", value_parser = time)]
    from: Time,
    /// When they end; not after --from means on the next day
    #[arg(long, value_name = "HH:MM", value_parser = time)]
    to: Time,
    /// So many days before and after the month count as well; from 183 on it is the whole year
    #[arg(long, value_name = "N", default_value_t = 0)]
    days_around: u16,
    /// The place, where it is not the studio's home: degrees north, degrees east
    #[arg(long, value_name = "LAT,LON", allow_hyphen_values = true)]
    at: Option<LatLon>,
    /// Print JSON (see `fairspell schema climate`)
    #[arg(long)]
    json: bool,
}

#[derive(Args)]
struct ImportArguments {
    /// GHCN-Daily (.dly, or CSV), hourly New York airports, or CSV with `time,rain_amount_mm`
    file: PathBuf,
    /// The studio's folder
    #[arg(long, value_name = "DIR")]
    data: PathBuf,
    /// Which station, where the file holds several; what to call it, where it names none
    #[arg(long, value_name = "ID")]
    station: Option<String>,
    /// Where the station stands, where the file does not say: degrees north, degrees east
    #[arg(long, value_name = "LAT,LON", allow_hyphen_values = true)]
    at: Option<LatLon>,
    /// Print JSON (see `fairspell schema climate-import`)
    #[arg(long)]
    json: bool,
}

/// Runs the command.
pub(crate) fn run(arguments: &ClimateArguments) -> Result<ExitCode> {
    match (&arguments.what, &arguments.ask) {
        (Some(What::Import(arguments)), _) => import(arguments),
        (None, Some(arguments)) => ask(arguments),
        (None, None) => unreachable!("clap asks for one of them"),
    }
}

/// What is printed of a record that was taken in; its keys are stable.
#[derive(Serialize)]
struct ImportReport<'a> {
    station: &'a str,
    name: Option<&'a str>,
    position: Option<LatLon>,
    record: &'static str,
    known: usize,
    first: Option<Date>,
    last: Option<Date>,
    file: String,
    replaced: bool,
    remarks: &'a [ObservedRemark],
}

fn import(arguments: &ImportArguments) -> Result<ExitCode> {
    anyhow::ensure!(arguments.data.is_dir(), "there is no folder {}", arguments.data.display());
    let station = arguments.station.as_deref();
    let imported = import_climate(&arguments.data, &arguments.file, station, arguments.at)
        .with_context(|| format!("take in {}", arguments.file.display()))?;
    let ImportedClimate { record, file, replaced, remarks } = &imported;
    let span = record.record.span();
    let is_hourly = record.record.is_hourly();
    let file = file.display().to_string();
    if arguments.json {
        json::print(&ImportReport {
            station: &record.station,
            name: record.name.as_deref(),
            position: record.position,
            record: kind(is_hourly),
            known: record.record.known(),
            first: span.map(|(first, _)| first),
            last: span.map(|(_, last)| last),
            file,
            replaced: *replaced,
            remarks,
        })?;
        return Ok(ExitCode::SUCCESS);
    }
    let told = ClimateKeptTold {
        station: &record.station,
        name: record.name.as_deref(),
        is_placed: record.position.is_some(),
        known: record.record.known(),
        is_hourly,
        span,
        replaced: *replaced,
        file: &file,
        remarks: remarks.iter().map(ToString::to_string).collect(),
    };
    for line in climate_kept_lines(&told) {
        say(&line);
    }
    Ok(ExitCode::SUCCESS)
}

fn kind(is_hourly: bool) -> &'static str {
    if is_hourly { "hourly" } else { "daily" }
}

fn ask(arguments: &AskArguments) -> Result<ExitCode> {
    let folder = Folder::open(&arguments.data)?;
    let place = arguments.at.unwrap_or(folder.studio.home);
    let question = ClimateQuestion {
        month: arguments.month,
        from: arguments.from,
        to: arguments.to,
        days_around: arguments.days_around,
    };
    let records = climate_records(&folder.path).context("read the records of rain")?;
    for remark in &records.remarks {
        complain(remark);
    }
    let chosen = folder.studio.season.rain_station.as_deref().filter(|_| arguments.at.is_none());
    let radar = radar_records(&folder)?;
    let near = speaking_record(&records.value, &radar, place, chosen);
    let climate = near.map_or_else(
        || evening_climate_unseen(&question),
        |near| evening_climate(near.record, &folder.zone, &question),
    );
    let distance_km = near.and_then(|near| near.distance_km);
    if arguments.json {
        json::print(&report(&climate, place, distance_km, &folder.zone))?;
    } else {
        let told = told(&climate, distance_km, &folder.zone);
        for line in climate_lines(&told) {
            say(&line);
        }
    }
    Ok(ExitCode::SUCCESS)
}

/// How far what follows a wet day and what follows a dry one could differ by chance.
fn next_day_range(days: &DaySeries) -> Option<(f64, f64)> {
    difference_range(&days.outcomes, 1, DRAWS, &mut ChaCha8Rng::seed_from_u64(SEED))
}

fn told<'a>(
    climate: &'a EveningClimate,
    distance_km: Option<f64>,
    zone: &'a TimeZone,
) -> ClimateTold<'a> {
    let question = &climate.question;
    let station = climate.station.as_ref().map(|station| StationTold {
        station: &station.station,
        name: station.name.as_deref(),
        distance_km,
        span: station.span,
        years: station.years,
    });
    let seen = match &climate.seen {
        ClimateSeen::Window(window) => ClimateSeenTold::Hours {
            days: days_told(&window.days),
            gaps: window
                .gaps
                .as_ref()
                .map(|gaps| Counts { known: gaps.wet.windows, wet: gaps.wet.with_dry_hour }),
            after: window
                .after
                .iter()
                .find(|after| after.hours == AFTER_TOLD)
                .map(|after| (after.hours, after.after_wet, after.after_dry)),
        },
        ClimateSeen::WholeDays(days) => {
            ClimateSeenTold::WholeDays { days: days_told(days), p_rain: days.p_rain }
        }
        ClimateSeen::Nothing => ClimateSeenTold::Nothing,
    };
    ClimateTold {
        month: question.month,
        days_around: question.days_around,
        hours: (question.from, question.to),
        zone: zone.iana_name(),
        least_mm: WET_MM,
        p_rain: climate.p_rain,
        assumed: (Probability::clamped(P_RAIN_DEFAULT), DEFAULT_WEIGHT),
        station,
        seen,
    }
}

fn days_told(days: &DaySeries) -> DaysTold<'_> {
    DaysTold {
        counts: days.counts,
        unknown: days.unknown,
        persistence: &days.persistence,
        difference_range: next_day_range(days),
    }
}
