//! Chances of rain around a place at any moment of some hours: where it is possible, likely, very
//! likely.
//!
//! The strokes of rain say it without colours, as in the picture of an evening: the likelier, the
//! more of them. Where nothing can be said the map is covered with small crosses.

use crate::map_page::MapWidth;
use crate::markup::{Frame, Markup, document, name_of};
use crate::palette::Theme;
use crate::rain_cells::{Textures, draw_cells, draw_textures, draw_unmeasured};
use crate::rain_chances::{ChanceField, HOUR};
use crate::rain_map::{Field, RainMap, draw_ground, draw_names, rules};
use crate::rain_map_panel::{ChanceKeys, Panel, draw_panel};

/// Everything the map shows.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ChanceMap {
    /// The ground: extent, coast, places, words. Its own rates are not drawn.
    pub map: RainMap,
    /// The chances, over the same ground.
    pub chances: ChanceField,
    /// Over the legend: `chance of rain from 14:32 to 15:32`.
    pub heading: String,
    /// What the classes are called, the lowest first: below [`POSSIBLE`](crate::rain_chances::POSSIBLE),
    /// from there on, from [`LIKELY`](crate::rain_chances::LIKELY) on, and from
    /// [`VERY_LIKELY`](crate::rain_chances::VERY_LIKELY) on.
    pub labels: [String; 4],
}

/// Draws the map as an SVG document, north up.
///
/// Equal input gives equal bytes. The two widths of one map may stand in one page.
///
/// # Examples
///
/// ```
/// use fairspell_figures::{ChanceField, ChanceMap, MapWidth, RainMap, Theme, chance_map_svg};
///
/// // Rain is likely in the west, unlikely in the east.
/// let map = ChanceMap {
///     map: RainMap {
///         title: "Rain in the next hour".into(),
///         rows: 1,
///         columns: 2,
///         cell_km: 10.0,
///         west_km: -10.0,
///         north_km: 5.0,
///         ..RainMap::default()
///     },
///     chances: ChanceField { rows: 1, columns: 2, p_rain: vec![0.6, 0.1], p_heavy: vec![] },
///     heading: "chance of rain".into(),
///     labels: ["unlikely", "possible", "likely", "very likely"].map(str::to_owned),
/// };
/// let svg = chance_map_svg(&map, MapWidth::Narrow, Theme::Auto);
/// assert!(svg.contains(">very likely</text>"));
/// ```
///
/// # Source
///
/// Our own design.
pub fn chance_map_svg(chance_map: &ChanceMap, width: MapWidth, theme: Theme) -> String {
    let ChanceMap { map, chances, .. } = chance_map;
    let layout = width.layout();
    let name = name_of(format_args!("chances{width:?}{theme:?}{chance_map:?}"));
    let mut svg = Markup::default();
    let top = layout.draw_title(&map.title, &mut svg) + 12.0;
    let field = Field::new(map, (layout.left, top), layout.field_most);
    let cell_px = field.and_then(|field| field.cell_px(chances.rows, chances.columns));
    draw_textures(&name, Textures::Chances, [None, cell_px], &mut svg);
    if let Some(field) = field {
        let sheet = field.sheet;
        sheet.open_clip(&format!("{name}-c"), &mut svg);
        draw_unmeasured(sheet, &name, &mut svg);
        if let Some(cell_px) = cell_px {
            draw_cells(&chances.of_window(cell_px), sheet, &name, &name, &mut svg);
        }
        draw_ground(map, field, &mut svg);
        svg.put(format_args!("</g>\n"));
        svg.rect("line", sheet.left, sheet.top, sheet.width, sheet.height);
        draw_names(map, field, &mut svg);
    }
    let field_bottom = field.map_or(top, |field| field.sheet.bottom());
    let (left, top) = match width {
        MapWidth::Wide => (layout.left + layout.field_most + 32.0, top),
        MapWidth::Narrow => (layout.left, field_bottom + 16.0),
    };
    let keys =
        ChanceKeys { heading: &chance_map.heading, shades: HOUR, labels: &chance_map.labels };
    let right = layout.right;
    let panel = Panel { left, right, top, scale: None, chances: Some(keys), name: &name };
    let bottom = draw_panel(map, field, &panel, &mut svg).max(field_bottom);
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
