//! The band both sizes share: light, rain, what is not known, frames of dry gaps.

use crate::evening::{DryGap, Evening};
use crate::light_line::LightLine;
use crate::markup::{Markup, N, Rules, put};
use crate::palette::{DAY, Palette};
use crate::rain_pieces::{Piece, stretches};
use crate::rain_strokes::scattered;

/// Measures of the band, pixels.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Measures {
    pub(crate) left: f64,
    pub(crate) right: f64,
    pub(crate) top: f64,
    pub(crate) base: f64,
    /// Area that holds one stroke where rain is certain.
    pub(crate) stroke_area: f64,
    /// Length of a stroke at 1 mm/h.
    pub(crate) stroke_length: f64,
    /// Half-width of the strip beside a frame that strokes stay out of.
    pub(crate) frame_clearance: f64,
    /// How far frames stand out above the band.
    pub(crate) frame_rise: f64,
}

/// An evening laid over its measures.
pub(crate) struct Band<'a> {
    pub(crate) measures: Measures,
    pub(crate) span_min: f64,
    pub(crate) pieces: Vec<Piece>,
    light: LightLine,
    gaps: &'a [DryGap],
}

impl<'a> Band<'a> {
    /// `None` when there is no span to draw.
    pub(crate) fn new(evening: &'a Evening, measures: Measures) -> Option<Self> {
        let span_min = evening.span_min;
        if !(span_min.is_finite() && span_min > 0.0) {
            return None;
        }
        let pieces = evening.pieces();
        let light = LightLine::new(&evening.light, span_min);
        Some(Self { measures, span_min, pieces, light, gaps: &evening.gaps })
    }

    /// The x of a moment, kept within the band.
    pub(crate) fn x(&self, at_min: f64) -> f64 {
        let Measures { left, right, .. } = self.measures;
        left + (at_min / self.span_min).clamp(0.0, 1.0) * (right - left)
    }

    /// Both ends of a stretch of time as x; `None` when it is not finite, ends before it begins or
    /// lies outside the evening.
    pub(crate) fn extent(&self, from_min: f64, to_min: f64) -> Option<(f64, f64)> {
        let inside = from_min < to_min && from_min < self.span_min && to_min > 0.0;
        inside.then(|| (self.x(from_min), self.x(to_min)))
    }

    /// The x of a moment of the evening; `None` outside.
    pub(crate) fn moment(&self, at_min: f64) -> Option<f64> {
        (0.0..=self.span_min).contains(&at_min).then(|| self.x(at_min))
    }

    /// The light where the rain is known, as one path; where the rain is not known nothing is
    /// drawn, and where only the light is not known an empty outline says so.
    pub(crate) fn draw_light(&self, svg: &mut Markup, name: &str) {
        let Measures { left, right, top, base, .. } = self.measures;
        let (mut area, mut surface, mut outline) = (String::new(), String::new(), String::new());
        for (from, to, known) in stretches(&self.pieces) {
            if !known {
                continue;
            }
            for (from, to, lit) in self.light.stretches(from, to) {
                if !lit {
                    let (x0, x1, top, base) = (N(self.x(from)), N(self.x(to)), N(top), N(base));
                    put(&mut outline, format_args!("M{x0} {base}V{top}H{x1}V{base}"));
                    continue;
                }
                let points = self.surface(from, to);
                for (index, (x, y)) in points.iter().enumerate() {
                    let letter = if index == 0 { 'M' } else { 'L' };
                    put(&mut surface, format_args!("{letter}{} {}", N(*x), N(*y)));
                }
                let (Some(first), Some(last)) = (points.first(), points.last()) else { continue };
                put(&mut area, format_args!("M{} {}", N(first.0), N(base)));
                for (x, y) in &points {
                    put(&mut area, format_args!("L{} {}", N(*x), N(*y)));
                }
                put(&mut area, format_args!("L{} {}Z", N(last.0), N(base)));
            }
        }
        if !area.is_empty() {
            let (left, right) = (N(left), N(right));
            svg.put(format_args!(
                "<linearGradient id=\"{name}-l\" gradientUnits=\"userSpaceOnUse\" x1=\"{left}\" \
                 x2=\"{right}\" y1=\"0\" y2=\"0\">"
            ));
            for (index, (at_min, _)) in self.light.stops().iter().enumerate() {
                let share = (at_min / self.span_min * 1000.0).round() / 1000.0;
                svg.put(format_args!("<stop class=\"l{index}\" offset=\"{share}\"/>"));
            }
            svg.put(format_args!("</linearGradient>\n"));
            svg.put(format_args!("<path fill=\"url(#{name}-l)\" d=\"{area}\"/>\n"));
        }
        svg.path("hair", &surface);
        svg.path("hair", &outline);
    }

    /// The colours of the light's stops, for the figure's style.
    pub(crate) fn light_rules(&self, rules: &mut Rules<'_>, palette: &Palette) {
        for (index, (_, elevation)) in self.light.stops().iter().enumerate() {
            let tone = palette.light_tone(*elevation);
            rules.add(&format!(".l{index}"), format_args!("stop-color:{tone}"));
        }
    }

    /// The light's upper edge between two moments at which it is known.
    fn surface(&self, from: f64, to: f64) -> Vec<(f64, f64)> {
        let inner = self.light.moments().filter(|&at| at > from && at < to);
        let moments = [from].into_iter().chain(inner).chain([to]);
        let mut points: Vec<(f64, f64)> = Vec::new();
        for at in moments {
            let Some(light) = self.light.at(at) else { continue };
            let point = (self.x(at), self.y(light.height_share()));
            // Half a pixel is finer than anybody sees and keeps minute-by-minute samples small.
            if at >= to || points.last().is_none_or(|last| point.0 - last.0 >= 0.5) {
                points.push(point);
            }
        }
        points
    }

