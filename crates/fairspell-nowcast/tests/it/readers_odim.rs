//! ODIM files that `tests/fixtures/make.py` wrote through the HDF5 library.

use fairspell_ground::LatLon;
use fairspell_nowcast::readers::odim::{read_odim, read_odim_times};
use fairspell_nowcast::{Cut, RadarError, RainField, ReadOptions, ZR};

const RATE: &[u8] = include_bytes!("../fixtures/odim_rate.h5");
const DBZH: &[u8] = include_bytes!("../fixtures/odim_dbzh.h5");
const BOTH: &[u8] = include_bytes!("../fixtures/odim_dbzh_and_rate.h5");
const TH: &[u8] = include_bytes!("../fixtures/odim_th.h5");
const VOLUME: &[u8] = include_bytes!("../fixtures/odim_volume.h5");
const ONE_CODE: &[u8] = include_bytes!("../fixtures/odim_one_code.h5");

fn only(bytes: &[u8], options: &ReadOptions) -> RainField {
    let mut reading = read_odim(bytes, options).unwrap();
    assert_eq!((reading.value.len(), reading.remarks.len()), (1, 0), "{:?}", reading.remarks);
    reading.value.remove(0)
}

#[test]
fn not_measured_and_nothing_there_are_kept_apart() {
    let field = only(RATE, &ReadOptions::default());
    let rates = &field.rain_rate_mm_h;
    assert!(rates[(0, 0)].is_nan() && rates[(1, 0)].is_nan(), "nodata");
    assert_eq!((rates[(0, 2)], rates[(1, 1)]), (0.0, 0.0), "undetect, and a stored zero");
    assert_eq!((rates[(1, 4)], rates[(3, 5)]), (1.2, 148.8));
    assert_eq!(rates.iter().filter(|rate| rate.is_nan()).count(), 3);
}

#[test]
fn one_code_for_both_is_never_taken_for_dry() {
    let field = only(ONE_CODE, &ReadOptions::default());
    assert!(field.rain_rate_mm_h[(0, 0)].is_nan());
}

#[test]
fn cells_lie_where_the_corners_say() {
    let field = only(RATE, &ReadOptions::default());
    let grid = &field.grid;
    assert_eq!((grid.rows, grid.columns, grid.x_step, grid.y_step), (4, 6, 2000.0, 2000.0));
    // The projection and its origin are those of the European composite, whose upper-left corner
    // projects to (0, 0) within half a millimetre.
    assert!((grid.x_first - 1000.0).abs() < 1e-3 && (grid.y_first + 1000.0).abs() < 1e-3);
    assert_eq!(field.valid_time, "2026-09-03T14:30:00Z".parse().unwrap());
    assert_eq!(read_odim_times(RATE).unwrap(), [field.valid_time]);
}

#[test]
fn reflectivity_becomes_rain_by_the_relation_asked_for() {
    // Byte 110 is 110 / 2 - 32 = 23 dBZ: by 200 R^1.6, (10^2.3 / 200)^(1 / 1.6) = 0.99852 mm/h, and
    // by 223 R^1.53, (10^2.3 / 223)^(1 / 1.53) = 0.92988 mm/h, to five places by a pocket calculator.
    for (z_r, expected) in [(ZR::default(), 0.99852), (ZR::new(223.0, 1.53).unwrap(), 0.92988)] {
        let field = only(DBZH, &ReadOptions { z_r, ..ReadOptions::default() });
        let rates = &field.rain_rate_mm_h;
        assert!((f64::from(rates[(1, 1)]) - expected).abs() < 5e-6, "{}", rates[(1, 1)]);
        assert!(rates[(0, 0)].is_nan());
        assert_eq!(rates[(0, 2)], 0.0, "undetect is dry, not -32 dBZ");
        assert!(rates[(1, 5)] > 0.0 && rates[(1, 5)] < 0.001, "-31.5 dBZ is a trace");
    }
}

#[test]
fn rain_rate_is_taken_before_reflectivity_wherever_it_stands() {
    let rates = only(BOTH, &ReadOptions::default()).rain_rate_mm_h;
    assert_eq!(rates[(3, 5)], 148.8);
}

#[test]
fn a_cut_keeps_its_cells() {
    let whole = only(RATE, &ReadOptions::default());
    let centre = whole.grid.point_at(2.0, 3.0).unwrap();
    let cut = Some(Cut { centre, radius_km: 1.0 });
    let part = only(RATE, &ReadOptions { cut, ..ReadOptions::default() });
    let (row, column) = part.grid.cell_of(centre).unwrap();
    assert!((row - row.round()).abs() < 1e-6 && (column - column.round()).abs() < 1e-6);
    let expected = whole.cut(centre, 1.0).unwrap();
    assert_eq!(part.rain_rate_mm_h, expected.rain_rate_mm_h);
    assert!(part.rain_rate_mm_h.len() < 24, "the whole picture is no cut");
    assert!(part.grid.matches(&expected.grid));

    let far = Cut { centre: LatLon::new(0.0, 0.0).unwrap(), radius_km: 100.0 };
    let error = read_odim(RATE, &ReadOptions { cut: Some(far), ..ReadOptions::default() });
    assert!(matches!(error, Err(RadarError::OutsideMap { .. })));
}

#[test]
fn what_is_no_rain_map_is_refused_by_name() {
    let check = |bytes: &[u8], said: &str| {
        let error = read_odim(bytes, &ReadOptions::default()).unwrap_err().to_string();
        assert_eq!(error, said);
    };
    check(TH, "expected RATE or DBZH, found quantity `TH`");
    check(VOLUME, "expected a composite map, found object `PVOL`");
}

#[test]
fn a_picture_without_a_code_for_not_measured_is_refused_and_not_taken_for_dry() {
    let mut nameless = RATE.to_vec();
    let mut renamed = 0;
    for start in 0..nameless.len().saturating_sub(6) {
        if &nameless[start..start + 6] == b"nodata" {
            nameless[start..start + 6].copy_from_slice(b"nocode");
            renamed += 1;
        }
    }
    assert!(renamed > 0, "the attribute's name stands in the file");
    let refused = read_odim(&nameless, &ReadOptions::default()).unwrap_err();
    assert!(refused.to_string().contains("`nodata`"), "{refused}");
}
