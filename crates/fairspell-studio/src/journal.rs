//! The journal: an append-only chain that shows later what was agreed, and can still forget.
//!
//! Each [`Entry`] holds the salted digest of its content, and a head that follows from the head
//! before it. So a head written down anywhere (in a family's receipt, in a backup) vouches for every
//! entry up to it. The contents lie beside the chain: when a family asks to be forgotten, text and
//! salt go, the chain stays, and without its salt a digest tells nothing of a text that somebody
//! guesses. Hence nothing that names a person is ever chained in clear: no name, no session's id.

use std::{fmt, str::FromStr};

use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};

/// A SHA-256 digest; in files and on screens 64 hexadecimal digits, small letters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(into = "String", try_from = "String")]
pub struct Digest(pub [u8; 32]);

/// What was written is no digest.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is not 64 hexadecimal digits")]
pub struct NotADigest(String);

impl Digest {
    /// The SHA-256 of some bytes.
    ///
    /// # Source
    ///
    /// FIPS 180-4, "Secure Hash Standard (SHS)", section 6.2.
    pub fn of(bytes: &[u8]) -> Digest {
        Digest(Sha256::digest(bytes).into())
    }
}

impl fmt::Display for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

impl FromStr for Digest {
    type Err = NotADigest;

    /// Capital letters are read as well: somebody may have typed it off a receipt.
    fn from_str(text: &str) -> Result<Digest, NotADigest> {
        let not_a_digest = || NotADigest(text.to_owned());
        if text.len() != 64 || !text.bytes().all(|byte| byte.is_ascii_hexdigit()) {
            return Err(not_a_digest());
        }
        let mut bytes = [0; 32];
        for (byte, pair) in bytes.iter_mut().zip(text.as_bytes().chunks_exact(2)) {
            let pair = str::from_utf8(pair).map_err(|_| not_a_digest())?;
            *byte = u8::from_str_radix(pair, 16).map_err(|_| not_a_digest())?;
        }
        Ok(Digest(bytes))
    }
}

impl From<Digest> for String {
    fn from(digest: Digest) -> String {
        digest.to_string()
    }
}

impl TryFrom<String> for Digest {
    type Error = NotADigest;

    fn try_from(text: String) -> Result<Digest, NotADigest> {
        text.parse()
    }
}

/// What happened.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum EntryKind {
    /// A letter went out.
    LetterSent,
    /// Somebody answered one.
    Answered,
    /// A session was saved or deleted.
    SessionChanged,
    /// A person was saved or deleted.
    PersonChanged,
    /// The studio was saved.
    StudioChanged,
    /// A family asked to be forgotten, and was.
    PersonErased,
    /// The photographer was told something.
    Told,
    /// A backup was made.
    BackedUp,
    /// Bookings came in from elsewhere.
    Imported,
    /// A change was taken back.
    Undone,
    /// A phone handed in what was tapped in the field.
    FieldLogged,
}

impl EntryKind {
    const ALL: [EntryKind; 11] = [
        EntryKind::LetterSent,
        EntryKind::Answered,
        EntryKind::SessionChanged,
        EntryKind::PersonChanged,
        EntryKind::StudioChanged,
        EntryKind::PersonErased,
        EntryKind::Told,
        EntryKind::BackedUp,
        EntryKind::Imported,
        EntryKind::Undone,
        EntryKind::FieldLogged,
    ];

    /// How it is spelled in files and in the chain. Never changed: heads depend on it.
    pub fn as_str(self) -> &'static str {
        match self {
            EntryKind::LetterSent => "letter_sent",
            EntryKind::Answered => "answered",
            EntryKind::SessionChanged => "session_changed",
            EntryKind::PersonChanged => "person_changed",
            EntryKind::StudioChanged => "studio_changed",
            EntryKind::PersonErased => "person_erased",
            EntryKind::Told => "told",
            EntryKind::BackedUp => "backed_up",
            EntryKind::Imported => "imported",
            EntryKind::Undone => "undone",
            EntryKind::FieldLogged => "field_logged",
        }
    }
}

/// What was written is no kind of entry.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is no kind of journal entry")]
pub struct NotAKind(String);

impl FromStr for EntryKind {
    type Err = NotAKind;

    fn from_str(text: &str) -> Result<EntryKind, NotAKind> {
        EntryKind::ALL
            .into_iter()
            .find(|kind| kind.as_str() == text)
            .ok_or_else(|| NotAKind(text.to_owned()))
    }
}

/// One link of the chain. It names nobody.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Entry {
    /// 1, 2, 3 and so on without a hole.
    pub seq: u64,
    /// When it happened; the chain holds whole milliseconds.
    pub at: Timestamp,
    /// What happened.
    pub kind: EntryKind,
    /// The digest of its content; see [`content_digest`].
    pub content_digest: Digest,
    /// What it and everything before it come to; see [`next_head`].
    pub head: Digest,
}

/// What an entry is about. It may be erased, and then it is `None` wherever it is asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Content {
    /// Bytes nobody can guess, so that the digest does not give away a text that can be guessed.
    pub salt: [u8; 16],
    /// The content, as JSON.
    pub text: String,
}

impl Content {
    /// Its digest.
    pub fn digest(&self) -> Digest {
        content_digest(&self.salt, &self.text)
    }
}

/// What somebody who was party to an entry is given, so that it can be shown later.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Receipt {
    /// The entry's number.
    pub seq: u64,
    /// The chain's head after it.
    pub head: Digest,
}

