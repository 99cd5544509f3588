//! How good the radar's word was, and what was written of the coming hours, line by line.

use jiff::Timestamp;

use crate::{numbers::with_unit, text::one_line};

/// Scores of a record, as plain values; `None` is not known.
#[derive(Debug, Clone, PartialEq)]
pub struct RainScoreTold {
    /// Places asked about.
    pub points: usize,
    /// Length of the dry gap, minutes.
    pub gap_min: f64,
    /// From one picture to the next, minutes.
    pub step_min: f64,
    /// The questions, in order.
    pub questions: Vec<ScoredQuestion>,
    /// What was left out, as phrases.
    pub remarks: Vec<String>,
}

/// One question and how it was answered.
#[derive(Debug, Clone, PartialEq)]
pub struct ScoredQuestion {
    /// A dry gap rather than any rain.
    pub is_gap: bool,
    /// The window, minutes ahead.
    pub window_min: (f64, f64),
    /// Moments asked at.
    pub starts: usize,
    /// Places and moments with an answer and an outcome.
    pub cases: usize,
    /// In how many of these it came, 0 to 1.
    pub came_share: Option<f64>,
    /// Places and moments without an answer or an outcome.
    pub left_out: usize,
    /// Ours.
    pub nowcast: ScoreRow,
    /// The newest picture carried along.
    pub extrapolation: ScoreRow,
    /// As it is now.
    pub persistence: ScoreRow,
    /// Ratio of our Brier score to the extrapolation's, with its range.
    pub against_extrapolation: Option<(f64, Option<(f64, f64)>)>,
    /// Ratio of our Brier score to persistence's, with its range.
    pub against_persistence: Option<(f64, Option<(f64, f64)>)>,
}

/// Scores of one forecaster.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ScoreRow {
    /// Brier score.
    pub brier: Option<f64>,
    /// Its reliability.
    pub reliability: Option<f64>,
    /// Its resolution.
    pub resolution: Option<f64>,
    /// ROC area.
    pub roc_area: Option<f64>,
    /// Critical success index of plain calls.
    pub csi: Option<f64>,
}

/// Says it in lines: a small table for each question.
pub fn rain_score_lines(told: &RainScoreTold) -> Vec<String> {
    let mut lines = vec![format!(
        "Rain told by radar at {}, against the pictures that came, one every {}.",
        counted(told.points, "place"),
        with_unit(told.step_min, 0, "min")
    )];
    for question in &told.questions {
        lines.extend(question_lines(question, told.gap_min));
    }
    lines.extend(told.remarks.iter().map(|remark| format!("  note: {}", one_line(remark))));
    lines
}

/// "1 place", "2000 places".
fn counted(count: usize, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}

fn question_lines(question: &ScoredQuestion, gap_min: f64) -> Vec<String> {
    let (from, to) = question.window_min;
    let asked = if question.is_gap {
        format!("{gap_min} dry minutes on end")
    } else {
        "any rain".to_owned()
    };
    let mut lines = vec![String::new(), format!("  {asked}, {from} to {to} minutes ahead:")];
    let Some(came_share) = question.came_share else {
        lines.push("    not known: no window has pictures to its end".to_owned());
        return lines;
    };
    lines.push(format!(
        "    {} at {}, {} left out; it came in {}",
        counted(question.cases, "case"),
        counted(question.starts, "moment"),
        question.left_out,
        with_unit(came_share * 100.0, 0, "%")
    ));
    lines.push(format!(
        "    {:<15}{:>8}{:>13}{:>12}{:>10}{:>8}",
        "", "Brier", "reliability", "resolution", "ROC area", "CSI"
    ));
    for (name, row) in [
        ("nowcast", &question.nowcast),
        ("extrapolation", &question.extrapolation),
        ("persistence", &question.persistence),
    ] {
        lines.push(row_line(name, row));
    }
    for (name, against) in [
        ("extrapolation", question.against_extrapolation),
        ("persistence", question.against_persistence),
    ] {
        if let Some((ratio, range)) = against {
            let range = range.map_or_else(
                || "one moment alone has no range".to_owned(),
                |(low, high)| format!("90 % of redrawn moments: {low:.2} to {high:.2}"),
            );
            lines.push(format!("    {ratio:.2} times the Brier score of {name} ({range})"));
        }
    }
    lines
}

fn row_line(name: &str, row: &ScoreRow) -> String {
    let number = |value: Option<f64>, decimals: usize| {
        value.map_or_else(|| "-".to_owned(), |value| format!("{value:.decimals$}"))
    };
    format!(
        "    {name:<15}{:>8}{:>13}{:>12}{:>10}{:>8}",
        number(row.brier, 4),
        number(row.reliability, 4),
        number(row.resolution, 4),
        number(row.roc_area, 3),
        number(row.csi, 3)
    )
}

/// Maps of the coming hours that were written, as plain values.
#[derive(Debug, Clone, PartialEq)]
pub struct RainFieldTold {
    /// The file.
    pub file: String,
    /// The moment of the question.
    pub issued: Timestamp,
    /// Pictures used.
    pub frames_used: usize,
    /// Age of the newest, minutes.
    pub frame_age_min: f64,
    /// Rows and columns.
    pub cells: (usize, usize),
    /// Each moment with the share of its cells that is known, and the share of these that is wet.
    pub moments: Vec<(Timestamp, f64, Option<f64>)>,
    /// What was left out or could not be told, as phrases.
    pub remarks: Vec<String>,
}

/// Says it in lines.
pub fn rain_field_lines(told: &RainFieldTold) -> Vec<String> {
    let (rows, columns) = told.cells;
    let percent = |share: f64| with_unit(share * 100.0, 0, "%");
    let mut lines = vec![
        format!(
            "Rain as of {}, by {} radar pictures, the newest {} old.",
            told.issued,
            told.frames_used,
            with_unit(told.frame_age_min, 0, "min")
        ),
        format!(
            "  Written: {}, {} moments of {rows} x {columns} cells",
            one_line(&told.file),
            told.moments.len()
        ),
        "  Share of the area that is wet (at least 0.1 mm/h) by the chances:".to_owned(),
    ];
    lines.extend(told.moments.iter().map(|(time, known, wet)| {
        let wet = wet.map_or_else(|| "not known".to_owned(), percent);
        if *known > 0.0 && *known < 1.0 {
            format!("    {time}  {wet} of the {} that is known", percent(*known))
        } else {
            format!("    {time}  {wet}")
        }
    }));
    lines.extend(told.remarks.iter().map(|remark| format!("  note: {}", one_line(remark))));
    lines
}
