//! The evening as the one large thing on a page: heading, band, clock, marks, looks.

use std::borrow::Cow;

use crate::band::{Band, Measures, band_rules};
use crate::evening::{Danger, Evening, LookCard, Setting, Tick};
use crate::lettering::{Letters, lines};
use crate::markup::{Anchor, Frame, Markup, N, document, name_of, put};
use crate::palette::{Palette, Theme};
use crate::rain_pieces::stretches;
use crate::rows::{LEADER_SPACE, hung, packed};

const WIDTH: f64 = 960.0;
const LEFT: f64 = 24.0;
const RIGHT: f64 = 936.0;
const BAND_HEIGHT: f64 = 96.0;
const DANGER_HEIGHT: f64 = 24.0;
const LABEL_HEIGHT: f64 = 20.0;
const DASH_HEIGHT: f64 = 6.0;
const MARK_HEIGHT: f64 = 20.0;
/// A look: its sign, its bar, up to three lines of words, and air.
const LOOK_HEIGHT: f64 = 80.0;
/// Longer words of a look end in an ellipsis.
const LOOK_WORDS_WIDTH: f64 = 176.0;

pub(crate) fn draw(evening: &Evening, theme: Theme) -> String {
    let name = name_of(format_args!("large{theme:?}{evening:?}"));
    let mut svg = Markup::default();
    let mut y = draw_words(evening, &mut svg);
    let mut measures = Measures {
        left: LEFT,
        right: RIGHT,
        top: 0.0,
        base: 0.0,
        stroke_area: 62.0,
        stroke_length: 9.5,
        frame_clearance: 2.0,
        frame_rise: 4.0,
    };
    // What stands above the band says how far down the band begins; only x is needed for that.
    let above = Band::new(evening, measures).map(|band| Above::new(evening, &band));
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
        let clock = draw_clock(&evening.ticks, band, &mut svg);
        y += 22.0;
        y = draw_marks(evening, band, &clock, y, &mut svg);
        y = draw_looks(&evening.looks, band, y, &mut svg);
    }
    let (title, description) = evening.in_words();
    let frame = Frame { name: &name, width: WIDTH, height: y + 16.0, title, description, theme };
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

/// Heading and summary; returns the y under them.
fn draw_words(evening: &Evening, svg: &mut Markup) -> f64 {
    let mut y = 16.0;
    let heading = Letters::Heading.shortened(&evening.heading, RIGHT - LEFT);
    if !heading.is_empty() {
        y += 20.0;
        svg.words(LEFT, y, "heading", Anchor::Start, &heading);
        y += 4.0;
    }
    for line in lines(&evening.summary, Letters::Summary, RIGHT - LEFT, 3) {
        y += 21.0;
        svg.words(LEFT, y, "summary", Anchor::Start, &line);
    }
    y + 16.0
}

/// Danger and the labels of dry gaps, laid out over the band in rows.
struct Above<'a> {
    /// Bar, its words, where they stand, row.
    dangers: Vec<DangerBar<'a>>,
    danger_rows: usize,
    /// Middle of the words, words, row.
    gap_labels: Vec<(f64, String, usize)>,
    gap_rows: usize,
    doubts: Vec<(f64, f64)>,
    doubt_lanes: Vec<usize>,
}

struct DangerBar<'a> {
    from: f64,
    to: f64,
    words: Words<'a>,
    row: usize,
}

/// The words of a bar stand on it where there is room, else beside it.
struct Words<'a> {
    text: Cow<'a, str>,
    left: f64,
    side: Side,
}

#[derive(Clone, Copy)]
enum Side {
    On,
    Right,
    Left,
}

