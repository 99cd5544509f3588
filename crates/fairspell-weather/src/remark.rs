//! What was left out of a document that could otherwise be read.

use jiff::Timestamp;

/// Something that a reader left out, or could not follow, in a document that it could read.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Remark {
    /// A layer or field that the service may leave out, and did.
    #[error("`{field}` is not in the document")]
    Absent {
        /// Its name in the document.
        field: String,
    },
    /// A unit that we do not know, or none where one is needed: the value is missing.
    #[error("unknown unit `{unit}` of `{field}`")]
    UnknownUnit {
        /// The field's name in the document.
        field: String,
        /// The unit as written.
        unit: String,
    },
    /// A value of the wrong type or outside what is possible: the value is missing.
    #[error("cannot use `{text}` as `{field}`")]
    UnusableValue {
        /// The field's name in the document.
        field: String,
        /// The value as written, cut to a readable length.
        text: String,
    },
    /// Hours inside the forecast for which it says nothing.
    #[error("nothing is said of {from} to {to}")]
    MissingHours {
        /// The first moment without.
        from: Timestamp,
        /// The first moment that has something again.
        to: Timestamp,
    },
    /// A period that overlaps an earlier one; the earlier one was kept.
    #[error("the period from {from} to {to} overlaps another one")]
    Overlap {
        /// Start of the period left out.
        from: Timestamp,
        /// Its end.
        to: Timestamp,
    },
    /// The chance of rain of this period is not stated (the service wrote null).
    #[error("the chance of rain from {from} to {to} is not stated")]
    ChanceNotStated {
        /// Start of the period.
        from: Timestamp,
        /// Its end.
        to: Timestamp,
    },
    /// A warning message that cannot be used: it lacks this.
    #[error("the warning `{identifier}` has no usable {missing}")]
    UnusableWarning {
        /// The message's own name, or empty.
        identifier: String,
        /// What it lacks.
        missing: &'static str,
    },
    /// A warning without polygon, circle or area code: it cannot be matched with a place.
    #[error("the warning `{identifier}` says nowhere where it holds")]
    NoPlace {
        /// The message's own name.
        identifier: String,
    },
    /// The message is not of CAP 1.2 (or says of no version that it is); read as if it were.
    #[error("expected CAP 1.2, found `{namespace}`")]
    OtherVersion {
        /// The XML namespace as written, or empty.
        namespace: String,
    },
    /// A message that withdraws or replaces one that we never had.
    #[error("`{identifier}` speaks of the unknown message `{reference}`")]
    UnknownReference {
        /// The message that refers.
        identifier: String,
        /// The one that it refers to.
        reference: String,
    },
    /// A message that is an exercise, a test or a draft.
    #[error("`{identifier}` is not an actual message")]
    NotActual {
        /// The message's own name.
        identifier: String,
    },
    /// A message that has lapsed although its event has no stated end, and no newer one has come.
    #[error("`{identifier}` lapsed at {expires} without a successor")]
    LapsedWithoutSuccessor {
        /// The message's own name.
        identifier: String,
        /// When it lapsed.
        expires: Timestamp,
    },
    /// A message that does not say when it lapses; it holds until it is replaced.
    #[error("`{identifier}` of {sent} does not say when it lapses")]
    NoExpiry {
        /// The message's own name.
        identifier: String,
        /// How old it is, said as the time it was sent.
        sent: Timestamp,
    },
}

/// The longest piece of a foreign document that a remark repeats.
const TEXT_CHARS: usize = 60;

impl Remark {
    /// Adds it, unless the same thing was said just before: a hundred hours share one unknown unit.
    pub(crate) fn note(self, remarks: &mut Vec<Remark>) {
        const LOOKED_AT: usize = 64;
        if !remarks.iter().rev().take(LOOKED_AT).any(|said| *said == self) {
            remarks.push(self);
        }
    }

    /// A value that cannot be used, quoted at a readable length.
    pub(crate) fn unusable(field: &str, text: &str) -> Remark {
        let text = text.chars().take(TEXT_CHARS).collect();
        Remark::UnusableValue { field: field.to_owned(), text }
    }

    /// A unit that is not known for this field.
    pub(crate) fn unknown_unit(field: &str, unit: &str) -> Remark {
        let unit = unit.chars().take(TEXT_CHARS).collect();
        Remark::UnknownUnit { field: field.to_owned(), unit }
    }
}
