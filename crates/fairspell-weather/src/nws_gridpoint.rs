//! Reads the raw grid layers of the US National Weather Service.

use std::collections::BTreeMap;

use fairspell_chance::Probability;
use fairspell_ground::Reading;
use jiff::{SignedDuration, Timestamp};
use serde_json::Value;

use crate::{
    Remark, WeatherError,
    forecast::{Condition, Forecast, PeriodChance, RainAmount, Service},
    interval::{self, HOUR},
    json, nws,
    nws_periods::Listed,
    timeline,
    units::Quantity,
    wording::{Wording, nws_words},
};

const WHAT: &str = "grid document";
const P_RAIN: &str = "probabilityOfPrecipitation";

/// Reads the service's raw grid layers.
///
/// Each chance keeps the interval that it is stated for, see
/// [`read_nws_hourly`](crate::read_nws_hourly) for what is made of intervals of odd lengths. The other
/// layers are laid side by side hour by hour. Layers may be missing or empty, and any value null.
/// Where a chance is missing and an amount is there, the chance is our own estimate.
///
/// # Errors
///
/// As of [`read_nws_hourly`](crate::read_nws_hourly).
///
/// # Source
///
/// US National Weather Service public API, interface description 1.9.0, and responses as captured.
pub fn read_nws_gridpoint(bytes: &[u8]) -> Result<Reading<Forecast, Remark>, WeatherError> {
    from_document(&json::parse(WHAT, bytes)?)
}

/// Whether a document looks like raw grid layers.
pub(crate) fn recognises(document: &Value) -> bool {
    let Some(properties) = document.get("properties") else { return false };
    properties.get("gridId").is_some()
        && [P_RAIN, "temperature"].iter().any(|layer| properties.get(layer).is_some())
}

pub(crate) fn from_document(document: &Value) -> Result<Reading<Forecast, Remark>, WeatherError> {
    if !recognises(document) {
        let found = json::looks_like(document);
        return Err(WeatherError::WrongDocument { expected: "a grid document", found });
    }
    let service = Service::NwsGridpoint;
    let mut remarks = Vec::new();
    let properties = &document["properties"];
    let place = json::place(WHAT, document)?;
    let reference_time = nws::reference_time(WHAT, properties, &mut remarks)?;
    let mut layers = Layers { properties, reference_time, remarks };

    let conditions = conditions(&mut layers);
    let chances = layers.ordered(P_RAIN, Quantity::Fraction);
    let chances: Vec<Listed<Option<Probability>>> = chances
        .into_iter()
        .map(|chance| chance.map(|value| value.and_then(Probability::new)))
        .collect();
    timeline::remark_gaps(&chances, &mut layers.remarks);
    let amounts = layers.ordered("quantitativePrecipitation", Quantity::Amount);
    let rain_amounts: Vec<RainAmount> = amounts
        .into_iter()
        .filter_map(|Listed { from, to, value }| {
            let rain_amount_mm = value?;
            let (rain_amount_min_mm, rain_amount_max_mm) = (None, None);
            Some(RainAmount { from, to, rain_amount_mm, rain_amount_min_mm, rain_amount_max_mm })
        })
        .collect();
    let Layers { mut remarks, .. } = layers;
    let stated = nws::statements(&chances, service, &mut remarks);
    let rain = timeline::with_amounts(stated, &rain_amounts, service.threshold_mm());
    if conditions.is_empty() && rain.iter().all(|statement| statement.p_rain.is_none()) {
        return Err(WeatherError::NothingUseful { what: WHAT, missing: "layer" });
    }
    let listed_hourly = listed_hourly(&chances);
    let value =
        Forecast { service, place, reference_time, rain, rain_amounts, conditions, listed_hourly };
    Ok(Reading { value, remarks })
}

/// What the hourly list makes of the layer: the interval's figure for each of its hours.
fn listed_hourly(chances: &[Listed<Option<Probability>>]) -> Vec<PeriodChance> {
    let hours = |chance: &Listed<Option<Probability>>| {
        let p = chance.value?;
        let hours = interval::hours(chance.from, chance.to);
        Some(hours.into_iter().map(move |(from, to)| PeriodChance { from, to, p }))
    };
    chances.iter().filter_map(hours).flatten().collect()
}

/// The document's layers while they are being read.
struct Layers<'a> {
    properties: &'a Value,
    reference_time: Timestamp,
    remarks: Vec<Remark>,
}

