use axum::http::StatusCode;
use fairspell_store::Store;
use fairspell_studio::studio::Expected;
use serde_json::Value;

use crate::{
    desk::{PASSPHRASE, moment, sessions, studio},
    newcomer::{Newcomer, Part},
};

/// Noon in New South Wales.
const NOON: &str = "2026-09-03T02:00:00Z";
/// The second page's form, filled in.
const TONIGHT: [(&str, &str); 6] = [
    ("step", "tonight"),
    ("place", "-31.43, 152.91"),
    ("date", "2026-09-03"),
    ("from", "15:45"),
    ("to", "17:45"),
    ("passphrase", PASSPHRASE),
];

fn tonight_but<'a>(name: &str, value: &'a str) -> Vec<(&'static str, &'a str)> {
    TONIGHT.iter().map(|(known, old)| (*known, if *known == name { value } else { old })).collect()
}

fn photo(name: &str) -> Vec<u8> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/fixtures/photos");
    std::fs::read(format!("{folder}/{name}")).unwrap()
}

#[tokio::test]
async fn from_an_empty_folder_to_the_evening_in_two_pages() {
    let mut newcomer = Newcomer::at(NOON).await;
    assert_eq!(newcomer.get("/").await.location, "/start");
    let first = newcomer.get("/start").await;
    assert!(first.text.contains("name=\"position\"") && first.text.contains("name=\"photo\""));
    assert!(!first.text.contains("name=\"passphrase\""));

    let placed = newcomer.post("/start", &[("position", "31.43 S 152.91 E")]).await;
    assert_eq!(placed.location, "/start?place=-31.43,152.91");
    let second = newcomer.get(&placed.location).await;
    for said in [
        "31.4300 S, 152.9100 E",
        "Clocks there: Australia/Sydney",
        "name=\"from\" type=\"time\" value=\"15:45\"",
        "name=\"to\" type=\"time\" value=\"17:45\"",
        "name=\"passphrase\" type=\"password\"",
    ] {
        assert!(second.text.contains(said), "{said}\n{}", second.text);
    }

    let begun = newcomer.post("/start", &TONIGHT).await;
    assert_eq!(begun.location, "/sessions/2026-09-03-tonight", "{}", begun.text);
    let evening = newcomer.get(&begun.location).await;
    assert_eq!(evening.status, StatusCode::OK);
    assert!(evening.text.contains("Tonight, Thu 3 Sep, 15:45"), "{}", evening.text);

    let made = newcomer.store.studio().await.unwrap().unwrap();
    let known = newcomer.store.sessions().await.unwrap();
    made.check(&known).unwrap();
    assert_eq!(made.time_zone, "Australia/Sydney");
    assert_eq!(made.sources.radar, Expected::NoneHere);
    assert_eq!(known[0].duration_min, 120);
    let feeds: Value = newcomer.store.setting("feeds").await.unwrap().unwrap();
    assert_eq!(feeds[0]["id"], "met-forecast");
}

#[tokio::test]
async fn a_photograph_gives_the_place_and_is_not_kept() {
    let mut newcomer = Newcomer::at(NOON).await;
    // As large as a camera makes it, so that no limit for guests' forms stands in its way.
    let mut file = photo("steps.jpg");
    file.resize(6 << 20, 0);
    let parts = [Part::Text("position", ""), Part::File("photo", "IMG_1.jpg", &file)];
    let placed = newcomer.upload("/start", &parts).await;
    assert!(placed.location.starts_with("/start?place=-31.7252,152.774"), "{placed:?}");

    for (name, said) in [
        ("no_position.jpg", "carries no position"),
        ("no_fix.jpg", "no position on the globe"),
        ("README.md", "could not be read as a photograph"),
    ] {
        let bytes = photo(name);
        let parts = [Part::Text("position", "1, 2"), Part::File("photo", "a.jpg", &bytes)];
        let page = newcomer.upload("/start", &parts).await;
        assert!(page.text.contains("id=\"photo-wrong\"") && page.text.contains(said), "{name}");
        assert!(page.text.contains("value=\"1, 2\""), "{name}");
    }
}

