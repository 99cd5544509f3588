//! `fairspell rain`: what radar pictures tell of one place, or many, in the next hours.

use std::{path::PathBuf, process::ExitCode, str::FromStr};

use anyhow::{Result, bail};
use clap::Args;
use fairspell_chance::Probability;
use fairspell_feeds::{
    frames::{Look, picture_times, read_look},
    readings::files_in,
    record_file::corrected,
};
use fairspell_ground::LatLon;
use fairspell_nowcast::{
    Ahead, BestStart, Busyness, Evenings, Minute, MinuteRates, Nowcast, NowcastError, Spot, Spread,
    Trend, Turn, ZR,
};
use fairspell_studio::Span;
use fairspell_words::{
    RainAhead, RainTold, RainWindow, SkyAround, SkyTrend, beam_unknown_line, rain_lines,
};
use jiff::{Timestamp, Unit};
use rayon::prelude::*;
use serde::Serialize;

use crate::{
    clutter_told::clutter_told,
    json::{self, rounded},
    points,
    radar_sites::{BeamReport, RadarSiteArguments, Radars},
    terminal::{Counter, Lines, now, say},
};

/// Places that are answered side by side before their lines are printed: enough to keep all
/// processors busy, and few enough that the lines fit into a few megabytes.
const POINTS_AT_ONCE: usize = 256;

/// Where the newest picture is as old as this there is no answer, minutes: so far back is looked.
const TOO_OLD_MIN: i64 = 180;

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
    #[command(flatten)]
    radar_sites: RadarSiteArguments,
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
    busyness: Option<BusynessReport>,
    ahead: Option<AheadReport>,
    windows: Vec<WindowReport>,
    minutes: Vec<MinuteReport>,
    onset: Option<OnsetReport>,
    /// `None`, with the reason beside it, where it is not known.
    beam: Option<BeamReport>,
    beam_unknown: Option<&'static str>,
    remarks: Vec<String>,
}

/// The hours ahead as a whole, gaps first.
#[derive(Debug, Serialize)]
struct AheadReport {
    until: Timestamp,
    gap_min: f64,
    p_gap: Option<f64>,
    best_start: Option<StartReport>,
    longest_gap_min: Option<SpreadReport>,
    gap_duration_min: Option<SpreadReport>,
    rain_begins: Option<TurnReport>,
    rain_ends: Option<TurnReport>,
    wet_min: Option<SpreadReport>,
    p_at_least_1_mm_h: Option<f64>,
    p_at_least_5_mm_h: Option<f64>,
}

#[derive(Debug, Clone, Copy, Serialize)]
struct StartReport {
    time: Timestamp,
    p_dry: f64,
}

/// Minutes.
#[derive(Debug, Clone, Copy, Serialize)]
struct SpreadReport {
    p10: f64,
    p50: f64,
    p90: f64,
}

#[derive(Debug, Clone, Copy, Serialize)]
struct TurnReport {
    p: f64,
    p10: Timestamp,
    p50: Timestamp,
    p90: Timestamp,
}

#[derive(Debug, Serialize)]
struct BusynessReport {
    radius_km: f64,
    wet_share: f64,
    trend: Option<Trend>,
    trend_per_hour: Option<f64>,
    gap_between_rain_min: Option<SpreadReport>,
}

#[derive(Debug, Serialize)]
struct WindowReport {
    from: Timestamp,
    to: Timestamp,
    p_rain: Option<f64>,
    p_gap: Option<f64>,
    best_start: Option<StartReport>,
}

