//! What phones handed in from the field, and the sheets they had.
//!
//! Events are only ever added. Each batch that brings something new is an entry of the journal with
//! the digest of what it brought, so that a later change shows; the events themselves lie in their
//! own table, where phones that ask for all of them find them quickly. They may name people in their
//! notes, so they go when a family is erased; nothing comes in for a session that is not there, so
//! that a phone that is slow brings nothing back.

use std::collections::{BTreeMap, BTreeSet};

use fairspell_studio::{
    FieldEvent,
    field_event::{Refusal, Refused},
    field_log::{self, Accepted, HandedIn, accept},
    journal::EntryKind,
    session::ERASED,
};
use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use sqlx::SqliteConnection;

use crate::{
    Store, StoreError,
    document::{Noun, body_of},
    journal::{About, append, next_seq},
    values::{from_json, millis, number, row_number, to_json},
};

/// The longest digest that a sheet can have, characters: what is longer is none.
const SHEET_DIGEST_MAX: usize = 64;

/// What became of what somebody handed in.
#[derive(Debug, Clone, PartialEq)]
pub struct TakenFieldLog {
    /// What was let in and what was not, those under whose id something else is kept among them.
    pub accepted: Accepted,
    /// How many events were not known before.
    pub new: usize,
    /// All events of the session.
    pub all: Vec<FieldEvent>,
}

/// What became of a batch.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct AddedFieldEvents {
    /// The ids that are kept, those known before among them, in the order given.
    pub kept: Vec<String>,
    /// The ids under which something else is kept; nothing of theirs was added.
    pub clashes: Vec<String>,
    /// How many were not known before.
    pub new: usize,
}

/// A session's log, and what speaks against it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct KeptFieldLog {
    /// All events in their order.
    pub events: Vec<FieldEvent>,
    /// Whether a batch came on a sheet that was never handed out like that, or on none.
    pub foreign_sheet: bool,
    /// The entries of the journal whose events are not those that were handed in.
    pub altered: Vec<u64>,
}

/// What the journal holds of a batch.
#[derive(Serialize, Deserialize)]
struct Recorded {
    /// How many events it brought.
    events: u64,
    /// What they come to; see [`field_log::digest`].
    digest: String,
    /// The digest of the sheet that it came on, as the phone says.
    sheet_digest: String,
}

impl Store {
    /// Takes in what somebody handed in, however it came: looks at it event by event, and adds what is
    /// let in.
    ///
    /// - `now`: the studio's time, against which a phone's clock is held.
    ///
    /// # Errors
    ///
    /// As for [`Store::add_field_events`].
    pub async fn take_field_log(
        &self,
        session: &str,
        events: &[Value],
        sheet_digest: &str,
        handed_in: HandedIn,
        now: Timestamp,
        received_at: Timestamp,
    ) -> Result<TakenFieldLog, StoreError> {
        let known = self.field_events(session).await?;
        let mut accepted = accept(events, &known, handed_in, now);
        // What a digest is not is none; the record then says that the sheet is not known.
        let sheet = Some(sheet_digest).filter(|digest| digest.len() <= SHEET_DIGEST_MAX);
        let sheet = sheet.unwrap_or_default();
        let added = self.add_field_events(session, &accepted.kept, sheet, received_at).await?;
        // Another phone may have been quicker with the same id.
        accepted.kept.retain(|event| !added.clashes.contains(&event.id));
        let same = |id: String| Refused { id, why: Refusal::SameId };
        accepted.refused.extend(added.clashes.into_iter().map(same));
        let all = self.field_events(session).await?;
        Ok(TakenFieldLog { accepted, new: added.new, all })
    }

    /// Adds what a phone handed in; what is known already stays as it is.
    ///
    /// - `sheet_digest`: of the sheet that it came on, as the phone says; empty where it says none.
    ///
    /// # Errors
    ///
    /// [`StoreError::Conflict`] if the session is not there (any more), and those of writing; then
    /// nothing was added.
    pub async fn add_field_events(
        &self,
        session: &str,
        events: &[FieldEvent],
        sheet_digest: &str,
        received_at: Timestamp,
    ) -> Result<AddedFieldEvents, StoreError> {
        let mut writing = self.begin().await?;
        expect_session(&mut writing, session).await?;
        let mut added = AddedFieldEvents::default();
        let mut new: Vec<&FieldEvent> = Vec::new();
        for event in events {
            let known = match event_of(&mut writing, session, &event.id).await? {
                None => new.iter().find(|new| new.id == event.id).map(|new| (*new).clone()),
                known => known,
            };
            match known {
                Some(known) if !known.says_the_same(event) => added.clashes.push(event.id.clone()),
                Some(_) => added.kept.push(event.id.clone()),
                None => {
                    added.kept.push(event.id.clone());
                    new.push(event);
                }
            }
        }
        added.new = new.len();
        if new.is_empty() {
            return Ok(added);
        }
        let brought: Vec<FieldEvent> = new.into_iter().cloned().collect();
        let recorded = Recorded {
            events: brought.len() as u64,
            digest: field_log::digest(&brought).to_string(),
            sheet_digest: sheet_digest.to_owned(),
        };
        let (body, about) = (to_json(&recorded)?, About { session: Some(session), person: None });
        let seq = next_seq(&mut writing).await?;
        append(&mut writing, received_at, EntryKind::FieldLogged, &body, about).await?;
        for event in &brought {
            insert(&mut writing, session, event, received_at, seq).await?;
        }
        writing.commit().await?;
        Ok(added)
    }

