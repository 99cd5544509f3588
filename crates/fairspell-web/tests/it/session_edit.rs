use axum::http::StatusCode;
use fairspell_studio::{Hair, Hem, Session, Studio};

use crate::{
    desk::{Desk, sessions, studio},
    forms::fields_of,
};

fn amara(spot: &str) -> Vec<(&'static str, String)> {
    [
        ("sitter", "Amara"),
        ("guardian", "Folake"),
        ("date", "2026-09-10"),
        ("start", "15:20"),
        ("minutes", "100"),
        ("drive", "20"),
        ("look-0-name", "Red wool"),
        ("look-0-spot", spot),
        ("look-0-drops", "yes"),
        ("look-0-colour", "Dark red"),
        ("look-0-fabric", "wool"),
        ("look-0-hem", "floor"),
        ("look-0-hair", "half_up"),
        ("look-0-shoes", "walking boots"),
        ("look-2-name", "Silk"),
        ("look-2-spot", spot),
        ("look-2-marks", "yes"),
        ("styled_by", "artist"),
        ("chair", "75"),
        ("deadline_name", "yearbook"),
        ("deadline_date", "2026-10-02"),
        ("people", "quoc"),
        ("people", "nobody"),
    ]
    .map(|(name, value)| (name, value.to_owned()))
    .into()
}

fn but(name: &str, value: &str) -> Vec<(&'static str, String)> {
    let mut fields = amara(&spot());
    for (known, old) in &mut fields {
        if *known == name {
            value.clone_into(old);
        }
    }
    fields
}

fn spot() -> String {
    studio().spots[0].id.clone()
}

