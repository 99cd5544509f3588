use fairspell_tell::{
    Outcome,
    web_push::{PushRequest, client, send},
};
use jiff::SignedDuration;
use reqwest::Client;

use crate::{
    server::http,
    world::{NOON, at},
};

/// A client that may speak to this machine, as the program's own may not.
fn local_client() -> Client {
    // Makes the TLS provider known.
    client().unwrap();
    Client::builder().no_proxy().redirect(reqwest::redirect::Policy::none()).build().unwrap()
}

fn request(port: u16) -> PushRequest {
    PushRequest {
        url: format!("http://127.0.0.1:{port}/push/abc"),
        headers: vec![("TTL", "60".to_owned()), ("Urgency", "high".to_owned())],
        body: vec![1, 2, 3],
    }
}

fn later(seconds: i64) -> Outcome {
    Outcome::TryLater { after: Some(SignedDuration::from_secs(seconds)) }
}

/// RFC 8030, sections 5 and 7.3, RFC 9110, section 10.2.3.
#[tokio::test]
async fn each_answer_of_a_push_service_means_something() {
    let noon = at(NOON);
    for (answer, expected) in [
        ("201 Created\r\nLocation: /m/1", Outcome::Delivered),
        ("200 OK", Outcome::Delivered),
        ("404 Not Found", Outcome::Gone),
        ("410 Gone", Outcome::Gone),
        ("429 Too Many Requests\r\nRetry-After: 120", later(120)),
        ("429 Too Many Requests", Outcome::TryLater { after: None }),
        ("503 Unavailable\r\nRetry-After: Thu, 03 Sep 2026 02:05:00 GMT", later(300)),
        ("503 Unavailable\r\nRetry-After: Thu, 03 Sep 2026 01:00:00 GMT", later(0)),
        ("503 Unavailable\r\nRetry-After: 4000000000", later(86400)),
        ("503 Unavailable\r\nRetry-After: soon", Outcome::TryLater { after: None }),
        ("500 Oh", Outcome::TryLater { after: None }),
        ("307 Elsewhere\r\nLocation: http://127.0.0.1:1/", Outcome::Refused { status: 307 }),
        ("400 Bad Request", Outcome::Refused { status: 400 }),
        ("403 Forbidden", Outcome::Refused { status: 403 }),
        ("413 Too Large", Outcome::Refused { status: 413 }),
    ] {
        let server = http(answer);
        let outcome = send(&local_client(), &request(server.port), noon).await;
        assert_eq!(outcome, expected, "{answer}");
    }
}

#[tokio::test]
async fn the_service_hears_the_fields_and_the_body() {
    let server = http("201 Created");
    send(&local_client(), &request(server.port), at(NOON)).await;
    let heard = server.heard.recv().unwrap().to_lowercase();
    assert!(heard.starts_with("post /push/abc http/1.1\r\n"), "{heard}");
    assert!(heard.contains("ttl: 60\r\n"), "{heard}");
    assert!(heard.contains("urgency: high\r\n"), "{heard}");
    assert!(heard.ends_with("[3 bytes]"), "{heard}");
}

#[tokio::test]
async fn nobody_there_is_for_later_and_a_broken_address_is_not() {
    let nobody = send(&local_client(), &request(1), at(NOON)).await;
    assert_eq!(nobody, Outcome::TryLater { after: None });
    let broken = PushRequest { url: "no address".to_owned(), ..request(1) };
    let broken = send(&local_client(), &broken, at(NOON)).await;
    assert_eq!(broken, Outcome::Refused { status: 400 });
}

/// `localhost` is in every machine's own list of names, so that only the resolver keeps us out.
#[tokio::test]
async fn the_programs_own_client_does_not_reach_this_machine_by_name_or_in_the_open() {
    let listener = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    listener.set_nonblocking(true).unwrap();
    let port = listener.local_addr().unwrap().port();
    for url in [format!("http://127.0.0.1:{port}/"), format!("https://localhost:{port}/")] {
        let request = PushRequest { url, ..request(port) };
        let outcome = send(&client().unwrap(), &request, at(NOON)).await;
        assert_eq!(outcome, Outcome::TryLater { after: None });
        assert!(listener.accept().is_err(), "{}", request.url);
    }
}
