use std::{fs, path::Path};

use fairspell_feeds::{
    ClimateFileError, FeedsError, climate_records, import_climate, nearest_record,
};
use fairspell_ground::LatLon;
use fairspell_weather::observed::ObservedRain;
use tempfile::TempDir;

const HOURS: &str = "time,rain_amount_mm\n2026-06-01T18:00:00Z,0.4\n2026-06-01T20:00:00Z,0\n";
const DAYS: &str = "ID,DATE,ELEMENT,VALUE\njetty,20260601,PRCP,4,,,W,\npier,20260601,PRCP,4,,,W,\n";

fn at(text: &str) -> LatLon {
    text.parse().unwrap()
}

/// A studio's folder, and a file from elsewhere.
fn world(name: &str, text: &str) -> (TempDir, std::path::PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join(name);
    fs::write(&file, text).unwrap();
    (folder, file)
}

fn kept(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder.join("climate")).unwrap();
    let mut names: Vec<String> =
        entries.map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

fn records(folder: &Path) -> Vec<ObservedRain> {
    let read = climate_records(folder).unwrap();
    assert_eq!(read.remarks, Vec::<String>::new());
    read.value
}

#[test]
fn a_record_is_kept_as_received_and_read_again_the_same() {
    let (folder, file) = world("jetty.csv", HOURS);
    let imported = import_climate(folder.path(), &file, None, None).unwrap();
    assert_eq!(kept(folder.path()), ["jetty.hours.csv"]);
    assert_eq!(fs::read_to_string(&imported.file).unwrap(), HOURS);
    assert!(!imported.replaced);
    assert_eq!(imported.remarks.len(), 1, "an hour is missing");
    assert_eq!(records(folder.path()), [imported.record]);
}

#[test]
fn a_second_record_of_a_station_replaces_the_first_also_in_another_layout() {
    let (folder, file) = world("jetty.csv", HOURS);
    import_climate(folder.path(), &file, None, Some(at("29.9,-81.3"))).unwrap();
    let again = import_climate(folder.path(), &file, None, None).unwrap();
    assert!(again.replaced);
    assert_eq!(again.record.position, Some(at("29.9,-81.3")), "still known");

    let (_elsewhere, days) = world("days.csv", DAYS);
    let daily = import_climate(folder.path(), &days, Some("jetty"), None).unwrap();
    assert!(daily.replaced);
    assert_eq!(kept(folder.path()), ["jetty.elements.csv", "stations.csv"]);
    // The file holds two stations; the one it is named for counts.
    assert_eq!(records(folder.path()), [daily.record]);
}

#[test]
fn what_cannot_be_taken_in_changes_nothing() {
    let (folder, file) = world("jetty.csv", HOURS);
    import_climate(folder.path(), &file, None, None).unwrap();
    let (_elsewhere, days) = world("days.csv", DAYS);
    let several = import_climate(folder.path(), &days, None, None).unwrap_err();
    assert!(several.to_string().contains("jetty, pier"), "{several}");
    let other = import_climate(folder.path(), &days, Some("beach"), None).unwrap_err();
    assert!(matches!(other, ClimateFileError::NoSuchStation { .. }), "{other}");
    let (_elsewhere, odd) = world("jetty.csv", "time,rain\n2026-06-01T18:00:00Z,0.4\n");
    let odd = import_climate(folder.path(), &odd, None, Some(at("1,1"))).unwrap_err();
    assert!(matches!(odd, ClimateFileError::Content(_)), "{odd}");
    let absent = import_climate(folder.path(), Path::new("nowhere.csv"), None, None).unwrap_err();
    assert!(matches!(absent, ClimateFileError::Folder(FeedsError::Read { .. })), "{absent}");
    assert_eq!(kept(folder.path()), ["jetty.hours.csv"]);
    assert_eq!(fs::read_to_string(folder.path().join("climate/jetty.hours.csv")).unwrap(), HOURS);
}

#[test]
fn a_stations_name_leads_nowhere_else() {
    let (folder, file) = world("hours.csv", HOURS);
    for odd in ["../../etc", "a/b", "con:", "."] {
        let imported = import_climate(folder.path(), &file, Some(odd), None).unwrap();
        assert_eq!(imported.file.parent().unwrap(), folder.path().join("climate"), "{odd}");
    }
}

#[test]
fn a_file_that_went_bad_is_named_and_the_others_are_read() {
    let (folder, file) = world("jetty.csv", HOURS);
    assert_eq!(records(folder.path()), [], "nothing there yet");
    import_climate(folder.path(), &file, None, None).unwrap();
    fs::write(folder.path().join("climate/pier.dly"), "nothing of use").unwrap();
    fs::write(folder.path().join("climate/notes.txt"), "mine").unwrap();
    let read = climate_records(folder.path()).unwrap();
    assert_eq!(read.value.len(), 1);
    assert!(read.remarks[0].contains("pier.dly"), "{:?}", read.remarks);
    assert_eq!(read.remarks.len(), 1);
    fs::write(folder.path().join("climate/stations.csv"), "station,lat_deg,lon_deg\na,b,c\n")
        .unwrap();
    assert!(matches!(climate_records(folder.path()), Err(FeedsError::List { .. })));
}

#[test]
fn one_station_speaks_and_an_hourly_one_nearby_first() {
    let place = at("30,-81");
    let (folder, file) = world("hours.csv", HOURS);
    let (_elsewhere, days) = world("days.csv", DAYS);
    let add = |file: &Path, station: &str, position: Option<&str>| {
        import_climate(folder.path(), file, Some(station), position.map(at)).unwrap();
    };
    let nearest = || {
        let records = records(folder.path());
        nearest_record(&records, place)
            .map(|near| (near.record.station.clone(), near.distance_km.map(f64::round)))
    };
    assert_eq!(nearest(), None);
    // A degree of latitude is 111 km.
    add(&days, "jetty", None);
    assert_eq!(nearest(), Some(("jetty".to_owned(), None)), "put there on purpose");
    add(&file, "unplaced", None);
    assert_eq!(nearest(), Some(("unplaced".to_owned(), None)), "hours first");
    add(&file, "remote", Some("31.5,-81"));
    assert_eq!(nearest().unwrap().0, "unplaced", "167 km is too far");
    add(&file, "distant", Some("31,-81"));
    assert_eq!(nearest(), Some(("distant".to_owned(), Some(111.0))));
    add(&days, "jetty", Some("30.1,-81"));
    assert_eq!(nearest(), Some(("jetty".to_owned(), Some(11.0))), "hours 111 km off are others");
    add(&file, "near", Some("30.5,-81"));
    assert_eq!(nearest(), Some(("near".to_owned(), Some(56.0))));
    add(&file, "nearer", Some("29.6,-81"));
    assert_eq!(nearest(), Some(("nearer".to_owned(), Some(44.0))));
}
