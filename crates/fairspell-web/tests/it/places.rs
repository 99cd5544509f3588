use axum::http::StatusCode;
use fairspell_ground::LatLon;
use fairspell_studio::spot::Cover;

use crate::desk::{Desk, sessions, studio};

const PIER: [(&str, &str); 9] = [
    ("name", "Pier <3>"),
    ("position", "31°43'30.72\"S 152°46'26.76\"E"),
    ("cover", "roof"),
    ("refuge", "Harbour office"),
    ("refuge_min", "4"),
    ("gust_factor", "1,2"),
    ("gust_limit", "40"),
    ("skyline", "240-295: 8"),
    ("shore", "yes"),
];

/// The form with one field otherwise.
fn pier_but<'a>(name: &str, value: &'a str) -> Vec<(&'static str, &'a str)> {
    PIER.iter().map(|(known, old)| (*known, if *known == name { value } else { old })).collect()
}

#[tokio::test]
async fn every_spot_is_listed_with_its_two_ratings_and_stands_on_the_map() {
    let desk = Desk::open().await;
    let page = desk.get("/places").await;
    for spot in studio().spots {
        page.says(&format!("href=\"/places/{}\"", spot.id)).says(&spot.name);
    }
    let spots = studio().spots.len();
    assert_eq!(page.text.matches("Dry under: ").count(), spots);
    assert_eq!(page.text.matches("Safe in thunder: ").count(), spots);
    page.says("<title id=").says("The spots on a map").says("<style nonce=");
}

#[tokio::test]
async fn a_spot_is_made_and_that_can_be_undone() {
    let desk = Desk::open().await;
    desk.get("/places/new").await.says("action=\"/places\"").says("The photograph is not kept.");
    let saved = desk.post("/places", &PIER).await;
    desk.follow(&saved).await.says("Pier &lt;3&gt;").says("4 minutes' walk");
    let made = desk.studio().await;
    let spot = made.spot("pier-3").unwrap();
    assert!(spot.position.distance_km(LatLon::new(-31.7252, 152.7741).unwrap()) < 0.01);
    assert_eq!((spot.cover, spot.shore), (Cover::Roof, true));
    assert_eq!((spot.wind.gust_factor, spot.wind.gust_limit_km_h), (1.2, Some(40.0)));
    assert_eq!(spot.refuge.as_ref().map(|refuge| refuge.minutes), Some(4));
    assert_eq!(fairspell_web::skyline_input::written_skyline(&spot.skyline), "240-295: 8");
    desk.undo(&saved).await;
    assert_eq!(desk.studio().await, studio());
}

#[tokio::test]
async fn what_was_left_empty_has_its_default() {
    let desk = Desk::open().await;
    let fields = [("name", "Dune"), ("position", "geo:-31.72,152.79"), ("cover", "none")];
    desk.post("/places", &fields).await;
    let made = desk.studio().await;
    let spot = made.spot("dune").unwrap();
    assert_eq!((spot.refuge.as_ref(), spot.shore), (None, false));
    assert_eq!((spot.wind.gust_factor, spot.wind.gust_limit_km_h), (1.0, None));
}

#[tokio::test]
async fn mistakes_stand_beside_their_fields_and_nothing_typed_is_lost() {
    let desk = Desk::open().await;
    for (name, typed) in [
        ("name", ""),
        ("position", "the beach & the bay"),
        ("position", "152.7741, -31.7252"),
        ("position", "https://maps.example/abc"),
        ("refuge_min", "soon"),
        ("gust_factor", "9"),
        ("gust_limit", "very windy"),
        ("skyline", "240-295: 8\nhill in the west"),
        ("cover", "glass"),
    ] {
        let page = desk.post("/places", &pier_but(name, typed)).await;
        assert_eq!(page.status, StatusCode::OK);
        page.says("Nothing is saved yet.").says(&format!("id=\"{name}-wrong\""));
        assert_eq!(page.text.matches("aria-invalid=\"true\"").count(), 1, "{name}");
        if name != "cover" {
            page.says(&typed.replace('&', "&amp;"));
        }
        if name != "name" {
            page.says("value=\"Pier &lt;3&gt;\"");
        }
    }
    let without_name = pier_but("refuge", "");
    desk.post("/places", &without_name).await.says("id=\"refuge-wrong\"");
    assert_eq!(desk.studio().await, studio());
}

