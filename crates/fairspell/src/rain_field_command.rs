//! `fairspell rain-field`: the coming hours as maps, in a file that other programs read.

use std::{fs, ops::Range, path::PathBuf, process::ExitCode, str::FromStr};

use anyhow::{Context, Result, bail};
use clap::Args;
use fairspell_feeds::{
    FrameCache,
    frames::{Form, Frames, Look, picture_times, read_look},
    readings::files_in,
};
use fairspell_ground::LatLon;
use fairspell_nowcast::{
    Cut, Nowcast, Regrid, ZR,
    writers::cf::{About, CELLS_MAX, CfFile},
};
use fairspell_words::{RainFieldTold, rain_field_lines};
use jiff::{SignedDuration, Timestamp};
use ndarray::{Array2, ArrayView2, Axis};
use rayon::prelude::*;
use serde::Serialize;

use crate::{
    clutter_told::clutter_told,
    json::{self, rounded},
    stopping::{Stop, may_replace, write_whole},
    terminal::{Counter, say},
};

/// Rain rates whose chances are written, mm/h: wet, umbrella, pouring.
const THRESHOLDS_MM_H: [f64; 3] = [0.1, 1.0, 5.0];

/// How far beyond the box the sky is decoded: what blows in within the lead, and room to see whether
/// rain is born or dies; km, and km for each minute of the lead (120 km/h), up to four hours of rain
/// at 75 km/h.
const BEYOND_KM: f64 = 60.0;
const BEYOND_KM_PER_MIN: f64 = 2.0;
const BEYOND_MAX_KM: f64 = 300.0;

/// Memory for the newest picture, which is asked for twice: the largest national mosaic has 98 MB.
const CACHE_BYTES: usize = 128 << 20;

/// The coming hours as maps of rain rate and of its chances, in a CF NetCDF file.
#[derive(Args)]
pub(crate) struct RainFieldArguments {
    /// The folder with the radar pictures: GRIB2, ODIM HDF5 or CF NetCDF, as the services publish them
    #[arg(long, value_name = "DIR")]
    frames: PathBuf,
    /// The moment of the question (RFC 3339), from which leads count; pictures later than this are
    /// never read
    #[arg(long, value_name = "T")]
    issued: Timestamp,
    /// How far ahead, minutes
    #[arg(long, value_name = "MIN")]
    lead: f64,
    /// From one map to the next, minutes; the first one is a step after the question
    #[arg(long, value_name = "MIN")]
    step: f64,
    /// Only so many kilometres around a place; the whole picture when left out
    #[arg(long = "box", value_name = "LAT,LON,KM", allow_hyphen_values = true)]
    around: Option<Around>,
    /// The NetCDF file to write; an older NetCDF file of that name is replaced
    #[arg(long, value_name = "FILE")]
    out: PathBuf,
    /// How reflectivity becomes rain rate where the pictures hold reflectivity: Z = A R^B
    #[arg(long, value_name = "A,B", default_value_t = ZR::default())]
    zr: ZR,
    /// Print JSON (see `fairspell schema rain-field`)
    #[arg(long)]
    json: bool,
}

/// A part of the map as somebody typed it.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Around {
    centre: LatLon,
    radius_km: f64,
}

impl FromStr for Around {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let (place, km) =
            text.rsplit_once(',').ok_or_else(|| format!("expected LAT,LON,KM, found `{text}`"))?;
        let centre = place.parse().map_err(|error| format!("`{place}`: {error}"))?;
        let radius_km = km
            .trim()
            .parse()
            .ok()
            .filter(|km: &f64| km.is_finite() && *km > 0.0)
            .ok_or_else(|| format!("expected kilometres above 0, found `{km}`"))?;
        Ok(Around { centre, radius_km })
    }
}

/// What is printed; its keys are stable.
#[derive(Debug, Serialize)]
struct RainFieldReport {
    issued: Timestamp,
    frames_used: usize,
    frame_age_min: f64,
    rows: usize,
    columns: usize,
    thresholds_mm_h: [f64; 3],
    moments: Vec<MomentReport>,
    bytes: usize,
    remarks: Vec<String>,
}

#[derive(Debug, Serialize)]
struct MomentReport {
    time: Timestamp,
    lead_min: f64,
    known_share: f64,
    wet_share: Option<f64>,
}

