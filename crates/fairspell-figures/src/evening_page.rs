//! The evening as the one large thing on a page: heading, band, clock, marks, looks.

use crate::band::{Band, Measures, band_rules};
use crate::evening::Evening;
use crate::evening_above::Above;
use crate::evening_below::{draw_clock, draw_marks};
use crate::evening_looks::draw_looks;
use crate::lettering::{Letters, lines};
use crate::markup::{Anchor, Frame, Markup, N, document, name_of};
use crate::palette::{Palette, Theme};
use crate::rain_pieces::stretches;

/// What differs between a desk and a phone.
pub(crate) struct Page {
    /// Tells the names of its parts from those of another page in the same document.
    kind: &'static str,
    pub(crate) width: f64,
    pub(crate) left: f64,
    pub(crate) right: f64,
    /// The heading is broken into at most so many lines.
    heading_lines: usize,
    /// How the summary is broken.
    summary: fn(&str) -> Vec<String>,
    /// Longer words of a look end in an ellipsis.
    pub(crate) look_words_width: f64,
}

/// A desk, a laptop, a tablet, paper.
pub(crate) const LARGE: Page = Page {
    kind: "large",
    width: 960.0,
    left: 24.0,
    right: 936.0,
    heading_lines: 1,
    summary: |text| lines(text, Letters::Summary, LARGE.text_width(), 3),
    look_words_width: 176.0,
};

/// A phone held upright. Names have all of its width: what doesn't fit beside goes below.
pub(crate) const NARROW: Page = Page {
    kind: "narrow",
    width: 360.0,
    left: 12.0,
    right: 348.0,
    heading_lines: 3,
    summary: |text| Letters::Summary.wrapped(text, NARROW.text_width(), 7),
    look_words_width: 336.0,
};

const BAND_HEIGHT: f64 = 96.0;

impl Page {
    /// From margin to margin.
    pub(crate) fn text_width(&self) -> f64 {
        self.right - self.left
    }

    /// Heading and summary; returns the y under them.
    fn draw_words(&self, evening: &Evening, svg: &mut Markup) -> f64 {
        let mut y = 16.0;
        let heading =
            Letters::Heading.wrapped(&evening.heading, self.text_width(), self.heading_lines);
        for (index, line) in heading.iter().enumerate() {
            y += if index == 0 { 20.0 } else { 25.0 };
            svg.words(self.left, y, "heading", Anchor::Start, line);
        }
        if !heading.is_empty() {
            y += 4.0;
        }
        for line in (self.summary)(&evening.summary) {
            y += 21.0;
            svg.words(self.left, y, "summary", Anchor::Start, &line);
        }
        y + 16.0
    }
}

pub(crate) fn draw(evening: &Evening, page: &Page, theme: Theme) -> String {
    let name = name_of(format_args!("{}{theme:?}{evening:?}", page.kind));
    let mut svg = Markup::default();
    let mut y = page.draw_words(evening, &mut svg);
    let mut measures = Measures {
        left: page.left,
        right: page.right,
        top: 0.0,
        base: 0.0,
        stroke_area: 62.0,
        stroke_length: 9.5,
        frame_clearance: 2.0,
        frame_rise: 4.0,
    };
    // What stands above the band says how far down the band begins; only x is needed for that.
    let above = Band::new(evening, measures).map(|band| Above::new(evening, page, &band));
    y += above.as_ref().map_or(0.0, Above::height);
    measures.top = y;
    measures.base = y + BAND_HEIGHT;
    let band = Band::new(evening, measures);
    if let (Some(band), Some(above)) = (&band, &above) {
        band.draw_light(&mut svg, &name);
        band.draw_rain(&mut svg);
        draw_not_known(evening, band, &mut svg);
        band.draw_base(&mut svg);
        band.draw_frames(&mut svg);
        above.draw(measures, &mut svg);
        y = measures.base;
        let clock = draw_clock(&evening.ticks, page, band, &mut svg);
        y += 22.0;
        y = draw_marks(&evening.marks, page, band, &clock, y, &mut svg);
        y = draw_looks(&evening.looks, page, band, y, &mut svg);
    }
    let (title, description) = evening.in_words();
    let frame = Frame {
        name: &name,
        width: page.width,
        height: y + 16.0,
        own_size: false,
        title,
        description,
        theme,
    };
    document(
        &frame,
        &|rules, palette: &Palette| {
            rules.add(".frame", format_args!("stroke-width:1.6;stroke-linejoin:round"));
            rules.add(".doubt", format_args!("stroke-width:3.5"));
            rules.add(".broken", format_args!("stroke-dasharray:2 4"));
            rules.add(".leader", format_args!("stroke-width:.8"));
            rules.add(".hour", format_args!("stroke-width:1.5"));
            rules.add(".end", format_args!("stroke-width:2"));
            rules.add(".sign", format_args!("stroke-width:2.5"));
            rules.add(".dash", format_args!("stroke-width:3.5;stroke-dasharray:6 5"));
            rules.add(".proposed", format_args!("fill:{}", palette.paper));
            rules.add(".onink", format_args!("fill:{}", palette.paper));
            band_rules(rules, palette, 1.35);
            if let Some(band) = &band {
                band.light_rules(rules, palette);
            }
        },
        &svg,
    )
}

/// The words on bare paper: across where there is room, else upright, else only the broken line.
fn draw_not_known(evening: &Evening, band: &Band<'_>, svg: &mut Markup) {
    let Measures { top, base, .. } = band.measures;
    let wide = Letters::Small.width_px(&evening.not_known_label);
    for (from, to, _) in stretches(&band.pieces).into_iter().filter(|stretch| !stretch.2) {
        let (from, to) = (band.x(from), band.x(to));
        let (x, y) = (f64::midpoint(from, to), f64::midpoint(top, base) + 4.5);
        if wide + 8.0 <= to - from {
            svg.words(x, y, "clear", Anchor::Middle, &evening.not_known_label);
        } else if to - from >= 18.0 && wide + 8.0 <= base - top {
            svg.put(format_args!("<g transform=\"rotate(-90 {} {})\">", N(x), N(y - 4.5)));
            svg.words(x, y, "clear", Anchor::Middle, &evening.not_known_label);
            svg.put(format_args!("</g>\n"));
        }
    }
}
