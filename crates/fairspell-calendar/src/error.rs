//! Why a file cannot be read at all.

/// What makes a whole file of bookings unusable.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CalendarError {
    /// There is nothing in it.
    #[error("the file is empty")]
    Empty,
    /// It is larger than any list of bookings.
    #[error("the file has {bytes} bytes, more than the {most} that are read")]
    TooLarge {
        /// Its size.
        bytes: usize,
        /// The most that is read.
        most: usize,
    },
    /// It has more rows or events than are read.
    #[error("the file has more than {most} bookings")]
    TooMany {
        /// The most that are read.
        most: usize,
    },
    /// It is no text: a spreadsheet program's own file, a picture.
    #[error("the file is neither CSV nor iCalendar; save the list as CSV and try again")]
    NotText,
    /// The heading lacks a column without which there is no booking.
    #[error("expected a heading with the columns name, date and start, found `{found}`")]
    Columns {
        /// The heading as found, cut to a readable length.
        found: String,
    },
}
