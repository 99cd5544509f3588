//! The journal's chain, and the contents beside it.

use fairspell_studio::journal::{
    Content, Digest, Entry, EntryKind, Left, Verdict, Verifier, content_digest, next_head,
};
use jiff::Timestamp;
use sqlx::{FromRow, SqliteConnection};

use crate::{
    Store, StoreError,
    values::{digest, millis, number, row_number, salt_from_hex, salt_to_hex, timestamp},
};

/// How many entries are looked at together when all are checked: a few megabytes at most.
const TOGETHER: u32 = 200;

/// An entry with what is left of its content.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeptEntry {
    /// The link of the chain.
    pub entry: Entry,
    /// What it is about; `None` once it was erased.
    pub content: Option<Content>,
    /// When its content was erased.
    pub erased_at: Option<Timestamp>,
}

impl KeptEntry {
    /// What is left of its content.
    fn left(&self) -> Left<'_> {
        match (&self.content, self.erased_at) {
            (Some(content), _) => Left::Whole(content),
            (None, Some(_)) => Left::Erased,
            (None, None) => Left::Lost,
        }
    }
}

/// Whom an entry is about. It lies beside the content, never in the chain.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct About<'a> {
    pub(crate) session: Option<&'a str>,
    pub(crate) person: Option<&'a str>,
}

impl Store {
    /// Checks the whole journal, and where a head that somebody holds stands in it.
    ///
    /// # Errors
    ///
    /// Those of reading; a journal that does not hold is a verdict, not an error.
    pub async fn journal_verify(&self, expected: Option<Digest>) -> Result<Verdict, StoreError> {
        let mut verifier = Verifier::new(expected);
        let mut reading = self.pool().begin().await?;
        let mut after = i64::MIN;
        loop {
            let rows: Vec<Row> = sqlx::query_as(
                "SELECT j.seq, j.at, j.kind, j.content_digest, j.head, c.salt, c.body, c.erased_at \
                 FROM journal j LEFT JOIN journal_content c ON c.seq = j.seq \
                 WHERE j.seq > $1 ORDER BY j.seq LIMIT $2",
            )
            .bind(after)
            .bind(TOGETHER)
            .fetch_all(&mut *reading)
            .await?;
            let Some(last) = rows.last() else { return Ok(verifier.finish()) };
            after = last.seq;
            for row in rows {
                match KeptEntry::try_from(row) {
                    Ok(kept) => verifier.push(&kept.entry, kept.left()),
                    // Somebody wrote what we never write: the chain ends there.
                    Err(_) => verifier.push_unreadable(),
                }
            }
        }
    }

    /// The newest head; `None` before the first entry.
    ///
    /// # Errors
    ///
    /// Those of reading.
    pub async fn journal_head(&self) -> Result<Option<Digest>, StoreError> {
        let mut connection = self.pool().acquire().await?;
        Ok(newest(&mut connection).await?.map(|(_, head)| head))
    }

    /// Entries, the newest first: `limit` of them after the first `offset`.
    ///
    /// # Errors
    ///
    /// Those of reading.
    pub async fn journal_entries(
        &self,
        limit: u32,
        offset: u32,
    ) -> Result<Vec<KeptEntry>, StoreError> {
        let rows: Vec<Row> = sqlx::query_as(
            "SELECT j.seq, j.at, j.kind, j.content_digest, j.head, c.salt, c.body, c.erased_at \
             FROM journal j LEFT JOIN journal_content c ON c.seq = j.seq \
             ORDER BY j.seq DESC LIMIT $1 OFFSET $2",
        )
        .bind(limit)
        .bind(offset)
        .fetch_all(self.pool())
        .await?;
        rows.into_iter().map(KeptEntry::try_from).collect()
    }

