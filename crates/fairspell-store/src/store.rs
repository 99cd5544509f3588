//! The studio's folder, opened: its database and its lock.

use std::{
    fs::{File, TryLockError},
    path::{Path, PathBuf},
    sync::Arc,
    time::Duration,
};

use jiff::Timestamp;
use sqlx::{
    ConnectOptions, Sqlite, SqlitePool, Transaction,
    migrate::Migrator,
    sqlite::{SqliteConnectOptions, SqliteJournalMode, SqlitePoolOptions, SqliteSynchronous},
};

use crate::{StoreError, private};

/// The database's name in the studio's folder.
pub const DATABASE: &str = "studio.db";
const LOCK: &str = "studio.lock";

/// How long one writer waits for another before it gives up.
const BUSY_TIMEOUT: Duration = Duration::from_secs(5);
/// A page reads while an answer is written; more than a few at once are never needed.
const CONNECTIONS: u32 = 4;

static MIGRATIONS: Migrator = sqlx::migrate!();

/// The newest version of the tables that this program knows.
pub(crate) fn known_version() -> i64 {
    MIGRATIONS.iter().map(|migration| migration.version).max().unwrap_or(0)
}

/// One studio, open. Clones share it; the last one to go lets the folder go.
#[derive(Debug, Clone)]
pub struct Store {
    inner: Arc<Inner>,
}

#[derive(Debug)]
struct Inner {
    pool: SqlitePool,
    folder: PathBuf,
    /// Held as long as we may write; the operating system lets it go with the process.
    lock: Option<File>,
}

impl Store {
    /// Opens a studio's folder for reading and writing, made and brought up to date where needed.
    /// Sign-ins that have expired by `now` are forgotten.
    ///
    /// # Errors
    ///
    /// [`StoreError::InUse`] while another process has it open, [`StoreError::ReadOnly`],
    /// [`StoreError::DiskFull`], [`StoreError::NewerVersion`], and [`StoreError::Damaged`] for a file
    /// that is no database of ours.
    pub async fn open(folder: &Path, now: Timestamp) -> Result<Store, StoreError> {
        private::create_folder(folder)?;
        let lock = take_lock(&folder.join(LOCK))?;
        // The family's names are nobody else's business, so the file is made before SQLite makes it.
        let database = folder.join(DATABASE);
        private::open_file(&database)?;
        let store = Store::connect(folder, Some(lock), options_for_writing(&database)).await?;
        MIGRATIONS.run(&store.inner.pool).await?;
        store.forget_expired_sign_ins(now).await?;
        Ok(store)
    }

    /// Opens an existing studio for reading, also while another process writes to it.
    ///
    /// # Errors
    ///
    /// [`StoreError::NotThere`], [`StoreError::NewerVersion`], [`StoreError::OlderVersion`] and
    /// [`StoreError::Damaged`]; every function that writes then gives [`StoreError::ReadOnly`].
    pub async fn look(folder: &Path) -> Result<Store, StoreError> {
        let database = folder.join(DATABASE);
        if !database.is_file() {
            return Err(StoreError::NotThere);
        }
        let store = match Store::look_with(&database, false).await {
            // On a medium that cannot be written SQLite finds no room for the index of its log. Where
            // no log waits to be read, the file alone is the whole truth.
            Err(StoreError::Other(_) | StoreError::ReadOnly) if !has_log(&database) => {
                Store::look_with(&database, true).await
            }
            looked => looked,
        }?;
        Ok(store)
    }

    /// Opens a database that nobody else uses or will write to.
    pub(crate) async fn look_at_copy(database: &Path) -> Result<Store, StoreError> {
        Store::look_with(database, true).await
    }

    async fn look_with(database: &Path, immutable: bool) -> Result<Store, StoreError> {
        let options = options(database).read_only(true).immutable(immutable);
        let folder = database.parent().unwrap_or(Path::new(""));
        let store = Store::connect(folder, None, options).await?;
        let applied = "SELECT COALESCE(MAX(version), 0) FROM _sqlx_migrations";
        let found: i64 = match sqlx::query_scalar(applied).fetch_one(store.pool()).await {
            Err(sqlx::Error::Database(error)) if error.message().contains("no such table") => 0,
            found => found?,
        };
        let known = known_version();
        match found {
            found if found > known => Err(StoreError::NewerVersion { found, known }),
            found if found < known => Err(StoreError::OlderVersion { found, known }),
            _ => Ok(store),
        }
    }

