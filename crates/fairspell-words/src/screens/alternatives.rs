//! What else could be done with a session.

use jiff::civil::DateTime;

use crate::{clock::date_and_clock, text::one_line};

/// Leads there.
pub const LINK: &str = "Another hour, in two parts, another evening";
/// Heads what moving costs.
pub const BESIDE_POLICY: &str = "Beside the policy: what moving costs";
/// Heads the other starts.
pub const OTHER_HOUR: &str = "Another hour";
/// Opens all of them.
pub const ALL_HOURS: &str = "All starts of the day";
/// Heads a session in two parts.
pub const TWO_PARTS: &str = "In two parts";
/// Heads other evenings.
pub const OTHER_EVENING: &str = "Another evening";
/// Finds the evening that costs least.
pub const BEST_EVENING: &str = "The evening that costs least";
/// Nothing is known of the rain.
pub const NOT_KNOWN: &str = "Nothing is known of the rain in its hours yet, or no gate is left.";

/// How the session stands by the policy: "Booked for Thu 3 Sep, 15:15: settled. What follows are other ways,
/// for whoever wants one."
pub fn as_it_stands(band: &str, start: DateTime) -> String {
    format!(
        "Booked for {}; by the policy: {}. What follows are the other ways, should they be wanted.",
        date_and_clock(start),
        band.to_lowercase()
    )
}

/// The page's heading.
pub fn heading(sitter: &str) -> String {
    format!("{}: what else could be done", one_line(sitter))
}
