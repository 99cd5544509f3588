//! Why a document could not be read at all.

/// What is wrong with a document as a whole.
///
/// Anything smaller, a bad hour or an unknown unit, is a [`Remark`](crate::Remark) beside what could
/// be read.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum WeatherError {
    /// The bytes are cut short or are no JSON, XML or CSV. Fetch them again.
    #[error("cannot read the {what}: {cause}")]
    Unreadable {
        /// What was expected of the bytes.
        what: &'static str,
        /// What the parser says.
        cause: String,
    },
    /// Sound bytes of another kind. Ask for the right document.
    #[error("expected {expected}, found {found}")]
    WrongDocument {
        /// What was asked for.
        expected: &'static str,
        /// What it looks like.
        found: String,
    },
    /// The service answered with an error of its own (RFC 7807).
    #[error("the service answered `{title}` (status {status}): {detail}")]
    Problem {
        /// HTTP status as the document states it; 0 when it states none.
        status: u16,
        /// The service's short name for it.
        title: String,
        /// The service's explanation.
        detail: String,
    },
    /// The right kind of document without something that nothing can be said without.
    #[error("the {what} has no usable {missing}")]
    NothingUseful {
        /// The kind of document.
        what: &'static str,
        /// What it lacks.
        missing: &'static str,
    },
    /// A line of an event table that cannot be used. Correct the table.
    #[error("line {line} of the event table: {problem}")]
    EventTable {
        /// Counted from 1, the header included.
        line: u64,
        /// What is wrong with it, with the offending text.
        problem: String,
    },
}
