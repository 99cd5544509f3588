//! What radar pictures tell of one place, line by line.

use fairspell_studio::Span;
use jiff::Timestamp;

use crate::{numbers::with_unit, text::one_line};

/// Minutes of the coming hours that are told: every so many.
const TOLD_EVERY: usize = 15;

/// What radar pictures tell of one place, as plain values. Chances are 0 to 1; `None` is not known.
#[derive(Debug, Clone, PartialEq)]
pub struct RainTold {
    /// The place.
    pub place: String,
    /// The moment of the question.
    pub issued: Timestamp,
    /// Pictures used.
    pub frames_used: usize,
    /// Age of the newest, minutes.
    pub frame_age_min: Option<f64>,
    /// Share of the sky that is wet within `busy_radius_km`.
    pub wet_share: Option<f64>,
    /// How far around the place that was counted, km.
    pub busy_radius_km: f64,
    /// Length of the dry gap that was asked for, minutes.
    pub gap_min: f64,
    /// Hours asked about, with the chance of any rain and of the gap in them.
    pub windows: Vec<(Span, Option<f64>, Option<f64>)>,
    /// When rain begins: early, as likely as not, late.
    pub onset: Option<[Timestamp; 3]>,
    /// Minute by minute.
    pub minutes: Vec<(Timestamp, Option<f64>)>,
    /// What was left out or could not be told, as phrases.
    pub remarks: Vec<String>,
}

/// Says it in lines. Times are RFC 3339, since a place alone has no clock on a wall.
pub fn rain_lines(told: &RainTold) -> Vec<String> {
    let percent =
        |p: Option<f64>| p.map_or_else(|| "not known".to_owned(), |p| with_unit(p * 100.0, 0, "%"));
    let age = told.frame_age_min.map_or_else(
        || "none of them usable".to_owned(),
        |age| format!("the newest {} old", with_unit(age, 0, "min")),
    );
    let mut lines = vec![
        format!(
            "Rain at {} as of {}, by {} radar pictures, {age}.",
            one_line(&told.place),
            told.issued,
            told.frames_used
        ),
        format!(
            "  Wet within {} (at least 0.1 mm/h): {}",
            with_unit(told.busy_radius_km, 0, "km"),
            percent(told.wet_share)
        ),
    ];
    for (hours, p_rain, p_gap) in &told.windows {
        lines.push(format!("  {} to {}:", hours.from, hours.to));
        lines
            .push(format!("    any rain (at least 0.1 mm/h at some moment): {}", percent(*p_rain)));
        let gap = if hours.minutes() < told.gap_min {
            "does not fit, the hours are shorter".to_owned()
        } else {
            percent(*p_gap)
        };
        lines.push(format!("    {} dry minutes on end: {gap}", told.gap_min));
    }
    if let Some([early, likely, late]) = told.onset {
        lines.push(format!("  Rain, if it comes, begins about {likely} ({early} to {late})."));
    }
    if !told.minutes.is_empty() {
        lines.push("  Chance of rain at the place, at that moment:".to_owned());
    }
    let minutes = told.minutes.iter().step_by(TOLD_EVERY);
    lines.extend(minutes.map(|(time, p)| format!("    {time}  {}", percent(*p))));
    lines.extend(told.remarks.iter().map(|remark| format!("  note: {remark}")));
    lines
}
