//! Reads Locationforecast 2.0 of the Norwegian Meteorological Institute.

use fairspell_chance::Probability;
use fairspell_ground::Reading;
use jiff::{SignedDuration, Timestamp};
use serde_json::Value;

use crate::{
    Remark, WeatherError,
    forecast::{Basis, Condition, Forecast, PeriodChance, RainAmount, RainStatement, Service},
    interval::HOUR,
    json,
    nws_periods::Listed,
    timeline,
    units::Quantity,
    wording::met_symbol,
};

const WHAT: &str = "Locationforecast";

/// Reads a Locationforecast, compact or complete.
///
/// Chances and amounts are those of `next_1_hours` as long as there are any, then those of
/// `next_6_hours`, at last those of `next_12_hours`; no moment is covered twice. The compact document
/// states amounts alone: its chances are our own estimates, wide, and marked.
///
/// # Errors
///
/// [`WeatherError::Unreadable`] for bytes that are cut short or no JSON, [`WeatherError::Problem`] for
/// a service's own report of a problem, [`WeatherError::WrongDocument`] for other JSON, and
/// [`WeatherError::NothingUseful`] for a document without place, time of update or any usable time.
///
/// # Source
///
/// MET Norway, schema `METJSONForecast` and data model of Locationforecast 2.0. Data from MET Norway.
pub fn read_met(bytes: &[u8]) -> Result<Reading<Forecast, Remark>, WeatherError> {
    from_document(&json::parse(WHAT, bytes)?)
}

/// Whether a document looks like a Locationforecast.
pub(crate) fn recognises(document: &Value) -> bool {
    document.get("properties").and_then(|properties| properties.get("timeseries")).is_some()
}

pub(crate) fn from_document(document: &Value) -> Result<Reading<Forecast, Remark>, WeatherError> {
    if !recognises(document) {
        let found = json::looks_like(document);
        return Err(WeatherError::WrongDocument { expected: "a Locationforecast", found });
    }
    let service = Service::MetLocationforecast;
    let mut remarks = Vec::new();
    let place = json::place(WHAT, document)?;
    let properties = &document["properties"];
    let meta = properties.get("meta").unwrap_or(&Value::Null);
    let reference_time = json::time(meta, "updated_at", &mut remarks)
        .ok_or(WeatherError::NothingUseful { what: WHAT, missing: "time of update" })?;
    let steps = steps(json::items(properties, "timeseries"), reference_time, &mut remarks);
    let units = meta.get("units").unwrap_or(&Value::Null);
    let mut reader = Reader { units, remarks };

    let conditions: Vec<Condition> = steps
        .iter()
        .enumerate()
        .map(|(index, step)| reader.condition(step, steps.get(index + 1)))
        .filter(Condition::says_something)
        .collect();
    let periods = periods(&steps);
    timeline::remark_gaps(&periods, &mut reader.remarks);
    let mut stated = Vec::new();
    let mut rain_amounts = Vec::new();
    let mut listed_hourly = Vec::new();
    for Listed { from, to, value: details } in periods {
        let fraction = reader.number(details, "probability_of_precipitation", Quantity::Fraction);
        let p_rain = fraction.and_then(Probability::new);
        let amount = reader.amount(details, from, to);
        rain_amounts.extend(amount);
        if let Some(p) = p_rain.filter(|_| to.duration_since(from) == HOUR) {
            listed_hourly.push(PeriodChance { from, to, p });
        }
        if p_rain.is_none() && amount.is_none() {
            Remark::ChanceNotStated { from, to }.note(&mut reader.remarks);
        }
        stated.push(RainStatement {
            from,
            to,
            p_rain,
            threshold_mm: service.threshold_mm(),
            basis: Basis::Stated,
            spread: None,
            amount: None,
        });
    }
    let rain = timeline::with_amounts(stated, &rain_amounts, service.threshold_mm());
    if conditions.is_empty() && rain.iter().all(|statement| statement.p_rain.is_none()) {
        return Err(WeatherError::NothingUseful { what: WHAT, missing: "time" });
    }
    let remarks = reader.remarks;
    let value =
        Forecast { service, place, reference_time, rain, rain_amounts, conditions, listed_hourly };
    Ok(Reading { value, remarks })
}

/// One time of the series.
#[derive(Clone, Copy)]
struct Step<'a> {
    time: Timestamp,
    data: &'a Value,
}

/// The times in order, each once.
fn steps<'a>(
    series: &'a [Value],
    reference_time: Timestamp,
    remarks: &mut Vec<Remark>,
) -> Vec<Step<'a>> {
    let mut steps = Vec::new();
    for item in series {
        let data = item.get("data").filter(|data| data.is_object());
        let time = json::time(item, "time", remarks);
        let reachable = |time: &Timestamp| {
            time.checked_add(HOUR)
                .is_ok_and(|to| timeline::is_within_reach(*time, to, reference_time))
        };
        if let Some((time, data)) = time.filter(reachable).zip(data) {
            steps.push(Step { time, data });
        } else {
            let text = item.get("time").unwrap_or(&Value::Null).to_string();
            Remark::unusable("timeseries", &text).note(remarks);
        }
    }
    steps.sort_by_key(|step| step.time);
    let mut kept: Vec<Step<'_>> = Vec::with_capacity(steps.len());
    for step in steps {
        match kept.last() {
            Some(last) if last.time == step.time => {
                Remark::Overlap { from: step.time, to: step.time }.note(remarks);
            }
            _ => kept.push(step),
        }
    }
    kept
}

