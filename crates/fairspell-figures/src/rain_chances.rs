//! Chances of rain in cells: few strokes where it is possible, many where it is likely.

use crate::rain_cells::{Cells, Shades, Texture};
use crate::rain_runs::DRY;

/// From this chance on rain is possible; below it is unlikely.
pub const POSSIBLE: f32 = 0.2;
/// From this chance on rain is likely.
pub const LIKELY: f32 = 0.5;
/// From this chance on rain is very likely.
pub const VERY_LIKELY: f32 = 0.8;

/// Chances of rain on a grid that fills a map, row by row, the northernmost first.
///
/// Values are 0 to 1; NaN and negative are not known, and so is what is missing at the end of a list
/// that is too short.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ChanceField {
    /// Rows of the field.
    pub rows: usize,
    /// Columns of the field.
    pub columns: usize,
    /// Chance that it rains.
    pub p_rain: Vec<f32>,
    /// Chance of at least 10 mm/h, where it is asked for; an empty list says nothing of it.
    pub p_heavy: Vec<f32>,
}

/// Possible, likely, and heavy rain possible, which hides what lies under it.
pub(crate) const COMING: Shades = Shades {
    colours: &["r0", "r2", "r5"],
    textures: &[
        Texture { name: "few", class: 0, after: 0 },
        Texture { name: "many", class: 1, after: 1 },
        Texture { name: "heavy", class: 2, after: 2 },
    ],
};

/// Possible, likely and very likely.
pub(crate) const HOUR: Shades = Shades {
    colours: &["r0", "r1", "r2"],
    textures: &[
        Texture { name: "few", class: 0, after: 0 },
        Texture { name: "more", class: 1, after: 1 },
        Texture { name: "many", class: 2, after: 2 },
    ],
};

impl ChanceField {
    /// The cells of a coming moment.
    pub(crate) fn coming(&self, cell_px: f64) -> Cells {
        let class = |(index, p_rain): (usize, &f32)| {
            let is_heavy = self.p_heavy.get(index).is_some_and(|p_heavy| *p_heavy >= POSSIBLE);
            let class = class_within(*p_rain, &[POSSIBLE, LIKELY])?;
            Some(if is_heavy { DRY + 3 } else { class })
        };
        self.cells(self.p_rain.iter().enumerate().map(class).collect(), cell_px, COMING)
    }

    /// The cells of a map of chances.
    pub(crate) fn of_window(&self, cell_px: f64) -> Cells {
        let class = |p_rain: &f32| class_within(*p_rain, &[POSSIBLE, LIKELY, VERY_LIKELY]);
        self.cells(self.p_rain.iter().map(class).collect(), cell_px, HOUR)
    }

    fn cells(&self, classes: Vec<Option<usize>>, cell_px: f64, shades: Shades) -> Cells {
        Cells { classes, rows: self.rows, columns: self.columns, cell_px, shades }
    }
}

/// How many of some ascending bounds a chance reaches; `None` for one that is not known.
fn class_within(p: f32, bounds: &[f32]) -> Option<usize> {
    // Written so that NaN and negative codes for missing fall out.
    (p >= 0.0).then(|| bounds.partition_point(|&bound| bound <= p))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_chance_at_a_bound_belongs_to_the_class_above_it() {
        let bounds = [POSSIBLE, LIKELY, VERY_LIKELY];
        let classes = [0.0, 0.19, 0.2, 0.49, 0.5, 0.8, 1.0].map(|p| class_within(p, &bounds));
        assert_eq!(classes, [0, 0, 1, 1, 2, 3, 3].map(Some));
    }

    #[test]
    fn a_chance_that_is_not_known_is_in_no_class() {
        for p in [f32::NAN, -1.0, f32::NEG_INFINITY] {
            assert_eq!(class_within(p, &[POSSIBLE]), None);
        }
        // Nor is a heavy one where any rain at all is not known.
        let field = ChanceField { rows: 1, columns: 1, p_rain: vec![f32::NAN], p_heavy: vec![0.9] };
        assert_eq!(field.coming(1.0).classes, [None]);
    }
}
