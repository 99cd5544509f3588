//! How good a handful of plausible values was, once the true one is known.

/// Continuous ranked probability score of equally likely values, in the unit of the values.
///
/// The distance between the staircase that the values make and the step at what came; for a single
/// value it is the absolute error. 0 is perfect. We use it for plausible evenings: minutes until the
/// rain begins, millimetres of an hour.
///
/// `None` without any value, or when one of the numbers is not finite.
///
/// # Examples
///
/// ```
/// use fairspell_chance::crps;
///
/// // Three evenings say that rain begins in 20, 30 and 60 minutes; it began in 30.
/// let score_min = crps(&[20.0, 30.0, 60.0], 30.0).expect("three evenings");
/// assert!((score_min - 40.0 / 9.0).abs() < 1e-12);
/// assert_eq!(crps(&[30.0], 25.0), Some(5.0));
/// ```
///
/// # Source
///
/// H. Hersbach, "Decomposition of the continuous ranked probability score for ensemble prediction
/// systems", Weather and Forecasting 15 (2000), 559-570; in the form mean |x - y| less half the mean
/// |x - x'|: T. Gneiting, A. E. Raftery, J. Amer. Stat. Assoc. 102 (2007), 359-378, equation 21.
pub fn crps(values: &[f64], came: f64) -> Option<f64> {
    if values.is_empty() || !came.is_finite() || values.iter().any(|value| !value.is_finite()) {
        return None;
    }
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let count = sorted.len() as f64;
    let miss = sorted.iter().map(|value| (value - came).abs()).sum::<f64>() / count;
    // Of sorted values, the sum over all pairs of their distance.
    let apart: f64 = sorted
        .iter()
        .enumerate()
        .map(|(rank, value)| (2.0 * rank as f64 + 1.0 - count) * value)
        .sum();
    Some(miss - apart / (count * count))
}
