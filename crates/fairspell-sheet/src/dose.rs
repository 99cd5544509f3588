//! Water on hair and cloth: how much falls, and how it is kept between levels.

/// The water that rain lays down on what it reaches, in g/m².
///
/// Hair and outfits take it as a dose that only grows during a session; a burst is short enough
/// when the dose stays within what they bear.
///
/// - `rain_rate_mm_h`: 1 mm/h is 1000 g/m² an hour.
/// - `exposed_s`: seconds out in it.
/// - `exposure`: the share that gets through, 0 (roof) to 1 (open sky).
///
/// # Examples
///
/// ```
/// use fairspell_sheet::dose_g_m2;
///
/// // At 2 mm/h hair is damp (15 g/m²) after 27 s in the open ...
/// assert_eq!(dose_g_m2(2.0, 27.0, 1.0), 15.0);
/// // ... and under a clear umbrella after four and a half minutes.
/// assert!((dose_g_m2(2.0, 270.0, 0.1) - 15.0).abs() < 1e-9);
/// ```
///
/// # Source
///
/// Arithmetic: a millimetre of water on a square metre is a litre, hence 1000 g.
pub fn dose_g_m2(rain_rate_mm_h: f64, exposed_s: f64, exposure: f64) -> f64 {
    rain_rate_mm_h * exposed_s / 3.6 * exposure
}

/// How long something bears rain of this rate until it has taken a dose, in seconds; `None` where it
/// never takes it.
///
/// ```
/// use fairspell_sheet::seconds_until_dose;
///
/// // What is left of the hair's budget of 15 g/m² when it has 5: at 1 mm/h, 36 s.
/// assert_eq!(seconds_until_dose(1.0, 10.0, 1.0), Some(36.0));
/// assert_eq!(seconds_until_dose(0.0, 10.0, 1.0), None);
/// ```
pub fn seconds_until_dose(rain_rate_mm_h: f64, dose_g_m2: f64, exposure: f64) -> Option<f64> {
    let rate_g_m2_s = rain_rate_mm_h * exposure / 3.6;
    (rate_g_m2_s > 0.0).then(|| dose_g_m2.max(0.0) / rate_g_m2_s)
}

/// The levels at which a dose is kept, rising from 0 g/m². The last holds whatever is above it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Levels {
    doses_g_m2: Vec<f64>,
}

/// A dose between two levels: the lower one, and how far it is on the way to the next, 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Between {
    pub(crate) level: usize,
    pub(crate) up: f64,
}

impl Levels {
    /// Levels for a dose that nobody minds: one.
    pub(crate) fn unminded() -> Self {
        Levels { doses_g_m2: vec![0.0] }
    }

    pub(crate) fn new(doses_g_m2: Vec<f64>) -> Self {
        assert!(doses_g_m2.first() == Some(&0.0), "levels begin dry");
        assert!(doses_g_m2.windows(2).all(|pair| pair[0] < pair[1]), "levels ascend");
        Levels { doses_g_m2 }
    }

    pub(crate) fn len(&self) -> usize {
        self.doses_g_m2.len()
    }

    pub(crate) fn dose_g_m2(&self, level: usize) -> f64 {
        self.doses_g_m2[level]
    }

    /// Where a dose lies.
    pub(crate) fn place(&self, dose_g_m2: f64) -> Between {
        let last = self.len() - 1;
        let above = self.doses_g_m2.partition_point(|level| *level <= dose_g_m2);
        let level = above.saturating_sub(1);
        if level == last {
            return Between { level, up: 0.0 };
        }
        let (low, high) = (self.doses_g_m2[level], self.doses_g_m2[level + 1]);
        Between { level, up: ((dose_g_m2 - low) / (high - low)).clamp(0.0, 1.0) }
    }

    /// The level that a lookup goes by: the nearest, of two equally near the wetter.
    pub(crate) fn nearest(&self, dose_g_m2: f64) -> usize {
        let Between { level, up } = self.place(dose_g_m2);
        if up >= 0.5 { level + 1 } else { level }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hair() -> Levels {
        Levels::new((0..7).map(|level| 5.0 * f64::from(level)).collect())
    }

    #[test]
    fn a_dose_between_levels_is_never_dropped() {
        let levels = hair();
        for tenths in 0_u32..=300 {
            let dose = f64::from(tenths) / 10.0;
            let Between { level, up } = levels.place(dose);
            let next = levels.dose_g_m2((level + 1).min(6));
            let kept = (1.0 - up) * levels.dose_g_m2(level) + up * next;
            assert!((kept - dose).abs() < 1e-9, "{dose}: {kept}");
        }
        assert_eq!(levels.place(99.0), Between { level: 6, up: 0.0 });
    }

    #[test]
    fn a_lookup_goes_by_the_nearest_level() {
        for (dose, level) in [(0.0, 0), (2.4, 0), (2.5, 1), (29.0, 6), (99.0, 6)] {
            assert_eq!(hair().nearest(dose), level, "{dose}");
        }
        assert_eq!(Levels::unminded().nearest(99.0), 0);
    }
}
