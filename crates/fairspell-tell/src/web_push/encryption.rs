//! A message, encrypted for one browser.

use aes_gcm::{Aes128Gcm, KeyInit, Nonce, aead::Aead};
use hkdf::Hkdf;
use p256::SecretKey;
use sha2::Sha256;

use super::Subscription;
use crate::TellError;

/// The record size that is announced: a message is one record, and services take no larger body.
const RECORD_BYTES: u32 = 4096;

/// Salt, record size, length of the key's id, the key's id: an uncompressed point.
const HEADER_BYTES: usize = 16 + 4 + 1 + 65;

/// The byte that ends a record's text, and the sixteen that prove it.
const OVERHEAD_BYTES: usize = 1 + 16;

/// The longest text that fits into one push message, bytes.
///
/// # Source
///
/// RFC 8291, section 4: a body of 4096 bytes is what every service takes.
pub const PLAINTEXT_MAX: usize = RECORD_BYTES as usize - HEADER_BYTES - OVERHEAD_BYTES;

/// Random bytes for one message, never to be used for another.
#[derive(Clone, Copy, PartialEq, Eq)]
pub struct Fresh {
    /// The private key of this message alone.
    pub ephemeral: [u8; 32],
    /// The salt.
    pub salt: [u8; 16],
}

impl Fresh {
    /// Takes 48 random bytes apart.
    pub fn from_random(bytes: &[u8; 48]) -> Self {
        let mut fresh = Fresh { ephemeral: [0; 32], salt: [0; 16] };
        fresh.ephemeral.copy_from_slice(&bytes[..32]);
        fresh.salt.copy_from_slice(&bytes[32..]);
        fresh
    }
}

/// A message as only the subscribed browser can read it.
///
/// # Errors
///
/// [`TellError::TooLong`] beyond [`PLAINTEXT_MAX`]; [`TellError::Key`] where the random bytes are no
/// key.
///
/// # Source
///
/// RFC 8291, section 3.4.
pub fn encrypt(
    subscription: &Subscription,
    plaintext: &[u8],
    fresh: &Fresh,
) -> Result<Vec<u8>, TellError> {
    if plaintext.len() > PLAINTEXT_MAX {
        return Err(TellError::TooLong { bytes: plaintext.len(), most: PLAINTEXT_MAX });
    }
    let own = SecretKey::from_slice(&fresh.ephemeral).map_err(|_| TellError::Key)?;
    let own_public = own.public_key().to_sec1_bytes();
    let shared = own.diffie_hellman(subscription.key());
    let info =
        [b"WebPush: info\0".as_slice(), &subscription.key().to_sec1_bytes(), &own_public].concat();
    let ikm: [u8; 32] = derive(subscription.auth(), shared.raw_secret_bytes(), &info);
    Ok(aes128gcm(&ikm, &fresh.salt, &own_public, plaintext))
}

/// The content coding `aes128gcm`, one record of 4096 bytes at most.
///
/// - `ikm`: the input keying material.
/// - `key_id`: what tells the reader which key it is, 255 bytes at most.
///
/// # Panics
///
/// If key id and text do not fit into one record: ours are fixed, and [`encrypt`] checks the text.
///
/// # Source
///
/// RFC 8188, section 2.
pub fn aes128gcm(ikm: &[u8], salt: &[u8; 16], key_id: &[u8], plaintext: &[u8]) -> Vec<u8> {
    assert!(plaintext.len() + OVERHEAD_BYTES <= RECORD_BYTES as usize, "the text is one record");
    let id_length = u8::try_from(key_id.len()).expect("a key id has 255 bytes at most");
    let key: [u8; 16] = derive(salt, ikm, b"Content-Encoding: aes128gcm\0");
    let nonce: [u8; 12] = derive(salt, ikm, b"Content-Encoding: nonce\0");
    // 2 marks the last record; the first record's number, zero, leaves the nonce as it is.
    let record = [plaintext, &[2]].concat();
    let sealed = Aes128Gcm::new(&key.into())
        .encrypt(&Nonce::from(nonce), record.as_slice())
        .expect("a record is far shorter than AES-GCM allows");
    [salt.as_slice(), &RECORD_BYTES.to_be_bytes(), &[id_length], key_id, &sealed].concat()
}

/// HKDF with SHA-256 (RFC 5869).
fn derive<const N: usize>(salt: &[u8], ikm: &[u8], info: &[u8]) -> [u8; N] {
    let mut key = [0; N];
    Hkdf::<Sha256>::new(Some(salt), ikm)
        .expand(info, &mut key)
        .expect("HKDF gives up to 8160 bytes");
    key
}
