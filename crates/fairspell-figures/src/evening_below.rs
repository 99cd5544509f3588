//! What hangs under the band: the clock, and the moments that have a name.

use crate::band::Band;
use crate::evening::{Mark, Tick};
use crate::evening_page::Page;
use crate::lettering::Letters;
use crate::markup::{Anchor, Markup, N, put};
use crate::rows::{Hung, LEADER_SPACE, hung, hung_apart, rows_of};

/// A row of marks of one line, and what each further line adds.
const MARK_HEIGHT: f64 = 20.0;
const LINE_HEIGHT: f64 = 16.0;
/// The words of a mark that is wider than the page on either side of it.
const MARK_LINES: usize = 3;

/// Ticks and their labels; returns the extents of the labels, which leaders must not cross.
pub(crate) fn draw_clock(
    ticks: &[Tick],
    page: &Page,
    band: &Band<'_>,
    svg: &mut Markup,
) -> Vec<(f64, f64)> {
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
        if free && from >= 4.0 && to <= page.width - 4.0 {
            svg.words(x, base + 20.0, "", Anchor::Middle, label);
            taken.push((from, to));
        }
    }
    svg.path("line leader", &short);
    svg.path("line hour", &long);
    taken
}

/// A mark as it is laid out.
struct Hanging {
    x: f64,
    lines: Vec<String>,
    wide: f64,
    place: Hung,
}

/// Marks hang under the clock; returns the y under them.
pub(crate) fn draw_marks(
    marks: &[Mark],
    page: &Page,
    band: &Band<'_>,
    clock: &[(f64, f64)],
    top: f64,
    svg: &mut Markup,
) -> f64 {
    let base = band.measures.base;
    let marks = hanging(marks, page, band);
    let mut lines_of_row: Vec<usize> = vec![1; rows_of(marks.iter().map(|mark| mark.place.row))];
    for mark in &marks {
        let lines = &mut lines_of_row[mark.place.row];
        *lines = mark.lines.len().max(*lines);
    }
    let height = |lines: &usize| MARK_HEIGHT + LINE_HEIGHT * (*lines as f64 - 1.0);
    let row_top = |row: usize| top + lines_of_row[..row].iter().map(height).sum::<f64>();
    let mut leaders = String::new();
    for mark in &marks {
        let row_top = row_top(mark.place.row);
        let beside = row_top + 4.0 + height(&mark.lines.len()) - MARK_HEIGHT / 4.0;
        // Where a text could not be kept beside its leader the leader ends over it.
        let end = if mark.place.is_beside(mark.x) { beside } else { row_top + 4.0 };
        // A leader steps over the clock's figures.
        let crosses = clock.iter().any(|(from, to)| mark.x > from - 3.0 && mark.x < to + 3.0);
        let (x, base_y, end) = (N(mark.x), N(base), N(end));
        if crosses {
            let under = N(top + 3.0);
            put(&mut leaders, format_args!("M{x} {base_y}v7M{x} {under}V{end}"));
        } else {
            put(&mut leaders, format_args!("M{x} {base_y}V{end}"));
        }
    }
    svg.path("line leader", &leaders);
    for mark in &marks {
        let mut y = row_top(mark.place.row) + 2.0 + 0.75 * MARK_HEIGHT;
        for line in &mark.lines {
            if mark.place.ends_at_leader {
                svg.words(mark.x - LEADER_SPACE, y, "clear", Anchor::End, line);
            } else {
                svg.words(mark.place.text_left, y, "clear", Anchor::Start, line);
            }
            y += LINE_HEIGHT;
        }
    }
    let rows = lines_of_row.len();
    row_top(rows) + if rows == 0 { 0.0 } else { 8.0 }
}

/// How wide the words of marks may be, as shares of the page: the widest that find a place is taken.
const MARK_SHARES: [f64; 4] = [1.0, 0.5, 0.36, 0.28];

/// Each mark's words and its place. Words are broken where neither side of their mark has room for
/// them in one line, and further where marks are so crowded that leaders would run through words.
fn hanging(marks: &[Mark], page: &Page, band: &Band<'_>) -> Vec<Hanging> {
    let broken = |share: f64| -> Vec<Hanging> {
        let hanging = |mark: &Mark| {
            let x = band.moment(mark.at_min)?;
            let room = (x - page.left).max(page.right - x) - LEADER_SPACE;
            let room = room.min(share * page.text_width());
            let lines = Letters::Small.wrapped(&mark.label, room, MARK_LINES);
            let wide = Letters::Small.widest_px(&lines);
            let place = Hung { text_left: page.left, ends_at_leader: false, row: 0 };
            Some(Hanging { x, lines, wide, place })
        };
        marks.iter().filter_map(hanging).collect()
    };
    let placed = |mut marks: Vec<Hanging>, places: Vec<Hung>| {
        for (mark, place) in marks.iter_mut().zip(places) {
            mark.place = place;
        }
        marks
    };
    let extents = |marks: &[Hanging]| -> Vec<(f64, f64)> {
        marks.iter().map(|mark| (mark.x, mark.wide)).collect()
    };
    for share in MARK_SHARES {
        let marks = broken(share);
        if let Some(places) = hung(&extents(&marks), page.left, page.right) {
            return placed(marks, places);
        }
    }
    let marks = broken(1.0);
    let places = hung_apart(&extents(&marks), page.left, page.right);
    placed(marks, places)
}
