//! Does the public address lead to us? A family's link is offered only while it does.

use std::{sync::PoisonError, time::Duration};

use axum::extract::{Path, State};
use base64::{Engine, engine::general_purpose::URL_SAFE_NO_PAD};

use crate::{app::Shared, secrets::Purpose};

/// The public address has to answer within this.
const TIMEOUT: Duration = Duration::from_secs(10);

/// `GET /self-check/{word}`: only this studio can sign the word.
pub(crate) async fn answer(State(app): State<Shared>, Path(word): Path<String>) -> String {
    // A short word of a narrow alphabet, so that nobody can have other texts signed here.
    let is_ours =
        word.len() == 22 && word.bytes().all(|b| b.is_ascii_alphanumeric() || b"-_".contains(&b));
    if !is_ours {
        return String::new();
    }
    URL_SAFE_NO_PAD.encode(app.secrets.sign(Purpose::SelfCheck, &word))
}

/// Asks the public address, and remembers when it answered.
pub(crate) async fn ask(app: &Shared, client: &reqwest::Client) {
    let Some(base) = app.settings.public_url.as_deref() else { return };
    let word = URL_SAFE_NO_PAD.encode(app.machine.random_bytes::<16>());
    let answered = async {
        let response =
            client.get(format!("{base}/self-check/{word}")).timeout(TIMEOUT).send().await.ok()?;
        let text = response.error_for_status().ok()?.text().await.ok()?;
        let signature = URL_SAFE_NO_PAD.decode(text.trim()).ok()?;
        app.secrets.fits(Purpose::SelfCheck, &word, &signature).then_some(())
    };
    let answers = answered.await.is_some();
    if answers {
        let now = app.clock.real();
        *app.public_answered.write().unwrap_or_else(PoisonError::into_inner) = Some(now);
    } else {
        tracing::warn!("the public address did not answer our own check");
    }
}
