//! Answers, their receipts, and many at once.

use fairspell_store::StoreError;
use fairspell_studio::{
    Choice,
    journal::{EntryKind, HeadPlace},
};

use crate::world::{SESSION, answer, fresh, letter, minutes_later, now};

#[tokio::test]
async fn who_answers_again_is_heard_again_and_the_first_answer_stays() {
    let (_folder, store) = fresh().await;
    store.send_letter(&letter("one", SESSION, now())).await.unwrap();
    store.send_letter(&letter("two", SESSION, now())).await.unwrap();
    let first = answer("one", SESSION, Choice::Keep, minutes_later(1));
    let second = answer("one", SESSION, Choice::Talk, minutes_later(2));
    let late = answer("two", SESSION, Choice::LeaveOpen, minutes_later(3));
    for answer in [&first, &second, &late] {
        store.record_answer(answer).await.unwrap();
    }
    let of_letter = store.answers_of_letter("one").await.unwrap();
    assert_eq!(of_letter, [first.clone(), second.clone()]);
    assert_eq!(store.answers_of_session(SESSION).await.unwrap(), [first, second, late]);
    assert_eq!(store.answers_of_letter("three").await.unwrap(), Vec::new());
    assert_eq!(store.answers_of_session("b").await.unwrap(), Vec::new());
}

#[tokio::test]
async fn a_receipt_names_the_entry_that_holds_answer_and_letter_shown() {
    let (_folder, store) = fresh().await;
    let shown = store.send_letter(&letter("one", SESSION, now())).await.unwrap();
    let answer_given = answer("one", SESSION, Choice::Keep, minutes_later(1));
    let receipt = store.record_answer(&answer_given).await.unwrap();
    assert_eq!(store.journal_head().await.unwrap(), Some(receipt.head));
    let kept = store.journal_entries(1, 0).await.unwrap().remove(0);
    assert_eq!((kept.entry.seq, kept.entry.kind), (receipt.seq, EntryKind::Answered));
    let content: serde_json::Value = serde_json::from_str(&kept.content.unwrap().text).unwrap();
    assert_eq!(content["letter_digest"], shown.to_string());
    assert_eq!(content["answer"], serde_json::to_value(&answer_given).unwrap());
    store.remember_notice("a", "answer", None, now(), "words").await.unwrap();
    let verdict = store.journal_verify(Some(receipt.head)).await.unwrap();
    assert_eq!(verdict.expected, Some(HeadPlace::Earlier { seq: receipt.seq }));
}

#[tokio::test]
async fn an_answer_to_a_letter_that_was_never_sent_is_not_recorded() {
    let (_folder, store) = fresh().await;
    store.send_letter(&letter("one", SESSION, now())).await.unwrap();
    for (letter, session) in [("two", SESSION), ("one", "another")] {
        let refused = store.record_answer(&answer(letter, session, Choice::Keep, now())).await;
        assert!(matches!(refused, Err(StoreError::Conflict { .. })), "{refused:?}");
    }
    assert_eq!(store.journal_entries(10, 0).await.unwrap().len(), 1);
}

#[tokio::test]
async fn answers_that_come_in_together_are_all_kept_one_after_the_other() {
    let (_folder, store) = fresh().await;
    store.send_letter(&letter("one", SESSION, now())).await.unwrap();
    let together: Vec<_> = (0..20)
        .map(|minute| {
            let store = store.clone();
            let answer = answer("one", SESSION, Choice::Keep, minutes_later(minute));
            tokio::spawn(async move { store.record_answer(&answer).await.unwrap().seq })
        })
        .collect();
    let mut seqs = Vec::new();
    for task in together {
        seqs.push(task.await.unwrap());
    }
    seqs.sort_unstable();
    assert_eq!(seqs, (2..=21).collect::<Vec<u64>>());
    assert_eq!(store.answers_of_letter("one").await.unwrap().len(), 20);
    assert!(store.journal_verify(None).await.unwrap().holds());
}
