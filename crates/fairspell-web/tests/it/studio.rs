//! The studio's own pages.

mod about;
mod backups;
mod calendar;
mod journal;
mod looks;
mod policy;
mod sign_ins;
mod sources;
mod telling;
mod tide;
mod week;

use crate::{desk::Desk, forms::fields_of};

#[tokio::test]
async fn the_list_says_how_every_part_stands() {
    let desk = Desk::open().await;
    let page = desk.get("/studio").await;
    page.says("Half Past Dune Portraits, Ines Corrigan-Vale, Saltern Bight");
    page.says("Working Tue and Thu; reserve Wed and Sun; 2 stretches never offered");
    page.says("watched from 15 %").says("None yet: nothing is fetched");
    page.says("No way of telling you is set up yet").says("Signed in on one device");
    page.says("None made here yet").says("entries").says("action=\"/sign-out\"");
    for part in [
        "about", "week", "tide", "policy", "looks", "sources", "telling", "sign-ins", "backups",
        "journal",
    ] {
        page.says(&format!("href=\"/studio/{part}\""));
        assert_eq!(desk.get(&format!("/studio/{part}")).await.status, 200, "{part}");
    }
}

#[tokio::test]
async fn nobody_sees_them_without_signing_in_or_sends_their_forms_from_elsewhere() {
    let desk = Desk::open().await;
    for part in [
        "",
        "/about",
        "/tide",
        "/looks",
        "/sources",
        "/telling",
        "/sign-ins",
        "/backups",
        "/journal",
    ] {
        let page = desk.get_as_guest(&format!("/studio{part}")).await;
        assert!(page.location.starts_with("/sign-in"), "{part}: {}", page.status);
    }
    for (path, fields) in [
        ("/studio/week", [("do", "remove"), ("index", "0")]),
        ("/studio/looks", [("humid", "80"), ("hair_gust", "30")]),
        ("/studio/telling", [("do", "mail-off"), ("x", "")]),
        ("/studio/sign-ins", [("which", "others"), ("x", "")]),
        ("/people/linh/erase", [("sure", "yes"), ("x", "")]),
    ] {
        assert_eq!(desk.post_bare(path, &fields).await.status, 403, "{path}");
    }
    assert_eq!(desk.store.people().await.unwrap().len(), 2);
}

#[tokio::test]
async fn a_form_that_nobody_touched_changes_nothing() {
    let desk = Desk::open().await;
    let before = desk.studio().await;
    for part in ["about", "week", "policy", "looks"] {
        let path = format!("/studio/{part}");
        let fields = fields_of(&desk.get(&path).await.text, &path);
        let fields: Vec<(&str, &str)> =
            fields.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect();
        let saved = desk.post(&path, &fields).await;
        assert_eq!(saved.status, 303, "{part}: {}", saved.text);
        assert_eq!(desk.studio().await, before, "{part}");
    }
}

#[tokio::test]
async fn the_demo_has_nobody_to_sign_out_and_sends_nothing() {
    let desk = Desk::demo().await;
    desk.get("/studio/sign-ins").await.says("Nobody has to sign in to the demo");
    desk.get("/studio").await.says("Nobody has to sign in here").never_says("/sign-out");
    desk.get("/studio/sources").await.says("The demo fetches nothing");
    desk.post("/studio/telling/test", &[]).await.says("The demo sends nothing.");
    let passphrase = [("present", "x"), ("new", "eight dry umbrellas")];
    assert_eq!(desk.post("/studio/passphrase", &passphrase).await.status, 404);
}
