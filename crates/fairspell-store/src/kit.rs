//! What of a session's list is in the car already.
//!
//! A tick for each thing, by name; they go when the session is deleted or its family erased.

use sqlx::SqliteConnection;

use crate::{Store, StoreError};

/// How the settings of ticks are named; the session's id follows. [`Store::erase_family`] knows it too.
const TICKS: &str = "kit:";

impl Store {
    /// What is ticked for a session.
    ///
    /// # Errors
    ///
    /// Those of reading.
    pub async fn kit_ticks(&self, session: &str) -> Result<Vec<String>, StoreError> {
        Ok(self.setting(&format!("{TICKS}{session}")).await?.unwrap_or_default())
    }

    /// Keeps what is ticked for a session, in place of what was.
    ///
    /// # Errors
    ///
    /// Those of writing.
    pub async fn save_kit_ticks(&self, session: &str, ticks: &[String]) -> Result<(), StoreError> {
        self.save_setting(&format!("{TICKS}{session}"), ticks).await
    }
}

/// Forgets what was ticked: the session is no longer there, and its id may name somebody.
pub(crate) async fn forget_kit_ticks(
    connection: &mut SqliteConnection,
    session: &str,
) -> Result<(), StoreError> {
    sqlx::query("DELETE FROM setting WHERE name = $1")
        .bind(format!("{TICKS}{session}"))
        .execute(connection)
        .await?;
    Ok(())
}
