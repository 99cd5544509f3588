//! The links that a family gets: signed, ending, good for one letter.

use base64::{Engine, engine::general_purpose::URL_SAFE_NO_PAD};
use jiff::{SignedDuration, Timestamp};

use crate::secrets::{Purpose, Secrets};

/// A link ends so long after the session's evening, hours: the receipt can be looked at once more.
const ENDS_AFTER_H: i64 = 48;

/// So much of the signature stands in the link, bytes: 2^128 guesses.
const SIGNATURE_BYTES: usize = 16;

/// What a link says when its signature fits.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct FamilyLink {
    /// The letter, by id.
    pub(crate) letter: String,
    /// When the link ends.
    pub(crate) ends: Timestamp,
}

impl FamilyLink {
    /// The link to a letter about an evening.
    pub(crate) fn to_letter(letter: &str, evening_ends: Timestamp) -> Self {
        let ends = evening_ends.checked_add(SignedDuration::from_hours(ENDS_AFTER_H));
        FamilyLink { letter: letter.to_owned(), ends: ends.unwrap_or(Timestamp::MAX) }
    }

    /// What stands in the address.
    pub(crate) fn token(&self, secrets: &Secrets) -> String {
        let said = format!("{}.{}", self.letter, self.ends.as_second());
        let signature = &secrets.sign(Purpose::FamilyLink, &said)[..SIGNATURE_BYTES];
        format!("{said}.{}", URL_SAFE_NO_PAD.encode(signature))
    }

    /// The link of an address; `None` when it was altered. It may have ended.
    pub(crate) fn read(token: &str, secrets: &Secrets) -> Option<FamilyLink> {
        let (said, signature) = token.rsplit_once('.')?;
        let signature = URL_SAFE_NO_PAD.decode(signature).ok()?;
        if !secrets.fits_start(Purpose::FamilyLink, said, &signature, SIGNATURE_BYTES) {
            return None;
        }
        let (letter, ends) = said.rsplit_once('.')?;
        let ends = Timestamp::from_second(ends.parse().ok()?).ok()?;
        Some(FamilyLink { letter: letter.to_owned(), ends })
    }
}
