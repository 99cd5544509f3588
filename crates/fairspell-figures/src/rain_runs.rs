//! A field's cells joined into as few rectangles as rows allow, by classes of rain rate.

use crate::markup::put;
use crate::palette::RAIN_BREAKS_MM_H;

/// The class of measured cells without rain, in front of those of [`RAIN_BREAKS_MM_H`].
pub(crate) const DRY: usize = 0;
const CLASSES: usize = RAIN_BREAKS_MM_H.len() + 1;

/// The class of a rate; `None` for what was not measured.
pub(crate) fn class_of(rain_rate_mm_h: f32) -> Option<usize> {
    // Written so that NaN and negative codes for missing fall out.
    (rain_rate_mm_h >= 0.0)
        .then(|| RAIN_BREAKS_MM_H.partition_point(|&lower_bound| lower_bound <= rain_rate_mm_h))
}

/// A rectangle in the making, cells.
#[derive(Clone, Copy, PartialEq, Eq)]
struct Run {
    class: usize,
    column: usize,
    width: usize,
    row: usize,
    height: usize,
}

/// One SVG path for each class, in cells from the north-western corner.
///
/// Equal cells side by side make a run; a run under an equal run makes it taller.
pub(crate) fn class_paths(rates: &[f32], rows: usize, columns: usize) -> [String; CLASSES] {
    let mut paths: [String; CLASSES] = std::array::from_fn(|_| String::new());
    if columns == 0 {
        return paths;
    }
    let mut open: Vec<Run> = Vec::new();
    for (row, cells) in rates.chunks(columns).take(rows).enumerate() {
        let mut next: Vec<Run> = Vec::new();
        for run in runs_of(cells, row) {
            let above = open.binary_search_by(|run_above| run_above.column.cmp(&run.column));
            match above.ok().map(|index| open[index]) {
                Some(above) if above.width == run.width && above.class == run.class => {
                    next.push(Run { height: above.height + 1, ..above });
                }
                _ => next.push(run),
            }
        }
        for run in &open {
            // What did not grow into this row is done.
            let grew = next.iter().any(|new| new.column == run.column && new.row == run.row);
            if !grew {
                close(run, &mut paths);
            }
        }
        open = next;
    }
    for run in &open {
        close(run, &mut paths);
    }
    paths
}

fn runs_of(cells: &[f32], row: usize) -> Vec<Run> {
    let mut runs: Vec<Run> = Vec::new();
    for (column, rate) in cells.iter().enumerate() {
        let Some(class) = class_of(*rate) else { continue };
        match runs.last_mut() {
            Some(run) if run.class == class && run.column + run.width == column => run.width += 1,
            _ => runs.push(Run { class, column, width: 1, row, height: 1 }),
        }
    }
    runs
}

fn close(run: &Run, paths: &mut [String; CLASSES]) {
    let Run { class, column, width, row, height } = run;
    put(&mut paths[*class], format_args!("M{column} {row}h{width}v{height}h-{width}z"));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_cells_become_one_rectangle() {
        let paths = class_paths(&[3.0; 12], 3, 4);
        assert_eq!(paths[4], "M0 0h4v3h-4z");
    }

    #[test]
    fn what_was_not_measured_is_in_no_class() {
        for rate in [f32::NAN, -1.0, -9999.0, f32::NEG_INFINITY] {
            assert_eq!(class_of(rate), None);
        }
        assert_eq!(class_of(0.0), Some(DRY));
    }

    #[test]
    fn a_rate_at_a_bound_belongs_to_the_class_above_it() {
        assert_eq!(class_of(0.1), Some(1));
        assert_eq!(class_of(10.0), Some(6));
        assert_eq!(class_of(f32::INFINITY), Some(8));
    }

    /// Every cell is covered once by its own class, read back from the paths.
    #[test]
    fn joined_cells_cover_each_measured_cell_exactly_once() {
        let rates: Vec<f32> =
            (0..35).map(|i| [0.0, 0.3, 0.3, f32::NAN, 3.0, 60.0][(i * i / 3) % 6]).collect();
        let mut found = vec![None; 35];
        for (class, path) in class_paths(&rates, 5, 7).iter().enumerate() {
            for part in path.split('M').skip(1) {
                let figures: Vec<usize> = part
                    .split(|c: char| !c.is_ascii_digit())
                    .filter(|part| !part.is_empty())
                    .map(|part| part.parse().unwrap())
                    .collect();
                for row in figures[1]..figures[1] + figures[3] {
                    for column in figures[0]..figures[0] + figures[2] {
                        assert_eq!(found[row * 7 + column].replace(class), None);
                    }
                }
            }
        }
        assert_eq!(found, rates.iter().map(|rate| class_of(*rate)).collect::<Vec<_>>());
    }
}
