//! What stands over the band: bars of danger, the minutes of dry gaps, the doubt about their ends.

use crate::band::{Band, Measures};
use crate::evening::{Danger, Evening};
use crate::evening_page::Page;
use crate::lettering::Letters;
use crate::markup::{Anchor, Markup, N, put};
use crate::rows::{packed, rows_of};

const DANGER_HEIGHT: f64 = 24.0;
/// Between one row of dangers and the next.
const DANGER_SPACE: f64 = 4.0;
/// The words of a danger that has neither room on its bar nor beside it.
const DANGER_LINES: usize = 3;
const LINE_HEIGHT: f64 = 16.0;
const LABEL_HEIGHT: f64 = 20.0;
const DASH_HEIGHT: f64 = 6.0;

/// Danger and the labels of dry gaps, laid out over the band in rows.
pub(crate) struct Above {
    dangers: Vec<DangerBar>,
    /// How high each row of dangers is, the lowest first.
    danger_rows: Vec<f64>,
    /// Middle of the words, words, row.
    gap_labels: Vec<(f64, String, usize)>,
    gap_rows: usize,
    doubts: Vec<(f64, f64)>,
    doubt_lanes: Vec<usize>,
}

impl Above {
    pub(crate) fn new(evening: &Evening, page: &Page, band: &Band<'_>) -> Self {
        let mut dangers: Vec<DangerBar> = evening
            .dangers
            .iter()
            .filter_map(|danger| DangerBar::new(danger, page, band))
            .collect();
        let extents: Vec<(f64, f64)> = dangers.iter().map(DangerBar::extent).collect();
        let mut danger_rows: Vec<f64> = Vec::new();
        for (bar, row) in dangers.iter_mut().zip(packed(&extents, 8.0)) {
            bar.row = row;
            danger_rows.resize(danger_rows.len().max(row + 1), 0.0);
            danger_rows[row] = danger_rows[row].max(bar.height());
        }
        let mut gap_labels = Vec::new();
        let mut extents = Vec::new();
        for gap in &evening.gaps {
            let Some((from, to)) = band.extent(gap.from_min, gap.to_min) else { continue };
            let text = Letters::SmallBold.shortened(&gap.label, page.text_width());
            let half = Letters::SmallBold.width_px(&text) / 2.0;
            let middle = f64::midpoint(from, to).max(page.left + half).min(page.right - half);
            extents.push((middle - half, middle + half));
            gap_labels.push((middle, text, 0));
        }
        for (label, row) in gap_labels.iter_mut().zip(packed(&extents, 10.0)) {
            label.2 = row;
        }
        let doubts = band.doubts();
        let doubt_lanes = packed(&doubts, 3.0);
        Self {
            dangers,
            danger_rows,
            gap_rows: rows_of(gap_labels.iter().map(|label| label.2)),
            gap_labels,
            doubts,
            doubt_lanes,
        }
    }

    fn dashes_height(&self) -> f64 {
        let lanes = rows_of(self.doubt_lanes.iter().copied());
        if lanes == 0 { 0.0 } else { 5.0 + DASH_HEIGHT * lanes as f64 }
    }

    fn gaps_height(&self) -> f64 {
        self.dashes_height() + LABEL_HEIGHT * self.gap_rows as f64
    }

    /// From the band's top to the bottom of a row of dangers.
    fn danger_bottom(&self, row: usize) -> f64 {
        let below: f64 = self.danger_rows[..row].iter().map(|height| height + DANGER_SPACE).sum();
        self.gaps_height() + below
    }

    /// Where words beside or over their bars stand at an x below a row, the highest first: how far
    /// their top and bottom are above the band.
    fn words_at(&self, x: f64, row: usize) -> Vec<(f64, f64)> {
        let lower = self.dangers.iter().filter(|bar| bar.row < row && bar.says_beside(x));
        let mut words: Vec<(f64, f64)> = lower
            .map(|bar| {
                let bottom = self.danger_bottom(bar.row);
                let under = if bar.side == Side::Over { bar.thickness() } else { 0.0 };
                (bottom + bar.height(), bottom + under)
            })
            .collect();
        words.sort_by(|a, b| b.0.total_cmp(&a.0));
        words
    }

    pub(crate) fn height(&self) -> f64 {
        self.danger_bottom(self.danger_rows.len())
    }

