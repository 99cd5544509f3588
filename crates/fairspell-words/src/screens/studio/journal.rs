//! What happened, entry by entry, and whether the chain holds.

use fairspell_studio::journal::{EntryKind, Verdict};
use jiff::{Timestamp, tz::TimeZone};

use crate::{clock::moment, text::one_line};

/// The page's heading.
pub const HEADING: &str = "Journal";
/// What it is.
pub const MEANS: &str = "Everything that was agreed, changed and told stands here in the order in which \
                         it happened. Each entry seals all entries before it, so that nothing can be \
                         changed unseen.";
/// There is nothing.
pub const EMPTY: &str = "Nothing has happened yet.";
/// The newest entries.
pub const NEWEST: &str = "Entries, the newest first";
/// Goes back in time.
pub const OLDER: &str = "Older entries";
/// Goes forward in time.
pub const NEWER: &str = "Newer entries";

/// An entry: "12. Wed 2 Sep, 18:05: letter sent: Linh".
pub fn entry(seq: u64, at: Timestamp, said: &str, zone: &TimeZone) -> String {
    format!("{seq}. {}: {said}", moment(at, zone))
}

/// What happened, and about what where that can still be read.
pub fn said(kind: EntryKind, about: Option<&str>) -> String {
    let what = match kind {
        EntryKind::LetterSent => "letter kept as sent",
        EntryKind::Answered => "answer recorded",
        EntryKind::SessionChanged => "session changed",
        EntryKind::PersonChanged => "person changed",
        EntryKind::StudioChanged => "studio changed",
        EntryKind::PersonErased => "a family was erased",
        EntryKind::Told => "you were told",
        EntryKind::BackedUp => "backup made",
        EntryKind::Imported => "bookings imported",
        EntryKind::Undone => "a change was taken back",
        EntryKind::FieldLogged => "field log handed in",
    };
    about.map_or_else(|| what.to_owned(), |about| format!("{what}: {}", one_line(about)))
}

/// What an entry said was erased.
pub fn erased(kind: EntryKind, at: Timestamp, zone: &TimeZone) -> String {
    format!("{}; what it said was erased {}", said(kind, None), moment(at, zone))
}

/// Who answered what: "Linh: Keep it, with umbrellas."
pub fn answer(who: &str, words: &str) -> String {
    format!("{}: {}", one_line(who), one_line(words))
}

/// How many taps a phone handed in: "4 taps".
pub fn taps(count: u64) -> String {
    if count == 1 { "1 tap".to_owned() } else { format!("{count} taps") }
}

/// The seal of the newest entry.
pub fn seal(head: &str) -> String {
    format!("Seal of the newest entry: {head}")
}

/// What checking the whole journal found.
pub fn verdict(verdict: &Verdict) -> Vec<String> {
    let mut lines = Vec::new();
    let entries = match verdict.entries {
        1 => "The one entry".to_owned(),
        count => format!("All {count} entries"),
    };
    if verdict.holds() {
        lines.push(format!("{entries} hold together: checked just now, nothing was changed."));
    }
    if let Some(seq) = verdict.broken_at {
        lines.push(format!(
            "The chain does not hold from entry {seq} on. Somebody changed the file, or the disk is \
             damaged: keep the folder as it is and look at your newest backup."
        ));
    }
    for seq in &verdict.altered {
        lines.push(format!("Entry {seq} does not say what it said when it was sealed."));
    }
    if verdict.erased > 0 {
        lines.push(format!("What {} of them said was erased on request.", verdict.erased));
    }
    lines
}
