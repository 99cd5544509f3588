use std::{
    fs,
    path::Path,
    sync::mpsc::{self, TryRecvError},
};

use fairspell_feeds::{Retention, prune, readings::newest};
use fairspell_studio::outlook::SourceKind;

use crate::{
    server::{Server, plain},
    world::{MET, ask, at, desk, listed, touch, web},
};

fn put(readings: &Path, name: &str, changed_at: &str) {
    let path = readings.join(name);
    fs::create_dir_all(path.parent().unwrap()).unwrap();
    fs::write(&path, "a reading").unwrap();
    touch(&path, changed_at);
}

#[test]
fn what_is_too_old_goes_with_its_lines_and_nothing_else() {
    let folder = tempfile::tempdir().unwrap();
    let readings = folder.path();
    let now = "2030-06-14T12:00:00Z";
    for name in ["forecasts/old.json", "forecasts/new.json", "warnings/again.json", "radar/1.h5"] {
        put(readings, name, now);
    }
    put(readings, "radar/unlisted.h5", "2030-06-01T12:00:00Z");
    put(readings, "radar/.2.h5.7.part", "2030-06-01T12:00:00Z");
    put(readings, "notes.txt", "2029-01-01T12:00:00Z");
    fs::write(
        readings.join("received.csv"),
        "file,fetched_at,source\n\
         forecasts/old.json,2030-04-15T11:59:59Z,a\n\
         forecasts/new.json,2030-04-15T12:00:00Z,a\n\
         warnings/again.json,2030-01-01T12:00:00Z,b\n\
         warnings/,2030-01-02T12:00:00Z,b\n\
         warnings/,2030-06-02T12:00:00Z,b\n\
         radar/1.h5,2030-06-11T11:00:00Z,\"c, d\"\n\
         warnings/again.json,2030-06-14T11:00:00Z,b\n\
         radar/gone.h5,2030-06-13T11:00:00Z,c\n",
    )
    .unwrap();

    let gone = prune(readings, at(now), Retention::default()).unwrap();
    assert_eq!(gone, 3);
    let is_there = |name: &str| readings.join(name).exists();
    assert!(!is_there("forecasts/old.json") && !is_there("radar/1.h5"));
    assert!(!is_there("radar/unlisted.h5") && !is_there("radar/.2.h5.7.part"));
    assert!(is_there("forecasts/new.json") && is_there("warnings/again.json"));
    assert!(is_there("notes.txt"), "not a reading of ours");
    assert_eq!(
        listed(readings),
        [
            "forecasts/new.json,2030-04-15T12:00:00Z,a",
            "warnings/again.json,2030-01-01T12:00:00Z,b",
            "warnings/,2030-06-02T12:00:00Z,b",
            "warnings/again.json,2030-06-14T11:00:00Z,b",
            "radar/gone.h5,2030-06-13T11:00:00Z,c",
        ]
    );
    assert_eq!(prune(readings, at(now), Retention::default()).unwrap(), 0, "once is enough");
    assert_eq!(newest(readings, at(now)).unwrap(), Some(at("2030-06-14T11:00:00Z")));
}

#[test]
fn a_folder_that_is_not_there_is_not_made() {
    let folder = tempfile::tempdir().unwrap();
    let readings = folder.path().join("readings");
    assert_eq!(prune(&readings, at("2030-06-14T12:00:00Z"), Retention::default()).unwrap(), 0);
    assert!(!readings.exists());
}

/// Old lines and new ones are added while the list is written anew again and again without the old:
/// no new line is lost.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn pruning_and_fetching_do_not_lose_each_others_lines() {
    let (folder, fetcher) = desk();
    let readings = folder.path().to_owned();
    // It ends when the other end of the channel is gone, also after a failure.
    let (until, over) = mpsc::channel::<()>();
    let pruning = tokio::task::spawn_blocking(move || {
        while over.try_recv() == Err(TryRecvError::Empty) {
            prune(&readings, at("2030-06-14T12:00:00Z"), Retention::default()).unwrap();
        }
    });
    for count in 0..60 {
        let met = String::from_utf8_lossy(MET).replace("17:20:11Z", &format!("17:20:{count:02}Z"));
        let server = Server::new(vec![plain(met.as_bytes())]);
        let mut feed = web(SourceKind::Forecast, &server, 10);
        feed.id = format!("feed-{count}");
        let year = if count % 2 == 0 { 2030 } else { 2029 };
        ask(&fetcher, &feed, &format!("{year}-06-14T12:00:{count:02}Z")).await;
    }
    drop(until);
    pruning.await.unwrap();
    prune(folder.path(), at("2030-06-14T12:00:00Z"), Retention::default()).unwrap();
    assert_eq!(listed(folder.path()).len(), 30);
}
