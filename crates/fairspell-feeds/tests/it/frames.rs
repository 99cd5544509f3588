use std::{
    fs,
    path::{Path, PathBuf},
};

use fairspell_feeds::{
    FrameCache,
    frames::{Look, picture_times, read_frames, read_look},
};
use fairspell_ground::LatLon;
use fairspell_nowcast::ZR;
use jiff::{SignedDuration, Timestamp};

use crate::world::{PICTURE, at};

fn place() -> LatLon {
    LatLon::new(43.2, -2.0).unwrap()
}

/// The picture of 14:30 as one of another moment: hour and minute of the reference time are octets
/// 17 and 18 of GRIB2's section 1 (WMO Manual on Codes), which follows the 16 octets of section 0.
fn put(folder: &Path, hour: u8, minute: u8) -> PathBuf {
    let mut bytes = PICTURE.to_vec();
    assert_eq!(bytes[32..34], [14, 30]);
    bytes[32] = hour;
    bytes[33] = minute;
    let file = folder.join(format!("{hour:02}{minute:02}.grib2"));
    fs::write(&file, bytes).unwrap();
    file
}

/// Pictures every five minutes from 10:00 to 14:55.
fn five_hours(folder: &Path) -> Vec<PathBuf> {
    (10..15)
        .flat_map(|hour| (0..60).step_by(5).map(move |minute| (hour, minute)))
        .map(|(hour, minute)| put(folder, hour, minute))
        .collect()
}

fn times(frames: &fairspell_feeds::frames::Frames) -> Vec<Timestamp> {
    let mut times: Vec<Timestamp> = frames.fields.iter().map(|field| field.valid_time).collect();
    times.sort_unstable();
    times
}

const ISSUED: &str = "2026-09-03T14:57:00Z";

#[test]
fn a_look_with_the_record_reaches_three_hours_back() {
    let folder = tempfile::tempdir().unwrap();
    let files = five_hours(folder.path());
    let look = Look::with_record(at(ISSUED), &[place()], ZR::default());
    let found = times(&read_look(&files, &look, None));
    assert_eq!(found.len(), 36);
    assert_eq!(found[0], at("2026-09-03T12:00:00Z"));
    assert_eq!(found[35], at("2026-09-03T14:55:00Z"));
    let plain = times(&read_frames(&files, at(ISSUED), &[place()], ZR::default()));
    assert_eq!(plain, found[24..], "a plain look has the newest dozen");
}

#[test]
fn a_look_never_holds_more_cells_than_it_may_but_always_a_dozen_pictures() {
    let folder = tempfile::tempdir().unwrap();
    let files = five_hours(folder.path());
    // Ready for the nowcast, not as the file has them.
    let cells =
        read_frames(&files, at(ISSUED), &[place()], ZR::default()).fields[0].rain_rate_mm_h.len();
    for (pictures_allowed, expected) in [(20, 20), (36, 36), (100, 36), (1, 12), (0, 12)] {
        let look = Look {
            cells_max: Some(pictures_allowed * cells),
            ..Look::with_record(at(ISSUED), &[place()], ZR::default())
        };
        let cache = FrameCache::default();
        let found = times(&read_look(&files, &look, Some(&cache)));
        assert_eq!(found.len(), expected, "{pictures_allowed} allowed");
        assert_eq!(found[expected - 1], at("2026-09-03T14:55:00Z"), "the newest");
        assert_eq!(cache.decoded(), expected as u64, "nothing is decoded to be thrown away");
    }
}

#[test]
fn a_newest_picture_that_is_damaged_is_remarked_and_the_others_are_read() {
    let folder = tempfile::tempdir().unwrap();
    let mut files = five_hours(folder.path());
    let newest = files.pop().unwrap();
    let bytes = fs::read(&newest).unwrap();
    // The times still stand in it, the picture does not.
    fs::write(&newest, &bytes[..bytes.len() - 40]).unwrap();
    files.push(newest);
    let look = Look::with_record(at(ISSUED), &[place()], ZR::default());
    let frames = read_look(&files, &look, None);
    assert!(
        frames.remarks.iter().any(|remark| remark.contains("1455.grib2")),
        "{:?}",
        frames.remarks
    );
    assert!(frames.fields.len() >= 11, "{}", frames.fields.len());
}

#[test]
fn the_times_of_all_pictures_are_known_without_decoding_any() {
    let folder = tempfile::tempdir().unwrap();
    let mut files = five_hours(folder.path());
    let again = folder.path().join("again.grib2");
    fs::copy(&files[0], &again).unwrap();
    files.push(again);
    let torn = folder.path().join("torn.grib2");
    fs::write(&torn, b"GRIB").unwrap();
    files.push(torn);
    let cache = FrameCache::default();
    let found = picture_times(&files, Some(&cache));
    assert_eq!(found.len(), 60);
    let five = SignedDuration::from_mins(5);
    assert!(found.windows(2).all(|pair| pair[1].duration_since(pair[0]) == five));
    assert_eq!(cache.decoded(), 0);
}
