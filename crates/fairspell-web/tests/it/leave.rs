//! The leave gate's page: the step first, the list with its ticks, without script.

use axum::http::StatusCode;
use fairspell_studio::RoadPoint;
use fairspell_web::road_input::{read_road, written_road};

use crate::{
    desk::{Desk, moment, studio},
    readings::Readings,
    served::{Browser, LINH, Served, Setup, it_is},
};

fn with_radar(readings: &Readings) {
    readings.dry();
    for minutes in 0..=6 {
        readings
            .radar(moment("2026-09-03T03:25:00Z") + jiff::SignedDuration::from_mins(10 * minutes));
    }
}

const HERE: &str = "/sessions/2026-09-03-linh/leave";
/// Ten minutes before she has to leave.
const AT_THE_GATE: &str = "2026-09-03T04:28:00Z";

async fn at(text: &str, readings: fn(&Readings)) -> (Served, Browser) {
    it_is(text);
    let served = Served::with(Setup { readings, ..Setup::default() }).await;
    let hers = served.hers().await;
    (served, hers)
}

#[tokio::test]
async fn the_step_stands_first_then_why_times_road_home_and_the_list() {
    let (_served, hers) = at(AT_THE_GATE, with_radar).await;
    let page = hers.get(HERE).await;
    let begins = |text: &str| {
        page.text.find(text).unwrap_or_else(|| panic!("`{text}` is not on:\n{}", page.text))
    };
    let parts = [
        "<h1>Leaving for Linh, Thu 3 Sep, 15:15</h1>",
        "<p class=\"large step\">Go.</p>",
        "<p class=\"large\">Leave at 14:",
        "As of Thu 3 Sep, 14:28.",
        "class=\"evening-small\"",
        ">Why</h2>",
        ">One dry gap</h2>",
        ">Times</h2>",
        ">The way there</h2>",
        ">The way home</h2>",
        ">On arrival</h2>",
        ">To mind</h2>",
        ">What this rests on</h2>",
        "In the car</h2>",
    ];
    assert!(parts.map(begins).is_sorted(), "{:?}", parts.map(begins));
    page.says("Official warnings, local rules and your own judgement");
    page.says("Two camera bodies");
}

#[tokio::test]
async fn its_session_leads_there_and_so_does_the_decision_that_is_next() {
    let (_served, hers) = at(AT_THE_GATE, with_radar).await;
    hers.get("/sessions/2026-09-03-linh").await.says(&format!("href=\"{HERE}\""));
    hers.get("/").await.says(&format!("href=\"{HERE}\""));
    let (_served, hers) = at("2026-09-02T08:10:00Z", Readings::dry).await;
    hers.get("/").await.never_says(&format!("href=\"{HERE}\""));
}

#[tokio::test]
async fn nothing_fetched_is_no_go() {
    let (_served, hers) = at(AT_THE_GATE, Readings::none).await;
    let page = hers.get(HERE).await;
    page.never_says("<p class=\"large step\">Go.</p>").says("Hold until 15:00, then look again.");
    page.says("not known, which does not mean dry or wet");
    page.says("whether it will rain is not known");
}

#[tokio::test]
async fn ticks_are_kept_shown_and_taken_away_again() {
    let (served, hers) = at(AT_THE_GATE, with_radar).await;
    let page = hers.get(HERE).await;
    page.says(" are in the car.").says("0 of ").never_says(" checked");
    let ticks = [("in", "bodies"), ("in", "cards"), ("in", "moon")];
    let sent = hers.submit(&page, HERE, &ticks).await;
    let page = hers.follow(&sent).await;
    page.says("What is in the car is kept.").says("2 of ");
    assert_eq!(page.text.matches(" checked").count(), 2);
    assert_eq!(served.store.kit_ticks(LINH).await.unwrap(), ["bodies", "cards"]);
    assert_eq!(served.store.kit_ticks("another").await.unwrap(), Vec::<String>::new());
    hers.submit(&page, HERE, &[("in", "cards")]).await;
    assert_eq!(served.store.kit_ticks(LINH).await.unwrap(), ["cards"]);
    hers.press(HERE, HERE).await;
    hers.get(HERE).await.says("0 of ");
}

#[tokio::test]
async fn an_evening_that_is_over_and_one_that_is_not_there() {
    let (_served, hers) = at("2026-09-03T12:00:00Z", with_radar).await;
    hers.get(HERE).await.says("This evening is over").never_says("In the car");
    let page = hers.get("/sessions/nobody/leave").await;
    assert_eq!(page.status, StatusCode::NOT_FOUND);
    let sent = hers.press("/people/new", "/sessions/nobody/leave").await;
    assert_eq!(sent.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_road_is_entered_once_for_its_place_and_shown_again_as_typed() {
    let desk = Desk::open().await;
    let page = desk.get("/places/ferrow_veranda").await;
    page.says("Mill Ford, -31.7171, 152.7851, tide 1.65 swell, rain 60, open Tue 05:00-22:30");
    let typed = "Gannet Ford, -32.42, 152.44, 1.65 m with swell, rain 60 mm\nBend, -32.5, 152.3";
    let fields = |road| {
        [
            ("name", "Pell Quay"),
            ("position", "-33.05, 152.02"),
            ("cover", "roof"),
            ("gust_factor", "1"),
            ("road", road),
        ]
    };
    let saved = desk.post("/places", &fields(typed)).await;
    desk.follow(&saved).await.says("Pell Quay");
    let made = desk.studio().await;
    let road = &made.spot("pell-quay").unwrap().site.road;
    assert_eq!(road.len(), 2);
    assert_eq!((road[0].tide_limit_m, road[0].with_swell), (Some(1.65), true));
    assert_eq!(road[0].closes_after_rain_mm_24h, Some(60.0));
    assert!(!road[1].is_limited());
    desk.undo(&saved).await;
    let wrong = desk.post("/places", &fields("Gannet Ford, south")).await;
    wrong.says("Line 1, &quot;Gannet Ford, south&quot;, cannot be read.");
    assert_eq!(desk.studio().await, studio());
}

#[test]
fn what_is_no_point_of_a_road_is_refused_by_its_line() {
    for wrong in [
        "Gannet Ford",
        "Gannet Ford, -32.42",
        ", -32.42, 152.44",
        "Gannet Ford, -92.42, 152.44",
        "Gannet Ford, -32.42, 152.44, high",
        "Gannet Ford, -32.42, 152.44, tide",
        "Gannet Ford, -32.42, 152.44, 21",
        "Gannet Ford, -32.42, 152.44, 1.65 waves",
        "Gannet Ford, -32.42, 152.44, rain",
        "Gannet Ford, -32.42, 152.44, rain -1",
        "Gannet Ford, -32.42, 152.44, open",
        "Gannet Ford, -32.42, 152.44, open late",
    ] {
        let text = format!("Bend, -32.5, 152.3\n\n{wrong}");
        let error = read_road(&text).unwrap_err();
        assert_eq!((error.line, error.text.as_str()), (3, wrong.trim()), "{wrong}");
    }
    let point: RoadPoint = read_road("A, -32.5, 152.3").unwrap().remove(0);
    let odd = RoadPoint { name: "A, B\nC".to_owned(), ..point };
    assert_eq!(read_road(&written_road(&[odd])).unwrap()[0].name, "A B C");
}
