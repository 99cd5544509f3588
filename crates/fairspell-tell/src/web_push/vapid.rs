//! The studio's signature, by which a push service knows its messages from anybody else's.

use std::{fmt, str::FromStr};

use base64::{Engine, prelude::BASE64_URL_SAFE_NO_PAD};
use jiff::Timestamp;
use p256::{
    SecretKey,
    ecdsa::{Signature, SigningKey, signature::Signer},
};
use reqwest::Url;
use serde::Serialize;

use super::Sender;
use crate::TellError;

/// How long a signature holds, seconds: half of the day that RFC 8292 allows, so that a clock that
/// goes wrong by hours still gives one that is taken.
const HOLDS_S: i64 = 12 * 60 * 60;

/// The studio's key for push services. Made once: browsers subscribe to it.
#[derive(Clone)]
pub struct VapidKey(SecretKey);

impl VapidKey {
    /// The key of 32 random bytes.
    ///
    /// # Errors
    ///
    /// [`TellError::Key`] for bytes that are none (once in four thousand million): draw others.
    pub fn generate(random: &[u8; 32]) -> Result<Self, TellError> {
        SecretKey::from_slice(random).map(VapidKey).map_err(|_| TellError::Key)
    }

    /// The private key as text, to be kept where the passphrase is kept.
    pub fn to_private_text(&self) -> String {
        BASE64_URL_SAFE_NO_PAD.encode(self.0.to_bytes())
    }

    /// The public key as browsers ask for it: `applicationServerKey`, base64url.
    pub fn public_text(&self) -> String {
        BASE64_URL_SAFE_NO_PAD.encode(self.0.public_key().to_sec1_bytes())
    }
}

impl FromStr for VapidKey {
    type Err = TellError;

    /// Reads what [`VapidKey::to_private_text`] wrote.
    fn from_str(text: &str) -> Result<Self, TellError> {
        let bytes = BASE64_URL_SAFE_NO_PAD.decode(text).map_err(|_| TellError::Key)?;
        VapidKey::generate(&bytes.try_into().map_err(|_| TellError::Key)?)
    }
}

impl fmt::Debug for VapidKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_tuple("VapidKey").field(&self.public_text()).finish()
    }
}

#[derive(Serialize)]
struct Claims<'a> {
    aud: String,
    exp: i64,
    sub: &'a str,
}

/// The `Authorization` field for an endpoint.
///
/// # Errors
///
/// [`TellError::Contact`] for a contact that is neither `mailto:` nor `https:`.
///
/// # Source
///
/// RFC 8292, sections 2 and 3; the token is RFC 7515's, signed with ES256 (RFC 7518, section 3.4).
pub fn authorization(
    sender: &Sender<'_>,
    endpoint: &Url,
    now: Timestamp,
) -> Result<String, TellError> {
    let (key, contact) = (sender.vapid_key, sender.contact);
    let holds = Url::parse(contact).is_ok_and(|url| matches!(url.scheme(), "mailto" | "https"));
    if !holds {
        return Err(TellError::Contact(contact.to_owned()));
    }
    let aud = endpoint.origin().ascii_serialization();
    let unsigned = unsigned(&Claims { aud, exp: now.as_second() + HOLDS_S, sub: contact });
    let signature: Signature = SigningKey::from(&key.0).sign(unsigned.as_bytes());
    let signature = BASE64_URL_SAFE_NO_PAD.encode(signature.to_bytes());
    Ok(format!("vapid t={unsigned}.{signature}, k={}", key.public_text()))
}

/// Head and claims of the token.
fn unsigned(claims: &Claims<'_>) -> String {
    let claims = serde_json::to_string(claims).expect("texts and a number are always JSON");
    let head = r#"{"typ":"JWT","alg":"ES256"}"#;
    format!("{}.{}", BASE64_URL_SAFE_NO_PAD.encode(head), BASE64_URL_SAFE_NO_PAD.encode(claims))
}
