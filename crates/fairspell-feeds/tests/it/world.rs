//! An invented beach, its feeds, and a fetcher that may ask this machine.

use std::{
    fs::File,
    path::Path,
    time::{Duration, SystemTime},
};

use fairspell_feeds::{Feed, Fetched, Fetcher, From, Identity, Limits, Reach};
use fairspell_ground::LatLon;
use fairspell_studio::outlook::SourceKind;
use jiff::{SignedDuration, Timestamp};
use tempfile::TempDir;

use crate::server::Server;

pub(crate) const MET: &[u8] =
    include_bytes!("../../../fairspell-weather/tests/fixtures/met_complete.json");
pub(crate) const GRID: &[u8] =
    include_bytes!("../../../fairspell-weather/tests/fixtures/nws_gridpoint.json");
pub(crate) const ALERTS_1712: &[u8] =
    include_bytes!("../../../fairspell-weather/tests/fixtures/nws_alerts_1712.json");
pub(crate) const ALERTS_1746: &[u8] =
    include_bytes!("../../../fairspell-weather/tests/fixtures/nws_alerts_1746.json");
pub(crate) const PICTURE: &[u8] =
    include_bytes!("../../../fairspell-nowcast/tests/fixtures/rain_rate.grib2");

pub(crate) fn at(text: &str) -> Timestamp {
    text.parse().unwrap()
}

pub(crate) fn minutes(count: i64) -> SignedDuration {
    SignedDuration::from_mins(count)
}

pub(crate) fn beach() -> LatLon {
    LatLon::new(29.9321, -81.3210).unwrap()
}

pub(crate) fn feed(kind: SourceKind, from: From, every_min: u32) -> Feed {
    Feed {
        id: "a-feed".to_owned(),
        kind,
        source: "an invented service".to_owned(),
        from,
        every_min,
        accept: Some("application/geo+json".to_owned()),
        decimals: 4,
        stands_in_for: None,
    }
}

pub(crate) fn web(kind: SourceKind, server: &Server, every_min: u32) -> Feed {
    feed(kind, From::Web(server.address("/forecast?lat={lat}&lon={lon}")), every_min)
}

pub(crate) fn limits() -> Limits {
    Limits { whole: Duration::from_secs(5), ..Limits::default() }
}

pub(crate) fn fetcher(readings: &Path, limits: Limits) -> Fetcher {
    let contact = Some("me@example.org".to_owned());
    let identity = Identity { product: "fairspell/0.1.0".to_owned(), contact };
    Fetcher::new(readings, &identity, limits, Reach::FeedsOwnHost).unwrap()
}

/// A folder of readings and a fetcher on it.
pub(crate) fn desk() -> (TempDir, Fetcher) {
    let folder = tempfile::tempdir().unwrap();
    let fetcher = fetcher(folder.path(), limits());
    (folder, fetcher)
}

pub(crate) async fn ask(fetcher: &Fetcher, feed: &Feed, now: &str) -> Fetched {
    fetcher.fetch(feed, beach(), at(now), 0.0).await.unwrap()
}

/// The lines of the list, without its header.
pub(crate) fn listed(readings: &Path) -> Vec<String> {
    let list = std::fs::read_to_string(readings.join("received.csv")).unwrap_or_default();
    list.lines().skip(1).map(str::to_owned).collect()
}

pub(crate) fn count(folder: &Path) -> usize {
    std::fs::read_dir(folder).map_or(0, Iterator::count)
}

/// Sets a file's time of change.
pub(crate) fn touch(file: &Path, changed_at: &str) {
    let seconds = u64::try_from(at(changed_at).as_second()).unwrap();
    let changed_at = SystemTime::UNIX_EPOCH + Duration::from_secs(seconds);
    File::options().write(true).open(file).unwrap().set_modified(changed_at).unwrap();
}