    pub(crate) fn draw(&self, measures: Measures, svg: &mut Markup) {
        let top = measures.top;
        let mut dashes = String::new();
        for ((from, to), lane) in self.doubts.iter().zip(&self.doubt_lanes) {
            let y = top - 8.0 - DASH_HEIGHT * *lane as f64;
            put(&mut dashes, format_args!("M{} {}H{}", N(*from), N(y), N(*to)));
        }
        svg.path("line doubt", &dashes);
        let mut ends = String::new();
        for bar in &self.dangers {
            for x in [bar.from + 1.0, (bar.to - 1.0).max(bar.from + 1.0)] {
                put(&mut ends, format_args!("M{} {}", N(x), N(top - self.danger_bottom(bar.row))));
                // An end steps over the words of the bars under its own, from the top down.
                for (over, under) in self.words_at(x, bar.row) {
                    let (x, over, under) = (N(x), N(top - over), N(top - under));
                    put(&mut ends, format_args!("V{over}M{x} {under}"));
                }
                put(&mut ends, format_args!("V{}", N(measures.base)));
            }
        }
        svg.path("line end", &ends);
        for (middle, text, row) in &self.gap_labels {
            let y = top - self.dashes_height() - 4.0 - LABEL_HEIGHT * *row as f64;
            svg.words(*middle, y, "strong clear", Anchor::Middle, text);
        }
        for bar in &self.dangers {
            bar.draw(top - self.danger_bottom(bar.row), svg);
        }
    }
}

/// A bar of danger with its words, which are all there whatever its width.
struct DangerBar {
    from: f64,
    to: f64,
    side: Side,
    lines: Vec<String>,
    words_left: f64,
    row: usize,
}

/// The words of a bar stand on it where there is room, else beside it, else over it.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Side {
    On,
    Right,
    Left,
    Over,
}

impl DangerBar {
    fn new(danger: &Danger, page: &Page, band: &Band<'_>) -> Option<Self> {
        let (from, to) = band.extent(danger.from_min, danger.to_min)?;
        let to = to.max(from + 3.0);
        let wide = Letters::SmallBold.width_px(danger.label.trim());
        let side = if wide <= to - from - 16.0 {
            Side::On
        } else if wide <= page.right - to - 6.0 {
            Side::Right
        } else if wide <= from - 6.0 - page.left {
            Side::Left
        } else {
            Side::Over
        };
        let most = if side == Side::Over { DANGER_LINES } else { 1 };
        let lines = Letters::SmallBold.wrapped(&danger.label, page.text_width(), most);
        let wide = Letters::SmallBold.widest_px(&lines);
        let words_left = match side {
            Side::On => from + 8.0,
            Side::Right => to + 6.0,
            Side::Left => from - 6.0 - wide,
            Side::Over => from.min(page.right - wide).max(page.left),
        };
        Some(Self { from, to, side, lines, words_left, row: 0 })
    }

    fn extent(&self) -> (f64, f64) {
        let words_right = self.words_left + Letters::SmallBold.widest_px(&self.lines);
        (self.from.min(self.words_left), self.to.max(words_right))
    }

    fn height(&self) -> f64 {
        match self.side {
            Side::Over => self.thickness() + 6.0 + LINE_HEIGHT * self.lines.len() as f64,
            _ => DANGER_HEIGHT,
        }
    }

    /// A bar without words on it needs no room for them.
    fn thickness(&self) -> f64 {
        if self.side == Side::Over { DANGER_HEIGHT / 2.0 } else { DANGER_HEIGHT }
    }

    /// Whether words of this bar that are not on it stand at `x`.
    fn says_beside(&self, x: f64) -> bool {
        let words_right = self.words_left + Letters::SmallBold.widest_px(&self.lines);
        self.side != Side::On && (self.words_left - 3.0..words_right + 3.0).contains(&x)
    }

    fn draw(&self, bottom: f64, svg: &mut Markup) {
        let Self { from, to, side, words_left, .. } = *self;
        let thick = self.thickness();
        svg.rect("ink", from, bottom - thick, to - from, thick);
        let (x, class, anchor) = match side {
            Side::On => (words_left, "strong onink", Anchor::Start),
            Side::Right | Side::Over => (words_left, "strong clear", Anchor::Start),
            Side::Left => (from - 6.0, "strong clear", Anchor::End),
        };
        let last = if side == Side::Over { bottom - thick - 6.0 } else { bottom - 7.5 };
        let mut y = last - LINE_HEIGHT * (self.lines.len() as f64 - 1.0);
        for line in &self.lines {
            svg.words(x, y, class, anchor, line);
            y += LINE_HEIGHT;
        }
    }
}
