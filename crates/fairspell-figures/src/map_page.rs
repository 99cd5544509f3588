//! How maps that come in two widths are laid out, and what they all begin with.

use crate::lettering::Letters;
use crate::markup::{Anchor, Markup};

/// For which page a map is laid out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum MapWidth {
    /// 960 wide, the legend beside the map.
    #[default]
    Wide,
    /// 360 wide, all below each other, for a phone held upright.
    Narrow,
}

/// Where things stand on a page.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Layout {
    pub(crate) width: f64,
    pub(crate) left: f64,
    pub(crate) right: f64,
    /// The map takes at most this square.
    pub(crate) field_most: f64,
    title_lines: usize,
}

impl MapWidth {
    pub(crate) fn layout(self) -> Layout {
        match self {
            MapWidth::Wide => {
                Layout { width: 960.0, left: 24.0, right: 936.0, field_most: 640.0, title_lines: 1 }
            }
            MapWidth::Narrow => {
                Layout { width: 360.0, left: 12.0, right: 348.0, field_most: 336.0, title_lines: 3 }
            }
        }
    }
}

impl Layout {
    /// Draws the title and returns the y under it.
    pub(crate) fn draw_title(&self, title: &str, svg: &mut Markup) -> f64 {
        let mut y = 16.0;
        for line in Letters::Heading.wrapped(title, self.right - self.left, self.title_lines) {
            y += 20.0;
            svg.words(self.left, y, "heading", Anchor::Start, &line);
            y += 4.0;
        }
        y
    }
}
