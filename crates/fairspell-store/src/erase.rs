//! A family asks to be forgotten.
//!
//! What was said goes: contents of the journal with their salts (letters, answers, changes, what she
//! was told), drafts, people, the taps of the field with their notes. What happened stays: that a letter went out and was answered, when, and
//! how the sky was. Ids of sessions and letters hold names as well, so they are replaced throughout.
//! The chain still holds, because it only ever held digests. Backups made before still know the
//! family; whoever erases has to deal with them, too.

use fairspell_studio::{ForecastFigure, Outlook, Session, journal::EntryKind, session::ERASED};
use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use sqlx::{Connection, SqliteConnection};

use crate::{
    Store, StoreError,
    change::Change,
    document::{Document, Noun, write_document},
    journal::{About, append, next_seq},
    values::{from_json, millis, to_json},
};

/// How much was erased.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Erased {
    /// Sessions whose names were replaced.
    pub sessions: u64,
    /// People who were taken out.
    pub people: u64,
    /// Letters without their text.
    pub letters: u64,
    /// Answers without their words.
    pub answers: u64,
    /// Things she was told, without their words.
    pub notices: u64,
    /// Letters still being written.
    pub drafts: u64,
    /// Taps of the field, with their notes.
    #[serde(default)]
    pub field_events: u64,
    /// Entries of the journal without their content; letters, answers and notices are among them.
    pub contents: u64,
}

impl Store {
    /// Erases sessions and people, by id, for good. In the sessions' rows, which stay, `placeholder`
    /// stands for the names. Sessions of theirs that were deleted before, and could have been brought
    /// back, go along: their letters and taps are still kept. When it returns, no trace is left in the
    /// database's files.
    ///
    /// # Errors
    ///
    /// [`StoreError::InUse`] while another program reads the database, so that traces may be left in
    /// its log: what was asked for is erased, and doing it again removes the traces. Otherwise those
    /// of writing.
    pub async fn erase_family(
        &self,
        sessions: &[&str],
        people: &[&str],
        placeholder: &str,
        at: Timestamp,
    ) -> Result<Erased, StoreError> {
        let mut writing = self.begin().await?;
        let mut erased = Erased::default();
        let seq = next_seq(&mut writing).await?;
        let deleted = deleted_sessions(&mut writing, sessions, people).await?;
        let given = sessions.iter().copied();
        for (index, session) in given.chain(deleted.iter().map(String::as_str)).enumerate() {
            let neutral = format!("{ERASED}{seq}-{}", index + 1);
            erase_contents(&mut writing, Noun::Session, session, at, &mut erased).await?;
            rename_session(&mut writing, session, &neutral, &mut erased).await?;
            neutralize_session(&mut writing, session, &neutral, placeholder, &mut erased).await?;
        }
        for person in people {
            erase_contents(&mut writing, Noun::Person, person, at, &mut erased).await?;
            erased.people += delete_document(&mut writing, Noun::Person, person).await?;
        }
        forget_in_other_sessions(&mut writing, people).await?;
        let body = to_json(&erased)?;
        append(&mut writing, at, EntryKind::PersonErased, &body, About::default()).await?;
        writing.commit().await?;
        self.sweep().await?;
        Ok(erased)
    }

    /// Overwritten cells can leave copies on pages that were rearranged, and the log holds pages as
    /// they were: write all pages anew and empty the log.
    async fn sweep(&self) -> Result<(), StoreError> {
        let mut connection = self.pool().acquire().await?;
        connection.clear_cached_statements().await?;
        sqlx::query("VACUUM").execute(&mut *connection).await?;
        let (busy, _, _): (i64, i64, i64) =
            sqlx::query_as("PRAGMA wal_checkpoint(TRUNCATE)").fetch_one(&mut *connection).await?;
        if busy == 0 { Ok(()) } else { Err(StoreError::InUse) }
    }
}

/// What of a session says whose it is, read from a change however old.
#[derive(Deserialize)]
struct Named {
    id: String,
    #[serde(default)]
    people: Vec<String>,
    #[serde(default)]
    moved_from: Option<String>,
}

