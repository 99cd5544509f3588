//! A field of rain in cells: one path for each class, of rain rate or of chance, and textures over
//! them.

use crate::map_sheet::Sheet;
use crate::markup::{Markup, N, Rules};
use crate::palette::Palette;
use crate::rain_runs::{DRY, RATE_CLASSES, class_of, class_paths};

/// Classes of cells on a grid that fills a sheet, row by row from the north-west.
pub(crate) struct Cells {
    /// `None` for what was not measured; [`DRY`] and, above it, the classes of `shades`.
    pub(crate) classes: Vec<Option<usize>>,
    pub(crate) rows: usize,
    pub(crate) columns: usize,
    pub(crate) cell_px: f64,
    pub(crate) shades: Shades,
}

impl Cells {
    /// From rates, mm/h.
    pub(crate) fn of_rates(rates: &[f32], rows: usize, columns: usize, cell_px: f64) -> Self {
        let classes = rates.iter().map(|rate| class_of(*rate)).collect();
        Self { classes, rows, columns, cell_px, shades: RATES }
    }

    /// Without single cells that are one class off between two wet neighbours of one class in their
    /// row: at a glance nobody misses them, and a busy sky becomes a fifth smaller. What was dry stays
    /// dry, what was wet wet, what was not measured not measured.
    pub(crate) fn calmed(mut self) -> Self {
        for row in self.classes.chunks_mut(self.columns.max(1)) {
            for middle in 1..row.len().saturating_sub(1) {
                let [Some(before), Some(here), Some(after)] =
                    [row[middle - 1], row[middle], row[middle + 1]]
                else {
                    continue;
                };
                let all_wet = before > DRY && here > DRY;
                if before == after && all_wet && here.abs_diff(before) == 1 {
                    row[middle] = Some(before);
                }
            }
        }
        self
    }
}

/// How the classes above [`DRY`] look.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Shades {
    /// Of each class the name of its colour's rule.
    pub(crate) colours: &'static [&'static str],
    pub(crate) textures: &'static [Texture],
}

/// A texture over the cells of a class and all that are drawn upon it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Texture {
    pub(crate) name: &'static str,
    pub(crate) class: usize,
    /// It is drawn when this class has been: what is higher hides it.
    pub(crate) after: usize,
}

/// Rain rates: dots below 1 mm/h, hatching from 10 mm/h.
pub(crate) const RATES: Shades = Shades {
    colours: &["r0", "r1", "r2", "r3", "r4", "r5", "r6", "r7"],
    textures: &[
        Texture { name: "dots", class: 0, after: 1 },
        Texture { name: "hatch", class: 5, after: 7 },
    ],
};
const _: () = assert!(RATES.colours.len() + 1 == RATE_CLASSES, "a colour for each class");

impl Shades {
    /// The texture that a class shows.
    pub(crate) fn texture(&self, class: usize) -> Option<&'static str> {
        let shown = |texture: &&Texture| (texture.class..=texture.after).contains(&class);
        self.textures.iter().find(shown).map(|texture| texture.name)
    }
}

/// The strokes of a chance, as in the picture of an evening: the likelier, the more of them.
const STROKES: [(&str, &str); 3] = [
    ("few", "M2 8l2 -6"),
    ("more", "M2 8l2 -6M7 13l2 -6M7 3l1 -3"),
    ("many", "M1 7l2 -6M6 7l2 -6M3.5 12l2 -6M8.5 12l2 -6M8.5 2l.7 -2M3.5 2l.7 -2"),
];

/// Textures of fields of rain rates, of fields of chances, or of both.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Textures {
    Rates,
    Chances,
    Both,
}

/// Crosses for what was not measured, and the textures of classes; those once more for use among
/// cells, which are drawn scaled while a texture keeps its size.
///
/// - `cells_px`: how large the cells of rates are, and those of chances.
pub(crate) fn draw_textures(
    name: &str,
    of: Textures,
    cells_px: [Option<f64>; 2],
    svg: &mut Markup,
) {
    svg.put(format_args!(
        "<defs><pattern id=\"{name}-cross\" width=\"12\" height=\"12\" patternUnits=\"userSpaceOnUse\">\
         <path class=\"cross\" d=\"M1 3h4M3 1v4M7 9h4M9 7v4\"/></pattern>"
    ));
    if of != Textures::Chances {
        svg.put(format_args!(
            "<pattern id=\"{name}-dots\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\">\
             <circle class=\"dots\" cx=\"1.5\" cy=\"1.5\" r=\".8\"/>\
             <circle class=\"dots\" cx=\"4.5\" cy=\"4.5\" r=\".8\"/></pattern>\
             <pattern id=\"{name}-hatch\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\">\
             <path class=\"hatch\" d=\"M-1 7L7 -1M-1 1L1 -1M5 7L7 5\"/></pattern>"
        ));
        draw_scaled(name, &["dots", "hatch"], cells_px[0], svg);
    }
    if of != Textures::Rates {
        for (stroke, d) in STROKES {
            svg.put(format_args!(
                "<pattern id=\"{name}-{stroke}\" width=\"10\" height=\"10\" \
                 patternUnits=\"userSpaceOnUse\"><path class=\"stroke\" d=\"{d}\"/></pattern>"
            ));
        }
        draw_scaled(name, &STROKES.map(|(stroke, _)| stroke), cells_px[1], svg);
        if let (Textures::Both, Some(cell_px)) = (of, cells_px[1]) {
            svg.put(format_args!(
                "<pattern id=\"{name}-heavy\" href=\"#{name}-hatch\"/>\
                 <pattern id=\"{name}-heavy-c\" href=\"#{name}-hatch\" \
                 patternTransform=\"scale({:.5})\"/>",
                1.0 / cell_px
            ));
        }
    }
    svg.put(format_args!("</defs>\n"));
}

