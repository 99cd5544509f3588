use std::fs;

use fairspell_feeds::{
    FeedsError, Radar,
    readings::{files_in, fingerprint, newest, seen_by, seen_by_with},
    unpack::{unpacked, unpacked_within},
};

use crate::world::{ALERTS_1712, ALERTS_1746, MET, PICTURE, at, beach};

#[test]
fn what_was_fetched_later_is_never_opened() {
    let folder = tempfile::tempdir().unwrap();
    let readings = folder.path();
    for (name, bytes) in [
        ("forecasts/1.json", MET),
        ("warnings/1.json", ALERTS_1712),
        ("warnings/2.json", b"{ not even a document"),
    ] {
        fs::create_dir_all(readings.join(name).parent().unwrap()).unwrap();
        fs::write(readings.join(name), bytes).unwrap();
    }
    let list = "file,fetched_at,source\n\
        forecasts/1.json,2030-06-14T18:00:00Z,a service\n\
        warnings/1.json,2030-06-14T21:13:00Z,another\n\
        warnings/2.json,2030-06-14T21:47:00Z,another\n";
    fs::write(readings.join("received.csv"), list).unwrap();
    let seen = |as_of: &str| seen_by(readings, at(as_of), beach()).unwrap();

    let early = seen("2030-06-14T17:59:59Z");
    assert!(early.seen.forecast.is_none() && early.seen.warnings.is_none());
    let later = seen("2030-06-14T21:46:59Z");
    assert_eq!(later.seen.forecast.unwrap().source, "a service");
    assert_eq!(later.seen.warnings.unwrap().looked_at, at("2030-06-14T21:13:00Z"));
    // A message that cannot be read may be the one that matters.
    let last = seen("2030-06-14T21:47:00Z");
    assert!(last.seen.warnings.is_none());
    assert!(last.remarks.iter().any(|remark| remark.starts_with("2.json: ")), "{:?}", last.remarks);
}

#[test]
fn a_list_must_not_lead_out_of_the_folder() {
    let folder = tempfile::tempdir().unwrap();
    for file in ["../secret.json", "/etc/passwd", "forecasts/../../secret.json"] {
        let list = format!("file,fetched_at,source\n{file},2030-06-14T18:00:00Z,a\n");
        fs::write(folder.path().join("received.csv"), list).unwrap();
        let found = seen_by(folder.path(), at("2030-06-14T19:00:00Z"), beach());
        assert!(matches!(found, Err(FeedsError::LeadsOut { .. })), "{file}: {found:?}");
    }
    fs::write(folder.path().join("received.csv"), "file,fetched_at,source\na,b,c\n").unwrap();
    let found = seen_by(folder.path(), at("2030-06-14T19:00:00Z"), beach());
    assert!(matches!(found, Err(FeedsError::List { .. })), "{found:?}");
}

#[test]
fn the_fingerprint_changes_when_something_else_would_be_seen() {
    let folder = tempfile::tempdir().unwrap();
    let readings = folder.path();
    fs::create_dir_all(readings.join("warnings")).unwrap();
    fs::write(readings.join("warnings/1.json"), ALERTS_1712).unwrap();
    fs::write(readings.join("warnings/2.json"), ALERTS_1746).unwrap();
    let list = "file,fetched_at,source\n\
        warnings/1.json,2030-06-14T21:13:00Z,a\n\
        warnings/2.json,2030-06-14T21:47:00Z,a\n";
    fs::write(readings.join("received.csv"), list).unwrap();
    let of = |as_of: &str| fingerprint(readings, at(as_of)).unwrap();
    assert_eq!(of("2030-06-14T21:13:00Z"), of("2030-06-14T21:46:00Z"));
    assert_ne!(of("2030-06-14T21:46:00Z"), of("2030-06-14T21:47:00Z"));
    assert_eq!(newest(readings, at("2030-06-14T21:00:00Z")).unwrap(), None);
    let expected = Some(at("2030-06-14T21:13:00Z"));
    assert_eq!(newest(readings, at("2030-06-14T21:46:00Z")).unwrap(), expected);
    let before = of("2030-06-14T22:00:00Z");
    let again = format!("{list}warnings/,2030-06-14T21:57:00Z,a\n");
    fs::write(readings.join("received.csv"), again).unwrap();
    assert_ne!(of("2030-06-14T22:00:00Z"), before, "looked at, nothing new");
}

