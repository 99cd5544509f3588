//! The folder: who may have it open, and what can be wrong with it.

use std::{fs, path::Path};

use fairspell_store::{Store, StoreError};
use sqlx::{Connection, SqliteConnection, sqlite::SqliteConnectOptions};

use crate::world::{SESSION, fresh, minutes_later, now, session, studio, whole_evening};

/// A connection beside the store's, for what only a tamperer does.
pub(crate) async fn raw(folder: &Path) -> SqliteConnection {
    let options = SqliteConnectOptions::new().filename(folder.join("studio.db"));
    let options = options.foreign_keys(false);
    SqliteConnection::connect_with(&options).await.unwrap()
}

pub(crate) async fn execute(folder: &Path, statement: &'static str) {
    let mut connection = raw(folder).await;
    sqlx::query(statement).execute(&mut connection).await.unwrap();
    connection.close().await.unwrap();
}

#[tokio::test]
async fn what_was_kept_is_there_when_the_studio_is_opened_again() {
    let (folder, store) = fresh().await;
    whole_evening(&store).await;
    let head = store.journal_head().await.unwrap();
    store.close().await;
    let store = Store::open(folder.path(), now()).await.unwrap();
    assert_eq!(store.studio().await.unwrap(), Some(studio()));
    assert!(store.journal_verify(head).await.unwrap().holds());
}

#[tokio::test]
async fn a_studio_that_is_open_cannot_be_opened_a_second_time() {
    let (folder, store) = fresh().await;
    let second = Store::open(folder.path(), now()).await;
    assert!(matches!(second, Err(StoreError::InUse)), "{second:?}");
    let clone = store.clone();
    drop(store);
    let second = Store::open(folder.path(), now()).await;
    assert!(matches!(second, Err(StoreError::InUse)), "{second:?}");
    let says = second.unwrap_err().to_string();
    assert_eq!(says, "another program has this studio open: close it there, then try again");
    clone.close().await;
    Store::open(folder.path(), now()).await.unwrap();
}

#[tokio::test]
async fn who_only_looks_sees_what_is_written_meanwhile_and_writes_nothing() {
    let (folder, store) = fresh().await;
    let looking = Store::look(folder.path()).await.unwrap();
    assert!(store.may_write() && !looking.may_write());
    store.save_session(&session(SESSION, 3), now()).await.unwrap();
    assert_eq!(looking.session(SESSION).await.unwrap(), Some(session(SESSION, 3)));
    let refused = looking.save_studio(&studio(), now()).await;
    assert!(matches!(refused, Err(StoreError::ReadOnly)), "{refused:?}");
    let refused = looking.save_setting("a", &1).await;
    assert!(matches!(refused, Err(StoreError::ReadOnly)), "{refused:?}");
    assert_eq!(store.studio().await.unwrap(), None);
}

#[tokio::test]
async fn looking_makes_nothing_where_nothing_is() {
    let folder = tempfile::tempdir().unwrap();
    for path in [folder.path().to_owned(), folder.path().join("missing")] {
        let looked = Store::look(&path).await;
        assert!(matches!(looked, Err(StoreError::NotThere)), "{looked:?}");
    }
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 0);
}

/// On a medium that cannot be written the log's index cannot be made. A folder in its place keeps
/// even an administrator from making it.
#[tokio::test]
async fn a_studio_on_a_medium_that_cannot_be_written_can_be_looked_at() {
    let (folder, store) = fresh().await;
    store.save_session(&session(SESSION, 3), now()).await.unwrap();
    store.close().await;
    fs::create_dir(folder.path().join("studio.db-shm")).unwrap();
    let looking = Store::look(folder.path()).await.unwrap();
    assert_eq!(looking.session(SESSION).await.unwrap(), Some(session(SESSION, 3)));
    assert!(looking.journal_verify(None).await.unwrap().holds());
}

#[tokio::test]
async fn a_file_in_the_folders_place_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("file");
    fs::write(&file, "a file").unwrap();
    assert!(Store::open(&file, now()).await.is_err());
    assert_eq!(fs::read(&file).unwrap(), b"a file");
}

