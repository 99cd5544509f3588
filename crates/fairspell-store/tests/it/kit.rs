//! What is in the car already.

use crate::{
    store::raw,
    world::{SESSION, fresh, minutes_later, now, session},
};

#[tokio::test]
async fn ticks_are_kept_by_session_until_the_next_ones() {
    let (_folder, store) = fresh().await;
    assert_eq!(store.kit_ticks(SESSION).await.unwrap(), Vec::<String>::new());
    let ticks = |names: &[&str]| names.iter().map(|name| (*name).to_owned()).collect::<Vec<_>>();
    store.save_kit_ticks(SESSION, &ticks(&["bodies", "cards"])).await.unwrap();
    store.save_kit_ticks("another", &ticks(&["towels"])).await.unwrap();
    store.save_kit_ticks(SESSION, &ticks(&["cards"])).await.unwrap();
    assert_eq!(store.kit_ticks(SESSION).await.unwrap(), ["cards"]);
    assert_eq!(store.kit_ticks("another").await.unwrap(), ["towels"]);
}

#[tokio::test]
async fn a_session_that_is_deleted_takes_its_ticks_along() {
    let (_folder, store) = fresh().await;
    store.save_session(&session(SESSION, 3), now()).await.unwrap();
    let id = SESSION.to_owned();
    store.save_kit_ticks(&id, &["bodies".to_owned()]).await.unwrap();
    store.delete_session(&id, minutes_later(1)).await.unwrap();
    assert_eq!(store.kit_ticks(&id).await.unwrap(), Vec::<String>::new());
}

#[tokio::test]
async fn a_session_goes_with_its_ticks_or_not_at_all() {
    let (folder, store) = fresh().await;
    store.save_session(&session(SESSION, 3), now()).await.unwrap();
    store.save_kit_ticks(SESSION, &["bodies".to_owned()]).await.unwrap();
    let mut connection = raw(folder.path()).await;
    let fails =
        "CREATE TRIGGER stays BEFORE DELETE ON setting BEGIN SELECT RAISE(ABORT, 'no'); END";
    sqlx::query(fails).execute(&mut connection).await.unwrap();
    store.delete_session(SESSION, minutes_later(1)).await.unwrap_err();
    assert_eq!(store.session(SESSION).await.unwrap(), Some(session(SESSION, 3)));
    assert_eq!(store.kit_ticks(SESSION).await.unwrap(), ["bodies"]);
}