#[tokio::test]
async fn three_touches_of_the_map_give_the_place() {
    let mut newcomer = Newcomer::at(NOON).await;
    let mut page = newcomer.get("/start").await;
    // Port Macquarie, 31.43 S 152.91 E, by the shares of each picture.
    let mut touches = 0;
    while !page.location.starts_with("/start?place=") {
        touches += 1;
        assert!(touches < 4, "{}", page.location);
        let value = |name: &str| {
            let form = page.text.split("class=\"map narrow\"").nth(1).unwrap();
            let field = form.split_once(&format!("name=\"{name}\" value=\"")).unwrap().1;
            field.split_once('"').unwrap().0.to_owned()
        };
        let (near, level) = (value("near"), value("level"));
        let (lat, lon) = near.split_once(',').unwrap();
        let (lat, lon): (f64, f64) = (lat.parse().unwrap(), lon.parse().unwrap());
        // 111.195 km a degree of the mean sphere; widths and sizes as the page has them.
        let (width_km, height_px) = match level.as_str() {
            "world" => (40_030.0, 144.0),
            "region" => (2600.0, 288.0),
            _ => (160.0, 288.0),
        };
        let px_per_km = 288.0 / width_km;
        let x = 144.0 + (152.91 - lon) * 111.195 * lat.to_radians().cos() * px_per_km;
        let y = height_px / 2.0 - (-31.43 - lat) * 111.195 * px_per_km;
        let (x, y) = (format!("{x:.0}"), format!("{y:.0}"));
        let fields = [
            ("near", near.as_str()),
            ("level", &level),
            ("sheet", "narrow"),
            ("at.x", &x),
            ("at.y", &y),
        ];
        let touched = newcomer.post("/start/map", &fields).await;
        page = if touched.location.starts_with("/start?place=") {
            touched
        } else {
            newcomer.get(&touched.location).await
        };
    }
    assert_eq!(touches, 3);
    let place = page.location.strip_prefix("/start?place=").unwrap();
    let (lat, lon) = place.split_once(',').unwrap();
    let (lat, lon): (f64, f64) = (lat.parse().unwrap(), lon.parse().unwrap());
    // Half a pixel of the last map is 0.3 km.
    assert!((lat + 31.43).abs() < 0.005 && (lon - 152.91).abs() < 0.005, "{place}");
}

#[tokio::test]
async fn a_map_that_was_sent_by_keyboard_says_what_to_do() {
    let mut newcomer = Newcomer::at(NOON).await;
    let fields =
        [("near", "-31,152"), ("level", "region"), ("sheet", "wide"), ("at.x", "0"), ("at.y", "0")];
    let again = newcomer.post("/start/map", &fields).await;
    let page = newcomer.get(again.location.trim_end_matches("#map")).await;
    assert!(page.text.contains("By keyboard, please paste"), "{}", again.location);
    assert!(page.text.contains("name=\"near\" value=\"-31,152\""));
    let beyond = [("level", "region"), ("near", "89,0"), ("at.x", "5"), ("at.y", "1")];
    assert_eq!(newcomer.post("/start/map", &beyond).await.status, StatusCode::BAD_REQUEST);
}

#[tokio::test]
async fn mistakes_are_shown_and_the_passphrase_never_is() {
    let mut newcomer = Newcomer::at(NOON).await;
    for (typed, said) in [
        ("", "a photograph that carries one"),
        ("the beach", "cannot be read as one place"),
        ("152.91, -31.43", "There is no such place"),
    ] {
        let page = newcomer.post("/start", &[("position", typed)]).await;
        assert!(page.text.contains("id=\"position-wrong\"") && page.text.contains(said), "{typed}");
    }
    let short = newcomer.post("/start", &tonight_but("passphrase", "too short")).await;
    assert!(short.text.contains("id=\"passphrase-wrong\""), "{}", short.text);
    assert!(short.text.contains("value=\"15:45\"") && !short.text.contains("too short"));
    assert_eq!(newcomer.store.studio().await.unwrap(), None);
    assert!(newcomer.cookie.is_none());
}

#[tokio::test]
async fn a_good_passphrase_is_kept_although_the_hours_are_wrong() {
    let mut newcomer = Newcomer::at(NOON).await;
    let wrong = newcomer.post("/start", &tonight_but("to", "14:00")).await;
    assert!(wrong.text.contains("id=\"to-wrong\""), "{}", wrong.text);
    assert!(wrong.text.contains("Your passphrase is kept."));
    assert!(!wrong.text.contains("name=\"passphrase\"") && !wrong.text.contains(PASSPHRASE));
    assert!(newcomer.cookie.is_some());
    assert_eq!(newcomer.store.studio().await.unwrap(), None);

    // Somebody else may not go on with it.
    let hers = newcomer.cookie.take();
    assert!(newcomer.post("/start", &TONIGHT).await.location.starts_with("/sign-in"));
    newcomer.cookie = hers;
    assert_eq!(newcomer.get("/").await.location, "/start");
    let mut fields = TONIGHT.to_vec();
    fields.pop();
    let begun = newcomer.post("/start", &fields).await;
    assert_eq!(begun.location, "/sessions/2026-09-03-tonight", "{}", begun.text);
}