/// Runs the command.
pub(crate) fn run(arguments: &RainFieldArguments) -> Result<ExitCode> {
    let valid_times = valid_times(arguments)?;
    if !arguments.frames.is_dir() {
        bail!("{} is no folder with radar pictures", arguments.frames.display());
    }
    check_out(arguments)?;
    let stop = Stop::on_ctrl_c()?;
    let frames = pictures(arguments, valid_times.len())?;
    stop.check()?;
    let Frames { fields, mut remarks, mended, regrids } = frames;
    remarks.extend(clutter_told(&mended));
    let nowcast = match Nowcast::from_fields(fields, arguments.issued) {
        Ok(reading) => {
            remarks.extend(reading.remarks.iter().map(ToString::to_string));
            reading.value
        }
        Err(error) => {
            remarks.push(error.to_string());
            bail!("nothing to tell from {}: {}", arguments.frames.display(), remarks.join("; "));
        }
    };
    let newest = &nowcast.newest().grid;
    let regrid = regrids.into_iter().find(|regrid| regrid.target().matches(newest));
    let (bytes, mut report) = maps(arguments, nowcast, regrid.as_deref(), &valid_times, &stop)?;
    report.remarks = remarks.into_iter().chain(report.remarks).collect();
    write_whole(&arguments.out, &bytes, &stop)?;
    if arguments.json {
        json::print(&report)?;
    } else {
        print_lines(arguments, report);
    }
    Ok(ExitCode::SUCCESS)
}

/// The moments of the maps: a step after the question and so on, up to the lead.
fn valid_times(arguments: &RainFieldArguments) -> Result<Vec<Timestamp>> {
    let (lead, step) = (arguments.lead, arguments.step);
    let above_zero = |minutes: f64| minutes.is_finite() && minutes > 0.0;
    if !above_zero(lead) || !above_zero(step) {
        bail!("a lead of {lead} minutes in steps of {step} is none; expected numbers above 0");
    }
    if step > lead {
        bail!("the step of {step} minutes is longer than the lead of {lead}");
    }
    // As many as fit, though the last may miss the lead by what floating point loses.
    let fitting = std::iter::successors(Some(1.0), |count| Some(count + 1.0))
        .take_while(|count| count * step <= lead * (1.0 + 1e-9))
        .take(CELLS_MAX);
    fitting
        .map(|count: f64| {
            let ahead = SignedDuration::try_from_secs_f64(count * step * 60.0)
                .context("count the minutes ahead")?;
            arguments.issued.checked_add(ahead).context("count the minutes ahead")
        })
        .collect()
}

/// Refuses an output that would be lost or do harm.
fn check_out(arguments: &RainFieldArguments) -> Result<()> {
    let out = &arguments.out;
    let folder = out.parent().filter(|folder| !folder.as_os_str().is_empty());
    let folder = folder.map_or_else(|| PathBuf::from("."), PathBuf::from);
    let inside = fs::canonicalize(&folder)
        .with_context(|| format!("look at the folder {}", folder.display()))?;
    let frames = fs::canonicalize(&arguments.frames)
        .with_context(|| format!("look at {}", arguments.frames.display()))?;
    if inside.starts_with(frames) {
        bail!("{} lies among the pictures, where it would be read as one", out.display());
    }
    if out.is_dir() || out.file_name().is_none() {
        bail!("{} is a folder; expected a file", out.display());
    }
    may_replace(out, &[b"CDF", b"\x89HDF"])
}

/// The pictures, decoded as far around the box as rain can come from.
fn pictures(arguments: &RainFieldArguments, moments: usize) -> Result<Frames> {
    let files = files_in(&arguments.frames)?;
    let cut = arguments.around.map(|around| Cut {
        centre: around.centre,
        radius_km: around.radius_km
            + (BEYOND_KM + BEYOND_KM_PER_MIN * arguments.lead).min(BEYOND_MAX_KM),
    });
    let cache = FrameCache::new(CACHE_BYTES);
    let look = Look { cut, ..Look::with_record(arguments.issued, &[], arguments.zr) };
    // The newest picture alone tells whether the maps of all moments can be held.
    let times = picture_times(&files, Some(&cache));
    let newest = times.iter().rev().find(|time| **time <= arguments.issued);
    if arguments.around.is_none()
        && let Some(newest) = newest
    {
        // The maps have the file's grid, whatever the nowcast works on.
        let form = Form::AsRead;
        let one = Look { issued: *newest, history: SignedDuration::ZERO, form, ..look };
        let cells = read_look(&files, &one, Some(&cache))
            .fields
            .iter()
            .map(|field| field.rain_rate_mm_h.len())
            .max()
            .unwrap_or(0);
        check_size(cells.saturating_mul(moments))?;
    }
    Ok(read_look(&files, &look, Some(&cache)))
}

fn check_size(cells: usize) -> Result<()> {
    if cells > CELLS_MAX {
        bail!(
            "{cells} cells in all moments together, at most {CELLS_MAX} can be written; take a \
             smaller --box or a longer --step"
        );
    }
    Ok(())
}

