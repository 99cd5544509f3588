//! A family is forgotten: no name is left in any file, and the chain holds.

use std::{fs, path::Path};

use fairspell_store::{ChangeId, Erased, KeptFieldLog, Store, StoreError};
use fairspell_studio::{Choice, journal::EntryKind};
use sqlx::Connection;

use crate::{
    store::raw,
    world::{SESSION, answer, fresh, letter, minutes_later, now, person, session, whole_evening},
};

/// Whatever names the family or was said to it, in any spelling that a file could hold.
const TRACES: [&str; 8] = [
    "ephyrine",
    "Thị Lan",
    "lan@example",
    "may rain",
    "We keep the date",
    "\"lan\"",
    "holds the umbrella",
    "k3f9x2",
];

/// In which of the folder's files a text stands, whatever the files are.
fn files_with(folder: &Path, text: &str) -> Vec<String> {
    fs::read_dir(folder)
        .unwrap()
        .map(|file| file.unwrap().path())
        .filter(|file| {
            let bytes = fs::read(file).unwrap();
            bytes.windows(text.len()).any(|window| window == text.as_bytes())
        })
        .map(|file| file.display().to_string())
        .collect()
}

async fn erase(store: &Store) -> Erased {
    let people = ["zephyrine", "lan"];
    store.erase_family(&[SESSION], &people, "N. N.", minutes_later(90)).await.unwrap()
}

#[tokio::test]
async fn after_a_family_was_erased_no_file_holds_a_trace_of_it() {
    let (folder, store) = fresh().await;
    whole_evening(&store).await;
    store.save_kit_ticks(SESSION, &["towels".to_owned()]).await.unwrap();
    // A long text spills over onto pages of its own, and an edited one leaves old ones behind.
    for length in [20_000, 9_000, 30] {
        let mut long = person("lan", "Thị Lan");
        long.phone = Some("Zephyrine ".repeat(length / 10));
        store.save_person(&long, now()).await.unwrap();
    }
    for trace in TRACES {
        assert_ne!(files_with(folder.path(), trace), Vec::<String>::new(), "{trace}");
    }
    erase(&store).await;
    for trace in TRACES {
        assert_eq!(files_with(folder.path(), trace), Vec::<String>::new(), "{trace}");
    }
    store.close().await;
    for trace in TRACES {
        assert_eq!(files_with(folder.path(), trace), Vec::<String>::new(), "{trace}");
    }
}

#[tokio::test]
async fn what_happened_stays_and_the_chain_holds() {
    let (_folder, store) = fresh().await;
    whole_evening(&store).await;
    let before = store.journal_head().await.unwrap();
    let erased = erase(&store).await;
    let expected = Erased {
        sessions: 1,
        people: 2,
        letters: 1,
        answers: 2,
        notices: 1,
        drafts: 1,
        field_events: 4,
        // Two people, the session, the letter, two answers, one notice, one batch from the field.
        contents: 8,
    };
    assert_eq!(erased, expected);
    let verdict = store.journal_verify(before).await.unwrap();
    assert!(verdict.holds());
    assert_eq!((verdict.entries, verdict.erased), (10, 8));

    let left = store.sessions().await.unwrap().remove(0);
    assert_eq!((left.sitter.as_str(), left.guardian.as_str()), ("N. N.", "N. N."));
    assert_eq!(left.start, session(SESSION, 3).start);
    assert_eq!(left.looks[0].name, "N. N.'s denim");
    assert_eq!(left.people, Vec::<String>::new());
    let kinds: Vec<_> = store
        .journal_of_session(&left.id)
        .await
        .unwrap()
        .into_iter()
        .map(|kept| (kept.entry.kind, kept.content, kept.erased_at))
        .collect();
    let when = Some(minutes_later(90));
    let gone = |kind| (kind, None, when);
    let expected = [
        gone(EntryKind::FieldLogged),
        gone(EntryKind::Told),
        gone(EntryKind::Answered),
        gone(EntryKind::Answered),
        gone(EntryKind::LetterSent),
        gone(EntryKind::SessionChanged),
    ];
    assert_eq!(kinds, expected);
    assert_eq!(store.letters_of(&left.id).await.unwrap(), Vec::new());
    assert_eq!(store.answers_of_session(&left.id).await.unwrap(), Vec::new());
    assert_eq!(store.letter("zephyrine-1").await.unwrap(), None);
    assert_eq!(store.last_told().await.unwrap(), None);
    assert_eq!(store.field_log(&left.id).await.unwrap(), KeptFieldLog::default());
    assert_eq!(store.told_about(&left.id).await.unwrap(), Vec::new());
    let ruling = store.newest_ruling(&left.id).await.unwrap().unwrap();
    assert_eq!(ruling.outlook.session, left.id);
    assert_eq!(store.forecast_figures(&left.id).await.unwrap()[0].session, left.id);
}

