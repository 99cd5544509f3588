//! Rain levels: rain rate in decibels, where a drizzle and a downpour fit on one scale.

/// From this rate on, mm/h, a moment is wet: hair comes undone in less than it takes to notice.
pub const WET_RATE_MM_H: f32 = 0.1;

/// The level of what is measured and dry.
pub const DRY: f32 = -15.0;

/// Levels from here on count as wet: that of [`WET_RATE_MM_H`].
pub const WET_MIN: f32 = -10.0;

/// Above this, decibels (1000 mm/h), there is only clutter.
const CLUTTER: f32 = 30.0;

/// Level of a rain rate: 10 log10 of mm/h, [`DRY`] below [`WET_RATE_MM_H`].
///
/// What isn't finite (NaN: not measured) gives NaN.
///
/// # Examples
///
/// ```
/// use fairspell_nowcast::level::{DRY, from_rain_rate};
///
/// assert_eq!(from_rain_rate(10.0), 10.0);
/// assert_eq!(from_rain_rate(0.0), DRY);
/// assert!(from_rain_rate(f32::NAN).is_nan());
/// ```
pub fn from_rain_rate(rain_rate_mm_h: f32) -> f32 {
    if !rain_rate_mm_h.is_finite() {
        f32::NAN
    } else if rain_rate_mm_h < WET_RATE_MM_H {
        DRY
    } else {
        (10.0 * rain_rate_mm_h.log10()).clamp(WET_MIN, CLUTTER)
    }
}

/// A level on 0..=1, dry to clutter, for comparing pictures.
pub(crate) fn scaled(level: f32) -> f32 {
    (level - DRY) / (CLUTTER - DRY)
}