impl<'a> Above<'a> {
    fn new(evening: &'a Evening, band: &Band<'_>) -> Self {
        let mut dangers: Vec<DangerBar<'a>> =
            evening.dangers.iter().filter_map(|danger| danger_bar(danger, band)).collect();
        let extents: Vec<(f64, f64)> = dangers
            .iter()
            .map(|bar| {
                let wide = Letters::SmallBold.width_px(&bar.words.text);
                (bar.from.min(bar.words.left), bar.to.max(bar.words.left + wide))
            })
            .collect();
        for (bar, row) in dangers.iter_mut().zip(packed(&extents, 8.0)) {
            bar.row = row;
        }
        let mut gap_labels = Vec::new();
        let mut extents = Vec::new();
        for gap in &evening.gaps {
            let Some((from, to)) = band.extent(gap.from_min, gap.to_min) else { continue };
            let text = Letters::SmallBold.shortened(&gap.label, RIGHT - LEFT);
            let half = Letters::SmallBold.width_px(&text) / 2.0;
            let middle = f64::midpoint(from, to).max(LEFT + half).min(RIGHT - half);
            extents.push((middle - half, middle + half));
            gap_labels.push((middle, text, 0));
        }
        for (label, row) in gap_labels.iter_mut().zip(packed(&extents, 10.0)) {
            label.2 = row;
        }
        let doubts = band.doubts();
        let doubt_lanes = packed(&doubts, 3.0);
        Self {
            danger_rows: rows_of(dangers.iter().map(|bar| bar.row)),
            dangers,
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

    fn height(&self) -> f64 {
        self.gaps_height() + (DANGER_HEIGHT + 4.0) * self.danger_rows as f64
    }

    fn draw(&self, measures: Measures, svg: &mut Markup) {
        let top = measures.top;
        let mut dashes = String::new();
        for ((from, to), lane) in self.doubts.iter().zip(&self.doubt_lanes) {
            let y = top - 8.0 - DASH_HEIGHT * *lane as f64;
            put(&mut dashes, format_args!("M{} {}H{}", N(*from), N(y), N(*to)));
        }
        svg.path("line doubt", &dashes);
        let mut ends = String::new();
        for bar in &self.dangers {
            let bottom = top - self.gaps_height() - (DANGER_HEIGHT + 4.0) * bar.row as f64;
            let base = N(measures.base);
            let (from, to) = (N(bar.from + 1.0), N((bar.to - 1.0).max(bar.from + 1.0)));
            put(&mut ends, format_args!("M{from} {0}V{base}M{to} {0}V{base}", N(bottom)));
        }
        svg.path("line end", &ends);
        for (middle, text, row) in &self.gap_labels {
            let y = top - self.dashes_height() - 4.0 - LABEL_HEIGHT * *row as f64;
            svg.words(*middle, y, "strong clear", Anchor::Middle, text);
        }
        for bar in &self.dangers {
            let bottom = top - self.gaps_height() - (DANGER_HEIGHT + 4.0) * bar.row as f64;
            let y = bottom - DANGER_HEIGHT;
            svg.rect("ink", bar.from, y, bar.to - bar.from, DANGER_HEIGHT);
            let (x, class, anchor) = match bar.words.side {
                Side::On => (bar.words.left, "strong onink", Anchor::Start),
                Side::Right => (bar.words.left, "strong", Anchor::Start),
                Side::Left => (bar.from - 6.0, "strong", Anchor::End),
            };
            svg.words(x, bottom - 7.5, class, anchor, &bar.words.text);
        }
    }
}

fn danger_bar<'a>(danger: &'a Danger, band: &Band<'_>) -> Option<DangerBar<'a>> {
    let (from, to) = band.extent(danger.from_min, danger.to_min)?;
    let to = to.max(from + 3.0);
    let wide = Letters::SmallBold.width_px(danger.label.trim());
    // On the bar, else beside it, else shortened to the widest of the three rooms.
    let on = to - from - 16.0;
    let right = RIGHT - to - 6.0;
    let left = from - 6.0 - LEFT;
    let (side, room) = if wide <= on {
        (Side::On, on)
    } else if wide <= right || right >= on.max(left) {
        (Side::Right, right)
    } else if wide <= left || left >= on {
        (Side::Left, left)
    } else {
        (Side::On, on)
    };
    let text: Cow<'_, str> = if wide <= room {
        danger.label.trim().into()
    } else {
        Letters::SmallBold.shortened(&danger.label, room).into()
    };
    let words_left = match side {
        Side::On => from + 8.0,
        Side::Right => to + 6.0,
        Side::Left => from - 6.0 - Letters::SmallBold.width_px(&text),
    };
    let words = Words { text, left: words_left, side };
    Some(DangerBar { from, to, words, row: 0 })
}

fn rows_of(rows: impl Iterator<Item = usize>) -> usize {
    rows.max().map_or(0, |deepest| deepest + 1)
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

/// Ticks and their labels; returns the extents of the labels, which leaders must not cross.
fn draw_clock(ticks: &[Tick], band: &Band<'_>, svg: &mut Markup) -> Vec<(f64, f64)> {
    let base = band.measures.base;
    let mut ticks: Vec<(f64, &Tick)> =
        ticks.iter().filter_map(|tick| Some((band.moment(tick.at_min)?, tick))).collect();
    ticks.sort_by(|a, b| a.1.rank.cmp(&b.1.rank).then(a.0.total_cmp(&b.0)));
    let (mut short, mut long) = (String::new(), String::new());
    let mut taken: Vec<(f64, f64)> = Vec::new();
    for (x, tick) in ticks {
        let (marks, length) = if tick.rank == 0 { (&mut long, 7.0) } else { (&mut short, 4.0) };
        put(marks, format_args!("M{} {}v{}", N(x), N(base), N(length)));
        let Some(label) = &tick.label else { continue };
        let half = Letters::Small.width_px(label) / 2.0;
        let (from, to) = (x - half, x + half);
        let free = taken.iter().all(|other| to + 8.0 <= other.0 || other.1 + 8.0 <= from);
        if free && from >= 4.0 && to <= WIDTH - 4.0 {
            svg.words(x, base + 20.0, "", Anchor::Middle, label);
            taken.push((from, to));
        }
    }
    svg.path("line leader", &short);
    svg.path("line hour", &long);
    taken
}

/// Marks hang under the clock; returns the y under them.
fn draw_marks(
    evening: &Evening,
    band: &Band<'_>,
    clock: &[(f64, f64)],
    top: f64,
    svg: &mut Markup,
) -> f64 {
    let base = band.measures.base;
    let marks: Vec<(f64, String)> = evening
        .marks
        .iter()
        .filter_map(|mark| {
            let x = band.moment(mark.at_min)?;
            Some((x, Letters::Small.shortened(&mark.label, RIGHT - LEFT)))
        })
        .collect();
    let widths: Vec<(f64, f64)> =
        marks.iter().map(|(x, text)| (*x, Letters::Small.width_px(text))).collect();
    let places = hung(&widths, LEFT, RIGHT);
    let mut leaders = String::new();
    for ((x, _), place) in marks.iter().zip(&places) {
        let end = top + 4.0 + MARK_HEIGHT * (place.row as f64 + 0.75);
        // A leader steps over the clock's figures.
        let crosses = clock.iter().any(|(from, to)| *x > from - 3.0 && *x < to + 3.0);
        let (x, base_y, end) = (N(*x), N(base), N(end));
        if crosses {
            let under = N(top + 3.0);
            put(&mut leaders, format_args!("M{x} {base_y}v7M{x} {under}V{end}"));
        } else {
            put(&mut leaders, format_args!("M{x} {base_y}V{end}"));
        }
    }
    svg.path("line leader", &leaders);
    for ((x, text), place) in marks.iter().zip(&places) {
        let y = top + 2.0 + MARK_HEIGHT * (place.row as f64 + 0.75);
        if place.ends_at_leader {
            svg.words(x - LEADER_SPACE, y, "clear", Anchor::End, text);
        } else {
            svg.words(place.text_left, y, "clear", Anchor::Start, text);
        }
    }
    let rows = rows_of(places.iter().map(|place| place.row));
    top + MARK_HEIGHT * rows as f64 + if rows == 0 { 0.0 } else { 8.0 }
}

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
fn draw_looks(cards: &[LookCard], band: &Band<'_>, top: f64, svg: &mut Markup) -> f64 {
    let looks: Vec<Look<'_>> = cards
        .iter()
        .filter_map(|card| {
            let (from, to) = band.extent(card.from_min, card.to_min)?;
            let words = [
                Letters::SmallBold.shortened(&card.name, LOOK_WORDS_WIDTH),
                Letters::Small.shortened(&card.spot, LOOK_WORDS_WIDTH),
                Letters::Small.shortened(&card.setting_label, LOOK_WORDS_WIDTH),
            ];
            let words_left = from.min(RIGHT - wide(&words)).max(LEFT);
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
    for (look, lane) in looks.iter().zip(&lanes) {
        draw_look(look, top + LOOK_HEIGHT * *lane as f64, svg);
    }
    top + LOOK_HEIGHT * rows_of(lanes.into_iter()) as f64
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
            y += 16.0;
            let class = if index == 0 { "strong" } else { "" };
            svg.words(look.words_left, y, class, Anchor::Start, words);
        }
    }
}
