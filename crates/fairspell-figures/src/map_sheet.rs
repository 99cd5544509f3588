//! The part of a page that a map lies on: lines cut to it, names that keep clear of each other.

use crate::lettering::Letters;
use crate::markup::{Anchor, Markup, N, put};

/// A point of the page.
pub(crate) type Point = (f64, f64);

/// A rectangle of the page, pixels.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sheet {
    pub(crate) left: f64,
    pub(crate) top: f64,
    pub(crate) width: f64,
    pub(crate) height: f64,
}

impl Sheet {
    pub(crate) fn right(&self) -> f64 {
        self.left + self.width
    }

    pub(crate) fn bottom(&self) -> f64 {
        self.top + self.height
    }

    pub(crate) fn holds(&self, (x, y): Point) -> bool {
        (self.left..=self.right()).contains(&x) && (self.top..=self.bottom()).contains(&y)
    }

    /// On which sides of the sheet a point lies, as a set of bits.
    fn side(&self, (x, y): Point) -> u8 {
        u8::from(x < self.left)
            | u8::from(x > self.right()) << 1
            | u8::from(y < self.top) << 2
            | u8::from(y > self.bottom()) << 3
    }

    /// Lines as one path, without what cannot be seen: parts off the sheet, bends and whole islands
    /// smaller than `bend_px`. A point that is not there breaks its line.
    pub(crate) fn path(
        &self,
        lines: impl Iterator<Item = Vec<Option<Point>>>,
        bend_px: f64,
    ) -> String {
        let mut d = String::new();
        for line in lines {
            let mut pen = Pen { d: &mut d, at: None, is_down: false };
            let mut before: Option<Point> = None;
            let mut held: Option<Point> = None;
            for point in line {
                match (before, point) {
                    (Some(from), Some(to)) if self.side(from) & self.side(to) == 0 => {
                        if pen.at.is_none() {
                            pen.at = Some(from);
                        }
                        held = pen.go_to(to, bend_px);
                    }
                    _ => {
                        // A line ends where it ends, however near that is to its last bend.
                        if let Some(end) = held.take().filter(|_| pen.is_down) {
                            pen.go_to(end, 0.0);
                        }
                        (pen.at, pen.is_down) = (None, false);
                    }
                }
                before = point;
            }
            if let Some(end) = held.filter(|_| pen.is_down) {
                pen.go_to(end, 0.0);
            }
        }
        d
    }

    /// Opens a group that cuts what follows to the sheet.
    pub(crate) fn open_clip(&self, id: &str, svg: &mut Markup) {
        let Self { left, top, width, height } = *self;
        let (x, y, w, h) = (N(left), N(top), N(width), N(height));
        svg.put(format_args!(
            "<clipPath id=\"{id}\"><rect x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\"/></clipPath>\n\
             <g clip-path=\"url(#{id})\">\n"
        ));
    }
}

/// What draws a line in steps from where it is, which takes half the letters of saying where it goes.
struct Pen<'a> {
    d: &'a mut String,
    /// Rounded as it was written, so that roundings do not add up.
    at: Option<Point>,
    is_down: bool,
}

impl Pen<'_> {
    /// Draws to a point, or holds back and returns it where it is too near.
    fn go_to(&mut self, to: Point, bend_px: f64) -> Option<Point> {
        let from = self.at?;
        if (to.0 - from.0).abs().max((to.1 - from.1).abs()) < bend_px {
            return Some(to);
        }
        let tenth = |value: f64| (value * 10.0).round() / 10.0;
        let start = (tenth(from.0), tenth(from.1));
        if !self.is_down {
            put(self.d, format_args!("M{} {}l", N(start.0), N(start.1)));
        } else if !self.d.ends_with('l') {
            self.d.push(' ');
        }
        let end = (tenth(to.0), tenth(to.1));
        put(self.d, format_args!("{} {}", N(end.0 - start.0), N(end.1 - start.1)));
        (self.at, self.is_down) = (Some(end), true);
        None
    }
}

/// Names on a sheet, none of which covers another while there is room elsewhere.
pub(crate) struct Names {
    sheet: Sheet,
    /// What is taken: left, top, right, bottom.
    taken: Vec<(f64, f64, f64, f64)>,
}

impl Names {
    pub(crate) fn new(sheet: Sheet) -> Self {
        Self { sheet, taken: Vec::new() }
    }

    /// Keeps names off a rectangle: left, top, right, bottom.
    pub(crate) fn take(&mut self, extent: (f64, f64, f64, f64)) {
        self.taken.push(extent);
    }

    pub(crate) fn is_free(&self, (x0, y0, x1, y1): (f64, f64, f64, f64)) -> bool {
        self.sheet.holds((x0, y0))
            && self.sheet.holds((x1, y1))
            && self.taken.iter().all(|t| x1 < t.0 || t.2 < x0 || y1 < t.1 || t.3 < y0)
    }

    /// Dots with their names beside them, of the places that lie on the sheet.
    pub(crate) fn draw_places<'a>(
        &mut self,
        places: impl Iterator<Item = (Point, &'a str)>,
        svg: &mut Markup,
    ) {
        let on_map: Vec<(Point, &str)> =
            places.filter(|(point, _)| self.sheet.holds(*point)).collect();
        for ((x, y), _) in &on_map {
            let (cx, cy) = (N(*x), N(*y));
            svg.put(format_args!("<circle class=\"place\" cx=\"{cx}\" cy=\"{cy}\" r=\"4\"/>\n"));
            self.take((x - 6.0, y - 6.0, x + 6.0, y + 6.0));
        }
        for ((x, y), label) in on_map {
            let label = Letters::SmallBold.shortened(label, self.sheet.width);
            let wide = Letters::SmallBold.width_px(&label);
            let at = [
                (x + 9.0, y + 4.5),
                (x - 9.0 - wide, y + 4.5),
                (x - wide / 2.0, y - 10.0),
                (x - wide / 2.0, y + 20.0),
            ];
            let extent = |(left, line): Point| (left, line - 11.0, left + wide, line + 3.0);
            let free = at.into_iter().find(|place| self.is_free(extent(*place)));
            // Where all is taken a name may cover another, but it stays on the sheet.
            let most = (self.sheet.right() - wide - 2.0).max(self.sheet.left + 2.0);
            let place = free.unwrap_or((at[0].0.min(most), at[0].1));
            self.take(extent(place));
            svg.words(place.0, place.1, "strong clear", Anchor::Start, &label);
        }
    }
}
