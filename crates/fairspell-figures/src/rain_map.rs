//! Rain around a place: a field from the radar over the coast.
//!
//! One hue from paper through rain to ink says how hard it rains; textures say it again for those
//! who do not see the shades, dots below 1 mm/h and hatching from 10 mm/h. Where nothing was
//! measured the map is covered with small crosses: that is not dry, it is not known.

use crate::lettering::Letters;
use crate::map_sheet::{Names, Point, Sheet};
use crate::markup::{Anchor, Frame, Markup, N, Rules, document, name_of};
use crate::palette::{Palette, Theme};
use crate::rain_cells::{Cells, Textures, cell_rules, draw_cells, draw_textures, draw_unmeasured};
use crate::rain_map_panel::{Panel, Scale, draw_panel};

/// Everything the map shows. Distances are km east and north of the place the map is about, which
/// is the origin; words come finished.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RainMap {
    /// The one large line: `Rain around Saltern Bight`.
    pub title: String,
    /// The map in words, for those who cannot see it. Where it is empty the title stands in.
    pub description: String,
    /// Source, the time it shows, its age: one line each.
    pub caption: Vec<String>,
    /// Rows of the field.
    pub rows: usize,
    /// Columns of the field.
    pub columns: usize,
    /// Side of a cell, km.
    pub cell_km: f64,
    /// Western edge of the field, km east of the origin: negative when the place is inside.
    pub west_km: f64,
    /// Northern edge of the field, km north of the origin.
    pub north_km: f64,
    /// Row by row, the northernmost first, from west to east. NaN and negative are not measured; so
    /// is what is missing at the end of a list that is too short.
    pub rain_rate_mm_h: Vec<f32>,
    /// Lines of the coast, each a list of (east, north) km.
    pub coast: Vec<Vec<(f64, f64)>>,
    /// Places with their names.
    pub places: Vec<MapPlace>,
    /// Rings around the origin, km.
    pub rings_km: Vec<f64>,
    /// Where the rain goes.
    pub motion: Option<RainMotion>,
    /// What the texture of crosses means, in the reader's language: `not measured`.
    pub not_measured_label: String,
    /// The way up: `north`.
    pub north_label: String,
}

/// A named place on the map.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct MapPlace {
    /// km east of the origin.
    pub east_km: f64,
    /// km north of the origin.
    pub north_km: f64,
    /// Its name.
    pub label: String,
}

/// Where the rain goes, km in an hour.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RainMotion {
    /// Towards the east; negative towards the west.
    pub east_km_h: f64,
    /// Towards the north.
    pub north_km_h: f64,
    /// In words: `rain moves to the north-west, 25 km/h`.
    pub label: String,
}

const WIDTH: f64 = 960.0;
const LEFT: f64 = 24.0;
/// The field takes at most this square; the legend stands right of it.
const FIELD_MOST: f64 = 640.0;
/// Bends of the coast smaller than this cannot be seen.
const BEND_PX: f64 = 0.4;

/// The map's field on the page.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Field {
    pub(crate) sheet: Sheet,
    pub(crate) px_per_km: f64,
    west_km: f64,
    north_km: f64,
}

impl Field {
    /// As large as fits into a square of `most` pixels; `None` for a field without extent.
    pub(crate) fn new(map: &RainMap, (left, top): Point, most: f64) -> Option<Self> {
        let wide_km = map.columns as f64 * map.cell_km;
        let high_km = map.rows as f64 * map.cell_km;
        let placed = map.west_km.is_finite() && map.north_km.is_finite();
        if !(placed && wide_km > 0.0 && high_km > 0.0 && wide_km.max(high_km) < 1e6) {
            return None;
        }
        let px_per_km = most / wide_km.max(high_km);
        // Cells that no screen could show are no map.
        if !(1e-3..=1e4).contains(&(map.cell_km * px_per_km)) {
            return None;
        }
        let sheet = Sheet { left, top, width: wide_km * px_per_km, height: high_km * px_per_km };
        Some(Self { sheet, px_per_km, west_km: map.west_km, north_km: map.north_km })
    }

    /// The side of a cell where a grid of so many fills the field; `None` for a grid without cells
    /// and one that no screen could show.
    pub(crate) fn cell_px(&self, rows: usize, columns: usize) -> Option<f64> {
        let cell_px = (self.sheet.width / columns as f64).min(self.sheet.height / rows as f64);
        (1e-3..=1e4).contains(&cell_px).then_some(cell_px)
    }

    /// The point on the page; `None` when it is not finite.
    fn point(&self, east_km: f64, north_km: f64) -> Option<Point> {
        let x = self.sheet.left + (east_km - self.west_km) * self.px_per_km;
        let y = self.sheet.top + (self.north_km - north_km) * self.px_per_km;
        (x.is_finite() && y.is_finite()).then_some((x, y))
    }
}