#[derive(Debug, Serialize)]
struct MinuteReport {
    time: Timestamp,
    p_rain: Option<f64>,
    p_at_least_1_mm_h: Option<f64>,
    p_at_least_5_mm_h: Option<f64>,
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
    let radars = arguments.radar_sites.radars()?;
    if !arguments.frames.is_dir() {
        bail!("{} is no folder with radar pictures", arguments.frames.display());
    }
    let files = files_in(&arguments.frames)?;
    let around: Vec<LatLon> = places.iter().flatten().copied().collect();
    let look = Look::with_record(arguments.issued, &around, arguments.zr);
    let frames = read_look(&files, &look, None);
    let mut remarks = frames.remarks;
    remarks.extend(clutter_told(&frames.mended));
    let nowcast = match Nowcast::from_fields(frames.fields, arguments.issued) {
        Ok(reading) => {
            remarks.extend(reading.remarks.iter().map(ToString::to_string));
            Some(corrected(reading.value, &arguments.frames))
        }
        Err(error) => {
            // Where a picture could not be used its reason has been said.
            let unsaid = || remarks.is_empty().then(|| error.to_string());
            remarks.extend(too_old(&files, arguments.issued).or_else(unsaid));
            None
        }
    };
    if nowcast.is_none() && !arguments.json && arguments.points.is_none() {
        bail!("nothing to tell from {}: {}", arguments.frames.display(), remarks.join("; "));
    }
    let report = |place: &Result<LatLon, String>| match place {
        Ok(place) => {
            report(arguments, *place, nowcast.as_ref(), remarks.clone()).with_beam(&radars)
        }
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

/// That there are pictures and they are too old, where it is so.
fn too_old(files: &[PathBuf], issued: Timestamp) -> Option<String> {
    let times = picture_times(files, None);
    let newest = times.into_iter().rfind(|time| *time <= issued)?;
    let age_min = issued.duration_since(newest).as_mins();
    (age_min >= TOO_OLD_MIN).then(|| {
        format!(
            "the newest picture is of {newest}, {age_min} minutes old: too old to tell anything"
        )
    })
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
        best_start: None,
    };
    RainReport {
        issued: arguments.issued,
        at: None,
        frames_used: nowcast.map_or(0, Nowcast::frames_used),
        frame_age_min: nowcast.map(|nowcast| rounded(nowcast.frame_age_min())),
        wet_share: None,
        busyness: None,
        ahead: None,
        windows: arguments.window.iter().map(window).collect(),
        minutes: Vec::new(),
        onset: None,
        beam: None,
        beam_unknown: Some("no place"),
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
    // Of thousands of places the chances are wanted; counting evenings would double the time.
    let one = arguments.points.is_none();
    let evenings = spot.as_ref().filter(|_| one).and_then(Spot::evenings);
    let busyness = spot.as_ref().filter(|_| one).and_then(|spot| spot.busyness(BUSY_RADIUS_KM));
    let mut of_windows = Vec::new();
    let windows = arguments
        .window
        .iter()
        .map(|window| {
            window_report(*window, spot.as_ref(), evenings.as_ref(), arguments, &mut of_windows)
        })
        .collect();
    // The lines say it beside the window.
    if arguments.json || arguments.points.is_some() {
        remarks.append(&mut of_windows);
    }
    let minutes = spot.as_ref().map(Spot::minutes).unwrap_or_default();
    let rates = evenings.as_ref().map(Evenings::minutes).unwrap_or_default();
    RainReport {
        issued: arguments.issued,
        at: Some(place),
        frames_used: nowcast.map_or(0, Nowcast::frames_used),
        frame_age_min: nowcast.map(|nowcast| rounded(nowcast.frame_age_min())),
        wet_share: nowcast
            .and_then(|nowcast| nowcast.wet_share(place, BUSY_RADIUS_KM))
            .map(rounded),
        busyness: busyness.map(busyness_report),
        ahead: spot.as_ref().zip(evenings.as_ref()).map(|(spot, evenings)| {
            ahead_report(&Ahead::new(spot, evenings, arguments.gap), arguments.gap)
        }),
        windows,
        minutes: minutes
            .iter()
            .enumerate()
            .map(|(index, minute)| minute_report(minute, rates.get(index)))
            .collect(),
        onset: spot.as_ref().and_then(Spot::onset).map(|onset| OnsetReport {
            p10: to_the_second(onset.p10),
            p50: to_the_second(onset.p50),
            p90: to_the_second(onset.p90),
        }),
        beam: None,
        beam_unknown: None,
        remarks,
    }
}

fn minute_report(minute: &Minute, rates: Option<&MinuteRates>) -> MinuteReport {
    let p_at_least = |threshold: usize| {
        let rates = rates.and_then(|rates| rates.p_at_least)?;
        // Counted and stated chances of any rain differ a little: the stated one has the last word.
        Some(rounded(rates[threshold].get().min(minute.p_rain?.get())))
    };
    MinuteReport {
        time: minute.time,
        p_rain: minute.p_rain.map(|p| rounded(p.get())),
        p_at_least_1_mm_h: p_at_least(1),
        p_at_least_5_mm_h: p_at_least(2),
        rain_rate_mm_h: minute.rain_rate_mm_h.map(rounded),
    }
}

fn ahead_report(ahead: &Ahead, gap_min: f64) -> AheadReport {
    let p = |p: Option<Probability>| p.map(|p| rounded(p.get()));
    let [rain, heavy] = ahead.p_at_least.map(p);
    AheadReport {
        until: to_the_second(ahead.until),
        gap_min,
        p_gap: p(ahead.p_gap),
        best_start: ahead.best_start.map(start_report),
        longest_gap_min: ahead.longest_gap.map(spread_report),
        gap_duration_min: ahead.gap_duration.map(spread_report),
        rain_begins: ahead.begins.map(turn_report),
        rain_ends: ahead.ends.map(turn_report),
        wet_min: ahead.wet_minutes.map(spread_report),
        p_at_least_1_mm_h: rain,
        p_at_least_5_mm_h: heavy,
    }
}

fn start_report(best: BestStart) -> StartReport {
    StartReport { time: to_the_second(best.time), p_dry: rounded(best.p_dry.get()) }
}

fn spread_report(spread: Spread) -> SpreadReport {
    SpreadReport {
        p10: without_sign(rounded(spread.p10_min)),
        p50: without_sign(rounded(spread.p50_min)),
        p90: without_sign(rounded(spread.p90_min)),
    }
}

/// Adding zero takes the sign from a negative zero, which nobody could read.
fn without_sign(value: f64) -> f64 {
    value + 0.0
}

fn turn_report(turn: Turn) -> TurnReport {
    TurnReport {
        p: rounded(turn.p.get()),
        p10: to_the_second(turn.when.earliest),
        p50: to_the_second(turn.when.likely),
        p90: to_the_second(turn.when.latest),
    }
}

fn busyness_report(sky: Busyness) -> BusynessReport {
    BusynessReport {
        radius_km: sky.radius_km,
        wet_share: rounded(sky.wet_share),
        trend: sky.trend(),
        trend_per_hour: sky.trend_per_hour.map(rounded),
        gap_between_rain_min: sky.gap_between_rain.map(spread_report),
    }
}

impl RainReport {
    /// With the radar's lowest beam over the place, or why it is not known.
    fn with_beam(mut self, radars: &Radars) -> Self {
        match self.at.map(|place| radars.beam_at(place)) {
            Some(Ok(beam)) => self.beam = Some(beam),
            Some(Err(cause)) => self.beam_unknown = Some(cause),
            None => {}
        }
        self
    }
}

fn window_report(
    window: Window,
    spot: Option<&Spot>,
    evenings: Option<&Evenings>,
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
        best_start: p_gap
            .and(evenings)
            .and_then(|evenings| evenings.best_start(arguments.gap, from, to))
            .zip(p_gap)
            .map(|(best, p_gap)| start_report(best.no_likelier_than(p_gap))),
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
    let start = |start: StartReport| (start.time, start.p_dry);
    let spread = |spread: SpreadReport| [spread.p10, spread.p50, spread.p90];
    let turn = |turn: TurnReport| (turn.p, [turn.p10, turn.p50, turn.p90]);
    let rain_now = report.minutes.first().and_then(|now| now.p_rain);
    let trend = |trend: Trend| match trend {
        Trend::Growing => SkyTrend::Growing,
        Trend::Steady => SkyTrend::Steady,
        Trend::Shrinking => SkyTrend::Shrinking,
    };
    let busyness = report.busyness.as_ref();
    let beam = report.beam.as_ref().map(BeamReport::line);
    let told = RainTold {
        place: report.at.map(|at| at.to_string()).unwrap_or_default(),
        issued: report.issued,
        frames_used: report.frames_used,
        frame_age_min: report.frame_age_min,
        gap_min,
        ahead: report.ahead.map(|ahead| RainAhead {
            until: ahead.until,
            p_gap: ahead.p_gap,
            best_start: ahead.best_start.map(start),
            longest_gap_min: ahead.longest_gap_min.map(spread),
            rain_now,
            begins: ahead.rain_begins.map(turn),
            ends: ahead.rain_ends.map(turn),
            wet_min: ahead.wet_min.map(spread),
            p_at_least: [ahead.p_at_least_1_mm_h, ahead.p_at_least_5_mm_h],
        }),
        windows: report
            .windows
            .iter()
            .map(|window| RainWindow {
                hours: Span { from: window.from, to: window.to },
                p_rain: window.p_rain,
                p_gap: window.p_gap,
                best_start: window.best_start.map(start),
            })
            .collect(),
        sky: SkyAround {
            radius_km: BUSY_RADIUS_KM,
            wet_share: report.wet_share,
            trend: busyness.and_then(|sky| sky.trend).map(trend),
            trend_per_hour: busyness.and_then(|sky| sky.trend_per_hour),
            gap_between_min: busyness.and_then(|sky| sky.gap_between_rain_min).map(spread),
        },
        minutes: report.minutes.iter().map(|minute| (minute.time, minute.p_rain)).collect(),
        remarks: report.remarks,
    };
    for line in rain_lines(&told) {
        say(&line);
    }
    say(&format!("  {}", beam.unwrap_or_else(beam_unknown_line)));
}
