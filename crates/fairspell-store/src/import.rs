//! Bookings that come in from elsewhere, all or none of them.

use fairspell_studio::{Person, Session, journal::EntryKind};
use jiff::Timestamp;

use crate::{
    ChangeId, Store, StoreError,
    document::{Document, Noun, put},
    journal::{About, append},
};

/// What an import changed, in the order in which it was given.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Imported {
    /// One for each person.
    pub people: Vec<ChangeId>,
    /// One for each session.
    pub sessions: Vec<ChangeId>,
}

impl Store {
    /// Saves people and sessions that came in from elsewhere, all or none of them.
    ///
    /// - `origin`: from what, in the journal. A word of the program's, never a file's name: that may
    ///   name a family, and this entry is not erased with it.
    ///
    /// # Errors
    ///
    /// Those of writing.
    pub async fn import(
        &self,
        people: &[Person],
        sessions: &[Session],
        origin: &'static str,
        at: Timestamp,
    ) -> Result<Imported, StoreError> {
        let mut writing = self.begin().await?;
        let mut imported = Imported::default();
        for person in people {
            let document = Document::of_person(person)?;
            let change = put(&mut writing, Noun::Person, &person.id, Some(document), at, None);
            imported.people.push(change.await?);
        }
        for session in sessions {
            let document = Document::of_session(session)?;
            let change = put(&mut writing, Noun::Session, &session.id, Some(document), at, None);
            imported.sessions.push(change.await?);
        }
        let content = serde_json::json!({
            "origin": origin,
            "people": imported.people,
            "sessions": imported.sessions,
        });
        let body = content.to_string();
        append(&mut writing, at, EntryKind::Imported, &body, About::default()).await?;
        writing.commit().await?;
        Ok(imported)
    }
}
