//! The last hour of rain and the next as one document, a frame of it showing.
//!
//! Coast, places, rings, scale and a list of all frames are drawn once; each frame is a group that a
//! page's script can show and hide. What was seen has a solid outline, its word and the shades of rain
//! rates; what is coming has a broken one, its word and the strokes of chances, few where rain is
//! possible and many where it is likely.

use std::fmt;

use crate::lettering::Letters;
use crate::map_page::MapWidth;
use crate::map_sheet::Point;
use crate::markup::{Anchor, Escaped, Frame, Markup, Rules, document, name_of};
use crate::palette::{Palette, Theme};
use crate::rain_cells::{Cells, Textures, draw_cells, draw_textures, draw_unmeasured};
use crate::rain_chances::{COMING, ChanceField};
use crate::rain_coarse::coarsened;
use crate::rain_loop_strip::Strip;
use crate::rain_map::{Field, RainMap, draw_ground, draw_names, rules as map_rules};
use crate::rain_map_panel::{ChanceKeys, Panel, Scale, draw_panel};

/// Everything the loop shows.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RainLoop {
    /// What all frames share: the grid, the coast, places, words. Its own rates are not drawn.
    pub map: RainMap,
    /// The frames in order of time: first what was seen, then what is coming.
    pub frames: Vec<LoopFrame>,
    /// What the frames that were seen are called: `seen`.
    pub seen_label: String,
    /// What those that are coming are called: `likely to come`.
    pub coming_label: String,
    /// What a coming frame rests on: `from the picture of 14:26, 6 minutes old`.
    pub coming_note: String,
    /// Over the classes of a coming frame: `chance of rain in coming pictures`.
    pub chance_heading: String,
    /// What the classes of a coming frame are called, the lowest first: unlikely, possible, likely,
    /// and possibly heavy.
    pub chance_labels: [String; 4],
}

/// One frame.
#[derive(Debug, Clone, PartialEq)]
pub struct LoopFrame {
    /// Its time as the clock says it: `14:26`.
    pub label: String,
    /// Of what kind it is and how far from now: `seen, 6 minutes ago`, `likely, in 35 minutes`.
    pub words: String,
    /// What it shows.
    pub sky: FrameSky,
}

/// What a frame shows.
#[derive(Debug, Clone, PartialEq)]
pub enum FrameSky {
    /// Rain rates as they were measured, on the map's grid, as [`RainMap::rain_rate_mm_h`].
    Seen(Vec<f32>),
    /// Chances of what is coming.
    Coming(ChanceField),
}

impl LoopFrame {
    /// Whether it is expected, not measured.
    pub fn is_coming(&self) -> bool {
        matches!(self.sky, FrameSky::Coming(_))
    }

    fn class(&self) -> &'static str {
        if self.is_coming() { "coming" } else { "seen" }
    }
}

/// A loop that would be larger is drawn in larger cells: a phone in the rain has little signal.
const BYTES_MOST: usize = 150_000;

/// Cells are joined to about this size, km: a loop has a dozen pictures, and is looked at moving.
const CELL_KM: f64 = 2.0;

