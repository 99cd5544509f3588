//! What radar pictures tell of one place, line by line.

use fairspell_studio::Span;
use jiff::Timestamp;

use crate::{numbers::with_unit, text::one_line};

/// Minutes of the coming hours that are told: every so many.
const TOLD_EVERY: usize = 15;

/// What is less likely than this is not spoken of as something that happens.
const HARDLY: f64 = 0.05;

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
    /// Length of the dry gap that was asked for, minutes.
    pub gap_min: f64,
    /// What is told of the hours ahead as a whole.
    pub ahead: Option<RainAhead>,
    /// Hours asked about.
    pub windows: Vec<RainWindow>,
    /// The sky around.
    pub sky: SkyAround,
    /// Minute by minute.
    pub minutes: Vec<(Timestamp, Option<f64>)>,
    /// What was left out or could not be told, as phrases.
    pub remarks: Vec<String>,
}

/// The hours ahead as a whole. Three values are: one chance in ten of less, as likely less as more,
/// one in ten of more.
#[derive(Debug, Clone, PartialEq)]
pub struct RainAhead {
    /// The last moment that is told.
    pub until: Timestamp,
    /// Chance of the gap.
    pub p_gap: Option<f64>,
    /// Where the gap is likeliest to begin, and the chance that it does there.
    pub best_start: Option<(Timestamp, f64)>,
    /// The longest dry stretch, minutes.
    pub longest_gap_min: Option<[f64; 3]>,
    /// Whether it rains now.
    pub rains_now: bool,
    /// Rain that begins: its chance, and when.
    pub begins: Option<(f64, [Timestamp; 3])>,
    /// Rain that ends, the one that falls now or comes first: its chance, and when.
    pub ends: Option<(f64, [Timestamp; 3])>,
    /// Wet minutes.
    pub wet_min: Option<[f64; 3]>,
    /// Chances of at least 1 and 5 mm/h at some moment.
    pub p_at_least: [Option<f64>; 2],
}

/// Hours that were asked about.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RainWindow {
    /// The hours.
    pub hours: Span,
    /// Chance of any rain.
    pub p_rain: Option<f64>,
    /// Chance of the gap.
    pub p_gap: Option<f64>,
    /// Where the gap is likeliest to begin, and the chance that it does there.
    pub best_start: Option<(Timestamp, f64)>,
}

/// The sky around a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SkyAround {
    /// How far around the place it is looked, km.
    pub radius_km: f64,
    /// Share of it that is wet.
    pub wet_share: Option<f64>,
    /// How that changes.
    pub trend: Option<SkyTrend>,
    /// The change, share an hour.
    pub trend_per_hour: Option<f64>,
    /// How long it is dry between two showers on their way, minutes; three values as in
    /// [`RainAhead`].
    pub gap_between_min: Option<[f64; 3]>,
}

/// Whether rain covers more and more of the sky.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SkyTrend {
    /// More and more.
    Growing,
    /// About as much as before.
    Steady,
    /// Less and less.
    Shrinking,
}

/// Says it in lines: gaps first. Times are RFC 3339, since a place alone has no clock on a wall.
pub fn rain_lines(told: &RainTold) -> Vec<String> {
    let mut lines = vec![format!("Rain at {} as of {}.", one_line(&told.place), told.issued)];
    if let Some(ahead) = &told.ahead {
        lines.push(format!(
            "  {} dry minutes on end, by {}: {}{}",
            told.gap_min,
            ahead.until,
            percent(ahead.p_gap),
            best(ahead.best_start)
        ));
        if let Some(longest) = ahead.longest_gap_min {
            lines.push(format!("  The longest dry stretch in that time: {}", minutes(longest)));
        }
    }
    for window in &told.windows {
        window_lines(&mut lines, window, told.gap_min);
    }
    if let Some(ahead) = &told.ahead {
        ahead_lines(&mut lines, ahead);
    }
    sky_lines(&mut lines, &told.sky);
    let age = told.frame_age_min.map_or_else(
        || "none of them usable".to_owned(),
        |age| format!("the newest {} old", with_unit(age, 0, "min")),
    );
    lines.push(format!("  Told from {} radar pictures, {age}.", told.frames_used));
    if !told.minutes.is_empty() {
        lines.push("  Chance of rain at the place, at that moment:".to_owned());
    }
    let minutes = told.minutes.iter().step_by(TOLD_EVERY);
    lines.extend(minutes.map(|(time, p)| format!("    {time}  {}", percent(*p))));
    lines.extend(told.remarks.iter().map(|remark| format!("  note: {remark}")));
    lines
}

