//! `fairspell rain-score`: how good the nowcast was on pictures that are there already.

mod record;

use std::{collections::BTreeSet, path::PathBuf, process::ExitCode};

use anyhow::{Result, bail};
use clap::Args;
use fairspell_chance::{BinnedBrier, PairedBlock, ScoreRatio, brier_score, roc_area, score_ratio};
use fairspell_nowcast::ZR;
use fairspell_words::{RainScoreTold, ScoreRow, ScoredQuestion, rain_score_lines};
use jiff::Timestamp;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use serde::Serialize;

use crate::{
    json, points,
    terminal::{Counter, say},
};
use record::{Forecaster, Question, QuestionRecord, Record, StartRecord};

/// Bins of the parts of the Brier score.
const BINS: u32 = 10;

/// Draws for the range of a ratio, and the seed that makes them repeatable.
const DRAWS: usize = 1000;
const SEED: u64 = 20160928;

/// How good the nowcast was, against pictures that came afterwards, at sample points.
#[derive(Args)]
pub(crate) struct RainScoreArguments {
    /// The folder with the radar pictures: GRIB2, ODIM HDF5 or CF NetCDF, as the services publish them
    #[arg(long, value_name = "DIR")]
    frames: PathBuf,
    /// The sample points: a CSV file with the header `lat,lon`
    #[arg(long, value_name = "CSV")]
    points: PathBuf,
    /// The moments of the questions (RFC 3339), apart by commas; only pictures up to each are used
    /// for its answers
    #[arg(long, value_name = "T,T", value_delimiter = ',', required = true)]
    starts: Vec<Timestamp>,
    /// Length of the dry gap, minutes
    #[arg(long, value_name = "MIN", default_value_t = 25.0)]
    gap: f64,
    /// How reflectivity becomes rain rate where the pictures hold reflectivity: Z = A R^B
    #[arg(long, value_name = "A,B", default_value_t = ZR::default())]
    zr: ZR,
    /// Print JSON (see `fairspell schema rain-score`)
    #[arg(long)]
    json: bool,
}

/// What is printed; its keys are stable.
#[derive(Debug, Serialize)]
struct RainScoreReport {
    points: usize,
    gap_min: f64,
    step_min: f64,
    questions: Vec<QuestionReport>,
    remarks: Vec<String>,
}

#[derive(Debug, Serialize)]
struct QuestionReport {
    question: &'static str,
    from_min: f64,
    to_min: f64,
    cases: usize,
    unmeasured: usize,
    unanswered: usize,
    came_share: Option<f64>,
    scores: ScoresReport,
    against: AgainstReport,
    starts: Vec<StartReport>,
}

#[derive(Debug, Serialize)]
struct ScoresReport {
    nowcast: ScoreReport,
    extrapolation: ScoreReport,
    persistence: ScoreReport,
}

#[derive(Debug, Serialize)]
struct ScoreReport {
    brier: Option<f64>,
    reliability: Option<f64>,
    resolution: Option<f64>,
    uncertainty: Option<f64>,
    within_bin_variance: Option<f64>,
    within_bin_covariance: Option<f64>,
    roc_area: Option<f64>,
    csi: Option<f64>,
}

#[derive(Debug, Serialize)]
struct AgainstReport {
    extrapolation: RatioReport,
    persistence: RatioReport,
}

#[derive(Debug, Serialize)]
struct RatioReport {
    ratio: Option<f64>,
    low: Option<f64>,
    high: Option<f64>,
}

#[derive(Debug, Serialize)]
struct StartReport {
    start: Timestamp,
    pictures: usize,
    cases: usize,
    came: usize,
    nowcast: Option<f64>,
    extrapolation: Option<f64>,
    persistence: Option<f64>,
}

/// Runs the command.
pub(crate) fn run(arguments: &RainScoreArguments) -> Result<ExitCode> {
    if !(arguments.gap.is_finite() && arguments.gap > 0.0) {
        bail!("a dry gap of {} minutes is none; expected a number above 0", arguments.gap);
    }
    if !arguments.frames.is_dir() {
        bail!("{} is no folder with radar pictures", arguments.frames.display());
    }
    let places = points::all(&arguments.points)?;
    let starts: BTreeSet<Timestamp> = arguments.starts.iter().copied().collect();
    let mut record = Record::new(&arguments.frames, places, arguments.zr, arguments.gap)?;
    let mut counter = Counter::new("rain-score");
    for (done, start) in starts.iter().enumerate() {
        record.score(*start);
        counter.at(done as u64 + 1, starts.len() as u64);
    }
    let scored = record.questions().iter().any(|question| !question.starts.is_empty());
    let report = report(&record);
    if arguments.json {
        json::print(&report)?;
    } else {
        for line in rain_score_lines(&told(&record, &report)) {
            say(&line);
        }
    }
    Ok(if scored { ExitCode::SUCCESS } else { ExitCode::FAILURE })
}