/// Draws the loop as an SVG document, north up, with the newest seen frame showing.
///
/// Each frame is a `<g data-frame="3" class="seen">` (or `"coming"`) with its time in `data-label`;
/// those that do not show have the attribute `data-off`, which the figure's own style obeys. A
/// script moves the loop by moving that attribute. Without script the newest seen frame stays, and a
/// strip under the map says where it lies among the others.
///
/// Cells of seen frames finer than 2 km are joined to that size by the mean of what was measured in
/// them; one of which no more than half was measured is not measured. A single cell that is one class
/// of rates off between two equal neighbours takes theirs. Where a sky is so torn that the document
/// would be larger than 150 kB, cells of seen frames are joined to 3, 4, 6 or 8 km. Chances are drawn in the cells
/// in which they come; heavy rain that is possible is drawn over the rest.
///
/// Equal input gives equal bytes. The two widths of one loop may stand in one page.
///
/// # Examples
///
/// ```
/// use fairspell_figures::{
///     ChanceField, FrameSky, LoopFrame, MapWidth, RainLoop, RainMap, Theme, rain_loop_svg,
/// };
///
/// let chances = ChanceField {
///     rows: 2,
///     columns: 2,
///     // A shower goes east; what comes behind it was not measured.
///     p_rain: vec![f32::NAN, 0.7, f32::NAN, 0.2],
///     p_heavy: vec![],
/// };
/// let frame = |label: &str, words: &str, sky| LoopFrame {
///     label: label.into(),
///     words: words.into(),
///     sky,
/// };
/// let rain_loop = RainLoop {
///     map: RainMap {
///         title: "Rain around Saltern Bight".into(),
///         rows: 2,
///         columns: 2,
///         cell_km: 10.0,
///         west_km: -10.0,
///         north_km: 10.0,
///         ..RainMap::default()
///     },
///     frames: vec![
///         frame("14:26", "seen, 6 minutes ago", FrameSky::Seen(vec![3.0, 0.0, 0.0, 0.0])),
///         frame("14:36", "likely, in 4 minutes", FrameSky::Coming(chances)),
///     ],
///     ..RainLoop::default()
/// };
/// let svg = rain_loop_svg(&rain_loop, MapWidth::Narrow, Theme::Auto);
/// assert!(svg.contains("<g data-frame=\"0\" data-label=\"14:26\" class=\"seen\">"));
/// assert!(svg.contains("<g data-frame=\"1\" data-label=\"14:36\" class=\"coming\" data-off=\"\">"));
/// ```
///
/// # Source
///
/// Our own design.
pub fn rain_loop_svg(rain_loop: &RainLoop, width: MapWidth, theme: Theme) -> String {
    let usual = grain(&rain_loop.map);
    let mut svg = String::new();
    for grain in [usual, usual + 1, 2 * usual, 3 * usual, 4 * usual] {
        svg = drawn(rain_loop, width, theme, grain);
        if svg.len() <= BYTES_MOST {
            break;
        }
    }
    svg
}

/// - `grain`: so many cells of the map are joined along each side.
fn drawn(rain_loop: &RainLoop, width: MapWidth, theme: Theme, grain: usize) -> String {
    let RainLoop { map, frames, .. } = rain_loop;
    let layout = width.layout();
    let name = name_of_loop(rain_loop, format_args!("loop{width:?}{theme:?}"));
    let mut svg = Markup::default();
    let y = layout.draw_title(&map.title, &mut svg);
    let room = layout.right - layout.left;
    // Room for the time and the words of the frame that shows.
    let words_y = y + 20.0;
    let field_top = words_y + 28.0;
    let field = Field::new(map, (layout.left, field_top), layout.field_most);
    let bottom = field.map_or(field_top, |field| field.sheet.bottom());
    let strip = Strip::new(rain_loop, (layout.left, bottom + 8.0), layout.field_most);
    strip.draw(&mut svg);
    let cell_px = field.map(|field| map.cell_km * grain as f64 * field.px_per_km);
    let chance_px = |sky: &FrameSky| match sky {
        FrameSky::Coming(chances) => field?.cell_px(chances.rows, chances.columns),
        FrameSky::Seen(_) => None,
    };
    // All coming frames have one grid; where they have not, textures are as of the first.
    let first_px = frames.iter().find_map(|frame| chance_px(&frame.sky));
    draw_textures(&name, Textures::Both, [cell_px, first_px], &mut svg);
    if let Some((field, cell_px)) = field.zip(cell_px) {
        let sheet = field.sheet;
        sheet.open_clip(&format!("{name}-c"), &mut svg);
        draw_unmeasured(sheet, &name, &mut svg);
        svg.put(format_args!("</g>\n"));
        let shown = shown(frames);
        for (index, frame) in frames.iter().enumerate() {
            let off = if index == shown { "" } else { " data-off=\"\"" };
            svg.put(format_args!(
                "<g data-frame=\"{index}\" data-label=\"{}\" class=\"{}\"{off}>\n",
                Escaped(frame.label.trim()),
                frame.class()
            ));
            let cells = match &frame.sky {
                FrameSky::Seen(rates) => {
                    let (rates, rows, columns) = coarsened(rates, map.rows, map.columns, grain);
                    Some(Cells::of_rates(&rates, rows, columns, cell_px).calmed())
                }
                FrameSky::Coming(chances) => chance_px(&frame.sky).map(|px| chances.coming(px)),
            };
            svg.put(format_args!("<g clip-path=\"url(#{name}-c)\">\n"));
            if let Some(cells) = cells {
                draw_cells(&cells, sheet, &name, &format!("{name}-{index}"), &mut svg);
            }
            svg.put(format_args!("</g>\n"));
            svg.rect("line edge", sheet.left, sheet.top, sheet.width, sheet.height);
            draw_frame_words(frame, (layout.left, words_y), room, &mut svg);
            if frame.is_coming() {
                let note = Letters::Small.shortened(&rain_loop.coming_note, room);
                svg.words(layout.left, words_y + 18.0, "", Anchor::Start, &note);
            }
            strip.draw_shown(index, &mut svg);
            svg.put(format_args!("</g>\n"));
        }
        svg.put(format_args!("<g clip-path=\"url(#{name}-c)\">\n"));
        draw_ground(map, field, &mut svg);
        svg.put(format_args!("</g>\n"));
        draw_names(map, field, &mut svg);
    }
    let (left, top, scale) = match width {
        MapWidth::Wide => (layout.left + layout.field_most + 32.0, field_top, Scale::Upright),
        MapWidth::Narrow => (layout.left, strip.bottom() + 20.0, Scale::Across),
    };
    let keys = frames.iter().any(LoopFrame::is_coming).then_some(ChanceKeys {
        heading: &rain_loop.chance_heading,
        shades: COMING,
        labels: &rain_loop.chance_labels,
    });
    let right = layout.right;
    let panel = Panel { left, right, top, scale: Some(scale), chances: keys, name: &name };
    let bottom = draw_panel(map, field, &panel, &mut svg).max(strip.bottom());
    let title = if map.description.trim().is_empty() { &map.title } else { &map.description };
    let description = map.caption.join(" ");
    let frame = Frame {
        name: &name,
        width: layout.width,
        height: bottom + 16.0,
        own_size: false,
        title,
        description: &description,
        theme,
    };
    document(&frame, &rules, &svg)
}

