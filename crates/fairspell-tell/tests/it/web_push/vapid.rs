//! Against RFC 8292, section 2.4.

use fairspell_tell::{
    TellError, VapidKey,
    web_push::{Sender, vapid::authorization},
};
use jiff::{SignedDuration, Timestamp};
use p256::ecdsa::{Signature, VerifyingKey, signature::Verifier};
use reqwest::Url;

use crate::world::{CONTACT, NOON, Reference, at, sender, unbase64, vapid_key};

/// Whether a token's signature is its key's: RFC 7515 by the standard's words alone.
fn verifies(token: &str, public_key: &str) -> bool {
    let (signed, signature) = token.rsplit_once('.').unwrap();
    let key = VerifyingKey::from_sec1_bytes(&unbase64(public_key)).unwrap();
    let signature = Signature::from_slice(&unbase64(signature)).unwrap();
    key.verify(signed.as_bytes(), &signature).is_ok()
}

fn parts(authorization: &str) -> (&str, &str) {
    authorization.strip_prefix("vapid t=").unwrap().split_once(", k=").unwrap()
}

fn twelve_hours_before(moment: Timestamp) -> Timestamp {
    moment - SignedDuration::from_hours(12)
}

#[test]
fn the_signature_of_rfc_8292_verifies() {
    let rfc = Reference::rfc8292();
    assert!(verifies(rfc.text("token"), rfc.text("public_key")));
    let altered = rfc.text("token").replacen("eyJhdWQi", "eyJhdWQh", 1);
    assert!(!verifies(&altered, rfc.text("public_key")));
}

/// The RFC keeps its private key to itself, and signatures may differ; what is signed may not.
#[test]
fn what_is_signed_for_the_example_of_rfc_8292_is_what_it_prints() {
    let rfc = Reference::rfc8292();
    let key = vapid_key();
    let sender = Sender { vapid_key: &key, contact: rfc.text("contact") };
    let endpoint = Url::parse(rfc.text("endpoint")).unwrap();
    let now = twelve_hours_before(at(rfc.text("valid_until")));
    let authorization = authorization(&sender, &endpoint, now).unwrap();
    let (token, public_key) = parts(&authorization);
    assert_eq!(token.rsplit_once('.').unwrap().0, rfc.text("token").rsplit_once('.').unwrap().0);
    assert_eq!(public_key, key.public_text());
    assert!(verifies(token, public_key));
    assert!(!verifies(token, rfc.text("public_key")));
}

#[test]
fn the_audience_is_the_endpoints_origin_with_a_port_of_its_own() {
    let key = vapid_key();
    let endpoint = Url::parse("https://push.example.net:8443/p/abc?d=1").unwrap();
    let authorization = authorization(&sender(&key), &endpoint, at(NOON)).unwrap();
    let claims = parts(&authorization).0.split('.').nth(1).unwrap();
    let claims: serde_json::Value = serde_json::from_slice(&unbase64(claims)).unwrap();
    assert_eq!(claims["aud"], "https://push.example.net:8443");
    assert_eq!(claims["sub"], CONTACT);
    assert_eq!(claims["exp"], at("2026-09-03T14:00:00Z").as_second());
}

#[test]
fn a_contact_is_a_mail_address_or_a_page() {
    let key = vapid_key();
    let endpoint = Url::parse("https://push.example.net/p").unwrap();
    for (contact, is_fine) in [
        ("mailto:ines@studio.example", true),
        ("https://studio.example/contact", true),
        ("http://studio.example/contact", false),
        ("ines@studio.example", false),
        ("", false),
    ] {
        let sender = Sender { vapid_key: &key, contact };
        let found = authorization(&sender, &endpoint, at(NOON));
        assert_eq!(found.is_ok(), is_fine, "{contact}");
        assert!(is_fine || found == Err(TellError::Contact(contact.to_owned())), "{contact}");
    }
}

#[test]
fn a_key_survives_being_written_down_and_does_not_print_itself() {
    let key = vapid_key();
    let text = key.to_private_text();
    let again: VapidKey = text.parse().unwrap();
    assert_eq!(again.public_text(), key.public_text());
    assert_eq!(unbase64(&key.public_text()).len(), 65);
    assert!(!format!("{key:?}").contains(&text));
    for bad in ["", "AAAA", "not a key at all", &"A".repeat(43)] {
        assert_eq!(bad.parse::<VapidKey>().err(), Some(TellError::Key), "{bad}");
    }
}
