//! The looks under the band: a bar as long as each lasts, and its words.

use crate::band::Band;
use crate::evening::{LookCard, Setting};
use crate::evening_page::Page;
use crate::lettering::Letters;
use crate::markup::{Anchor, Markup, N};
use crate::rows::{packed, rows_of};

/// A look's sign and bar, a line of its words, and air under them.
const BAR_HEIGHT: f64 = 23.0;
const LINE_HEIGHT: f64 = 16.0;
const AIR: f64 = 9.0;

/// A look as it is laid out: its bar, its three lines of words, where they begin.
struct Look<'a> {
    card: &'a LookCard,
    from: f64,
    to: f64,
    words: [String; 3],
    words_left: f64,
}

/// Each look is a bar as long as it lasts with its words hanging under it, in as many lanes as the
/// words need to stay apart; returns the y under them.
pub(crate) fn draw_looks(
    cards: &[LookCard],
    page: &Page,
    band: &Band<'_>,
    top: f64,
    svg: &mut Markup,
) -> f64 {
    let looks: Vec<Look<'_>> = cards
        .iter()
        .filter_map(|card| {
            let (from, to) = band.extent(card.from_min, card.to_min)?;
            let words = [
                Letters::SmallBold.shortened(&card.name, page.look_words_width),
                Letters::Small.shortened(&card.spot, page.look_words_width),
                Letters::Small.shortened(&card.setting_label, page.look_words_width),
            ];
            let words_left = from.min(page.right - wide(&words)).max(page.left);
            Some(Look { card, from, to: to.max(from + 4.0), words, words_left })
        })
        .collect();
    let extents: Vec<(f64, f64)> = looks
        .iter()
        .map(|look| {
            // Bars may touch, words may not; half a pixel forgives the rounding of minutes.
            let words_right = look.words_left + wide(&look.words) + 8.0;
            (look.words_left, words_right.max(look.to - 0.5))
        })
        .collect();
    let lanes = packed(&extents, 0.0);
    let mut heights = vec![0.0; rows_of(lanes.iter().copied())];
    for (look, lane) in looks.iter().zip(&lanes) {
        heights[*lane] = f64::max(heights[*lane], look.height());
    }
    for (look, lane) in looks.iter().zip(&lanes) {
        draw_look(look, top + heights[..*lane].iter().sum::<f64>(), svg);
    }
    top + heights.iter().sum::<f64>()
}

impl Look<'_> {
    fn height(&self) -> f64 {
        let lines = self.words.iter().filter(|words| !words.is_empty()).count();
        BAR_HEIGHT + LINE_HEIGHT * lines as f64 + AIR
    }
}

fn wide(words: &[String; 3]) -> f64 {
    let [name, spot, setting] = words;
    let name = Letters::SmallBold.width_px(name);
    name.max(Letters::Small.width_px(spot)).max(Letters::Small.width_px(setting))
}

fn draw_look(look: &Look<'_>, top: f64, svg: &mut Markup) {
    let (from, to) = (look.from + 1.0, (look.to - 1.0).max(look.from + 3.0));
    let bar = top + 14.0;
    let (x0, x1, width) = (N(from), N(to), N(to - from));
    let class = if look.card.decided { "ink" } else { "line proposed" };
    svg.put(format_args!(
        "<rect class=\"{class}\" x=\"{x0}\" y=\"{}\" width=\"{width}\" height=\"9\" rx=\"3\"/>\n",
        N(bar)
    ));
    let (above, middle) = (N(bar - 4.0), f64::midpoint(from, to));
    match look.card.setting {
        Setting::Open => {}
        Setting::Roof => {
            // Two eaves and a ridge.
            let eave = ((to - from) / 4.0).min(9.0);
            let (left, right, ridge) = (N(from + eave), N(to - eave), N(bar - 10.0));
            svg.path("line sign", &format!("M{x0} {above}L{left} {ridge}H{right}L{x1} {above}"));
        }
        Setting::Umbrella => {
            let (crown, middle) = (N(bar - 17.0), N(middle));
            svg.path("line sign", &format!("M{x0} {above}Q{middle} {crown} {x1} {above}"));
        }
        Setting::Dash => {
            svg.path("line dash", &format!("M{x0} {0}H{x1}", N(bar - 5.0)));
        }
    }
    let mut y = bar + 9.0;
    for (index, words) in look.words.iter().enumerate() {
        if !words.is_empty() {
            y += LINE_HEIGHT;
            let class = if index == 0 { "strong" } else { "" };
            svg.words(look.words_left, y, class, Anchor::Start, words);
        }
    }
}