#[test]
fn the_radar_can_be_left_out() {
    let folder = tempfile::tempdir().unwrap();
    fs::create_dir_all(folder.path().join("radar")).unwrap();
    fs::write(folder.path().join("radar/1.grib2"), PICTURE).unwrap();
    fs::write(folder.path().join("radar/.hidden"), PICTURE).unwrap();
    assert_eq!(files_in(&folder.path().join("radar")).unwrap().len(), 1);
    assert_eq!(files_in(&folder.path().join("no such folder")).unwrap().len(), 0);
    let now = at("2200-01-01T00:00:00Z");
    let left_out = seen_by_with(folder.path(), now, beach(), Radar::LeftOut).unwrap();
    assert!(left_out.seen.radar.is_none());
    assert_eq!(left_out.remarks.len(), 1, "only that it is not listed: {:?}", left_out.remarks);
}

#[test]
fn a_packed_file_is_unpacked_within_bounds() {
    use std::io::Write;
    let pack = |bytes: &[u8]| {
        let mut packed = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
        packed.write_all(bytes).unwrap();
        packed.finish().unwrap()
    };
    assert_eq!(unpacked(MET.to_vec()).unwrap(), MET);
    assert_eq!(unpacked(pack(MET)).unwrap(), MET);
    assert_eq!(unpacked_within(pack(&[0; 1000]), 1000).unwrap().len(), 1000);
    assert!(unpacked_within(pack(&[0; 1001]), 1000).is_err());
    assert!(unpacked(pack(&pack(MET))).is_err(), "packed twice");
    assert!(unpacked(pack(MET)[..200].to_vec()).is_err(), "cut short");
}

#[test]
fn the_forecasts_that_the_newest_one_replaced_are_kept_beside_it() {
    let folder = tempfile::tempdir().unwrap();
    let readings = folder.path();
    fs::create_dir_all(readings.join("forecasts")).unwrap();
    let document: serde_json::Value = serde_json::from_slice(MET).unwrap();
    let made = ["2030-06-14T15:00:00Z", "2030-06-14T17:00:00Z", "2030-06-14T16:00:00Z"];
    let mut list = "file,fetched_at,source\n".to_owned();
    // The third came out of a cache on the way; a fourth is for a town 60 km away.
    for (number, updated_at) in made.iter().chain(["2030-06-14T16:30:00Z"].iter()).enumerate() {
        let mut document = document.clone();
        document["properties"]["meta"]["updated_at"] = (*updated_at).into();
        if number == 3 {
            let north = document["geometry"]["coordinates"][1].as_f64().unwrap() + 0.5;
            document["geometry"]["coordinates"][1] = north.into();
        }
        fs::write(readings.join(format!("forecasts/{number}.json")), document.to_string()).unwrap();
        let line = format!("forecasts/{number}.json,2030-06-14T18:0{number}:00Z,a service\n");
        list.push_str(&line);
    }
    fs::write(readings.join("received.csv"), list).unwrap();
    let seen = seen_by(readings, at("2030-06-14T19:00:00Z"), beach()).unwrap().seen;
    let seen = seen.forecast.unwrap();
    assert_eq!(seen.forecast.reference_time, at(made[1]));
    let mut earlier: Vec<_> = seen.earlier.iter().map(|one| one.reference_time).collect();
    earlier.sort();
    assert_eq!(earlier, [at(made[0]), at(made[2])]);
}