#[tokio::test]
async fn names_in_any_script_and_of_two_hundred_letters_are_kept() {
    let desk = Desk::open().await;
    let long = "灯".repeat(200);
    for (name, id) in [("灯台", "spot"), (long.as_str(), "spot-2"), ("منارة", "spot-3")] {
        desk.post("/places", &pier_but("name", name)).await;
        assert_eq!(desk.studio().await.spot(id).map(|spot| spot.name.clone()), Some(name.into()));
        desk.get(&format!("/places/{id}")).await.says(name);
    }
    let longer = "灯".repeat(201);
    desk.post("/places", &pier_but("name", &longer)).await.says("id=\"name-wrong\"");
}

#[tokio::test]
async fn a_spot_that_is_looked_at_and_saved_stays_as_it_is() {
    let desk = Desk::open().await;
    for spot in studio().spots {
        let page = desk.get(&format!("/places/{}", spot.id)).await;
        let fields = crate::forms::fields_of(&page.text, &format!("/places/{}", spot.id));
        let fields: Vec<(&str, &str)> =
            fields.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect();
        let saved = desk.post(&format!("/places/{}", spot.id), &fields).await;
        assert_eq!(saved.status, StatusCode::SEE_OTHER, "{}", saved.text);
    }
    assert_eq!(desk.studio().await, studio());
}

#[tokio::test]
async fn a_changed_spot_keeps_its_id_and_the_change_can_be_undone() {
    let desk = Desk::open().await;
    let id = studio().spots[0].id.clone();
    let saved = desk.post(&format!("/places/{id}"), &PIER).await;
    assert_eq!(desk.studio().await.spot(&id).unwrap().name, "Pier <3>");
    desk.undo(&saved).await;
    assert_eq!(desk.studio().await, studio());
    let wrong = desk.post(&format!("/places/{id}"), &pier_but("name", " ")).await;
    wrong.says("id=\"name-wrong\"").says(&format!("action=\"/places/{id}\""));
}

#[tokio::test]
async fn a_spot_in_use_is_not_deleted_and_its_sessions_are_named() {
    let desk = Desk::open().await;
    let used = sessions()[0].looks[0].spot.clone();
    let page = desk.post(&format!("/places/{used}/delete"), &[]).await;
    page.says("This spot is still in use").says("/sessions/2026-09-03-linh/edit");
    assert!(desk.studio().await.spot(&used).is_some());
}

#[tokio::test]
async fn a_spot_that_nobody_uses_is_deleted_and_comes_back() {
    let desk = Desk::open().await;
    desk.post("/places", &PIER).await;
    let deleted = desk.post("/places/pier-3/delete", &[]).await;
    assert!(desk.studio().await.spot("pier-3").is_none());
    assert_eq!(desk.get("/places/pier-3").await.status, StatusCode::NOT_FOUND);
    desk.undo(&deleted).await;
    assert!(desk.studio().await.spot("pier-3").is_some());
}

#[tokio::test]
async fn nobody_else_sees_or_changes_places() {
    let desk = Desk::open().await;
    assert!(desk.get_as_guest("/places").await.location.starts_with("/sign-in"));
    assert_eq!(desk.post_bare("/places", &PIER).await.status, StatusCode::FORBIDDEN);
    assert_eq!(desk.post("/places/nowhere", &PIER).await.status, StatusCode::NOT_FOUND);
    assert_eq!(desk.post("/places/nowhere/delete", &[]).await.status, StatusCode::NOT_FOUND);
}
