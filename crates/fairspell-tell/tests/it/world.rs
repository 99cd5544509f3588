//! Check values, and an invented studio's means of telling.

use base64::{Engine, prelude::BASE64_URL_SAFE_NO_PAD};
use fairspell_studio::notice::Urgency;
use fairspell_tell::{
    MailSettings, Message, Subscription, VapidKey,
    mail::{Mailbox, Security},
    web_push::Sender,
};
use jiff::Timestamp;
use serde_json::Value;

pub(crate) fn at(text: &str) -> Timestamp {
    text.parse().unwrap()
}

pub(crate) const NOON: &str = "2026-09-03T02:00:00Z";

pub(crate) const CONTACT: &str = "mailto:ines@studio.example";

/// A file of `tests/reference`.
pub(crate) struct Reference(Value);

impl Reference {
    pub(crate) fn rfc8291() -> Self {
        Self(serde_json::from_str(include_str!("../reference/rfc8291.json")).unwrap())
    }

    pub(crate) fn rfc8188() -> Self {
        Self(serde_json::from_str(include_str!("../reference/rfc8188.json")).unwrap())
    }

    pub(crate) fn rfc8292() -> Self {
        Self(serde_json::from_str(include_str!("../reference/rfc8292.json")).unwrap())
    }

    pub(crate) fn text(&self, name: &str) -> &str {
        self.0[name].as_str().unwrap()
    }

    pub(crate) fn bytes(&self, name: &str) -> Vec<u8> {
        unbase64(self.text(name))
    }

    pub(crate) fn array<const N: usize>(&self, name: &str) -> [u8; N] {
        self.bytes(name).try_into().unwrap()
    }
}

pub(crate) fn unbase64(text: &str) -> Vec<u8> {
    BASE64_URL_SAFE_NO_PAD.decode(text).unwrap()
}

/// The subscription of RFC 8291's example, whose private key we know.
pub(crate) fn subscription() -> Subscription {
    let rfc = Reference::rfc8291();
    Subscription::new(
        "https://push.example.net/push/JzLQ3raZJfFBR0aqvOMsLrt54w4rJUsV",
        rfc.text("receiver_public"),
        rfc.text("auth_secret"),
    )
    .unwrap()
}

pub(crate) fn vapid_key() -> VapidKey {
    VapidKey::generate(&[7; 32]).unwrap()
}

pub(crate) fn sender(key: &VapidKey) -> Sender<'_> {
    Sender { vapid_key: key, contact: CONTACT }
}

pub(crate) fn message(key: &str) -> Message {
    Message {
        key: key.to_owned(),
        urgency: Urgency::Now,
        subject: "Must move: Linh, Thu 3 Sep, 15:15".to_owned(),
        body: "As of Thu 3 Sep, 12:00: an official warning.\n\nStay safe.".to_owned(),
        short: "Linh: must move".to_owned(),
        path: "/sessions/linh".to_owned(),
    }
}

pub(crate) fn mail_settings(port: u16) -> MailSettings {
    let ines =
        Mailbox { name: "Inés Corrigan-Vale".into(), address: "ines@studio.example".into() };
    MailSettings {
        host: "127.0.0.1".to_owned(),
        port,
        security: Security::None,
        user: "ines".to_owned(),
        password: "a dune at half past".to_owned(),
        from: Mailbox { name: "Half Past Dune".to_owned(), ..ines.clone() },
        to: ines,
    }
}