#[tokio::test]
async fn nothing_that_was_erased_comes_back_by_taking_a_change_back() {
    let (_folder, store) = fresh().await;
    whole_evening(&store).await;
    erase(&store).await;
    for change in 2..=4 {
        let refused = store.undo(ChangeId(change), now()).await;
        assert!(matches!(refused, Err(StoreError::Conflict { .. })), "{change}: {refused:?}");
    }
    let late = answer("zephyrine-1", SESSION, Choice::Keep, minutes_later(99));
    let refused = store.record_answer(&late).await;
    assert!(matches!(refused, Err(StoreError::Conflict { .. })), "{refused:?}");
}

#[tokio::test]
async fn other_families_keep_everything_but_the_ids_of_the_one_that_went() {
    let (folder, store) = fresh().await;
    whole_evening(&store).await;
    let mut other = session("2026-09-10-mai", 10);
    other.sitter = "Mai".to_owned();
    other.guardian = "Anh".to_owned();
    other.looks[0].name = "denim".to_owned();
    other.moved_from = Some(SESSION.to_owned());
    other.people = vec!["anh".to_owned(), "lan".to_owned()];
    store.save_person(&person("anh", "Anh"), now()).await.unwrap();
    store.save_session(&other, now()).await.unwrap();
    let mut to_other = letter("mai-1", &other.id, now());
    to_other.subject = "Mai's evening".to_owned();
    store.send_letter(&to_other).await.unwrap();
    erase(&store).await;
    let left = store.session("2026-09-10-mai").await.unwrap().unwrap();
    assert_eq!((left.sitter.as_str(), left.guardian.as_str()), ("Mai", "Anh"));
    assert_eq!(left.people, ["anh"]);
    let erased_id = store.sessions().await.unwrap()[0].id.clone();
    assert_eq!(left.moved_from, Some(erased_id));
    assert_eq!(store.person("anh").await.unwrap(), Some(person("anh", "Anh")));
    assert_eq!(store.letter("mai-1").await.unwrap(), Some(to_other));
    assert_eq!(files_with(folder.path(), SESSION), Vec::<String>::new());
    assert_eq!(files_with(folder.path(), "\"lan\""), Vec::<String>::new());
    assert!(store.journal_verify(None).await.unwrap().holds());
}

/// `%` and `_` stand for other letters in SQL; an id that holds them means only itself.
#[tokio::test]
async fn an_id_with_jokers_erases_only_its_own() {
    let (_folder, store) = fresh().await;
    for id in ["lan", "a%", "l_n", "%"] {
        store.save_person(&person(id, "Somebody"), now()).await.unwrap();
    }
    let erased = store.erase_family(&[], &["%", "l_n"], "N. N.", now()).await.unwrap();
    assert_eq!((erased.people, erased.contents), (2, 2));
    let ids: Vec<_> = store.people().await.unwrap().into_iter().map(|it| it.id).collect();
    assert_eq!(ids, ["a%", "lan"]);
}

#[tokio::test]
async fn erasing_twice_or_what_is_not_there_harms_nothing() {
    let (_folder, store) = fresh().await;
    whole_evening(&store).await;
    erase(&store).await;
    assert_eq!(erase(&store).await, Erased::default());
    assert!(store.journal_verify(None).await.unwrap().holds());
}

