//! The list under a loop: a box for each frame with its time in it.

use crate::lettering::Letters;
use crate::map_sheet::{Point, Sheet};
use crate::markup::{Anchor, Markup};
use crate::rain_loop::{LoopFrame, RainLoop};

const BOX_HEIGHT: f64 = 28.0;
const SPACE: f64 = 4.0;

/// All frames by their time, those that were measured and those that are coming apart.
pub(crate) struct FrameList<'a> {
    rain_loop: &'a RainLoop,
    /// A box for each frame.
    boxes: Vec<Sheet>,
    /// The words over each of the two kinds.
    words: Vec<(Point, &'a str)>,
    bottom: f64,
}

impl<'a> FrameList<'a> {
    pub(crate) fn new(rain_loop: &'a RainLoop, (left, top): Point, width: f64) -> Self {
        let frames = &rain_loop.frames;
        let widest = frames
            .iter()
            .map(|frame| Letters::SmallBold.width_px(frame.label.trim()))
            .fold(0.0, f64::max);
        let box_width = (widest + 5.0).min(width);
        let mut list = Self { rain_loop, boxes: Vec::new(), words: Vec::new(), bottom: top };
        let nowhere = Sheet { left, top, width: box_width, height: BOX_HEIGHT };
        list.boxes = vec![nowhere; frames.len()];
        let kinds = [(false, &rain_loop.measured_label), (true, &rain_loop.coming_label)];
        for (is_coming, label) in kinds {
            let of_kind: Vec<usize> =
                (0..frames.len()).filter(|index| frames[*index].is_coming == is_coming).collect();
            if of_kind.is_empty() {
                continue;
            }
            list.words.push(((left, list.bottom + 13.0), label));
            let mut x = left;
            let mut y = list.bottom + 20.0;
            for index in of_kind {
                if x > left && x + box_width > left + width {
                    x = left;
                    y += BOX_HEIGHT + SPACE;
                }
                list.boxes[index] = Sheet { left: x, top: y, ..nowhere };
                x += box_width + SPACE;
            }
            list.bottom = y + BOX_HEIGHT + 8.0;
        }
        list
    }

    pub(crate) fn bottom(&self) -> f64 {
        self.bottom
    }

    pub(crate) fn draw(&self, svg: &mut Markup) {
        for (at, words) in &self.words {
            svg.words(at.0, at.1, "strong", Anchor::Start, words);
        }
        for (frame, place) in self.rain_loop.frames.iter().zip(&self.boxes) {
            let class = if frame.is_coming { "coming" } else { "measured" };
            svg.put(format_args!("<g class=\"{class}\">\n"));
            svg.rect("line cell", place.left, place.top, place.width, place.height);
            draw_time(frame, *place, "", svg);
            svg.put(format_args!("</g>\n"));
        }
    }

    /// The box of a frame while it shows.
    pub(crate) fn draw_shown(&self, index: usize, svg: &mut Markup) {
        if let (Some(frame), Some(place)) =
            (self.rain_loop.frames.get(index), self.boxes.get(index))
        {
            svg.rect("shown", place.left, place.top, place.width, place.height);
            draw_time(frame, *place, "strong onink", svg);
        }
    }
}

fn draw_time(frame: &LoopFrame, place: Sheet, class: &str, svg: &mut Markup) {
    let (x, y) = (place.left + place.width / 2.0, place.top + BOX_HEIGHT / 2.0 + 4.5);
    let label = Letters::SmallBold.shortened(&frame.label, place.width - 4.0);
    svg.words(x, y, class, Anchor::Middle, &label);
}
