//! Where a browser wants its messages.

use base64::{
    Engine,
    alphabet::URL_SAFE,
    engine::{DecodePaddingMode, GeneralPurpose, GeneralPurposeConfig},
    prelude::BASE64_URL_SAFE_NO_PAD,
};
use fairspell_reach::has_public_host;
use p256::PublicKey;
use reqwest::Url;
use serde::{Deserialize, Serialize};

use crate::TellError;

/// The longest endpoint that is taken, bytes; those in use have a few hundred.
const ENDPOINT_MAX: usize = 2048;

/// Browsers leave the padding out, older libraries keep it.
const BASE64_URL: GeneralPurpose = GeneralPurpose::new(
    &URL_SAFE,
    GeneralPurposeConfig::new().with_decode_padding_mode(DecodePaddingMode::Indifferent),
);

/// A browser's subscription, checked: whoever holds one can encrypt for it.
///
/// In JSON it is what a browser's `PushSubscription.toJSON()` gives.
///
/// ```
/// use fairspell_tell::Subscription;
///
/// let json = r#"{
///     "endpoint": "https://push.example.net/push/JzLQ3raZJfFBR0aqvOMsLrt54w4rJUsV",
///     "expirationTime": null,
///     "keys": {
///         "auth": "BTBZMqHH6r4Tts7J_aSIgg",
///         "p256dh": "BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV-JvLexhqUzORcxaOzi6-AYWXvTBHm4bjyPjs7Vd8pZGH6SRpkNtoIAiw4"
///     }
/// }"#;
/// let subscription: Subscription = serde_json::from_str(json).expect("a subscription");
/// assert_eq!(subscription.endpoint().host_str(), Some("push.example.net"));
/// ```
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "Json", into = "Json")]
pub struct Subscription {
    endpoint: Url,
    key: PublicKey,
    auth: [u8; 16],
}

/// A subscription as browsers write it.
#[derive(Serialize, Deserialize)]
struct Json {
    endpoint: String,
    keys: Keys,
}

#[derive(Serialize, Deserialize)]
struct Keys {
    auth: String,
    p256dh: String,
}

impl Subscription {
    /// Checks a subscription.
    ///
    /// - `endpoint`: an `https:` address at a public host.
    /// - `p256dh`: the browser's public key, an uncompressed point of P-256, base64url.
    /// - `auth`: the 16 bytes that it shares with the studio, base64url.
    ///
    /// # Errors
    ///
    /// [`TellError::Subscription`], naming the part.
    pub fn new(endpoint: &str, p256dh: &str, auth: &str) -> Result<Self, TellError> {
        let key = bytes::<65>("p256dh", p256dh)?;
        // A compressed point has 33 bytes, so 65 of them can only be an uncompressed one.
        let key = PublicKey::from_sec1_bytes(&key)
            .map_err(|_| refused("p256dh", "it is no point of the curve P-256"))?;
        Ok(Subscription { endpoint: checked_endpoint(endpoint)?, key, auth: bytes("auth", auth)? })
    }

    /// Where messages go.
    pub fn endpoint(&self) -> &Url {
        &self.endpoint
    }

    pub(crate) fn key(&self) -> &PublicKey {
        &self.key
    }

    pub(crate) fn auth(&self) -> &[u8; 16] {
        &self.auth
    }
}

fn checked_endpoint(endpoint: &str) -> Result<Url, TellError> {
    let no = |why: &str| refused("endpoint", why);
    if endpoint.len() > ENDPOINT_MAX {
        return Err(no("it is too long"));
    }
    let url = Url::parse(endpoint).map_err(|_| no("it is no address"))?;
    if url.scheme() != "https" {
        return Err(no("it is not https"));
    }
    if !url.username().is_empty() || url.password().is_some() {
        return Err(no("it carries a user's name"));
    }
    if !has_public_host(&url) {
        return Err(no("its host is not a public one"));
    }
    Ok(url)
}

fn bytes<const N: usize>(what: &'static str, text: &str) -> Result<[u8; N], TellError> {
    let bytes = BASE64_URL.decode(text).map_err(|_| refused(what, "it is not base64url"))?;
    let found = bytes.len();
    bytes.try_into().map_err(|_| refused(what, &format!("it has {found} bytes instead of {N}")))
}

fn refused(what: &'static str, why: &str) -> TellError {
    TellError::Subscription { what, why: why.to_owned() }
}

impl TryFrom<Json> for Subscription {
    type Error = TellError;

    fn try_from(json: Json) -> Result<Self, TellError> {
        Subscription::new(&json.endpoint, &json.keys.p256dh, &json.keys.auth)
    }
}

impl From<Subscription> for Json {
    fn from(subscription: Subscription) -> Self {
        Json {
            endpoint: subscription.endpoint.into(),
            keys: Keys {
                auth: BASE64_URL_SAFE_NO_PAD.encode(subscription.auth),
                p256dh: BASE64_URL_SAFE_NO_PAD.encode(subscription.key.to_sec1_bytes()),
            },
        }
    }
}
