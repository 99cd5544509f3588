//! A spot's year: days across, hours down, and in every minute the light that is there.
//!
//! One look tells when this spot is worth a drive: where the sun still reaches it, where it lies in
//! shade under a bright sky, until when there is light to work by, and when the tide has it. Time
//! runs down as a day does; the last direct light and the last usable light are lines, so that none
//! of it hangs on colour.

use crate::lettering::Letters;
use crate::map_page::MapWidth;
use crate::markup::{Anchor, Frame, Markup, N, Rules, document, name_of, put};
use crate::palette::{Palette, Theme};
use crate::year_field::{Field, field_rules};
use crate::year_key::{draw_key, key_rules};

/// Everything the picture shows. Times are minutes of the wall clock after midnight; words come
/// finished.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Year {
    /// Spot and year: `Boathouse veranda, 2026`.
    pub heading: String,
    /// The picture in words, for those who cannot see it.
    pub description: String,
    /// The days, from the first of January on.
    pub days: Vec<YearDay>,
    /// The first minute shown.
    pub from_min: f64,
    /// The last minute shown.
    pub to_min: f64,
    /// The months: index of the first day, name.
    pub months: Vec<(usize, String)>,
    /// Hours that are written beside the picture, with what the clock says.
    pub hours: Vec<(f64, String)>,
    /// The day that is looked at: its index, and what it is called.
    pub chosen: Option<(usize, String)>,
    /// What the parts are called.
    pub key: YearKey,
}

/// One day.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct YearDay {
    /// The light through the day; what no run covers is not known and stays bare paper.
    pub light: Vec<LightRun>,
    /// When the tide has the spot.
    pub flooded: Vec<(f64, f64)>,
    /// When the sun is last on the spot.
    pub last_direct_min: Option<f64>,
    /// When the last light to work by goes.
    pub last_usable_min: Option<f64>,
}

/// Minutes of one kind of light.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LightRun {
    /// First minute.
    pub from_min: f64,
    /// The minute it ends.
    pub to_min: f64,
    /// What it is.
    pub light: YearLight,
}

/// The light of a minute at a spot, from none to most.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum YearLight {
    /// Too dark to work.
    Dark,
    /// The sun is below the horizon, and there is light to work by.
    Glow,
    /// The sun is up, and hill, roof or leaves keep it from the spot.
    Shade,
    /// The sun is on the spot, low and golden.
    LowSun,
    /// The sun is on the spot, high and hard.
    HighSun,
}

/// What the parts of the picture are called, in the reader's language.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct YearKey {
    /// High sun.
    pub high_sun: String,
    /// Low sun.
    pub low_sun: String,
    /// Shade.
    pub shade: String,
    /// Light without sun.
    pub glow: String,
    /// Too dark.
    pub dark: String,
    /// Under water; left out when no day is flooded.
    pub flooded: String,
    /// The line of the last direct light.
    pub last_direct: String,
    /// The line of the last usable light.
    pub last_usable: String,
}

/// Room for the clock beside the picture, pixels.
const CLOCK_PX: f64 = 46.0;

/// An hour is this high, pixels.
const HOUR_PX: f64 = 22.0;

/// What span of hours can be drawn, minutes.
const SPAN_MIN: std::ops::RangeInclusive<f64> = 60.0..=2880.0;

