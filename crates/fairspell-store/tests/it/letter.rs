//! Letters and drafts.

use fairspell_store::{Draft, StoreError};
use fairspell_studio::journal::EntryKind;

use crate::world::{SESSION, fresh, letter, minutes_later, now};

#[tokio::test]
async fn a_letter_comes_back_as_it_was_sent_and_the_journal_holds_it() {
    let (_folder, store) = fresh().await;
    let sent = letter("one", SESSION, now());
    let digest = store.send_letter(&sent).await.unwrap();
    assert_eq!(store.letter("one").await.unwrap(), Some(sent.clone()));
    assert_eq!(store.letter("two").await.unwrap(), None);
    let kept = store.journal_entries(1, 0).await.unwrap().remove(0);
    assert_eq!(kept.entry.kind, EntryKind::LetterSent);
    assert_eq!(kept.entry.content_digest, digest);
    let content = kept.content.unwrap();
    assert_eq!(content.digest(), digest);
    assert_eq!(content.text, serde_json::to_string(&sent).unwrap());
}

#[tokio::test]
async fn the_same_letter_twice_has_two_digests_that_do_not_give_it_away() {
    let (_folder, store) = fresh().await;
    let digest = store.send_letter(&letter("one", SESSION, now())).await.unwrap();
    let (_other_folder, other_store) = fresh().await;
    let other = other_store.send_letter(&letter("one", SESSION, now())).await.unwrap();
    assert_ne!(digest, other);
}

#[tokio::test]
async fn a_letter_is_sent_once() {
    let (_folder, store) = fresh().await;
    store.send_letter(&letter("one", SESSION, now())).await.unwrap();
    let again = store.send_letter(&letter("one", SESSION, minutes_later(1))).await;
    assert!(matches!(again, Err(StoreError::Conflict { .. })), "{again:?}");
    assert_eq!(store.letter("one").await.unwrap().unwrap().sent_at, now());
    assert_eq!(store.journal_entries(10, 0).await.unwrap().len(), 1);
}

#[tokio::test]
async fn the_last_letter_sent_to_a_session_is_the_one_that_counts() {
    let (_folder, store) = fresh().await;
    assert_eq!(store.newest_letter(SESSION).await.unwrap(), None);
    for (id, session, minutes) in [("one", SESSION, 0), ("two", SESSION, 5), ("three", "b", 9)] {
        store.send_letter(&letter(id, session, minutes_later(minutes))).await.unwrap();
    }
    assert_eq!(store.newest_letter(SESSION).await.unwrap().unwrap().id, "two");
    let ids: Vec<_> = store.letters_of(SESSION).await.unwrap().into_iter().map(|l| l.id).collect();
    assert_eq!(ids, ["two", "one"]);
}

#[tokio::test]
async fn a_draft_is_kept_until_it_is_dropped_or_sent() {
    let (_folder, store) = fresh().await;
    assert_eq!(store.draft(SESSION).await.unwrap(), None);
    let mut draft =
        Draft { subject: "Tonight".to_owned(), body: "Dear".to_owned(), at: minutes_later(1) };
    store.save_draft(SESSION, &draft).await.unwrap();
    draft.body.push_str(" Lan");
    store.save_draft(SESSION, &draft).await.unwrap();
    store.save_draft("b", &draft).await.unwrap();
    assert_eq!(store.draft(SESSION).await.unwrap(), Some(draft));
    store.send_letter(&letter("one", SESSION, now())).await.unwrap();
    assert_eq!(store.draft(SESSION).await.unwrap(), None);
    assert!(store.drop_draft("b").await.unwrap());
    assert!(!store.drop_draft("b").await.unwrap());
}
