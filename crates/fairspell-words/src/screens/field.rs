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
/// The way to the leave gate.
pub const LEAVE: &str = "Leave or not";

/// What the sheet would begin with, for whoever gets dressed at home.
pub fn begins_with(step: &str) -> String {
    format!("The field sheet now begins with: {step}. Say which look to arrive in.")
}
