//! What came out of foreign bytes.

/// A value read from foreign bytes, together with what had to be left out or guessed.
///
/// One bad hour does not lose a forecast: the hour is missing from `value` and a remark says so.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading<T, R> {
    /// What could be read.
    pub value: T,
    /// What could not, in the order in which it was met.
    pub remarks: Vec<R>,
}
