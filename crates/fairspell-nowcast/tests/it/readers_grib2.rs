//! GRIB2 files that `tests/fixtures/make.py` laid out by hand and eccodes confirmed.

use fairspell_ground::LatLon;
use fairspell_nowcast::readers::grib2::{read_grib2, read_grib2_times};
use fairspell_nowcast::{Cut, RadarError, RadarRemark, RainField, ReadOptions};
use ndarray::{Array2, array};

const PLAIN: &[u8] = include_bytes!("../fixtures/rain_rate.grib2");
const SOUTH_FIRST: &[u8] = include_bytes!("../fixtures/rain_rate_south_first.grib2");
const EAST_FIRST: &[u8] = include_bytes!("../fixtures/rain_rate_east_first.grib2");
const ZIGZAG: &[u8] = include_bytes!("../fixtures/rain_rate_zigzag.grib2");
const EIGHT_BITS: &[u8] = include_bytes!("../fixtures/rain_rate_8_bits.grib2");
const SIMPLE_PACKING: &[u8] = include_bytes!("../fixtures/rain_rate_simple_packing.grib2");
const IN_5_MINUTES: &[u8] = include_bytes!("../fixtures/rain_rate_in_5_minutes.grib2");
const DRY: &[u8] = include_bytes!("../fixtures/dry.grib2");
const IMPOSSIBLE: &[u8] = include_bytes!("../fixtures/impossible_rates.grib2");
const TEMPERATURE: &[u8] = include_bytes!("../fixtures/temperature.grib2");

const NONE: f32 = f32::NAN;

/// What `make.py` planted, with its codes -3 and -1 as not measured.
fn planted() -> Array2<f32> {
    array![
        [NONE, NONE, 0.0, 0.0, 0.1, 0.2],
        [NONE, NONE, 0.0, 0.3, 1.2, 0.4],
        [0.0, 0.0, 0.0, 2.5, 38.4, 6.0],
        [0.0, 0.0, 0.1, 0.7, 9.9, 148.8],
    ]
}

/// Equal, NaN equal to NaN.
fn same(found: &Array2<f32>, expected: &Array2<f32>) -> bool {
    found.dim() == expected.dim()
        && found.iter().zip(expected).all(|(a, b)| a == b || a.is_nan() && b.is_nan())
}

fn only(bytes: &[u8]) -> RainField {
    let mut reading = read_grib2(bytes, &ReadOptions::default()).unwrap();
    assert_eq!((reading.value.len(), reading.remarks.len()), (1, 0));
    reading.value.remove(0)
}

#[test]
fn the_picture_comes_out_north_up_however_it_was_scanned() {
    for bytes in [PLAIN, SOUTH_FIRST, EAST_FIRST] {
        let field = only(bytes);
        assert!(same(&field.rain_rate_mm_h, &planted()), "{:?}", field.rain_rate_mm_h);
        let grid = &field.grid;
        assert_eq!((grid.rows, grid.columns), (4, 6));
        assert_eq!((grid.y_first, grid.x_first), (44.0, -3.0));
        assert_eq!((grid.y_step, grid.x_step), (0.5, 0.5));
        let heaviest = grid.point_at(3.0, 5.0).unwrap();
        assert_eq!(heaviest, LatLon::new(42.5, -0.5).unwrap());
    }
}

#[test]
fn a_cut_keeps_its_cells_however_the_file_was_scanned() {
    // 30 km is less than a row of 55 km: the cells next to the place, as `Grid` rounds them.
    let centre = LatLon::new(43.0, -1.0).unwrap();
    let options =
        ReadOptions { cut: Some(Cut { centre, radius_km: 30.0 }), ..ReadOptions::default() };
    for bytes in [PLAIN, SOUTH_FIRST, EAST_FIRST] {
        let reading = read_grib2(bytes, &options).unwrap();
        let expected = only(PLAIN).cut(centre, 30.0).unwrap();
        assert!(same(&reading.value[0].rain_rate_mm_h, &expected.rain_rate_mm_h));
        assert!(reading.value[0].grid.matches(&expected.grid));
        let (row, column) = expected.grid.cell_of(centre).unwrap();
        assert_eq!((row, column), (1.0, 1.0));
        assert_eq!(expected.rain_rate_mm_h[(1, 1)], 38.4);
    }
}

