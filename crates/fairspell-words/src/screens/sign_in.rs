//! Signing in.

/// The page's heading.
pub const HEADING: &str = "Sign in";
/// The one field.
pub const PASSPHRASE: &str = "Your passphrase";
/// Sends it.
pub const BUTTON: &str = "Sign in";
/// It was not the one.
pub const WRONG: &str = "That is not the passphrase.";
/// Leaves.
pub const SIGN_OUT: &str = "Sign out";
/// What to do when it is forgotten.
pub const FORGOTTEN: &str = "Forgotten? Whoever can open the studio's folder on its own computer can \
                             choose a new one there: fairspell passphrase --data FOLDER.";
