//! Where sessions stood, kept whenever it changed.

use std::mem::discriminant;

use fairspell_studio::{Outlook, Ruling};

use crate::{
    Store, StoreError,
    values::{from_json, millis, to_json},
};

/// A ruling with the sky that it rested on.
#[derive(Debug, Clone, PartialEq)]
pub struct KeptRuling {
    /// Everything that was known at that moment.
    pub outlook: Outlook,
    /// What the policy said of it.
    pub ruling: Ruling,
}

impl Store {
    /// Keeps a ruling if band, step or the kind of rule that decided differ from the one before it
    /// (the session's newest up to that moment); whether it was kept.
    ///
    /// # Errors
    ///
    /// Those of writing.
    pub async fn keep_ruling(
        &self,
        outlook: &Outlook,
        ruling: &Ruling,
    ) -> Result<bool, StoreError> {
        let mut writing = self.begin().await?;
        let before: Option<String> = sqlx::query_scalar(
            "SELECT ruling FROM ruling WHERE session = $1 AND as_of <= $2 \
             ORDER BY as_of DESC, id DESC LIMIT 1",
        )
        .bind(&outlook.session)
        .bind(millis(outlook.as_of))
        .fetch_optional(&mut *writing)
        .await?;
        let before = before.map(|text| from_json::<Ruling>("a ruling", &text)).transpose()?;
        if before.is_some_and(|before| says_the_same(&before, ruling)) {
            return Ok(false);
        }
        sqlx::query(
            "INSERT INTO ruling (id, session, as_of, outlook, ruling) \
             VALUES ((SELECT COALESCE(MAX(id), 0) + 1 FROM ruling), $1, $2, $3, $4)",
        )
        .bind(&outlook.session)
        .bind(millis(outlook.as_of))
        .bind(to_json(outlook)?)
        .bind(to_json(ruling)?)
        .execute(&mut *writing)
        .await?;
        writing.commit().await?;
        Ok(true)
    }

    /// Where a session stood last.
    ///
    /// # Errors
    ///
    /// Those of reading.
    pub async fn newest_ruling(&self, session: &str) -> Result<Option<KeptRuling>, StoreError> {
        let row: Option<(String, String)> = sqlx::query_as(
            "SELECT outlook, ruling FROM ruling WHERE session = $1 \
             ORDER BY as_of DESC, id DESC LIMIT 1",
        )
        .bind(session)
        .fetch_optional(self.pool())
        .await?;
        row.map(kept).transpose()
    }

    /// Where a session stood, the oldest first.
    ///
    /// # Errors
    ///
    /// Those of reading.
    pub async fn rulings_of(&self, session: &str) -> Result<Vec<KeptRuling>, StoreError> {
        let rows: Vec<(String, String)> = sqlx::query_as(
            "SELECT outlook, ruling FROM ruling WHERE session = $1 ORDER BY as_of, id",
        )
        .bind(session)
        .fetch_all(self.pool())
        .await?;
        rows.into_iter().map(kept).collect()
    }
}

fn kept((outlook, ruling): (String, String)) -> Result<KeptRuling, StoreError> {
    Ok(KeptRuling {
        outlook: from_json("an outlook", &outlook)?,
        ruling: from_json("a ruling", &ruling)?,
    })
}

/// Figures move with every reading; only what somebody would act on makes another ruling.
fn says_the_same(one: &Ruling, other: &Ruling) -> bool {
    one.band == other.band
        && one.step == other.step
        && discriminant(&one.rule) == discriminant(&other.rule)
}
