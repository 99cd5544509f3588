use std::{
    fmt::Write,
    fs,
    path::{Path, PathBuf},
};

use fairspell_feeds::{
    FrameCache, Radar,
    frames::{read_frames, read_frames_with},
    readings::seen_by_with,
};
use fairspell_ground::LatLon;
use fairspell_nowcast::{RainField, ZR};

use crate::world::{PICTURE, at, minutes};

/// On the picture, which shows four rows and six columns of the Bay of Biscay.
fn place() -> LatLon {
    LatLon::new(43.2, -2.0).unwrap()
}

/// The picture of 14:30, of another minute. The minute of the reference time is octet 18 of GRIB2's
/// section 1 (WMO Manual on Codes), which follows the 16 octets of section 0.
fn picture(minute: u8) -> Vec<u8> {
    let mut bytes = PICTURE.to_vec();
    assert_eq!(bytes[33], 30);
    bytes[33] = minute;
    bytes
}

fn put(folder: &Path, minute: u8) -> PathBuf {
    let file = folder.join(format!("14{minute:02}.grib2"));
    fs::write(&file, picture(minute)).unwrap();
    file
}

fn same(a: &[RainField], b: &[RainField]) -> bool {
    let bits = |field: &RainField| -> (jiff::Timestamp, Vec<u32>) {
        (field.valid_time, field.rain_rate_mm_h.iter().map(|rate| rate.to_bits()).collect())
    };
    a.len() == b.len() && a.iter().zip(b).all(|(a, b)| bits(a) == bits(b))
}

#[test]
fn the_next_look_decodes_the_new_picture_alone() {
    let folder = tempfile::tempdir().unwrap();
    let mut files: Vec<PathBuf> = (0..12).map(|step| put(folder.path(), 5 * step)).collect();
    let cache = FrameCache::default();
    let look = |files: &[PathBuf], issued: &str| {
        let with = read_frames_with(files, at(issued), &[place()], ZR::default(), Some(&cache));
        let without = read_frames(files, at(issued), &[place()], ZR::default());
        assert!(same(&with.fields, &without.fields));
        assert_eq!(with.remarks, without.remarks);
        with.fields.len()
    };
    assert_eq!(look(&files, "2026-09-03T14:56:00Z"), 12);
    assert_eq!(cache.decoded(), 12);
    files.push(put(folder.path(), 57));
    assert_eq!(look(&files, "2026-09-03T14:58:00Z"), 12);
    assert_eq!(cache.decoded(), 13);
    assert_eq!(look(&files, "2026-09-03T14:59:00Z"), 12);
    assert_eq!(cache.decoded(), 13);
    // Of an earlier moment the later pictures are not shown, known or not.
    assert_eq!(look(&files, "2026-09-03T14:12:00Z"), 3);
    assert_eq!(cache.decoded(), 13);
}

#[test]
fn a_file_that_changed_is_another_picture() {
    let folder = tempfile::tempdir().unwrap();
    let file = put(folder.path(), 10);
    let cache = FrameCache::default();
    let look = |place| {
        let issued = at("2026-09-03T15:00:00Z");
        let files = std::slice::from_ref(&file);
        read_frames_with(files, issued, &[place], ZR::default(), Some(&cache))
    };
    assert_eq!(look(place()).fields[0].valid_time, at("2026-09-03T14:10:00Z"));
    fs::write(&file, picture(20)).unwrap();
    let later = std::time::SystemTime::UNIX_EPOCH + std::time::Duration::from_secs(4_000_000_000);
    fs::File::options().write(true).open(&file).unwrap().set_modified(later).unwrap();
    assert_eq!(look(place()).fields[0].valid_time, at("2026-09-03T14:20:00Z"));
    assert_eq!(cache.decoded(), 2);
    look(LatLon::new(43.3, -2.0).unwrap());
    assert_eq!(cache.decoded(), 3, "cut elsewhere");
}

#[test]
fn a_small_cache_forgets_what_was_looked_at_longest_ago() {
    let folder = tempfile::tempdir().unwrap();
    let files: Vec<PathBuf> = (0..4).map(|step| put(folder.path(), step)).collect();
    let one = FrameCache::default();
    let issued = at("2026-09-03T15:00:00Z");
    let look = |cache: &FrameCache, file: &PathBuf| {
        let files = std::slice::from_ref(file);
        read_frames_with(files, issued, &[place()], ZR::default(), Some(cache));
    };
    look(&one, &files[0]);
    let small = FrameCache::new(2 * one.bytes());
    for (file, decoded) in [(0, 1), (1, 2), (0, 2), (2, 3), (0, 3), (1, 4)] {
        look(&small, &files[file]);
        assert_eq!(small.decoded(), decoded, "file {file}");
        assert!(small.bytes() <= 2 * one.bytes());
    }
    let none = FrameCache::new(0);
    look(&none, &files[0]);
    assert_eq!(none.bytes(), 0);
}

#[test]
fn an_evening_is_seen_alike_with_a_cache_and_without() {
    let folder = tempfile::tempdir().unwrap();
    fs::create_dir_all(folder.path().join("radar")).unwrap();
    let mut list = "file,fetched_at,source\n".to_owned();
    for step in 0..6_u8 {
        put(&folder.path().join("radar"), 5 * step);
        let fetched_at = at("2026-09-03T14:01:00Z") + minutes(i64::from(5 * step));
        writeln!(list, "radar/14{:02}.grib2,{fetched_at},a radar", 5 * step).unwrap();
    }
    fs::write(folder.path().join("radar/1407.grib2"), b"GRIB, but torn").unwrap();
    list += "radar/1407.grib2,2026-09-03T14:08:00Z,a radar\n";
    fs::write(folder.path().join("received.csv"), list).unwrap();
    let cache = FrameCache::default();
    for as_of in ["2026-09-03T14:17:00Z", "2026-09-03T14:29:00Z", "2026-09-03T14:29:00Z"] {
        let look = |radar| seen_by_with(folder.path(), at(as_of), place(), radar).unwrap();
        let (with, without) = (look(Radar::Cached(&cache)), look(Radar::Decoded));
        assert_eq!(with.remarks, without.remarks);
        let (with, without) = (with.seen.radar.unwrap(), without.seen.radar.unwrap());
        assert_eq!(with.source, without.source);
        assert_eq!(with.nowcast.valid_time(), without.nowcast.valid_time());
        assert_eq!(with.nowcast.frames_used(), without.nowcast.frames_used());
    }
    assert_eq!(cache.decoded(), 6);
}
