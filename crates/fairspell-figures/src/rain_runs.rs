//! A field's cells joined into lines along its rows, by their classes.

use crate::markup::put;
use crate::palette::RAIN_BREAKS_MM_H;

/// The class of measured cells without rain, in front of all others.
pub(crate) const DRY: usize = 0;

/// How many classes of rain rate there are, with [`DRY`].
pub(crate) const RATE_CLASSES: usize = RAIN_BREAKS_MM_H.len() + 1;

/// The class of a rate; `None` for what was not measured.
pub(crate) fn class_of(rain_rate_mm_h: f32) -> Option<usize> {
    // Written so that NaN and negative codes for missing fall out.
    (rain_rate_mm_h >= 0.0)
        .then(|| RAIN_BREAKS_MM_H.partition_point(|&lower_bound| lower_bound <= rain_rate_mm_h))
}

/// One SVG path for each of so many classes, in cells from the middle of the north-western one's
/// western side: lines through all cells of that class **and of higher ones**, to be stroked one cell
/// wide. Drawn in order, each cell shows its own class.
///
/// - `classes`: row by row; `None` for what was not measured.
///
/// A shower is rings within rings, so that half as many lines are needed as for cells of just one
/// class; and a line says itself in half the letters of a rectangle. A line that higher ones hide
/// is left out, but for the classes in `whole`. Rows on end that were measured from side to side are
/// one rectangle in the path of [`DRY`], which is to be filled as well.
pub(crate) fn class_paths(
    classes: &[Option<usize>],
    rows: usize,
    columns: usize,
    count: usize,
    whole: &[usize],
) -> Vec<String> {
    let mut paths = vec![String::new(); count];
    if columns == 0 {
        return paths;
    }
    let mut measured_rows = 0;
    for (row, classes) in classes.chunks(columns).take(rows).enumerate() {
        if classes.len() == columns && classes.iter().all(Option::is_some) {
            measured_rows += 1;
        } else {
            put_block(row, measured_rows, columns, &mut paths[DRY]);
            measured_rows = 0;
        }
        // One more than the class, 0 for what was not measured.
        let classes: Vec<usize> =
            classes.iter().map(|class| class.map_or(0, |class| class + 1)).collect();
        for (class, path) in paths.iter_mut().enumerate() {
            if class != DRY || measured_rows == 0 {
                put_lines(&classes, class + 1, whole.contains(&class), row, path);
            }
        }
    }
    let rows_there = classes.len().div_ceil(columns).min(rows);
    put_block(rows_there, measured_rows, columns, &mut paths[DRY]);
    paths
}

/// Adds the rows on end, from side to side, that end before a row.
fn put_block(end: usize, rows: usize, columns: usize, path: &mut String) {
    match rows {
        0 => {}
        1 => put(path, format_args!("M0 {}h{columns}", end - 1)),
        _ => put(path, format_args!("M0 {}h{columns}v{}h-{columns}z", end - rows, rows - 1)),
    }
}

/// Adds the lines of a row through all cells with at least a value.
fn put_lines(classes: &[usize], least: usize, is_whole: bool, row: usize, path: &mut String) {
    let mut column = 0;
    let mut pen = None;
    for run in classes.chunk_by(|a, b| (*a >= least) == (*b >= least)) {
        let is_hidden = !is_whole && run.iter().all(|class| *class > least);
        if run[0] >= least && !is_hidden {
            match pen {
                None => put(path, format_args!("M{column} {row}h{}", run.len())),
                Some(pen) => put(path, format_args!("m{} 0h{}", column - pen, run.len())),
            }
            pen = Some(column + run.len());
        }
        column += run.len();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rate_paths(rates: &[f32], rows: usize, columns: usize, whole: &[usize]) -> Vec<String> {
        let classes: Vec<_> = rates.iter().map(|rate| class_of(*rate)).collect();
        class_paths(&classes, rows, columns, RATE_CLASSES, whole)
    }

    #[test]
    fn cells_side_by_side_become_one_line() {
        let paths = rate_paths(&[3.0, 3.0, f32::NAN, 3.0], 1, 4, &[]);
        assert_eq!(paths[4], "M0 0h2m1 0h1");
        assert!(paths.iter().enumerate().all(|(class, path)| class == 4 || path.is_empty()));
    }

    #[test]
    fn a_line_runs_through_what_is_heavier_and_is_left_out_only_where_all_of_it_is() {
        let paths = rate_paths(&[0.0, 3.0, 0.0, 0.0, 3.0, 3.0], 2, 3, &[1]);
        assert_eq!(paths[0], "M0 0h3v1h-3z");
        assert_eq!([&*paths[1], &*paths[2], &*paths[3]], ["M1 0h1M1 1h2", "", ""]);
        assert_eq!(paths[4], "M1 0h1M1 1h2");
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

    #[test]
    fn rows_measured_from_side_to_side_are_one_rectangle_however_many() {
        const NO: f32 = f32::NAN;
        let rates = [0.0, 0.0, 3.0, 0.0, NO, 0.0, 0.0, 0.0, NO, NO, 0.0, 0.0, 0.0, 0.0];
        assert_eq!(rate_paths(&rates, 7, 2, &[])[DRY], "M0 0h2v1h-2zM1 2h1M0 3h2M0 5h2v1h-2z");
        // A row that a short list leaves half empty is not.
        assert_eq!(rate_paths(&[0.0, 0.0, 0.0], 9, 2, &[])[DRY], "M0 0h2M0 1h1");
    }

    /// Read back from the paths: of those that cover a cell the last is its own class, none covers
    /// it twice, and what was not measured is covered by none.
    #[test]
    fn each_cell_shows_its_own_class_when_paths_are_drawn_in_order() {
        let rates: Vec<f32> =
            (0..35).map(|i| [0.0, 0.3, 0.3, f32::NAN, 3.0, 60.0][(i * i / 3) % 6]).collect();
        let mut shown = vec![None; 35];
        for (class, path) in rate_paths(&rates, 5, 7, &[1, 6]).iter().enumerate() {
            for line in path.split('M').skip(1) {
                assert!(!line.contains('v'), "each row has a cell that was not measured");
                let (at, steps) = line.split_once('h').unwrap();
                let (column, row) = at.split_once(' ').unwrap();
                let (mut column, row): (usize, usize) =
                    (column.parse().unwrap(), row.parse().unwrap());
                for step in format!("m0 0h{steps}").split('m').skip(1) {
                    let (gap, wide) = step.split_once(" 0h").unwrap();
                    column += gap.parse::<usize>().unwrap();
                    for _ in 0..wide.parse().unwrap() {
                        assert_ne!(shown[row * 7 + column].replace(class), Some(class));
                        column += 1;
                    }
                }
            }
        }
        assert_eq!(shown, rates.iter().map(|rate| class_of(*rate)).collect::<Vec<_>>());
    }
}
