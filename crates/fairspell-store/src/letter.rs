//! Letters as they were sent, and the ones still being written.

use fairspell_studio::{
    SentLetter,
    journal::{Digest, EntryKind},
};
use jiff::Timestamp;

use crate::{
    Store, StoreError,
    journal::{About, append},
    values::{from_json, millis, row_number, timestamp, to_json},
};

/// A letter that is still being written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Draft {
    /// Its first glance.
    pub subject: String,
    /// Its text so far.
    pub body: String,
    /// When it was last worked on.
    pub at: Timestamp,
}

impl Store {
    /// Records a letter as sent, with all it rested on, and drops the session's draft. It is never
    /// changed afterwards. Returns the salted digest under which the journal holds it.
    ///
    /// # Errors
    ///
    /// [`StoreError::Conflict`] if a letter of this id was sent before; otherwise those of writing.
    pub async fn send_letter(&self, letter: &SentLetter) -> Result<Digest, StoreError> {
        let mut writing = self.begin().await?;
        let sent_before: Option<i64> = sqlx::query_scalar("SELECT seq FROM letter WHERE id = $1")
            .bind(&letter.id)
            .fetch_optional(&mut *writing)
            .await?;
        if sent_before.is_some() {
            return Err(StoreError::Conflict { why: "this letter was sent already" });
        }
        let about = About { session: Some(&letter.session), person: None };
        let body = to_json(letter)?;
        let entry =
            append(&mut writing, letter.sent_at, EntryKind::LetterSent, &body, about).await?;
        sqlx::query("INSERT INTO letter (seq, id, session) VALUES ($1, $2, $3)")
            .bind(row_number(entry.seq))
            .bind(&letter.id)
            .bind(&letter.session)
            .execute(&mut *writing)
            .await?;
        sqlx::query("DELETE FROM draft WHERE session = $1")
            .bind(&letter.session)
            .execute(&mut *writing)
            .await?;
        writing.commit().await?;
        Ok(entry.content_digest)
    }

    /// The letter of an id; `None` too once it was erased.
    ///
    /// # Errors
    ///
    /// Those of reading.
    pub async fn letter(&self, id: &str) -> Result<Option<SentLetter>, StoreError> {
        let body: Option<Option<String>> = sqlx::query_scalar(
            "SELECT c.body FROM letter l JOIN journal_content c ON c.seq = l.seq WHERE l.id = $1",
        )
        .bind(id)
        .fetch_optional(self.pool())
        .await?;
        body.flatten().map(|body| from_json("a letter", &body)).transpose()
    }

    /// A session's letters, the newest first; erased ones are left out.
    ///
    /// # Errors
    ///
    /// Those of reading.
    pub async fn letters_of(&self, session: &str) -> Result<Vec<SentLetter>, StoreError> {
        let bodies: Vec<String> = sqlx::query_scalar(
            "SELECT c.body FROM letter l JOIN journal_content c ON c.seq = l.seq \
             WHERE l.session = $1 AND c.body IS NOT NULL ORDER BY l.seq DESC",
        )
        .bind(session)
        .fetch_all(self.pool())
        .await?;
        bodies.iter().map(|body| from_json("a letter", body)).collect()
    }

    /// The letter that counts for a session: the last one sent. Every other one is replaced by it.
    ///
    /// # Errors
    ///
    /// Those of reading.
    pub async fn newest_letter(&self, session: &str) -> Result<Option<SentLetter>, StoreError> {
        let body: Option<String> = sqlx::query_scalar(
            "SELECT c.body FROM letter l JOIN journal_content c ON c.seq = l.seq \
             WHERE l.session = $1 AND c.body IS NOT NULL ORDER BY l.seq DESC LIMIT 1",
        )
        .bind(session)
        .fetch_optional(self.pool())
        .await?;
        body.map(|body| from_json("a letter", &body)).transpose()
    }

    /// The letter that is being written for a session.
    ///
    /// # Errors
    ///
    /// Those of reading.
    pub async fn draft(&self, session: &str) -> Result<Option<Draft>, StoreError> {
        let row: Option<(String, String, i64)> =
            sqlx::query_as("SELECT subject, body, at FROM draft WHERE session = $1")
                .bind(session)
                .fetch_optional(self.pool())
                .await?;
        row.map(|(subject, body, at)| Ok(Draft { subject, body, at: timestamp(at)? })).transpose()
    }

    /// Keeps the letter that is being written for a session, in place of the one before.
    ///
    /// # Errors
    ///
    /// Those of writing.
    pub async fn save_draft(&self, session: &str, draft: &Draft) -> Result<(), StoreError> {
        sqlx::query(
            "INSERT INTO draft (session, subject, body, at) VALUES ($1, $2, $3, $4) \
             ON CONFLICT (session) DO UPDATE \
             SET subject = excluded.subject, body = excluded.body, at = excluded.at",
        )
        .bind(session)
        .bind(&draft.subject)
        .bind(&draft.body)
        .bind(millis(draft.at))
        .execute(self.pool())
        .await?;
        Ok(())
    }

    /// Throws the draft away; whether there was one.
    ///
    /// # Errors
    ///
    /// Those of writing.
    pub async fn drop_draft(&self, session: &str) -> Result<bool, StoreError> {
        let query = sqlx::query("DELETE FROM draft WHERE session = $1").bind(session);
        Ok(query.execute(self.pool()).await?.rows_affected() > 0)
    }
}
