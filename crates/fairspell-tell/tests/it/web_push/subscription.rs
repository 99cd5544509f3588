use base64::{Engine, prelude::BASE64_URL_SAFE_NO_PAD};
use fairspell_tell::{Subscription, TellError};

use crate::world::{Reference, subscription, unbase64};

const ENDPOINT: &str = "https://push.example.net/push/abc";

fn checked(endpoint: &str, p256dh: &str, auth: &str) -> Result<&'static str, &'static str> {
    match Subscription::new(endpoint, p256dh, auth) {
        Ok(_) => Ok("fine"),
        Err(TellError::Subscription { what, .. }) => Err(what),
        Err(_) => Err("another error"),
    }
}

#[test]
fn the_subscription_of_rfc_8291_is_fine_with_and_without_padding() {
    let rfc = Reference::rfc8291();
    let (key, auth) = (rfc.text("receiver_public"), rfc.text("auth_secret"));
    assert_eq!(checked(ENDPOINT, key, auth), Ok("fine"));
    assert_eq!(checked(ENDPOINT, &format!("{key}="), &format!("{auth}==")), Ok("fine"));
}

#[test]
fn endpoints_that_cannot_be_used_are_refused() {
    let rfc = Reference::rfc8291();
    let long = format!("https://push.example.net/{}", "a".repeat(2048));
    for endpoint in [
        "",
        "push.example.net/abc",
        "http://push.example.net/abc",
        "ftp://push.example.net/abc",
        "https://user@push.example.net/abc",
        "https://:secret@push.example.net/abc",
        "https://localhost/abc",
        "https://192.168.1.1/abc",
        "https://",
        &long,
    ] {
        let found = checked(endpoint, rfc.text("receiver_public"), rfc.text("auth_secret"));
        assert_eq!(found, Err("endpoint"), "{endpoint}");
    }
}

#[test]
fn keys_that_cannot_be_used_are_refused() {
    let rfc = Reference::rfc8291();
    let (key, auth) = (rfc.text("receiver_public"), rfc.text("auth_secret"));
    let mut bytes = unbase64(key);
    bytes[64] ^= 1;
    let off_the_curve = BASE64_URL_SAFE_NO_PAD.encode(&bytes);
    bytes[0] = 6;
    let hybrid = BASE64_URL_SAFE_NO_PAD.encode(&bytes);
    let compressed = BASE64_URL_SAFE_NO_PAD.encode([&[3], &unbase64(key)[1..33]].concat());
    let nowhere = BASE64_URL_SAFE_NO_PAD.encode([0; 65]);
    for bad in ["", "+++", &key[1..], &off_the_curve, &hybrid, &compressed, &nowhere] {
        assert_eq!(checked(ENDPOINT, bad, auth), Err("p256dh"), "{bad}");
    }
    for bad in ["", "!", &auth[..20], &format!("{auth}AA")] {
        assert_eq!(checked(ENDPOINT, key, bad), Err("auth"), "{bad}");
    }
}

#[test]
fn a_subscription_comes_back_from_json_and_a_bad_one_does_not() {
    let json = serde_json::to_string(&subscription()).unwrap();
    assert_eq!(serde_json::from_str::<Subscription>(&json).unwrap(), subscription());
    let leads_home = json.replace("push.example.net", "127.0.0.1");
    assert!(serde_json::from_str::<Subscription>(&leads_home).is_err());
}
