//! What she was told, once, and by which ways it went out.

use fairspell_studio::journal::EntryKind;
use jiff::Timestamp;
use serde::{Deserialize, Serialize};

use crate::{
    Store, StoreError,
    journal::{About, append},
    values::{from_json, millis, row_number, timestamp, to_json},
};

/// Something she was told.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Told {
    /// The name that keeps it from being told twice.
    pub key: String,
    /// What kind of thing it is.
    pub kind: String,
    /// The session it is about, by id.
    pub session: Option<String>,
    /// When.
    pub at: Timestamp,
    /// In which words.
    pub words: String,
    /// Every try to get it to her, the oldest first.
    pub deliveries: Vec<Delivery>,
}

/// One try to get something to her.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Delivery {
    /// By which way.
    pub channel: String,
    /// When.
    pub at: Timestamp,
    /// Why it did not go out; `None`: it did.
    pub failure: Option<String>,
}

/// What the journal holds of it.
#[derive(Serialize, Deserialize)]
struct Recorded {
    key: String,
    kind: String,
    session: Option<String>,
    words: String,
}

impl Store {
    /// Remembers that she is told something; `false` if it was remembered under this key before, and
    /// then she is not told again.
    ///
    /// # Errors
    ///
    /// Those of writing.
    pub async fn remember_notice(
        &self,
        key: &str,
        kind: &str,
        session: Option<&str>,
        at: Timestamp,
        words: &str,
    ) -> Result<bool, StoreError> {
        let mut writing = self.begin().await?;
        let before: Option<i64> = sqlx::query_scalar("SELECT seq FROM notice WHERE name = $1")
            .bind(key)
            .fetch_optional(&mut *writing)
            .await?;
        if before.is_some() {
            return Ok(false);
        }
        let recorded = Recorded {
            key: key.to_owned(),
            kind: kind.to_owned(),
            session: session.map(str::to_owned),
            words: words.to_owned(),
        };
        let body = to_json(&recorded)?;
        let about = About { session, person: None };
        let entry = append(&mut writing, at, EntryKind::Told, &body, about).await?;
        sqlx::query("INSERT INTO notice (seq, name, session) VALUES ($1, $2, $3)")
            .bind(row_number(entry.seq))
            .bind(key)
            .bind(session)
            .execute(&mut *writing)
            .await?;
        writing.commit().await?;
        Ok(true)
    }

    /// Notes how one way went; `false` if nothing is remembered under this key.
    ///
    /// # Errors
    ///
    /// Those of writing.
    pub async fn note_delivery(
        &self,
        key: &str,
        channel: &str,
        at: Timestamp,
        outcome: Result<(), &str>,
    ) -> Result<bool, StoreError> {
        let noted = sqlx::query(
            "INSERT INTO delivery (id, notice, channel, at, failure) \
             SELECT (SELECT COALESCE(MAX(id), 0) + 1 FROM delivery), seq, $2, $3, $4 \
             FROM notice WHERE name = $1",
        )
        .bind(key)
        .bind(channel)
        .bind(millis(at))
        .bind(outcome.err())
        .execute(self.pool())
        .await?;
        Ok(noted.rows_affected() > 0)
    }

    /// What she was told last.
    ///
    /// # Errors
    ///
    /// Those of reading.
    pub async fn last_told(&self) -> Result<Option<Told>, StoreError> {
        let row: Option<Row> = sqlx::query_as(
            "SELECT n.seq, j.at, c.body FROM notice n JOIN journal j ON j.seq = n.seq \
             JOIN journal_content c ON c.seq = n.seq \
             WHERE c.body IS NOT NULL ORDER BY n.seq DESC LIMIT 1",
        )
        .fetch_optional(self.pool())
        .await?;
        match row {
            Some(row) => Ok(Some(self.told(row).await?)),
            None => Ok(None),
        }
    }

    /// What she was told about a session, the newest first; what was erased is left out.
    ///
    /// # Errors
    ///
    /// Those of reading.
    pub async fn told_about(&self, session: &str) -> Result<Vec<Told>, StoreError> {
        let rows: Vec<Row> = sqlx::query_as(
            "SELECT n.seq, j.at, c.body FROM notice n JOIN journal j ON j.seq = n.seq \
             JOIN journal_content c ON c.seq = n.seq \
             WHERE n.session = $1 AND c.body IS NOT NULL ORDER BY n.seq DESC",
        )
        .bind(session)
        .fetch_all(self.pool())
        .await?;
        let mut all = Vec::with_capacity(rows.len());
        for row in rows {
            all.push(self.told(row).await?);
        }
        Ok(all)
    }

    async fn told(&self, (seq, at, body): Row) -> Result<Told, StoreError> {
        let rows: Vec<(String, i64, Option<String>)> = sqlx::query_as(
            "SELECT channel, at, failure FROM delivery WHERE notice = $1 ORDER BY id",
        )
        .bind(seq)
        .fetch_all(self.pool())
        .await?;
        let delivery =
            |(channel, at, failure)| timestamp(at).map(|at| Delivery { channel, at, failure });
        let deliveries = rows.into_iter().map(delivery).collect::<Result<_, _>>()?;
        let Recorded { key, kind, session, words } = from_json("what she was told", &body)?;
        Ok(Told { key, kind, session, at: timestamp(at)?, words, deliveries })
    }
}

type Row = (i64, i64, String);
