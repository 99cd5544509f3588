//! A map to choose a place on: the coast, a cross in the middle, how far things are apart.
//!
//! From the whole world to a few kilometres. It fills its picture from edge to edge, so that where a
//! finger lands in the picture is where it lands on the map.

use crate::lettering::Letters;
use crate::map_sheet::{Names, Point, Sheet};
use crate::markup::{Anchor, Frame, Markup, N, Rules, document, name_of};
use crate::palette::{Palette, Theme};
use crate::rain_map::coast_rules;

/// Everything the map shows. Positions are shares of the picture: (0, 0) is its left upper corner,
/// (1, 1) its right lower one, whatever the projection; words come finished.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PlaceMap {
    /// What the picture is, for those who cannot see it; it is not drawn.
    pub title: String,
    /// The same at length: what is in the middle, how wide the map is.
    pub description: String,
    /// Pixels; kept within 64 to 4096.
    pub width: f64,
    /// Pixels; kept within 64 to 4096.
    pub height: f64,
    /// Lines of the coast, each a list of (x, y). Break those that leave the picture on one side and
    /// come back on the other, as at the 180th meridian.
    pub coast: Vec<Vec<(f64, f64)>>,
    /// Places with their names.
    pub places: Vec<NamedPoint>,
    /// A length to measure by, in the left lower corner.
    pub scale_bar: Option<ScaleBar>,
}

/// A named place on the picture.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct NamedPoint {
    /// Share of the width, from the left.
    pub x: f64,
    /// Share of the height, from the top.
    pub y: f64,
    /// Its name.
    pub label: String,
}

/// A length to measure by.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ScaleBar {
    /// Share of the picture's width.
    pub share: f64,
    /// What it is: `10 km`.
    pub label: String,
}

/// Bends and islands smaller than this are left out: a finger is no finer.
const BEND_PX: f64 = 1.0;

/// The arms of the cross, pixels from its middle: where they begin, where they end.
const ARM: (f64, f64) = (5.0, 17.0);

/// Draws the map as an SVG document of its own size, for an `<input type="image">`, whose click
/// arrives as pixels from the left upper corner.
///
/// Equal input gives equal bytes.
///
/// # Examples
///
/// ```
/// use fairspell_figures::{PlaceMap, ScaleBar, Theme, place_map_svg};
///
/// // A straight coast down the picture, which is 20 km wide.
/// let map = PlaceMap {
///     title: "Map around Saltern Bight, 20 km wide".into(),
///     width: 360.0,
///     height: 360.0,
///     coast: vec![vec![(0.6, 0.0), (0.6, 1.0)]],
///     scale_bar: Some(ScaleBar { share: 0.25, label: "5 km".into() }),
///     ..PlaceMap::default()
/// };
/// let svg = place_map_svg(&map, Theme::Light);
/// assert!(svg.contains("width=\"360\" height=\"360\"") && svg.contains("d=\"M216 0l0 360\""));
/// ```
///
/// # Source
///
/// Our own design.
pub fn place_map_svg(map: &PlaceMap, theme: Theme) -> String {
    let side = |px: f64| if px.is_finite() { px.clamp(64.0, 4096.0).round() } else { 64.0 };
    let (width, height) = (side(map.width), side(map.height));
    let sheet = Sheet { left: 0.0, top: 0.0, width, height };
    let point =
        |x: f64, y: f64| (x.is_finite() && y.is_finite()).then_some((x * width, y * height));
    let coast = map.coast.iter().map(|line| line.iter().map(|&(x, y)| point(x, y)).collect());
    let coast = sheet.path(coast, BEND_PX);
    // Named for what is drawn of the coast: the world's has two hundred thousand points.
    let PlaceMap { title, description, places, scale_bar, .. } = map;
    let name = name_of(format_args!(
        "place{theme:?}{width}{height}{title:?}{description:?}{places:?}{scale_bar:?}{coast}"
    ));
    let mut svg = Markup::default();
    sheet.open_clip(&format!("{name}-c"), &mut svg);
    svg.path("line coast", &coast);
    svg.put(format_args!("</g>\n"));
    svg.rect("hair", 0.5, 0.5, width - 1.0, height - 1.0);
    let mut names = Names::new(sheet);
    let middle = (width / 2.0, height / 2.0);
    let reach = ARM.1 + 2.0;
    names.take((middle.0 - reach, middle.1 - reach, middle.0 + reach, middle.1 + reach));
    if let Some(bar) = &map.scale_bar {
        draw_scale_bar(bar, sheet, &mut names, &mut svg);
    }
    let places =
        map.places.iter().filter_map(|place| Some((point(place.x, place.y)?, place.label.trim())));
    names.draw_places(places, &mut svg);
    draw_cross(middle, &mut svg);
    let frame = Frame {
        name: &name,
        width,
        height,
        own_size: true,
        title: &map.title,
        description: &map.description,
        theme,
    };
    document(&frame, &rules, &svg)
}

fn rules(rules: &mut Rules<'_>, palette: &Palette) {
    coast_rules(rules, palette);
    rules.add(".coast", format_args!("stroke-width:1"));
    rules.add(".cross", format_args!("stroke-width:2.5"));
    rules.add(".bar", format_args!("stroke-width:1.5"));
}

/// A cross that leaves free what it points at.
fn draw_cross((x, y): Point, svg: &mut Markup) {
    let (x0, y0) = (N(x), N(y));
    let long = N(ARM.1 - ARM.0);
    let d = format!(
        "M{} {y0}h{long}M{} {y0}h{long}M{x0} {}v{long}M{x0} {}v{long}",
        N(x - ARM.1),
        N(x + ARM.0),
        N(y - ARM.1),
        N(y + ARM.0),
    );
    svg.path("rim", &d);
    svg.path("line cross", &d);
}

fn draw_scale_bar(bar: &ScaleBar, sheet: Sheet, names: &mut Names, svg: &mut Markup) {
    let long = bar.share * sheet.width;
    if !(long.is_finite() && long > 0.0 && long < sheet.width - 20.0) {
        return;
    }
    let (left, line) = (10.5, sheet.height - 14.5);
    let d = format!("M{0} {1}v-5v10v-5h{2}v-5v10", N(left), N(line), N(long));
    svg.path("rim", &d);
    svg.path("line bar", &d);
    let label = Letters::Small.shortened(&bar.label, sheet.width - 20.0);
    let wide = Letters::Small.width_px(&label);
    svg.words(left, line - 9.0, "clear", Anchor::Start, &label);
    names.take((left, line - 22.0, left + wide.max(long), line + 6.0));
}
