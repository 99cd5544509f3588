//! The evening as rows of text, for those who cannot see the figure or would rather read.

use crate::evening::Evening;
use crate::light_line::LightLine;

/// What the rows are called, in the reader's language.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct TableWords {
    /// `rain`
    pub rain: String,
    /// `light`
    pub light: String,
    /// `dry gap`
    pub dry_gap: String,
    /// `danger`
    pub danger: String,
    /// `moment`
    pub mark: String,
    /// `look`
    pub look: String,
    /// `decided`
    pub decided: String,
    /// `proposed`
    pub proposed: String,
}

/// The same evening as [`evening_svg`](crate::evening_svg) draws, in order of time: from, to, what,
/// and the particulars.
///
/// - `clock`: what the clock says at so many minutes since the band's start.
///
/// A moment has the same text in both time columns. The light is told at every tick with a label;
/// rain with its likelihood and, where it is known, its rate; a gap's doubt follows its words. Plain
/// text, not escaped: who writes HTML or CSV escapes for it.
///
/// # Examples
///
/// ```
/// use fairspell_figures::{Evening, RainSlot, TableWords, evening_table};
///
/// let evening = Evening {
///     span_min: 60.0,
///     rain: vec![RainSlot {
///         from_min: 0.0,
///         to_min: 30.0,
///         p_rain: Some(0.2),
///         rain_rate_mm_h: None,
///     }],
///     not_known_label: "not known".into(),
///     ..Evening::default()
/// };
/// let words = TableWords { rain: "rain".into(), ..TableWords::default() };
/// let rows = evening_table(&evening, &words, |min| format!("17:{min:02}"));
/// assert_eq!(rows[0], ["17:00", "17:30", "rain", "20 %"].map(String::from));
/// assert_eq!(rows[1][3], "not known");
/// ```
pub fn evening_table(
    evening: &Evening,
    words: &TableWords,
    clock: impl Fn(f64) -> String,
) -> Vec<[String; 4]> {
    let span = evening.span_min;
    let within = |from: f64, to: f64| from < to && from < span && to > 0.0;
    let moment = |at: f64| (0.0..=span).contains(&at);
    let mut rows: Vec<(f64, [String; 4])> = Vec::new();
    let mut add = |from: f64, to: f64, what: &str, detail: String| {
        let (from, to) = (from.clamp(0.0, span.max(0.0)), to.clamp(0.0, span.max(0.0)));
        rows.push((from, [clock(from), clock(to), what.to_owned(), detail]));
    };
    for danger in evening.dangers.iter().filter(|d| within(d.from_min, d.to_min)) {
        add(danger.from_min, danger.to_min, &words.danger, danger.label.clone());
    }
    let told = if evening.without_rain { Vec::new() } else { evening.pieces() };
    for piece in told {
        let detail = piece.rain.map_or_else(
            || evening.not_known_label.clone(),
            |rain| {
                let p = format!("{:.0} %", rain.p * 100.0);
                rain.rate_mm_h.map_or(p.clone(), |rate| format!("{p}, {} mm/h", digits(rate)))
            },
        );
        add(piece.from_min, piece.to_min, &words.rain, detail);
    }
    for gap in evening.gaps.iter().filter(|gap| within(gap.from_min, gap.to_min)) {
        let doubt = |doubt: f64| {
            if doubt.is_finite() {
                format!("±{:.0} min", doubt.abs())
            } else {
                evening.not_known_label.clone()
            }
        };
        let (from, to) = (doubt(gap.from_doubt_min), doubt(gap.to_doubt_min));
        let detail = listed(&[&gap.label, &format!("{from} / {to}")]);
        add(gap.from_min, gap.to_min, &words.dry_gap, detail);
    }
    for look in evening.looks.iter().filter(|look| within(look.from_min, look.to_min)) {
        let state = if look.decided { &words.decided } else { &words.proposed };
        let detail = listed(&[&look.name, &look.spot, &look.setting_label, state]);
        add(look.from_min, look.to_min, &words.look, detail);
    }
    let light = LightLine::new(&evening.light, span);
    for tick in evening.ticks.iter().filter(|t| t.label.is_some() && moment(t.at_min)) {
        let detail = light.at(tick.at_min).map_or_else(
            || evening.not_known_label.clone(),
            |light| format!("{} lx", digits(light.illuminance_lx())),
        );
        add(tick.at_min, tick.at_min, &words.light, detail);
    }
    for mark in evening.marks.iter().filter(|mark| moment(mark.at_min)) {
        add(mark.at_min, mark.at_min, &words.mark, mark.label.clone());
    }
    // The sort is stable: what begins together stays in the order above, danger first.
    rows.sort_by(|a, b| a.0.total_cmp(&b.0));
    rows.into_iter().map(|(_, row)| row).collect()
}

fn listed(parts: &[&str]) -> String {
    let filled: Vec<&str> = parts.iter().copied().filter(|part| !part.trim().is_empty()).collect();
    filled.join(", ")
}

/// Two significant digits: nobody's rain or light is known more finely.
fn digits(value: f64) -> String {
    if value >= 10.0 {
        let unit = 10f64.powf(value.log10().floor() - 1.0);
        format!("{:.0}", (value / unit).round() * unit)
    } else {
        let text = format!("{value:.1}");
        text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
    }
}
