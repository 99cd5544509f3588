use fairspell_feeds::{FeedsState, FetchRemark, Fetched, Fetcher, Limits, Why, seen_by};
use fairspell_studio::outlook::SourceKind;

use crate::{
    server::{Reply, Server, plain, recorded},
    world::{
        ALERTS_1712, GRID, MET, PICTURE, ask, at, beach, count, desk, fetcher, limits, listed,
        minutes, web,
    },
};

const MET_203: &str = include_str!("../fixtures/met_203.txt");
const MET_304: &str = include_str!("../fixtures/met_304.txt");
const NWS_200: &str = include_str!("../fixtures/nws_gridpoint_200.txt");
const NWS_503: &[u8] = include_bytes!("../fixtures/nws_grid_expired_503.json");

#[tokio::test]
async fn met_norway_is_asked_again_after_expires_with_its_own_last_modified() {
    let server = Server::new(vec![recorded(MET_203, MET), recorded(MET_304, b"")]);
    let (folder, fetcher) = desk();
    let feed = web(SourceKind::Forecast, &server, 10);

    let first = ask(&fetcher, &feed, "2020-06-16T12:13:49Z").await;
    let Fetched::New { files, remarks } = first else { panic!("{first:?}") };
    assert_eq!(files, [std::path::Path::new("forecasts/2020-06-16T121349Z-a-feed.json")]);
    assert_eq!(remarks, [FetchRemark::Ceasing], "status 203");
    assert_eq!(std::fs::read(folder.path().join(&files[0])).unwrap(), MET, "kept as received");

    // It expires at 12:44:18; every ten minutes is what the feed itself allows.
    let until = at("2020-06-16T12:44:18Z");
    let early = ask(&fetcher, &feed, "2020-06-16T12:44:17Z").await;
    assert_eq!(early, Fetched::TooEarly { until });
    assert_eq!(ask(&fetcher, &feed, "2020-06-16T12:44:18Z").await, Fetched::NotModified);

    let asked = server.asked();
    assert_eq!(asked.len(), 2);
    assert!(asked[0].starts_with("GET /forecast?lat=29.9321&lon=-81.321 HTTP/1.1\r\n"));
    let head = asked[0].to_lowercase();
    assert!(head.contains("\r\nuser-agent: fairspell/0.1.0 (me@example.org)\r\n"), "{head}");
    assert!(head.contains("\r\naccept: application/geo+json\r\n"), "{head}");
    assert!(head.contains("\r\naccept-encoding: gzip\r\n"), "{head}");
    assert!(!head.contains("if-"), "{head}");
    let head = &asked[1];
    assert!(head.contains("if-modified-since: Tue, 16 Jun 2020 12:13:49 GMT\r\n"), "{head}");
    let line = "forecasts/2020-06-16T121349Z-a-feed.json,2020-06-16T12:13:49Z,an invented service";
    assert_eq!(listed(folder.path()), [line], "a forecast that is not new is no news");
}

#[tokio::test]
async fn the_us_service_is_asked_again_after_max_age_and_what_it_sends_again_is_kept_once() {
    let server = Server::new(vec![recorded(NWS_200, GRID)]);
    let (folder, fetcher) = desk();
    let feed = web(SourceKind::Forecast, &server, 2);
    assert!(matches!(ask(&fetcher, &feed, "2020-09-06T17:46:16Z").await, Fetched::New { .. }));
    // max-age=282 outlasts the feed's own two minutes.
    let until = at("2020-09-06T17:50:58Z");
    let early = ask(&fetcher, &feed, "2020-09-06T17:49:00Z").await;
    assert_eq!(early, Fetched::TooEarly { until });
    // The service knows no conditions on these: it sends the whole again.
    assert_eq!(ask(&fetcher, &feed, "2020-09-06T17:50:58Z").await, Fetched::SameAsBefore);
    assert_eq!(count(&folder.path().join("forecasts")), 1);
    let conditions = "if-modified-since: Mon, 28 Sep 2020 18:00:00 GMT";
    assert!(server.asked()[1].contains(conditions), "exactly as sent, though it lies ahead");
}

/// RFC 9110, section 8.8.3: an entity tag goes back as it came, weak or not (the section's examples).
#[tokio::test]
async fn entity_tags_go_back_as_they_came() {
    for tag in ["\"xyzzy\"", "W/\"xyzzy\"", "\"\""] {
        let head = format!("HTTP/1.1 200 OK\r\nETag: {tag}");
        let replies = vec![recorded(&head, MET), recorded("HTTP/1.1 304 Not Modified", b"")];
        let server = Server::new(replies);
        let (_folder, fetcher) = desk();
        let feed = web(SourceKind::Forecast, &server, 30);
        ask(&fetcher, &feed, "2030-06-14T18:00:00Z").await;
        assert_eq!(ask(&fetcher, &feed, "2030-06-14T18:30:00Z").await, Fetched::NotModified);
        assert!(server.asked()[1].contains(&format!("if-none-match: {tag}\r\n")), "{tag}");
    }
}

