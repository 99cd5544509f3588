//! A chance of rain from an amount, where a service gives no chance.

use fairspell_chance::{Chance, Probability};

use crate::forecast::RainAmount;

/// The chance that it rains in a period, estimated from the amount that a forecast expects in it.
///
/// Wide on purpose: its ends have a third and three times the odds of its centre. A dry forecast is
/// not certain of staying dry, and a wet one may miss the place or the hour. Where the service states
/// an amount that is very probably exceeded, or very probably not, that decides first.
///
/// - `amount`: over the period, mm. Periods of an hour to a day.
/// - `threshold_mm`: the least amount that counts as rain.
///
/// # Examples
///
/// ```
/// use fairspell_weather::{estimate::p_rain_from_amount, forecast::RainAmount};
///
/// let hour = RainAmount {
///     from: "2030-06-14T19:00:00Z".parse()?,
///     to: "2030-06-14T20:00:00Z".parse()?,
///     rain_amount_mm: 0.0,
///     rain_amount_min_mm: None,
///     rain_amount_max_mm: None,
/// };
/// let dry = p_rain_from_amount(&hour, 0.1);
/// let wet = p_rain_from_amount(&RainAmount { rain_amount_mm: 2.6, ..hour }, 0.1);
/// assert!(dry.centre.get() < 0.1 && wet.centre.get() > 0.7);
/// assert!(dry.high.get() > 0.1, "a dry hour of a forecast is no promise");
/// # Ok::<(), jiff::Error>(())
/// ```
///
/// # Source
///
/// Our choice. The curve `p0 + (p1 - p0) a / (a + h)` for an amount `a` was laid by eye through the
/// share of wet days for each forecast amount in the 4043 station days of the University of
/// Washington's ensemble, December 2002 to January 2003 (mean of nine members, 24 hours, 0.254 mm):
/// dry forecasts 10 %, half-way at about 1.1 mm. For shorter periods there is no such record at hand;
/// there `p0` and `h` shrink with the period so that a dry hour has 4 % and an hour is half-way at
/// 0.5 mm. The limits of 90 and 10 % for the stated extremes follow the service's description of them
/// as the 10th and 90th percentiles.
pub fn p_rain_from_amount(amount: &RainAmount, threshold_mm: f64) -> Chance {
    const P_LARGE: f64 = 0.97;
    let hours = (amount.to.duration_since(amount.from).as_secs_f64() / 3600.0).clamp(1.0, 24.0);
    let p_dry = 0.04 * hours.powf(0.29);
    let half_way_mm = 0.5 * hours.powf(0.25);
    let amount_mm = amount.rain_amount_mm.max(0.0);
    let share = amount_mm / (amount_mm + half_way_mm);
    let centre = p_dry + (P_LARGE - p_dry) * share;
    if amount.rain_amount_min_mm.is_some_and(|min_mm| min_mm >= threshold_mm) {
        return with_spread(centre.max(0.9));
    }
    if amount.rain_amount_max_mm.is_some_and(|max_mm| max_mm < threshold_mm) {
        return with_spread(centre.min(0.1));
    }
    with_spread(centre)
}

/// A third and three times the odds on either side.
fn with_spread(centre: f64) -> Chance {
    let at_odds = |factor: f64| {
        let odds = centre / (1.0 - centre) * factor;
        Probability::clamped(odds / (1.0 + odds))
    };
    let ends = Chance::new(at_odds(1.0 / 3.0), Probability::clamped(centre), at_odds(3.0));
    ends.expect("more odds are more probability")
}