#[tokio::test]
async fn what_is_no_database_is_called_damaged_and_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("studio.db");
    fs::write(&file, "not a database, but a letter to somebody").unwrap();
    let opened = Store::open(folder.path(), now()).await;
    assert!(matches!(opened, Err(StoreError::Damaged { .. })), "{opened:?}");
    let looked = Store::look(folder.path()).await;
    assert!(matches!(looked, Err(StoreError::Damaged { .. })), "{looked:?}");
    assert_eq!(fs::read(&file).unwrap(), b"not a database, but a letter to somebody");
}

#[tokio::test]
async fn a_damaged_page_is_called_damaged() {
    let (folder, store) = fresh().await;
    whole_evening(&store).await;
    store.close().await;
    let file = folder.path().join("studio.db");
    let mut bytes = fs::read(&file).unwrap();
    bytes[4096..].fill(0xA5);
    fs::write(&file, bytes).unwrap();
    let read = async {
        let store = Store::look(folder.path()).await?;
        store.journal_verify(None).await
    };
    let read = read.await;
    assert!(matches!(read, Err(StoreError::Damaged { .. })), "{read:?}");
}

#[tokio::test]
async fn a_document_that_is_not_ours_is_called_damaged_without_repeating_it() {
    let (folder, store) = fresh().await;
    store.save_studio(&studio(), now()).await.unwrap();
    execute(folder.path(), "UPDATE document SET body = '{\"name\": \"Zephyrine\"}'").await;
    let error = store.studio().await.unwrap_err();
    assert!(matches!(error, StoreError::Damaged { .. }), "{error:?}");
    assert!(!error.to_string().contains("Zephyrine"), "{error}");
}

#[tokio::test]
async fn a_newer_studio_is_neither_opened_nor_looked_at() {
    let (folder, store) = fresh().await;
    store.close().await;
    execute(
        folder.path(),
        "INSERT INTO _sqlx_migrations (version, description, success, checksum, execution_time) \
         VALUES (9999, 'from the future', TRUE, x'00', 0)",
    )
    .await;
    let opened = Store::open(folder.path(), now()).await;
    assert!(matches!(opened, Err(StoreError::NewerVersion { found: 9999, .. })), "{opened:?}");
    let looked = Store::look(folder.path()).await;
    assert!(matches!(looked, Err(StoreError::NewerVersion { found: 9999, .. })), "{looked:?}");
}

#[tokio::test]
async fn an_older_studio_has_to_be_opened_before_it_can_be_looked_at() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("studio.db"), "").unwrap();
    let looked = Store::look(folder.path()).await;
    assert!(matches!(looked, Err(StoreError::OlderVersion { found: 0, .. })), "{looked:?}");
    Store::open(folder.path(), now()).await.unwrap().close().await;
    Store::look(folder.path()).await.unwrap();
}

#[tokio::test]
async fn sign_ins_that_expired_while_the_studio_was_closed_are_forgotten() {
    let (folder, store) = fresh().await;
    whole_evening(&store).await;
    store.close().await;
    let months_later = minutes_later(60 * 24 * 90);
    let store = Store::open(folder.path(), months_later).await.unwrap();
    assert_eq!(store.sign_ins(now()).await.unwrap(), Vec::new());
}

#[cfg(unix)]
#[tokio::test]
async fn nobody_else_on_the_computer_may_read_the_studio() {
    use std::os::unix::fs::PermissionsExt;
    let folder = tempfile::tempdir().unwrap();
    let studio_folder = folder.path().join("studios/dune");
    let store = Store::open(&studio_folder, now()).await.unwrap();
    whole_evening(&store).await;
    assert_eq!(fs::metadata(&studio_folder).unwrap().permissions().mode() & 0o777, 0o700);
    for file in fs::read_dir(&studio_folder).unwrap() {
        let file = file.unwrap();
        let mode = file.metadata().unwrap().permissions().mode() & 0o777;
        assert_eq!(mode, 0o600, "{}", file.path().display());
    }
}