#[tokio::test]
async fn nothing_new_of_warnings_is_news() {
    let tagged = recorded("HTTP/1.1 200 OK\nETag: \"a\"", ALERTS_1712);
    let server = Server::new(vec![tagged, recorded("HTTP/1.1 304 Not Modified", b"")]);
    let (folder, fetcher) = desk();
    let feed = web(SourceKind::Warnings, &server, 10);
    ask(&fetcher, &feed, "2030-06-14T21:15:00Z").await;
    ask(&fetcher, &feed, "2030-06-14T21:25:00Z").await;
    assert_eq!(
        listed(folder.path()),
        [
            "warnings/2030-06-14T211500Z-a-feed.json,2030-06-14T21:15:00Z,an invented service",
            "warnings/2030-06-14T211500Z-a-feed.json,2030-06-14T21:25:00Z,an invented service",
        ]
    );
    let seen = seen_by(folder.path(), at("2030-06-14T21:30:00Z"), beach()).unwrap();
    assert_eq!(seen.seen.warnings.unwrap().looked_at, at("2030-06-14T21:25:00Z"));
}

#[tokio::test]
async fn without_the_file_nothing_is_asked_under_conditions() {
    let tagged = recorded("HTTP/1.1 200 OK\nETag: \"a\"", MET);
    let server = Server::new(vec![tagged]);
    let (folder, fetcher) = desk();
    let feed = web(SourceKind::Forecast, &server, 30);
    ask(&fetcher, &feed, "2030-06-14T18:00:00Z").await;
    std::fs::remove_dir_all(folder.path().join("forecasts")).unwrap();
    assert!(matches!(ask(&fetcher, &feed, "2030-06-14T18:30:00Z").await, Fetched::New { .. }));
    assert!(!server.asked()[1].contains("if-none-match"));
}

#[tokio::test]
async fn what_is_remembered_outlives_the_program() {
    let tagged = recorded("HTTP/1.1 200 OK\nETag: \"a\"\nCache-Control: max-age=3600", MET);
    let server = Server::new(vec![tagged, recorded("HTTP/1.1 304 Not Modified", b"")]);
    let (folder, first) = desk();
    let feed = web(SourceKind::Forecast, &server, 30);
    ask(&first, &feed, "2030-06-14T18:00:00Z").await;
    let remembered = first.state();
    drop(first);
    assert_eq!(FeedsState::load(folder.path()).unwrap(), remembered);

    let second = fetcher(folder.path(), limits());
    let until = at("2030-06-14T19:00:00Z");
    assert_eq!(ask(&second, &feed, "2030-06-14T18:31:00Z").await, Fetched::TooEarly { until });
    assert_eq!(ask(&second, &feed, "2030-06-14T19:00:00Z").await, Fetched::NotModified);
    let known = &second.state().feeds["a-feed"];
    assert_eq!(known.last_ok_at, Some(at("2030-06-14T19:00:00Z")));
    assert_eq!(known.made, Some(at("2030-06-14T17:20:11Z")));
}

#[tokio::test]
async fn a_damaged_memory_is_put_aside() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("feeds.json"), "{\"feeds\": {\"a").unwrap();
    assert_eq!(FeedsState::load(folder.path()).unwrap(), FeedsState::default());
    assert!(folder.path().join("feeds.json.damaged").is_file());
}

/// Ten minutes, twice as long after each failure, an hour at most; the service's own word counts
/// when it wants more.
#[tokio::test]
async fn a_feed_that_fails_is_left_alone_for_longer_and_longer() {
    let late = recorded("HTTP/1.1 503 Service Unavailable", NWS_503);
    let busy = recorded("HTTP/1.1 429 Too Many Requests\nRetry-After: 7200", b"");
    let mut replies = vec![late; 5];
    replies.extend([busy, plain(MET)]);
    let server = Server::new(replies);
    let (_folder, fetcher) = desk();
    let feed = web(SourceKind::Forecast, &server, 10);
    let mut now = at("2030-06-14T12:00:00Z");
    for (failures, pause_min) in [(1, 10), (2, 20), (3, 40), (4, 60), (5, 60), (6, 120)] {
        let fetched = fetcher.fetch(&feed, beach(), now, 0.0).await.unwrap();
        let Fetched::Failed { why, next_at } = fetched else { panic!("{fetched:?}") };
        assert_eq!(next_at.duration_since(now), minutes(pause_min), "after {failures}");
        let Why::Status { status, said } = why else { panic!("{why:?}") };
        assert_eq!(status == 503, failures < 6);
        assert!(status == 429 || said == "Forecast Grid Expired", "{said}");
        assert_eq!(fetcher.state().feeds["a-feed"].failures, failures);
        now = next_at;
    }
    assert!(matches!(fetcher.fetch(&feed, beach(), now, 0.0).await, Ok(Fetched::New { .. })));
    assert_eq!(fetcher.state().feeds["a-feed"].failures, 0);
}

