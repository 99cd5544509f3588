//! What phones hand in is only ever added to, and sealed.

use fairspell_store::{AddedFieldEvents, Store, StoreError};
use fairspell_studio::{
    FieldEvent, FieldEventKind,
    field_event::Refusal,
    field_log::HandedIn,
    journal::{Digest, EntryKind},
};

use tempfile::TempDir;

use crate::{
    store::raw,
    world::{SESSION, fresh, minutes_later, now, session, taps, whole_evening},
};

fn note(device: &str, n: u64, minutes: i64, text: &str) -> FieldEvent {
    let kind = FieldEventKind::Note { text: text.to_owned() };
    FieldEvent::new(device, n, minutes_later(minutes), kind)
}

fn ids(events: &[FieldEvent]) -> Vec<&str> {
    events.iter().map(|event| event.id.as_str()).collect()
}

/// A store with these sessions.
async fn with_sessions(ids: &[&str]) -> (TempDir, Store) {
    let (folder, store) = fresh().await;
    for id in ids {
        store.save_session(&session(id, 3), now()).await.unwrap();
    }
    (folder, store)
}

#[tokio::test]
async fn two_phones_hand_in_and_nothing_is_lost_or_kept_twice() {
    let (_folder, store) = with_sessions(&[SESSION]).await;
    let (first, second) =
        ([note("k3", 1, 10, "a"), note("k3", 2, 30, "b")], [note("p8", 1, 20, "c")]);
    let added = store.add_field_events(SESSION, &first, "", now()).await.unwrap();
    assert_eq!(added.new, 2);
    store.add_field_events(SESSION, &second, "", now()).await.unwrap();
    let again = store.add_field_events(SESSION, &first, "", minutes_later(9)).await.unwrap();
    let kept = ["k3-1".to_owned(), "k3-2".to_owned()].to_vec();
    assert_eq!(again, AddedFieldEvents { kept, clashes: Vec::new(), new: 0 });
    let events = store.field_events(SESSION).await.unwrap();
    assert_eq!(ids(&events), ["k3-1", "p8-1", "k3-2"]);
    // One entry for each batch that brought something.
    let entries = store.journal_of_session(SESSION).await.unwrap();
    let kinds: Vec<_> = entries.iter().map(|kept| kept.entry.kind).collect();
    assert_eq!(kinds[..2], [EntryKind::FieldLogged; 2]);
    assert_eq!(kinds.len(), 3, "and the session's own");
    assert_eq!(store.field_events("another").await.unwrap(), []);
}

#[tokio::test]
async fn the_same_id_may_stand_in_two_sessions_and_once_in_each() {
    let (_folder, store) = with_sessions(&["a", "b"]).await;
    let first = [note("k3", 1, 10, "a")];
    let other = [note("k3", 1, 10, "b"), note("k3", 2, 11, "c"), note("k3", 2, 11, "d")];
    store.add_field_events("a", &first, "", now()).await.unwrap();
    store.add_field_events("b", &other[..1], "", now()).await.unwrap();
    let added = store.add_field_events("a", &other, "", now()).await.unwrap();
    let clashes = ["k3-1".to_owned(), "k3-2".to_owned()].to_vec();
    assert_eq!(added, AddedFieldEvents { kept: vec!["k3-2".to_owned()], clashes, new: 1 });
    assert_eq!(store.field_events("a").await.unwrap(), [first[0].clone(), other[1].clone()]);
    assert_eq!(store.field_events("b").await.unwrap(), other[..1]);
}

#[tokio::test]
async fn what_we_do_not_know_of_an_event_comes_back_as_it_came() {
    let (_folder, store) = with_sessions(&[SESSION]).await;
    let mut event = note("k3", 1, 10, "a");
    event.kind = FieldEventKind::Unknown { kind: "drone".to_owned() };
    event.more.insert("height_m".to_owned(), serde_json::json!([1, 2.5, null]));
    store.add_field_events(SESSION, std::slice::from_ref(&event), "", now()).await.unwrap();
    assert_eq!(store.field_events(SESSION).await.unwrap(), [event]);
}

#[tokio::test]
async fn a_sheet_that_was_never_handed_out_is_told() {
    let (_folder, store) = with_sessions(&[SESSION]).await;
    let sheet = Digest::of(b"sheet").to_string();
    assert!(!store.knows_field_sheet(SESSION, &sheet).await.unwrap());
    for made_at in [now(), minutes_later(5)] {
        store.remember_field_sheet(SESSION, &sheet, made_at).await.unwrap();
    }
    assert!(store.knows_field_sheet(SESSION, &sheet).await.unwrap());
    assert!(!store.knows_field_sheet("another", &sheet).await.unwrap());
    assert!(!store.field_log(SESSION).await.unwrap().foreign_sheet);
    store.add_field_events(SESSION, &[note("k3", 1, 1, "a")], &sheet, now()).await.unwrap();
    assert!(!store.field_log(SESSION).await.unwrap().foreign_sheet);
    let changed = Digest::of(b"a changed sheet").to_string();
    store.add_field_events(SESSION, &[note("k3", 2, 2, "b")], &changed, now()).await.unwrap();
    assert!(store.field_log(SESSION).await.unwrap().foreign_sheet);
}

