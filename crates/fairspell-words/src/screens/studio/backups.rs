//! The whole studio in one file.

use jiff::{Timestamp, tz::TimeZone};

use crate::{clock::moment, text::one_line};

/// The page's heading.
pub const HEADING: &str = "Backups";
/// What they hold and where they lie.
pub const MEANS: &str = "A backup is one file with everything: families, letters, answers, journal and \
                         readings. It lies in the folder backups of your studio's folder. Copy it to \
                         another disk, and keep it as private as the studio itself.";
/// Makes one.
pub const MAKE: &str = "Make one now";
/// There is none.
pub const NONE: &str = "None has been made here yet.";
/// How to restore one.
pub const RESTORE: &str = "How to restore one";
/// The way.
pub const RESTORE_MEANS: &str = "Into an empty folder, on the computer itself:";
/// The command. Its words in capitals are to be filled in.
pub const RESTORE_COMMAND: &str = "fairspell restore --from FILE --data NEW-FOLDER";
/// The seal.
pub const SEAL_MEANS: &str = "The seal stands for the whole journal up to that backup. Whoever has it \
                              written down can check later that nothing of it was changed.";
/// Nothing was recorded before it was made.
pub const NO_SEAL: &str = "The journal was empty.";

/// A backup: "Wed 2 Sep, 18:05: fairspell-2026-09-02-1805.tar, 12.4 MB".
pub fn backup(made_at: Timestamp, file: &str, bytes: u64, zone: &TimeZone) -> String {
    format!("{}: {}, {}", moment(made_at, zone), one_line(file), size(bytes))
}

/// A file that was not made on this page.
pub fn elsewhere(file: &str, bytes: u64) -> String {
    format!("{}, {}; not made on this page", one_line(file), size(bytes))
}

/// The seal.
pub fn seal(head: &str) -> String {
    format!("Seal: {head}")
}

fn size(bytes: u64) -> String {
    match bytes {
        0..1_000 => format!("{bytes} bytes"),
        1_000..1_000_000 => format!("{} kB", bytes / 1_000),
        _ => format!("{}.{} MB", bytes / 1_000_000, bytes % 1_000_000 / 100_000),
    }
}
