//! A spot's light: any date, the year, and a skyline put right by what was seen.

use axum::http::StatusCode;
use fairspell_almanac::last_direct_light;
use jiff::{ToSpan, civil::date, tz::TimeZone};

use crate::desk::{Desk, studio};

/// A spot of the studio's, and its page.
fn beach() -> (String, String) {
    let spot = &studio().spots[0];
    (spot.id.clone(), format!("/places/{}/light", spot.id))
}

#[tokio::test]
async fn a_date_has_its_evening_its_facts_and_its_place_in_the_year() {
    let desk = Desk::open().await;
    let (id, address) = beach();
    desk.get("/places").await.says(&format!("href=\"{address}\""));
    desk.get(&format!("/places/{id}")).await.says(&format!("href=\"{address}\""));
    let page = desk.get(&format!("{address}?date=2026-09-03")).await;
    page.says("Thu 3 Sep 2026").says("Sunrise 06:03, sunset 17:33.").says("Golden light ");
    page.says("Blue light ")
        .says("Light to work by until 17:")
        .says("the sun leaves the spot between");
    page.says("href=\"/places/").says("rel=\"prev\"").says("rel=\"next\"");
    page.says(&format!("{address}?date=2026-09-04")).says(&format!("{address}?date=2026-08-27"));
    // The evening, twice for desk and phone, and the year, twice.
    assert_eq!(page.text.matches("<svg ").count(), 4);
    assert!(
        page.text.contains("class=\"high-sun\"")
            && page.text.contains("rain is not in this picture")
    );
}

#[tokio::test]
async fn the_studios_today_is_shown_until_a_date_is_asked_for_and_no_date_is_said() {
    let desk = Desk::open().await;
    let (_, address) = beach();
    desk.get(&address).await.says("Wed 2 Sep 2026");
    let page = desk.get(&format!("{address}?date=tomorrow")).await;
    page.says("id=\"date-wrong\"").says("value=\"tomorrow\"").says("Wed 2 Sep 2026");
    desk.get(&format!("{address}?date=2024-02-29")).await.says("Thu 29 Feb 2024");
    assert_eq!(desk.get("/places/nowhere/light").await.status, StatusCode::NOT_FOUND);
    let guest = desk.get_as_guest(&address).await;
    assert!(guest.location.starts_with("/sign-in"));
}

#[tokio::test]
async fn what_the_sun_was_seen_to_do_puts_the_skyline_right_and_can_be_undone() {
    let desk = Desk::open().await;
    let (id, address) = beach();
    let zone = TimeZone::get("Australia/Sydney").unwrap();
    let day = date(2026, 9, 3);
    let seen = [("seen", "left"), ("on", "2026-09-03"), ("at", "16:41")];
    let saved = desk.post(&format!("/places/{id}/sighting"), &seen).await;
    assert!(saved.location.starts_with(&format!("{address}?date=2026-09-03&saved=")));
    desk.follow(&saved).await.says("sun leaves 16:");
    let made = desk.studio().await;
    let spot = made.spot(&id).unwrap();
    let leaves = last_direct_light(day, &zone, spot.position, &spot.skyline).timestamp().unwrap();
    // What is seen is the last of the disc; its middle goes a minute or two before.
    let seen_at = zone.to_timestamp(day.at(16, 41, 0, 0)).unwrap();
    assert!((seen_at - 3.minutes()..=seen_at).contains(&leaves), "{leaves}");
    desk.undo(&saved).await;
    assert_eq!(desk.studio().await, studio());
}

#[tokio::test]
async fn a_sun_that_cannot_have_been_seen_is_said_and_what_was_typed_is_kept() {
    let desk = Desk::open().await;
    let (id, _) = beach();
    for (on, at, refused) in [
        ("2026-09-03", "21:10", "at"),
        ("2026-09-03", "late", "at"),
        ("soon", "16:41", "on"),
        // The clocks go forward past it.
        ("2026-10-04", "02:30", "at"),
    ] {
        let fields = [("seen", "left"), ("on", on), ("at", at)];
        let page = desk.post(&format!("/places/{id}/sighting"), &fields).await;
        page.says(&format!("id=\"{refused}-wrong\"")).says(&format!("value=\"{at}\""));
    }
    assert_eq!(desk.studio().await, studio());
}

#[tokio::test]
async fn a_spot_with_a_limit_of_water_never_counts_as_dry_while_nobody_knows_the_tide() {
    let desk = Desk::open().await;
    let (id, address) = beach();
    let page = desk.get(&format!("/places/{id}")).await;
    let mut fields = crate::forms::fields_of(&page.text, &format!("/places/{id}"));
    fields.retain(|(name, _)| name != "tide_to");
    fields.push(("tide_to".into(), "1.2".into()));
    let fields: Vec<(&str, &str)> =
        fields.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect();
    desk.post(&format!("/places/{id}"), &fields).await;
    let page = desk.get(&format!("{address}?date=2026-09-03")).await;
    page.says("the tide of that day is not known here")
        .says("The tide of 365 days")
        .says("href=\"/studio/tide\"");
    let constants = r#"{ "name": "Steps", "datum": "chart datum", "mean_level_m": 1.0,
        "phase_zone": "utc", "nodal": "standard",
        "constituents": [{ "name": "M2", "amplitude_m": 0.48, "phase_lag_deg": 300.0 }] }"#;
    desk.post("/studio/tide", &[("tide", constants)]).await;
    let page = desk.get(&format!("{address}?date=2026-09-03")).await;
    page.says("The tide closes the spot ").says("Official tide tables").says("closed by the tide");
}
