//! Reads the hourly list of the US National Weather Service.

use fairspell_chance::Probability;
use fairspell_ground::Reading;
use serde_json::Value;

use crate::{
    Remark, WeatherError,
    forecast::{Condition, Forecast, PeriodChance, Service},
    interval::HOUR,
    json, nws,
    nws_periods::Listed,
    timeline,
    units::{Quantity, convert},
    wording::{Wording, nws_words},
};

const WHAT: &str = "hourly forecast";

/// Reads the service's hourly list.
///
/// The list repeats, for every hour, the chance of the three, six or twelve hours that it lies in.
/// Neighbouring hours with the same figure are therefore read as one statement about all of them: a run
/// of 1, 3, 6 or 12 hours at its word, a run of 2, 4 or 5 as hours, longer ones in sixes. A run at the
/// start of the list may be the rest of a longer period; it is read by the same rule. The figures as
/// listed are kept beside it.
///
/// # Errors
///
/// [`WeatherError::Unreadable`] for bytes that are cut short or no JSON, [`WeatherError::Problem`] for
/// the service's own report of a problem, [`WeatherError::WrongDocument`] for other JSON, and
/// [`WeatherError::NothingUseful`] for a list without place, time of update or any usable period.
///
/// # Source
///
/// US National Weather Service public API, interface description 1.9.0, and responses as captured.
pub fn read_nws_hourly(bytes: &[u8]) -> Result<Reading<Forecast, Remark>, WeatherError> {
    from_document(&json::parse(WHAT, bytes)?)
}

/// Whether a document looks like an hourly list.
pub(crate) fn recognises(document: &Value) -> bool {
    document.get("properties").and_then(|properties| properties.get("periods")).is_some()
}

pub(crate) fn from_document(document: &Value) -> Result<Reading<Forecast, Remark>, WeatherError> {
    if !recognises(document) {
        let found = json::looks_like(document);
        return Err(WeatherError::WrongDocument { expected: "an hourly forecast", found });
    }
    let service = Service::NwsHourly;
    let mut remarks = Vec::new();
    let properties = &document["properties"];
    let place = json::place(WHAT, document)?;
    let reference_time = nws::reference_time(WHAT, properties, &mut remarks)?;
    let mut periods = Vec::new();
    for period in json::items(properties, "periods") {
        let from = json::time(period, "startTime", &mut remarks);
        let to = json::time(period, "endTime", &mut remarks);
        match from.zip(to) {
            Some((from, to)) if timeline::is_within_reach(from, to, reference_time) => {
                periods.push(Listed { from, to, value: period });
            }
            _ => {
                let number = period.get("number").unwrap_or(&Value::Null);
                Remark::unusable("periods", &format!("number {number}")).note(&mut remarks);
            }
        }
    }
    let periods = timeline::in_order(periods, &mut remarks);
    timeline::remark_gaps(&periods, &mut remarks);
    let mut conditions = Vec::new();
    let mut chances = Vec::new();
    for Listed { from, to, value: period } in periods {
        let mut condition = Condition::unknown(from, to);
        read_period(period, &mut condition, &mut remarks);
        if condition.says_something() {
            conditions.push(condition);
        }
        let percent =
            json::quantity(period, "probabilityOfPrecipitation", Quantity::Fraction, &mut remarks);
        chances.push(Listed { from, to, value: percent.and_then(Probability::new) });
    }
    if conditions.is_empty() && chances.iter().all(|chance| chance.value.is_none()) {
        return Err(WeatherError::NothingUseful { what: WHAT, missing: "period" });
    }
    let listed_hourly = chances
        .iter()
        .filter(|hour| hour.to.duration_since(hour.from) == HOUR)
        .filter_map(|hour| Some(PeriodChance { from: hour.from, to: hour.to, p: hour.value? }))
        .collect();
    let rain = nws::statements(&chances, service, &mut remarks);
    let rain_amounts = Vec::new();
    let value =
        Forecast { service, place, reference_time, rain, rain_amounts, conditions, listed_hourly };
    Ok(Reading { value, remarks })
}

fn read_period(period: &Value, condition: &mut Condition, remarks: &mut Vec<Remark>) {
    let temperature = period.get("temperature").unwrap_or(&Value::Null);
    condition.air_temperature_c = if temperature.is_object() {
        json::quantity(period, "temperature", Quantity::Temperature, remarks)
    } else {
        let unit = json::text(period, "temperatureUnit").unwrap_or_default();
        json::number("temperature", Quantity::Temperature, temperature, unit, remarks)
    };
    condition.dew_point_c = json::quantity(period, "dewpoint", Quantity::Temperature, remarks);
    condition.relative_humidity =
        json::quantity(period, "relativeHumidity", Quantity::Fraction, remarks);
    condition.wind_speed_km_h = wind_km_h(period, "windSpeed", remarks);
    condition.wind_gust_km_h = wind_km_h(period, "windGust", remarks);
    if let Some(text) = json::text(period, "windDirection") {
        condition.wind_from_direction_deg = compass_deg(text);
        if condition.wind_from_direction_deg.is_none() {
            Remark::unusable("windDirection", text).note(remarks);
        }
    }
    if let Some(words) = json::text(period, "shortForecast") {
        let Wording { thunder, rain_character } = nws_words(words);
        condition.thunder = Some(thunder);
        condition.rain_character = rain_character;
    }
}

/// `10 mph`, `10 to 15 mph` (the larger one counts), or a quantity with a unit code.
fn wind_km_h(period: &Value, field: &str, remarks: &mut Vec<Remark>) -> Option<f64> {
    let member = period.get(field)?;
    if member.is_object() {
        return json::quantity(period, field, Quantity::Speed, remarks);
    }
    let text = member.as_str().map(str::trim).filter(|text| !text.is_empty())?;
    let (numbers, unit) = text.rsplit_once(char::is_whitespace).unwrap_or((text, ""));
    let largest = numbers
        .split_whitespace()
        .filter(|word| *word != "to")
        .map(|word| word.parse::<f64>().ok())
        .reduce(|largest, number| Some(largest?.max(number?)))
        .flatten();
    let Some(largest) = largest else {
        Remark::unusable(field, text).note(remarks);
        return None;
    };
    let speed_km_h = convert(Quantity::Speed, largest, unit);
    if speed_km_h.is_err() {
        Remark::unknown_unit(field, text).note(remarks);
    }
    speed_km_h.ok()
}

/// Degrees of a point of the compass of sixteen.
fn compass_deg(text: &str) -> Option<f64> {
    const POINTS: [&str; 16] = [
        "N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW",
        "NW", "NNW",
    ];
    POINTS.iter().position(|point| *point == text).map(|index| index as f64 * 22.5)
}