/// The sessions that are in the journal only, and belong to those who are erased: they name one of the
/// people, or one was moved from the other.
async fn deleted_sessions(
    connection: &mut SqliteConnection,
    sessions: &[&str],
    people: &[&str],
) -> Result<Vec<String>, StoreError> {
    let bodies: Vec<String> = sqlx::query_scalar(
        "SELECT c.body FROM journal_content c JOIN journal j ON j.seq = c.seq \
         WHERE j.kind IN ('session_changed', 'undone') AND c.body IS NOT NULL \
         AND c.session IS NOT NULL AND NOT EXISTS \
         (SELECT 1 FROM document d WHERE d.noun = 'session' AND d.id = c.session) ORDER BY c.seq",
    )
    .fetch_all(&mut *connection)
    .await?;
    let mut gone: Vec<Named> = Vec::new();
    for body in bodies {
        let change: Change = from_json("a change", &body)?;
        for session in [change.before, change.after].into_iter().flatten() {
            gone.push(from_json("session", session.get())?);
        }
    }
    let here: Vec<String> = sqlx::query_scalar("SELECT body FROM document WHERE noun = $1")
        .bind(Noun::Session.as_str())
        .fetch_all(connection)
        .await?;
    let here: Vec<Named> =
        here.iter().map(|body| from_json("session", body)).collect::<Result<_, _>>()?;
    let given = here.iter().filter(|session| sessions.contains(&session.id.as_str()));
    let mut inside: Vec<&Named> = given.collect();
    let mut found: Vec<String> = Vec::new();
    // One may lead to the next.
    loop {
        let belongs = |session: &Named| {
            session.people.iter().any(|person| people.contains(&person.as_str()))
                || inside.iter().any(|known| {
                    known.id == session.id
                        || known.moved_from.as_deref() == Some(&session.id)
                        || session.moved_from.as_deref() == Some(&known.id)
                })
        };
        let new = gone.iter().filter(|session| !found.contains(&session.id));
        let Some(session) = new.into_iter().find(|session| belongs(session)) else {
            return Ok(found);
        };
        found.push(session.id.clone());
        inside.extend(gone.iter().filter(|other| other.id == session.id));
    }
}

/// Erases all contents about a session or a person, and those of changes that mention its id.
async fn erase_contents(
    connection: &mut SqliteConnection,
    noun: Noun,
    id: &str,
    at: Timestamp,
    erased: &mut Erased,
) -> Result<(), StoreError> {
    let contents = sqlx::query(
        "UPDATE journal_content SET salt = NULL, body = NULL, erased_at = $1 \
         WHERE body IS NOT NULL AND (($2 = 'session' AND session = $3) \
         OR ($2 = 'person' AND person = $3) \
         OR (seq IN (SELECT seq FROM journal WHERE kind IN \
         ('session_changed', 'person_changed', 'undone')) AND body LIKE $4 ESCAPE '!'))",
    )
    .bind(millis(at))
    .bind(noun.as_str())
    .bind(id)
    .bind(mentions(&to_json(id)?))
    .execute(&mut *connection)
    .await?;
    erased.contents += contents.rows_affected();
    // A person's own entries would go on naming her or him beside the content.
    if noun == Noun::Person {
        sqlx::query("UPDATE journal_content SET person = NULL WHERE person = $1")
            .bind(id)
            .execute(connection)
            .await?;
    }
    Ok(())
}

