use std::{fs, path::Path};

use fairspell_feeds::{readings::files_in, record_file::corrected};
use fairspell_ground::{LatLon, Projection};
use fairspell_nowcast::{Grid, Nowcast, RainField};
use jiff::{SignedDuration, Timestamp};
use ndarray::Array2;

use crate::world::at;

const SIDE: usize = 120;

fn grid(east_km: f64) -> Grid {
    let projection = "+proj=laea +lat_0=-31.7 +lon_0=152.8";
    let edge = 1000.0 * (SIDE as f64 - 1.0) / 2.0;
    Grid {
        projection: Projection::from_proj_string(projection).unwrap(),
        x_first: 1000.0 * east_km - edge,
        y_first: edge,
        x_step: 1000.0,
        y_step: 1000.0,
        rows: SIDE,
        columns: SIDE,
    }
}

/// Stripes of rain that go east at 48 km/h and grow narrower; ten minutes apart, an hour and a half.
fn nowcast(issued: Timestamp, east_km: f64) -> Nowcast {
    let picture = |step: u16| {
        let rain_rate_mm_h = Array2::from_shape_fn((SIDE, SIDE), |(_, column)| {
            let behind = (column + usize::from(8 * step)) % 40;
            if behind < usize::from(8 + 2 * step) { 3.0 } else { 0.0 }
        });
        let valid_time = issued - SignedDuration::from_mins(i64::from(10 * step));
        RainField { valid_time, grid: grid(east_km), rain_rate_mm_h }
    };
    Nowcast::from_fields((0..=9).map(picture).collect(), issued).unwrap().value
}

fn chance(nowcast: &Nowcast) -> f64 {
    let (from, to) = [15, 45].map(|min| nowcast.issued() + SignedDuration::from_mins(min)).into();
    let place = LatLon::new(-31.7, 152.8).unwrap();
    nowcast.at(place).unwrap().p_rain(from, to).unwrap().get()
}

fn records(folder: &Path) -> Vec<fs::DirEntry> {
    fs::read_dir(folder).unwrap().map(Result::unwrap).collect()
}

const ISSUED: &str = "2026-09-03T04:00:00Z";

#[test]
fn a_record_is_kept_beside_the_pictures_and_is_no_picture() {
    let folder = tempfile::tempdir().unwrap();
    let first = corrected(nowcast(at(ISSUED), 0.0), folder.path());
    assert!(first.is_corrected());
    let kept = records(folder.path());
    assert_eq!(kept.len(), 1);
    assert!(kept[0].metadata().unwrap().len() < 100_000);
    assert_eq!(files_in(folder.path()).unwrap(), Vec::<std::path::PathBuf>::new());
    // The same question again: the same answer, and nothing is written.
    let changed = kept[0].metadata().unwrap().modified().unwrap();
    let again = corrected(nowcast(at(ISSUED), 0.0), folder.path());
    assert_eq!(chance(&again).to_bits(), chance(&first).to_bits());
    assert_eq!(records(folder.path())[0].metadata().unwrap().modified().unwrap(), changed);
}

#[test]
fn a_kept_record_remembers_what_the_pictures_at_hand_no_longer_show() {
    let folder = tempfile::tempdir().unwrap();
    corrected(nowcast(at(ISSUED), 0.0), folder.path());
    let later = at(ISSUED) + SignedDuration::from_hours(2);
    let with = corrected(nowcast(later, 0.0), folder.path());
    let alone = corrected(nowcast(later, 0.0), tempfile::tempdir().unwrap().path());
    assert!((chance(&with) - chance(&alone)).abs() > 1e-6);
}

#[test]
fn a_damaged_record_is_as_good_as_none() {
    let folder = tempfile::tempdir().unwrap();
    let expected = chance(&corrected(nowcast(at(ISSUED), 0.0), folder.path()));
    let file = records(folder.path())[0].path();
    let whole = fs::read(&file).unwrap();
    for damaged in [&whole[..whole.len() / 2], b"", b"{\"grid\":1}", b"\x1f\x8b"] {
        fs::write(&file, damaged).unwrap();
        let found = corrected(nowcast(at(ISSUED), 0.0), folder.path());
        assert_eq!(chance(&found).to_bits(), expected.to_bits());
        assert_eq!(fs::read(&file).unwrap(), whole, "it is made anew");
    }
}

#[test]
fn a_folder_that_cannot_be_written_to_costs_only_time() {
    let folder = tempfile::tempdir().unwrap();
    let expected = chance(&corrected(nowcast(at(ISSUED), 0.0), folder.path()));
    let nowhere = folder.path().join("a-file");
    fs::write(&nowhere, "").unwrap();
    let found = corrected(nowcast(at(ISSUED), 0.0), &nowhere);
    assert_eq!(chance(&found).to_bits(), expected.to_bits());
}

#[test]
fn a_dozen_parts_of_the_sky_are_remembered() {
    let folder = tempfile::tempdir().unwrap();
    for part in 0..14 {
        corrected(nowcast(at(ISSUED), f64::from(part)), folder.path());
    }
    let names: Vec<String> = records(folder.path())
        .iter()
        .map(|file| file.file_name().to_string_lossy().into_owned())
        .collect();
    assert_eq!(names.len(), 12);
    assert!(names.iter().any(|name| name.contains("-46500.000")), "the last stays: {names:?}");
}
