//! Databases of every version that was ever given out, opened by this one.

use std::{fs, path::Path};

use fairspell_store::{KeptFieldLog, Restored, Store};
use fairspell_studio::{Choice, Outlook, journal::HeadPlace};
use tempfile::TempDir;

use crate::world::{
    SESSION, answer, forecast_figure, letter, minutes_later, now, outlook, person,
    push_subscription, radar_figure, ruled, session, studio, taps,
};

/// A copy of an old database, opened, and with it brought up to date.
async fn opened(name: &str) -> (TempDir, Store) {
    let folder = tempfile::tempdir().unwrap();
    let fixture = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures").join(name);
    fs::copy(fixture, folder.path().join("studio.db")).unwrap();
    let store = Store::open(folder.path(), now()).await.unwrap();
    (folder, store)
}

#[tokio::test]
async fn a_studio_of_version_1_is_read_whole() {
    let (_folder, store) = opened("studio-0001.db").await;
    assert_eq!(store.studio().await.unwrap(), Some(studio()));
    assert_eq!(store.sessions().await.unwrap(), [session(SESSION, 3)]);
    let people = [person("lan", "Thị Lan"), person("zephyrine", "Zephyrine")];
    assert_eq!(store.people().await.unwrap(), people);
    assert_eq!(store.letters_of(SESSION).await.unwrap(), [letter("zephyrine-1", SESSION, now())]);
    let answers = [(Choice::Keep, 10), (Choice::Talk, 20)]
        .map(|(choice, minutes)| answer("zephyrine-1", SESSION, choice, minutes_later(minutes)));
    assert_eq!(store.answers_of_letter("zephyrine-1").await.unwrap(), answers);
    assert_eq!(store.draft(SESSION).await.unwrap().unwrap().subject, "Zephyrine again");
    let sky: Outlook = outlook(SESSION, now(), 40.0);
    let kept = store.newest_ruling(SESSION).await.unwrap().unwrap();
    assert_eq!((&kept.outlook, &kept.ruling), (&sky, &ruled(&sky)));
    let pictures = store.radar_figures("arcade", now(), now()).await.unwrap();
    assert_eq!(pictures, [radar_figure("arcade", now())]);
    let runs = store.forecast_figures(SESSION).await.unwrap();
    assert_eq!(runs, [forecast_figure(SESSION, now())]);
    assert_eq!(store.field_events(SESSION).await.unwrap(), []);
    assert_eq!(store.last_told().await.unwrap().unwrap().deliveries.len(), 2);
    let url: Option<String> = store.setting("public_url").await.unwrap();
    assert_eq!(url.as_deref(), Some("https://example.com"));
    assert_eq!(store.sign_ins(now()).await.unwrap().len(), 1);
    let subscriptions = store.push_subscriptions().await.unwrap();
    assert_eq!(subscriptions, [push_subscription("https://push.example.com/1")]);
}

/// The head stands in the fixtures' README; another implementation of the chain came to it, too.
#[tokio::test]
async fn the_journal_of_version_1_holds_up_to_the_head_that_was_written_down() {
    let (_folder, store) = opened("studio-0001.db").await;
    let head = "bd19a1e50f51e6305964a2af1e27050d8afb86148776d86b677a9304ba6fbc31";
    let verdict = store.journal_verify(Some(head.parse().unwrap())).await.unwrap();
    assert!(verdict.holds());
    assert_eq!((verdict.entries, verdict.expected), (8, Some(HeadPlace::Newest)));
}

#[tokio::test]
async fn a_change_of_version_1_can_still_be_taken_back() {
    let (_folder, store) = opened("studio-0001.db").await;
    let change = store.journal_of_session(SESSION).await.unwrap().pop().unwrap().entry.seq;
    let undone = store.undo(fairspell_store::ChangeId(change), now()).await.unwrap();
    assert_eq!(undone.restored, Restored::Session { id: SESSION.to_owned(), session: None });
}

#[tokio::test]
async fn what_was_handed_in_from_the_field_in_version_2_is_read_and_still_sealed() {
    let (_folder, store) = opened("studio-0002.db").await;
    assert_eq!(store.studio().await.unwrap(), Some(studio()));
    let log = store.field_log(SESSION).await.unwrap();
    let expected = KeptFieldLog { events: taps(), foreign_sheet: false, altered: Vec::new() };
    assert_eq!(log, expected);
    let head = "b92a7204566011dcab2c35040ab869cfdc88daed4da774b412dfeb7ba97c80a5";
    let verdict = store.journal_verify(Some(head.parse().unwrap())).await.unwrap();
    assert!(verdict.holds());
    assert_eq!((verdict.entries, verdict.expected), (9, Some(HeadPlace::Newest)));
}