/// The members that hold periods, the shortest first.
const PERIODS: [(&str, SignedDuration); 3] = [
    ("next_1_hours", HOUR),
    ("next_6_hours", SignedDuration::from_hours(6)),
    ("next_12_hours", SignedDuration::from_hours(12)),
];

/// The shortest period of each time that has one with details, and its end.
fn shortest(step: &Step<'_>) -> Option<Timestamp> {
    let (_, length) = PERIODS.iter().find(|(name, _)| details(step, name).is_some())?;
    step.time.checked_add(*length).ok()
}

fn details<'a>(step: &Step<'a>, period: &str) -> Option<&'a Value> {
    let details = step.data.get(period)?.get("details")?;
    details.as_object().filter(|members| !members.is_empty()).map(|_| details)
}

/// Periods that together cover the series once: hours as long as there are hours, then longer ones.
///
/// A longer period counts only where it begins after the last one ends and no later time inside it
/// has a shorter one of its own.
fn periods<'a>(steps: &[Step<'a>]) -> Vec<Listed<&'a Value>> {
    let mut periods: Vec<Listed<&Value>> = Vec::new();
    for (index, step) in steps.iter().enumerate() {
        if periods.last().is_some_and(|last| step.time < last.to) {
            continue;
        }
        let period = PERIODS.iter().find_map(|(name, length)| {
            let to = step.time.checked_add(*length).ok()?;
            let cut_short = steps[index + 1..]
                .iter()
                .take_while(|later| later.time < to)
                .any(|later| shortest(later).is_some_and(|end| end < to));
            let value = details(step, name).filter(|_| !cut_short)?;
            Some(Listed { from: step.time, to, value })
        });
        periods.extend(period);
    }
    periods
}

/// Numbers in our units, with the document's own table of units.
struct Reader<'a> {
    units: &'a Value,
    remarks: Vec<Remark>,
}

impl Reader<'_> {
    fn number(&mut self, details: &Value, name: &str, quantity: Quantity) -> Option<f64> {
        let value = details.get(name)?;
        let unit = json::text(self.units, name).unwrap_or_default();
        json::number(name, quantity, value, unit, &mut self.remarks)
    }

    fn amount(&mut self, details: &Value, from: Timestamp, to: Timestamp) -> Option<RainAmount> {
        let mut amount = |name| self.number(details, name, Quantity::Amount);
        Some(RainAmount {
            from,
            to,
            rain_amount_mm: amount("precipitation_amount")?,
            rain_amount_min_mm: amount("precipitation_amount_min"),
            rain_amount_max_mm: amount("precipitation_amount_max"),
        })
    }

    /// The state at a time, taken to last until the next one (six hours at most).
    fn condition(&mut self, step: &Step<'_>, next: Option<&Step<'_>>) -> Condition {
        const LONGEST: SignedDuration = SignedDuration::from_hours(6);
        let period = PERIODS[..2].iter().find(|(name, _)| step.data.get(name).is_some());
        let length = next.map_or(period.map_or(HOUR, |(_, length)| *length), |next| {
            next.time.duration_since(step.time).min(LONGEST)
        });
        let to = step.time.checked_add(length).unwrap_or(step.time);
        let instant = step.data.get("instant").and_then(|instant| instant.get("details"));
        let instant = instant.unwrap_or(&Value::Null);
        let mut condition = Condition::unknown(step.time, to);
        let mut number = |name, quantity| self.number(instant, name, quantity);
        condition.air_temperature_c = number("air_temperature", Quantity::Temperature);
        condition.dew_point_c = number("dew_point_temperature", Quantity::Temperature);
        condition.relative_humidity = number("relative_humidity", Quantity::Fraction);
        condition.wind_speed_km_h = number("wind_speed", Quantity::Speed);
        condition.wind_gust_km_h = number("wind_speed_of_gust", Quantity::Speed);
        condition.wind_from_direction_deg = number("wind_from_direction", Quantity::Direction);
        condition.cloud_area_fraction = number("cloud_area_fraction", Quantity::Fraction);
        if let Some((name, length)) = period {
            let member = &step.data[name];
            let symbol =
                member.get("summary").and_then(|summary| json::text(summary, "symbol_code"));
            if let Some(code) = symbol {
                let wording = met_symbol(code);
                condition.thunder = Some(wording.thunder);
                condition.rain_character = wording.rain_character;
            }
            let details = member.get("details").unwrap_or(&Value::Null);
            let fraction = self.number(details, "probability_of_thunder", Quantity::Fraction);
            let period_end = step.time.checked_add(*length).ok();
            condition.p_thunder = fraction
                .and_then(Probability::new)
                .zip(period_end)
                .map(|(p, to)| PeriodChance { from: step.time, to, p });
        }
        condition
    }
}