    /// All events of a session, in their order.
    ///
    /// # Errors
    ///
    /// Those of reading.
    pub async fn field_events(&self, session: &str) -> Result<Vec<FieldEvent>, StoreError> {
        Ok(self.sealed_events(session).await?.into_iter().map(|(_, event)| event).collect())
    }

    /// The log of a session, held against what the journal sealed and the sheets that were handed out.
    ///
    /// # Errors
    ///
    /// Those of reading. A log that was changed is an answer, not an error.
    pub async fn field_log(&self, session: &str) -> Result<KeptFieldLog, StoreError> {
        let batches: Vec<(i64, String)> = sqlx::query_as(
            "SELECT j.seq, c.body FROM journal_content c JOIN journal j ON j.seq = c.seq \
             WHERE c.session = $1 AND j.kind = $2 AND c.body IS NOT NULL ORDER BY j.seq",
        )
        .bind(session)
        .bind(EntryKind::FieldLogged.as_str())
        .fetch_all(self.pool())
        .await?;
        let events = self.sealed_events(session).await?;
        let mut brought: BTreeMap<i64, Vec<FieldEvent>> = BTreeMap::new();
        for (seq, event) in &events {
            brought.entry(*seq).or_default().push(event.clone());
        }
        let (mut log, mut sheets) = (KeptFieldLog::default(), BTreeSet::new());
        for (seq, body) in batches {
            let recorded: Recorded = from_json("a batch from the field", &body)?;
            let of_batch = brought.remove(&seq).unwrap_or_default();
            if field_log::digest(&of_batch).to_string() != recorded.digest {
                log.altered.push(number(seq)?);
            }
            sheets.insert(recorded.sheet_digest);
        }
        // What no batch brought was put in by somebody else.
        for seq in brought.into_keys() {
            log.altered.push(number(seq)?);
        }
        for sheet in &sheets {
            log.foreign_sheet |= !self.knows_field_sheet(session, sheet).await?;
        }
        log.events = events.into_iter().map(|(_, event)| event).collect();
        Ok(log)
    }

    /// All events of a session in their order, each with the entry that seals it.
    async fn sealed_events(&self, session: &str) -> Result<Vec<(i64, FieldEvent)>, StoreError> {
        let rows: Vec<(i64, String)> = sqlx::query_as(
            "SELECT seq, body FROM field_event WHERE session = $1 ORDER BY at, device, n, id",
        )
        .bind(session)
        .fetch_all(self.pool())
        .await?;
        let event = |(seq, body): (i64, String)| Ok((seq, from_json("an event", &body)?));
        rows.into_iter().map(event).collect()
    }

    /// Remembers a field sheet that is handed out, so that what comes back on it is known.
    ///
    /// - `digest`: the SHA-256 of its text exactly as it stands, hexadecimal.
    ///
    /// # Errors
    ///
    /// [`StoreError::Conflict`] if the session is not there (any more), and those of writing.
    pub async fn remember_field_sheet(
        &self,
        session: &str,
        digest: &str,
        made_at: Timestamp,
    ) -> Result<(), StoreError> {
        let mut writing = self.begin().await?;
        expect_session(&mut writing, session).await?;
        sqlx::query(
            "INSERT INTO field_sheet (session, digest, made_at) VALUES ($1, $2, $3) \
             ON CONFLICT (session, digest) DO NOTHING",
        )
        .bind(session)
        .bind(digest)
        .bind(millis(made_at))
        .execute(&mut *writing)
        .await?;
        Ok(writing.commit().await?)
    }

    /// Whether a sheet of this digest was handed out for this session.
    ///
    /// # Errors
    ///
    /// Those of reading.
    pub async fn knows_field_sheet(&self, session: &str, digest: &str) -> Result<bool, StoreError> {
        let made_at: Option<i64> = sqlx::query_scalar(
            "SELECT made_at FROM field_sheet WHERE session = $1 AND digest = $2",
        )
        .bind(session)
        .bind(digest)
        .fetch_optional(self.pool())
        .await?;
        Ok(made_at.is_some())
    }
}

/// That a session is there, and its family not erased, as long as the transaction lasts: else what is
/// written would stand under an id that nobody erases again.
async fn expect_session(
    connection: &mut SqliteConnection,
    session: &str,
) -> Result<(), StoreError> {
    let is_there = body_of(connection, Noun::Session, session).await?.is_some();
    if is_there && !session.starts_with(ERASED) {
        return Ok(());
    }
    Err(StoreError::Conflict { why: "this session is not there any more" })
}

async fn event_of(
    connection: &mut SqliteConnection,
    session: &str,
    id: &str,
) -> Result<Option<FieldEvent>, StoreError> {
    let body: Option<String> =
        sqlx::query_scalar("SELECT body FROM field_event WHERE session = $1 AND id = $2")
            .bind(session)
            .bind(id)
            .fetch_optional(connection)
            .await?;
    body.map(|body| from_json("an event", &body)).transpose()
}

async fn insert(
    connection: &mut SqliteConnection,
    session: &str,
    event: &FieldEvent,
    received_at: Timestamp,
    seq: u64,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO field_event (session, id, device, n, at, received_at, seq, body) \
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8)",
    )
    .bind(session)
    .bind(&event.id)
    .bind(&event.device)
    .bind(row_number(event.n))
    .bind(millis(event.at))
    .bind(millis(received_at))
    .bind(row_number(seq))
    .bind(to_json(event)?)
    .execute(connection)
    .await?;
    Ok(())
}
