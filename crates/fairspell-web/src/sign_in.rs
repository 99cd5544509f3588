//! Signing in: one passphrase, sign-ins that end and can be revoked.

use argon2::{Argon2, PasswordHasher, PasswordVerifier, password_hash::phc::PasswordHash};
use axum::http::{HeaderMap, HeaderValue, Uri};
use base64::{Engine, engine::general_purpose::URL_SAFE_NO_PAD};
use fairspell_store::{Store, StoreError};
use jiff::{SignedDuration, Timestamp};
use tokio::sync::Semaphore;

use crate::{app::Shared, clock::Machine, error::PageError, guard, secrets::token_digest};

/// The shortest passphrase, characters.
pub(crate) const SHORTEST_PASSPHRASE: usize = 10;
/// The longest one, characters: hashing takes time.
pub(crate) const LONGEST_PASSPHRASE: usize = 500;

/// Our cookies' names: by the secure address, and on the home network.
pub(crate) const COOKIES: [&str; 2] = ["__Host-fairspell", "fairspell"];

/// A sign-in ends after so many days.
const DAYS: i64 = 30;

/// Passphrases are hashed two at a time: each takes 19 MiB, and many tries at once gain nothing.
static HASHING: Semaphore = Semaphore::const_new(2);

/// Under which name the passphrase's hash is kept.
const SETTING: &str = "passphrase";

/// Where to sign in, to go on to an address of ours.
pub(crate) fn address(next: &str) -> String {
    let next = serde_urlencoded::to_string([("next", next)]).unwrap_or_default();
    format!("/sign-in?{next}")
}

/// An address of ours to go on to; anything else becomes Now.
pub(crate) fn safe_next(next: &str) -> &str {
    let is_ours = next.starts_with('/')
        && !next.starts_with("//")
        && !next.contains('\\')
        && next.bytes().all(|byte| byte.is_ascii_graphic());
    if is_ours { next } else { "/" }
}

/// Whether a passphrase has been chosen.
pub(crate) async fn has_passphrase(app: &Shared) -> Result<bool, PageError> {
    Ok(app.store.setting::<String>(SETTING).await?.is_some())
}

/// Why a passphrase is not taken.
#[derive(Debug)]
pub enum PassphraseRefused {
    /// It is too short or too long, characters.
    Length {
        /// The shortest that is taken.
        shortest: usize,
        /// The longest.
        longest: usize,
    },
    /// It could not be kept.
    Page(PageError),
}

impl From<PageError> for PassphraseRefused {
    fn from(error: PageError) -> Self {
        PassphraseRefused::Page(error)
    }
}

impl From<StoreError> for PassphraseRefused {
    fn from(error: StoreError) -> Self {
        PassphraseRefused::Page(error.into())
    }
}

/// Chooses a new passphrase and ends all sign-ins.
///
/// # Errors
///
/// [`PassphraseRefused`]: it is too short or too long, or cannot be kept.
pub async fn replace_passphrase(
    store: &Store,
    machine: Machine,
    passphrase: &str,
) -> Result<(), PassphraseRefused> {
    // First the sign-ins: if the second step fails, whoever was in by mistake is out all the same.
    store.sign_out_all().await?;
    keep_passphrase(store, machine, passphrase).await
}

/// Keeps a passphrase, as its argon2id hash.
pub(crate) async fn choose_passphrase(
    app: &Shared,
    passphrase: &str,
) -> Result<(), PassphraseRefused> {
    keep_passphrase(&app.store, app.machine, passphrase).await
}

async fn keep_passphrase(
    store: &Store,
    machine: Machine,
    passphrase: &str,
) -> Result<(), PassphraseRefused> {
    let length = passphrase.chars().count();
    if !(SHORTEST_PASSPHRASE..=LONGEST_PASSPHRASE).contains(&length) {
        let (shortest, longest) = (SHORTEST_PASSPHRASE, LONGEST_PASSPHRASE);
        return Err(PassphraseRefused::Length { shortest, longest });
    }
    let salt = machine.random_bytes::<16>();
    let passphrase = passphrase.to_owned();
    let _hashing = HASHING.acquire().await.map_err(PageError::ours)?;
    let hash = tokio::task::spawn_blocking(move || {
        Argon2::default()
            .hash_password_with_salt(passphrase.as_bytes(), &salt)
            .map(|hash| hash.to_string())
    })
    .await
    .map_err(PageError::ours)?
    .map_err(PageError::ours)?;
    Ok(store.save_setting(SETTING, &hash).await?)
}

/// Whether a passphrase is the one that was chosen.
pub(crate) async fn is_passphrase(app: &Shared, passphrase: &str) -> Result<bool, PageError> {
    let Some(hash) = app.store.setting::<String>(SETTING).await? else { return Ok(false) };
    if passphrase.chars().count() > LONGEST_PASSPHRASE {
        return Ok(false);
    }
    let passphrase = passphrase.to_owned();
    let _hashing = HASHING.acquire().await.map_err(PageError::ours)?;
    tokio::task::spawn_blocking(move || {
        let hash = PasswordHash::new(&hash).map_err(PageError::ours)?;
        Ok(Argon2::default().verify_password(passphrase.as_bytes(), &hash).is_ok())
    })
    .await
    .map_err(PageError::ours)?
}

/// Signs a browser in: what its cookie is set to.
pub(crate) async fn sign_in(
    app: &Shared,
    headers: &HeaderMap,
    uri: &Uri,
) -> Result<HeaderValue, PageError> {
    let now = app.clock.real();
    let token = URL_SAFE_NO_PAD.encode(app.machine.random_bytes::<32>());
    let device = headers
        .get(axum::http::header::USER_AGENT)
        .and_then(|value| value.to_str().ok())
        .unwrap_or_default();
    app.store.sign_in(&token_digest(&token), now, ends(now), device).await?;
    let is_secure = guard::is_secure(app) && guard::came_by_public_address(app, headers, uri);
    let seconds = DAYS * 24 * 60 * 60;
    let cookie = if is_secure {
        let name = COOKIES[0];
        format!("{name}={token}; Path=/; Max-Age={seconds}; HttpOnly; SameSite=Lax; Secure")
    } else {
        let name = COOKIES[1];
        format!("{name}={token}; Path=/; Max-Age={seconds}; HttpOnly; SameSite=Lax")
    };
    HeaderValue::from_str(&cookie).map_err(PageError::ours)
}

fn ends(now: Timestamp) -> Timestamp {
    now.checked_add(SignedDuration::from_hours(24 * DAYS)).unwrap_or(Timestamp::MAX)
}

/// Cookies that take ours away.
pub(crate) fn no_cookies() -> [HeaderValue; 2] {
    [
        HeaderValue::from_static(
            "__Host-fairspell=; Path=/; Max-Age=0; HttpOnly; SameSite=Lax; Secure",
        ),
        HeaderValue::from_static("fairspell=; Path=/; Max-Age=0; HttpOnly; SameSite=Lax"),
    ]
}
