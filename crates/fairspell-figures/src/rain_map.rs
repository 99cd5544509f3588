//! Rain around a place: a field from the radar over the coast.
//!
//! One hue from paper through rain to ink says how hard it rains; textures say it again for those
//! who do not see the shades, dots below 1 mm/h and hatching from 10 mm/h. Where nothing was
//! measured the map is covered with small crosses: that is not dry, it is not known.

use crate::lettering::Letters;
use crate::markup::{Anchor, Frame, Markup, N, Rules, document, name_of, put};
use crate::palette::{Palette, Theme};
use crate::rain_map_panel::{Panel, draw_panel};
use crate::rain_runs::{DRY, class_paths};

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

/// The map's field on the page.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Field {
    pub(crate) left: f64,
    pub(crate) top: f64,
    pub(crate) width: f64,
    pub(crate) height: f64,
    pub(crate) px_per_km: f64,
    west_km: f64,
    north_km: f64,
}

impl Field {
    /// `None` for a field without extent.
    fn new(map: &RainMap, top: f64) -> Option<Self> {
        let wide_km = map.columns as f64 * map.cell_km;
        let high_km = map.rows as f64 * map.cell_km;
        let placed = map.west_km.is_finite() && map.north_km.is_finite();
        if !(placed && wide_km > 0.0 && high_km > 0.0 && wide_km.max(high_km) < 1e6) {
            return None;
        }
        let px_per_km = FIELD_MOST / wide_km.max(high_km);
        let (west_km, north_km) = (map.west_km, map.north_km);
        let (width, height) = (wide_km * px_per_km, high_km * px_per_km);
        Some(Self { left: LEFT, top, width, height, px_per_km, west_km, north_km })
    }

    /// The point on the page; `None` when it is not finite.
    fn point(&self, east_km: f64, north_km: f64) -> Option<(f64, f64)> {
        let x = self.left + (east_km - self.west_km) * self.px_per_km;
        let y = self.top + (self.north_km - north_km) * self.px_per_km;
        (x.is_finite() && y.is_finite()).then_some((x, y))
    }

    fn holds(&self, (x, y): (f64, f64)) -> bool {
        (self.left..=self.left + self.width).contains(&x)
            && (self.top..=self.top + self.height).contains(&y)
    }

