//! From the radar's own figure to the forecast's, without a step.

use crate::{Chance, Probability};

/// From here on, minutes ahead, the forecast speaks alone, however well the radar has done.
pub const FORECAST_ALONE_FROM_MIN: f64 = 240.0;

/// Where the radar's figure gives way to the forecast's.
///
/// Radar speaks alone for two thirds of the way to the middle, the forecast from four thirds on.
///
/// # Source
///
/// The width is our choice. Extrapolated rain loses most of its skill within one to three hours,
/// showers sooner than fronts: hence a middle of three hours where nothing else is known, and the
/// measured one where it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Handover {
    middle_min: f64,
}

impl Default for Handover {
    fn default() -> Self {
        Handover { middle_min: 0.75 * FORECAST_ALONE_FROM_MIN }
    }
}

impl Handover {
    /// A handover around the lead at which both are worth as much, minutes.
    ///
    /// It is kept between one and three hours: what a radar picture shows of the next forty minutes
    /// no forecast knows, and four hours ahead it shows nothing of what will come. What is no number
    /// gives the usual three hours.
    pub fn around(middle_min: f64) -> Self {
        let usual = Handover::default();
        let kept = middle_min.clamp(60.0, usual.middle_min);
        if middle_min.is_nan() { usual } else { Handover { middle_min: kept } }
    }

    /// The weight of the radar's figure for a window whose middle lies so many minutes ahead.
    ///
    /// 1 up to two thirds of the middle, 0 from four thirds on, and between them a curve without a
    /// step or a kink, so that no ruling turns because a window slid past a limit: the cubic
    /// `1 - 3 s² + 2 s³`. A window that has begun counts as now; a lead that is not a number gives
    /// the radar no weight.
    ///
    /// # Examples
    ///
    /// ```
    /// use fairspell_chance::Handover;
    ///
    /// assert_eq!(Handover::default().weight(120.0), 1.0);
    /// assert_eq!(Handover::default().weight(180.0), 0.5);
    /// // Where showers come and go within the hour the forecast has its say sooner.
    /// assert_eq!(Handover::around(90.0).weight(90.0), 0.5);
    /// assert_eq!(Handover::around(90.0).weight(120.0), 0.0);
    /// ```
    pub fn weight(self, lead_min: f64) -> f64 {
        if lead_min.is_nan() {
            return 0.0;
        }
        let s = (1.5 * lead_min / self.middle_min - 1.0).clamp(0.0, 1.0);
        1.0 - s * s * (3.0 - 2.0 * s)
    }
}

/// Joins the radar's and the forecast's chance of the *same* event (same hours, place and amount).
///
/// - Both there: mixed by [`Handover::weight`].
/// - Only the radar: its centre stands, and its range opens toward "anything from 0 to 1" as its
///   weight fades; `None` once it has no weight left. An old radar guess is not a forecast.
/// - Only the forecast: the forecast as it stands. Its range already says how little it knows of
///   single hours.
/// - Neither: `None`.
///
/// Continuous in the lead as long as the same sources are there.
///
/// # Examples
///
/// ```
/// use fairspell_chance::{Chance, Handover, Probability, joined};
///
/// let certain = |p| Chance::certain(Probability::new(p).expect("0 to 1"));
/// let (radar, forecast) = (certain(0.8), certain(0.1));
///
/// let usual = Handover::default();
/// // One hour ahead the radar contradicts a dry forecast, and the radar speaks.
/// assert_eq!(joined(Some(&radar), Some(&forecast), 60.0, usual), Some(radar));
/// // Three hours ahead each has half a say.
/// let p_rain = joined(Some(&radar), Some(&forecast), 180.0, usual).expect("both are there");
/// assert!((p_rain.centre.get() - 0.45).abs() < 1e-12);
/// ```
pub fn joined(
    radar: Option<&Chance>,
    forecast: Option<&Chance>,
    lead_min: f64,
    handover: Handover,
) -> Option<Chance> {
    let weight = handover.weight(lead_min);
    match (radar, forecast) {
        (Some(radar), Some(forecast)) => Some(radar.blend(forecast, weight)),
        (Some(radar), None) if weight > 0.0 => {
            let unknown = Chance::new(Probability::ZERO, radar.centre, Probability::ONE)?;
            Some(radar.blend(&unknown, weight))
        }
        (Some(_) | None, None) => None,
        (None, Some(forecast)) => Some(*forecast),
    }
}