fn window_lines(lines: &mut Vec<String>, window: &RainWindow, gap_min: f64) {
    lines.push(format!("  {} to {}:", window.hours.from, window.hours.to));
    let gap = if window.hours.minutes() < gap_min {
        "does not fit, the hours are shorter".to_owned()
    } else {
        format!("{}{}", percent(window.p_gap), best(window.best_start))
    };
    lines.push(format!("    {gap_min} dry minutes on end: {gap}"));
    lines.push(format!(
        "    any rain (at least 0.1 mm/h at some moment): {}",
        percent(window.p_rain)
    ));
}

fn ahead_lines(lines: &mut Vec<String>, ahead: &RainAhead) {
    let likely = |turn: &Option<(f64, [Timestamp; 3])>| turn.filter(|(p, _)| *p >= HARDLY);
    let when = |(p, [early, likely, late]): (f64, [Timestamp; 3])| {
        format!("about {likely} ({early} to {late}); chance {}", percent(Some(p)))
    };
    lines.push(match likely(&ahead.begins) {
        Some(begins) => format!("  Rain begins {}", when(begins)),
        None if ahead.rains_now => "  It rains now.".to_owned(),
        None => format!("  Rain is unlikely to begin by {}.", ahead.until),
    });
    if let Some(ends) = likely(&ahead.ends) {
        lines.push(format!("  It ends {}", when(ends)));
    }
    if let Some(wet_min) = ahead.wet_min {
        lines.push(format!("  Wet by {}: {}", ahead.until, minutes(wet_min)));
    }
    let [rain, heavy] = ahead.p_at_least.map(percent);
    lines.push(format!(
        "  How hard: at least 1 mm/h at some moment {rain}, at least 5 mm/h {heavy}"
    ));
}

fn sky_lines(lines: &mut Vec<String>, sky: &SkyAround) {
    let change = sky.trend_per_hour.map(|change| {
        let change = with_unit(change.abs() * 100.0, 0, "%");
        move |how: &str| format!(", {how} by {change} of the sky an hour")
    });
    let trend = match (sky.trend, change) {
        (Some(SkyTrend::Growing), Some(said)) => said("growing"),
        (Some(SkyTrend::Shrinking), Some(said)) => said("shrinking"),
        (Some(SkyTrend::Steady), _) => ", about as much as half an hour ago".to_owned(),
        _ => String::new(),
    };
    lines.push(format!(
        "  Wet within {} (at least 0.1 mm/h): {}{trend}",
        with_unit(sky.radius_km, 0, "km"),
        percent(sky.wet_share)
    ));
    if let Some(gap) = sky.gap_between_min {
        lines.push(format!("  Dry between the showers on their way: {}", minutes(gap)));
    }
}

fn percent(p: Option<f64>) -> String {
    p.map_or_else(|| "not known".to_owned(), |p| with_unit(p * 100.0, 0, "%"))
}

fn best(start: Option<(Timestamp, f64)>) -> String {
    start.map_or_else(String::new, |(time, p)| format!(", best from {time} ({})", percent(Some(p))))
}

fn minutes([few, likely, many]: [f64; 3]) -> String {
    let likely = with_unit(likely, 0, "min");
    format!("about {likely} ({few:.0} to {})", with_unit(many, 0, "min"))
}