    async fn connect(
        folder: &Path,
        lock: Option<File>,
        options: SqliteConnectOptions,
    ) -> Result<Store, StoreError> {
        let pool = SqlitePoolOptions::new().max_connections(CONNECTIONS);
        let pool = pool.connect_with(options.disable_statement_logging()).await?;
        Ok(Store { inner: Arc::new(Inner { pool, folder: folder.to_owned(), lock }) })
    }

    /// Closes the database properly, so that its log is folded into it. Other clones find it closed.
    pub async fn close(self) {
        self.inner.pool.close().await;
    }

    /// The studio's folder.
    pub fn folder(&self) -> &Path {
        &self.inner.folder
    }

    /// Whether it was opened for writing.
    pub fn may_write(&self) -> bool {
        self.inner.lock.is_some()
    }

    pub(crate) fn pool(&self) -> &SqlitePool {
        &self.inner.pool
    }

    /// Begins what has to happen together. One writer at a time: what is read here stays true until
    /// it is committed, and what is not committed has not happened.
    pub(crate) async fn begin(&self) -> Result<Transaction<'static, Sqlite>, StoreError> {
        Ok(self.inner.pool.begin_with("BEGIN IMMEDIATE").await?)
    }
}

fn options(database: &Path) -> SqliteConnectOptions {
    SqliteConnectOptions::new()
        .filename(database)
        .busy_timeout(BUSY_TIMEOUT)
        .foreign_keys(true)
        // What is sorted or rewritten on the way leaves no copy in a temporary file.
        .pragma("temp_store", "MEMORY")
}

fn options_for_writing(database: &Path) -> SqliteConnectOptions {
    options(database)
        .journal_mode(SqliteJournalMode::Wal)
        // A receipt that was given out survives a power cut.
        .synchronous(SqliteSynchronous::Full)
        // What was erased is overwritten, not only unlinked.
        .pragma("secure_delete", "ON")
}

fn take_lock(path: &Path) -> Result<File, StoreError> {
    let lock = private::open_file(path)?;
    match lock.try_lock() {
        Ok(()) => Ok(lock),
        Err(TryLockError::WouldBlock) => Err(StoreError::InUse),
        Err(TryLockError::Error(error)) => Err(error.into()),
    }
}

/// Whether the write-ahead log holds what is not in the database yet.
fn has_log(database: &Path) -> bool {
    database.with_extension("db-wal").metadata().is_ok_and(|log| log.len() > 0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn now() -> Timestamp {
        "2026-09-03T00:00:00Z".parse().unwrap()
    }

    /// A store with some things in it, opened again with one more pragma: it stands for a disk that
    /// nobody can provoke in a test.
    async fn opened_with(pragma: &'static str, value: String) -> (tempfile::TempDir, Store) {
        let folder = tempfile::tempdir().unwrap();
        let store = Store::open(folder.path(), now()).await.unwrap();
        store.remember_notice("before", "band", None, now(), "words").await.unwrap();
        store.close().await;
        let lock = Some(take_lock(&folder.path().join(LOCK)).unwrap());
        let options = options_for_writing(&folder.path().join(DATABASE)).pragma(pragma, value);
        let store = Store::connect(folder.path(), lock, options).await.unwrap();
        (folder, store)
    }

    async fn is_as_before(store: &Store) {
        let entries = store.journal_entries(10, 0).await.unwrap();
        assert_eq!(entries.len(), 1);
        assert!(store.journal_verify(None).await.unwrap().holds());
    }

    #[tokio::test]
    async fn on_a_full_disk_nothing_is_changed_and_all_can_be_read() {
        // Fewer pages than there are already: then SQLite takes those for the most there may be.
        let (_folder, store) = opened_with("max_page_count", "1".to_owned()).await;
        let words = "words ".repeat(10_000);
        let told = store.remember_notice("after", "band", None, now(), &words).await;
        assert!(matches!(told, Err(StoreError::DiskFull)), "{told:?}");
        let kept = store.save_setting("after", &words).await;
        assert!(matches!(kept, Err(StoreError::DiskFull)), "{kept:?}");
        is_as_before(&store).await;
        assert_eq!(store.setting::<String>("after").await.unwrap(), None);
    }

    #[tokio::test]
    async fn where_nothing_can_be_written_nothing_is_changed_and_all_can_be_read() {
        let (_folder, store) = opened_with("query_only", "ON".to_owned()).await;
        let told = store.remember_notice("after", "band", None, now(), "words").await;
        assert!(matches!(told, Err(StoreError::ReadOnly)), "{told:?}");
        is_as_before(&store).await;
    }
}
