//! Where a session stands at a moment: gates, outlook and ruling together.

use fairspell_studio::{Gate, Outlook, Ruling, Session, Studio, StudioError, gates, rule};
use jiff::{Timestamp, tz::TimeZone};

use crate::{outlook, seen::Seen};

/// A session's gates, its outlook at a moment and the ruling on it.
#[derive(Debug, Clone, PartialEq)]
pub struct Standing {
    /// All its gates, in order of time.
    pub gates: Vec<Gate>,
    /// What was known of its sky.
    pub outlook: Outlook,
    /// Where the policy puts that.
    pub ruling: Ruling,
}

/// Where a session stands at a moment, from what had been seen by then.
///
/// # Errors
///
/// A [`StudioError`] for a start that does not exist or comes twice.
pub fn standing(
    studio: &Studio,
    zone: &TimeZone,
    session: &Session,
    as_of: Timestamp,
    seen: &Seen,
) -> Result<Standing, StudioError> {
    let gates = gates(studio, zone, session)?;
    let outlook = outlook(studio, zone, session, as_of, seen)?;
    let ruling = rule(studio, session, &gates, &outlook);
    Ok(Standing { gates, outlook, ruling })
}
