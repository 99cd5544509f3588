//! Letters that are still being written, each with what it was begun for.
//!
//! A draft may lie for hours while the sky turns. It goes out only while the sky asks for the same
//! letter with the same choices as when it was begun.

use std::collections::BTreeMap;

use fairspell_store::{Draft, StoreError};
use fairspell_studio::journal::Digest;
use fairspell_words::Letter;

use crate::app::App;

/// Under which name it is kept what drafts were begun for.
const BEGUN_FOR: &str = "drafts_begun_for";

type BegunFor = BTreeMap<String, String>;

/// What tells the letter that the sky asks for from another one: its state and its choices.
pub(crate) fn asked_for(written: &Letter) -> String {
    let offers = written.offers.iter().map(|offer| offer.words.as_str());
    let told: Vec<&str> = [written.subject.as_str()].into_iter().chain(offers).collect();
    Digest::of(told.join("\n").as_bytes()).to_string()
}

/// A session's draft, with what it was begun for.
pub(crate) async fn kept(app: &App, session: &str) -> Result<Option<(Draft, String)>, StoreError> {
    let Some(draft) = app.store.draft(session).await? else { return Ok(None) };
    let begun_for = begun_for(app).await?.remove(session).unwrap_or_default();
    Ok(Some((draft, begun_for)))
}

/// Keeps a session's draft.
///
/// - `begun_for`: what [`asked_for`] said when it was begun.
pub(crate) async fn keep(
    app: &App,
    session: &str,
    draft: &Draft,
    begun_for: &str,
) -> Result<(), StoreError> {
    let mut all = self::begun_for(app).await?;
    all.insert(session.to_owned(), begun_for.to_owned());
    app.store.save_setting(BEGUN_FOR, &all).await?;
    app.store.save_draft(session, draft).await
}

/// Throws drafts away: they went out, are begun anew, or their family is erased.
pub(crate) async fn forget(app: &App, sessions: &[&str]) -> Result<(), StoreError> {
    let mut all = begun_for(app).await?;
    let before = all.len();
    all.retain(|session, _| !sessions.contains(&session.as_str()));
    if all.len() < before {
        app.store.save_setting(BEGUN_FOR, &all).await?;
    }
    for session in sessions {
        app.store.drop_draft(session).await?;
    }
    Ok(())
}

async fn begun_for(app: &App) -> Result<BegunFor, StoreError> {
    Ok(app.store.setting(BEGUN_FOR).await?.unwrap_or_default())
}