/// Puts a neutral id for a session's wherever one stands, and a neutral name for what bore its name.
async fn rename_session(
    connection: &mut SqliteConnection,
    id: &str,
    neutral: &str,
    erased: &mut Erased,
) -> Result<(), StoreError> {
    for (count, statement) in [
        (
            Some(&mut erased.letters),
            "UPDATE letter SET session = $2, id = 'erased-' || seq WHERE session = $1",
        ),
        (Some(&mut erased.answers), "UPDATE answer SET session = $2 WHERE session = $1"),
        (
            Some(&mut erased.notices),
            "UPDATE notice SET session = $2, name = 'erased-' || seq WHERE session = $1",
        ),
        (Some(&mut erased.drafts), "DELETE FROM draft WHERE session = $1 AND $2 <> $1"),
        (Some(&mut erased.field_events), "DELETE FROM field_event WHERE session = $1 AND $2 <> $1"),
        (None, "DELETE FROM field_sheet WHERE session = $1 AND $2 <> $1"),
        (None, "UPDATE journal_content SET session = $2 WHERE session = $1"),
        (None, "UPDATE ruling SET session = $2 WHERE session = $1"),
        (None, "UPDATE forecast_figure SET session = $2 WHERE session = $1"),
        (None, "DELETE FROM setting WHERE name = 'kit:' || $1 AND $2 <> $1"),
    ] {
        let query = sqlx::query(statement).bind(id).bind(neutral);
        let rows = query.execute(&mut *connection).await?.rows_affected();
        if let Some(count) = count {
            *count += rows;
        }
    }
    let outlooks: Vec<(i64, String)> =
        sqlx::query_as("SELECT id, outlook FROM ruling WHERE session = $1")
            .bind(neutral)
            .fetch_all(&mut *connection)
            .await?;
    for (row, outlook) in outlooks {
        let mut outlook: Outlook = from_json("an outlook", &outlook)?;
        neutral.clone_into(&mut outlook.session);
        sqlx::query("UPDATE ruling SET outlook = $2 WHERE id = $1")
            .bind(row)
            .bind(to_json(&outlook)?)
            .execute(&mut *connection)
            .await?;
    }
    let figures: Vec<(i64, String, String)> =
        sqlx::query_as("SELECT issued, source, body FROM forecast_figure WHERE session = $1")
            .bind(neutral)
            .fetch_all(&mut *connection)
            .await?;
    for (issued, source, body) in figures {
        let mut figure: ForecastFigure = from_json("a forecast figure", &body)?;
        neutral.clone_into(&mut figure.session);
        sqlx::query(
            "UPDATE forecast_figure SET body = $4 \
             WHERE session = $1 AND issued = $2 AND source = $3",
        )
        .bind(neutral)
        .bind(issued)
        .bind(source)
        .bind(to_json(&figure)?)
        .execute(&mut *connection)
        .await?;
    }
    Ok(())
}

/// Takes the names out of a session's own document, and its id out of the one that was moved from it.
async fn neutralize_session(
    connection: &mut SqliteConnection,
    id: &str,
    neutral: &str,
    placeholder: &str,
    erased: &mut Erased,
) -> Result<(), StoreError> {
    for mut session in all_sessions(connection).await? {
        if session.id == id {
            delete_document(connection, Noun::Session, id).await?;
            for name in [&session.sitter, &session.guardian] {
                for look in &mut session.looks {
                    look.name = without(&look.name, name, placeholder);
                }
                if let Some(deadline) = &mut session.deadline {
                    deadline.name = without(&deadline.name, name, placeholder);
                }
            }
            neutral.clone_into(&mut session.id);
            placeholder.clone_into(&mut session.sitter);
            placeholder.clone_into(&mut session.guardian);
            session.people.clear();
            erased.sessions += 1;
        } else if session.moved_from.as_deref() == Some(id) {
            session.moved_from = Some(neutral.to_owned());
        } else {
            continue;
        }
        let document = Document::of_session(&session)?;
        write_document(connection, Noun::Session, &session.id, Some(&document)).await?;
    }
    Ok(())
}

async fn forget_in_other_sessions(
    connection: &mut SqliteConnection,
    people: &[&str],
) -> Result<(), StoreError> {
    for mut session in all_sessions(connection).await? {
        let before = session.people.len();
        session.people.retain(|person| !people.contains(&person.as_str()));
        if session.people.len() < before {
            let document = Document::of_session(&session)?;
            write_document(connection, Noun::Session, &session.id, Some(&document)).await?;
        }
    }
    Ok(())
}

async fn all_sessions(connection: &mut SqliteConnection) -> Result<Vec<Session>, StoreError> {
    let bodies: Vec<String> = sqlx::query_scalar("SELECT body FROM document WHERE noun = $1")
        .bind(Noun::Session.as_str())
        .fetch_all(connection)
        .await?;
    bodies.iter().map(|body| from_json("session", body)).collect()
}

async fn delete_document(
    connection: &mut SqliteConnection,
    noun: Noun,
    id: &str,
) -> Result<u64, StoreError> {
    let query = sqlx::query("DELETE FROM document WHERE noun = $1 AND id = $2");
    let done = query.bind(noun.as_str()).bind(id).execute(connection).await?;
    Ok(done.rows_affected())
}

/// A text with a placeholder for a name; an empty name stands nowhere.
fn without(text: &str, name: &str, placeholder: &str) -> String {
    if name.is_empty() { text.to_owned() } else { text.replace(name, placeholder) }
}

/// A LIKE pattern for texts that hold a string, with `!` before what LIKE would take for a joker.
fn mentions(text: &str) -> String {
    let escaped = text.replace('!', "!!").replace('%', "!%").replace('_', "!_");
    format!("%{escaped}%")
}
