use fairspell_studio::{Role, Session};

use crate::desk::{Desk, answer, letter, person, sessions, studio};

const LONG: &str = "Максимилиан-Иоганн ";

#[tokio::test]
async fn the_list_says_what_each_family_was_told_and_answered() {
    let desk = Desk::open().await;
    let sent = letter("l1");
    desk.store.send_letter(&sent).await.unwrap();
    desk.store.record_answer(&answer(&sent, "Linh")).await.unwrap();
    let page = desk.get("/people").await;
    page.says("Linh, with Quoc: Thu 3 Sep, 15:15");
    page.says("Last told Tue 1 Sep, 18:00: Thursday with Linh");
    page.says("Linh answers 1: ");
    page.says("Quoc has not answered yet");
    page.says("href=\"/people/quoc\"");
}

#[tokio::test]
async fn a_person_is_made_changed_deleted_and_all_of_it_undone() {
    let desk = Desk::open().await;
    let fields = [
        ("name", "Amara"),
        ("role", "guardian"),
        ("email", "amara@example.org"),
        ("phone", "+61 (2) 5550-1234"),
    ];
    let saved = desk.post("/people", &fields).await;
    desk.follow(&saved).await.says("Amara").says("amara@example.org").says("+61 (2) 5550-1234");
    let id = saved.location.split(['/', '?']).nth(2).unwrap().to_owned();

    let changed = desk.post(&format!("/people/{id}"), &[("name", "Ama"), ("role", "sitter")]).await;
    let known = desk.store.person(&id).await.unwrap().unwrap();
    assert_eq!((known.name.as_str(), known.role, known.email), ("Ama", Role::Sitter, None));
    desk.undo(&changed).await;
    assert_eq!(desk.store.person(&id).await.unwrap().unwrap().name, "Amara");

    let deleted = desk.post(&format!("/people/{id}/delete"), &[]).await;
    assert_eq!(desk.store.person(&id).await.unwrap(), None);
    desk.undo(&deleted).await;
    assert_eq!(desk.store.person(&id).await.unwrap().unwrap().name, "Amara");
}

#[tokio::test]
async fn a_mistake_is_shown_beside_its_field_and_nothing_typed_is_lost() {
    let desk = Desk::open().await;
    let fields = [
        ("name", "Amara <b>"),
        ("role", "guardian"),
        ("email", "amara at example.org"),
        ("phone", "call me"),
    ];
    let page = desk.post("/people", &fields).await;
    page.says("Nothing is saved yet.");
    page.says("id=\"email-wrong\"").says("id=\"phone-wrong\"").never_says("id=\"name-wrong\"");
    page.says("value=\"Amara &lt;b&gt;\"").says("value=\"amara at example.org\"");
    page.says("value=\"call me\"").says("value=\"guardian\" selected");
    assert_eq!(desk.store.people().await.unwrap().len(), 2);
    let nameless = desk.post("/people/linh", &[("name", " \u{202e} "), ("role", "sitter")]).await;
    nameless.says("id=\"name-wrong\"");
}

#[tokio::test]
async fn names_in_any_script_of_200_letters_are_kept_and_longer_ones_are_not() {
    let desk = Desk::open().await;
    let long: String = LONG.repeat(20).chars().take(199).chain(['ж']).collect();
    let saved = desk.post("/people", &[("name", long.as_str()), ("role", "companion")]).await;
    desk.follow(&saved).await.says(&long);
    let longer = format!("{long}ж");
    let page = desk.post("/people", &[("name", longer.as_str()), ("role", "companion")]).await;
    page.says("id=\"name-wrong\"").says(&longer);
}

