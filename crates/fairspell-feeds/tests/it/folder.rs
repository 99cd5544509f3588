use std::{fs, path::Path};

use fairspell_feeds::{FetchRemark, Fetched, From, Why, seen_by};
use fairspell_studio::outlook::SourceKind;

use crate::world::{ALERTS_1712, MET, ask, at, beach, count, desk, feed, listed, touch};

/// Puts a file there as if it had been fetched at a moment.
fn put(folder: &Path, name: &str, bytes: &[u8], changed_at: &str) {
    let path = folder.join(name);
    fs::write(&path, bytes).unwrap();
    touch(&path, changed_at);
}

#[tokio::test]
async fn a_file_is_taken_when_it_has_stopped_growing() {
    let incoming = tempfile::tempdir().unwrap();
    let (folder, fetcher) = desk();
    let feed = feed(SourceKind::Forecast, From::Folder(incoming.path().to_owned()), 5);
    put(incoming.path(), "f.json", &MET[..1000], "2030-06-14T18:00:00Z");
    assert_eq!(ask(&fetcher, &feed, "2030-06-14T18:00:00Z").await, Fetched::NotModified);
    put(incoming.path(), "f.json", MET, "2030-06-14T18:00:08Z");
    assert_eq!(ask(&fetcher, &feed, "2030-06-14T18:00:10Z").await, Fetched::NotModified);
    let fetched = ask(&fetcher, &feed, "2030-06-14T18:00:20Z").await;
    let Fetched::New { files, remarks } = fetched else { panic!("{fetched:?}") };
    assert_eq!((files.len(), remarks.len()), (1, 0));
    assert_eq!(fs::read(folder.path().join(&files[0])).unwrap(), MET);
    // It counts from its own time of change.
    let line = "forecasts/2030-06-14T180008Z-a-feed.json,2030-06-14T18:00:08Z,an invented service";
    assert_eq!(listed(folder.path()), [line]);
    // And is taken once.
    assert_eq!(ask(&fetcher, &feed, "2030-06-14T18:10:00Z").await, Fetched::NotModified);
    assert_eq!(count(&folder.path().join("forecasts")), 1);
}

/// Whoever fills the folder may have stopped: then the warnings grow old, as they should.
#[tokio::test]
async fn a_folder_that_nobody_fills_grows_old() {
    let incoming = tempfile::tempdir().unwrap();
    let (folder, fetcher) = desk();
    let feed = feed(SourceKind::Warnings, From::Folder(incoming.path().to_owned()), 5);
    put(incoming.path(), "alerts.json", ALERTS_1712, "2030-06-14T21:12:30Z");
    for now in ["2030-06-14T21:13:00Z", "2030-06-14T21:13:10Z", "2030-06-15T06:00:00Z"] {
        ask(&fetcher, &feed, now).await;
    }
    let looked_at = |as_of: &str| {
        let seen = seen_by(folder.path(), at(as_of), beach()).unwrap();
        seen.seen.warnings.map(|warnings| warnings.looked_at)
    };
    let expected = Some(at("2030-06-14T21:12:30Z"));
    assert_eq!(looked_at("2030-06-15T06:00:00Z"), expected);
    // Looked at again with the same outcome: whoever fetches touches the file.
    put(incoming.path(), "alerts.json", ALERTS_1712, "2030-06-15T06:04:00Z");
    for now in ["2030-06-15T06:05:00Z", "2030-06-15T06:05:10Z"] {
        ask(&fetcher, &feed, now).await;
    }
    assert_eq!(looked_at("2030-06-15T06:06:00Z"), Some(at("2030-06-15T06:04:00Z")));
}

#[tokio::test]
async fn what_cannot_be_read_is_put_aside_and_the_rest_is_taken() {
    let incoming = tempfile::tempdir().unwrap();
    let (folder, fetcher) = desk();
    let feed = feed(SourceKind::Forecast, From::Folder(incoming.path().to_owned()), 5);
    put(incoming.path(), "a.json", b"<html>Back soon</html>", "2030-06-14T18:00:00Z");
    put(incoming.path(), "b.json", MET, "2030-06-14T18:00:00Z");
    put(incoming.path(), "old.json", MET, "2029-06-14T18:00:00Z");
    ask(&fetcher, &feed, "2030-06-14T18:01:00Z").await;
    let fetched = ask(&fetcher, &feed, "2030-06-14T18:01:10Z").await;
    let Fetched::New { files, remarks } = fetched else { panic!("{fetched:?}") };
    assert_eq!(files.len(), 1, "last year's is left where it is");
    let aside = FetchRemark::PutAside { file: "a.json".to_owned(), why: Why::WebPage };
    assert_eq!(remarks, [aside]);
    assert_eq!(count(&folder.path().join("refused")), 1);
}

#[tokio::test]
async fn a_folder_that_is_not_there_is_said_to_be() {
    let (folder, fetcher) = desk();
    let gone = folder.path().join("gone");
    let feed = feed(SourceKind::Forecast, From::Folder(gone), 5);
    let fetched = ask(&fetcher, &feed, "2030-06-14T18:00:00Z").await;
    assert!(matches!(fetched, Fetched::Failed { why: Why::Folder { .. }, .. }), "{fetched:?}");
}

/// Reading a file lets other tasks go on, and so somebody else may look meanwhile.
#[tokio::test]
async fn a_file_is_taken_once_by_two_who_look_together() {
    let incoming = tempfile::tempdir().unwrap();
    let (folder, fetcher) = desk();
    let feed = feed(SourceKind::Forecast, From::Folder(incoming.path().to_owned()), 5);
    put(incoming.path(), "f.json", MET, "2030-06-14T18:00:00Z");
    ask(&fetcher, &feed, "2030-06-14T18:00:00Z").await;
    let now = "2030-06-14T18:00:10Z";
    let (one, other) = tokio::join!(ask(&fetcher, &feed, now), ask(&fetcher, &feed, now));
    assert!(matches!(one, Fetched::New { .. }), "{one:?}");
    assert!(matches!(other, Fetched::TooEarly { .. }), "{other:?}");
    assert_eq!(count(&folder.path().join("forecasts")), 1);
}