/// With its salt left, a text that can be guessed could be proved to have stood there.
#[tokio::test]
async fn salts_go_with_what_they_salted() {
    let (folder, store) = fresh().await;
    whole_evening(&store).await;
    erase(&store).await;
    let mut connection = raw(folder.path()).await;
    let rows: Vec<(bool, bool, bool)> = sqlx::query_as(
        "SELECT erased_at IS NULL, salt IS NULL, body IS NULL FROM journal_content ORDER BY seq",
    )
    .fetch_all(&mut connection)
    .await
    .unwrap();
    let (kept, gone) = ((true, false, false), (false, true, true));
    let expected = [kept, gone, gone, gone, gone, gone, gone, gone, gone, kept];
    assert_eq!(rows, expected);
}

/// What somebody is reading cannot be swept from under them. It is said, and can be done again.
#[tokio::test]
async fn whoever_reads_meanwhile_keeps_traces_in_the_log_until_it_is_done_again() {
    let (folder, store) = fresh().await;
    whole_evening(&store).await;
    let mut reader = raw(folder.path()).await;
    let mut reading = reader.begin().await.unwrap();
    let read = "SELECT COUNT(*) FROM journal";
    sqlx::query(read).execute(&mut *reading).await.unwrap();
    let people = ["zephyrine", "lan"];
    let erased = store.erase_family(&[SESSION], &people, "N. N.", now()).await;
    assert!(matches!(erased, Err(StoreError::InUse)), "{erased:?}");
    assert_eq!(store.person("lan").await.unwrap(), None);
    reading.rollback().await.unwrap();
    erase(&store).await;
    for trace in TRACES {
        assert_eq!(files_with(folder.path(), trace), Vec::<String>::new(), "{trace}");
    }
}

/// Whoever opened the file with another tool may have left freed pages as they were.
#[tokio::test]
async fn what_another_program_deleted_without_overwriting_goes_too() {
    let (folder, store) = fresh().await;
    whole_evening(&store).await;
    let mut other = raw(folder.path()).await;
    for statement in [
        "PRAGMA secure_delete = OFF",
        "INSERT INTO draft (session, subject, body, at) VALUES ('a', 'Zephyrine', \
         (SELECT group_concat(body) FROM journal_content), 0)",
        "DELETE FROM draft WHERE session = 'a'",
    ] {
        sqlx::query(statement).execute(&mut other).await.unwrap();
    }
    other.close().await.unwrap();
    erase(&store).await;
    for trace in TRACES {
        assert_eq!(files_with(folder.path(), trace), Vec::<String>::new(), "{trace}");
    }
}

/// The log of a session that was deleted stays, because deleting can be taken back; erasing the family
/// afterwards finds it by its people, or by the session that it was moved to.
#[tokio::test]
async fn erasing_finds_a_session_that_was_deleted_before() {
    for by_people in [true, false] {
        let (folder, store) = fresh().await;
        whole_evening(&store).await;
        let mut moved = session("2026-09-10-later", 10);
        moved.moved_from = Some(SESSION.to_owned());
        moved.people.clear();
        store.save_session(&moved, now()).await.unwrap();
        store.delete_session(SESSION, now()).await.unwrap().unwrap();
        assert_eq!(store.field_events(SESSION).await.unwrap().len(), 4);
        let people: &[&str] = if by_people { &["zephyrine", "lan"] } else { &[] };
        let sessions: &[&str] = if by_people { &[] } else { &["2026-09-10-later"] };
        let erased = store.erase_family(sessions, people, "N. N.", now()).await.unwrap();
        assert_eq!((erased.field_events, erased.letters), (4, 1), "by people: {by_people}");
        assert_eq!(store.field_log(SESSION).await.unwrap(), KeptFieldLog::default());
        for trace in ["holds the umbrella", "k3f9x2", "We keep the date"] {
            assert_eq!(files_with(folder.path(), trace), Vec::<String>::new(), "{trace}");
        }
        assert!(store.journal_verify(None).await.unwrap().holds());
    }
    // Another family's stays.
    let (_folder, store) = fresh().await;
    whole_evening(&store).await;
    store.delete_session(SESSION, now()).await.unwrap().unwrap();
    let erased = store.erase_family(&[], &["somebody"], "N. N.", now()).await.unwrap();
    assert_eq!((erased.field_events, store.field_events(SESSION).await.unwrap().len()), (0, 4));
}
