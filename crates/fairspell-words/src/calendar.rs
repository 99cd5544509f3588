//! The words in calendars: on her private one and on a family's invitation.
//!
//! ```
//! use fairspell_studio::GateKind;
//! use fairspell_words::calendar::{gate_title, invitation_text, session_title};
//! use jiff::civil::date;
//!
//! assert_eq!(session_title("Maya"), "Portraits: Maya");
//! assert_eq!(gate_title(GateKind::LeaveBy, "Maya"), "Time to leave: Maya");
//! assert_eq!(
//!     invitation_text("Maya", Some("Heron Walk"), date(2026, 9, 3).at(15, 15, 0, 0)),
//!     "Portraits of Maya. We meet at Heron Walk on Thu 3 Sep, 15:15."
//! );
//! ```

use fairspell_studio::GateKind;
use jiff::civil;

use crate::{
    clock::date_and_clock,
    names::gate_name,
    text::{capital, one_line},
};

/// What a look is called of which a booking says nothing.
pub const FIRST_LOOK: &str = "first look";

/// What a deadline is called of which a booking only gives the day.
pub const PICTURES_DUE: &str = "pictures due";

/// A session in the photographer's calendar: "Portraits: Maya".
pub fn session_title(sitter: &str) -> String {
    format!("Portraits: {}", one_line(sitter))
}

/// A gate in the photographer's calendar: "Time to leave: Maya".
pub fn gate_title(kind: GateKind, sitter: &str) -> String {
    format!("{}: {}", capital(gate_name(kind)), one_line(sitter))
}

/// A session in the family's calendar: "Portraits with Ada Fields".
pub fn invitation_title(owner: &str) -> String {
    format!("Portraits with {}", one_line(owner))
}

/// What the family's invitation says: where and when we meet, for whom.
pub fn invitation_text(sitter: &str, meeting_spot: Option<&str>, start: civil::DateTime) -> String {
    let place = meeting_spot.map(|spot| format!(" at {}", one_line(spot))).unwrap_or_default();
    format!("Portraits of {}. We meet{place} on {}.", one_line(sitter), date_and_clock(start))
}
