//! Against RFC 8291, section 5 and appendix A, and RFC 8188, section 3.1: byte for byte.

use aes_gcm::{Aes128Gcm, KeyInit, Nonce, aead::Aead};
use fairspell_tell::{
    TellError,
    web_push::{Fresh, PLAINTEXT_MAX, encrypt, encryption::aes128gcm},
};
use hkdf::Hkdf;
use p256::{PublicKey, SecretKey};
use proptest::prelude::*;
use sha2::Sha256;

use crate::world::{Reference, subscription};

fn fresh() -> Fresh {
    let rfc = Reference::rfc8291();
    Fresh { ephemeral: rfc.array("sender_private"), salt: rfc.array("salt") }
}

/// What a browser does, written down from RFC 8291, section 3, and RFC 8188, section 2.
fn decrypt(body: &[u8]) -> Option<Vec<u8>> {
    let rfc = Reference::rfc8291();
    let (salt, rest) = body.split_at_checked(16)?;
    let (size, rest) = rest.split_at_checked(4)?;
    assert!(body.len() <= u32::from_be_bytes(size.try_into().unwrap()) as usize);
    let (length, rest) = rest.split_first()?;
    let (sender, sealed) = rest.split_at_checked(usize::from(*length))?;
    let own = SecretKey::from_slice(&rfc.bytes("receiver_private")).unwrap();
    let shared = own.diffie_hellman(&PublicKey::from_sec1_bytes(sender).ok()?);
    let expand = |salt: &[u8], ikm: &[u8], info: &[u8], length: usize| {
        let mut out = vec![0; length];
        Hkdf::<Sha256>::new(Some(salt), ikm).expand(info, &mut out).unwrap();
        out
    };
    let mut info = b"WebPush: info\0".to_vec();
    info.extend(own.public_key().to_sec1_bytes());
    info.extend(sender);
    let ikm = expand(&rfc.bytes("auth_secret"), shared.raw_secret_bytes(), &info, 32);
    let key = expand(salt, &ikm, b"Content-Encoding: aes128gcm\0", 16);
    let nonce = expand(salt, &ikm, b"Content-Encoding: nonce\0", 12);
    let nonce: [u8; 12] = nonce.try_into().unwrap();
    let mut text =
        Aes128Gcm::new_from_slice(&key).unwrap().decrypt(&Nonce::from(nonce), sealed).ok()?;
    while text.last() == Some(&0) {
        text.pop();
    }
    (text.pop() == Some(2)).then_some(text)
}

#[test]
fn the_push_message_of_rfc_8291_comes_out_byte_for_byte() {
    let rfc = Reference::rfc8291();
    let body = encrypt(&subscription(), rfc.text("plaintext").as_bytes(), &fresh()).unwrap();
    assert_eq!(body, rfc.bytes("body"));
    assert_eq!(body[21..86], rfc.bytes("sender_public"));
}

#[test]
fn the_content_coding_of_rfc_8188_comes_out_byte_for_byte() {
    let rfc = Reference::rfc8188();
    let plaintext = rfc.text("plaintext").as_bytes();
    let body = aes128gcm(&rfc.bytes("ikm"), &rfc.array("salt"), b"", plaintext);
    assert_eq!(body, rfc.bytes("body"));
}

#[test]
fn the_browser_of_rfc_8291_reads_its_message() {
    let rfc = Reference::rfc8291();
    assert_eq!(decrypt(&rfc.bytes("body")).unwrap(), rfc.text("plaintext").as_bytes());
}

#[test]
fn the_longest_text_fills_the_body_that_every_service_takes() {
    let body = encrypt(&subscription(), &[b'x'; PLAINTEXT_MAX], &fresh()).unwrap();
    assert_eq!(body.len(), 4096);
    assert_eq!(decrypt(&body).unwrap().len(), PLAINTEXT_MAX);
    let too_long = encrypt(&subscription(), &[b'x'; PLAINTEXT_MAX + 1], &fresh());
    assert_eq!(too_long, Err(TellError::TooLong { bytes: 3994, most: 3993 }));
}

#[test]
fn random_bytes_that_are_no_key_are_refused() {
    for ephemeral in [[0; 32], [0xff; 32]] {
        let fresh = Fresh { ephemeral, ..fresh() };
        assert_eq!(encrypt(&subscription(), b"text", &fresh), Err(TellError::Key));
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]
    #[test]
    fn whatever_is_sent_the_browser_reads_it_and_nobody_can_change_it(
        text: Vec<u8>, ephemeral in prop::array::uniform32(1u8..0xff), salt: [u8; 16], bit in 0usize..128,
    ) {
        let mut body = encrypt(&subscription(), &text, &Fresh { ephemeral, salt }).unwrap();
        prop_assert_eq!(decrypt(&body), Some(text));
        let last = body.len() - 1 - bit / 8;
        body[last] ^= 1 << (bit % 8);
        prop_assert_eq!(decrypt(&body), None);
    }
}
