//! The light of a session's looks, under its evening and on a page of its own.

use crate::{
    desk::{Desk, sessions},
    served::LINH,
};

#[tokio::test]
async fn every_look_is_told_where_to_stand_what_to_set_and_until_when() {
    let desk = Desk::open().await;
    let session = sessions().into_iter().find(|session| session.id == LINH).unwrap();
    for address in [format!("/sessions/{LINH}"), format!("/sessions/{LINH}/light")] {
        let page = desk.get(&address).await;
        for look in &session.looks {
            page.says(&look.name);
        }
        let looks = session.looks.len();
        for said in
            ["Facing ", "Begin with 1/", "<dt>White balance</dt>", "<dt>Light to work by</dt>"]
        {
            assert!(page.text.matches(said).count() >= looks, "{said} on {address}");
        }
        page.says("an equal split of the session's").says("<h3>The bag</h3>");
        for jargon in ["azimuth", "EV ", "UTC"] {
            page.never_says(jargon);
        }
    }
    desk.get(&format!("/sessions/{LINH}")).await.says(&format!("href=\"/sessions/{LINH}/light\""));
    let guest = desk.get_as_guest(&format!("/sessions/{LINH}/light")).await;
    assert!(guest.location.starts_with("/sign-in"));
}

#[tokio::test]
async fn without_a_forecast_everything_is_allowed_for_and_an_unknown_tide_is_said() {
    let desk = Desk::open().await;
    let session = sessions().into_iter().find(|session| session.id == LINH).unwrap();
    let spot = &session.looks[0].spot;
    let page = desk.get(&format!("/places/{spot}")).await;
    let mut fields = crate::forms::fields_of(&page.text, &format!("/places/{spot}"));
    fields.retain(|(name, _)| name != "tide_to");
    fields.push(("tide_to".into(), "1.2".into()));
    let fields: Vec<(&str, &str)> =
        fields.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect();
    desk.post(&format!("/places/{spot}"), &fields).await;
    let page = desk.get(&format!("/sessions/{LINH}/light")).await;
    page.says("what nobody knows is not dry land").says("the way back has to stay open");
}
