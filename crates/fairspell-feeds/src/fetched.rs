//! What came of asking a feed.

use std::{fmt, path::PathBuf};

use jiff::Timestamp;
use serde::{Deserialize, Serialize};

/// What came of asking a feed once.
#[derive(Debug, Clone, PartialEq)]
pub enum Fetched {
    /// New readings were kept: one from the web, one or more out of a folder.
    New {
        /// Where they lie, relative to the folder of readings.
        files: Vec<PathBuf>,
        /// What is odd about them.
        remarks: Vec<FetchRemark>,
    },
    /// The service says that nothing has changed.
    NotModified,
    /// The service sent again what we have.
    SameAsBefore,
    /// It was not asked: it wants to be left alone for longer.
    TooEarly {
        /// Until then.
        until: Timestamp,
    },
    /// It brought nothing that counts.
    Failed {
        /// Why.
        why: Why,
        /// When it is asked again.
        next_at: Timestamp,
    },
}

/// What is odd about a reading that was kept all the same.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum FetchRemark {
    /// It was made before the one that we have: a cache on the way hands out old ones.
    OlderThanBefore {
        /// When this one was made.
        made: Timestamp,
        /// When the other one was.
        before: Timestamp,
    },
    /// The service says that this address will cease (status 203 of MET Norway).
    Ceasing,
    /// One file of several was put aside.
    PutAside {
        /// Its name.
        file: String,
        /// Why.
        why: Why,
    },
}

/// Why a feed brought nothing that counts.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, thiserror::Error)]
#[serde(rename_all = "snake_case")]
pub enum Why {
    /// It took too long.
    #[error("no whole answer in time")]
    TimedOut,
    /// No connection.
    #[error("cannot reach it: {cause}")]
    Unreachable {
        /// What the system says.
        cause: String,
    },
    /// The service has nothing for this place.
    #[error("the service does not cover the place")]
    NotCovering,
    /// It answered with an error.
    #[error("status {status}: {said}")]
    Status {
        /// The status.
        status: u16,
        /// What it says, cut short.
        said: String,
    },
    /// The answer broke off.
    #[error("the answer broke off")]
    Truncated,
    /// The answer is longer than anything we expect.
    #[error("longer than {most_bytes} bytes")]
    TooLong {
        /// The bound.
        most_bytes: u64,
    },
    /// It sent a page for people.
    #[error("a web page instead of data")]
    WebPage,
    /// It sent something that cannot be read.
    #[error("{cause}")]
    Unreadable {
        /// What the reader says.
        cause: String,
    },
    /// It sent a list of warnings made well before the one that we have: what it does not name may
    /// be in force.
    #[error("made at {made}, before the one of {before}")]
    Old {
        /// When this one was made.
        made: Timestamp,
        /// When the other one was.
        before: Timestamp,
    },
    /// It leads to where nothing is ever fetched from, or in circles.
    #[error("will not go to {to}: {cause}")]
    Astray {
        /// The host that it leads to.
        to: String,
        /// Why not.
        cause: Astray,
    },
    /// The watched folder is not there, or cannot be read.
    #[error("cannot read the folder: {cause}")]
    Folder {
        /// What the system says.
        cause: String,
    },
}

/// How much of a foreign text is kept, characters.
const TEXT_MAX: usize = 200;

impl Why {
    /// That an address is not gone to. Of the address only the host is named: the rest of it says
    /// where the studio works.
    pub(crate) fn astray(to: &str, cause: Astray) -> Why {
        let is_end = |at: &usize| to[..*at].matches('/').count() >= 2;
        let ends = to.match_indices(['/', '?', '#']).map(|(at, _)| at);
        let end = ends.filter(is_end).min().unwrap_or(to.len());
        // Nor is a password that stands before the host.
        let host = to[..end].rsplit('@').next().unwrap_or_default();
        Why::Astray { to: host.chars().take(TEXT_MAX).collect(), cause }
    }
}

/// That something cannot be read, in the reader's words, which may quote a foreign text at length.
pub(crate) fn unreadable(error: &impl ToString) -> Why {
    Why::Unreadable { cause: error.to_string().chars().take(TEXT_MAX).collect() }
}

/// Why an address is not gone to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Astray {
    /// It is no address.
    NoAddress,
    /// Neither `http` nor `https`, or a step down from `https`.
    Scheme,
    /// This machine, a private network, or an address that is nobody's.
    NotPublic,
    /// It holds a name and a password.
    Credentials,
    /// One redirect too many.
    TooManyRedirects,
}

impl fmt::Display for Astray {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Astray::NoAddress => "it is no address",
            Astray::Scheme => "its scheme",
            Astray::NotPublic => "it is not on the public network",
            Astray::Credentials => "it holds a password",
            Astray::TooManyRedirects => "too many redirects",
        })
    }
}