/// Draws a spot's year as an SVG document.
///
/// - `width`: for which page.
///
/// Equal input gives equal bytes. Runs that are not finite, end before they begin or lie outside the
/// hours are left out; nothing is drawn of a span under an hour or over two days.
///
/// # Examples
///
/// ```
/// use fairspell_figures::{LightRun, MapWidth, Theme, Year, YearDay, YearLight, year_svg};
///
/// // Two days on which the sun leaves at six, and is gone.
/// let sun = LightRun { from_min: 960.0, to_min: 1080.0, light: YearLight::LowSun };
/// let day = YearDay { light: vec![sun], last_direct_min: Some(1080.0), ..YearDay::default() };
/// let year = Year {
///     heading: "Warm steps, 2026".into(),
///     days: vec![day.clone(), day],
///     from_min: 900.0,
///     to_min: 1200.0,
///     ..Year::default()
/// };
/// let svg = year_svg(&year, MapWidth::Wide, Theme::Light);
/// assert!(svg.contains("class=\"low-sun\" d=\"M0 960h2v120h-2z\""));
/// ```
///
/// # Source
///
/// Our own design.
pub fn year_svg(year: &Year, width: MapWidth, theme: Theme) -> String {
    let name = name_of(format_args!("year{theme:?}{width:?}{year:?}"));
    let layout = width.layout();
    let mut svg = Markup::default();
    let mut y = layout.draw_title(&year.heading, &mut svg);
    if year.chosen.is_some() {
        y += 22.0;
    }
    let span_min = year.to_min - year.from_min;
    let has_field = !year.days.is_empty() && SPAN_MIN.contains(&span_min);
    if has_field {
        let field = Field {
            year,
            left: layout.left + CLOCK_PX,
            right: layout.right,
            top: y + 8.0,
            bottom: y + 8.0 + HOUR_PX * span_min / 60.0,
        };
        field.draw(&name, &mut svg);
        draw_clock(&field, &mut svg);
        draw_months(&field, &mut svg);
        draw_chosen(&field, &mut svg);
        y = field.bottom + 28.0;
    }
    y = draw_key(year, &layout, y + 8.0, &mut svg);
    let frame = Frame {
        name: &name,
        width: layout.width,
        height: y + 8.0,
        own_size: false,
        title: &year.heading,
        description: &year.description,
        theme,
    };
    document(&frame, &rules, &svg)
}

fn rules(rules: &mut Rules<'_>, palette: &Palette) {
    field_rules(rules, palette);
    key_rules(rules, palette);
    rules.add(".chosen", format_args!("stroke-width:2"));
    rules.add(".hour", format_args!("stroke-dasharray:1 5"));
}

/// Hours beside the picture, and a dotted hairline across it.
fn draw_clock(field: &Field<'_>, svg: &mut Markup) {
    let mut lines = String::new();
    for (at_min, label) in &field.year.hours {
        let Some(y) = field.y(*at_min) else { continue };
        put(&mut lines, format_args!("M{} {}H{}", N(field.left), N(y), N(field.right)));
        let baseline = (y + 4.5).clamp(field.top + 9.0, field.bottom);
        svg.words(field.left - 8.0, baseline, "", Anchor::End, label);
    }
    svg.path("hair hour", &lines);
}

/// Months under the picture, each name in the middle of its days; where one has no room all are
/// their first letters.
fn draw_months(field: &Field<'_>, svg: &mut Markup) {
    let mut ticks = String::new();
    let count = field.year.days.len();
    let mut months: Vec<&(usize, String)> =
        field.year.months.iter().filter(|(first, _)| *first < count).collect();
    months.sort_by_key(|(first, _)| *first);
    let extent = |index: usize| {
        let next = months.get(index + 1).map_or(count, |(next, _)| *next);
        (field.x(months[index].0), field.x(next))
    };
    let fits = |(index, month): (usize, &&(usize, String))| {
        let (from, to) = extent(index);
        Letters::Small.width_px(&month.1) < to - from
    };
    let all_fit = months.iter().enumerate().all(fits);
    for (index, (_, label)) in months.iter().enumerate() {
        let (from, to) = extent(index);
        put(&mut ticks, format_args!("M{} {}v6", N(from), N(field.bottom)));
        let shown: String = label.chars().take(if all_fit { usize::MAX } else { 1 }).collect();
        svg.words(f64::midpoint(from, to), field.bottom + 18.0, "", Anchor::Middle, &shown);
    }
    svg.path("line", &ticks);
}

/// The day that is looked at: a line from top to bottom, its name above.
fn draw_chosen(field: &Field<'_>, svg: &mut Markup) {
    let Some((day, label)) = &field.year.chosen else { return };
    if *day >= field.year.days.len() {
        return;
    }
    let x = f64::midpoint(field.x(*day), field.x(day + 1));
    let line = format!("M{} {}V{}", N(x), N(field.top - 6.0), N(field.bottom + 4.0));
    svg.path("rim", &line);
    svg.path("line chosen", &line);
    let half = Letters::SmallBold.width_px(label) / 2.0;
    let middle = x.clamp(field.left + half, (field.right - half).max(field.left + half));
    svg.words(middle, field.top - 10.0, "strong", Anchor::Middle, label);
}
