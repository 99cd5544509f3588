//! What can go wrong, by what the caller may do about it.

use std::{error::Error, io};

use sqlx::migrate::MigrateError;

/// Why the studio could not be read or written.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// Another program has it open. Nothing was changed; close the other one, or try again.
    #[error("another program has this studio open: close it there, then try again")]
    InUse,
    /// There is no studio in this folder.
    #[error("there is no studio in this folder")]
    NotThere,
    /// There is no backup under this name.
    #[error("there is no backup under this name")]
    NoBackup,
    /// It can be read, but not written. Nothing was changed.
    #[error("the studio's folder cannot be written to")]
    ReadOnly,
    /// There is no room left. Nothing was changed, and what was kept before is still there.
    #[error("the disk is full")]
    DiskFull,
    /// It was written by a newer version of the program, which has to be used here.
    #[error("its tables are of version {found}, and this program knows them up to {known}")]
    NewerVersion {
        /// The version found.
        found: i64,
        /// The newest one we know.
        known: i64,
    },
    /// It was written by an older version; opening it once for writing brings it up to date.
    #[error("its tables are of version {found}, before this program's {known}")]
    OlderVersion {
        /// The version found.
        found: i64,
        /// The one we read.
        known: i64,
    },
    /// What is there is not what was written. Restore a backup.
    #[error("damaged: {what}")]
    Damaged {
        /// What does not fit.
        what: String,
    },
    /// What was asked for is not possible, or not any more. Nothing was changed; show how things stand now.
    #[error("not possible: {why}")]
    Conflict {
        /// Why.
        why: &'static str,
    },
    /// Something else; only its cause can say more.
    #[error(transparent)]
    Other(Box<dyn Error + Send + Sync>),
}

impl StoreError {
    pub(crate) fn damaged(what: impl Into<String>) -> StoreError {
        StoreError::Damaged { what: what.into() }
    }
}

impl From<sqlx::Error> for StoreError {
    fn from(error: sqlx::Error) -> StoreError {
        let code = error
            .as_database_error()
            .and_then(sqlx::error::DatabaseError::code)
            .and_then(|code| code.parse::<i32>().ok());
        // SQLite's result codes, https://www.sqlite.org/rescode.html: the primary one is the lowest
        // byte, whatever else the extended one adds.
        match code.map(|code| code & 0xff) {
            Some(5 | 6) => StoreError::InUse,
            Some(8) => StoreError::ReadOnly,
            Some(13) => StoreError::DiskFull,
            Some(11 | 26) => StoreError::damaged(error.to_string()),
            _ => match error {
                sqlx::Error::Io(error) => error.into(),
                error => StoreError::Other(error.into()),
            },
        }
    }
}

impl From<MigrateError> for StoreError {
    fn from(error: MigrateError) -> StoreError {
        match error {
            MigrateError::Execute(error) | MigrateError::ExecuteMigration(error, _) => error.into(),
            MigrateError::VersionMissing(found) => {
                StoreError::NewerVersion { found, known: crate::store::known_version() }
            }
            error @ (MigrateError::VersionMismatch(_) | MigrateError::Dirty(_)) => {
                StoreError::damaged(error.to_string())
            }
            error => StoreError::Other(error.into()),
        }
    }
}

impl From<io::Error> for StoreError {
    fn from(error: io::Error) -> StoreError {
        match error.kind() {
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => StoreError::DiskFull,
            io::ErrorKind::ReadOnlyFilesystem | io::ErrorKind::PermissionDenied => {
                StoreError::ReadOnly
            }
            io::ErrorKind::NotFound => StoreError::NotThere,
            _ => StoreError::Other(error.into()),
        }
    }
}
