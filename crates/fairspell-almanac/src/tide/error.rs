//! Why there is no tide to be had from what was given.

use jiff::Timestamp;

/// What can be wrong with harmonic constants or a table of high and low waters.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum TideError {
    /// Nobody could say which place the figures belong to.
    #[error("the tide has no `name` of its place")]
    MissingName,
    /// Heights mean nothing without the level they count from: say it in words.
    #[error("the tide of `{0}` does not say which level (`datum`) its heights count from")]
    MissingDatum(String),
    /// The mean level is not a plausible number of metres.
    #[error("`mean_level_m` {0} is no height in metres between -100 and 100")]
    MeanLevel(f64),
    /// The clock that the phase lags refer to is neither `utc` nor an offset.
    #[error("`phase_zone` is `{0}`, neither `utc` nor an offset such as `+10:00`")]
    PhaseZone(String),
    /// A tide needs at least one constituent.
    #[error("the tide has no constituents")]
    NoConstituents,
    /// A name that is not one of the 37.
    #[error("unknown constituent `{0}`")]
    UnknownConstituent(String),
    /// The same constituent, under the same or another spelling, stands there twice.
    #[error("constituent `{0}` is given twice")]
    RepeatedConstituent(String),
    /// An amplitude below zero, above [`AMPLITUDE_MAX_M`](crate::tide::AMPLITUDE_MAX_M), or not a
    /// number.
    #[error("constituent `{name}` has amplitude {amplitude_m} m, not one between 0 and 10 m")]
    Amplitude {
        /// The constituent.
        name: String,
        /// What is there.
        amplitude_m: f64,
    },
    /// A phase lag beyond one turn either way, or not a number.
    #[error("constituent `{name}` has phase lag {phase_lag_deg}°, not one between -360° and 360°")]
    PhaseLag {
        /// The constituent.
        name: String,
        /// What is there.
        phase_lag_deg: f64,
    },
    /// The table's text can't be read as CSV with the header `time,height_m`.
    #[error("line {line}: {cause}")]
    Csv {
        /// The line of the file, from 1.
        line: u64,
        /// What is wrong there.
        cause: String,
    },
    /// A time that cannot be placed: not a time, or without an offset where no zone was given.
    #[error("line {line}: cannot tell which moment `{time}` is: {cause}")]
    Time {
        /// The line of the file, from 1.
        line: u64,
        /// What is there.
        time: String,
        /// Why it cannot be used.
        cause: String,
    },
    /// A height that is not a plausible number of metres.
    #[error("line {line}: `{height}` is no height in metres between -100 and 100")]
    Height {
        /// The line of the file, from 1.
        line: u64,
        /// What is there.
        height: String,
    },
    /// The same for a table that did not come from a text.
    #[error("{height_m} at {time} is no height in metres between -100 and 100")]
    HeightAt {
        /// Its time.
        time: Timestamp,
        /// What is there.
        height_m: f64,
    },
    /// A row earlier than the one before it.
    #[error("{time} stands after a later time")]
    OutOfOrder {
        /// The earlier time.
        time: Timestamp,
    },
    /// Two rows for one moment.
    #[error("{time} stands there twice")]
    EqualTimes {
        /// The moment.
        time: Timestamp,
    },
    /// No low water between two highs or no high water between two lows: a row is missing, and a
    /// curve drawn through the rest would be wrong by hours.
    #[error("at {time}, {height_m} m: high and low waters do not take turns; is a row missing?")]
    NotAlternating {
        /// The row that neither turns nor could be left out.
        time: Timestamp,
        /// Its height, m.
        height_m: f64,
    },
    /// More hours between a high and a low water than any tide takes: a row or a page is missing.
    #[error("{hours} h without a row before {time}: is a part of the table missing?")]
    Hole {
        /// The first row after the hole.
        time: Timestamp,
        /// Its length.
        hours: i64,
    },
    /// Fewer than two rows make no curve.
    #[error("a table of high and low waters needs at least two rows, found {0}")]
    TooShort(usize),
}