/// Every moment's maps as the bytes of a file, and what is said of them.
///
/// - `nowcast`: given away, because a writer of whole files needs the memory.
/// - `regrid`: how the pictures came to the nowcast's grid, where that is not their own; the maps go
///   back the same way.
fn maps(
    arguments: &RainFieldArguments,
    nowcast: Nowcast,
    regrid: Option<&Regrid>,
    valid_times: &[Timestamp],
    stop: &Stop,
) -> Result<(Vec<u8>, RainFieldReport)> {
    let whole = regrid.map_or(&nowcast.newest().grid, Regrid::source);
    let onto_input = |map: Option<Array2<f32>>| match regrid {
        Some(regrid) => map.and_then(|map| regrid.onto_source(&map)),
        None => map,
    };
    let (rows, columns) = match arguments.around {
        None => (0..whole.rows, 0..whole.columns),
        Some(around) => whole
            .block_around(around.centre, around.radius_km)
            .context("the box lies outside the radar's grid")?,
    };
    let grid = whole.block(&rows, &columns);
    check_size(grid.rows * grid.columns * valid_times.len())?;
    let history = format!(
        "fairspell {} rain-field, issued {}, lead {} min, step {} min",
        env!("CARGO_PKG_VERSION"),
        arguments.issued,
        arguments.lead,
        arguments.step
    );
    let mut file = CfFile::new(&About {
        grid: &grid,
        issued: arguments.issued,
        newest: nowcast.valid_time(),
        frames_used: nowcast.frames_used(),
        valid_times,
        thresholds_mm_h: &THRESHOLDS_MM_H,
        history: &history,
    })?;
    let mut counter = Counter::new("rain-field");
    let mut moments = Vec::new();
    let mut remarks = Vec::new();
    for (index, time) in valid_times.iter().enumerate() {
        stop.check()?;
        let minutes = |from: Timestamp| time.duration_since(from).as_secs_f64() / 60.0;
        let ahead_min = minutes(nowcast.valid_time());
        let (best, chances) = rayon::join(
            || onto_input(nowcast.best_rate_at(ahead_min)),
            || -> Vec<Option<Array2<f32>>> {
                let chance = |mm_h: &f64| onto_input(nowcast.exceedance_at(ahead_min, *mm_h));
                THRESHOLDS_MM_H.par_iter().map(chance).collect()
            },
        );
        if let Some(best) = &best {
            file.add_rain_rate(index, &block(best, &rows, &columns))?;
        }
        let mut wet = None;
        for (threshold, chance) in chances.iter().enumerate() {
            let Some(chance) = chance else { continue };
            let chance = block(chance, &rows, &columns);
            file.add_exceedance(threshold, index, &chance)?;
            if threshold == 0 {
                let known: Vec<f64> = chance
                    .iter()
                    .filter(|chance| chance.is_finite())
                    .map(|chance| f64::from(*chance))
                    .collect();
                wet = Some((known.len(), known.iter().sum::<f64>()));
            }
        }
        let (known, sum) = wet.unwrap_or((0, 0.0));
        if wet.is_none() {
            remarks.push(format!("{time} lies farther ahead than the pictures can tell"));
        } else if best.is_none() {
            remarks.push(format!("no best estimate at {time}"));
        }
        moments.push(MomentReport {
            time: *time,
            lead_min: rounded(minutes(arguments.issued)),
            known_share: rounded(known as f64 / (grid.rows * grid.columns) as f64),
            wet_share: (known > 0).then(|| rounded(sum / known as f64)),
        });
        counter.at(index as u64 + 1, valid_times.len() as u64);
    }
    stop.check()?;
    let (frames_used, frame_age_min) = (nowcast.frames_used(), nowcast.frame_age_min());
    drop(nowcast);
    let bytes = file.into_bytes()?;
    let report = RainFieldReport {
        issued: arguments.issued,
        frames_used,
        frame_age_min: rounded(frame_age_min),
        rows: grid.rows,
        columns: grid.columns,
        thresholds_mm_h: THRESHOLDS_MM_H,
        moments,
        bytes: bytes.len(),
        remarks,
    };
    Ok((bytes, report))
}

/// Some rows and columns of a map.
fn block<'m>(
    map: &'m Array2<f32>,
    rows: &Range<usize>,
    columns: &Range<usize>,
) -> ArrayView2<'m, f32> {
    let mut view = map.view();
    view.slice_axis_inplace(Axis(0), rows.clone().into());
    view.slice_axis_inplace(Axis(1), columns.clone().into());
    view
}

fn print_lines(arguments: &RainFieldArguments, report: RainFieldReport) {
    let told = RainFieldTold {
        file: arguments.out.display().to_string(),
        issued: report.issued,
        frames_used: report.frames_used,
        frame_age_min: report.frame_age_min,
        cells: (report.rows, report.columns),
        moments: report
            .moments
            .iter()
            .map(|moment| (moment.time, moment.known_share, moment.wet_share))
            .collect(),
        remarks: report.remarks,
    };
    for line in rain_field_lines(&told) {
        say(&line);
    }
}
