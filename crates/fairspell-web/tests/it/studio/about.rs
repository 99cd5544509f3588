use crate::desk::Desk;

const FIELDS: [(&str, &str); 9] = [
    ("name", "Dune & Half <i>"),
    ("owner", "Inês 大和"),
    ("place", "Saltern Bight"),
    ("home", "31°43'12\"S 152°47'24\"E"),
    ("zone", "Australia/Brisbane"),
    ("artist", "Plait"),
    ("free_change_h", "48"),
    ("contact", "ines@example.org"),
    ("areas", "UGC:FLC109\r\nNUTS3:DE212, EMMA_ID:DE123"),
];

fn fields_with(name: &'static str, value: &'static str) -> Vec<(&'static str, &'static str)> {
    FIELDS.iter().map(|field| if field.0 == name { (name, value) } else { *field }).collect()
}

#[tokio::test]
async fn what_is_known_is_shown_changed_and_undone() {
    let desk = Desk::open().await;
    let page = desk.get("/studio/about").await;
    page.says("value=\"Half Past Dune Portraits\"").says("value=\"-31.72, 152.79\"");
    page.says("value=\"Dune &amp; Plait\"").says("value=\"72\"").says("UGC:ZZC901");

    let before = desk.studio().await;
    let saved = desk.post("/studio/about", &FIELDS).await;
    let page = desk.follow(&saved).await;
    page.says("value=\"Dune &amp; Half &lt;i&gt;\"").says("value=\"Inês 大和\"");
    page.says("value=\"ines@example.org\"");
    let studio = desk.studio().await;
    assert_eq!(studio.time_zone, "Australia/Brisbane");
    assert_eq!(studio.warning_areas, ["UGC:FLC109", "NUTS3:DE212", "EMMA_ID:DE123"]);
    assert!(studio.home.distance_km(before.home) < 0.1);
    assert_eq!(studio.spots, before.spots, "what is not on the page stays");

    desk.undo(&saved).await;
    assert_eq!(desk.studio().await, before);
}

#[tokio::test]
async fn without_an_artist_somebody_at_home_does_it() {
    let desk = Desk::open().await;
    desk.post("/studio/about", &fields_with("artist", " ")).await;
    assert_eq!(desk.studio().await.artist, None);
}

#[tokio::test]
async fn each_mistake_stands_beside_its_field_and_saves_nothing() {
    let desk = Desk::open().await;
    let before = desk.studio().await;
    for (name, value) in [
        ("name", ""),
        ("owner", "\u{2067}"),
        ("home", "152.79, -31.72"),
        ("zone", "Saltern/Bight"),
        ("free_change_h", "many"),
        ("free_change_h", "1001"),
        ("contact", "nobody"),
        ("areas", "FLC109"),
    ] {
        let page = desk.post("/studio/about", &fields_with(name, value)).await;
        page.says(&format!("id=\"{name}-wrong\"")).says("value=\"Saltern Bight\"");
    }
    assert_eq!(desk.studio().await, before);
    assert_eq!(desk.store.setting::<String>("contact").await.unwrap(), None);
}

#[tokio::test]
async fn a_zone_that_skips_a_sessions_hour_is_refused() {
    let mut sessions = crate::desk::sessions();
    // In Sydney the clocks go forward that night; in Brisbane they do not.
    sessions[0].start = "2026-10-04T02:30:00".parse().unwrap();
    let mut studio = crate::desk::studio();
    studio.time_zone = "Australia/Brisbane".to_owned();
    let desk = Desk::with(&studio, &sessions).await;
    let page = desk.post("/studio/about", &fields_with("zone", "Australia/Sydney")).await;
    page.says("id=\"zone-wrong\"");
    assert_eq!(desk.studio().await.time_zone, "Australia/Brisbane");
}
