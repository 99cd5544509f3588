//! The key under a year: each part as it looks, and what it is called.

use crate::lettering::Letters;
use crate::map_page::Layout;
use crate::markup::{Anchor, Markup, N, Rules, put};
use crate::palette::Palette;
use crate::year::{Year, YearLight};
use crate::year_field::LIGHTS;

/// A sample's size, pixels.
const SAMPLE: (f64, f64) = (34.0, 16.0);

/// From one line of the key to the next, pixels.
const ROW_PX: f64 = 26.0;

enum Part {
    Light(YearLight),
    Flooded,
    Line(&'static str),
}

/// Draws the key and returns the y under it.
pub(crate) fn draw_key(year: &Year, layout: &Layout, top: f64, svg: &mut Markup) -> f64 {
    let key = &year.key;
    let mut parts: Vec<(Part, &str)> = LIGHTS
        .iter()
        .map(|light| {
            let label = match light {
                YearLight::HighSun => &key.high_sun,
                YearLight::LowSun => &key.low_sun,
                YearLight::Shade => &key.shade,
                YearLight::Glow => &key.glow,
                YearLight::Dark => &key.dark,
            };
            (Part::Light(*light), label.as_str())
        })
        .collect();
    if year.days.iter().any(|day| !day.flooded.is_empty()) {
        parts.push((Part::Flooded, &key.flooded));
    }
    parts.push((Part::Line("direct"), &key.last_direct));
    parts.push((Part::Line("usable"), &key.last_usable));
    parts.retain(|(_, label)| !label.trim().is_empty());
    let room = layout.right - layout.left;
    let widest = parts.iter().map(|(_, label)| Letters::Small.width_px(label)).fold(0.0, f64::max);
    let column_px = SAMPLE.0 + 10.0 + widest + 24.0;
    let columns =
        if 3.0 * column_px <= room { 3 } else { 1 + usize::from(2.0 * column_px <= room) };
    let rows = parts.len().div_ceil(columns);
    for (index, (part, label)) in parts.iter().enumerate() {
        let x = layout.left + column_px * (index / rows) as f64;
        let y = top + ROW_PX * (index % rows) as f64;
        draw_sample(part, (x, y), svg);
        svg.words(x + SAMPLE.0 + 10.0, y + 13.0, "", Anchor::Start, label);
    }
    top + ROW_PX * rows as f64
}

fn draw_sample(part: &Part, (x, y): (f64, f64), svg: &mut Markup) {
    let (width, height) = SAMPLE;
    let mut bars = String::new();
    match part {
        Part::Light(light) => {
            let is_shade = *light == YearLight::Shade;
            svg.rect(if is_shade { "ground" } else { light.class() }, x, y, width, height);
            for bar in (1..6).filter(|_| is_shade) {
                let x = x + 6.0 * f64::from(bar);
                put(&mut bars, format_args!("M{} {}v{}", N(x), N(y), N(height)));
            }
            svg.path("thread-bar", &bars);
        }
        Part::Flooded => {
            for bar in 0..4 {
                put(
                    &mut bars,
                    format_args!("M{} {}h{}", N(x), N(y + 2.0 + 4.0 * f64::from(bar)), N(width)),
                );
            }
            svg.path("water-bar", &bars);
        }
        Part::Line(class) => {
            let line = format!("M{} {}h{}", N(x), N(y + height / 2.0), N(width));
            svg.path(&format!("line {class}"), &line);
            return;
        }
    }
    svg.rect("line", x, y, width, height);
}

pub(crate) fn key_rules(rules: &mut Rules<'_>, palette: &Palette) {
    let Palette { rain, hairline, .. } = palette;
    rules.add(".thread-bar", format_args!("stroke:{hairline};stroke-width:.8"));
    rules.add(".water-bar", format_args!("stroke:{rain};stroke-width:1.6"));
}
