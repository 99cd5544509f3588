use axum::http::StatusCode;

use crate::{
    readings::Readings,
    served::{Browser, HOME, LINH, Served, Setup, it_is},
};

const HERE: &str = "/sessions/2026-09-03-linh";

async fn demo() -> (Served, Browser) {
    it_is("2027-03-01T00:00:00Z");
    let setup = Setup {
        is_demo: true,
        clock: Some("2026-09-02T08:10:00Z"),
        readings: Readings::dry,
        ..Setup::default()
    };
    let served = Served::with(setup).await;
    let visitor = served.browser(HOME);
    (served, visitor)
}

#[tokio::test]
async fn the_demo_asks_nobody_to_sign_in_and_shows_its_own_time() {
    let (_served, visitor) = demo().await;
    for path in ["/", "/season", HERE, "/places", "/people", "/studio"] {
        visitor.get(path).await.says("Here it is Wed 2 Sep, 18:10").says("action=\"/clock\"");
    }
}

#[tokio::test]
async fn the_clock_goes_on_from_gate_to_gate() {
    let (served, visitor) = demo().await;
    let mut names = Vec::new();
    let mut page = visitor.get("/").await;
    for _ in 0..4 {
        let button = page.between("<button>Go on to ", "</button>").unwrap().to_owned();
        names.push(button);
        let moved = visitor.submit(&page, "/clock", &[]).await;
        assert_eq!(moved.location(), HERE);
        page = visitor.follow(&moved).await;
    }
    let gates = ["Thu 3 Sep, 10:00", "Thu 3 Sep, 11:45", "Thu 3 Sep, 14:30", "Thu 3 Sep, 15:15"];
    for (name, gate) in names.iter().zip(gates) {
        assert!(name.starts_with(gate), "{name}");
    }
    page.says("Here it is Thu 3 Sep, 15:15");
    assert!(served.store.journal_verify(None).await.unwrap().holds());
}

#[tokio::test]
async fn it_is_set_to_any_moment_forwards_and_back() {
    let (_served, visitor) = demo().await;
    let word = visitor.get("/").await.form_word().unwrap().to_owned();
    for (typed, shown) in [
        ("2026-09-03T14:30", "Thu 3 Sep, 14:30"),
        ("2026-09-01 09:05", "Tue 1 Sep, 09:05"),
        ("2026-09-03T05:20:00Z", "Thu 3 Sep, 15:20"),
    ] {
        let fields = [("to", typed), ("form_word", word.as_str()), ("next", HERE)];
        let set = visitor.post("/clock", &fields).await;
        visitor.follow(&set).await.says(&format!("Here it is {shown}"));
    }
    for typed in ["", "soon", "2026-13-01T00:00", "99999-01-01T00:00", "2026-10-04T02:30x"] {
        let fields = [("to", typed), ("form_word", word.as_str())];
        let refused = visitor.post("/clock", &fields).await;
        assert_eq!(refused.status, StatusCode::BAD_REQUEST, "{typed}");
        refused.says("Please give a date and a time, such as 2026-09-03 14:30.");
    }
    let fields = [("to", "2026-09-03T14:30"), ("form_word", &word), ("next", "//evil.example")];
    assert_eq!(visitor.post("/clock", &fields).await.location(), "/");
    visitor.get("/").await.says("Here it is Thu 3 Sep, 14:30");
}

#[tokio::test]
async fn a_studio_has_no_clock_to_be_set() {
    it_is("2026-09-02T08:10:00Z");
    let served = Served::open().await;
    let hers = served.hers().await;
    let page = hers.get("/").await;
    page.never_says("/clock");
    let fields = [("to", "2026-09-03T14:30"), ("form_word", page.form_word().unwrap())];
    assert_eq!(hers.post("/clock", &fields).await.status, StatusCode::NOT_FOUND);
    hers.get("/").await.says("As of Wed 2 Sep, 18:10");
    assert!(served.store.session(LINH).await.unwrap().is_some());
}

#[tokio::test]
async fn the_clock_is_not_set_from_another_site() {
    let (_served, visitor) = demo().await;
    let fields = [("to", "2026-09-03T14:30")];
    assert_eq!(visitor.post("/clock", &fields).await.status, StatusCode::FORBIDDEN);
    let elsewhere = [("sec-fetch-site", "cross-site")];
    let word = visitor.get("/").await.form_word().unwrap().to_owned();
    let fields = [("to", "2026-09-03T14:30"), ("form_word", word.as_str())];
    let refused = visitor.post_with("/clock", &fields, &elsewhere).await;
    assert_eq!(refused.status, StatusCode::FORBIDDEN);
}
