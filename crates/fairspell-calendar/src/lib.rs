//! Calendars and lists of bookings in, the private calendar of gates out.
//!
//! A studio that already has bookings has them in a spreadsheet or in a calendar. Both come in here
//! as [`Booking`]s and become sessions; what cannot be used is a [`Remark`] that says where it
//! stands and why, and never a guess: a wrong hour costs a family their evening. The other way, the
//! photographer's own calendar shows her sessions and rings at every gate, and a family gets its
//! date as an invitation.
//!
//! ```
//! use fairspell_calendar::read_bookings;
//! use jiff::tz::TimeZone;
//!
//! let list = "name,date,start\nMaya,2026-09-03,15:15\nRuth,04/05/2026,16:00\n";
//! let reading = read_bookings(list.as_bytes(), &TimeZone::UTC)?;
//! assert_eq!(reading.value[0].sitter, "Maya");
//!
//! // The fourth of May or the fifth of April? It asks instead of choosing.
//! assert_eq!(reading.value.len(), 1);
//! assert_eq!(
//!     reading.remarks[0].to_string(),
//!     "row 3, left out: `04/05/2026` can be read as two days, write it as year-month-day",
//! );
//! # Ok::<(), fairspell_calendar::CalendarError>(())
//! ```
//!
//! - [`read`]: bookings out of a file, whichever kind it is
//! - [`booking`]: one agreed date, as somebody else wrote it down
//! - [`remark`]: what could not be used, and why
//! - [`dates`]: days and hours as people write them
//! - [`sessions`]: bookings become sessions and people
//! - [`feed`]: the photographer's private calendar of gates
//! - [`invitation`]: a family's own copy of the date
//! - [`defuse`]: fields of a CSV that no spreadsheet takes for a formula
//! - [`error`]: why a file cannot be read at all

pub mod booking;
pub mod dates;
mod decode;
pub mod defuse;
pub mod error;
mod events;
pub mod feed;
mod hours;
pub mod invitation;
mod lines;
mod list;
mod plain;
pub mod read;
pub mod remark;
pub mod sessions;
mod vevent;
mod write;
mod zones;

pub use booking::{Booking, Origin};
pub use defuse::defused;
pub use error::CalendarError;
pub use feed::{Planned, gates_calendar};
pub use invitation::session_invitation;
pub use read::read_bookings;
pub use remark::{About, Remark};
pub use sessions::{people_from, sessions_from};
