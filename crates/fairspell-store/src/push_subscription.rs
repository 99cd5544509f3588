//! Where push messages to her own devices can go.

use jiff::Timestamp;

use crate::{
    Store, StoreError,
    values::{millis, timestamp},
};

/// A browser of hers that takes push messages; keys as the browser gave them, in base64url.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PushSubscription {
    /// The address that messages are posted to.
    pub endpoint: String,
    /// The browser's public key (RFC 8291, section 3.1).
    pub p256dh: String,
    /// The secret shared with it (RFC 8291, section 3.2).
    pub auth: String,
    /// When it subscribed.
    pub at: Timestamp,
}

impl Store {
    /// All subscriptions, the oldest first.
    ///
    /// # Errors
    ///
    /// Those of reading.
    pub async fn push_subscriptions(&self) -> Result<Vec<PushSubscription>, StoreError> {
        let rows: Vec<(String, String, String, i64)> = sqlx::query_as(
            "SELECT endpoint, p256dh, auth, at FROM push_subscription ORDER BY at, endpoint",
        )
        .fetch_all(self.pool())
        .await?;
        rows.into_iter()
            .map(|(endpoint, p256dh, auth, at)| {
                Ok(PushSubscription { endpoint, p256dh, auth, at: timestamp(at)? })
            })
            .collect()
    }

    /// Keeps a subscription, in place of an earlier one of the same address.
    ///
    /// # Errors
    ///
    /// Those of writing.
    pub async fn save_push_subscription(
        &self,
        subscription: &PushSubscription,
    ) -> Result<(), StoreError> {
        sqlx::query(
            "INSERT INTO push_subscription (endpoint, p256dh, auth, at) VALUES ($1, $2, $3, $4) \
             ON CONFLICT (endpoint) DO UPDATE \
             SET p256dh = excluded.p256dh, auth = excluded.auth, at = excluded.at",
        )
        .bind(&subscription.endpoint)
        .bind(&subscription.p256dh)
        .bind(&subscription.auth)
        .bind(millis(subscription.at))
        .execute(self.pool())
        .await?;
        Ok(())
    }

    /// Drops a subscription that was ended or whose address is gone; whether it was there.
    ///
    /// # Errors
    ///
    /// Those of writing.
    pub async fn drop_push_subscription(&self, endpoint: &str) -> Result<bool, StoreError> {
        let query = sqlx::query("DELETE FROM push_subscription WHERE endpoint = $1").bind(endpoint);
        Ok(query.execute(self.pool()).await?.rows_affected() > 0)
    }
}