    /// On which sides of the field a point lies, as a set of bits.
    fn side(&self, (x, y): (f64, f64)) -> u8 {
        u8::from(x < self.left)
            | u8::from(x > self.left + self.width) << 1
            | u8::from(y < self.top) << 2
            | u8::from(y > self.top + self.height) << 3
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
    let field = Field::new(map, y);
    textures(&mut svg, &name);
    if let Some(field) = field {
        draw_field(map, field, &name, &mut svg);
        draw_coast(map, field, &mut svg);
        svg.put(format_args!("</g>\n"));
        svg.rect("line", field.left, field.top, field.width, field.height);
        draw_places(map, field, &mut svg);
    }
    let left = LEFT + FIELD_MOST + 32.0;
    let panel = Panel { left, right: WIDTH - LEFT, top: y, name: &name };
    let bottom = draw_panel(map, field, &panel, &mut svg);
    let bottom = field.map_or(bottom, |field| bottom.max(field.top + field.height));
    let title = if map.description.trim().is_empty() { &map.title } else { &map.description };
    let description = map.caption.join(" ");
    let frame = Frame {
        name: &name,
        width: WIDTH,
        height: bottom + 16.0,
        title,
        description: &description,
        theme,
    };
    document(&frame, &rules, &svg)
}

fn rules(rules: &mut Rules<'_>, palette: &Palette) {
    let Palette { paper, ink, rain, hairline, ramp, .. } = palette;
    for (class, colour) in ramp.iter().enumerate() {
        rules.add(&format!(".r{class}"), format_args!("fill:{colour}"));
    }
    rules.add(".cells", format_args!("shape-rendering:crispEdges"));
    rules.add(".dots", format_args!("fill:{rain}"));
    rules.add(".hatch", format_args!("fill:none;stroke:{paper};stroke-width:1.1"));
    rules.add(".cross", format_args!("fill:none;stroke:{hairline};stroke-width:.9"));
    rules.add(
        ".rim",
        format_args!(
            "fill:none;stroke:{paper};stroke-width:3.6;stroke-opacity:.75;stroke-linejoin:round"
        ),
    );
    rules.add(".coast", format_args!("stroke-width:1.3;stroke-linejoin:round"));
    rules.add(".ring", format_args!("stroke-width:1;stroke-dasharray:1 4;stroke-linecap:round"));
    rules.add(".place", format_args!("fill:{paper};stroke:{ink};stroke-width:2"));
    rules
        .add(".arrow", format_args!("stroke-width:2.5;stroke-linecap:round;stroke-linejoin:round"));
}

/// Dots for light rain, hatching for heavy, crosses for what was not measured.
fn textures(svg: &mut Markup, name: &str) {
    svg.put(format_args!(
        "<defs>\
         <pattern id=\"{name}-dots\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\">\
         <circle class=\"dots\" cx=\"1.5\" cy=\"1.5\" r=\".8\"/>\
         <circle class=\"dots\" cx=\"4.5\" cy=\"4.5\" r=\".8\"/></pattern>\
         <pattern id=\"{name}-hatch\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\">\
         <path class=\"hatch\" d=\"M-1 7L7 -1M-1 1L1 -1M5 7L7 5\"/></pattern>\
         <pattern id=\"{name}-cross\" width=\"12\" height=\"12\" patternUnits=\"userSpaceOnUse\">\
         <path class=\"cross\" d=\"M1 3h4M3 1v4M7 9h4M9 7v4\"/></pattern></defs>\n"
    ));
}

/// The texture over a class of rain: dots below 1 mm/h, hatching from 10 mm/h.
pub(crate) fn texture(class: usize) -> Option<&'static str> {
    match class {
        0 | 1 => Some("dots"),
        5.. => Some("hatch"),
        _ => None,
    }
}

/// Crosses everywhere, paper over what was measured, then the rain by classes. Leaves a group open
/// that cuts what follows to the field.
fn draw_field(map: &RainMap, field: Field, name: &str, svg: &mut Markup) {
    let Field { left, top, width, height, .. } = field;
    let (x, y, w, h) = (N(left), N(top), N(width), N(height));
    svg.put(format_args!(
        "<clipPath id=\"{name}-c\"><rect x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\"/></clipPath>\n\
         <g clip-path=\"url(#{name}-c)\">\n\
         <rect x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\" fill=\"url(#{name}-cross)\"/>\n"
    ));
    let paths = class_paths(&map.rain_rate_mm_h, map.rows, map.columns);
    let cell = map.cell_km * field.px_per_km;
    let place = format!("translate({x} {y}) scale({cell:.5})");
    svg.put(format_args!("<g class=\"cells\" transform=\"{place}\">\n"));
    for (class, d) in paths.iter().enumerate() {
        let class = if class == DRY { "paper".to_owned() } else { format!("r{}", class - 1) };
        svg.path(&class, d);
    }
    svg.put(format_args!("</g>\n"));
    // A texture keeps its size whatever the cells' is, so it is drawn over the field as a whole and
    // cut to the cells of its classes.
    for texture_name in ["dots", "hatch"] {
        let cells: String = paths
            .iter()
            .enumerate()
            .filter(|(class, _)| *class != DRY && texture(class - 1) == Some(texture_name))
            .map(|(_, d)| d.as_str())
            .collect();
        if !cells.is_empty() {
            svg.put(format_args!(
                "<clipPath id=\"{name}-{texture_name}-c\"><path transform=\"{place}\" d=\"{cells}\"/></clipPath>\n\
                 <rect x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\" \
                 fill=\"url(#{name}-{texture_name})\" clip-path=\"url(#{name}-{texture_name}-c)\"/>\n"
            ));
        }
    }
}

