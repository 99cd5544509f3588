//! Keys that the studio makes for itself once and keeps.

use fairspell_store::{Store, StoreError};
use fairspell_studio::journal::Digest;
use hmac::{Hmac, KeyInit, Mac};
use serde::{Deserialize, Serialize};
use sha2::Sha256;
use subtle::ConstantTimeEq;

use crate::clock::Machine;

/// What a signature is for: one made for one purpose is worth nothing for another.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Purpose {
    /// A form of a signed-in page.
    Form,
    /// A family's link.
    FamilyLink,
    /// The calendar that her telephone subscribes to.
    Calendar,
    /// Our own check of the public address.
    SelfCheck,
}

/// The keys, as they are kept.
#[derive(Clone, Serialize, Deserialize)]
pub(crate) struct Secrets {
    signing_key: [u8; 32],
}

impl std::fmt::Debug for Secrets {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Secrets")
    }
}

/// Under which name they are kept.
const SETTING: &str = "secrets";

impl Secrets {
    /// The studio's keys, made when there are none.
    pub(crate) async fn load(store: &Store, machine: &Machine) -> Result<Secrets, StoreError> {
        if let Some(known) = store.setting(SETTING).await? {
            return Ok(known);
        }
        let made = Secrets { signing_key: machine.random_bytes() };
        store.save_setting(SETTING, &made).await?;
        Ok(made)
    }

    /// HMAC-SHA-256 over a text, for one purpose.
    pub(crate) fn sign(&self, purpose: Purpose, text: &str) -> [u8; 32] {
        let mut mac = Hmac::<Sha256>::new_from_slice(&self.signing_key)
            .expect("HMAC takes keys of any length");
        mac.update(&[purpose as u8]);
        mac.update(text.as_bytes());
        mac.finalize().into_bytes().into()
    }

    /// Whether a signature fits, in a time that tells nothing.
    pub(crate) fn fits(&self, purpose: Purpose, text: &str, signature: &[u8]) -> bool {
        self.fits_start(purpose, text, signature, 32)
    }

    /// Whether the first bytes of a signature fit, in a time that tells nothing.
    pub(crate) fn fits_start(
        &self,
        purpose: Purpose,
        text: &str,
        signature: &[u8],
        bytes: usize,
    ) -> bool {
        self.sign(purpose, text)[..bytes].ct_eq(signature).into()
    }
}

/// The digest under which a sign-in's token is kept: who reads the database cannot sign in with it.
pub(crate) fn token_digest(token: &str) -> Digest {
    Digest::of(token.as_bytes())
}
