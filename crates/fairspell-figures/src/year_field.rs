//! The picture itself: runs of light, the water over them, the two lines.

use crate::markup::{Markup, N, Rules, put};
use crate::palette::Palette;
use crate::year::{Year, YearDay, YearLight};

/// All kinds of light, in the order in which they are drawn and named.
pub(crate) const LIGHTS: [YearLight; 5] =
    [YearLight::HighSun, YearLight::LowSun, YearLight::Shade, YearLight::Glow, YearLight::Dark];

impl YearLight {
    /// Its class in the drawing.
    pub(crate) fn class(self) -> &'static str {
        match self {
            YearLight::HighSun => "high-sun",
            YearLight::LowSun => "low-sun",
            YearLight::Shade => "shade",
            YearLight::Glow => "glow",
            YearLight::Dark => "dark",
        }
    }
}

/// The picture laid over a page.
pub(crate) struct Field<'a> {
    pub(crate) year: &'a Year,
    pub(crate) left: f64,
    pub(crate) right: f64,
    pub(crate) top: f64,
    pub(crate) bottom: f64,
}

impl Field<'_> {
    fn day_px(&self) -> f64 {
        (self.right - self.left) / self.year.days.len().max(1) as f64
    }

    fn minute_px(&self) -> f64 {
        (self.bottom - self.top) / (self.year.to_min - self.year.from_min)
    }

    /// Where a day begins.
    pub(crate) fn x(&self, day: usize) -> f64 {
        self.left + self.day_px() * day as f64
    }

    /// Where a minute lies; `None` outside the hours shown.
    pub(crate) fn y(&self, at_min: f64) -> Option<f64> {
        let shown = self.year.from_min..=self.year.to_min;
        shown.contains(&at_min).then(|| self.top + (at_min - self.year.from_min) * self.minute_px())
    }

    /// Draws in days and minutes, whole numbers, and has the picture scaled: a year is a lot of text.
    pub(crate) fn draw(&self, name: &str, svg: &mut Markup) {
        let (day_px, minute_px) = (self.day_px(), self.minute_px());
        self.define_textures(name, svg);
        svg.put(format_args!(
            "<g transform=\"translate({} {}) scale({day_px:.4} {minute_px:.4}) translate(0 {})\" \
             shape-rendering=\"crispEdges\">\n",
            N(self.left),
            N(self.top),
            N(-self.year.from_min),
        ));
        for light in LIGHTS {
            let of_light = |day: &YearDay| {
                let runs = day.light.iter().filter(|run| run.light == light);
                runs.map(|run| (run.from_min, run.to_min)).collect()
            };
            let boxes = self.boxes(of_light);
            match light {
                YearLight::Shade => textured("shade", &boxes, &format!("{name}-s"), svg),
                _ => svg.path(light.class(), &boxes),
            }
        }
        let flooded = self.boxes(|day| day.flooded.clone());
        textured("flooded", &flooded, &format!("{name}-w"), svg);
        svg.put(format_args!("</g>\n"));
        let direct = self.steps(|day| day.last_direct_min);
        let usable = self.steps(|day| day.last_usable_min);
        for line in [&direct, &usable] {
            svg.path("rim", line);
        }
        svg.path("line direct", &direct);
        svg.path("line usable", &usable);
        let (width, height) = (self.right - self.left, self.bottom - self.top);
        svg.rect("line", self.left, self.top, width, height);
    }

    /// Shade has upright hairlines, water level bars: told apart without colour.
    fn define_textures(&self, name: &str, svg: &mut Markup) {
        let (day, minute) = (1.0 / self.day_px(), 1.0 / self.minute_px());
        svg.put(format_args!(
            "<pattern id=\"{name}-s\" patternUnits=\"userSpaceOnUse\" width=\"{0:.3}\" height=\"60\">\
             <rect class=\"ground\" width=\"{0:.3}\" height=\"60\"/><rect class=\"thread\" width=\"{1:.3}\" height=\"60\"/></pattern>\n\
             <pattern id=\"{name}-w\" patternUnits=\"userSpaceOnUse\" width=\"10\" height=\"{2:.3}\">\
             <rect class=\"water\" width=\"10\" height=\"{3:.3}\"/></pattern>\n",
            6.0 * day,
            0.8 * day,
            4.0 * minute,
            1.6 * minute,
        ));
    }

    /// Stretches of all days as boxes; days with the same stretch share one.
    fn boxes(&self, of: impl Fn(&YearDay) -> Vec<(f64, f64)>) -> String {
        let mut d = String::new();
        let days: Vec<Vec<(f64, f64)>> =
            self.year.days.iter().map(|day| self.shown(of(day))).collect();
        for (first, stretches) in days.iter().enumerate() {
            for stretch in stretches {
                let has = |day: usize| days.get(day).is_some_and(|day| day.contains(stretch));
                if first > 0 && has(first - 1) {
                    continue;
                }
                let mut after = first + 1;
                while has(after) {
                    after += 1;
                }
                let (from, to) = stretch;
                let (days, high) = (after - first, N(to - from));
                put(&mut d, format_args!("M{first} {}h{days}v{high}h-{days}z", N(*from)));
            }
        }
        d
    }

    /// What of some stretches can be shown, to the minute.
    fn shown(&self, stretches: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
        let (first, last) = (self.year.from_min, self.year.to_min);
        let cut = |(from, to): (f64, f64)| (from.max(first).round(), to.min(last).round());
        let is_sound = |(from, to): &(f64, f64)| from.is_finite() && to.is_finite();
        stretches.into_iter().filter(is_sound).map(cut).filter(|(from, to)| from < to).collect()
    }

    /// A moment of each day as a line of steps, broken where a day has none.
    fn steps(&self, of: impl Fn(&YearDay) -> Option<f64>) -> String {
        let mut d = String::new();
        let mut is_open = false;
        for (index, day) in self.year.days.iter().enumerate() {
            let Some(y) = of(day).and_then(|at_min| self.y(at_min)) else {
                is_open = false;
                continue;
            };
            if is_open {
                put(&mut d, format_args!("V{}H{}", N(y), N(self.x(index + 1))));
            } else {
                put(
                    &mut d,
                    format_args!("M{} {}H{}", N(self.x(index)), N(y), N(self.x(index + 1))),
                );
            }
            is_open = true;
        }
        d
    }
}

fn textured(class: &str, boxes: &str, pattern: &str, svg: &mut Markup) {
    if !boxes.is_empty() {
        svg.put(format_args!("<path class=\"{class}\" fill=\"url(#{pattern})\" d=\"{boxes}\"/>\n"));
    }
}

pub(crate) fn field_rules(rules: &mut Rules<'_>, palette: &Palette) {
    let [_, high, gold, _, glow, dark] = palette.light;
    let Palette { paper, ink, rain, hairline, .. } = palette;
    for (class, tone) in [("high-sun", high), ("low-sun", gold), ("glow", glow), ("dark", dark)] {
        rules.add(&format!(".{class}"), format_args!("fill:{tone}"));
    }
    rules.add(".ground", format_args!("fill:{paper}"));
    rules.add(".thread", format_args!("fill:{hairline}"));
    rules.add(".water", format_args!("fill:{rain}"));
    rules.add(".direct", format_args!("stroke-width:2"));
    rules.add(".usable", format_args!("stroke-width:2;stroke-dasharray:5 3"));
    rules.add(".rim", format_args!("fill:none;stroke:{paper};stroke-width:4"));
    rules.add("rect.line", format_args!("stroke:{ink}"));
}
