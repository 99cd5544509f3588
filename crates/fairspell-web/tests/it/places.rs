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
async fn a_ridge_that_is_looked_at_and_saved_stays_as_it_is() {
    let desk = Desk::open().await;
    let ridge = "350: 3.5; 10.25: 8; 40: 0\n240-295: 8";
    desk.post("/places", &pier_but("skyline", ridge)).await;
    let made = desk.studio().await;
    let page = desk.get("/places/pier-3").await;
    let fields = crate::forms::fields_of(&page.text, "/places/pier-3");
    let fields: Vec<(&str, &str)> =
        fields.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect();
    let saved = desk.post("/places/pier-3", &fields).await;
    assert_eq!(saved.status, StatusCode::SEE_OTHER, "{}", saved.text);
    assert_eq!(desk.studio().await, made);
    let skyline = &made.spot("pier-3").unwrap().skyline;
    assert_eq!(fairspell_web::skyline_input::written_skyline(skyline), ridge);
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

#[tokio::test]
async fn what_a_spot_is_like_to_light_and_water_is_kept() {
    let desk = Desk::open().await;
    let mut fields = PIER.to_vec();
    fields.extend([
        ("ground", "boards"),
        ("opens_to", "north"),
        ("opens_to", "north_east"),
        ("dark_towards", "west"),
        ("roof_opens", "north"),
        ("roof_edge", "2,4"),
        ("roof_depth", "3"),
        ("leaves", "35"),
        ("tide_to", "1.3"),
        ("tide_wide", "0.9"),
        ("hours", "Tue thursday 8:00-19:30"),
        ("lamps", "yes"),
        ("walk", "6"),
        ("backdrops", "sea\ndry grass: Dec-Feb"),
    ]);
    desk.post("/places", &fields).await;
    let made = desk.studio().await;
    let site = &made.spot("pier-3").unwrap().site;
    let kept = serde_json::to_value(site).unwrap();
    let asked = serde_json::json!({
        "opens_to": ["north", "north_east"],
        "dark_towards": ["west"],
        "ground": "boards",
        "roof": { "opens_to": "north", "edge_height_m": 2.4, "depth_m": 3.0 },
        "leaves_let_through": 0.35,
        "tide": { "usable_from_m": null, "usable_to_m": 1.3, "wide_to_m": 0.9 },
        "hours": [{ "days": ["tuesday", "thursday"], "from": "08:00:00", "to": "19:30:00" }],
        "lamps": true,
        "walk_min": 6,
        "permit": null,
        "backdrops": [
            { "name": "sea", "months": [] },
            { "name": "dry grass", "months": [12, 1, 2] },
        ],
    });
    assert_eq!(kept, asked);
}

#[tokio::test]
async fn half_a_roof_and_a_tide_upside_down_are_said_where_they_were_typed() {
    let desk = Desk::open().await;
    for (extra, refused) in [
        (vec![("roof_edge", "2.4"), ("roof_depth", "3")], "roof_opens"),
        (vec![("roof_opens", "north"), ("roof_depth", "3")], "roof_edge"),
        (vec![("roof_opens", "north"), ("roof_edge", "2.4")], "roof_depth"),
        (vec![("roof_opens", "north"), ("roof_edge", "240"), ("roof_depth", "3")], "roof_edge"),
        (vec![("tide_to", "0.5"), ("tide_wide", "0.9")], "tide_to"),
        (vec![("tide_to", "0.5"), ("tide_from", "0.5")], "tide_to"),
        (vec![("tide_from", "knee-deep")], "tide_from"),
        (vec![("leaves", "135")], "leaves"),
        (vec![("hours", "8:00-19:30\nalways")], "hours"),
        (vec![("hours", "8:00-8:00")], "hours"),
        (vec![("hours", "Mo 8:00-9:00")], "hours"),
        (vec![("walk", "far")], "walk"),
    ] {
        let mut fields = PIER.to_vec();
        fields.extend(extra);
        let page = desk.post("/places", &fields).await;
        page.says("Nothing is saved yet.").says(&format!("id=\"{refused}-wrong\""));
        assert_eq!(page.text.matches("aria-invalid=\"true\"").count(), 1, "{refused}");
    }
    assert_eq!(desk.studio().await, studio());
}

#[tokio::test]
async fn a_new_spot_is_chosen_on_the_map_nearer_with_each_touch() {
    let desk = Desk::open().await;
    let home = studio().home;
    let page = desk.get("/places/new").await;
    page.says("<input type=\"image\" name=\"at\"").says("Touch the map where it is");
    // The middle of the right edge: 20 km east of home.
    let touch = |near: LatLon, km: f64, x: u32, y: u32| {
        format!("/places/new?near={near}&width_km={km}&width_px=600&at.x={x}&at.y={y}")
    };
    let page = desk.get(&touch(home, 40.0, 600, 200)).await;
    let fields = crate::forms::fields_of(&page.text, "/places");
    let position = &fields.iter().find(|(name, _)| name == "position").unwrap().1;
    let point: LatLon = position.replace(' ', "").parse().unwrap();
    let (east_km, north_km) = home.offset_km(point);
    assert!((east_km - 20.0).abs() < 0.02 && north_km.abs() < 0.02, "{east_km}, {north_km}");
    page.says("Touch again to put it right").says("name=\"width_km\" value=\"6\"");
    // The next touch moves it by hundreds of metres.
    let page = desk.get(&touch(point, 6.0, 310, 200)).await;
    let fields = crate::forms::fields_of(&page.text, "/places");
    let position = &fields.iter().find(|(name, _)| name == "position").unwrap().1;
    let nearer: LatLon = position.replace(' ', "").parse().unwrap();
    assert!((point.distance_km(nearer) - 0.1).abs() < 0.02);
    for odd in [
        touch(home, 40.0, 0, 0),
        touch(home, f64::NAN, 9, 9),
        "/places/new?near=here&width_km=40&width_px=600&at.x=1&at.y=1".to_owned(),
    ] {
        desk.get(&odd).await.says("Touch the map where it is");
    }
}
