//! `fairspell sun`: what the sun does at a place on a date.

use std::{path::PathBuf, process::ExitCode};

use anyhow::{Result, bail};
use clap::Args;
use fairspell_almanac::{
    CIVIL_TWILIGHT_DEG, Direction, NAUTICAL_TWILIGHT_DEG, PhaseBounds, SUNRISE_DEG, SunPhase,
    crossings, direct_light_spans,
    moon::{MoonPhase, moon_phase},
    phases, solar_noon, sun_position,
};
use fairspell_ground::{LatLon, Skyline};
use fairspell_words::{SunTold, sun_lines};
use jiff::{Timestamp, ToSpan, civil::Date, tz::TimeZone};
use serde::Serialize;

use crate::{
    json::{self, rounded},
    local_time::{local, zone_named},
    skyline_file::read_skyline_file,
    terminal::say,
};

/// More positions than these are no list to read.
const POSITIONS_MAX: i64 = 100_000;

/// What the sun does at a place on a date.
#[derive(Args)]
pub(crate) struct SunArguments {
    /// The place: degrees north, degrees east
    #[arg(long, value_name = "LAT,LON", allow_hyphen_values = true)]
    at: LatLon,
    /// The zone of the clock, such as Australia/Sydney
    #[arg(long, value_name = "TZ", value_parser = zone_named)]
    zone: TimeZone,
    /// The date, such as 2026-09-03
    #[arg(long, value_name = "D")]
    date: Date,
    /// What stands around the place: JSON as in studio.json, or CSV with `azimuth_deg,height_deg`
    #[arg(long, value_name = "FILE")]
    skyline: Option<PathBuf>,
    /// From one position to the next, minutes
    #[arg(long, value_name = "MIN", default_value_t = 60, value_parser = clap::value_parser!(u32).range(1..=1440))]
    step: u32,
    /// Print JSON (see `fairspell schema sun`)
    #[arg(long)]
    json: bool,
}

/// What is printed; its keys are stable.
#[derive(Serialize)]
struct SunReport {
    at: LatLon,
    zone: String,
    date: Date,
    sunrise: Option<String>,
    sunset: Option<String>,
    civil_dawn: Option<String>,
    civil_dusk: Option<String>,
    nautical_dawn: Option<String>,
    nautical_dusk: Option<String>,
    solar_noon: String,
    /// `above` or `below` where the sun stays on one side of the horizon all day.
    always: Option<&'static str>,
    /// All of them, where there are several or none.
    sunrises: Vec<String>,
    sunsets: Vec<String>,
    phases: Vec<PhaseReport>,
    direct_light: Vec<SpanReport>,
    moon: MoonReport,
    positions: Vec<PositionReport>,
}

#[derive(Serialize)]
struct PhaseReport {
    phase: SunPhase,
    from: String,
    to: String,
}

#[derive(Serialize)]
struct SpanReport {
    from: String,
    to: String,
}

#[derive(Serialize)]
struct MoonReport {
    illuminated_fraction: f64,
    age_days: f64,
}

#[derive(Serialize)]
struct PositionReport {
    time: String,
    azimuth_deg: f64,
    elevation_deg: f64,
    apparent_elevation_deg: f64,
}

/// Runs the command.
pub(crate) fn run(arguments: &SunArguments) -> Result<ExitCode> {
    let SunArguments { at, zone, date, step, .. } = arguments;
    let (at, date) = (*at, *date);
    let skyline = match &arguments.skyline {
        Some(file) => read_skyline_file(file)?,
        None => Skyline::default(),
    };
    let midnight = |date: Date| zone.to_timestamp(date.at(0, 0, 0, 0));
    let (from, to) = (midnight(date)?, midnight(date.tomorrow()?)?);
    let passes = |elevation_deg, direction| crossings(date, zone, at, elevation_deg, direction);
    let sunrises = passes(SUNRISE_DEG, Direction::Rising);
    let sunsets = passes(SUNRISE_DEG, Direction::Setting);
    let noon = solar_noon(date, zone, at);
    let always = (sunrises.is_empty() && sunsets.is_empty()).then(|| {
        let is_up = sun_position(noon, at).elevation_deg > SUNRISE_DEG;
        if is_up { "above" } else { "below" }
    });
    let light = direct_light_spans(from, to, at, &skyline);
    let phases = phases(date, zone, at, PhaseBounds::default());
    if arguments.json {
        let first = |elevation_deg| {
            passes(elevation_deg, Direction::Rising).first().map(|at| local(*at, zone))
        };
        let last = |elevation_deg| {
            passes(elevation_deg, Direction::Setting).last().map(|at| local(*at, zone))
        };
        let MoonPhase { illuminated_fraction, age_days, .. } = moon_phase(noon);
        let report = SunReport {
            at,
            zone: zone.iana_name().unwrap_or_default().to_owned(),
            date,
            sunrise: first(SUNRISE_DEG),
            sunset: last(SUNRISE_DEG),
            civil_dawn: first(CIVIL_TWILIGHT_DEG),
            civil_dusk: last(CIVIL_TWILIGHT_DEG),
            nautical_dawn: first(NAUTICAL_TWILIGHT_DEG),
            nautical_dusk: last(NAUTICAL_TWILIGHT_DEG),
            solar_noon: local(noon, zone),
            always,
            sunrises: sunrises.iter().map(|at| local(*at, zone)).collect(),
            sunsets: sunsets.iter().map(|at| local(*at, zone)).collect(),
            phases: phases
                .iter()
                .map(|span| PhaseReport {
                    phase: span.phase,
                    from: local(span.from, zone),
                    to: local(span.to, zone),
                })
                .collect(),
            direct_light: light
                .iter()
                .map(|(from, to)| SpanReport { from: local(*from, zone), to: local(*to, zone) })
                .collect(),
            moon: MoonReport {
                illuminated_fraction: rounded(illuminated_fraction),
                age_days: rounded(age_days),
            },
            positions: positions(from, to, *step, at, zone)?,
        };
        return json::print(&report).map(|()| ExitCode::SUCCESS);
    }
    let of = |phase| phases.iter().filter(move |span| span.phase == phase);
    let told = SunTold {
        date,
        zone,
        sunrises: &sunrises,
        sunsets: &sunsets,
        is_always_up: always.map(|side| side == "above"),
        golden: of(SunPhase::Golden).map(|span| (span.from, span.to)).collect(),
        blue: of(SunPhase::Blue).map(|span| (span.from, span.to)).collect(),
        direct: arguments.skyline.is_some().then_some(light),
        noon,
        moon_lit: moon_phase(noon).illuminated_fraction,
    };
    for line in sun_lines(&told) {
        say(&line);
    }
    Ok(ExitCode::SUCCESS)
}

fn positions(
    from: Timestamp,
    to: Timestamp,
    step_min: u32,
    at: LatLon,
    zone: &TimeZone,
) -> Result<Vec<PositionReport>> {
    let minutes = to.duration_since(from).as_mins();
    let count = (minutes - 1) / i64::from(step_min) + 1;
    if count > POSITIONS_MAX {
        bail!("--step {step_min}: more than {POSITIONS_MAX} positions");
    }
    let moments = (0..count).map(|index| from + (index * i64::from(step_min)).minutes());
    Ok(moments
        .map(|moment| {
            let sun = sun_position(moment, at);
            PositionReport {
                time: local(moment, zone),
                azimuth_deg: rounded(sun.azimuth_deg),
                elevation_deg: rounded(sun.elevation_deg),
                apparent_elevation_deg: rounded(sun.apparent_elevation_deg),
            }
        })
        .collect())
}
