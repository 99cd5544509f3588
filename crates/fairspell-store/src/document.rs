//! What she edits (studio, sessions, people) as documents: read, saved and deleted alike.

use fairspell_studio::{Person, Session, Studio, journal::EntryKind};
use jiff::Timestamp;
use serde::{Deserialize, Serialize, de::DeserializeOwned};
use serde_json::value::RawValue;
use sqlx::SqliteConnection;

use crate::{
    ChangeId, Store, StoreError,
    change::Change,
    journal::{About, append},
    values::{from_json, to_json},
};

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(crate) enum Noun {
    Studio,
    Session,
    Person,
}

impl Noun {
    pub(crate) fn as_str(self) -> &'static str {
        match self {
            Noun::Studio => "studio",
            Noun::Session => "session",
            Noun::Person => "person",
        }
    }

    fn changed(self) -> EntryKind {
        match self {
            Noun::Studio => EntryKind::StudioChanged,
            Noun::Session => EntryKind::SessionChanged,
            Noun::Person => EntryKind::PersonChanged,
        }
    }

    fn about(self, id: &str) -> About<'_> {
        match self {
            Noun::Studio => About::default(),
            Noun::Session => About { session: Some(id), person: None },
            Noun::Person => About { session: None, person: Some(id) },
        }
    }
}

/// A document as it stands in its table.
pub(crate) struct Document {
    pub(crate) sort_key: String,
    pub(crate) body: String,
}

impl Document {
    pub(crate) fn of_studio(studio: &Studio) -> Result<Document, StoreError> {
        Ok(Document { sort_key: String::new(), body: to_json(studio)? })
    }

    /// A civil time sorts by its letters.
    pub(crate) fn of_session(session: &Session) -> Result<Document, StoreError> {
        Ok(Document { sort_key: session.start.to_string(), body: to_json(session)? })
    }

    pub(crate) fn of_person(person: &Person) -> Result<Document, StoreError> {
        Ok(Document { sort_key: person.name.to_lowercase(), body: to_json(person)? })
    }
}

impl Store {
    pub(crate) async fn document<T: DeserializeOwned>(
        &self,
        noun: Noun,
        id: &str,
    ) -> Result<Option<T>, StoreError> {
        let mut connection = self.pool().acquire().await?;
        let body = body_of(&mut connection, noun, id).await?;
        body.map(|body| from_json(noun.as_str(), &body)).transpose()
    }

    pub(crate) async fn documents<T: DeserializeOwned>(
        &self,
        noun: Noun,
    ) -> Result<Vec<T>, StoreError> {
        let bodies: Vec<String> =
            sqlx::query_scalar("SELECT body FROM document WHERE noun = $1 ORDER BY sort_key, id")
                .bind(noun.as_str())
                .fetch_all(self.pool())
                .await?;
        bodies.iter().map(|body| from_json(noun.as_str(), body)).collect()
    }

    pub(crate) async fn save(
        &self,
        noun: Noun,
        id: &str,
        document: Document,
        at: Timestamp,
    ) -> Result<ChangeId, StoreError> {
        let mut writing = self.begin().await?;
        let change = put(&mut writing, noun, id, Some(document), at, None).await?;
        writing.commit().await?;
        Ok(change)
    }

    pub(crate) async fn delete(
        &self,
        noun: Noun,
        id: &str,
        at: Timestamp,
    ) -> Result<Option<ChangeId>, StoreError> {
        let mut writing = self.begin().await?;
        if body_of(&mut writing, noun, id).await?.is_none() {
            return Ok(None);
        }
        let change = put(&mut writing, noun, id, None, at, None).await?;
        writing.commit().await?;
        Ok(Some(change))
    }
}

/// Writes a document, or takes it away, and records it.
pub(crate) async fn put(
    connection: &mut SqliteConnection,
    noun: Noun,
    id: &str,
    document: Option<Document>,
    at: Timestamp,
    undid: Option<ChangeId>,
) -> Result<ChangeId, StoreError> {
    let before = body_of(connection, noun, id).await?.map(raw).transpose()?;
    write_document(connection, noun, id, document.as_ref()).await?;
    let after = document.map(|document| raw(document.body)).transpose()?;
    let kind = if undid.is_some() { EntryKind::Undone } else { noun.changed() };
    let body = to_json(&Change { noun, id: id.to_owned(), before, after, undid })?;
    let entry = append(connection, at, kind, &body, noun.about(id)).await?;
    Ok(ChangeId(entry.seq))
}

/// Writes a document, or takes it away, without a word in the journal.
pub(crate) async fn write_document(
    connection: &mut SqliteConnection,
    noun: Noun,
    id: &str,
    document: Option<&Document>,
) -> Result<(), StoreError> {
    let query = match document {
        Some(document) => sqlx::query(
            "INSERT INTO document (noun, id, sort_key, body) VALUES ($1, $2, $3, $4) \
             ON CONFLICT (noun, id) DO UPDATE \
             SET sort_key = excluded.sort_key, body = excluded.body",
        )
        .bind(noun.as_str())
        .bind(id)
        .bind(&document.sort_key)
        .bind(&document.body),
        None => sqlx::query("DELETE FROM document WHERE noun = $1 AND id = $2")
            .bind(noun.as_str())
            .bind(id),
    };
    query.execute(connection).await?;
    Ok(())
}

pub(crate) async fn body_of(
    connection: &mut SqliteConnection,
    noun: Noun,
    id: &str,
) -> Result<Option<String>, StoreError> {
    let body = sqlx::query_scalar("SELECT body FROM document WHERE noun = $1 AND id = $2")
        .bind(noun.as_str())
        .bind(id)
        .fetch_optional(connection)
        .await?;
    Ok(body)
}

fn raw(body: String) -> Result<Box<RawValue>, StoreError> {
    RawValue::from_string(body).map_err(|_| StoreError::damaged("a document is no JSON"))
}
