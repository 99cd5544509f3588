//! Which reader a file goes to, and that nothing makes any of them panic.

use std::io::Write;

use fairspell_ground::LatLon;
use fairspell_nowcast::readers::{cf, grib2, odim};
use fairspell_nowcast::{Cut, RadarError, ReadOptions, read_rain_fields, read_times};
use proptest::prelude::*;

use crate::readers_cf::Cf;

const GRIB2: &[u8] = include_bytes!("../fixtures/rain_rate.grib2");
const ODIM: &[u8] = include_bytes!("../fixtures/odim_rate.h5");
const ODIM_DBZH: &[u8] = include_bytes!("../fixtures/odim_dbzh.h5");

/// Everything that a reader can be asked of some bytes.
fn read_in_every_way(bytes: &[u8]) {
    let centre = LatLon::new(43.0, -2.0).unwrap();
    let cut = ReadOptions { cut: Some(Cut { centre, radius_km: 50.0 }), ..ReadOptions::default() };
    for options in [ReadOptions::default(), cut] {
        let _ = read_rain_fields(bytes, &options);
        let _ = grib2::read_grib2(bytes, &options);
        let _ = odim::read_odim(bytes, &options);
        let _ = cf::read_cf(bytes, &options);
    }
    let _ = read_times(bytes);
}

fn gzipped(bytes: &[u8]) -> Vec<u8> {
    let mut encoder = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
    encoder.write_all(bytes).unwrap();
    encoder.finish().unwrap()
}

#[test]
fn each_format_is_known_by_its_first_bytes() {
    let options = ReadOptions::default();
    for (bytes, columns) in [
        (GRIB2.to_vec(), 6),
        (ODIM.to_vec(), 6),
        (Cf::default().classic(), 4),
        (Cf::default().netcdf4(), 4),
        (gzipped(GRIB2), 6),
    ] {
        let reading = read_rain_fields(&bytes, &options).unwrap();
        assert_eq!(reading.value[0].grid.columns, columns);
        let times: Vec<_> = reading.value.iter().map(|field| field.valid_time).collect();
        assert_eq!(read_times(&bytes).unwrap(), times);
    }
}

#[test]
fn what_is_no_radar_file_is_refused_with_what_it_is() {
    let check = |bytes: &[u8], said: &str| {
        let error = read_rain_fields(bytes, &ReadOptions::default()).unwrap_err();
        assert!(matches!(error, RadarError::Format(_)), "{error}");
        assert!(error.to_string().contains(said), "{error}");
    };
    check(b"", "an empty file");
    check(b"<html><body>503 Service Unavailable", "<html>");
    check(b"{\"type\": \"FeatureCollection\"}", "type");
    check(&gzipped(b"Not found"), "Not found");
    check(&gzipped(&gzipped(GRIB2)), "gzip file within a gzip file");
}

#[test]
fn a_gzip_file_that_unpacks_without_end_is_refused() {
    let endless = gzipped(&vec![0; (256 << 20) + 1]);
    let error = read_rain_fields(&endless, &ReadOptions::default()).unwrap_err();
    assert!(matches!(error, RadarError::Damaged { format: "gzip", .. }), "{error}");
}

#[test]
fn a_file_cut_short_anywhere_is_an_error_and_never_a_dry_picture() {
    for bytes in [GRIB2.to_vec(), ODIM.to_vec(), Cf::default().classic(), Cf::default().netcdf4()] {
        for length in 0..bytes.len() {
            let part = &bytes[..length];
            // A NetCDF file may end in padding that holds nothing.
            if let Ok(reading) = read_rain_fields(part, &ReadOptions::default()) {
                let whole = read_rain_fields(&bytes, &ReadOptions::default()).unwrap();
                let bits = |reading: &[fairspell_nowcast::RainField]| -> Vec<u32> {
                    reading.iter().flat_map(|f| &f.rain_rate_mm_h).map(|r| r.to_bits()).collect()
                };
                assert_eq!(bits(&reading.value), bits(&whole.value), "{length} bytes");
            }
        }
    }
}

#[test]
fn every_single_damaged_byte_is_survived() {
    for bytes in [GRIB2.to_vec(), Cf::default().classic()] {
        for at in 0..bytes.len() {
            for value in [0, 1, 0x7f, 0x80, 0xff] {
                let mut damaged = bytes.clone();
                damaged[at] = value;
                read_in_every_way(&damaged);
            }
        }
    }
}

fn any_file() -> impl Strategy<Value = Vec<u8>> {
    prop_oneof![
        Just(GRIB2.to_vec()),
        Just(ODIM.to_vec()),
        Just(ODIM_DBZH.to_vec()),
        Just(Cf::default().classic()),
        Just(Cf::default().netcdf4()),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1500))]

    #[test]
    fn random_bytes_are_survived(
        magic in prop::sample::select(vec![&b"GRIB"[..], b"CDF\x01", b"CDF\x05", b"\x89HDF\r\n\x1a\n", b"\x1f\x8b\x08", b""]),
        rest in prop::collection::vec(any::<u8>(), 0..300),
    ) {
        read_in_every_way(&[magic, &rest].concat());
    }

    #[test]
    fn several_damaged_bytes_are_survived(
        mut bytes in any_file(),
        damage in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..8),
        end in any::<prop::sample::Index>(),
        cut_short in prop::bool::weighted(0.2),
    ) {
        for (at, value) in damage {
            let at = at.index(bytes.len());
            bytes[at] = value;
        }
        if cut_short {
            bytes.truncate(end.index(bytes.len()));
        }
        read_in_every_way(&bytes);
    }
}
