//! Who is signed in, and the passphrase.

use jiff::{Timestamp, tz::TimeZone};

use crate::{clock::moment, text::one_line};

/// The page's heading.
pub const HEADING: &str = "Sign-ins";
/// The demo has none.
pub const DEMO: &str = "Nobody has to sign in to the demo, and it has no passphrase.";
/// This one.
pub const THIS: &str = "This device";
/// Ends one.
pub const END: &str = "End";
/// Ends all but this one.
pub const END_OTHERS: &str = "End all others";
/// Only this one is there.
pub const NO_OTHERS: &str = "No other device is signed in.";
/// A device that says nothing of itself.
pub const UNKNOWN: &str = "A device that does not say what it is";
/// Heads the change of passphrase.
pub const PASSPHRASE: &str = "Change the passphrase";
/// The present one.
pub const PRESENT: &str = "The present passphrase";
/// The new one.
pub const NEW: &str = "The new passphrase";
/// The new one again.
pub const AGAIN: &str = "The new one once more";
/// Changes it.
pub const CHANGE: &str = "Change it";
/// What that does.
pub const CHANGE_MEANS: &str = "Every other sign-in ends with it.";
/// Wrong.
pub const PRESENT_WRONG: &str = "That is not the present passphrase.";
/// The two differ.
pub const AGAIN_WRONG: &str = "The two do not read the same.";

/// How long it must be.
pub fn length(shortest: usize) -> String {
    format!("At least {shortest} characters; a few words that only you would put together do well.")
}

/// It is too short or too long.
pub fn length_wrong(shortest: usize, longest: usize) -> String {
    format!("Please take {shortest} to {longest} characters.")
}

/// A device as browsers name themselves: "Firefox on Android".
pub fn device(browser: Option<&str>, system: Option<&str>) -> String {
    match (browser, system) {
        (Some(browser), Some(system)) => format!("{browser} on {system}"),
        (Some(only), None) | (None, Some(only)) => only.to_owned(),
        (None, None) => UNKNOWN.to_owned(),
    }
}

/// What a device calls itself, where nothing in it is known.
pub fn other_device(said: &str) -> String {
    let said: String = one_line(said).chars().take(60).collect();
    if said.is_empty() { UNKNOWN.to_owned() } else { said }
}

/// Since when and until when.
pub fn since(at: Timestamp, until: Timestamp, zone: &TimeZone) -> String {
    format!("Signed in {}; ends by itself {}", moment(at, zone), moment(until, zone))
}
