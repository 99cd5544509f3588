//! Being told once.

use fairspell_store::Delivery;

use crate::world::{SESSION, fresh, minutes_later, now};

#[tokio::test]
async fn she_is_told_once_however_often_it_is_noticed() {
    let (_folder, store) = fresh().await;
    assert_eq!(store.last_told().await.unwrap(), None);
    assert!(store.remember_notice("a", "band", Some(SESSION), now(), "first").await.unwrap());
    assert!(!store.remember_notice("a", "band", Some(SESSION), now(), "again").await.unwrap());
    assert!(store.remember_notice("b", "source", None, minutes_later(1), "other").await.unwrap());
    assert_eq!(store.journal_entries(10, 0).await.unwrap().len(), 2);
    let about = store.told_about(SESSION).await.unwrap();
    assert_eq!(about.len(), 1);
    assert_eq!((about[0].key.as_str(), about[0].words.as_str()), ("a", "first"));
    assert_eq!((about[0].kind.as_str(), about[0].session.as_deref()), ("band", Some(SESSION)));
}

#[tokio::test]
async fn what_she_was_told_last_says_whether_it_went_out() {
    let (_folder, store) = fresh().await;
    store.remember_notice("a", "band", None, now(), "words").await.unwrap();
    store.remember_notice("b", "band", None, minutes_later(1), "later words").await.unwrap();
    assert!(store.note_delivery("b", "e-mail", minutes_later(1), Err("no route")).await.unwrap());
    assert!(store.note_delivery("b", "push", minutes_later(2), Ok(())).await.unwrap());
    assert!(!store.note_delivery("c", "push", now(), Ok(())).await.unwrap());
    let told = store.last_told().await.unwrap().unwrap();
    assert_eq!((told.words.as_str(), told.at), ("later words", minutes_later(1)));
    let delivery = |channel: &str, minutes, failure: Option<&str>| Delivery {
        channel: channel.to_owned(),
        at: minutes_later(minutes),
        failure: failure.map(str::to_owned),
    };
    let expected = [delivery("e-mail", 1, Some("no route")), delivery("push", 2, None)];
    assert_eq!(told.deliveries, expected);
}
