//! Studio, sessions and people: saved, listed in order, deleted.

use crate::world::{SESSION, fresh, now, person, session, studio};

#[tokio::test]
async fn a_new_studio_holds_nothing() {
    let (_folder, store) = fresh().await;
    assert_eq!(store.studio().await.unwrap(), None);
    assert_eq!(store.sessions().await.unwrap(), Vec::new());
    assert_eq!(store.session(SESSION).await.unwrap(), None);
    assert_eq!(store.people().await.unwrap(), Vec::new());
    assert_eq!(store.person("lan").await.unwrap(), None);
    assert_eq!(store.delete_session(SESSION, now()).await.unwrap(), None);
    assert_eq!(store.delete_person("lan", now()).await.unwrap(), None);
    assert_eq!(store.journal_head().await.unwrap(), None);
}

#[tokio::test]
async fn what_is_saved_comes_back_as_it_was() {
    let (_folder, store) = fresh().await;
    let mut changed = studio();
    store.save_studio(&changed, now()).await.unwrap();
    // A figure with no exact binary form, and a name with everything that JSON has to escape.
    changed.policy.limits.gust_above_km_h = 45.1;
    changed.name = "Half \"Past\" Dune\\\u{7}\u{2028} \u{1f305} ' ; --".to_owned();
    store.save_studio(&changed, now()).await.unwrap();
    assert_eq!(store.studio().await.unwrap(), Some(changed));
    let lan = person("lan", &"Lan ".repeat(50));
    store.save_person(&lan, now()).await.unwrap();
    assert_eq!(store.person("lan").await.unwrap(), Some(lan));
    store.save_session(&session(SESSION, 3), now()).await.unwrap();
    assert_eq!(store.session(SESSION).await.unwrap(), Some(session(SESSION, 3)));
}

#[tokio::test]
async fn sessions_come_in_the_order_of_their_start_and_people_in_that_of_their_names() {
    let (_folder, store) = fresh().await;
    for (id, day) in [("b", 12), ("c", 3), ("a", 12), ("d", 28)] {
        store.save_session(&session(id, day), now()).await.unwrap();
    }
    for (id, name) in [("1", "mai"), ("2", "Anh"), ("3", "Bo")] {
        store.save_person(&person(id, name), now()).await.unwrap();
    }
    let ids: Vec<_> = store.sessions().await.unwrap().into_iter().map(|it| it.id).collect();
    assert_eq!(ids, ["c", "a", "b", "d"]);
    let names: Vec<_> = store.people().await.unwrap().into_iter().map(|it| it.name).collect();
    assert_eq!(names, ["Anh", "Bo", "mai"]);
}

#[tokio::test]
async fn a_session_that_was_given_another_day_moves_in_the_list() {
    let (_folder, store) = fresh().await;
    store.save_session(&session("a", 3), now()).await.unwrap();
    store.save_session(&session("b", 4), now()).await.unwrap();
    store.save_session(&session("a", 5), now()).await.unwrap();
    let ids: Vec<_> = store.sessions().await.unwrap().into_iter().map(|it| it.id).collect();
    assert_eq!(ids, ["b", "a"]);
}

#[tokio::test]
async fn a_deleted_session_is_gone_and_the_others_stay() {
    let (_folder, store) = fresh().await;
    store.save_session(&session("a", 3), now()).await.unwrap();
    store.save_session(&session("b", 4), now()).await.unwrap();
    assert!(store.delete_session("a", now()).await.unwrap().is_some());
    assert_eq!(store.session("a").await.unwrap(), None);
    assert_eq!(store.sessions().await.unwrap().len(), 1);
    assert!(store.journal_verify(None).await.unwrap().holds());
}