    /// All entries about one session, the newest first; of an erased one it is what is left.
    ///
    /// # Errors
    ///
    /// Those of reading.
    pub async fn journal_of_session(&self, session: &str) -> Result<Vec<KeptEntry>, StoreError> {
        let rows: Vec<Row> = sqlx::query_as(
            "SELECT j.seq, j.at, j.kind, j.content_digest, j.head, c.salt, c.body, c.erased_at \
             FROM journal_content c JOIN journal j ON j.seq = c.seq \
             WHERE c.session = $1 ORDER BY j.seq DESC",
        )
        .bind(session)
        .fetch_all(self.pool())
        .await?;
        rows.into_iter().map(KeptEntry::try_from).collect()
    }
}

/// The number that the next entry will have.
pub(crate) async fn next_seq(connection: &mut SqliteConnection) -> Result<u64, StoreError> {
    Ok(newest(connection).await?.map_or(1, |(seq, _)| seq + 1))
}

/// Adds an entry, inside the transaction of what it records.
pub(crate) async fn append(
    connection: &mut SqliteConnection,
    at: Timestamp,
    kind: EntryKind,
    body: &str,
    about: About<'_>,
) -> Result<Entry, StoreError> {
    let (seq, previous) = match newest(connection).await? {
        Some((seq, head)) => (seq + 1, Some(head)),
        None => (1, None),
    };
    let salt = fresh_salt()?;
    let at = timestamp(millis(at))?;
    let content_digest = content_digest(&salt, body);
    let head = next_head(previous, seq, at, kind, content_digest);
    sqlx::query(
        "INSERT INTO journal (seq, at, kind, content_digest, head) VALUES ($1, $2, $3, $4, $5)",
    )
    .bind(row_number(seq))
    .bind(millis(at))
    .bind(kind.as_str())
    .bind(content_digest.to_string())
    .bind(head.to_string())
    .execute(&mut *connection)
    .await?;
    sqlx::query(
        "INSERT INTO journal_content (seq, salt, body, session, person) \
         VALUES ($1, $2, $3, $4, $5)",
    )
    .bind(row_number(seq))
    .bind(salt_to_hex(salt))
    .bind(body)
    .bind(about.session)
    .bind(about.person)
    .execute(&mut *connection)
    .await?;
    Ok(Entry { seq, at, kind, content_digest, head })
}

async fn newest(connection: &mut SqliteConnection) -> Result<Option<(u64, Digest)>, StoreError> {
    let row: Option<(i64, String)> =
        sqlx::query_as("SELECT seq, head FROM journal ORDER BY seq DESC LIMIT 1")
            .fetch_optional(connection)
            .await?;
    row.map(|(seq, head)| Ok((number(seq)?, digest(&head)?))).transpose()
}

/// From the operating system, not from a seed: whoever could compute a salt again could find out by
/// guessing what was erased. Nothing that is ever shown depends on it.
fn fresh_salt() -> Result<[u8; 16], StoreError> {
    let mut salt = [0; 16];
    getrandom::fill(&mut salt).map_err(|error| StoreError::Other(error.into()))?;
    Ok(salt)
}

#[derive(FromRow)]
struct Row {
    seq: i64,
    at: i64,
    kind: String,
    content_digest: String,
    head: String,
    salt: Option<String>,
    body: Option<String>,
    erased_at: Option<i64>,
}

impl TryFrom<Row> for KeptEntry {
    type Error = StoreError;

    fn try_from(row: Row) -> Result<KeptEntry, StoreError> {
        let entry = Entry {
            seq: number(row.seq)?,
            at: timestamp(row.at)?,
            kind: row.kind.parse().map_err(|_| StoreError::damaged("an entry is of no kind"))?,
            content_digest: digest(&row.content_digest)?,
            head: digest(&row.head)?,
        };
        let content = match (row.salt, row.body) {
            (Some(salt), Some(text)) => Some(Content { salt: salt_from_hex(&salt)?, text }),
            _ => None,
        };
        Ok(KeptEntry { entry, content, erased_at: row.erased_at.map(timestamp).transpose()? })
    }
}
