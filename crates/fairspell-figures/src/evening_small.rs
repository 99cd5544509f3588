//! The evening in a list: the same band without looks and words.

use crate::band::{Band, Measures, band_rules};
use crate::evening::Evening;
use crate::markup::{Frame, Markup, N, document, name_of, put};
use crate::palette::{Palette, Theme};

const WIDTH: f64 = 160.0;
const HEIGHT: f64 = 28.0;
const MEASURES: Measures = Measures {
    left: 1.0,
    right: 159.0,
    top: 6.0,
    base: 24.5,
    stroke_area: 12.0,
    stroke_length: 4.6,
    frame_clearance: 1.2,
    frame_rise: 1.5,
};

pub(crate) fn draw(evening: &Evening, theme: Theme) -> String {
    let name = name_of(format_args!("small{theme:?}{evening:?}"));
    let mut svg = Markup::default();
    let band = Band::new(evening, MEASURES);
    if let Some(band) = &band {
        band.draw_light(&mut svg, &name);
        band.draw_rain(&mut svg);
        band.draw_base(&mut svg);
        band.draw_frames(&mut svg);
        let mut dashes = String::new();
        for (from, to) in band.doubts() {
            put(&mut dashes, format_args!("M{} 3H{}", N(from), N(to)));
        }
        svg.path("line doubt", &dashes);
        for danger in &evening.dangers {
            if let Some((from, to)) = band.extent(danger.from_min, danger.to_min) {
                svg.rect("ink", from, 0.0, (to - from).max(1.5), 5.0);
            }
        }
        let mut hours = String::new();
        for tick in evening.ticks.iter().filter(|tick| tick.rank == 0) {
            if let Some(x) = band.moment(tick.at_min) {
                put(&mut hours, format_args!("M{} {}v3", N(x), N(MEASURES.base)));
            }
        }
        svg.path("line", &hours);
    }
    let (title, description) = evening.in_words();
    let frame = Frame {
        name: &name,
        width: WIDTH,
        height: HEIGHT,
        own_size: false,
        title,
        description,
        theme,
    };
    document(
        &frame,
        &|rules, palette: &Palette| {
            rules.add(".line", format_args!("stroke-width:.8"));
            rules.add(".hair", format_args!("stroke-width:.6"));
            rules.add(".frame", format_args!("stroke-width:1"));
            rules.add(".doubt", format_args!("stroke-width:1.8"));
            rules.add(".broken", format_args!("stroke-dasharray:1 2"));
            band_rules(rules, palette, 0.8);
            if let Some(band) = &band {
                band.light_rules(rules, palette);
            }
        },
        &svg,
    )
}
