//! A field of rain in cells: one path for each class of rain rate, and textures over them.

use crate::map_sheet::Sheet;
use crate::markup::{Markup, N, Rules};
use crate::palette::Palette;
use crate::rain_runs::{DRY, class_paths};

/// Rain rates on a grid that fills a sheet, row by row from the north-west.
pub(crate) struct Cells<'a> {
    pub(crate) rain_rate_mm_h: &'a [f32],
    pub(crate) rows: usize,
    pub(crate) columns: usize,
    pub(crate) cell_px: f64,
}

/// The texture over a class of rain: dots below 1 mm/h, hatching from 10 mm/h.
pub(crate) fn texture(class: usize) -> Option<&'static str> {
    match class {
        0 | 1 => Some("dots"),
        5.. => Some("hatch"),
        _ => None,
    }
}

/// The classes of the dots, and the first of the hatching, which reaches to the heaviest.
const FIRST_DOTTED: usize = 0;
const LAST_DOTTED: usize = 1;
const FIRST_HATCHED: usize = 5;

/// Classes whose paths carry a texture for heavier ones too.
const WHOLE: [usize; 2] = [FIRST_DOTTED, FIRST_HATCHED];

/// Dots for light rain, hatching for heavy, crosses for what was not measured; the same again for
/// use among cells, which are drawn scaled while a texture keeps its size.
pub(crate) fn draw_textures(name: &str, cell_px: Option<f64>, svg: &mut Markup) {
    svg.put(format_args!(
        "<defs>\
         <pattern id=\"{name}-dots\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\">\
         <circle class=\"dots\" cx=\"1.5\" cy=\"1.5\" r=\".8\"/>\
         <circle class=\"dots\" cx=\"4.5\" cy=\"4.5\" r=\".8\"/></pattern>\
         <pattern id=\"{name}-hatch\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\">\
         <path class=\"hatch\" d=\"M-1 7L7 -1M-1 1L1 -1M5 7L7 5\"/></pattern>\
         <pattern id=\"{name}-cross\" width=\"12\" height=\"12\" patternUnits=\"userSpaceOnUse\">\
         <path class=\"cross\" d=\"M1 3h4M3 1v4M7 9h4M9 7v4\"/></pattern>"
    ));
    if let Some(cell_px) = cell_px {
        for texture in ["dots", "hatch"] {
            svg.put(format_args!(
                "<pattern id=\"{name}-{texture}-c\" href=\"#{name}-{texture}\" \
                 patternTransform=\"scale({:.5})\"/>",
                1.0 / cell_px
            ));
        }
    }
    svg.put(format_args!("</defs>\n"));
}

/// Crosses everywhere: where nothing lies over them nothing was measured.
pub(crate) fn draw_unmeasured(sheet: Sheet, name: &str, svg: &mut Markup) {
    let Sheet { left, top, width, height } = sheet;
    let (x, y, w, h) = (N(left), N(top), N(width), N(height));
    svg.put(format_args!(
        "<rect x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\" fill=\"url(#{name}-cross)\"/>\n"
    ));
}

/// Paper over what was measured, and the classes of rain upon each other, each with all that is
/// heavier still to come over it.
///
/// - `key`: a name for this field's own parts.
pub(crate) fn draw_cells(cells: &Cells<'_>, sheet: Sheet, name: &str, key: &str, svg: &mut Markup) {
    let paths = class_paths(
        cells.rain_rate_mm_h,
        cells.rows,
        cells.columns,
        &WHOLE.map(|class| DRY + 1 + class),
    );
    // Lines run through the middle of their cells.
    let (x, y) = (N(sheet.left), N(sheet.top + cells.cell_px / 2.0));
    svg.put(format_args!(
        "<g class=\"cells\" transform=\"translate({x} {y}) scale({:.5})\">\n",
        cells.cell_px
    ));
    svg.path("paper", &paths[DRY]);
    let classes = &paths[DRY + 1..];
    for (class, d) in classes.iter().enumerate() {
        // The cells of a texture are used again under it; their colour comes from around them.
        if WHOLE.contains(&class) && !d.is_empty() {
            svg.put(format_args!(
                "<g class=\"r{class}\"><path id=\"{key}-{class}\" d=\"{d}\"/></g>\n"
            ));
        } else {
            svg.path(&format!("r{class}"), d);
        }
        if class == LAST_DOTTED && !classes[FIRST_DOTTED].is_empty() {
            use_texture("dots", FIRST_DOTTED, name, key, svg);
        }
    }
    if !classes[FIRST_HATCHED].is_empty() {
        use_texture("hatch", FIRST_HATCHED, name, key, svg);
    }
    svg.put(format_args!("</g>\n"));
}

fn use_texture(texture: &str, class: usize, name: &str, key: &str, svg: &mut Markup) {
    svg.put(format_args!("<use href=\"#{key}-{class}\" stroke=\"url(#{name}-{texture}-c)\"/>\n"));
}

/// Rules for the cells' classes.
pub(crate) fn cell_rules(rules: &mut Rules<'_>, palette: &Palette) {
    let Palette { paper, rain, hairline, ramp, .. } = palette;
    for (class, colour) in ramp.iter().enumerate() {
        rules.add(&format!(".r{class}"), format_args!("fill:{colour}"));
        rules.add(&format!(".cells .r{class}"), format_args!("stroke:{colour}"));
    }
    rules.add(".cells", format_args!("stroke-width:1;shape-rendering:crispEdges"));
    rules.add(".cells .paper", format_args!("stroke:{paper}"));
    rules.add(".dots", format_args!("fill:{rain}"));
    rules.add(".hatch", format_args!("fill:none;stroke:{paper};stroke-width:1.1"));
    rules.add(".cross", format_args!("fill:none;stroke:{hairline};stroke-width:.9"));
}
