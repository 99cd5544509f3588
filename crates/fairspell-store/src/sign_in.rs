//! Devices that are signed in. Of a device's cookie only the digest is kept: whoever reads the
//! database cannot sign in with it.

use fairspell_studio::journal::Digest;
use jiff::Timestamp;
use serde::{Deserialize, Serialize};

use crate::{
    Store, StoreError,
    values::{millis, timestamp},
};

/// Which sign-in, for the page that lists and ends them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct SignInId(pub i64);

/// One device that is signed in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SignIn {
    /// Which.
    pub id: SignInId,
    /// When it signed in.
    pub at: Timestamp,
    /// Until when it stays so.
    pub expires_at: Timestamp,
    /// What the device calls itself.
    pub device: String,
}

impl Store {
    /// Signs a device in; those that have expired by then are forgotten.
    ///
    /// # Errors
    ///
    /// Those of writing.
    pub async fn sign_in(
        &self,
        token: &Digest,
        at: Timestamp,
        expires_at: Timestamp,
        device: &str,
    ) -> Result<SignInId, StoreError> {
        self.forget_expired_sign_ins(at).await?;
        let id = sqlx::query_scalar(
            "INSERT INTO sign_in (id, token_digest, at, expires_at, device) \
             VALUES ((SELECT COALESCE(MAX(id), 0) + 1 FROM sign_in), $1, $2, $3, $4) RETURNING id",
        )
        .bind(token.to_string())
        .bind(millis(at))
        .bind(millis(expires_at))
        .bind(device)
        .fetch_one(self.pool())
        .await?;
        Ok(SignInId(id))
    }

    /// The sign-in of a token, unless it has expired.
    ///
    /// # Errors
    ///
    /// Those of reading.
    pub async fn signed_in(
        &self,
        token: &Digest,
        now: Timestamp,
    ) -> Result<Option<SignIn>, StoreError> {
        let row: Option<Row> = sqlx::query_as(
            "SELECT id, at, expires_at, device FROM sign_in \
             WHERE token_digest = $1 AND expires_at > $2",
        )
        .bind(token.to_string())
        .bind(millis(now))
        .fetch_optional(self.pool())
        .await?;
        row.map(sign_in).transpose()
    }

    /// Every device that is signed in, the newest first.
    ///
    /// # Errors
    ///
    /// Those of reading.
    pub async fn sign_ins(&self, now: Timestamp) -> Result<Vec<SignIn>, StoreError> {
        let rows: Vec<Row> = sqlx::query_as(
            "SELECT id, at, expires_at, device FROM sign_in WHERE expires_at > $1 \
             ORDER BY at DESC, id DESC",
        )
        .bind(millis(now))
        .fetch_all(self.pool())
        .await?;
        rows.into_iter().map(sign_in).collect()
    }

    /// Ends one sign-in from the list; whether it was there.
    ///
    /// # Errors
    ///
    /// Those of writing.
    pub async fn sign_out(&self, id: SignInId) -> Result<bool, StoreError> {
        let query = sqlx::query("DELETE FROM sign_in WHERE id = $1").bind(id.0);
        Ok(query.execute(self.pool()).await?.rows_affected() > 0)
    }

    /// Ends the sign-in of the device that asks for it; whether it was there.
    ///
    /// # Errors
    ///
    /// Those of writing.
    pub async fn sign_out_token(&self, token: &Digest) -> Result<bool, StoreError> {
        let query = sqlx::query("DELETE FROM sign_in WHERE token_digest = $1");
        let done = query.bind(token.to_string()).execute(self.pool()).await?;
        Ok(done.rows_affected() > 0)
    }

    /// Ends every sign-in; how many there were.
    ///
    /// # Errors
    ///
    /// Those of writing.
    pub async fn sign_out_all(&self) -> Result<u64, StoreError> {
        Ok(sqlx::query("DELETE FROM sign_in").execute(self.pool()).await?.rows_affected())
    }

    pub(crate) async fn forget_expired_sign_ins(&self, now: Timestamp) -> Result<(), StoreError> {
        let query = sqlx::query("DELETE FROM sign_in WHERE expires_at <= $1").bind(millis(now));
        query.execute(self.pool()).await?;
        Ok(())
    }
}

type Row = (i64, i64, i64, String);

fn sign_in((id, at, expires_at, device): Row) -> Result<SignIn, StoreError> {
    let (at, expires_at) = (timestamp(at)?, timestamp(expires_at)?);
    Ok(SignIn { id: SignInId(id), at, expires_at, device })
}
