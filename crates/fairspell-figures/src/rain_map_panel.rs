//! What stands beside a rain map: caption, scale of rain, distances, the way up, the way rain goes.

use crate::lettering::Letters;
use crate::markup::{Anchor, Markup, N, put};
use crate::palette::RAIN_BREAKS_MM_H;
use crate::rain_cells::{RATES, Shades};
use crate::rain_map::{Field, RainMap};

/// The place of the panel on the page.
pub(crate) struct Panel<'a> {
    pub(crate) left: f64,
    pub(crate) right: f64,
    pub(crate) top: f64,
    /// How the scale of rain rates lies, where the map has rates.
    pub(crate) scale: Option<Scale>,
    /// What classes of chances mean, where the map has chances.
    pub(crate) chances: Option<ChanceKeys<'a>>,
    pub(crate) name: &'a str,
}

/// Classes of chances with their words, the highest first.
#[derive(Debug, Clone, Copy)]
pub(crate) struct ChanceKeys<'a> {
    pub(crate) heading: &'a str,
    pub(crate) shades: Shades,
    /// Of [`DRY`](crate::rain_runs::DRY) and the classes above it, in their order.
    pub(crate) labels: &'a [String],
}

/// How the scale of rain lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Scale {
    /// From heavy down to none, beside a map.
    Upright,
    /// From none to heavy, left to right, under a map.
    Across,
}

const SWATCH_WIDTH: f64 = 40.0;
const SWATCH_HEIGHT: f64 = 24.0;

/// Draws the panel and returns the y under it.
pub(crate) fn draw_panel(
    map: &RainMap,
    field: Option<Field>,
    panel: &Panel<'_>,
    svg: &mut Markup,
) -> f64 {
    let mut y = panel.top + 11.0;
    for caption in &map.caption {
        for line in Letters::Small.wrapped(caption, panel.right - panel.left, 99) {
            svg.words(panel.left, y, "", Anchor::Start, &line);
            y += 18.0;
        }
    }
    y = match panel.scale {
        Some(Scale::Upright) => draw_scale_upright(panel, y + 12.0, svg),
        Some(Scale::Across) => draw_scale_across(panel, y + 4.0, svg),
        None => y,
    };
    if let Some(keys) = panel.chances {
        y = draw_chances(keys, panel, y + 20.0, svg);
    }
    y = draw_not_measured(map, panel, y + 16.0, svg);
    if let Some(field) = field {
        y = draw_motion(map, panel, y, svg);
        y = draw_distances(map, field, panel, y, svg);
    }
    y
}

/// Rain rates from heavy to none, each bound beside the line it stands for.
fn draw_scale_upright(panel: &Panel<'_>, top: f64, svg: &mut Markup) -> f64 {
    let Panel { left, name, .. } = *panel;
    svg.words(left, top + 11.0, "strong", Anchor::Start, "mm/h");
    let mut y = top + 20.0;
    for (class, bound) in RAIN_BREAKS_MM_H.iter().enumerate().rev() {
        draw_swatch(RATES, class, (left, y, SWATCH_WIDTH), name, svg);
        y += SWATCH_HEIGHT;
        svg.path("line", &format!("M{} {}h6", N(left + SWATCH_WIDTH), N(y)));
        svg.words(left + SWATCH_WIDTH + 11.0, y + 4.5, "", Anchor::Start, &bound.to_string());
    }
    y += SWATCH_HEIGHT;
    svg.words(left + SWATCH_WIDTH + 11.0, y + 4.5, "", Anchor::Start, "0");
    svg.path("line", &format!("M{} {}h6", N(left + SWATCH_WIDTH), N(y)));
    let high = SWATCH_HEIGHT * (RAIN_BREAKS_MM_H.len() as f64 + 1.0);
    svg.rect("line", left, top + 20.0, SWATCH_WIDTH, high);
    y
}

/// The same lying down: dry, then light to heavy, each bound under the line it stands for.
fn draw_scale_across(panel: &Panel<'_>, top: f64, svg: &mut Markup) -> f64 {
    let Panel { left, right, name, .. } = *panel;
    svg.words(left, top + 11.0, "strong", Anchor::Start, "mm/h");
    let y = top + 20.0;
    let count = RAIN_BREAKS_MM_H.len() as f64 + 1.0;
    // The last class has no bound at its right, so no label sticks out there.
    let width = ((right - left) / count).floor();
    for (class, bound) in RAIN_BREAKS_MM_H.iter().enumerate() {
        let x = left + width * (class as f64 + 1.0);
        draw_swatch(RATES, class, (x, y, width), name, svg);
        svg.path("line", &format!("M{} {}v5", N(x), N(y + SWATCH_HEIGHT)));
        svg.words(x, y + SWATCH_HEIGHT + 18.0, "", Anchor::Middle, &bound.to_string());
    }
    svg.words(left, y + SWATCH_HEIGHT + 18.0, "", Anchor::Start, "0");
    svg.rect("line", left, y, width * count, SWATCH_HEIGHT);
    y + SWATCH_HEIGHT + 22.0
}

/// The colour of a class with its texture, from a corner (x, y) on so wide.
fn draw_swatch(
    shades: Shades,
    class: usize,
    (x, y, width): (f64, f64, f64),
    name: &str,
    svg: &mut Markup,
) {
    svg.rect(shades.colours[class], x, y, width, SWATCH_HEIGHT);
    if let Some(texture) = shades.texture(class) {
        let (x, y, width) = (N(x), N(y), N(width));
        svg.put(format_args!(
            "<rect x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{SWATCH_HEIGHT}\" \
             fill=\"url(#{name}-{texture})\"/>\n"
        ));
    }
}

