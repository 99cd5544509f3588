//! One agreed date, as somebody else wrote it down.

use std::fmt;

use fairspell_ground::LatLon;
use fairspell_studio::session::Deadline;
use jiff::civil;

/// Where in its file something stands.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Origin {
    /// A row of a list, as a spreadsheet counts: the heading is row 1.
    Row(usize),
    /// An event of a calendar.
    Event {
        /// Which one, counted from 1.
        number: usize,
        /// Its UID, where it has one.
        uid: Option<String>,
    },
}

impl fmt::Display for Origin {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Origin::Row(row) => write!(f, "row {row}"),
            Origin::Event { number, uid: None } => write!(f, "event {number}"),
            Origin::Event { number, uid: Some(uid) } => write!(f, "event {number} (`{uid}`)"),
        }
    }
}

/// One agreed date out of a list or calendar.
///
/// All texts are plain: on one line, without control characters, at most 200 characters long.
#[derive(Debug, Clone, PartialEq)]
pub struct Booking {
    /// Where it stands in its file.
    pub origin: Origin,
    /// Who is portrayed.
    pub sitter: String,
    /// The adult who consents and pays, where one is named.
    pub guardian: Option<String>,
    /// When work begins, by the clock on the studio's wall: an hour that comes exactly once there.
    pub start: civil::DateTime,
    /// How long it is booked for, minutes, where it says so: 1 to 1440.
    pub duration_min: Option<u32>,
    /// Where, in words.
    pub place: Option<String>,
    /// Where, on the map.
    pub position: Option<LatLon>,
    /// Where letters go: the guardian's, else the sitter's.
    pub email: Option<String>,
    /// Where messages go: the guardian's, else the sitter's.
    pub phone: Option<String>,
    /// By when a picture must be handed in.
    pub deadline: Option<Deadline>,
    /// What is worn, in order; empty where nothing is said of it.
    pub looks: Vec<String>,
}