#[tokio::test]
async fn numbers_and_addresses_are_taken_as_people_write_them() {
    let desk = Desk::open().await;
    for (email, phone, is_right) in [
        ("q.tran+photos@mail.example.org", "0412 345 678", true),
        ("quốc@example.org", "(02) 5550.1234", true),
        ("", "", true),
        ("a@b", "1", false),
        ("a@@example.org", "12345678901234567890123", false),
        ("a@example.org,b@example.org", "", false),
        ("a@example..org", "", false),
    ] {
        let fields = [("name", "Q"), ("role", "guardian"), ("email", email), ("phone", phone)];
        let page = desk.post("/people/quoc", &fields).await;
        assert_eq!(page.status == 303, is_right, "{email} {phone}");
    }
}

#[tokio::test]
async fn a_persons_page_shows_the_record() {
    let desk = Desk::open().await;
    let sent = letter("l1");
    desk.store.send_letter(&sent).await.unwrap();
    desk.store.record_answer(&answer(&sent, "Quoc")).await.unwrap();
    let page = desk.get("/people/quoc").await;
    page.says("Tue 1 Sep, 18:00: Thursday with Linh");
    page.says("Tue 1 Sep 2026, 19:00: Quoc answered 1,");
    page.says("href=\"/sessions/2026-09-03-linh\"");
    assert_eq!(desk.get("/people/nobody").await.status, 404);
}

#[tokio::test]
async fn erasing_asks_first_says_what_goes_and_then_leaves_no_name() {
    let desk = Desk::open().await;
    let sent = letter("l1");
    desk.store.send_letter(&sent).await.unwrap();
    desk.store.record_answer(&answer(&sent, "Linh")).await.unwrap();
    let page = desk.get("/people/quoc/erase").await;
    page.says("The names, addresses and telephone numbers of Linh and Quoc");
    page.says("Thu 3 Sep, 15:15").says("can still be proved, but no longer read");

    let refused = desk.post("/people/quoc/erase", &[]).await;
    refused.says("Nothing has been erased.");
    assert_eq!(desk.store.people().await.unwrap().len(), 2);

    let erased = desk.post("/people/quoc/erase", &[("sure", "yes")]).await;
    let page = desk.follow(&erased).await;
    page.says("can still be proved").never_says("Linh").never_says("Quoc");
    assert_eq!(desk.store.people().await.unwrap(), []);
    assert!(desk.store.journal_verify(None).await.unwrap().holds());
    desk.get("/studio/journal").await.says("what it said was erased").never_says("Linh");
}

#[tokio::test]
async fn a_family_without_people_of_its_own_is_erased_by_its_session() {
    let desk = Desk::open().await;
    let id = "2026-09-15-soraya";
    desk.get(&format!("/people/{id}/erase")).await.says("Soraya, with Navid");
    desk.post(&format!("/people/{id}/erase"), &[("sure", "yes")]).await;
    desk.get("/people").await.never_says("Soraya").says("Linh");
}

#[tokio::test]
async fn a_family_is_its_moved_dates_and_siblings_but_not_a_friend_who_came_along() {
    let session = |id: &str, sitter: &str, people: &[&str], from: Option<&str>| Session {
        id: id.to_owned(),
        sitter: sitter.to_owned(),
        people: people.iter().map(|id| (*id).to_owned()).collect(),
        moved_from: from.map(str::to_owned),
        ..sessions()[0].clone()
    };
    let all = [
        session("s1", "Linh", &["linh", "quoc", "friend"], None),
        session("s2", "Linh", &["linh", "quoc"], Some("s1")),
        session("s3", "Bao", &["quoc"], None),
        session("s4", "Else", &["friend", "else"], None),
    ];
    let desk = Desk::with(&studio(), &all).await;
    let now = "2026-09-02T08:10:00Z".parse().unwrap();
    for one in
        [person("friend", "Friedrich", Role::Companion), person("else", "Else", Role::Sitter)]
    {
        desk.store.save_person(&one, now).await.unwrap();
    }
    // Looked at again by any change.
    desk.post("/people/linh", &[("name", "Linh"), ("role", "sitter")]).await;
    let page = desk.get("/people/linh/erase").await;
    page.says("numbers of Linh and Quoc").says("Bao").never_says("Else").never_says("Friedrich");
}
