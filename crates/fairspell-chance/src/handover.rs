//! From the radar's own figure to the forecast's, without a step.

use crate::{Chance, Probability};

/// Up to here, minutes ahead, the radar speaks alone where nothing else is known.
pub const RADAR_ALONE_UNTIL_MIN: f64 = 120.0;

/// From here on, minutes ahead, the forecast speaks alone, however well the radar has done.
pub const FORECAST_ALONE_FROM_MIN: f64 = 240.0;

/// The shortest reach: what pictures show of the next half hour no forecast knows.
pub const REACH_MIN: f64 = 0.25;

/// When the radar's figure gives way to the forecast's.
///
/// By the hours: radar alone up to two hours ahead, forecast alone from four. Where the record says
/// that the forecast did better ([`Handover::learned`](Self::learned)) both limits move nearer by one
/// factor, the *reach*, down to half an hour and one hour.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Handover {
    pub(crate) reach: f64,
}

impl Default for Handover {
    fn default() -> Self {
        Handover::by_hours()
    }
}

impl Handover {
    /// The handover where nothing is known of how the two have done: a reach of 1.
    pub fn by_hours() -> Self {
        Handover { reach: 1.0 }
    }

    /// A handover of a known reach; `None` outside [`REACH_MIN`]..=1.
    pub fn with_reach(reach: f64) -> Option<Self> {
        (REACH_MIN..=1.0).contains(&reach).then_some(Handover { reach })
    }

    /// What the hours of [`by_hours`](Self::by_hours) are multiplied by, [`REACH_MIN`] to 1.
    pub fn reach(self) -> f64 {
        self.reach
    }

    /// The weight of the radar's figure for a window whose middle lies so many minutes ahead.
    ///
    /// 1 up to two hours times the reach, 0 from four hours times the reach on, and between them a
    /// curve without a step or a kink, so that no ruling turns because a window slid past a limit. A
    /// window that has begun counts as now; a lead that is not a number gives the radar no weight.
    ///
    /// # Examples
    ///
    /// ```
    /// use fairspell_chance::Handover;
    ///
    /// assert_eq!(Handover::by_hours().radar_share(120.0), 1.0);
    /// assert_eq!(Handover::by_hours().radar_share(180.0), 0.5);
    /// // On a day on which the forecast knew better, it has its half an hour and a half ahead.
    /// let sooner = Handover::with_reach(0.5).expect("a reach");
    /// assert_eq!(sooner.radar_share(90.0), 0.5);
    /// ```
    ///
    /// # Source
    ///
    /// Our choice: the cubic `1 - 3 s² + 2 s³`. Extrapolated rain loses most of its skill within one
    /// to three hours, showers sooner than fronts.
    pub fn radar_share(self, lead_min: f64) -> f64 {
        if lead_min.is_nan() {
            return 0.0;
        }
        let span_min = FORECAST_ALONE_FROM_MIN - RADAR_ALONE_UNTIL_MIN;
        let s = ((lead_min / self.reach - RADAR_ALONE_UNTIL_MIN) / span_min).clamp(0.0, 1.0);
        1.0 - s * s * (3.0 - 2.0 * s)
    }

    /// Mixes the radar's and the forecast's chance of the *same* event (same hours, place and amount).
    ///
    /// Each of the three numbers lies between the two that it is mixed of, so that the range is never
    /// wider than the wider one.
    #[must_use]
    pub fn mix(self, radar: &Chance, forecast: &Chance, lead_min: f64) -> Chance {
        radar.blend(forecast, self.radar_share(lead_min))
    }
}

/// Joins the radar's and the forecast's chance of the *same* event (same hours, place and amount).
///
/// - Both there: [`Handover::mix`].
/// - Only the radar: its centre stands, and its range opens toward "anything from 0 to 1" as its
///   weight by the hours fades; `None` once it has none left. An old radar guess is not a forecast.
///   That a forecast has done better says nothing where there is none.
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
/// let usual = Handover::by_hours();
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
    match (radar, forecast) {
        (Some(radar), Some(forecast)) => Some(handover.mix(radar, forecast, lead_min)),
        (Some(radar), None) => {
            let weight = Handover::by_hours().radar_share(lead_min);
            let unknown = Chance::new(Probability::ZERO, radar.centre, Probability::ONE)?;
            (weight > 0.0).then(|| radar.blend(&unknown, weight))
        }
        (None, Some(forecast)) => Some(*forecast),
        (None, None) => None,
    }
}
