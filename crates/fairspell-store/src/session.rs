//! Sessions.

use fairspell_studio::Session;
use jiff::Timestamp;

use crate::{
    ChangeId, Store, StoreError,
    document::{Document, Noun, body_of, put},
    kit::forget_kit_ticks,
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

    /// Deletes a session, so that it can be taken back. Its letters, its answers and its log from the
    /// field stay, for they were sent, given and tapped: they are there again with the session, and
    /// [`Store::erase_family`] finds them without it. `None` if there was none.
    ///
    /// # Errors
    ///
    /// Those of writing.
    pub async fn delete_session(
        &self,
        id: &str,
        at: Timestamp,
    ) -> Result<Option<ChangeId>, StoreError> {
        let mut writing = self.begin().await?;
        if body_of(&mut writing, Noun::Session, id).await?.is_none() {
            return Ok(None);
        }
        let change = put(&mut writing, Noun::Session, id, None, at, None).await?;
        forget_kit_ticks(&mut writing, id).await?;
        writing.commit().await?;
        Ok(Some(change))
    }
}
