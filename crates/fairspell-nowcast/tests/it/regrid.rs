use fairspell_ground::{LatLon, Projection};
use fairspell_nowcast::{Grid, RainField, Regrid};
use ndarray::Array2;

use crate::sky;

const HOLE: f32 = f32::NAN;

/// Positions on equal-area maps: middle of the map, point (degrees north, east), x, y (metres).
/// pyproj 3.7.2 (PROJ 9.5.1), `+proj=laea +lat_0=.. +lon_0=.. +ellps=WGS84`.
const PYPROJ: [(f64, f64, f64, f64, f64, f64); 11] = [
    (35.0, -86.0, 35.0, -86.0, 0.000, 0.000),
    (35.0, -86.0, 37.3, -88.9, -257122.849, 258959.432),
    (35.0, -86.0, 32.4, -83.1, 272835.132, -284487.162),
    (35.0, -86.0, 36.0, -86.0, 0.000, 110947.345),
    (-17.5, 179.9, -17.5, 179.9, 0.000, 0.000),
    (-17.5, 179.9, -18.9, -178.2, 200180.249, -155962.078),
    (-17.5, 179.9, -16.1, 178.0, -203264.244, 153943.520),
    (65.0, 25.0, 66.5, 21.5, -155731.392, 171569.231),
    (65.0, 25.0, 63.4, 29.0, 199788.484, -172070.185),
    (86.0, 10.0, 87.5, 2.0, -38853.193, 170241.726),
    (86.0, 10.0, 84.4, 17.0, 76111.915, -174050.762),
];

/// A grid in degrees around a middle.
fn degrees(lat_deg: f64, lon_deg: f64, size: (usize, usize), step_deg: f64) -> Grid {
    Grid {
        projection: Projection::degrees(),
        x_first: lon_deg - (size.1 - 1) as f64 / 2.0 * step_deg,
        y_first: lat_deg + (size.0 - 1) as f64 / 2.0 * step_deg,
        x_step: step_deg,
        y_step: step_deg,
        rows: size.0,
        columns: size.1,
    }
}

fn field_of(grid: &Grid, rain_rate_mm_h: Array2<f32>) -> RainField {
    RainField { valid_time: sky::issued(), grid: grid.clone(), rain_rate_mm_h }
}

/// Every measured cell of the new grid against a cell by cell projection of its centre: how far the
/// centre of the source's cell that it was taken from is away, in cells of the source.
fn worst_miss(grid: &Grid) -> f64 {
    let regrid = Regrid::for_nowcast(grid).unwrap();
    // The source's cells numbered in two pictures.
    let rows = Array2::from_shape_fn((grid.rows, grid.columns), |(row, _)| sky::single(row as f64));
    let columns =
        Array2::from_shape_fn((grid.rows, grid.columns), |(_, column)| sky::single(column as f64));
    let [rows, columns] =
        [rows, columns].map(|numbers| regrid.field(&field_of(grid, numbers)).unwrap());
    let mut worst: f64 = 0.0;
    for ((row, column), source_row) in rows.rain_rate_mm_h.indexed_iter() {
        let source_column = columns.rain_rate_mm_h[[row, column]];
        let place = regrid.target().point_at(row as f64, column as f64);
        let exact = place.and_then(|place| grid.cell_of(place));
        if let (Some(exact), false) = (exact, source_row.is_nan()) {
            let miss = (exact.0 - f64::from(*source_row))
                .abs()
                .max((exact.1 - f64::from(source_column)).abs());
            worst = worst.max(miss);
        } else if let Some((source_row, source_column)) = exact {
            // Measured nowhere, though it lies within: only on the very edge.
            let inside = source_row.min(grid.rows as f64 - 1.0 - source_row);
            let inside = inside.min(source_column).min(grid.columns as f64 - 1.0 - source_column);
            assert!(inside <= -0.45, "{row}, {column}: unknown at {exact:?}");
        }
    }
    worst
}