impl<'a> Layers<'a> {
    /// The intervals of a layer with their values as they stand, in any order.
    fn raw(&mut self, name: &str) -> Vec<Listed<&'a Value>> {
        let Some(layer) = self.properties.get(name) else { return Vec::new() };
        let mut listed = Vec::new();
        for item in json::items(layer, "values") {
            let text = json::text(item, "validTime").unwrap_or_default();
            match interval::parse(text) {
                Some((from, to)) if timeline::is_within_reach(from, to, self.reference_time) => {
                    listed.push(Listed {
                        from,
                        to,
                        value: item.get("value").unwrap_or(&Value::Null),
                    });
                }
                _ => Remark::unusable(name, text).note(&mut self.remarks),
            }
        }
        listed
    }

    /// The intervals of a layer of numbers, in our unit; null stays as a gap with a known period.
    fn numbers(&mut self, name: &str, quantity: Quantity) -> Vec<Listed<Option<f64>>> {
        let layer = self.properties.get(name).unwrap_or(&Value::Null);
        let unit = json::text(layer, "uom").unwrap_or_default();
        let raw = self.raw(name);
        if raw.is_empty() {
            Remark::Absent { field: name.to_owned() }.note(&mut self.remarks);
        }
        let remarks = &mut self.remarks;
        raw.into_iter()
            .map(|listed| listed.map(|value| json::number(name, quantity, value, unit, remarks)))
            .collect()
    }

    fn ordered(&mut self, name: &str, quantity: Quantity) -> Vec<Listed<Option<f64>>> {
        let numbers = self.numbers(name, quantity);
        timeline::in_order(numbers, &mut self.remarks)
    }
}

/// Where a layer's number goes.
type Field = fn(&mut Condition) -> &mut Option<f64>;

/// The layers that become fields of a [`Condition`].
const FIELDS: [(&str, Quantity, Field); 7] = [
    ("temperature", Quantity::Temperature, |condition| &mut condition.air_temperature_c),
    ("dewpoint", Quantity::Temperature, |condition| &mut condition.dew_point_c),
    ("relativeHumidity", Quantity::Fraction, |condition| &mut condition.relative_humidity),
    ("windSpeed", Quantity::Speed, |condition| &mut condition.wind_speed_km_h),
    ("windGust", Quantity::Speed, |condition| &mut condition.wind_gust_km_h),
    ("windDirection", Quantity::Direction, |condition| &mut condition.wind_from_direction_deg),
    ("skyCover", Quantity::Fraction, |condition| &mut condition.cloud_area_fraction),
];

fn conditions(layers: &mut Layers<'_>) -> Vec<Condition> {
    let mut hours = Hours::default();
    for (name, quantity, field) in FIELDS {
        for Listed { from, to, value } in layers.numbers(name, quantity) {
            hours.each(from, to, |condition| {
                if value.is_some() {
                    *field(condition) = value;
                }
            });
        }
    }
    for Listed { from, to, value } in layers.raw("probabilityOfThunder") {
        // This layer states no unit; it is per cent like the others.
        let name = "probabilityOfThunder";
        let remarks = &mut layers.remarks;
        let fraction = json::number(name, Quantity::Fraction, value, "percent", remarks);
        if let Some(p) = fraction.and_then(Probability::new) {
            hours.each(from, to, |condition| {
                condition.p_thunder = Some(PeriodChance { from, to, p });
            });
        }
    }
    for Listed { from, to, value } in layers.raw("weather") {
        let Some(kinds) = value.as_array() else { continue };
        let wording = kinds
            .iter()
            .filter_map(|kind| json::text(kind, "weather"))
            .map(nws_words)
            .fold(Wording::default(), Wording::and);
        hours.each(from, to, |condition| {
            condition.thunder = Some(wording.thunder);
            condition.rain_character = wording.rain_character;
        });
    }
    hours.by_start.into_values().filter(Condition::says_something).collect()
}

/// Hours of UTC with what the layers say of each.
#[derive(Default)]
struct Hours {
    by_start: BTreeMap<Timestamp, Condition>,
}

impl Hours {
    /// Tells something to every hour that begins within a period.
    fn each(&mut self, from: Timestamp, to: Timestamp, mut tell: impl FnMut(&mut Condition)) {
        let past_hour = SignedDuration::from_secs(from.as_second().rem_euclid(HOUR.as_secs()));
        let Ok(first) = from.checked_sub(past_hour) else { return };
        for (start, _) in interval::hours(first, to) {
            if start < from {
                continue;
            }
            let Ok(end) = start.checked_add(HOUR) else { continue };
            tell(self.by_start.entry(start).or_insert_with(|| Condition::unknown(start, end)));
        }
    }
}
