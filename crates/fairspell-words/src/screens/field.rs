//! Words around the field sheet; those on the sheet itself are [`crate::field`]'s.

/// Where no session is known.
pub const HEADING: &str = "Field sheet";
/// The way back.
pub const TO_SESSION: &str = "To the session";
/// The way to the sheet.
pub const OPEN: &str = "Open the field sheet";
/// The way to the file.
pub const AS_FILE: &str = "Save it as one file for a phone that cannot keep this page";
/// What the file is called.
pub const FILE_NAME: &str = "field-sheet.html";
/// What the sheet is.
pub const ABOUT: &str =
    "What to make next, whatever the sky does: it works without a signal once it has been opened.";
