//! From the radar's own figure to the forecast's, without a step.

use crate::{Chance, Probability};

/// Up to here, minutes ahead, the radar speaks alone.
pub const RADAR_ALONE_UNTIL_MIN: f64 = 120.0;

/// From here on, minutes ahead, the forecast speaks alone.
pub const FORECAST_ALONE_FROM_MIN: f64 = 240.0;

/// The weight of the radar's figure for a window whose middle lies so many minutes ahead.
///
/// 1 up to two hours, 0 from four hours on, and between them a curve without a step or a kink, so
/// that no ruling turns because a window slid past a limit. A window that has begun counts as now; a
/// lead that is not a number gives the radar no weight.
///
/// # Source
///
/// Our choice: the cubic `1 - 3 s² + 2 s³`. Extrapolated rain loses most of its skill within one to
/// three hours, showers sooner than fronts.
pub fn handover_weight(lead_min: f64) -> f64 {
    if lead_min.is_nan() {
        return 0.0;
    }
    let span_min = FORECAST_ALONE_FROM_MIN - RADAR_ALONE_UNTIL_MIN;
    let s = ((lead_min - RADAR_ALONE_UNTIL_MIN) / span_min).clamp(0.0, 1.0);
    1.0 - s * s * (3.0 - 2.0 * s)
}

/// Joins the radar's and the forecast's chance of the *same* event (same hours, place and amount).
///
/// - Both there: mixed by [`handover_weight`].
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
/// use fairspell_chance::{Chance, Probability, joined};
///
/// let certain = |p| Chance::certain(Probability::new(p).expect("0 to 1"));
/// let (radar, forecast) = (certain(0.8), certain(0.1));
///
/// // One hour ahead the radar contradicts a dry forecast, and the radar speaks.
/// assert_eq!(joined(Some(&radar), Some(&forecast), 60.0), Some(radar));
/// // Three hours ahead each has half a say.
/// let p_rain = joined(Some(&radar), Some(&forecast), 180.0).expect("both are there");
/// assert!((p_rain.centre.get() - 0.45).abs() < 1e-12);
/// ```
pub fn joined(radar: Option<&Chance>, forecast: Option<&Chance>, lead_min: f64) -> Option<Chance> {
    let weight = handover_weight(lead_min);
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