/// The digest of a content: SHA-256 of the salt's 16 bytes followed by the text as UTF-8.
pub fn content_digest(salt: &[u8; 16], text: &str) -> Digest {
    Digest(Sha256::new().chain_update(salt).chain_update(text).finalize().into())
}

/// The head after an entry: SHA-256 of these bytes, one after the other.
///
/// | bytes | what |
/// |---|---|
/// | 21 | the ASCII letters `fairspell journal v1` and a zero byte, so that no other digest is taken for a head |
/// | 32 | the head before it; before the first entry all zero |
/// | 8 | `seq`, big end first |
/// | 8 | `at`, milliseconds since 1970-01-01 UTC, two's complement, big end first |
/// | its own | the kind's name in ASCII, see [`EntryKind::as_str`], and a zero byte |
/// | 32 | the content's digest |
///
/// # Examples
///
/// ```
/// use fairspell_studio::journal::{EntryKind, content_digest, next_head};
///
/// let at = "2026-09-03T05:15:00Z".parse().expect("a moment");
/// let content = content_digest(&[7; 16], "{}");
/// let first = next_head(None, 1, at, EntryKind::LetterSent, content);
/// let second = next_head(Some(first), 2, at, EntryKind::Answered, content);
/// assert_ne!(first, second);
/// ```
pub fn next_head(
    previous: Option<Digest>,
    seq: u64,
    at: Timestamp,
    kind: EntryKind,
    content_digest: Digest,
) -> Digest {
    let hash = Sha256::new()
        .chain_update(b"fairspell journal v1\0")
        .chain_update(previous.map_or([0; 32], |digest| digest.0))
        .chain_update(seq.to_be_bytes())
        .chain_update(at.as_millisecond().to_be_bytes())
        .chain_update(kind.as_str())
        .chain_update([0])
        .chain_update(content_digest.0);
    Digest(hash.finalize().into())
}

/// Where a head that somebody holds stands in the chain.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum HeadPlace {
    /// It is the newest.
    Newest,
    /// It was the newest once; everything up to this entry is as it was then.
    Earlier {
        /// The entry.
        seq: u64,
    },
    /// The chain does not lead over it, as far as it holds.
    NotPart,
}

/// What checking a journal found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Verdict {
    /// How many entries there are.
    pub entries: u64,
    /// How many of their contents were erased, and say when.
    pub erased: u64,
    /// The head up to which the chain holds; `None` where not even one entry does.
    pub head: Option<Digest>,
    /// The first place at which the chain does not follow: the number that ought to stand there.
    pub broken_at: Option<u64>,
    /// The entries whose content is not the one that was chained, or is gone though nobody erased it.
    pub altered: Vec<u64>,
    /// Where the expected head stands; `None` if none was asked about.
    pub expected: Option<HeadPlace>,
}

impl Verdict {
    /// Whether nothing speaks against the journal.
    pub fn holds(&self) -> bool {
        self.broken_at.is_none()
            && self.altered.is_empty()
            && self.expected != Some(HeadPlace::NotPart)
    }
}

/// What is left of an entry's content.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Left<'a> {
    /// All of it.
    Whole(&'a Content),
    /// It was erased, and the moment was noted.
    Erased,
    /// It is gone, and nothing says that it was erased.
    Lost,
}

/// Checks a journal entry by entry, so that a long one need not be held at once: that every entry
/// follows from the one before it, that every content which is still there is the one that was
/// chained, and where a head that somebody holds stands in it.
///
/// Who can write to the database can also erase a content and note it; then the entry that ought to
/// say so ([`EntryKind::PersonErased`]) is missing from the chain.
#[derive(Debug, Clone)]
pub struct Verifier {
    expected: Option<Digest>,
    found_at: Option<u64>,
    verdict: Verdict,
}

impl Verifier {
    /// Begins; `expected` is a head to look for.
    pub fn new(expected: Option<Digest>) -> Verifier {
        let verdict = Verdict {
            entries: 0,
            erased: 0,
            head: None,
            broken_at: None,
            altered: Vec::new(),
            expected: None,
        };
        Verifier { expected, found_at: None, verdict }
    }

    /// The next entry, in the order of the chain, with what is left of its content.
    pub fn push(&mut self, entry: &Entry, left: Left<'_>) {
        let verdict = &mut self.verdict;
        verdict.entries += 1;
        match left {
            Left::Erased => verdict.erased += 1,
            Left::Whole(content) if content.digest() == entry.content_digest => {}
            Left::Whole(_) | Left::Lost => verdict.altered.push(entry.seq),
        }
        if verdict.broken_at.is_some() {
            return;
        }
        let seq = verdict.entries;
        let head = next_head(verdict.head, seq, entry.at, entry.kind, entry.content_digest);
        if entry.seq != seq || entry.head != head {
            verdict.broken_at = Some(seq);
            return;
        }
        verdict.head = Some(head);
        if self.expected == Some(head) {
            self.found_at = Some(seq);
        }
    }

    /// The next entry, of which something cannot be what was written.
    pub fn push_unreadable(&mut self) {
        self.verdict.entries += 1;
        self.verdict.broken_at.get_or_insert(self.verdict.entries);
    }

    /// What was found.
    pub fn finish(self) -> Verdict {
        let Verifier { expected, found_at, mut verdict } = self;
        verdict.expected = expected.map(|_| match found_at {
            Some(seq) if seq == verdict.entries => HeadPlace::Newest,
            Some(seq) => HeadPlace::Earlier { seq },
            None => HeadPlace::NotPart,
        });
        verdict
    }
}