#[test]
fn positions_are_those_of_the_reference() {
    for (lat_0, lon_0, lat_deg, lon_deg, x_m, y_m) in PYPROJ {
        let regrid = Regrid::to_equal_area(&degrees(lat_0, lon_0, (301, 901), 0.02)).unwrap();
        let target = regrid.target();
        let point = LatLon::new(lat_deg, lon_deg).unwrap();
        let (x, y) = target.projection.to_plane(point).unwrap();
        // Given to a millimetre.
        let off_m = (x - x_m).hypot(y - y_m);
        assert!(off_m < 0.01, "{lat_deg},{lon_deg}: {x}, {y}, off by {off_m} m");
        let (row, column) = target.cell_of(point).unwrap();
        let again_x_m = target.x_first + column * target.x_step;
        let again_y_m = target.y_first - row * target.y_step;
        assert!((again_x_m - x_m).hypot(again_y_m - y_m) < 0.01, "{row}, {column}");
    }
}

#[test]
fn a_hundredth_of_a_degree_becomes_about_a_kilometre() {
    let regrid = Regrid::for_nowcast(&degrees(35.0, -86.0, (600, 660), 0.01)).unwrap();
    let target = regrid.target();
    // 1.1094 km by 0.9128 km (WGS 84 at 35 degrees).
    assert!((target.x_step - 1006.0).abs() <= 3.0, "{target:?}");
    assert_eq!(target.x_step, target.y_step);
    let area_km2 = (target.rows * target.columns) as f64 * target.x_step.powi(2) / 1e6;
    // The map's corners are bent: its box is somewhat larger than it is.
    let source_km2 = 600.0 * 660.0 * 1.1094 * 0.9128;
    assert!((1.0..1.06).contains(&(area_km2 / source_km2)), "{area_km2} {source_km2}");
}

#[test]
fn every_cell_takes_the_rate_of_the_nearest_one() {
    for (name, grid) in [
        ("middle latitudes", degrees(35.0, -86.0, (300, 340), 0.01)),
        ("the equator", degrees(0.2, 100.0, (150, 150), 0.02)),
        ("southern", degrees(-43.0, 172.0, (200, 200), 0.02)),
        ("across the date line", degrees(-17.5, 179.9, (200, 200), 0.02)),
        ("counted to 360", degrees(40.0, 359.5, (200, 200), 0.015)),
        ("coarse, where parallels are bent within a few cells", degrees(45.0, 8.0, (64, 64), 0.5)),
        ("one cell", degrees(50.0, 8.0, (1, 1), 0.01)),
        ("one row", degrees(45.0, 8.0, (1, 40), 0.01)),
    ] {
        // Half a cell, and what interpolated positions may be off by.
        let worst = worst_miss(&grid);
        assert!(worst <= 0.55, "{name}: {worst}");
    }
}

#[test]
fn every_cell_of_the_source_has_a_place_on_the_new_grid() {
    for grid in [
        degrees(60.0, 25.0, (400, 800), 0.01),
        degrees(-43.0, 172.0, (200, 300), 0.05),
        degrees(0.0, 179.0, (100, 100), 0.05),
        degrees(45.0, 8.0, (64, 64), 0.5),
        degrees(50.0, 8.0, (1, 1), 0.01),
    ] {
        let regrid = Regrid::for_nowcast(&grid).unwrap();
        let target = regrid.target();
        let back = regrid.onto_source(&Array2::zeros((target.rows, target.columns))).unwrap();
        assert_eq!(back.dim(), (grid.rows, grid.columns));
        assert!(back.iter().all(|value| *value == 0.0), "{grid:?}");
    }
}

