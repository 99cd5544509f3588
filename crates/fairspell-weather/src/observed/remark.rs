//! What was left out of a record of rain.

use std::fmt;

use serde::Serialize;

/// Something that a record lacks, or that could not be used: one for each kind and station.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ObservedRemark {
    /// The station; empty where a row does not even say so.
    pub station: String,
    /// What is wrong.
    pub fault: ObservedFault,
    /// How many hours, days or rows it concerns.
    pub count: usize,
    /// The first of them: its time, or its line and text.
    pub first: String,
}

/// What can be wrong with amounts in a record.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ObservedFault {
    /// Hours or days between two rows that have no row.
    Gap,
    /// The service says itself that it has no value.
    NotMeasured,
    /// The service's own checks failed.
    Flagged,
    /// A zero that somebody presumed because nothing was written.
    Presumed,
    /// The sum of several days.
    SeveralDays,
    /// An amount that cannot be: no number, below zero, or more than has ever fallen.
    Odd,
    /// Several amounts for one hour or day that do not agree.
    Conflict,
    /// A row that begins before the hour of the one before it has ended; the earlier one was kept.
    Overlap,
    /// A row that stands after a later one; put in its place.
    OutOfOrder,
    /// A row that cannot be read.
    UnreadableRow,
}

impl fmt::Display for ObservedRemark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if !self.station.is_empty() {
            write!(f, "{}: ", self.station)?;
        }
        let what = match self.fault {
            ObservedFault::Gap => "missing between other rows, counted as not known",
            ObservedFault::NotMeasured => "marked as missing",
            ObservedFault::Flagged => "failed the service's own checks, counted as not known",
            ObservedFault::Presumed => "presumed to be zero, counted as not known",
            ObservedFault::SeveralDays => "sum of several days, counted as not known",
            ObservedFault::Odd => "no possible amount, counted as not known",
            ObservedFault::Conflict => "several amounts that differ, counted as not known",
            ObservedFault::Overlap => "less than an hour after the row before, left out",
            ObservedFault::OutOfOrder => "after a later row, put in its place",
            ObservedFault::UnreadableRow => "cannot be read, left out",
        };
        write!(f, "{} × {what}; first: {}", self.count, self.first)
    }
}
