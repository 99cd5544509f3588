//! The journal in the database: pages of it, and what tampering with the tables does.

use fairspell_store::Store;
use fairspell_studio::journal::{Digest, EntryKind, HeadPlace, Verdict};

use crate::{
    store::execute,
    world::{SESSION, fresh, minutes_later, whole_evening},
};

#[tokio::test]
async fn entries_come_page_by_page_the_newest_first() {
    let (_folder, store) = fresh().await;
    for minute in 0..7 {
        let key = minute.to_string();
        store.remember_notice(&key, "band", None, minutes_later(minute), "words").await.unwrap();
    }
    let seqs = async |limit, offset| {
        let page = store.journal_entries(limit, offset).await.unwrap();
        page.into_iter().map(|kept| kept.entry.seq).collect::<Vec<_>>()
    };
    assert_eq!(seqs(3, 0).await, [7, 6, 5]);
    assert_eq!(seqs(3, 6).await, [1]);
    assert_eq!(seqs(3, 7).await, Vec::<u64>::new());
}

#[tokio::test]
async fn a_sessions_entries_are_found_by_its_id() {
    let (_folder, store) = fresh().await;
    whole_evening(&store).await;
    let kinds: Vec<_> = store
        .journal_of_session(SESSION)
        .await
        .unwrap()
        .into_iter()
        .map(|kept| kept.entry.kind)
        .collect();
    let expected = [
        EntryKind::FieldLogged,
        EntryKind::Told,
        EntryKind::Answered,
        EntryKind::Answered,
        EntryKind::LetterSent,
        EntryKind::SessionChanged,
    ];
    assert_eq!(kinds, expected);
}

/// More entries than are read together, so that the seam between two readings is crossed.
#[tokio::test]
async fn a_long_journal_is_checked_from_end_to_end() {
    let (folder, store) = fresh().await;
    let mut second = None;
    for minute in 0..450 {
        let key = minute.to_string();
        store.remember_notice(&key, "band", None, minutes_later(minute), "words").await.unwrap();
        if minute == 1 {
            second = store.journal_head().await.unwrap();
        }
    }
    let verdict = store.journal_verify(second).await.unwrap();
    assert!(verdict.holds());
    assert_eq!((verdict.entries, verdict.erased), (450, 0));
    assert_eq!(verdict.expected, Some(HeadPlace::Earlier { seq: 2 }));
    assert_eq!(verdict.head, store.journal_head().await.unwrap());
    execute(folder.path(), "UPDATE journal SET at = at + 1 WHERE seq = 401").await;
    assert_eq!(store.journal_verify(None).await.unwrap().broken_at, Some(401));
}

async fn tampered(statement: &'static str) -> (Verdict, Digest) {
    let (folder, store) = fresh().await;
    whole_evening(&store).await;
    let head = store.journal_head().await.unwrap().unwrap();
    assert!(store.journal_verify(Some(head)).await.unwrap().holds());
    store.close().await;
    execute(folder.path(), statement).await;
    let store = Store::look(folder.path()).await.unwrap();
    (store.journal_verify(Some(head)).await.unwrap(), head)
}

#[tokio::test]
async fn a_word_altered_in_an_answer_is_found() {
    let change = "UPDATE journal_content SET body = replace(body, 'keep', 'talk') WHERE seq = 7";
    let (verdict, _) = tampered(change).await;
    assert_eq!(verdict.altered, [7]);
    assert!(!verdict.holds());
}

/// Erasing leaves "erased on ..."; what is merely gone was taken.
#[tokio::test]
async fn a_content_that_was_taken_is_not_taken_for_an_erased_one() {
    for statement in [
        "DELETE FROM journal_content WHERE seq = 7",
        "UPDATE journal_content SET body = NULL, salt = NULL WHERE seq = 7",
    ] {
        let (verdict, _) = tampered(statement).await;
        assert_eq!((verdict.altered.as_slice(), verdict.erased), ([7].as_slice(), 0));
        assert!(!verdict.holds());
    }
}

#[tokio::test]
async fn an_entry_that_nobody_can_read_is_a_verdict_and_no_error() {
    for statement in [
        "UPDATE journal SET kind = 'gossip' WHERE seq = 3",
        "UPDATE journal SET head = 'none' WHERE seq = 3",
        "UPDATE journal_content SET salt = 'pepper' WHERE seq = 3",
    ] {
        let (verdict, _) = tampered(statement).await;
        assert_eq!(verdict.broken_at, Some(3), "{statement}");
    }
}

#[tokio::test]
async fn an_entry_taken_out_is_found() {
    let (verdict, _) = tampered("DELETE FROM journal WHERE seq = 3").await;
    assert_eq!(verdict.broken_at, Some(3));
    assert_eq!(verdict.expected, Some(HeadPlace::NotPart));
}

#[tokio::test]
async fn entries_taken_off_the_end_are_missed() {
    let (verdict, _) = tampered("DELETE FROM journal WHERE seq > 6").await;
    assert_eq!((verdict.broken_at, verdict.entries), (None, 6));
    assert_eq!(verdict.expected, Some(HeadPlace::NotPart));
}