fn report(record: &Record) -> RainScoreReport {
    RainScoreReport {
        points: record.places(),
        gap_min: record.gap_min(),
        step_min: fine(record.step_min()),
        questions: record.questions().iter().map(question_report).collect(),
        remarks: record.remarks(),
    }
}

fn question_report(record: &QuestionRecord) -> QuestionReport {
    let cases = record.starts.iter().map(StartRecord::cases).sum::<usize>();
    let came = record.starts.iter().map(StartRecord::came).sum::<usize>();
    let score = |forecaster| score_report(record, forecaster);
    let against = |other| ratio_report(ratio(record, other));
    QuestionReport {
        question: match record.question {
            Question::Rain => "rain",
            Question::Gap => "gap",
        },
        from_min: record.from_min,
        to_min: record.to_min,
        cases,
        unmeasured: record.starts.iter().map(|start| start.unmeasured).sum(),
        unanswered: record.starts.iter().map(|start| start.unanswered).sum(),
        came_share: (cases > 0).then(|| fine(came as f64 / cases as f64)),
        scores: ScoresReport {
            nowcast: score(Forecaster::Nowcast),
            extrapolation: score(Forecaster::Extrapolation),
            persistence: score(Forecaster::Persistence),
        },
        against: AgainstReport {
            extrapolation: against(Forecaster::Extrapolation),
            persistence: against(Forecaster::Persistence),
        },
        starts: record.starts.iter().map(start_report).collect(),
    }
}

fn score_report(record: &QuestionRecord, forecaster: Forecaster) -> ScoreReport {
    let outcomes = record.outcomes(forecaster);
    let parts = BinnedBrier::new(&outcomes, BINS);
    let part = |of: fn(&BinnedBrier) -> f64| parts.as_ref().map(of).map(fine);
    ScoreReport {
        brier: brier_score(&outcomes).map(fine),
        reliability: part(|parts| parts.reliability),
        resolution: part(|parts| parts.resolution),
        uncertainty: part(|parts| parts.uncertainty),
        within_bin_variance: part(|parts| parts.within_bin_variance),
        within_bin_covariance: part(|parts| parts.within_bin_covariance),
        roc_area: roc_area(&outcomes).map(fine),
        csi: record.calls(forecaster).critical_success_index().map(fine),
    }
}

fn ratio(record: &QuestionRecord, other: Forecaster) -> Option<ScoreRatio> {
    let blocks: Vec<PairedBlock> = record
        .starts
        .iter()
        .map(|start| PairedBlock {
            ours: start.squared_errors(Forecaster::Nowcast),
            theirs: start.squared_errors(other),
        })
        .collect();
    score_ratio(&blocks, DRAWS, &mut ChaCha8Rng::seed_from_u64(SEED))
}

fn ratio_report(found: Option<ScoreRatio>) -> RatioReport {
    let range = found.and_then(|found| found.range);
    RatioReport {
        ratio: found.map(|found| fine(found.ratio)),
        low: range.map(|(low, _)| fine(low)),
        high: range.map(|(_, high)| fine(high)),
    }
}

fn start_report(start: &StartRecord) -> StartReport {
    let brier = |forecaster| {
        (start.cases() > 0).then(|| fine(start.squared_errors(forecaster) / start.cases() as f64))
    };
    StartReport {
        start: start.start,
        pictures: start.pictures,
        cases: start.cases(),
        came: start.came(),
        nowcast: brier(Forecaster::Nowcast),
        extrapolation: brier(Forecaster::Extrapolation),
        persistence: brier(Forecaster::Persistence),
    }
}

/// A score to six decimals: forecasters differ in the fourth.
fn fine(value: f64) -> f64 {
    (value * 1e6).round() / 1e6
}

fn told(record: &Record, report: &RainScoreReport) -> RainScoreTold {
    let row = |score: &ScoreReport| ScoreRow {
        brier: score.brier,
        reliability: score.reliability,
        resolution: score.resolution,
        roc_area: score.roc_area,
        csi: score.csi,
    };
    let ratio = |found: &RatioReport| found.ratio.map(|ratio| (ratio, found.low.zip(found.high)));
    let questions = record.questions().iter().zip(&report.questions);
    RainScoreTold {
        points: report.points,
        gap_min: report.gap_min,
        step_min: report.step_min,
        questions: questions
            .map(|(record, report)| ScoredQuestion {
                is_gap: record.question == Question::Gap,
                window_min: (report.from_min, report.to_min),
                starts: report.starts.len(),
                cases: report.cases,
                came_share: report.came_share,
                left_out: report.unmeasured + report.unanswered,
                nowcast: row(&report.scores.nowcast),
                extrapolation: row(&report.scores.extrapolation),
                persistence: row(&report.scores.persistence),
                against_extrapolation: ratio(&report.against.extrapolation),
                against_persistence: ratio(&report.against.persistence),
            })
            .collect(),
        remarks: report.remarks.clone(),
    }
}