#[tokio::test]
async fn when_the_light_is_used_up_the_evening_is_tomorrows_and_that_is_said() {
    // 18:10 in New South Wales.
    let mut newcomer = Newcomer::at("2026-09-03T08:10:00Z").await;
    let page = newcomer.get("/start?place=-31.43,152.91").await;
    assert!(page.text.contains("this is tomorrow evening, Fri 4 Sep."), "{}", page.text);
    assert!(page.text.contains("name=\"date\" value=\"2026-09-04\""));
    let begun = newcomer.post("/start", &tonight_but("date", "2026-09-04")).await;
    assert_eq!(begun.location, "/sessions/2026-09-04-tonight");
}

#[tokio::test]
async fn a_second_first_start_changes_nothing() {
    let mut newcomer = Newcomer::at(NOON).await;
    newcomer.post("/start", &TONIGHT).await;
    let before = newcomer.store.studio().await.unwrap();
    newcomer.cookie = None;
    let again = tonight_but("passphrase", "another passphrase");
    for path in ["/start", "/start/map"] {
        assert_eq!(newcomer.post(path, &again).await.location, "/");
    }
    assert_eq!(newcomer.get("/start").await.location, "/");
    assert_eq!(newcomer.store.studio().await.unwrap(), before);
    let known = [("passphrase", PASSPHRASE), ("next", "/places")];
    assert_eq!(newcomer.post("/sign-in", &known).await.location, "/places");
}

#[tokio::test]
async fn only_from_near_by_can_a_studio_be_begun() {
    for (address, host, header) in [
        ("203.0.113.7:50000", "localhost:8080", None),
        ("127.0.0.1:50000", "studio.example", None),
        ("127.0.0.1:50000", "localhost:8080", Some(("x-forwarded-for", "203.0.113.7"))),
        ("127.0.0.1:50000", "localhost:8080", Some(("forwarded", "for=203.0.113.7"))),
    ] {
        let mut newcomer = Newcomer::at(NOON).await;
        newcomer.address = address.parse().unwrap();
        (newcomer.host, newcomer.header) = (host, header);
        assert_eq!(newcomer.get("/start").await.status, StatusCode::FORBIDDEN);
        assert_eq!(newcomer.post("/start", &TONIGHT).await.status, StatusCode::FORBIDDEN);
        assert_eq!(newcomer.post("/start/map", &TONIGHT).await.status, StatusCode::FORBIDDEN);
        assert_eq!(newcomer.store.studio().await.unwrap(), None);
    }
    let mut newcomer = Newcomer::at(NOON).await;
    newcomer.address = "192.168.178.20:50000".parse().unwrap();
    newcomer.host = "192.168.178.2:8080";
    assert_eq!(newcomer.get("/start").await.status, StatusCode::OK);
}

#[tokio::test]
async fn a_studio_without_a_passphrase_asks_for_nothing_else() {
    let prepare = async |store: &Store| {
        store.save_studio(&studio(), moment(NOON)).await.unwrap();
        store.save_session(&sessions()[0], moment(NOON)).await.unwrap();
    };
    let mut newcomer = Newcomer::with(NOON, prepare).await;
    assert_eq!(newcomer.get("/").await.location, "/start");
    let page = newcomer.get("/start").await;
    assert!(page.text.contains("name=\"passphrase\"") && !page.text.contains("name=\"position\""));
    let short = newcomer.post("/start", &[("passphrase", "short")]).await;
    assert!(short.text.contains("id=\"passphrase-wrong\""));
    let opened = newcomer.post("/start", &[("passphrase", PASSPHRASE)]).await;
    assert_eq!(opened.location, "/");
    assert_eq!(newcomer.get("/").await.status, StatusCode::OK);
    assert_eq!(newcomer.store.studio().await.unwrap(), Some(studio()));
}

#[tokio::test]
async fn of_two_browsers_that_begin_at_once_one_is_turned_away_and_its_passphrase_is_worth_nothing()
{
    let prepare = async |store: &Store| {
        store.save_studio(&studio(), moment(NOON)).await.unwrap();
    };
    let mut one = Newcomer::with(NOON, prepare).await;
    let mut other = one.another();
    let passphrases = ["four words of hers", "four words of another"];
    let fields = passphrases.map(|passphrase| [("passphrase", passphrase)]);
    let (first, second) =
        tokio::join!(one.post("/start", &fields[0]), other.post("/start", &fields[1]),);
    let began = [first, second].map(|answer| answer.location == "/");
    assert_eq!(began.iter().filter(|began| **began).count(), 1, "{began:?}");

    let (winner, loser) = if began[0] { (0, 1) } else { (1, 0) };
    let mut visitor = one.another();
    let sign_in = async |visitor: &mut Newcomer, passphrase: &str| {
        visitor.post("/sign-in", &[("passphrase", passphrase)]).await.status
    };
    assert_eq!(sign_in(&mut visitor, passphrases[loser]).await, StatusCode::OK, "asked again");
    assert_eq!(sign_in(&mut visitor, passphrases[winner]).await, StatusCode::SEE_OTHER);
}
