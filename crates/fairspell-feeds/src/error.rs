//! What can be wrong with the folder of readings, or with the means of fetching.

use std::{
    io,
    path::{Path, PathBuf},
};

/// Why readings could not be read, kept or fetched at all.
///
/// What a service does wrong is none of these: that is [`Fetched::Failed`](crate::Fetched).
#[derive(Debug, thiserror::Error)]
pub enum FeedsError {
    /// A file or folder that is there could not be read.
    #[error("read {}: {cause}", path.display())]
    Read {
        /// Which.
        path: PathBuf,
        /// What the system says.
        cause: io::Error,
    },
    /// A line of the list of what was fetched cannot be understood. Mend it by hand.
    #[error("understand {}: {problem}", list.display())]
    List {
        /// The list.
        list: PathBuf,
        /// What is wrong with it.
        problem: String,
    },
    /// A line of the list names a file outside the folder.
    #[error("{}: `{file}` leads out of the folder", list.display())]
    LeadsOut {
        /// The list.
        list: PathBuf,
        /// The file as written.
        file: String,
    },
    /// No room is left; what was there before is untouched. Make room, then fetch again.
    #[error("write {}: the disk is full", path.display())]
    DiskFull {
        /// What was to be written.
        path: PathBuf,
    },
    /// The folder cannot be written; what was there before is untouched.
    #[error("write {}: the folder is read-only", path.display())]
    ReadOnly {
        /// What was to be written.
        path: PathBuf,
    },
    /// Something else kept a file from being written; what was there before is untouched.
    #[error("write {}: {cause}", path.display())]
    Write {
        /// What was to be written.
        path: PathBuf,
        /// What the system says.
        cause: io::Error,
    },
    /// The means of fetching could not be set up.
    #[error("set up fetching: {0}")]
    Client(String),
}

impl FeedsError {
    pub(crate) fn reading(path: &Path, cause: io::Error) -> Self {
        FeedsError::Read { path: path.to_owned(), cause }
    }

    /// Sorts an error of writing by what can be done about it.
    pub(crate) fn writing(path: &Path, cause: io::Error) -> Self {
        let path = path.to_owned();
        match cause.kind() {
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => {
                FeedsError::DiskFull { path }
            }
            io::ErrorKind::ReadOnlyFilesystem | io::ErrorKind::PermissionDenied => {
                FeedsError::ReadOnly { path }
            }
            _ => FeedsError::Write { path, cause },
        }
    }
}
