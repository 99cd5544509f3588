//! The program's own settings, each a value under a name.
//!
//! Nothing that names a family belongs here but the ticks of [`kit`](crate::kit), which
//! [`Store::erase_family`] takes along: at the others it does not look.

use serde::{Serialize, de::DeserializeOwned};

use crate::{
    Store, StoreError,
    values::{from_json, to_json},
};

impl Store {
    /// The setting of a name.
    ///
    /// # Errors
    ///
    /// Those of reading; [`StoreError::Damaged`] too if it was saved as something else.
    pub async fn setting<T: DeserializeOwned>(&self, name: &str) -> Result<Option<T>, StoreError> {
        let body: Option<String> = sqlx::query_scalar("SELECT body FROM setting WHERE name = $1")
            .bind(name)
            .fetch_optional(self.pool())
            .await?;
        body.map(|body| from_json("a setting", &body)).transpose()
    }

    /// Saves a setting in place of the one before.
    ///
    /// # Errors
    ///
    /// Those of writing.
    pub async fn save_setting<T: Serialize + ?Sized>(
        &self,
        name: &str,
        value: &T,
    ) -> Result<(), StoreError> {
        sqlx::query(
            "INSERT INTO setting (name, body) VALUES ($1, $2) \
             ON CONFLICT (name) DO UPDATE SET body = excluded.body",
        )
        .bind(name)
        .bind(to_json(value)?)
        .execute(self.pool())
        .await?;
        Ok(())
    }
}
