//! What radar pictures tell of one place, line by line.

use fairspell_studio::Span;
use jiff::{Timestamp, Unit, tz::Offset};

use crate::{numbers::with_unit, text::one_line};

/// Minutes of the coming hours that are told: every so many.
const TOLD_EVERY: usize = 15;

/// What is less likely than this is not spoken of as something that happens.
const HARDLY: f64 = 0.05;

/// From this chance on it rains, without "probably".
const SURELY: f64 = 0.9;

/// Pictures older than this are said to be old, minutes: showers come and go in that time.
const OLD_MIN: f64 = 30.0;

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
    /// Chance that it rains now.
    pub rain_now: Option<f64>,
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

/// Says it in lines: gaps first. Times are UTC, since a place alone has no clock on a wall, and the
/// date stands where it is another than that of the question.
pub fn rain_lines(told: &RainTold) -> Vec<String> {
    let clock = Clock { issued: told.issued, offset: Offset::UTC };
    let (place, issued) = (one_line(&told.place), dated(told.issued, Offset::UTC));
    let mut lines = vec![format!("Rain at {place} as of {issued} UTC; all times are UTC.")];
    let remarks = told.remarks.iter().map(|remark| format!("  note: {remark}"));
    let is_known = !told.minutes.is_empty();
    if !is_known {
        // Why nothing is known comes before all that is not.
        lines.extend(remarks.clone());
    }
    if let Some(ahead) = &told.ahead {
        gap_lines(&mut lines, ahead, told.gap_min, clock);
    }
    for window in &told.windows {
        window_lines(&mut lines, window, told, clock);
    }
    if let Some(ahead) = &told.ahead {
        ahead_lines(&mut lines, ahead, clock);
    }
    sky_lines(&mut lines, &told.sky);
    lines.push(pictures_line(told.frames_used, told.frame_age_min));
    if is_known {
        lines.push("  Chance of rain at the place, at that moment:".to_owned());
        let minutes = told.minutes.iter().step_by(TOLD_EVERY);
        lines.extend(minutes.map(|(time, p)| format!("    {}  {}", clock.at(*time), percent(*p))));
        lines.extend(remarks);
    }
    lines
}

/// What is told of the hours ahead at a place with a clock on its wall, a sentence or so each: gaps
/// first, then rain, then the sky around.
pub fn rain_here(
    ahead: &RainAhead,
    gap_min: f64,
    sky: &SkyAround,
    issued: Timestamp,
    offset: Offset,
) -> Vec<String> {
    let clock = Clock { issued, offset };
    let mut lines = Vec::new();
    gap_lines(&mut lines, ahead, gap_min, clock);
    ahead_lines(&mut lines, ahead, clock);
    sky_lines(&mut lines, sky);
    lines.iter().map(|line| line.trim_start().to_owned()).collect()
}

fn gap_lines(lines: &mut Vec<String>, ahead: &RainAhead, gap_min: f64, clock: Clock) {
    let until = clock.at(ahead.until);
    let told_min = minutes_between(clock.issued, ahead.until);
    let gap = if told_min < gap_min {
        does_not_fit(told_min, "are told")
    } else {
        format!("{}{}", percent(ahead.p_gap), clock.best(ahead.best_start))
    };
    lines.push(format!("  {gap_min} dry minutes on end, by {until}: {gap}"));
    if let Some(longest) = ahead.longest_gap_min {
        lines.push(format!("  The longest dry stretch in that time: {}", minutes(longest)));
    }
}

fn window_lines(lines: &mut Vec<String>, window: &RainWindow, told: &RainTold, clock: Clock) {
    let Span { from, to } = window.hours;
    lines.push(format!("  {} to {}:", clock.at(from), clock.at(to)));
    let left_min = minutes_between(from.max(told.issued), to);
    let last_told = told.minutes.last().map(|(time, _)| *time);
    if left_min <= 0.0 {
        lines.push("    these hours are over".to_owned());
        return;
    }
    if window.p_rain.is_none() && last_told.is_some_and(|last| to > last) {
        lines.push(
            "    not known: they reach farther than the pictures can tell; ask the forecast"
                .to_owned(),
        );
        return;
    }
    let gap = if left_min < told.gap_min {
        does_not_fit(left_min, "are left")
    } else {
        format!("{}{}", percent(window.p_gap), clock.best(window.best_start))
    };
    lines.push(format!("    {} dry minutes on end: {gap}", told.gap_min));
    lines.push(format!(
        "    any rain (at least 0.1 mm/h at some moment): {}",
        percent(window.p_rain)
    ));
}

