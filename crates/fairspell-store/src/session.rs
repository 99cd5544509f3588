//! Sessions.

use fairspell_studio::Session;
use jiff::Timestamp;

use crate::{
    ChangeId, Store, StoreError,
    document::{Document, Noun},
};

impl Store {
    /// All sessions in the order of their start.
    ///
    /// # Errors
    ///
    /// Those of reading.
    pub async fn sessions(&self) -> Result<Vec<Session>, StoreError> {
        self.documents(Noun::Session).await
    }

    /// The session of an id.
    ///
    /// # Errors
    ///
    /// Those of reading.
    pub async fn session(&self, id: &str) -> Result<Option<Session>, StoreError> {
        self.document(Noun::Session, id).await
    }

    /// Saves a session under its id.
    ///
    /// # Errors
    ///
    /// Those of writing.
    pub async fn save_session(
        &self,
        session: &Session,
        at: Timestamp,
    ) -> Result<ChangeId, StoreError> {
        self.save(Noun::Session, &session.id, Document::of_session(session)?, at).await
    }

    /// Deletes a session; its letters and answers stay, for they were sent and given. `None` if there
    /// was none.
    ///
    /// # Errors
    ///
    /// Those of writing.
    pub async fn delete_session(
        &self,
        id: &str,
        at: Timestamp,
    ) -> Result<Option<ChangeId>, StoreError> {
        let deleted = self.delete(Noun::Session, id, at).await?;
        self.forget_kit_ticks(id).await?;
        Ok(deleted)
    }
}
