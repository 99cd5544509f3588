//! `fairspell rain`: what radar pictures tell of one place, or many, in the next hours.

use std::{path::PathBuf, process::ExitCode, str::FromStr};

use anyhow::{Result, bail};
use clap::Args;
use fairspell_feeds::{
    frames::{Look, read_look},
    readings::files_in,
    record_file::corrected,
};
use fairspell_ground::LatLon;
use fairspell_nowcast::{Nowcast, NowcastError, Spot, ZR};
use fairspell_studio::Span;
use fairspell_words::{RainTold, rain_lines};
use jiff::{Timestamp, Unit};
use rayon::prelude::*;
use serde::Serialize;

use crate::{
    json::{self, rounded},
    points,
    terminal::{Counter, Lines, now, say},
};

/// Places that are answered side by side before their lines are printed: enough to keep all
/// processors busy, and few enough that the lines fit into a few megabytes.
const POINTS_AT_ONCE: usize = 256;

/// How far around the place the sky's busyness is counted, km.
const BUSY_RADIUS_KM: f64 = fairspell_plan::outlook::BUSY_RADIUS_KM;

/// What radar pictures tell of one place in the next hours.
#[derive(Args)]
pub(crate) struct RainArguments {
    /// The folder with the radar pictures: GRIB2, ODIM HDF5 or CF NetCDF, as the services publish them
    #[arg(long, value_name = "DIR")]
    frames: PathBuf,
    /// The place, decimal degrees north and east; south and west are negative
    #[arg(
        long,
        value_name = "LAT,LON",
        allow_hyphen_values = true,
        required_unless_present = "points"
    )]
    at: Option<LatLon>,
    /// The moment of the question (RFC 3339); pictures later than this are never read. Now when left
    /// out
    #[arg(long, value_name = "T", default_value_t = now(), hide_default_value = true)]
    issued: Timestamp,
    /// Hours to ask about (RFC 3339); can be given several times
    #[arg(long, value_name = "FROM/TO")]
    window: Vec<Window>,
    /// Length of the dry gap, minutes
    #[arg(long, value_name = "MIN", default_value_t = 25.0)]
    gap: f64,
    /// Many places instead of one: a CSV file with the header `lat,lon`; one JSON line each, in order,
    /// and a row that is no place has a line that says so
    #[arg(long, value_name = "CSV", conflicts_with = "at")]
    points: Option<PathBuf>,
    /// How reflectivity becomes rain rate where the pictures hold reflectivity: Z = A R^B
    #[arg(long, value_name = "A,B", default_value_t = ZR::default())]
    zr: ZR,
    /// Print JSON (see `fairspell schema rain`)
    #[arg(long)]
    json: bool,
}

/// Hours as somebody typed them.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Window {
    from: Timestamp,
    to: Timestamp,
}

impl FromStr for Window {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let (from, to) = text
            .split_once('/')
            .ok_or_else(|| format!("expected FROM/TO, two RFC 3339 times, found `{text}`"))?;
        let time =
            |part: &str| part.parse::<Timestamp>().map_err(|error| format!("`{part}`: {error}"));
        let (from, to) = (time(from)?, time(to)?);
        if from >= to {
            return Err(format!("the hours `{text}` end before they begin"));
        }
        Ok(Window { from, to })
    }
}

/// What is printed; its keys are stable.
#[derive(Debug, Serialize)]
struct RainReport {
    issued: Timestamp,
    /// `None`: the row of the list of places is none.
    at: Option<LatLon>,
    frames_used: usize,
    frame_age_min: Option<f64>,
    wet_share: Option<f64>,
    windows: Vec<WindowReport>,
    minutes: Vec<MinuteReport>,
    onset: Option<OnsetReport>,
    remarks: Vec<String>,
}

#[derive(Debug, Serialize)]
struct WindowReport {
    from: Timestamp,
    to: Timestamp,
    p_rain: Option<f64>,
    p_gap: Option<f64>,
}

