//! Heat, cold, wind and cloud over a session's hours.

use fairspell_studio::{Sourced, Span, outlook::Comfort};
use fairspell_weather::{
    comfort::{felt_c, wind_chill_c},
    forecast::Condition,
};

use crate::seen::SeenForecast;

/// Gust over mean wind where a forecast has no gusts, for land with trees and houses near a shore.
///
/// # Source
///
/// Our choice within the 1.4 to 1.7 of the World Meteorological Organization's guidelines for
/// converting between wind averaging periods (2010; from memory). Always marked as our estimate.
const GUST_FACTOR: f64 = 1.6;

/// Air temperature from which humidity makes it feel hotter than it is, °C: 80 °F.
///
/// # Source
///
/// US National Weather Service, heat index: the regression is used from 80 °F.
const HEAT_INDEX_FROM_C: f64 = 26.7;

/// Comfort over `hours`, from every period of the forecast that has a moment in common with them.
///
/// A figure is `None` when *any* part of the hours has none: the unknown hour may be the hot one.
pub fn comfort(seen: &SeenForecast, hours: Span, place: &str) -> Comfort {
    let conditions: Vec<&Condition> =
        seen.forecast.conditions_during(hours.from, hours.to).collect();
    if !covers(&conditions, hours) {
        return Comfort::default();
    }
    let sourced = |value: f64, our_estimate: bool| Sourced {
        value,
        hours,
        place: place.to_owned(),
        source: seen.source.clone(),
        issued: seen.forecast.reference_time,
        our_estimate,
    };
    let most = |of: &dyn Fn(&Condition) -> Option<f64>| extreme(&conditions, of, f64::max);
    let least = |of: &dyn Fn(&Condition) -> Option<f64>| extreme(&conditions, of, f64::min);

    let stated_gust = most(&|c| c.wind_gust_km_h);
    let mean_wind = most(&|c| c.wind_speed_km_h);
    let gust = match (stated_gust, mean_wind) {
        (Some(gust), _) => Some(sourced(gust, false)),
        (None, Some(wind)) => Some(sourced(wind * GUST_FACTOR, true)),
        (None, None) => None,
    };
    Comfort {
        air_temperature_max_c: most(&|c| c.air_temperature_c).map(|c| sourced(c, false)),
        felt_max_c: most(&|c| {
            let air = c.air_temperature_c?;
            // Without humidity the heat index is not known, and warm air alone may be too kind.
            let known = c.relative_humidity.is_some() || air < HEAT_INDEX_FROM_C;
            known.then(|| felt_c(air, c.relative_humidity))
        })
        .map(|c| sourced(c, true)),
        felt_min_c: least(&|c| {
            let air = c.air_temperature_c?;
            Some(c.wind_speed_km_h.and_then(|wind| wind_chill_c(air, wind)).unwrap_or(air))
        })
        .map(|c| sourced(c, true)),
        wind_speed_km_h: mean_wind.map(|wind| sourced(wind, false)),
        wind_gust_km_h: gust,
        cloud_area_fraction: most(&|c| c.cloud_area_fraction).map(|share| sourced(share, false)),
        thunder: thunder(&conditions).map(|thunder| {
            let Sourced { hours, place, source, issued, our_estimate, .. } = sourced(0.0, false);
            Sourced { value: thunder, hours, place, source, issued, our_estimate }
        }),
    }
}

/// Whether periods in order of time leave no moment of the hours out.
fn covers(conditions: &[&Condition], hours: Span) -> bool {
    let mut known_until = hours.from;
    for condition in conditions {
        if condition.from > known_until {
            return false;
        }
        known_until = known_until.max(condition.to);
    }
    known_until >= hours.to
}

/// The largest or smallest figure; `None` when one of the periods has none.
fn extreme(
    conditions: &[&Condition],
    of: &dyn Fn(&Condition) -> Option<f64>,
    pick: fn(f64, f64) -> f64,
) -> Option<f64> {
    let figures = conditions.iter().map(|condition| of(condition)).collect::<Option<Vec<f64>>>()?;
    figures.into_iter().reduce(pick)
}

/// Whether the forecast speaks of thunder in any of the periods; `None` when none of them says.
fn thunder(conditions: &[&Condition]) -> Option<bool> {
    let mentioned = |c: &&Condition| {
        let likely = c.p_thunder.map(|stated| stated.p.get() >= THUNDER_FROM);
        match (c.thunder, likely) {
            (None, None) => None,
            (words, chance) => Some(words.unwrap_or(false) || chance.unwrap_or(false)),
        }
    };
    conditions.iter().filter_map(mentioned).reduce(|a, b| a || b)
}

/// The stated chance of thunder from which the forecast counts as speaking of it (our choice).
const THUNDER_FROM: f64 = 0.1;
