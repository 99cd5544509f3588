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

/// Air temperature up to which wind makes it feel colder, °C.
///
/// # Source
///
/// US National Weather Service and Environment Canada (2001): wind chill is defined up to 10 °C.
const WIND_CHILL_UP_TO_C: f64 = 10.0;

/// Air temperature from which humidity makes it feel hotter than it is, °C: 80 °F.
///
/// # Source
///
/// US National Weather Service, heat index: the regression is used from 80 °F.
const HEAT_INDEX_FROM_C: f64 = 26.7;

/// Comfort over `hours`, from every period of the forecast that has a moment in common with them.
///
/// Figures are the worst that is known: an hour that says nothing takes no known danger away. Where
/// any hour says nothing, `temperature_is_complete` or `gusts_are_complete` is false.
pub fn comfort(seen: &SeenForecast, hours: Span, place: &str) -> Comfort {
    let conditions: Vec<&Condition> =
        seen.forecast.conditions_during(hours.from, hours.to).collect();
    let is_covered = covers(&conditions, hours);
    let sourced = |value: f64, our_estimate: bool| Sourced {
        value,
        hours,
        place: place.to_owned(),
        source: seen.source.clone(),
        issued: seen.forecast.reference_time,
        our_estimate,
    };
    let most = |of: &dyn Fn(&Condition) -> Option<f64>| known(&conditions, of).reduce(f64::max);
    let least = |of: &dyn Fn(&Condition) -> Option<f64>| known(&conditions, of).reduce(f64::min);
    let all_say = |of: &dyn Fn(&Condition) -> bool| is_covered && conditions.iter().all(|c| of(c));

    let air = |c: &Condition| c.air_temperature_c;
    let gust = most(&gust_km_h);
    let is_stated = gust.is_some() && gust == most(&|c| c.wind_gust_km_h);
    Comfort {
        temperature_is_complete: all_say(&feels_like_something),
        gusts_are_complete: all_say(&|c| gust_km_h(c).is_some()),
        air_temperature_max_c: most(&air).map(|c| sourced(c, false)),
        // Air without its humidity counts as it is: it never feels cooler than that.
        felt_max_c: most(&|c| air(c).map(|air| felt_c(air, c.relative_humidity)))
            .map(|c| sourced(c, true)),
        felt_min_c: least(&|c| {
            let air = air(c)?;
            Some(c.wind_speed_km_h.and_then(|wind| wind_chill_c(air, wind)).unwrap_or(air))
        })
        .map(|c| sourced(c, true)),
        wind_speed_km_h: most(&|c| c.wind_speed_km_h).map(|wind| sourced(wind, false)),
        wind_gust_km_h: gust.map(|gust| sourced(gust, !is_stated)),
        cloud_area_fraction: most(&|c| c.cloud_area_fraction).map(|share| sourced(share, false)),
        thunder: thunder(&conditions).map(|thunder| {
            let Sourced { hours, place, source, issued, our_estimate, .. } = sourced(0.0, false);
            Sourced { value: thunder, hours, place, source, issued, our_estimate }
        }),
    }
}

/// The stated gust of a period, or our estimate from its mean wind.
fn gust_km_h(condition: &Condition) -> Option<f64> {
    condition.wind_gust_km_h.or(condition.wind_speed_km_h.map(|wind| wind * GUST_FACTOR))
}

/// Whether a period says enough to know how warm and how cold it feels: warm air needs its humidity,
/// cold air its wind.
fn feels_like_something(condition: &Condition) -> bool {
    condition.air_temperature_c.is_some_and(|air| {
        (air < HEAT_INDEX_FROM_C || condition.relative_humidity.is_some())
            && (air > WIND_CHILL_UP_TO_C || condition.wind_speed_km_h.is_some())
    })
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

/// The figures of the periods that have one.
fn known<'a>(
    conditions: &'a [&Condition],
    of: &'a dyn Fn(&Condition) -> Option<f64>,
) -> impl Iterator<Item = f64> + 'a {
    conditions.iter().filter_map(move |condition| of(condition))
}

/// Whether the forecast speaks of thunder in any of the periods; `None` when none mentions it and
/// some say nothing either way.
fn thunder(conditions: &[&Condition]) -> Option<bool> {
    let mentioned: Vec<Option<bool>> = conditions
        .iter()
        .map(|c| {
            let likely = c.p_thunder.map(|stated| stated.p.get() >= THUNDER_FROM);
            match (c.thunder, likely) {
                (None, None) => None,
                (words, chance) => Some(words.unwrap_or(false) || chance.unwrap_or(false)),
            }
        })
        .collect();
    if mentioned.contains(&Some(true)) {
        return Some(true);
    }
    let all_say = !mentioned.is_empty() && mentioned.iter().all(Option::is_some);
    all_say.then_some(false)
}

/// The stated chance of thunder from which the forecast counts as speaking of it (our choice).
const THUNDER_FROM: f64 = 0.1;