#[derive(Debug, Serialize)]
struct MinuteReport {
    time: Timestamp,
    p_rain: Option<f64>,
    rain_rate_mm_h: Option<f64>,
}

#[derive(Debug, Serialize)]
struct OnsetReport {
    p10: Timestamp,
    p50: Timestamp,
    p90: Timestamp,
}

/// Runs the command.
pub(crate) fn run(arguments: &RainArguments) -> Result<ExitCode> {
    if !(arguments.gap.is_finite() && arguments.gap > 0.0) {
        bail!("a dry gap of {} minutes is none; expected a number above 0", arguments.gap);
    }
    let places = places(arguments)?;
    if !arguments.frames.is_dir() {
        bail!("{} is no folder with radar pictures", arguments.frames.display());
    }
    let files = files_in(&arguments.frames)?;
    let around: Vec<LatLon> = places.iter().flatten().copied().collect();
    let look = Look::with_record(arguments.issued, &around, arguments.zr);
    let frames = read_look(&files, &look, None);
    let mut remarks = frames.remarks;
    let nowcast = match Nowcast::from_fields(frames.fields, arguments.issued) {
        Ok(reading) => {
            remarks.extend(reading.remarks.iter().map(ToString::to_string));
            Some(corrected(reading.value, &arguments.frames))
        }
        Err(error) => {
            remarks.push(error.to_string());
            None
        }
    };
    if nowcast.is_none() && !arguments.json && arguments.points.is_none() {
        bail!("nothing to tell from {}: {}", arguments.frames.display(), remarks.join("; "));
    }
    let report = |place: &Result<LatLon, String>| match place {
        Ok(place) => report(arguments, *place, nowcast.as_ref(), remarks.clone()),
        Err(cause) => no_place(arguments, nowcast.as_ref(), &remarks, cause),
    };
    if arguments.points.is_some() {
        print_each(&places, report)?;
    } else {
        for report in places.iter().map(report) {
            if arguments.json {
                json::print(&report)?;
            } else {
                print_lines(report, arguments.gap);
            }
        }
    }
    Ok(if nowcast.is_some() { ExitCode::SUCCESS } else { ExitCode::FAILURE })
}

/// Every place's report on a line of its own, in order, though they are made side by side.
fn print_each(
    places: &[Result<LatLon, String>],
    report: impl Fn(&Result<LatLon, String>) -> RainReport + Sync,
) -> Result<()> {
    let mut lines = Lines::new();
    let mut counter = Counter::new("rain");
    for (index, some) in places.chunks(POINTS_AT_ONCE).enumerate() {
        let made: Result<Vec<String>> =
            some.par_iter().map(|place| json::line(&report(place))).collect();
        for line in made? {
            lines.say(&line);
        }
        if places.len() > POINTS_AT_ONCE {
            counter.at((index * POINTS_AT_ONCE + some.len()) as u64, places.len() as u64);
        }
    }
    Ok(())
}

/// The place, or those of the list, each with its fault where it has one.
fn places(arguments: &RainArguments) -> Result<Vec<Result<LatLon, String>>> {
    match &arguments.points {
        Some(file) => points::each(file),
        None => Ok(arguments.at.map(Ok).into_iter().collect()),
    }
}

/// What is said of a row that is no place.
fn no_place(
    arguments: &RainArguments,
    nowcast: Option<&Nowcast>,
    remarks: &[String],
    cause: &str,
) -> RainReport {
    let window = |window: &Window| WindowReport {
        from: window.from,
        to: window.to,
        p_rain: None,
        p_gap: None,
    };
    RainReport {
        issued: arguments.issued,
        at: None,
        frames_used: nowcast.map_or(0, Nowcast::frames_used),
        frame_age_min: nowcast.map(|nowcast| rounded(nowcast.frame_age_min())),
        wet_share: None,
        windows: arguments.window.iter().map(window).collect(),
        minutes: Vec::new(),
        onset: None,
        remarks: [remarks, &[cause.to_owned()]].concat(),
    }
}