fn rules(rules: &mut Rules<'_>, palette: &Palette) {
    map_rules(rules, palette);
    rules.add("[data-off]", format_args!("display:none"));
    rules.add(".seen .edge", format_args!("stroke-width:1.5"));
    rules.add(".coming .edge", format_args!("stroke-width:3;stroke-dasharray:9 6"));
    rules.add(".line.coming", format_args!("stroke-dasharray:2 2"));
}

/// Rates and chances go into the name by their bits: a loop has some hundred thousand.
fn name_of_loop(rain_loop: &RainLoop, kind: fmt::Arguments<'_>) -> String {
    let RainLoop { map, frames, .. } = rain_loop;
    let bits = |values: &[f32]| values.iter().map(|value| value.to_bits()).collect::<Vec<_>>();
    let skies: Vec<_> = frames
        .iter()
        .map(|frame| match &frame.sky {
            FrameSky::Seen(rates) => (0, 0, bits(rates), Vec::new()),
            FrameSky::Coming(ChanceField { rows, columns, p_rain, p_heavy }) => {
                (*rows, *columns, bits(p_rain), bits(p_heavy))
            }
        })
        .collect();
    let labels: Vec<_> =
        frames.iter().map(|frame| (&frame.label, &frame.words, frame.is_coming())).collect();
    let words = [&rain_loop.seen_label, &rain_loop.coming_label, &rain_loop.coming_note];
    let keys = (&rain_loop.chance_heading, &rain_loop.chance_labels);
    name_of(format_args!("{kind}{map:?}{labels:?}{words:?}{keys:?}{skies:x?}"))
}

/// The frame that shows before anybody asks for another: the newest that was seen.
fn shown(frames: &[LoopFrame]) -> usize {
    frames.iter().rposition(|frame| !frame.is_coming()).unwrap_or(0)
}

/// How many cells of the map are joined along each side.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to a small count; a NaN becomes 0 and then 1"
)]
fn grain(map: &RainMap) -> usize {
    ((CELL_KM / map.cell_km).round().clamp(1.0, 64.0) as usize).max(1)
}

/// The frame's time, large, and of what kind it is.
fn draw_frame_words(frame: &LoopFrame, (x, y): Point, room: f64, svg: &mut Markup) {
    let time = Letters::Heading.shortened(&frame.label, room);
    svg.words(x, y, "heading", Anchor::Start, &time);
    let beside = Letters::Heading.width_px(&time) + 10.0;
    let fits = Letters::Summary.width_px(frame.words.trim()) <= room - beside;
    let (letters, class) = if fits { (Letters::Summary, "summary") } else { (Letters::Small, "") };
    svg.words(x + beside, y, class, Anchor::Start, &letters.shortened(&frame.words, room - beside));
}