fn draw_scaled(name: &str, textures: &[&str], cell_px: Option<f64>, svg: &mut Markup) {
    let Some(cell_px) = cell_px else { return };
    for texture in textures {
        svg.put(format_args!(
            "<pattern id=\"{name}-{texture}-c\" href=\"#{name}-{texture}\" \
             patternTransform=\"scale({:.5})\"/>",
            1.0 / cell_px
        ));
    }
}

/// Crosses everywhere: where nothing lies over them nothing was measured.
pub(crate) fn draw_unmeasured(sheet: Sheet, name: &str, svg: &mut Markup) {
    let Sheet { left, top, width, height } = sheet;
    let (x, y, w, h) = (N(left), N(top), N(width), N(height));
    svg.put(format_args!(
        "<rect x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\" fill=\"url(#{name}-cross)\"/>\n"
    ));
}

/// Paper over what was measured, and the classes upon each other, each with all that is higher
/// still to come over it.
///
/// - `key`: a name for this field's own parts.
pub(crate) fn draw_cells(cells: &Cells, sheet: Sheet, name: &str, key: &str, svg: &mut Markup) {
    let Shades { colours, textures } = cells.shades;
    let textured = |class: usize| textures.iter().any(|texture| texture.class == class);
    let whole: Vec<usize> = textures.iter().map(|texture| DRY + 1 + texture.class).collect();
    let count = colours.len() + 1;
    let paths = class_paths(&cells.classes, cells.rows, cells.columns, count, &whole);
    // Lines run through the middle of their cells.
    let (x, y) = (N(sheet.left), N(sheet.top + cells.cell_px / 2.0));
    svg.put(format_args!(
        "<g class=\"cells\" transform=\"translate({x} {y}) scale({:.5})\">\n",
        cells.cell_px
    ));
    svg.path("paper", &paths[DRY]);
    let classes = &paths[DRY + 1..];
    for (class, d) in classes.iter().enumerate() {
        let colour = colours[class];
        // The cells of a texture are used again under it; their colour comes from around them.
        if textured(class) && !d.is_empty() {
            svg.put(format_args!(
                "<g class=\"{colour}\"><path id=\"{key}-{class}\" d=\"{d}\"/></g>\n"
            ));
        } else {
            svg.path(colour, d);
        }
        for texture in textures.iter().filter(|texture| texture.after == class) {
            if !classes[texture.class].is_empty() {
                svg.put(format_args!(
                    "<use href=\"#{key}-{}\" stroke=\"url(#{name}-{}-c)\"/>\n",
                    texture.class, texture.name
                ));
            }
        }
    }
    svg.put(format_args!("</g>\n"));
}

/// Rules for the cells' classes and textures.
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
    rules.add(".stroke", format_args!("fill:none;stroke:{rain};stroke-width:1.2"));
    rules.add(".cross", format_args!("fill:none;stroke:{hairline};stroke-width:.9"));
}

#[cfg(test)]
mod tests {
    use super::*;

    fn calmed(rates: &[f32], columns: usize) -> Vec<Option<usize>> {
        Cells::of_rates(rates, rates.len() / columns, columns, 1.0).calmed().classes
    }

    #[test]
    fn a_cell_a_class_off_between_equal_ones_takes_theirs() {
        assert_eq!(calmed(&[0.3, 0.7, 0.3], 3), [1, 1, 1].map(Some));
        // Not two classes off, and not across the ends of rows.
        assert_eq!(calmed(&[0.3, 1.5, 0.3], 3), [1, 3, 1].map(Some));
        assert_eq!(calmed(&[0.3, 0.7, 0.3, 0.3], 2), [1, 2, 1, 1].map(Some));
    }

    #[test]
    fn calming_leaves_what_is_dry_and_what_was_not_measured() {
        assert_eq!(calmed(&[0.3, 0.0, 0.3], 3), [1, 0, 1].map(Some));
        assert_eq!(calmed(&[0.0, 0.3, 0.0], 3), [0, 1, 0].map(Some));
        assert_eq!(calmed(&[0.3, f32::NAN, 0.3], 3), [Some(1), None, Some(1)]);
    }
}