/// The classes of chances under each other, each with its words beside it.
fn draw_chances(keys: ChanceKeys<'_>, panel: &Panel<'_>, top: f64, svg: &mut Markup) -> f64 {
    let Panel { left, right, name, .. } = *panel;
    let words_left = left + SWATCH_WIDTH + 11.0;
    let mut y = top;
    for line in Letters::SmallBold.wrapped(keys.heading, right - left, 3) {
        svg.words(left, y + 11.0, "strong", Anchor::Start, &line);
        y += 17.0;
    }
    y += 3.0;
    for (class, label) in keys.labels.iter().take(keys.shades.colours.len() + 1).enumerate().rev() {
        if let Some(class) = class.checked_sub(1) {
            draw_swatch(keys.shades, class, (left, y, SWATCH_WIDTH), name, svg);
        }
        svg.rect("line", left, y, SWATCH_WIDTH, SWATCH_HEIGHT);
        let lines = Letters::Small.wrapped(label, right - words_left, 2);
        let mut line_y = y + 16.5 - 8.0 * (lines.len().max(1) - 1) as f64;
        for line in lines {
            svg.words(words_left, line_y, "", Anchor::Start, &line);
            line_y += 16.0;
        }
        y += SWATCH_HEIGHT + 8.0;
    }
    y - 8.0
}

/// The texture of what was not measured with its words; returns the y under it.
fn draw_not_measured(map: &RainMap, panel: &Panel<'_>, y: f64, svg: &mut Markup) -> f64 {
    let Panel { left, name, .. } = *panel;
    svg.put(format_args!(
        "<rect x=\"{}\" y=\"{}\" width=\"{SWATCH_WIDTH}\" height=\"{SWATCH_HEIGHT}\" \
         fill=\"url(#{name}-cross)\"/>\n",
        N(left),
        N(y)
    ));
    svg.rect("line", left, y, SWATCH_WIDTH, SWATCH_HEIGHT);
    svg.words(left + SWATCH_WIDTH + 11.0, y + 16.5, "", Anchor::Start, &map.not_measured_label);
    y + SWATCH_HEIGHT + 24.0
}

/// An arrow the way rain goes, with its words; nothing for rain that stands or is not known to move.
fn draw_motion(map: &RainMap, panel: &Panel<'_>, top: f64, svg: &mut Markup) -> f64 {
    let Some(motion) = &map.motion else { return top };
    let long = motion.east_km_h.hypot(motion.north_km_h);
    if !(long.is_finite() && long > 0.0) {
        return top;
    }
    let (dx, dy) = (motion.east_km_h / long, -motion.north_km_h / long);
    let (x, y) = (panel.left + SWATCH_WIDTH / 2.0, top + 20.0);
    let (tip_x, tip_y) = (x + dx * 18.0, y + dy * 18.0);
    let mut d = format!("M{} {}L{} {}", N(x - dx * 18.0), N(y - dy * 18.0), N(tip_x), N(tip_y));
    for side in [-1.0, 1.0] {
        // Barbs a third of a right angle off the shaft.
        let (back_x, back_y) = (-dx * 0.87 - side * dy * 0.5, -dy * 0.87 + side * dx * 0.5);
        let (barb_x, barb_y) = (N(tip_x + back_x * 11.0), N(tip_y + back_y * 11.0));
        put(&mut d, format_args!("M{} {}L{barb_x} {barb_y}", N(tip_x), N(tip_y)));
    }
    svg.path("line arrow", &d);
    let mut line = y;
    let words_left = panel.left + SWATCH_WIDTH + 11.0;
    let words = Letters::Small.wrapped(&motion.label, panel.right - words_left, 9);
    line += 4.5 - 8.0 * (words.len().max(1) - 1) as f64;
    for words in words {
        svg.words(words_left, line, "", Anchor::Start, &words);
        line += 16.0;
    }
    line.max(top + 40.0) + 20.0
}

/// A bar of a round number of kilometres and the way up.
fn draw_distances(
    map: &RainMap,
    field: Field,
    panel: &Panel<'_>,
    top: f64,
    svg: &mut Markup,
) -> f64 {
    let most_km = 120.0 / field.px_per_km;
    let ten = 10f64.powf(most_km.log10().floor());
    let km = [5.0, 2.0, 1.0].into_iter().map(|n| n * ten).find(|km| *km <= most_km);
    let km = km.unwrap_or(ten);
    let (left, right) = (panel.left + 0.5, panel.left + 0.5 + km * field.px_per_km);
    let (x0, x1, y) = (N(left), N(right), N(top + 8.0));
    svg.path("line", &format!("M{x0} {y}v-6v12v-6H{x1}v-6v12"));
    svg.words(right + 9.0, top + 12.5, "", Anchor::Start, &format!("{km} km"));
    if map.north_label.trim().is_empty() {
        return top + 20.0;
    }
    let (x, y) = (panel.left + 8.0, top + 44.0);
    svg.path(
        "line",
        &format!(
            "M{0} {1}v-18M{2} {3}L{0} {4}L{5} {3}",
            N(x),
            N(y + 6.0),
            N(x - 4.0),
            N(y - 6.0),
            N(y - 12.0),
            N(x + 4.0)
        ),
    );
    svg.words(x + 13.0, y + 2.0, "", Anchor::Start, &map.north_label);
    top + 56.0
}