fn ahead_lines(lines: &mut Vec<String>, ahead: &RainAhead, clock: Clock) {
    let likely = |turn: &Option<(f64, [Timestamp; 3])>| turn.filter(|(p, _)| *p >= HARDLY);
    let when = |[early, likely, late]: [Timestamp; 3]| {
        format!("about {} ({} to {})", clock.at(likely), clock.at(early), clock.at(late))
    };
    let until = clock.at(ahead.until);
    let now = ahead.rain_now.filter(|p| *p >= 0.5);
    lines.push(match (now, likely(&ahead.begins)) {
        (Some(p), _) if p >= SURELY => "  It rains now.".to_owned(),
        (Some(p), _) => format!("  It probably rains now ({}).", percent(Some(p))),
        (None, Some((p, times))) => {
            format!("  Rain begins by {until}: {}; if so, {}", percent(Some(p)), when(times))
        }
        (None, None) => format!("  Rain is unlikely to begin by {until}."),
    });
    if let Some((p, times)) = likely(&ahead.ends) {
        let what = if now.is_some() { "It ends" } else { "The first rain ends" };
        lines.push(format!("  {what} by {until}: {}; if so, {}", percent(Some(p)), when(times)));
    }
    if let Some(wet_min) = ahead.wet_min {
        lines.push(format!("  Wet by {until}, all showers together: {}", minutes(wet_min)));
    }
    let [rain, heavy] = ahead.p_at_least.map(percent);
    lines.push(format!(
        "  How hard by {until}: at least 1 mm/h at some moment {rain}, at least 5 mm/h {heavy}"
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
        "  Wet sky within {} (at least 0.1 mm/h): {}{trend}",
        with_unit(sky.radius_km, 0, "km"),
        percent(sky.wet_share)
    ));
    if let Some(gap) = sky.gap_between_min {
        lines.push(format!("  Dry between one shower and the next: {}", minutes(gap)));
    }
}

fn pictures_line(frames_used: usize, age_min: Option<f64>) -> String {
    let pictures = if frames_used == 1 { "picture" } else { "pictures" };
    let age = match age_min {
        None => "none of them usable.".to_owned(),
        Some(age) => {
            let old = if age > OLD_MIN { ": that is old, look for newer ones." } else { "." };
            format!("the newest {} old{old}", with_unit(age, 0, "min"))
        }
    };
    format!("  Told from {frames_used} radar {pictures}, {age}")
}

/// Times as they are said beside a question of a certain moment.
#[derive(Clone, Copy)]
struct Clock {
    issued: Timestamp,
    offset: Offset,
}

impl Clock {
    /// "04:30", and with its date on another day. Seconds would be noise.
    fn at(self, moment: Timestamp) -> String {
        let said = dated(moment, self.offset);
        let day = dated(self.issued, self.offset);
        match said.split_once(' ') {
            Some((date, clock)) if day.starts_with(date) => clock.to_owned(),
            _ => said,
        }
    }

    fn best(self, start: Option<(Timestamp, f64)>) -> String {
        start.map_or_else(String::new, |(time, p)| {
            format!(", best from {} ({})", self.at(time), percent(Some(p)))
        })
    }
}

/// "2026-09-03 04:30".
fn dated(moment: Timestamp, offset: Offset) -> String {
    let moment = moment.round(Unit::Minute).unwrap_or(moment);
    offset.to_datetime(moment).strftime("%Y-%m-%d %H:%M").to_string()
}

fn minutes_between(from: Timestamp, to: Timestamp) -> f64 {
    to.duration_since(from).as_secs_f64() / 60.0
}

fn does_not_fit(minutes: f64, how: &str) -> String {
    format!("does not fit, only {} {how}", with_unit(minutes, 0, "minutes"))
}

/// Whole per cent; what is not certain is not said to be.
fn percent(p: Option<f64>) -> String {
    match p {
        None => "not known".to_owned(),
        Some(p) if p > 0.0 && p < 0.005 => "under 1 %".to_owned(),
        Some(p) if (0.995..1.0).contains(&p) => "over 99 %".to_owned(),
        Some(p) => with_unit(p * 100.0, 0, "%"),
    }
}

fn minutes([few, likely, many]: [f64; 3]) -> String {
    let [few, likely, many] = [few, likely, many].map(|value| with_unit(value, 0, "min"));
    let few = few.trim_end_matches(" min");
    format!("about {likely} ({few} to {many})")
}
