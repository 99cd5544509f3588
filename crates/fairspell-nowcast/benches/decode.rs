//! How long a national radar picture takes to read.
//!
//! `FAIRSPELL_RADAR_DATA` names the folder of the services' files; without it there is nothing to
//! measure.

use std::{env, fs, path::Path};

use divan::{Bencher, black_box};
use fairspell_ground::LatLon;
use fairspell_nowcast::{Cut, ReadOptions, read_rain_fields, read_times};

const MOSAIC: &str = "mrms/PrecipRate_00.00_20190610-000000.grib2";
const COMPOSITE: &str = "opera/T_PABV21_C_EUOC_20241126010000.hdf";

fn main() {
    if env::var_os("FAIRSPELL_RADAR_DATA").is_some() {
        divan::main();
    }
}

fn bytes(name: &str) -> Vec<u8> {
    let folder = env::var_os("FAIRSPELL_RADAR_DATA").expect("main looked for it");
    fs::read(Path::new(&folder).join(name)).expect("the folder holds the services' files")
}

fn cut_around(lat_deg: f64, lon_deg: f64) -> ReadOptions {
    let centre = LatLon::new(lat_deg, lon_deg).expect("a place");
    ReadOptions { cut: Some(Cut { centre, radius_km: 300.0 }), ..ReadOptions::default() }
}

/// In the south-east, where four fifths of the rows have to be unpacked.
#[divan::bench]
fn mosaic_cut_to_300_km(bencher: Bencher) {
    let (bytes, options) = (bytes(MOSAIC), cut_around(28.445, -81.235));
    bencher.bench_local(|| read_rain_fields(black_box(&bytes), &options));
}

#[divan::bench]
fn mosaic_whole(bencher: Bencher) {
    let bytes = bytes(MOSAIC);
    bencher.bench_local(|| read_rain_fields(black_box(&bytes), &ReadOptions::default()));
}

#[divan::bench]
fn mosaic_times(bencher: Bencher) {
    let bytes = bytes(MOSAIC);
    bencher.bench_local(|| read_times(black_box(&bytes)));
}

#[divan::bench]
fn composite_cut_to_300_km(bencher: Bencher) {
    let (bytes, options) = (bytes(COMPOSITE), cut_around(47.0, 11.0));
    bencher.bench_local(|| read_rain_fields(black_box(&bytes), &options));
}

#[divan::bench]
fn composite_whole(bencher: Bencher) {
    let bytes = bytes(COMPOSITE);
    bencher.bench_local(|| read_rain_fields(black_box(&bytes), &ReadOptions::default()));
}