fn draw_coast(map: &RainMap, field: Field, svg: &mut Markup) {
    let mut d = String::new();
    for line in &map.coast {
        let mut last: Option<(f64, f64)> = None;
        let mut drawing = false;
        for &(east_km, north_km) in line {
            let Some(point) = field.point(east_km, north_km) else {
                (last, drawing) = (None, false);
                continue;
            };
            if let Some(before) = last {
                if field.side(before) & field.side(point) != 0 {
                    drawing = false;
                } else {
                    if !drawing {
                        put(&mut d, format_args!("M{} {}", N(before.0), N(before.1)));
                        drawing = true;
                    }
                    if (point.0 - before.0).abs().max((point.1 - before.1).abs()) < 0.4 {
                        continue;
                    }
                    put(&mut d, format_args!("L{} {}", N(point.0), N(point.1)));
                }
            }
            last = Some(point);
        }
    }
    svg.path("rim", &d);
    svg.path("line coast", &d);
    let Some((x, y)) = field.point(0.0, 0.0) else { return };
    for ring_km in map.rings_km.iter().filter(|ring| ring.is_finite() && **ring > 0.0) {
        let r = N(ring_km * field.px_per_km);
        let (x, y) = (N(x), N(y));
        for class in ["rim", "line ring"] {
            svg.put(format_args!("<circle class=\"{class}\" cx=\"{x}\" cy=\"{y}\" r=\"{r}\"/>\n"));
        }
    }
}

/// Rings' distances and the places' names, moved aside where they would cover each other.
fn draw_places(map: &RainMap, field: Field, svg: &mut Markup) {
    let mut taken: Vec<(f64, f64, f64, f64)> = Vec::new();
    let free = |taken: &[(f64, f64, f64, f64)], (x0, y0, x1, y1): (f64, f64, f64, f64)| {
        field.holds((x0, y0))
            && field.holds((x1, y1))
            && taken.iter().all(|t| x1 < t.0 || t.2 < x0 || y1 < t.1 || t.3 < y0)
    };
    let on_map: Vec<(f64, f64, &str)> = map
        .places
        .iter()
        .filter_map(|place| {
            let (x, y) = field.point(place.east_km, place.north_km)?;
            field.holds((x, y)).then_some((x, y, place.label.trim()))
        })
        .collect();
    for (x, y, _) in &on_map {
        svg.put(format_args!(
            "<circle class=\"place\" cx=\"{}\" cy=\"{}\" r=\"4\"/>\n",
            N(*x),
            N(*y)
        ));
        taken.push((x - 6.0, y - 6.0, x + 6.0, y + 6.0));
    }
    for (x, y, label) in on_map {
        let label = Letters::SmallBold.shortened(label, field.width);
        let wide = Letters::SmallBold.width_px(&label);
        let at = [
            (x + 9.0, y + 4.5),
            (x - 9.0 - wide, y + 4.5),
            (x - wide / 2.0, y - 10.0),
            (x - wide / 2.0, y + 20.0),
        ];
        let extent = |(left, line): (f64, f64)| (left, line - 11.0, left + wide, line + 3.0);
        let place = at.into_iter().find(|place| free(&taken, extent(*place))).unwrap_or(at[0]);
        taken.push(extent(place));
        svg.words(place.0, place.1, "strong clear", Anchor::Start, &label);
    }
    let Some((x, y)) = field.point(0.0, 0.0) else { return };
    for ring_km in map.rings_km.iter().filter(|ring| ring.is_finite() && **ring > 0.0) {
        let label = format!("{ring_km} km");
        let half = Letters::Small.width_px(&label) / 2.0;
        let line = y - ring_km * field.px_per_km + 4.5;
        let extent = (x - half, line - 11.0, x + half, line + 3.0);
        if free(&taken, extent) {
            taken.push(extent);
            svg.words(x, line, "clear", Anchor::Middle, &label);
        }
    }
}
