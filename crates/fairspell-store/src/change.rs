//! Changes, and taking them back.
//!
//! Every save and every deletion is an entry of the journal that holds the document before and after
//! it. Its number is the [`ChangeId`] by which it can be taken back, as long as nothing has changed
//! the same document since.

use std::{fmt, str::FromStr};

use fairspell_studio::{Person, Session, Studio, journal::EntryKind};
use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;
use sqlx::SqliteConnection;

use crate::{
    Store, StoreError,
    document::{Document, Noun, body_of, put},
    values::{from_json, row_number},
};

/// A change that can be taken back: the number of its entry in the journal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct ChangeId(pub u64);

impl fmt::Display for ChangeId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl FromStr for ChangeId {
    type Err = std::num::ParseIntError;

    fn from_str(text: &str) -> Result<ChangeId, std::num::ParseIntError> {
        text.parse().map(ChangeId)
    }
}

/// What taking a change back did.
#[derive(Debug, Clone, PartialEq)]
pub struct Undone {
    /// A change itself: taking it back does the first one again.
    pub change: ChangeId,
    /// What stands there now.
    pub restored: Restored,
}

/// A document as it was before a change; `None` where there had been none.
#[derive(Debug, Clone, PartialEq)]
pub enum Restored {
    /// The studio.
    Studio(Option<Box<Studio>>),
    /// A session.
    Session {
        /// Which.
        id: String,
        /// As it was.
        session: Option<Session>,
    },
    /// A person.
    Person {
        /// Which.
        id: String,
        /// As it was.
        person: Option<Person>,
    },
}

/// What the journal holds of a change. Bodies are kept letter by letter as they stood in the table,
/// so that comparing them later compares what was written, not what was read.
#[derive(Serialize, Deserialize)]
pub(crate) struct Change {
    pub(crate) noun: Noun,
    pub(crate) id: String,
    pub(crate) before: Option<Box<RawValue>>,
    pub(crate) after: Option<Box<RawValue>>,
    /// The change that this one took back.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) undid: Option<ChangeId>,
}

impl Store {
    /// Takes a change back: what stood there before it stands there again.
    ///
    /// # Errors
    ///
    /// [`StoreError::Conflict`] if there is no such change, if the document has changed since, or if
    /// the change was erased; otherwise those of writing.
    pub async fn undo(&self, change: ChangeId, at: Timestamp) -> Result<Undone, StoreError> {
        let mut writing = self.begin().await?;
        let Change { noun, id, before, after, .. } = recorded(&mut writing, change).await?;
        let now = body_of(&mut writing, noun, &id).await?;
        if now.as_deref() != after.as_ref().map(|body| body.get()) {
            return Err(StoreError::Conflict { why: "it was changed again since" });
        }
        let before = before.as_ref().map(|body| body.get());
        let (restored, document) = restored(noun, id.clone(), before)?;
        let change = put(&mut writing, noun, &id, document, at, Some(change)).await?;
        writing.commit().await?;
        Ok(Undone { change, restored })
    }
}

/// A change as the journal holds it.
async fn recorded(
    connection: &mut SqliteConnection,
    change: ChangeId,
) -> Result<Change, StoreError> {
    let row: Option<(String, Option<String>)> = sqlx::query_as(
        "SELECT j.kind, c.body FROM journal j JOIN journal_content c ON c.seq = j.seq \
         WHERE j.seq = $1",
    )
    .bind(row_number(change.0))
    .fetch_optional(connection)
    .await?;
    let changes = [
        EntryKind::StudioChanged,
        EntryKind::SessionChanged,
        EntryKind::PersonChanged,
        EntryKind::Undone,
    ];
    match row {
        Some((kind, body)) if changes.iter().any(|change| change.as_str() == kind) => match body {
            Some(body) => from_json("a change", &body),
            None => Err(StoreError::Conflict { why: "it was erased" }),
        },
        _ => Err(StoreError::Conflict { why: "there is no such change" }),
    }
}

/// A body as the value it is and as the document to write.
fn restored(
    noun: Noun,
    id: String,
    body: Option<&str>,
) -> Result<(Restored, Option<Document>), StoreError> {
    let with_body = |document: Document, body: &str| Document { body: body.to_owned(), ..document };
    Ok(match noun {
        Noun::Studio => {
            let studio = body.map(|body| from_json("studio", body)).transpose()?;
            let document = studio.as_ref().map(Document::of_studio).transpose()?;
            (
                Restored::Studio(studio.map(Box::new)),
                document.zip(body).map(|(d, b)| with_body(d, b)),
            )
        }
        Noun::Session => {
            let session = body.map(|body| from_json("session", body)).transpose()?;
            let document = session.as_ref().map(Document::of_session).transpose()?;
            (Restored::Session { id, session }, document.zip(body).map(|(d, b)| with_body(d, b)))
        }
        Noun::Person => {
            let person = body.map(|body| from_json("person", body)).transpose()?;
            let document = person.as_ref().map(Document::of_person).transpose()?;
            (Restored::Person { id, person }, document.zip(body).map(|(d, b)| with_body(d, b)))
        }
    })
}