#[tokio::test]
async fn a_later_change_shows() {
    for (statement, why) in [
        ("UPDATE field_event SET body = replace(body, 'umbrella', 'ladder')", "a changed note"),
        ("DELETE FROM field_event WHERE n = 2", "a tap that is gone"),
        (
            "INSERT INTO field_event SELECT session, 'k3f9x2-9', device, 9, at, received_at, seq, \
             replace(body, 'k3f9x2-4', 'k3f9x2-9') FROM field_event WHERE n = 4",
            "a tap that was put in",
        ),
        (
            "INSERT INTO field_event SELECT session, 'k3f9x2-9', device, 9, at, received_at, 1, \
             replace(body, 'k3f9x2-4', 'k3f9x2-9') FROM field_event WHERE n = 4",
            "a tap that no batch brought",
        ),
    ] {
        let (folder, store) = fresh().await;
        whole_evening(&store).await;
        let log = store.field_log(SESSION).await.unwrap();
        assert_eq!((log.events.as_slice(), log.altered.len()), (&taps()[..], 0));
        let mut connection = raw(folder.path()).await;
        sqlx::query(statement).execute(&mut connection).await.unwrap();
        assert_eq!(store.field_log(SESSION).await.unwrap().altered.len(), 1, "{why}");
        assert!(store.journal_verify(None).await.unwrap().holds());
    }
}

#[tokio::test]
async fn a_session_that_is_deleted_or_moved_keeps_its_log() {
    let (_folder, store) = fresh().await;
    whole_evening(&store).await;
    let mut moved = session("2026-09-10-zephyrine", 10);
    moved.moved_from = Some(SESSION.to_owned());
    store.save_session(&moved, now()).await.unwrap();
    assert_eq!(store.field_events(&moved.id).await.unwrap(), []);
    assert_eq!(store.field_events(SESSION).await.unwrap(), taps());
    let change = store.delete_session(SESSION, now()).await.unwrap().unwrap();
    store.undo(change, now()).await.unwrap();
    assert_eq!(store.field_events(SESSION).await.unwrap(), taps());
}

/// A phone sends while somebody erases the family or deletes the session: what comes later finds
/// nothing to belong to.
#[tokio::test]
async fn nothing_comes_in_for_a_session_that_is_not_there() {
    let sheet = Digest::of(b"a later sheet").to_string();
    for erased in [false, true] {
        let (_folder, store) = fresh().await;
        whole_evening(&store).await;
        if erased {
            store.erase_family(&[SESSION], &["zephyrine", "lan"], "N. N.", now()).await.unwrap();
        } else {
            store.delete_session(SESSION, now()).await.unwrap().unwrap();
        }
        let left = store.sessions().await.unwrap().into_iter().map(|session| session.id);
        for id in left.chain([SESSION.to_owned(), "nobody".to_owned()]) {
            let before = store.field_events(&id).await.unwrap();
            let added = store.add_field_events(&id, &[note("p8", 1, 5, "late")], "", now()).await;
            assert!(matches!(added, Err(StoreError::Conflict { .. })), "{added:?}");
            let made = store.remember_field_sheet(&id, &sheet, now()).await;
            assert!(matches!(made, Err(StoreError::Conflict { .. })), "{made:?}");
            assert_eq!(store.field_events(&id).await.unwrap(), before);
            assert!(!store.knows_field_sheet(&id, &sheet).await.unwrap());
        }
    }
}

#[tokio::test]
async fn whoever_hands_in_another_tap_under_a_known_mark_is_told() {
    let (_folder, store) = with_sessions(&[SESSION]).await;
    let taps = |texts: &[&str]| -> Vec<_> {
        let tap = |(n, text): (u64, &&str)| serde_json::to_value(note("k3", n, 10, text)).unwrap();
        (1..).zip(texts).map(tap).collect()
    };
    let written = HandedIn::Written(minutes_later(20));
    let later = minutes_later(30);
    let first =
        store.take_field_log(SESSION, &taps(&["a"]), "", written, later, later).await.unwrap();
    assert_eq!((first.new, first.all.len(), first.accepted.refused.len()), (1, 1, 0));
    let other = taps(&["another", "b"]);
    let taken = store.take_field_log(SESSION, &other, "", written, later, later).await.unwrap();
    assert_eq!((taken.new, ids(&taken.accepted.kept)), (1, vec!["k3-2"]));
    let [refused] = &taken.accepted.refused[..] else { panic!("{:?}", taken.accepted) };
    assert_eq!((refused.id.as_str(), refused.why), ("k3-1", Refusal::SameId));
}
