//! The last hour of rain and the next as one document, a frame of it showing.
//!
//! Coast, places, rings, scale and a list of all frames are drawn once; each frame is a group that a
//! page's script can show and hide. What was measured has a solid outline and its word, what is
//! coming a broken one and its word.

use std::fmt;

use crate::lettering::Letters;
use crate::map_sheet::Point;
use crate::markup::{Anchor, Escaped, Frame, Markup, Rules, document, name_of};
use crate::palette::{Palette, Theme};
use crate::rain_cells::{Cells, draw_cells, draw_textures, draw_unmeasured};
use crate::rain_coarse::coarsened;
use crate::rain_loop_list::FrameList;
use crate::rain_map::{Field, RainMap, draw_ground, draw_names, rules as map_rules};
use crate::rain_map_panel::{Panel, Scale, draw_panel};

/// Everything the loop shows.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RainLoop {
    /// What all frames share: the grid, the coast, places, words. Its own rates are not drawn.
    pub map: RainMap,
    /// The frames in order of time: first what was measured, then what is coming.
    pub frames: Vec<LoopFrame>,
    /// What a measured frame is called: `measured`.
    pub measured_label: String,
    /// What a frame that is coming is called: `coming, if the rain goes on as it goes`.
    pub coming_label: String,
}

/// One frame.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LoopFrame {
    /// Its time as the clock says it: `14:26`.
    pub label: String,
    /// Carried forward, not measured.
    pub is_coming: bool,
    /// On the map's grid, as [`RainMap::rain_rate_mm_h`].
    pub rain_rate_mm_h: Vec<f32>,
}

/// For which page a loop is laid out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum LoopWidth {
    /// 960 wide, the scale beside the map.
    #[default]
    Wide,
    /// 360 wide, all below each other, for a phone held upright.
    Narrow,
}

/// Where things stand on a page.
struct Layout {
    width: f64,
    left: f64,
    right: f64,
    /// The map takes at most this square.
    field_most: f64,
    title_lines: usize,
}

const WIDE: Layout =
    Layout { width: 960.0, left: 24.0, right: 936.0, field_most: 640.0, title_lines: 1 };
const NARROW: Layout =
    Layout { width: 360.0, left: 12.0, right: 348.0, field_most: 336.0, title_lines: 3 };

/// Cells are joined to about this size, km: a loop has a dozen pictures, and is looked at moving.
const CELL_KM: f64 = 2.0;