#[test]
fn eight_grey_bits_and_none_are_read_as_well() {
    let lighter = planted().mapv(|rate| if rate > 20.0 { 20.0 } else { rate });
    assert!(same(&only(EIGHT_BITS).rain_rate_mm_h, &lighter));
    assert!(same(&only(DRY).rain_rate_mm_h, &Array2::zeros((4, 6))));
}

#[test]
fn the_lead_time_counts_from_the_reference_time() {
    assert_eq!(only(PLAIN).valid_time, "2026-09-03T14:30:00Z".parse().unwrap());
    assert_eq!(only(IN_5_MINUTES).valid_time, "2026-09-03T14:35:00Z".parse().unwrap());
}

#[test]
fn an_unknown_code_is_not_measured_and_remarked_on() {
    let reading = read_grib2(IMPOSSIBLE, &ReadOptions::default()).unwrap();
    assert!(same(&reading.value[0].rain_rate_mm_h, &planted()));
    let expected = RadarRemark::ImpossibleRates {
        valid_time: "2026-09-03T14:30:00Z".parse().unwrap(),
        cells: 1,
        example_mm_h: -2.0,
    };
    assert_eq!(reading.remarks, [expected]);
}

#[test]
fn other_quantities_scans_and_packings_are_refused_by_name() {
    let check = |bytes: &[u8], said: &str| {
        let error = read_grib2(bytes, &ReadOptions::default()).unwrap_err().to_string();
        assert!(error.contains(said), "{error}");
    };
    check(TEMPERATURE, "found discipline 0, category 0, number 0");
    check(ZIGZAG, "the scanning mode: `0b00010000`");
    check(SIMPLE_PACKING, "the packing: `5.0`");
    let mut first_edition = PLAIN.to_vec();
    first_edition[7] = 1;
    check(&first_edition, "the GRIB edition: `1`");
}

#[test]
fn several_messages_are_several_pictures_and_a_torn_one_loses_only_itself() {
    let both = [PLAIN, IN_5_MINUTES].concat();
    let reading = read_grib2(&both, &ReadOptions::default()).unwrap();
    assert_eq!((reading.value.len(), reading.remarks.len()), (2, 0));
    assert_eq!(read_grib2_times(&both).unwrap().len(), 2);

    let torn = &both[..both.len() - 10];
    let reading = read_grib2(torn, &ReadOptions::default()).unwrap();
    assert_eq!(reading.value.len(), 1);
    assert!(matches!(reading.remarks[..], [RadarRemark::PictureLost { index: 1, .. }]));
}

#[test]
fn pictures_after_the_moment_asked_for_are_not_read() {
    let both = [PLAIN, IN_5_MINUTES].concat();
    let until = "2026-09-03T14:34:59Z".parse().unwrap();
    let options =
        ReadOptions { valid_times: Some(jiff::Timestamp::MIN..=until), ..ReadOptions::default() };
    let reading = read_grib2(&both, &options).unwrap();
    assert_eq!((reading.value.len(), reading.remarks.len()), (1, 0));
}

#[test]
fn a_picture_larger_than_any_radar_has_is_refused_before_it_is_unpacked() {
    // Section 3 begins at octet 37 (after the indicator and section 1): the number of points at its
    // octet 7, Ni and Nj at its octets 31 and 35.
    let mut vast = PLAIN.to_vec();
    vast[43..47].copy_from_slice(&(60_000u32 * 60_000).to_be_bytes());
    vast[67..71].copy_from_slice(&60_000u32.to_be_bytes());
    vast[71..75].copy_from_slice(&60_000u32.to_be_bytes());
    // The increments go, so that they follow from the ends.
    vast[100..108].fill(0xff);
    let error = read_grib2(&vast, &ReadOptions::default()).unwrap_err();
    assert!(matches!(error, RadarError::TooLarge { cells: 3_600_000_000, .. }), "{error}");
}

#[test]
fn a_grid_whose_steps_do_not_lead_to_its_end_is_damaged() {
    let mut crooked = PLAIN.to_vec();
    crooked[100..104].copy_from_slice(&900_000u32.to_be_bytes());
    let error = read_grib2(&crooked, &ReadOptions::default()).unwrap_err();
    assert!(error.to_string().contains("6 steps of 0.9 degrees"), "{error}");
}
