//! What of a list of bookings could not be used, and why.

use jiff::civil;

use crate::Origin;

/// Something that was left out, or read otherwise than it was written.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{origin}{}: {about}", if about.loses_the_booking() { ", left out" } else { "" })]
pub struct Remark {
    /// Where it stands.
    pub origin: Origin,
    /// What is the matter.
    pub about: About,
}

/// What can be the matter with one booking.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum About {
    /// Nobody is named.
    #[error("there is no name")]
    NoName,
    /// There is no day.
    #[error("there is no date")]
    NoDate,
    /// There is a day without an hour.
    #[error("there is no hour on {0}")]
    NoHour(civil::Date),
    /// The day can be read in two ways.
    #[error("`{0}` can be read as two days, write it as year-month-day")]
    DateUnclear(String),
    /// The day cannot be read, or is none.
    #[error("cannot use `{0}` as a date, write it as year-month-day")]
    DateUnusable(String),
    /// The hour cannot be read.
    #[error("cannot use `{0}` as an hour, write it as 15:15")]
    HourUnusable(String),
    /// The clocks jump over the hour.
    #[error("there is no {0} on that day, the clocks go forward past it")]
    HourSkipped(civil::DateTime),
    /// The hour comes twice.
    #[error("{0} comes twice on that day, the clocks go back over it")]
    HourRepeated(civil::DateTime),
    /// The event's clock is in a zone that neither the database nor the file explains.
    #[error("the time zone `{0}` is not known")]
    ZoneUnknown(String),
    /// Called off.
    #[error("it is called off")]
    CalledOff,
    /// One of the gates that our own calendar shows.
    #[error("it is a gate of our own calendar, not a booking")]
    OwnGate,
    /// The file ends in the middle of the event.
    #[error("the file ends in the middle of it")]
    CutShort,
    /// A quotation mark has no partner, so that the rest of the list cannot be told apart.
    #[error("a quotation mark is not closed, nothing from here on could be read")]
    QuoteLeftOpen,
    /// The studio has no spot where the looks could be made.
    #[error("the studio has no spot yet")]
    NoSpot,
    /// The studio has this booking already, or the list has it twice.
    #[error("it is there already, as session {id}")]
    AlreadyThere {
        /// The session that it is.
        id: String,
    },
    /// It repeats; only the first date was taken.
    #[error("it repeats, only its first date was taken")]
    Repeats,
    /// The duration cannot be read, or is no session's; the usual one is taken.
    #[error("cannot use `{0}` as a length in minutes")]
    DurationUnusable(String),
    /// The day of the deadline cannot be read, or can be read in two ways.
    #[error("cannot use `{0}` as a deadline, write it as year-month-day")]
    DeadlineUnusable(String),
    /// The position is none.
    #[error("cannot use `{0}` as a position")]
    PositionUnusable(String),
    /// The e-mail address is none.
    #[error("cannot use `{0}` as an e-mail address")]
    EmailUnusable(String),
    /// The telephone number is none.
    #[error("cannot use `{0}` as a telephone number")]
    PhoneUnusable(String),
    /// A text was longer than is kept, and was cut.
    #[error("`{0}...` was too long and was cut")]
    Cut(String),
    /// There were more looks than a session has.
    #[error("only its first {0} looks were taken")]
    LooksLeftOut(usize),
    /// No guardian is named; letters go to the sitter.
    #[error("no guardian is named, letters call {0}")]
    NoGuardian(String),
    /// No spot of the studio is called like the place; the first one is taken.
    #[error("none of the studio's spots is called `{place}`, {taken} was taken")]
    OtherSpot {
        /// The place as written.
        place: String,
        /// The spot that was taken, by name.
        taken: String,
    },
}

impl About {
    /// Whether the booking is not there because of it; otherwise it is, with a change.
    pub fn loses_the_booking(&self) -> bool {
        match self {
            About::NoName
            | About::NoDate
            | About::NoHour(_)
            | About::DateUnclear(_)
            | About::DateUnusable(_)
            | About::HourUnusable(_)
            | About::HourSkipped(_)
            | About::HourRepeated(_)
            | About::ZoneUnknown(_)
            | About::CalledOff
            | About::OwnGate
            | About::CutShort
            | About::QuoteLeftOpen
            | About::NoSpot
            | About::AlreadyThere { .. } => true,
            About::Repeats
            | About::DurationUnusable(_)
            | About::DeadlineUnusable(_)
            | About::PositionUnusable(_)
            | About::EmailUnusable(_)
            | About::PhoneUnusable(_)
            | About::Cut(_)
            | About::LooksLeftOut(_)
            | About::NoGuardian(_)
            | About::OtherSpot { .. } => false,
        }
    }
}
