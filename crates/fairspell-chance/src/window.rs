//! Chances stated for whole periods, carried over to the hours that are booked.
//!
//! The event here is the service's own: at least 0.2 mm (0.01 in) at a point within the period.
//! Minutes that undo hair without counting as rain are another event, see
//! [`p_wet_minutes`](crate::p_wet_minutes).

use serde::{Deserialize, Serialize};

use crate::any_of::{any_of_bounds, any_of_chain};
use crate::{Chance, Probability};

/// A chance of rain as a service states it: for the whole of a period.
///
/// Minutes count from any origin that all statements and the window share.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Stated {
    /// Start of the period, minutes.
    pub from_min: f64,
    /// End of the period, minutes, later than its start.
    pub to_min: f64,
    /// Chance of at least the service's own amount (usually 0.2 mm) somewhere in the period.
    pub p: Probability,
}

/// Correlation between neighbouring hours that is left once the forecast has been taken into
/// account, for a window of two or three hours on the same day.
pub const CORRELATION_SAME_DAY: f64 = 0.5;

/// The same for long windows and for forecasts made days ahead, which know less of when it rains:
/// the correlation of wet hours in the climate itself.
pub const CORRELATION_CLIMATE: f64 = 0.68;

/// The correlation to chain hours with, unless the photographer's own record says otherwise.
///
/// - `window_min`: length of the window, minutes. Up to three hours 0.5, rising to 0.68 at twelve.
/// - `lead_min`: from now to the middle of the window, minutes. Up to twelve hours 0.5, rising to
///   0.68 at two days.
///
/// The larger of the two counts. A length or lead that is not a number counts as long.
///
/// # Source
///
/// Residual correlations measured on hourly forecasts for three New York airports in 2013: 0.44 to
/// 0.57 for leads of 2 and 4 hours and windows of 2 to 6 hours; 0.68 in the climate. The straight
/// lines between are our choice.
pub fn default_correlation(window_min: f64, lead_min: f64) -> f64 {
    let rise = |x: f64, from: f64, to: f64| {
        if x.is_nan() { 1.0 } else { ((x - from) / (to - from)).clamp(0.0, 1.0) }
    };
    let share = rise(window_min, 180.0, 720.0).max(rise(lead_min, 720.0, 2880.0));
    CORRELATION_SAME_DAY + share * (CORRELATION_CLIMATE - CORRELATION_SAME_DAY)
}

/// The chance of rain in a window, from chances stated for hours, or for three, six or twelve of
/// them.
///
/// A part of a longer period gets its share of the period's chance ([`share_of_period`]); the parts
/// are chained as in [`any_of_markov`](crate::any_of_markov). Parts shorter than an hour are linked
/// more closely than hours are, so that half of one hour and half of the next come to about an hour.
/// Where statements overlap, the shorter period is believed.
///
/// The range is Fréchet's: at least the likeliest part, at most the sum of all *whole* statements
/// that the window touches, because rain exactly in the window can't be excluded when the statement
/// for the period is all there is.
///
/// - `stated`: in any order. Periods that end before they start are passed over.
/// - `from_min`, `to_min`: the window, minutes from the statements' origin.
/// - `correlation`: see [`default_correlation`].
///
/// `None` when any part of the window has no statement, when the window is empty, or when a number
/// is not finite: missing is never dry.
///
/// # Examples
///
/// ```
/// use fairspell_chance::{CORRELATION_SAME_DAY, Probability, Stated, p_rain_in_window};
///
/// // 60 % for 12:00 to 18:00 is all we know; the session is 16:00 to 18:00.
/// let p = Probability::new(0.6).expect("0 to 1");
/// let afternoon = Stated { from_min: 720.0, to_min: 1080.0, p };
/// let session = p_rain_in_window(&[afternoon], 960.0, 1080.0, CORRELATION_SAME_DAY)
///     .expect("the window is covered");
/// assert!((session.centre.get() - 0.40).abs() < 0.02);
/// assert_eq!(session.high, p);
///
/// // Nothing is stated after 18:00, so nothing can be said.
/// assert_eq!(p_rain_in_window(&[afternoon], 960.0, 1090.0, CORRELATION_SAME_DAY), None);
/// ```
pub fn p_rain_in_window(
    stated: &[Stated],
    from_min: f64,
    to_min: f64,
    correlation: f64,
) -> Option<Chance> {
    if !from_min.is_finite() || !to_min.is_finite() || from_min >= to_min {
        return None;
    }
    let parts = parts_of_window(stated, from_min, to_min)?;
    let p_part: Vec<Probability> = parts.iter().map(Part::p).collect();
    let p_whole: Vec<Probability> = parts.iter().map(|part| part.stated.p).collect();

    let linked = |pair: usize| {
        let shorter_min = parts[pair].minutes.min(parts[pair + 1].minutes);
        1.0 - (1.0 - correlation) * (shorter_min / 60.0).min(1.0).powf(SHORT_PART_EXPONENT)
    };
    let centre = any_of_chain(&p_part, linked)?;
    let (low, _) = any_of_bounds(&p_part)?;
    let (_, high) = any_of_bounds(&p_whole)?;
    Some(Chance::spanning(centre.get(), [low.get(), high.get()]))
}