#[tokio::test]
async fn jitter_only_ever_adds_to_a_pause() {
    let server = Server::new(vec![recorded("HTTP/1.1 500 Internal Server Error", b"")]);
    for (jitter, pause_s) in [(0.0, 600), (1.0, 750), (7.0, 750), (-1.0, 600), (f64::NAN, 600)] {
        let (_folder, fetcher) = desk();
        let feed = web(SourceKind::Forecast, &server, 10);
        let now = at("2030-06-14T12:00:00Z");
        let fetched = fetcher.fetch(&feed, beach(), now, jitter).await.unwrap();
        let Fetched::Failed { next_at, .. } = fetched else { panic!("{fetched:?}") };
        assert_eq!(next_at.duration_since(now).as_secs(), pause_s, "jitter {jitter}");
    }
}

#[tokio::test]
async fn one_host_is_not_asked_twice_at_once() {
    let server = Server::new(vec![plain(MET), plain(ALERTS_1712)]);
    let (_folder, fetcher) = desk();
    let forecast = web(SourceKind::Forecast, &server, 10);
    let mut warnings = web(SourceKind::Warnings, &server, 10);
    warnings.id = "another-feed".to_owned();
    ask(&fetcher, &forecast, "2030-06-14T21:12:00Z").await;
    let until = at("2030-06-14T21:12:01Z");
    let early = ask(&fetcher, &warnings, "2030-06-14T21:12:00.3Z").await;
    assert_eq!(early, Fetched::TooEarly { until });
    let fetched = ask(&fetcher, &warnings, "2030-06-14T21:12:01Z").await;
    assert!(matches!(fetched, Fetched::New { .. }), "{fetched:?}");
}

#[tokio::test]
async fn a_feed_that_is_being_asked_is_not_asked_again() {
    let server = Server::new(vec![Reply::Hang]);
    let folder = tempfile::tempdir().unwrap();
    let limits = Limits { whole: std::time::Duration::from_millis(300), ..limits() };
    let fetcher = fetcher(folder.path(), limits);
    let feed = web(SourceKind::Forecast, &server, 10);
    let now = at("2030-06-14T12:00:00Z");
    let (first, second) = tokio::join!(
        fetcher.fetch(&feed, beach(), now, 0.0),
        fetcher.fetch(&feed, beach(), now, 0.0)
    );
    assert!(matches!(first, Ok(Fetched::Failed { why: Why::TimedOut, .. })), "{first:?}");
    assert!(matches!(second, Ok(Fetched::TooEarly { .. })), "{second:?}");
}

#[tokio::test]
async fn a_clock_that_was_wrong_does_not_silence_a_feed() {
    let server = Server::new(vec![plain(MET), plain(GRID)]);
    let (_folder, fetcher) = desk();
    let feed = web(SourceKind::Forecast, &server, 10);
    ask(&fetcher, &feed, "2031-01-01T00:00:00Z").await;
    let fetched = ask(&fetcher, &feed, "2030-06-14T18:00:00Z").await;
    assert!(matches!(fetched, Fetched::New { .. }), "{fetched:?}");
}

#[tokio::test]
async fn a_picture_is_kept_and_seen() {
    let server = Server::new(vec![plain(PICTURE)]);
    let (folder, fetcher) = desk();
    let feed = web(SourceKind::Radar, &server, 4);
    let fetched = ask(&fetcher, &feed, "2026-09-03T04:31:00Z").await;
    let Fetched::New { files, .. } = fetched else { panic!("{fetched:?}") };
    assert_eq!(files[0].extension().unwrap(), "grib2");
    assert_eq!(std::fs::read(folder.path().join(&files[0])).unwrap(), PICTURE);
}

fn is_send<T: Send>(value: T) -> T {
    value
}

#[tokio::test]
async fn a_fetch_may_move_between_threads() {
    let server = Server::new(vec![plain(MET)]);
    let (_folder, fetcher) = desk();
    let feed = web(SourceKind::Forecast, &server, 10);
    let fetcher: std::sync::Arc<Fetcher> = std::sync::Arc::new(fetcher);
    let fetch = is_send(fetcher.fetch(&feed, beach(), at("2030-06-14T18:00:00Z"), 0.5));
    assert!(matches!(fetch.await, Ok(Fetched::New { .. })));
}