/// Draws the loop as an SVG document, north up, with the newest measured frame showing.
///
/// Each frame is a `<g data-frame="3" class="measured">` (or `"coming"`) with its time in
/// `data-label`; those that do not show have the attribute `data-off`, which the figure's own style
/// obeys. A script moves the loop by moving that attribute. Without script the newest measured frame
/// stays, and the others are listed under the map.
///
/// Cells finer than 2 km are joined to that size by the mean of what was measured in them; one of
/// which no more than half was measured is not measured.
///
/// Equal input gives equal bytes. The two widths of one loop may stand in one page.
///
/// # Examples
///
/// ```
/// use fairspell_figures::{LoopFrame, LoopWidth, RainLoop, RainMap, Theme, rain_loop_svg};
///
/// let frame = |label: &str, is_coming, rates: [f32; 4]| LoopFrame {
///     label: label.into(),
///     is_coming,
///     rain_rate_mm_h: rates.to_vec(),
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
///     // A shower goes east; what comes behind it was not measured.
///     frames: vec![
///         frame("14:26", false, [3.0, 0.0, 0.0, 0.0]),
///         frame("14:36", true, [f32::NAN, 3.0, f32::NAN, 0.0]),
///     ],
///     measured_label: "measured".into(),
///     coming_label: "coming".into(),
/// };
/// let svg = rain_loop_svg(&rain_loop, LoopWidth::Narrow, Theme::Auto);
/// assert!(svg.contains("<g data-frame=\"0\" data-label=\"14:26\" class=\"measured\">"));
/// assert!(svg.contains("<g data-frame=\"1\" data-label=\"14:36\" class=\"coming\" data-off=\"\">"));
/// ```
///
/// # Source
///
/// Our own design.
pub fn rain_loop_svg(rain_loop: &RainLoop, width: LoopWidth, theme: Theme) -> String {
    let RainLoop { map, frames, .. } = rain_loop;
    let layout = match width {
        LoopWidth::Wide => WIDE,
        LoopWidth::Narrow => NARROW,
    };
    let name = name_of_loop(rain_loop, format_args!("loop{width:?}{theme:?}"));
    let mut svg = Markup::default();
    let mut y = 16.0;
    let room = layout.right - layout.left;
    for line in Letters::Heading.wrapped(&map.title, room, layout.title_lines) {
        y += 20.0;
        svg.words(layout.left, y, "heading", Anchor::Start, &line);
        y += 4.0;
    }
    // Room for the time and the word of the frame that shows.
    let words_y = y + 20.0;
    let field_top = words_y + 12.0;
    let field = Field::new(map, (layout.left, field_top), layout.field_most);
    let bottom = field.map_or(field_top, |field| field.sheet.bottom());
    let list = FrameList::new(rain_loop, (layout.left, bottom + 12.0), layout.field_most);
    list.draw(&mut svg);
    let grain = grain(map);
    let cell_px = field.map(|field| map.cell_km * grain as f64 * field.px_per_km);
    draw_textures(&name, cell_px, &mut svg);
    if let Some((field, cell_px)) = field.zip(cell_px) {
        let sheet = field.sheet;
        sheet.open_clip(&format!("{name}-c"), &mut svg);
        draw_unmeasured(sheet, &name, &mut svg);
        svg.put(format_args!("</g>\n"));
        let shown = shown(frames);
        for (index, frame) in frames.iter().enumerate() {
            let class = if frame.is_coming { "coming" } else { "measured" };
            let off = if index == shown { "" } else { " data-off=\"\"" };
            svg.put(format_args!(
                "<g data-frame=\"{index}\" data-label=\"{}\" class=\"{class}\"{off}>\n",
                Escaped(frame.label.trim())
            ));
            let (rates, rows, columns) =
                coarsened(&frame.rain_rate_mm_h, map.rows, map.columns, grain);
            let cells = Cells { rain_rate_mm_h: &rates, rows, columns, cell_px };
            svg.put(format_args!("<g clip-path=\"url(#{name}-c)\">\n"));
            draw_cells(&cells, sheet, &name, &format!("{name}-{index}"), &mut svg);
            svg.put(format_args!("</g>\n"));
            svg.rect("line edge", sheet.left, sheet.top, sheet.width, sheet.height);
            draw_frame_words(rain_loop, frame, (layout.left, words_y), room, &mut svg);
            list.draw_shown(index, &mut svg);
            svg.put(format_args!("</g>\n"));
        }
        svg.put(format_args!("<g clip-path=\"url(#{name}-c)\">\n"));
        draw_ground(map, field, &mut svg);
        svg.put(format_args!("</g>\n"));
        draw_names(map, field, &mut svg);
    }
    let panel = match width {
        LoopWidth::Wide => Panel {
            left: layout.left + layout.field_most + 32.0,
            right: layout.right,
            top: field_top,
            scale: Scale::Upright,
            name: &name,
        },
        LoopWidth::Narrow => Panel {
            left: layout.left,
            right: layout.right,
            top: list.bottom() + 20.0,
            scale: Scale::Across,
            name: &name,
        },
    };
    let bottom = draw_panel(map, field, &panel, &mut svg).max(list.bottom());
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
    let Palette { paper, ink, .. } = palette;
    map_rules(rules, palette);
    rules.add("[data-off]", format_args!("display:none"));
    rules.add(".measured .edge", format_args!("stroke-width:1.5"));
    rules.add(".coming .edge", format_args!("stroke-width:3;stroke-dasharray:9 6"));
    rules.add(".coming .cell", format_args!("stroke-dasharray:4 3"));
    rules.add(".shown", format_args!("fill:{ink}"));
    rules.add(".onink", format_args!("fill:{paper}"));
}

/// Rates go into the name by their bits: a loop has some hundred thousand.
fn name_of_loop(rain_loop: &RainLoop, kind: fmt::Arguments<'_>) -> String {
    let RainLoop { map, frames, measured_label, coming_label } = rain_loop;
    let bits = |frame: &LoopFrame| frame.rain_rate_mm_h.iter().map(|rate| rate.to_bits()).collect();
    let rates: Vec<Vec<u32>> = frames.iter().map(bits).collect();
    let labels: Vec<(&str, bool)> =
        frames.iter().map(|frame| (frame.label.as_str(), frame.is_coming)).collect();
    name_of(format_args!("{kind}{map:?}{labels:?}{measured_label:?}{coming_label:?}{rates:x?}"))
}

/// The frame that shows before anybody asks for another: the newest that was measured.
fn shown(frames: &[LoopFrame]) -> usize {
    frames.iter().rposition(|frame| !frame.is_coming).unwrap_or(0)
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

/// The frame's time, large, and what kind it is.
fn draw_frame_words(
    rain_loop: &RainLoop,
    frame: &LoopFrame,
    (x, y): Point,
    room: f64,
    svg: &mut Markup,
) {
    let time = Letters::Heading.shortened(&frame.label, room);
    svg.words(x, y, "heading", Anchor::Start, &time);
    let beside = Letters::Heading.width_px(&time) + 10.0;
    let word = if frame.is_coming { &rain_loop.coming_label } else { &rain_loop.measured_label };
    let fits = Letters::Summary.width_px(word.trim()) <= room - beside;
    let (letters, class) = if fits { (Letters::Summary, "summary") } else { (Letters::Small, "") };
    svg.words(x + beside, y, class, Anchor::Start, &letters.shortened(word, room - beside));
}
