//! Taking changes back, against a simple model of it.

use std::collections::BTreeMap;

use fairspell_store::{ChangeId, Restored, Store, StoreError};
use fairspell_studio::journal::EntryKind;
use proptest::prelude::*;

use crate::world::{SESSION, fresh, minutes_later, now, person, session, studio};

#[tokio::test]
async fn a_change_is_taken_back_and_then_made_again() {
    let (_folder, store) = fresh().await;
    store.save_studio(&studio(), now()).await.unwrap();
    let mut renamed = studio();
    renamed.name = "Quarter Past Dune".to_owned();
    let change = store.save_studio(&renamed, now()).await.unwrap();
    let undone = store.undo(change, minutes_later(1)).await.unwrap();
    assert_eq!(undone.restored, Restored::Studio(Some(Box::new(studio()))));
    assert_eq!(store.studio().await.unwrap(), Some(studio()));
    let redone = store.undo(undone.change, minutes_later(2)).await.unwrap();
    assert_eq!(redone.restored, Restored::Studio(Some(Box::new(renamed.clone()))));
    assert_eq!(store.studio().await.unwrap(), Some(renamed));
}

#[tokio::test]
async fn a_deleted_session_comes_back_and_a_new_one_goes_again() {
    let (_folder, store) = fresh().await;
    let made = store.save_session(&session(SESSION, 3), now()).await.unwrap();
    let deleted = store.delete_session(SESSION, now()).await.unwrap().unwrap();
    store.undo(deleted, now()).await.unwrap();
    assert_eq!(store.sessions().await.unwrap(), [session(SESSION, 3)]);
    let undone = store.undo(made, now()).await.unwrap();
    assert_eq!(undone.restored, Restored::Session { id: SESSION.to_owned(), session: None });
    assert_eq!(store.session(SESSION).await.unwrap(), None);
}

#[tokio::test]
async fn what_has_changed_since_is_not_overwritten_by_taking_back() {
    let (_folder, store) = fresh().await;
    let first = store.save_person(&person("lan", "Lan"), now()).await.unwrap();
    store.save_person(&person("lan", "Thị Lan"), now()).await.unwrap();
    let refused = store.undo(first, now()).await;
    assert!(matches!(refused, Err(StoreError::Conflict { .. })), "{refused:?}");
    assert_eq!(store.person("lan").await.unwrap().unwrap().name, "Thị Lan");
    assert_eq!(store.journal_entries(10, 0).await.unwrap().len(), 2);
}

#[tokio::test]
async fn only_changes_can_be_taken_back() {
    let (_folder, store) = fresh().await;
    store.remember_notice("a", "band", None, now(), "words").await.unwrap();
    for change in [0, 1, 2, u64::MAX] {
        let refused = store.undo(ChangeId(change), now()).await;
        assert!(matches!(refused, Err(StoreError::Conflict { .. })), "{change}: {refused:?}");
    }
}

#[tokio::test]
async fn taking_back_is_an_entry_of_its_own() {
    let (_folder, store) = fresh().await;
    let change = store.save_session(&session(SESSION, 3), now()).await.unwrap();
    store.undo(change, minutes_later(5)).await.unwrap();
    let entries = store.journal_entries(10, 0).await.unwrap();
    let kinds: Vec<_> = entries.iter().map(|kept| kept.entry.kind).collect();
    assert_eq!(kinds, [EntryKind::Undone, EntryKind::SessionChanged]);
    assert_eq!(entries[0].entry.at, minutes_later(5));
}

/// One thing she does: saves one of three sessions on one of three days, deletes one, or takes back
/// one of the changes so far.
#[derive(Debug, Clone)]
enum Deed {
    Save(usize, i8),
    Delete(usize),
    Undo(prop::sample::Index),
}

fn deed() -> impl Strategy<Value = Deed> {
    prop_oneof![
        (0..3_usize, 1..4_i8).prop_map(|(which, day)| Deed::Save(which, day)),
        (0..3_usize).prop_map(Deed::Delete),
        any::<prop::sample::Index>().prop_map(Deed::Undo),
    ]
}

const IDS: [&str; 3] = ["a", "b", "c"];

/// What should stand there: the day of each session, and of each change before and after.
#[derive(Default)]
struct Model {
    days: BTreeMap<usize, i8>,
    changes: Vec<(ChangeId, usize, Option<i8>, Option<i8>)>,
}

impl Model {
    fn put(&mut self, change: ChangeId, which: usize, day: Option<i8>) {
        let before = self.days.get(&which).copied();
        self.changes.push((change, which, before, day));
        match day {
            Some(day) => self.days.insert(which, day),
            None => self.days.remove(&which),
        };
    }
}

async fn follow(store: &Store, deeds: Vec<Deed>) -> Result<(), TestCaseError> {
    let mut model = Model::default();
    for deed in deeds {
        match deed {
            Deed::Save(which, day) => {
                let change = store.save_session(&session(IDS[which], day), now()).await.unwrap();
                model.put(change, which, Some(day));
            }
            Deed::Delete(which) => {
                let change = store.delete_session(IDS[which], now()).await.unwrap();
                prop_assert_eq!(change.is_some(), model.days.contains_key(&which));
                if let Some(change) = change {
                    model.put(change, which, None);
                }
            }
            Deed::Undo(index) if !model.changes.is_empty() => {
                let (change, which, before, after) = *index.get(&model.changes);
                let possible = model.days.get(&which).copied() == after;
                match store.undo(change, now()).await {
                    Ok(undone) if possible => model.put(undone.change, which, before),
                    Err(StoreError::Conflict { .. }) if !possible => {}
                    other => prop_assert!(false, "possible: {possible}, but {other:?}"),
                }
            }
            Deed::Undo(_) => {}
        }
        let mut days = BTreeMap::new();
        for session in store.sessions().await.unwrap() {
            let which = IDS.iter().position(|id| *id == session.id).unwrap();
            days.insert(which, session.start.day());
        }
        prop_assert_eq!(&days, &model.days);
    }
    let verdict = store.journal_verify(None).await.unwrap();
    prop_assert!(verdict.holds());
    prop_assert_eq!(verdict.entries, model.changes.len() as u64);
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn any_saves_and_undos_agree_with_the_model_and_leave_a_journal_that_holds(
        deeds in prop::collection::vec(deed(), 1..20),
    ) {
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
        runtime.block_on(async {
            let (_folder, store) = fresh().await;
            follow(&store, deeds).await
        })?;
    }
}
