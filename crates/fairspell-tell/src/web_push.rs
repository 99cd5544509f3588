//! Web push: a short message to her browser, through its maker's push service.
//!
//! The service sees neither text nor key: the message is encrypted for the browser (RFC 8291), and
//! the studio signs who it is (RFC 8292). The request is a plain value; sending it is one call.
//!
//! - [`subscription`]: where a browser wants its messages, checked
//! - [`encryption`]: the message, encrypted
//! - [`vapid`]: the studio's signature
//! - [`send`](mod@send): the call, and what came of it

pub mod encryption;
pub mod send;
pub mod subscription;
pub mod vapid;

use base64::{Engine, prelude::BASE64_URL_SAFE_NO_PAD};
use fairspell_studio::notice::Urgency;
use jiff::Timestamp;
use sha2::{Digest, Sha256};

pub use encryption::{Fresh, PLAINTEXT_MAX, encrypt};
pub use send::{Outcome, Post, client, send};
pub use subscription::Subscription;
pub use vapid::VapidKey;

use crate::TellError;

/// What goes to one browser.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Push<'a> {
    /// What the page's service worker reads; only the browser can.
    pub payload: &'a [u8],
    /// How long the service keeps it for a browser that is not there, seconds.
    pub ttl_s: u32,
    /// Whether it may wake the telephone.
    pub urgency: Urgency,
    /// What it is about: a newer message of the same key replaces one that still waits.
    pub key: &'a str,
}

/// Who sends: the studio's key, and where push services can reach its owner.
#[derive(Debug, Clone, Copy)]
pub struct Sender<'a> {
    /// The studio's key.
    pub vapid_key: &'a VapidKey,
    /// `mailto:` or `https:`.
    pub contact: &'a str,
}

/// A request to a push service, ready to post.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PushRequest {
    /// Where to.
    pub url: String,
    /// Header fields, by name.
    pub headers: Vec<(&'static str, String)>,
    /// The encrypted message.
    pub body: Vec<u8>,
}

/// The request that carries a message to a browser.
///
/// - `fresh`: random bytes, never used before.
/// - `now`: for the signature, which ends twelve hours later.
///
/// # Errors
///
/// [`TellError::TooLong`], [`TellError::Contact`], and [`TellError::Key`] for random bytes that
/// happen to be no key (once in four thousand million draws): draw again.
///
/// # Source
///
/// RFC 8030, section 5 (TTL, Urgency, Topic); RFC 8291, section 4; RFC 8292, section 2.
pub fn push_request(
    subscription: &Subscription,
    push: &Push<'_>,
    sender: &Sender<'_>,
    fresh: &Fresh,
    now: Timestamp,
) -> Result<PushRequest, TellError> {
    let body = encrypt(subscription, push.payload, fresh)?;
    let authorization = vapid::authorization(sender, subscription.endpoint(), now)?;
    let urgency = match push.urgency {
        Urgency::Now => "high",
        Urgency::Soon => "normal",
    };
    Ok(PushRequest {
        url: subscription.endpoint().as_str().to_owned(),
        headers: vec![
            ("TTL", push.ttl_s.to_string()),
            ("Urgency", urgency.to_owned()),
            ("Topic", topic(push.key)),
            ("Content-Encoding", "aes128gcm".to_owned()),
            ("Content-Type", "application/octet-stream".to_owned()),
            ("Authorization", authorization),
        ],
        body,
    })
}

/// A key as a topic: 32 letters that tell the push service nothing.
pub fn topic(key: &str) -> String {
    let mut topic = BASE64_URL_SAFE_NO_PAD.encode(Sha256::digest(key));
    topic.truncate(32);
    topic
}