#[test]
fn drizzle_stays_drizzle_and_a_hole_a_hole() {
    let grid = degrees(35.0, -86.0, (300, 300), 0.01);
    let rates = Array2::from_shape_fn((300, 300), |(row, column)| match (row / 30, column / 30) {
        (2, _) => HOLE,
        (row, column) if (row + column) % 3 == 0 => 0.1,
        (_, 4) => 12.0,
        _ => 0.0,
    });
    let count = |rates: &Array2<f32>, what: &dyn Fn(f32) -> bool| {
        rates.iter().filter(|rate| what(**rate)).count() as f64
    };
    let regrid = Regrid::for_nowcast(&grid).unwrap();
    let square = regrid.field(&field_of(&grid, rates.clone())).unwrap();
    let new = &square.rain_rate_mm_h;
    assert_eq!(square.valid_time, sky::issued());
    assert!(new.iter().all(|rate| rate.is_nan() || [0.0, 0.1, 12.0].contains(rate)));
    let known = |rates: &Array2<f32>| count(rates, &|rate| !rate.is_nan());
    for what in [0.1_f32, 12.0, 0.0] {
        let share = |rates: &Array2<f32>| count(rates, &|rate| rate == what) / known(rates);
        let (before, after) = (share(&rates), share(new));
        // A cell's edge on a side of 30 cells.
        assert!((after / before - 1.0).abs() < 0.03, "{what}: {before} {after}");
    }
    // And back: nearly all cells find themselves again.
    let back = regrid.onto_source(new).unwrap();
    let same = back
        .iter()
        .zip(&rates)
        .filter(|(back, before)| back == before || (back.is_nan() && before.is_nan()))
        .count();
    assert!(same as f64 > 0.96 * rates.len() as f64, "{same}");
}

#[test]
fn what_lies_beyond_the_source_is_not_measured() {
    let grid = degrees(60.0, 25.0, (400, 800), 0.01);
    let regrid = Regrid::for_nowcast(&grid).unwrap();
    let square = regrid.field(&field_of(&grid, Array2::zeros((400, 800)))).unwrap();
    let target = regrid.target();
    let mut beyond = 0;
    for ((row, column), rate) in square.rain_rate_mm_h.indexed_iter() {
        let place = target.point_at(row as f64, column as f64).unwrap();
        if grid.cell_of(place).is_none() {
            beyond += 1;
            // A twentieth of a cell at the very edge may go either way.
            let near =
                [(-0.001, 0.0), (0.001, 0.0), (0.0, -0.001), (0.0, 0.001)].iter().any(|by| {
                    LatLon::new(place.lat_deg() + by.0, place.lon_deg() + by.1)
                        .is_ok_and(|place| grid.cell_of(place).is_some())
                });
            assert!(rate.is_nan() || near, "{row}, {column}");
        }
    }
    assert!(beyond > 1000, "the parallels are bent: {beyond}");
}

#[test]
fn narrow_cells_of_high_latitudes_are_put_together_first() {
    // At 65 degrees 1.11 km by 0.47 km.
    let grid = degrees(65.0, 25.0, (300, 600), 0.01);
    let regrid = Regrid::for_nowcast(&grid).unwrap();
    let step = regrid.target().x_step;
    assert!((step - 1025.0).abs() < 6.0, "{step}");
    let rates = Array2::from_shape_fn((300, 600), |(_, column)| [3.0, 1.0][column % 2]);
    let square = regrid.field(&field_of(&grid, rates)).unwrap();
    assert!(square.rain_rate_mm_h.iter().all(|rate| rate.is_nan() || *rate == 2.0));
}

#[test]
fn close_to_the_pole_it_is_right_or_not_done() {
    // 10 degrees wide, up to 88 degrees: cells of 1.1 km by 70 m and more.
    let near = degrees(86.0, 10.0, (200, 500), 0.02);
    let regrid = Regrid::for_nowcast(&near).unwrap();
    let ones = Array2::from_elem((200, 500), 1.0);
    let square = regrid.field(&field_of(&near, ones)).unwrap();
    let target = regrid.target();
    for ((row, column), rate) in square.rain_rate_mm_h.indexed_iter() {
        let place = target.point_at(row as f64, column as f64).unwrap();
        let deep = near.cell_of(place).is_some_and(|(row, column)| {
            (2.0..197.0).contains(&row) && (60.0..440.0).contains(&column)
        });
        assert!(!deep || *rate == 1.0, "{place:?}");
    }
    // Over the pole, around the globe, at the pole itself.
    assert!(Regrid::for_nowcast(&degrees(89.0, 10.0, (300, 100), 0.01)).is_none());
    assert!(Regrid::for_nowcast(&degrees(0.0, 0.0, (180, 360), 1.0)).is_none());
    assert!(Regrid::for_nowcast(&degrees(90.0, 0.0, (1, 1), 0.01)).is_none());
}

