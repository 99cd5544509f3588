//! Where fractional positions become cells and wide numbers narrow: the crate's one place for it.

/// The whole cell at or before a position, kept within `0..count`, and how far past it (0..=1).
pub(crate) fn cell_and_rest(position: f64, count: usize) -> (usize, f64) {
    let clamped = position.clamp(0.0, count.saturating_sub(1) as f64);
    let cell = cell(clamped);
    (cell as usize, clamped - f64::from(cell))
}

/// The cell whose area holds a position; `None` off the axis.
pub(crate) fn cell_at(position: f64, count: usize) -> Option<usize> {
    let shifted = position + 0.5;
    let cell = cell(shifted) as usize;
    (shifted >= 0.0 && cell < count).then_some(cell)
}

/// The cell whose area holds a position that is known to lie on the axis.
pub(crate) fn nearest_cell(position: f64) -> usize {
    cell(position + 0.5) as usize
}

/// Rounded down; a NaN becomes cell 0. In 32 bits, which every axis fits in: to more of them an
/// ordinary processor has no quick way.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the cast saturates, and every caller bounds what it asks"
)]
fn cell(position: f64) -> u32 {
    position as u32
}

/// A small count from a real number: rounded down, 0 for what is negative or no number.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the cast saturates, and every caller bounds what it asks"
)]
pub(crate) fn whole(value: f64) -> usize {
    value as usize
}

/// The single-precision value that maps are kept in.
#[expect(clippy::cast_possible_truncation, reason = "maps need no more than seven digits")]
pub(crate) fn single(value: f64) -> f32 {
    value as f32
}

/// The lower half of a series of bits.
#[expect(clippy::cast_possible_truncation, reason = "the upper half is not wanted")]
pub(crate) fn low_half(bits: u128) -> u64 {
    bits as u64
}