fn report(
    arguments: &RainArguments,
    place: LatLon,
    nowcast: Option<&Nowcast>,
    mut remarks: Vec<String>,
) -> RainReport {
    let spot = match nowcast.map(|nowcast| nowcast.at(place)) {
        Some(Ok(spot)) => Some(spot),
        Some(Err(error)) => {
            remarks.push(not_seen(error, place));
            None
        }
        None => None,
    };
    let windows = arguments
        .window
        .iter()
        .map(|window| window_report(*window, spot.as_ref(), arguments, &mut remarks))
        .collect();
    let minutes = spot.as_ref().map(Spot::minutes).unwrap_or_default();
    RainReport {
        issued: arguments.issued,
        at: Some(place),
        frames_used: nowcast.map_or(0, Nowcast::frames_used),
        frame_age_min: nowcast.map(|nowcast| rounded(nowcast.frame_age_min())),
        wet_share: nowcast
            .and_then(|nowcast| nowcast.wet_share(place, BUSY_RADIUS_KM))
            .map(rounded),
        windows,
        minutes: minutes
            .iter()
            .map(|minute| MinuteReport {
                time: minute.time,
                p_rain: minute.p_rain.map(|p| rounded(p.get())),
                rain_rate_mm_h: minute.rain_rate_mm_h.map(rounded),
            })
            .collect(),
        onset: spot.as_ref().and_then(Spot::onset).map(|onset| OnsetReport {
            p10: to_the_second(onset.p10),
            p50: to_the_second(onset.p50),
            p90: to_the_second(onset.p90),
        }),
        remarks,
    }
}

fn window_report(
    window: Window,
    spot: Option<&Spot>,
    arguments: &RainArguments,
    remarks: &mut Vec<String>,
) -> WindowReport {
    let Window { from, to } = window;
    let left_min = to.duration_since(from.max(arguments.issued)).as_secs_f64() / 60.0;
    let p_rain = spot.and_then(|spot| spot.p_rain(from, to));
    let p_gap = spot.and_then(|spot| spot.p_gap(from, to, arguments.gap));
    if left_min <= 0.0 {
        remarks.push(format!("the window {from}/{to} is over"));
    } else if left_min < arguments.gap {
        remarks.push(format!(
            "the window {from}/{to} has {left_min:.0} minutes left, less than the gap's {}",
            arguments.gap
        ));
    } else if spot.is_some() && p_rain.is_none() {
        remarks.push(format!("the window {from}/{to} reaches farther than the pictures can tell"));
    }
    WindowReport {
        from,
        to,
        p_rain: p_rain.map(|p| rounded(p.get())),
        p_gap: p_gap.map(|p| rounded(p.get())),
    }
}

/// Fractions of a second would be noise.
fn to_the_second(moment: Timestamp) -> Timestamp {
    moment.round(Unit::Second).unwrap_or(moment)
}

fn not_seen(error: NowcastError, place: LatLon) -> String {
    format!("{place}: {error}")
}

fn print_lines(report: RainReport, gap_min: f64) {
    let told = RainTold {
        place: report.at.map(|at| at.to_string()).unwrap_or_default(),
        issued: report.issued,
        frames_used: report.frames_used,
        frame_age_min: report.frame_age_min,
        wet_share: report.wet_share,
        busy_radius_km: BUSY_RADIUS_KM,
        gap_min,
        windows: report
            .windows
            .iter()
            .map(|window| (Span { from: window.from, to: window.to }, window.p_rain, window.p_gap))
            .collect(),
        onset: report.onset.map(|onset| [onset.p10, onset.p50, onset.p90]),
        minutes: report.minutes.iter().map(|minute| (minute.time, minute.p_rain)).collect(),
        remarks: report.remarks,
    };
    for line in rain_lines(&told) {
        say(&line);
    }
}