#[test]
fn cells_of_a_kilometre_or_two_stay() {
    for cell_km in [0.8, 1.0, 2.0, 5.0] {
        assert!(Regrid::for_nowcast(&sky::grid(40, cell_km)).is_none(), "{cell_km}");
    }
    assert!(Regrid::to_equal_area(&sky::grid(40, 1.0)).is_none());
}

#[test]
fn fine_cells_become_blocks_with_the_mean_of_what_is_measured() {
    let grid = sky::grid(5, 0.5);
    let regrid = Regrid::for_nowcast(&grid).unwrap();
    let target = regrid.target();
    assert_eq!((target.rows, target.columns), (3, 3));
    assert_eq!((target.x_step, target.y_step), (1000.0, 1000.0));
    let mut rates = Array2::zeros((5, 5));
    rates[[0, 0]] = 0.4; // drizzle on a quarter of the block
    for (cell, rate) in [([0, 2], 8.0), ([0, 3], HOLE), ([1, 2], HOLE), ([1, 3], 4.0)] {
        rates[cell] = rate; // half measured
    }
    for cell in [[2, 0], [2, 1], [3, 0]] {
        rates[cell] = HOLE; // a quarter measured
    }
    rates[[4, 4]] = 3.0; // the last block is a single cell
    let blocks = regrid.field(&field_of(&grid, rates)).unwrap();
    let expected = [[0.1, 6.0, 0.0], [HOLE, 0.0, 0.0], [0.0, 0.0, 3.0]];
    for (row, line) in expected.iter().enumerate() {
        for (column, rate) in line.iter().enumerate() {
            let found = blocks.rain_rate_mm_h[[row, column]];
            assert!(found == *rate || (found.is_nan() && rate.is_nan()), "{blocks:?}");
        }
    }
    // A block lies where its cells lie, and its cells get back what it has.
    let corner = grid.point_at(0.5, 0.5).unwrap();
    let (row, column) = target.cell_of(corner).unwrap();
    assert!(row.abs() < 1e-6 && column.abs() < 1e-6, "{row}, {column}");
    let back = regrid.onto_source(&blocks.rain_rate_mm_h).unwrap();
    assert_eq!(back.dim(), (5, 5));
    assert_eq!((back[[1, 1]], back[[0, 3]], back[[4, 4]]), (0.1, 6.0, 3.0));
    assert!(back[[3, 1]].is_nan());
}

#[test]
fn long_cells_are_put_together_across() {
    let grid = Grid { x_step: 500.0, ..sky::grid(40, 1.0) };
    let target = Regrid::for_nowcast(&grid).unwrap().target().clone();
    assert_eq!((target.rows, target.columns), (40, 20));
    assert_eq!((target.x_step, target.y_step), (1000.0, 1000.0));
}

#[test]
fn pictures_of_another_grid_are_refused() {
    let grid = degrees(35.0, -86.0, (30, 30), 0.01);
    let regrid = Regrid::for_nowcast(&grid).unwrap();
    let other = degrees(35.1, -86.0, (30, 30), 0.01);
    assert!(regrid.field(&field_of(&other, Array2::zeros((30, 30)))).is_none());
    assert!(regrid.field(&field_of(&grid, Array2::zeros((30, 29)))).is_none());
    assert!(regrid.onto_source(&Array2::zeros((3, 3))).is_none());
    let none = Grid { rows: 0, ..grid };
    assert!(Regrid::for_nowcast(&none).is_none());
}

#[test]
fn all_dry_stays_dry_and_all_unknown_unknown() {
    let grid = degrees(35.0, -86.0, (100, 100), 0.01);
    let regrid = Regrid::for_nowcast(&grid).unwrap();
    let field = |rate| regrid.field(&field_of(&grid, Array2::from_elem((100, 100), rate))).unwrap();
    assert!(field(HOLE).rain_rate_mm_h.iter().all(|rate| rate.is_nan()));
    let dry = field(0.0);
    assert!(dry.rain_rate_mm_h.iter().all(|rate| rate.is_nan() || *rate == 0.0));
    let back = regrid.onto_source(&dry.rain_rate_mm_h).unwrap();
    assert!(back.iter().filter(|rate| rate.is_nan()).count() < 100, "but for the edge");
}