/// Draws the field as an SVG document, north up.
///
/// Equal input gives equal bytes. Cells of a row that belong to the same class of
/// [`RAIN_BREAKS_MM_H`](crate::palette::RAIN_BREAKS_MM_H) are drawn together, and so are equal runs
/// under each other, so that a field of 300 by 300 cells stays small enough for a letter.
///
/// # Examples
///
/// ```
/// use fairspell_figures::{RainMap, Theme, rain_map_svg};
///
/// // Four cells of 10 km around the place: a shower in the south-west, the south-east out of sight
/// // of the radar.
/// let map = RainMap {
///     title: "Rain around Saltern Bight".into(),
///     rows: 2,
///     columns: 2,
///     cell_km: 10.0,
///     west_km: -10.0,
///     north_km: 10.0,
///     rain_rate_mm_h: vec![0.0, 0.0, 3.0, f32::NAN],
///     not_measured_label: "not measured".into(),
///     ..RainMap::default()
/// };
/// let svg = rain_map_svg(&map, Theme::Light);
/// assert!(svg.contains(">not measured</text>") && svg.contains(">mm/h</text>"));
/// ```
///
/// # Source
///
/// Our own design.
pub fn rain_map_svg(map: &RainMap, theme: Theme) -> String {
    let name = name_of(format_args!("map{theme:?}{map:?}"));
    let mut svg = Markup::default();
    let mut y = 16.0;
    if !map.title.trim().is_empty() {
        let title = Letters::Heading.shortened(&map.title, WIDTH - 2.0 * LEFT);
        svg.words(LEFT, y + 20.0, "heading", Anchor::Start, &title);
        y += 36.0;
    }
    let field = Field::new(map, (LEFT, y), FIELD_MOST);
    let cell_px = field.map(|field| map.cell_km * field.px_per_km);
    draw_textures(&name, Textures::Rates, [cell_px, None], &mut svg);
    if let Some((field, cell_px)) = field.zip(cell_px) {
        let sheet = field.sheet;
        sheet.open_clip(&format!("{name}-c"), &mut svg);
        draw_unmeasured(sheet, &name, &mut svg);
        let cells = Cells::of_rates(&map.rain_rate_mm_h, map.rows, map.columns, cell_px);
        draw_cells(&cells, sheet, &name, &name, &mut svg);
        draw_ground(map, field, &mut svg);
        svg.put(format_args!("</g>\n"));
        svg.rect("line", sheet.left, sheet.top, sheet.width, sheet.height);
        draw_names(map, field, &mut svg);
    }
    let left = LEFT + FIELD_MOST + 32.0;
    let panel = Panel {
        left,
        right: WIDTH - LEFT,
        top: y,
        scale: Some(Scale::Upright),
        chances: None,
        name: &name,
    };
    let bottom = draw_panel(map, field, &panel, &mut svg);
    let bottom = field.map_or(bottom, |field| bottom.max(field.sheet.bottom()));
    let title = if map.description.trim().is_empty() { &map.title } else { &map.description };
    let description = map.caption.join(" ");
    let frame = Frame {
        name: &name,
        width: WIDTH,
        height: bottom + 16.0,
        own_size: false,
        title,
        description: &description,
        theme,
    };
    document(&frame, &rules, &svg)
}

/// Rules for all that is drawn of a map of rain.
pub(crate) fn rules(rules: &mut Rules<'_>, palette: &Palette) {
    cell_rules(rules, palette);
    coast_rules(rules, palette);
    rules.add(".ring", format_args!("stroke-width:1;stroke-dasharray:1 4;stroke-linecap:round"));
    rules
        .add(".arrow", format_args!("stroke-width:2.5;stroke-linecap:round;stroke-linejoin:round"));
}

/// Rules for coast and places.
pub(crate) fn coast_rules(rules: &mut Rules<'_>, palette: &Palette) {
    let Palette { paper, ink, .. } = palette;
    rules.add(
        ".rim",
        format_args!(
            "fill:none;stroke:{paper};stroke-width:3.6;stroke-opacity:.75;stroke-linejoin:round"
        ),
    );
    rules.add(".coast", format_args!("stroke-width:1.3;stroke-linejoin:round"));
    rules.add(".place", format_args!("fill:{paper};stroke:{ink};stroke-width:2"));
}

/// The coast and the rings around the origin.
pub(crate) fn draw_ground(map: &RainMap, field: Field, svg: &mut Markup) {
    let points = |line: &Vec<(f64, f64)>| {
        line.iter().map(|&(east_km, north_km)| field.point(east_km, north_km)).collect()
    };
    let coast = field.sheet.path(map.coast.iter().map(points), BEND_PX);
    svg.path("rim", &coast);
    svg.path("line coast", &coast);
    let Some((x, y)) = field.point(0.0, 0.0) else { return };
    for ring_km in map.rings_km.iter().filter(|ring| ring.is_finite() && **ring > 0.0) {
        let r = N(ring_km * field.px_per_km);
        let (x, y) = (N(x), N(y));
        for class in ["rim", "line ring"] {
            svg.put(format_args!("<circle class=\"{class}\" cx=\"{x}\" cy=\"{y}\" r=\"{r}\"/>\n"));
        }
    }
}

/// The places' names and the rings' distances.
pub(crate) fn draw_names(map: &RainMap, field: Field, svg: &mut Markup) {
    let mut names = Names::new(field.sheet);
    let places = map.places.iter().filter_map(|place| {
        Some((field.point(place.east_km, place.north_km)?, place.label.trim()))
    });
    names.draw_places(places, svg);
    let Some((x, y)) = field.point(0.0, 0.0) else { return };
    for ring_km in map.rings_km.iter().filter(|ring| ring.is_finite() && **ring > 0.0) {
        let label = format!("{ring_km} km");
        let half = Letters::Small.width_px(&label) / 2.0;
        let line = y - ring_km * field.px_per_km + 4.5;
        let extent = (x - half, line - 11.0, x + half, line + 3.0);
        if names.is_free(extent) {
            names.take(extent);
            svg.words(x, line, "clear", Anchor::Middle, &label);
        }
    }
}
