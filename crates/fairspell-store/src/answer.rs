//! What families answered, each kept with the letter they had before them.

use fairspell_studio::{
    Answer,
    journal::{Digest, EntryKind, Receipt},
};
use serde::{Deserialize, Serialize};

use crate::{
    Store, StoreError,
    journal::{About, append},
    values::{digest, from_json, row_number, to_json},
};

/// What the journal holds of an answer.
#[derive(Serialize, Deserialize)]
struct Recorded {
    answer: Answer,
    /// Under which the journal holds the letter that was answered.
    letter_digest: Digest,
}

impl Store {
    /// Records an answer beside the digest of the letter that was shown. Somebody who answers again
    /// gets a second entry; the first one stays. The receipt is what she or he may keep.
    ///
    /// # Errors
    ///
    /// [`StoreError::Conflict`] if there is no such letter; otherwise those of writing.
    pub async fn record_answer(&self, answer: &Answer) -> Result<Receipt, StoreError> {
        let mut writing = self.begin().await?;
        let letter: Option<(i64, String)> = sqlx::query_as(
            "SELECT l.seq, j.content_digest FROM letter l JOIN journal j ON j.seq = l.seq \
             WHERE l.id = $1 AND l.session = $2",
        )
        .bind(&answer.letter)
        .bind(&answer.session)
        .fetch_optional(&mut *writing)
        .await?;
        let Some((letter, letter_digest)) = letter else {
            return Err(StoreError::Conflict { why: "there is no such letter" });
        };
        let recorded = Recorded { answer: answer.clone(), letter_digest: digest(&letter_digest)? };
        let body = to_json(&recorded)?;
        let about = About { session: Some(&answer.session), person: None };
        let entry =
            append(&mut writing, answer.answered_at, EntryKind::Answered, &body, about).await?;
        sqlx::query("INSERT INTO answer (seq, letter, session) VALUES ($1, $2, $3)")
            .bind(row_number(entry.seq))
            .bind(letter)
            .bind(&answer.session)
            .execute(&mut *writing)
            .await?;
        writing.commit().await?;
        Ok(Receipt { seq: entry.seq, head: entry.head })
    }

    /// The answers to a letter, the oldest first; erased ones are left out.
    ///
    /// # Errors
    ///
    /// Those of reading.
    pub async fn answers_of_letter(&self, letter: &str) -> Result<Vec<Answer>, StoreError> {
        let bodies: Vec<String> = sqlx::query_scalar(
            "SELECT c.body FROM letter l JOIN answer a ON a.letter = l.seq \
             JOIN journal_content c ON c.seq = a.seq \
             WHERE l.id = $1 AND c.body IS NOT NULL ORDER BY a.seq",
        )
        .bind(letter)
        .fetch_all(self.pool())
        .await?;
        answers(&bodies)
    }

    /// The answers to all letters of a session, the oldest first; erased ones are left out.
    ///
    /// # Errors
    ///
    /// Those of reading.
    pub async fn answers_of_session(&self, session: &str) -> Result<Vec<Answer>, StoreError> {
        let bodies: Vec<String> = sqlx::query_scalar(
            "SELECT c.body FROM answer a JOIN journal_content c ON c.seq = a.seq \
             WHERE a.session = $1 AND c.body IS NOT NULL ORDER BY a.seq",
        )
        .bind(session)
        .fetch_all(self.pool())
        .await?;
        answers(&bodies)
    }
}

fn answers(bodies: &[String]) -> Result<Vec<Answer>, StoreError> {
    let answer = |body: &String| from_json::<Recorded>("an answer", body).map(|it| it.answer);
    bodies.iter().map(answer).collect()
}