/// How fast the link between short neighbouring parts loosens with their length. Our choice: with
/// it, parts of two equal hours that make one hour come to that hour's chance within 0.03 up to
/// 50 %, and to at most 0.07 less when the hours are all but sure.
const SHORT_PART_EXPONENT: f64 = 0.25;

/// The share of a period's chance that a part of it has: P(rain in the part) / P(rain in the
/// period).
///
/// - `part_min`, `period_min`: lengths, minutes; a part longer than its period counts as the whole.
/// - `p_period`: the chance stated for the period. When rain is nearly sure it is also widespread,
///   and a part has more of it.
///
/// Continuous in all three; 1 for the whole period and 0 for no time at all; a longer part never
/// has a smaller share, a part of a longer period never a larger one.
///
/// # Source
///
/// Ratios in the climate of three New York airports (2013, hours with 0.01 in or more), raised to a
/// power that was fitted to hourly forecasts of six-hour periods: within 0.05 of the straight lines
/// 0.33 + 0.33 P, 0.50 + 0.28 P and 0.63 + 0.20 P for one, two and three of six hours. From twelve
/// hours on only the climate's own ratios are known. Below an hour: the eleven days of five-minute
/// radar sums under `tests/reference`.
pub fn share_of_period(part_min: f64, period_min: f64, p_period: Probability) -> f64 {
    if part_min <= 0.0 {
        return 0.0;
    }
    if part_min >= period_min {
        return 1.0;
    }
    let period_h = period_min / 60.0;
    let part_h = part_min / 60.0;
    let log_share = |part_h: f64| climate_log_p(part_h) - climate_log_p(period_h);

    // 1 up to six hours, where forecasts were compared; 0 from twelve hours on.
    let compared = 1.0 - ((period_h / 6.0).ln() / 2.0_f64.ln()).clamp(0.0, 1.0);
    let excess = compared * (0.33 - 0.83 * p_period.get());
    // An unlikely period's part has less than the climate's share. That was seen for hours, and
    // carried below an hour it would leave next to nothing.
    let reference_h = if excess > 0.0 { part_h.max(period_h.min(1.0)) } else { part_h };
    (log_share(part_h) + excess * log_share(reference_h)).exp()
}

/// P(any wet hour in k consecutive hours), New York airports 2013: hours, chance.
const CLIMATE_P_ANY_WET: [(f64, f64); 7] = [
    (1.0, 0.0671),
    (2.0, 0.0869),
    (3.0, 0.1027),
    (4.0, 0.1169),
    (6.0, 0.1425),
    (12.0, 0.2090),
    (24.0, 0.3257),
];

/// P(any wet) grows with this power of the length below an hour: 0.31 to 0.43 between 5 and 30
/// minutes in the first half of the five-minute record.
const BELOW_AN_HOUR_EXPONENT: f64 = 0.33;

/// Logarithm of the climate's chance of rain in so many hours; straight between the table's entries
/// in the logarithm of both.
fn climate_log_p(hours: f64) -> f64 {
    let (first_h, first_p) = CLIMATE_P_ANY_WET[0];
    if hours <= first_h {
        return first_p.ln() + BELOW_AN_HOUR_EXPONENT * (hours / first_h).ln();
    }
    // Beyond a day the last slope goes on.
    let upper = CLIMATE_P_ANY_WET
        .iter()
        .position(|&(h, _)| hours <= h)
        .unwrap_or(CLIMATE_P_ANY_WET.len() - 1);
    let ((h0, p0), (h1, p1)) = (CLIMATE_P_ANY_WET[upper - 1], CLIMATE_P_ANY_WET[upper]);
    p0.ln() + (hours / h0).ln() / (h1 / h0).ln() * (p1 / p0).ln()
}

/// The minutes of a window that one statement speaks for.
struct Part {
    stated: Stated,
    minutes: f64,
}

impl Part {
    fn p(&self) -> Probability {
        let period_min = self.stated.to_min - self.stated.from_min;
        let share = share_of_period(self.minutes, period_min, self.stated.p);
        Probability::clamped(share * self.stated.p.get())
    }
}

/// Cuts a window at the statements' ends; `None` when a piece has no statement.
fn parts_of_window(stated: &[Stated], from_min: f64, to_min: f64) -> Option<Vec<Part>> {
    let usable: Vec<&Stated> = stated
        .iter()
        .filter(|s| s.from_min.is_finite() && s.to_min.is_finite() && s.from_min < s.to_min)
        .collect();
    let mut cuts: Vec<f64> = usable
        .iter()
        .flat_map(|s| [s.from_min, s.to_min])
        .filter(|&cut| from_min < cut && cut < to_min)
        .chain([from_min, to_min])
        .collect();
    cuts.sort_by(f64::total_cmp);
    cuts.dedup();

    let mut parts: Vec<(usize, Part)> = Vec::new();
    for piece in cuts.windows(2) {
        let (start, end) = (piece[0], piece[1]);
        let (index, speaker) = usable
            .iter()
            .enumerate()
            .filter(|(_, s)| s.from_min <= start && end <= s.to_min)
            .min_by(|(_, a), (_, b)| (a.to_min - a.from_min).total_cmp(&(b.to_min - b.from_min)))?;
        match parts.last_mut() {
            Some((last, part)) if *last == index => part.minutes += end - start,
            _ => parts.push((index, Part { stated: **speaker, minutes: end - start })),
        }
    }
    Some(parts.into_iter().map(|(_, part)| part).collect())
}
