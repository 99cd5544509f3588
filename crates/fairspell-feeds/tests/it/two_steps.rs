use fairspell_feeds::{Feed, Fetched, From, Why};
use fairspell_ground::LatLon;
use fairspell_studio::outlook::SourceKind;

use crate::{
    server::{Server, plain, recorded},
    world::{GRID, ask, at, desk, feed},
};

const POINTS_301: &str = include_str!("../fixtures/nws_points_301.txt");
const POINTS_301_SAYS: &[u8] = include_bytes!("../fixtures/nws_points_301.json");
const PROBLEM: &[u8] = include_bytes!("../../../fairspell-weather/tests/fixtures/nws_problem.json");
const NOT_FOUND: &str = "HTTP/1.1 404 Not Found\nContent-Type: application/problem+json";

fn through(server: &Server) -> Feed {
    let address = server.address("/points/{lat},{lon}");
    let property = "forecastGridData".to_owned();
    feed(SourceKind::Forecast, From::Through { address, property }, 30)
}

/// The service's answer for a point, with its own address for ours.
fn points(server_port: u16) -> Vec<u8> {
    let document = include_str!("../../../fairspell-weather/tests/fixtures/nws_points.json");
    let here = format!("http://127.0.0.1:{server_port}");
    document.replace("https://api.weather.gov", &here).into_bytes()
}

#[tokio::test]
async fn where_an_address_leads_is_remembered_for_days() {
    let server = Server::naming_itself(|port| vec![plain(&points(port)), plain(GRID)]);
    let (_folder, fetcher) = desk();
    let feed = through(&server);
    let first = ask(&fetcher, &feed, "2030-06-14T18:00:00Z").await;
    assert!(matches!(first, Fetched::New { .. }), "{first:?}");
    assert_eq!(ask(&fetcher, &feed, "2030-06-15T18:00:00Z").await, Fetched::SameAsBefore);
    let paths: Vec<String> = server.asked().iter().map(|head| path(head)).collect();
    assert_eq!(
        paths,
        ["/points/29.9321,-81.321", "/gridpoints/JAX/41,17", "/gridpoints/JAX/41,17"]
    );
    // After three days the point is asked for again; here the answer is no longer one.
    let later = ask(&fetcher, &feed, "2030-06-17T18:00:01Z").await;
    assert!(matches!(later, Fetched::Failed { .. }), "{later:?}");
    assert_eq!(path(&server.asked()[3]), "/points/29.9321,-81.321");
}

#[tokio::test]
async fn a_point_with_too_many_decimals_is_led_on() {
    let server = Server::naming_itself(|port| {
        vec![recorded(POINTS_301, POINTS_301_SAYS), plain(&points(port)), plain(GRID)]
    });
    let (_folder, fetcher) = desk();
    let feed = Feed { decimals: 7, ..through(&server) };
    let place = LatLon::new(47.6552999, -122.5354).unwrap();
    let now = at("2030-06-14T18:00:00Z");
    let fetched = fetcher.fetch(&feed, place, now, 0.0).await.unwrap();
    assert!(matches!(fetched, Fetched::New { .. }), "{fetched:?}");
    assert_eq!(path(&server.asked()[0]), "/points/47.6552999,-122.5354");
    assert_eq!(path(&server.asked()[1]), "/points/47.6553,-122.5354");
}

#[tokio::test]
async fn a_place_that_the_service_does_not_cover_is_left_alone_for_a_day() {
    let server = Server::new(vec![recorded(NOT_FOUND, PROBLEM)]);
    let (_folder, fetcher) = desk();
    let fetched = ask(&fetcher, &through(&server), "2030-06-14T18:00:00Z").await;
    let next_at = at("2030-06-15T18:00:00Z");
    assert_eq!(fetched, Fetched::Failed { why: Why::NotCovering, next_at });
    assert!(fetcher.state().feeds["a-feed"].is_not_covering());
}

/// Grids are redrawn: then the remembered address is gone, and the point names another.
#[tokio::test]
async fn an_address_that_is_gone_is_asked_for_again() {
    let server = Server::naming_itself(|port| {
        let gone = recorded(NOT_FOUND, PROBLEM);
        vec![plain(&points(port)), gone, plain(&points(port)), plain(GRID)]
    });
    let (_folder, fetcher) = desk();
    let feed = through(&server);
    let first = ask(&fetcher, &feed, "2030-06-14T18:00:00Z").await;
    let Fetched::Failed { why: Why::Status { status: 404, .. }, next_at } = first else {
        panic!("{first:?}")
    };
    let second = ask(&fetcher, &feed, &next_at.to_string()).await;
    assert!(matches!(second, Fetched::New { .. }), "{second:?}");
    assert_eq!(server.asked().len(), 4);
}

/// But a service that is merely late keeps its grid.
#[tokio::test]
async fn where_an_address_leads_is_remembered_even_if_nothing_comes_from_there() {
    let late = recorded("HTTP/1.1 503 Service Unavailable", b"");
    let server = Server::naming_itself(|port| vec![plain(&points(port)), late, plain(GRID)]);
    let (_folder, fetcher) = desk();
    let feed = through(&server);
    let first = ask(&fetcher, &feed, "2030-06-14T18:00:00Z").await;
    let Fetched::Failed { next_at, .. } = first else { panic!("{first:?}") };
    let second = ask(&fetcher, &feed, &next_at.to_string()).await;
    assert!(matches!(second, Fetched::New { .. }), "{second:?}");
}

fn path(head: &str) -> String {
    head.split(' ').nth(1).unwrap().to_owned()
}