fn sent<'a>(fields: &'a [(&'static str, String)]) -> Vec<(&'static str, &'a str)> {
    fields.iter().map(|(name, value)| (*name, value.as_str())).collect()
}

async fn session(desk: &Desk, id: &str) -> Option<Session> {
    desk.store.session(id).await.unwrap()
}

#[tokio::test]
async fn a_session_is_made_with_everything_that_was_typed() {
    let desk = Desk::open().await;
    desk.get("/sessions/new?date=2026-09-10").await.says("value=\"2026-09-10\"");
    let saved = desk.post("/sessions", &sent(&amara(&spot()))).await;
    assert!(saved.location.starts_with("/sessions/2026-09-10-amara?saved="), "{}", saved.text);
    let made = session(&desk, "2026-09-10-amara").await.unwrap();
    assert_eq!((made.sitter.as_str(), made.guardian.as_str()), ("Amara", "Folake"));
    assert_eq!(made.start, "2026-09-10T15:20".parse().unwrap());
    assert_eq!((made.duration_min, made.drive.minutes), (100, 20));
    assert_eq!((made.chair_before_start_min, made.with_artist), (75, true));
    let looks: Vec<_> = made
        .looks
        .iter()
        .map(|look| (look.name.as_str(), look.shows_drops, look.marks_for_good))
        .collect();
    assert_eq!(looks, [("Red wool", true, false), ("Silk", false, true)]);
    let red = &made.looks[0];
    let texts = [&red.colour, &red.fabric, &red.shoes].map(Option::as_deref);
    assert_eq!(texts, [Some("Dark red"), Some("wool"), Some("walking boots")]);
    assert_eq!((red.hem, red.hair), (Some(Hem::Floor), Some(Hair::HalfUp)));
    let silk = &made.looks[1];
    assert_eq!((&silk.colour, silk.hem, silk.hair), (&None, None, None));
    assert_eq!(made.deadline.unwrap().date, "2026-10-02".parse().unwrap());
    assert_eq!(made.people, ["quoc"]);
    desk.undo(&saved).await;
    assert_eq!(session(&desk, "2026-09-10-amara").await, None);
}

#[tokio::test]
async fn three_more_rows_than_looks_are_there() {
    let desk = Desk::open().await;
    let rows = |text: &str| text.matches("<fieldset class=\"look\">").count();
    assert_eq!(rows(&desk.get("/sessions/new").await.text), 3);
    let looks = sessions()[0].looks.len();
    assert_eq!(rows(&desk.get("/sessions/2026-09-03-linh/edit").await.text), looks + 3);
}

#[tokio::test]
async fn colours_and_fabrics_of_the_table_are_suggested() {
    let desk = Desk::open().await;
    let page = desk.get("/sessions/2026-09-03-linh/edit").await;
    page.says("<datalist id=\"colours\"><option value=\"white\">");
    page.says("<datalist id=\"fabrics\"><option value=\"satin\">");
    page.says("list=\"fabrics\"").says("value=\"linen\"").says("value=\"curled\" selected");
}

#[tokio::test]
async fn mistakes_stand_beside_their_fields_and_nothing_typed_is_lost() {
    let desk = Desk::open().await;
    let before = desk.store.sessions().await.unwrap();
    for (name, typed) in [
        ("sitter", ""),
        ("date", "next Thursday"),
        ("start", "a quarter past three"),
        ("start", "25:00"),
        ("minutes", "0"),
        ("minutes", "ninety"),
        ("drive", "-5"),
        ("chair", "1441"),
        ("styled_by", "nobody"),
        ("look-0-spot", "nowhere"),
        ("deadline_name", ""),
        ("deadline_date", ""),
        ("deadline_date", "soon"),
    ] {
        let page = desk.post("/sessions", &sent(&but(name, typed))).await;
        assert_eq!(page.status, StatusCode::OK, "{name}: {}", page.location);
        page.says("Nothing is saved yet.").says(&format!("id=\"{name}-wrong\""));
        assert_eq!(page.text.matches("aria-invalid=\"true\"").count(), 1, "{name}");
        // Everything else comes back as it was sent.
        let again = fields_of(&page.text, "/sessions");
        for (known, value) in but(name, typed) {
            let is_shown = again.iter().any(|(n, v)| *n == known && *v == value);
            let is_choice = ["styled_by", "look-0-spot"].contains(&name) && known == name;
            assert!(is_shown || is_choice || value == "nobody", "{known}={value} after {name}");
        }
    }
    assert_eq!(desk.store.sessions().await.unwrap(), before);
}

#[tokio::test]
async fn a_session_without_looks_is_refused() {
    let desk = Desk::open().await;
    let mut fields = amara(&spot());
    fields.retain(|(name, _)| !name.starts_with("look"));
    desk.post("/sessions", &sent(&fields)).await.says("id=\"look-0-name-wrong\"");
}

#[tokio::test]
async fn a_start_that_the_clocks_skip_or_repeat_is_refused() {
    let desk = Desk::open().await;
    assert_eq!(studio().time_zone, "Australia/Sydney");
    // IANA time zone database, rule AN: forward at 2:00 on the first Sunday in October, back at
    // 3:00 on the first Sunday in April.
    for (date, start, said) in [
        ("2026-10-04", "02:30", "the clocks go forward past it"),
        ("2027-04-04", "02:30", "the clocks go back over it"),
    ] {
        let mut fields = but("date", date);
        fields.retain(|(name, _)| *name != "start");
        fields.push(("start", start.to_owned()));
        let page = desk.post("/sessions", &sent(&fields)).await;
        page.says("id=\"start-wrong\"").says(said);
    }
}

#[tokio::test]
async fn ids_stay_the_only_ones_in_any_script() {
    let desk = Desk::open().await;
    let long = "Максимилиан-Иоганн ".repeat(10);
    // Two hours apart, since no two sessions may have the same hours.
    for (name, start, id) in [
        ("Amara", "08:00", "2026-09-10-amara"),
        ("Amara", "10:00", "2026-09-10-amara-2"),
        ("麗子", "12:00", "2026-09-10-session"),
        (long.trim(), "14:00", "2026-09-10-session-2"),
        ("<b>Zoë</b>", "16:00", "2026-09-10-b-zo-b"),
    ] {
        let mut fields = but("sitter", name);
        fields.retain(|(field, _)| *field != "start");
        fields.push(("start", start.to_owned()));
        let saved = desk.post("/sessions", &sent(&fields)).await;
        assert!(saved.location.starts_with(&format!("/sessions/{id}?")), "{}", saved.location);
        assert_eq!(session(&desk, id).await.unwrap().sitter, name);
        let page = desk.follow(&saved).await;
        assert_eq!(page.status, StatusCode::OK);
        page.never_says("<b>Zo");
    }
}

#[tokio::test]
async fn a_session_that_is_looked_at_and_saved_stays_as_it_is() {
    let desk = Desk::open().await;
    let before = desk.store.sessions().await.unwrap();
    for known in &before {
        let here = format!("/sessions/{}/edit", known.id);
        let fields = fields_of(&desk.get(&here).await.text, &here);
        let fields: Vec<(&str, &str)> =
            fields.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect();
        let saved = desk.post(&here, &fields).await;
        assert_eq!(saved.status, StatusCode::SEE_OTHER, "{}", saved.text);
    }
    assert_eq!(desk.store.sessions().await.unwrap(), before);
}

#[tokio::test]
async fn a_session_that_moves_keeps_its_id_and_the_change_can_be_undone() {
    let desk = Desk::open().await;
    let before = session(&desk, "2026-09-03-linh").await;
    let saved = desk.post("/sessions/2026-09-03-linh/edit", &sent(&amara(&spot()))).await;
    let changed = session(&desk, "2026-09-03-linh").await.unwrap();
    assert_eq!(changed.start, "2026-09-10T15:20".parse().unwrap());
    assert_eq!(changed.drive.route, before.as_ref().unwrap().drive.route);
    desk.undo(&saved).await;
    assert_eq!(session(&desk, "2026-09-03-linh").await, before);
    let wrong = desk.post("/sessions/2026-09-03-linh/edit", &sent(&but("minutes", "0"))).await;
    wrong.says("id=\"minutes-wrong\"").says("action=\"/sessions/2026-09-03-linh/edit\"");
}

#[tokio::test]
async fn a_session_is_deleted_and_comes_back() {
    let desk = Desk::open().await;
    let before = session(&desk, "2026-09-03-linh").await;
    let deleted = desk.post("/sessions/2026-09-03-linh/delete", &[]).await;
    assert!(deleted.location.starts_with("/season?saved="));
    assert_eq!(session(&desk, "2026-09-03-linh").await, None);
    desk.undo(&deleted).await;
    assert_eq!(session(&desk, "2026-09-03-linh").await, before);
    let gone = desk.post("/sessions/nothing/delete", &[]).await;
    assert_eq!(gone.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn without_a_spot_the_form_says_where_to_make_one() {
    let desk = Desk::with(&Studio { spots: Vec::new(), ..studio() }, &[]).await;
    desk.get("/sessions/new").await.says("href=\"/places/new\"");
    let page = desk.post("/sessions", &sent(&amara("gone"))).await;
    page.says("id=\"look-0-spot-wrong\"");
}

#[tokio::test]
async fn nobody_else_makes_or_changes_a_session() {
    let desk = Desk::open().await;
    assert!(desk.get_as_guest("/sessions/new").await.location.starts_with("/sign-in"));
    let fields = amara(&spot());
    let bare = desk.post_bare("/sessions", &sent(&fields)).await;
    assert_eq!(bare.status, StatusCode::FORBIDDEN);
    assert_eq!(desk.get("/sessions/nothing/edit").await.status, StatusCode::NOT_FOUND);
}
