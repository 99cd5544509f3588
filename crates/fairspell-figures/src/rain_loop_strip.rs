//! The strip under a loop: where among all frames the one that shows lies.

use crate::lettering::Letters;
use crate::map_sheet::Point;
use crate::markup::{Anchor, Markup, N, put};
use crate::rain_loop::{LoopFrame, RainLoop};

const HEIGHT: f64 = 12.0;
/// Between the last that was seen and the first that is coming.
const APART: f64 = 8.0;

/// A box for each frame side by side: whole ones for what was seen, broken ones for what is coming.
pub(crate) struct Strip<'a> {
    rain_loop: &'a RainLoop,
    left: f64,
    top: f64,
    step: f64,
}

impl<'a> Strip<'a> {
    pub(crate) fn new(rain_loop: &'a RainLoop, (left, top): Point, width: f64) -> Self {
        let step = (width - APART) / rain_loop.frames.len().max(1) as f64;
        // Two frames need not be half a page wide.
        Self { rain_loop, left, top: top + 18.0, step: step.min(24.0) }
    }

    pub(crate) fn bottom(&self) -> f64 {
        if self.rain_loop.frames.is_empty() { self.top - 18.0 } else { self.top + HEIGHT + 22.0 }
    }

    fn x(&self, index: usize) -> f64 {
        let is_coming = self.rain_loop.frames.get(index).is_some_and(LoopFrame::is_coming);
        self.left + self.step * index as f64 + if is_coming { APART } else { 0.0 }
    }

    /// All boxes, with the word over each kind and its first and last times under them.
    pub(crate) fn draw(&self, svg: &mut Markup) {
        let frames = &self.rain_loop.frames;
        let kinds =
            [("seen", &self.rain_loop.seen_label), ("coming", &self.rain_loop.coming_label)];
        let mut free = self.left;
        for (class, words) in kinds {
            let is_coming = class == "coming";
            let of_kind: Vec<usize> =
                (0..frames.len()).filter(|index| frames[*index].is_coming() == is_coming).collect();
            let (Some(first), Some(last)) = (of_kind.first(), of_kind.last()) else { continue };
            let mut d = String::new();
            for index in &of_kind {
                let (x, y, w) = (N(self.x(*index) + 0.5), N(self.top), N(self.step - 3.0));
                put(&mut d, format_args!("M{x} {y}h{w}v{HEIGHT}h-{w}z"));
            }
            svg.path(&format!("line {class}"), &d);
            let x = self.x(*first).max(free);
            svg.words(x, self.top - 6.0, "strong", Anchor::Start, words);
            free = x + Letters::SmallBold.width_px(words) + 10.0;
            let wide = self.x(*last) + self.step - self.x(*first);
            let under = self.top + HEIGHT + 16.0;
            let labels = [&frames[*first].label, &frames[*last].label];
            let needed: f64 = labels.iter().map(|label| Letters::Small.width_px(label) + 6.0).sum();
            svg.words(self.x(*first), under, "", Anchor::Start, labels[0]);
            if first != last && needed <= wide {
                svg.words(self.x(*first) + wide - 3.0, under, "", Anchor::End, labels[1]);
            }
        }
    }

    /// The box of a frame while it shows.
    pub(crate) fn draw_shown(&self, index: usize, svg: &mut Markup) {
        let (x, y) = (self.x(index), self.top - 2.0);
        svg.rect("ink", x, y, self.step - 2.0, HEIGHT + 4.0);
    }
}