    fn y(&self, height_share: f64) -> f64 {
        self.measures.base - height_share * (self.measures.base - self.measures.top)
    }

    /// The strokes of rain, in the rain's colour or, before deep light, in the pale one.
    pub(crate) fn draw_rain(&self, svg: &mut Markup) {
        let Measures { left, right, top, base, stroke_area, stroke_length, .. } = self.measures;
        let (width, height) = (right - left, base - top);
        let most = whole(height * height / stroke_area);
        let edges = self.frame_edges();
        let (mut rain, mut at_dusk) = (String::new(), String::new());
        for stroke in scattered(&self.pieces, self.span_min, width / height, most) {
            let (dy, dx) =
                (stroke.length * stroke_length, 0.3 * stroke.length * stroke_length * stroke.lean);
            let x = left + stroke.across * width;
            let y = top + 1.5 + dy / 2.0 + stroke.down * (height - dy - 3.0);
            // Frames are cut through the rain, and rain is cut at the ends of what is known.
            let clear = dx / 2.0 + self.measures.frame_clearance;
            if edges.iter().any(|edge| (x - edge).abs() < clear) {
                continue;
            }
            let strokes = if self.is_deep(stroke.across * self.span_min, y) {
                &mut at_dusk
            } else {
                &mut rain
            };
            let (x, y) = (N(x + dx / 2.0), N(y - dy / 2.0));
            put(strokes, format_args!("M{x} {y}l{} {}", N(-dx), N(dy)));
        }
        svg.path("rain", &rain);
        svg.path("rain dusk", &at_dusk);
    }

    /// Whether pale strokes are easier to see than the rain's own colour in front of what is there.
    fn is_deep(&self, at_min: f64, y: f64) -> bool {
        self.light.at(at_min).is_some_and(|light| {
            let tone = DAY.light_tone(light.sun_elevation_deg);
            y > self.y(light.height_share())
                && tone.contrast_ratio(DAY.rain_at_dusk) > tone.contrast_ratio(DAY.rain)
        })
    }

    fn frame_edges(&self) -> Vec<f64> {
        let mut edges = vec![self.measures.left, self.measures.right];
        for (from, to) in self.frames() {
            edges.extend([from, to]);
        }
        for (from, to, known) in stretches(&self.pieces) {
            if !known {
                edges.extend([self.x(from), self.x(to)]);
            }
        }
        edges
    }

    /// The frames of the dry gaps as x.
    pub(crate) fn frames(&self) -> Vec<(f64, f64)> {
        self.gaps.iter().filter_map(|gap| self.extent(gap.from_min, gap.to_min)).collect()
    }

    /// The thick dashes over the corners of frames: as wide as the doubt, never so thin that they
    /// cannot be seen. A doubt that is not finite reaches over the whole evening.
    pub(crate) fn doubts(&self) -> Vec<(f64, f64)> {
        let mut dashes = Vec::new();
        for gap in self.gaps {
            if self.extent(gap.from_min, gap.to_min).is_none() {
                continue;
            }
            for (at, doubt) in [(gap.from_min, gap.from_doubt_min), (gap.to_min, gap.to_doubt_min)]
            {
                let doubt = if doubt.is_finite() { doubt.abs() } else { self.span_min };
                let (from, to) = (self.x(at - doubt), self.x(at + doubt));
                let middle = self.x(at);
                let least = self.measures.stroke_length * 0.15;
                dashes.push((from.min(middle - least), to.max(middle + least)));
            }
        }
        dashes
    }

    pub(crate) fn draw_frames(&self, svg: &mut Markup) {
        let (top, base) = (self.measures.top - self.measures.frame_rise, self.measures.base);
        let mut frames = String::new();
        for (from, to) in self.frames() {
            let (x0, x1, top, base) = (N(from), N(to), N(top), N(base));
            put(&mut frames, format_args!("M{x0} {base}V{top}H{x1}V{base}"));
        }
        svg.path("line frame", &frames);
    }

    /// The line under the band: solid where rain is known, broken where it is not, with the ends of
    /// what is not known drawn as far up as the band goes.
    pub(crate) fn draw_base(&self, svg: &mut Markup) {
        let Measures { top, base, .. } = self.measures;
        let (mut solid, mut broken) = (String::new(), String::new());
        for (from, to, known) in stretches(&self.pieces) {
            let (x0, x1, top, base) = (N(self.x(from)), N(self.x(to)), N(top), N(base));
            if known {
                put(&mut solid, format_args!("M{x0} {base}H{x1}"));
            } else {
                put(&mut broken, format_args!("M{x0} {top}V{base}H{x1}V{top}"));
            }
        }
        svg.path("line", &solid);
        svg.path("line broken", &broken);
    }
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to a count")]
fn whole(value: f64) -> usize {
    value.clamp(0.0, 1e5) as usize
}

/// Rules for the band's own classes.
pub(crate) fn band_rules(rules: &mut Rules<'_>, palette: &Palette, stroke_width: f64) {
    let Palette { rain, rain_at_dusk, .. } = palette;
    rules.add(
        ".rain",
        format_args!("fill:none;stroke:{rain};stroke-width:{stroke_width};stroke-linecap:round"),
    );
    rules.add(".dusk", format_args!("stroke:{rain_at_dusk}"));
}
