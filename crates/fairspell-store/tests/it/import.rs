//! Bookings from elsewhere.

use fairspell_studio::journal::EntryKind;

use crate::world::{fresh, now, person, session};

#[tokio::test]
async fn an_import_is_kept_whole_and_each_of_its_bookings_can_be_taken_back() {
    let (_folder, store) = fresh().await;
    let people = [person("lan", "Thị Lan")];
    let sessions = [session("a", 3), session("b", 4)];
    let imported = store.import(&people, &sessions, "csv", now()).await.unwrap();
    assert_eq!((imported.people.len(), imported.sessions.len()), (1, 2));
    assert_eq!(store.sessions().await.unwrap(), sessions);
    assert_eq!(store.people().await.unwrap(), people);
    let entries = store.journal_entries(10, 0).await.unwrap();
    assert_eq!(entries[0].entry.kind, EntryKind::Imported);
    assert_eq!(entries.len(), 4);
    let origin = entries[0].content.as_ref().unwrap();
    assert_eq!(origin.text, r#"{"origin":"csv","people":[1],"sessions":[2,3]}"#);
    store.undo(imported.sessions[0], now()).await.unwrap();
    assert_eq!(store.sessions().await.unwrap(), [session("b", 4)]);
    assert!(store.journal_verify(None).await.unwrap().holds());
}
