//! The invented weather service's forecasts, as the Norwegian Locationforecast writes them.

use std::collections::BTreeMap;

use anyhow::Context as _;
use fairspell_chance::{CORRELATION_CLIMATE, Probability, any_of_markov};
use fairspell_studio::{Session, Studio, gates};
use jiff::{Timestamp, civil, tz::TimeZone};
use serde::Serialize;

use super::{
    climate, clock,
    evenings::{RainKind, TOLD, Weather},
    received::{File, Received},
    town::Town,
};

/// Who forecasts.
const SOURCE: &str = "Saltern Bight weather service (invented)";
/// Forecasts are fetched regularly from so many days before a session on.
const FETCHED_DAYS_BEFORE: i64 = 8;
/// How often they are fetched, minutes.
const FETCH_STEP_MIN: i64 = 6 * 60;
/// The regular fetches lie so long before 00, 06, 12 and 18 h standard time, minutes.
const BEFORE_FULL_HOUR_MIN: i64 = 10;
/// Standard time is so far ahead of UTC, minutes.
const STANDARD_OFFSET_MIN: i64 = 10 * 60;
/// How old a run is when it is fetched, minutes.
const RUN_AGE_MIN: i64 = 35;
/// Steps of one hour at the beginning of a forecast: enough for the gate two days before a session.
const HOURLY_STEPS: i64 = 53;
/// How far a forecast reaches, hours.
const REACH_H: i64 = 9 * 24;
/// From this chance on a forecast's symbol shows rain, %.
const RAIN_SHOWN_FROM_PERCENT: f64 = 20.0;
/// From this chance on a forecast's likeliest amount is not nothing, %.
const AMOUNT_FROM_PERCENT: f64 = 50.0;

/// All forecasts of the season, and when each was fetched.
pub(super) fn all(
    studio: &Studio,
    zone: &TimeZone,
    sessions: &[Session],
) -> anyhow::Result<(Vec<File>, Vec<Received>)> {
    let mut fetches: Vec<(Town, Timestamp)> = Vec::new();
    for session in sessions {
        let mut moments = regular_fetches(zone, session)?;
        for gate in gates(studio, zone, session)? {
            moments.push(clock::minutes_before(gate.at, BEFORE_FULL_HOUR_MIN)?);
        }
        let home = moments.iter().map(|moment| (Town::SalternBight, *moment));
        fetches.extend(home);
        if Town::of(session, studio)? == Town::PellNarrows {
            for moment in moments {
                let a_minute_later = clock::minutes_before(moment, -1)?;
                fetches.push((Town::PellNarrows, a_minute_later));
            }
        }
    }
    fetches.sort_unstable();
    fetches.dedup();

    let mut files = Vec::with_capacity(fetches.len());
    let mut received = Vec::with_capacity(fetches.len());
    for (town, fetched_at) in fetches {
        let name = format!("forecasts/{}-{}.json", town.slug(), clock::stamp(fetched_at));
        let document = document(zone, town, clock::minutes_before(fetched_at, RUN_AGE_MIN)?)?;
        let bytes = serde_json::to_vec(&document).context("write a forecast")?;
        received.push(Received { file: name.clone(), fetched_at, source: SOURCE });
        files.push(File { name, bytes });
    }
    Ok((files, received))
}

fn regular_fetches(zone: &TimeZone, session: &Session) -> anyhow::Result<Vec<Timestamp>> {
    let booked = session.booked(zone)?;
    let from = clock::minutes_before(booked.from, FETCHED_DAYS_BEFORE * 24 * 60)?;
    clock::every(FETCH_STEP_MIN, -STANDARD_OFFSET_MIN - BEFORE_FULL_HOUR_MIN, from, booked.to)
}

/// What the forecasts made at a moment say of an hour.
pub(super) fn weather_told(town: Town, made: civil::DateTime, hour: civil::DateTime) -> Weather {
    let told = TOLD
        .iter()
        .rev()
        .find(|told| told.town == town && told.since <= made && told.from <= hour && hour < told.to)
        .map_or_else(|| climate::ordinary(hour), |told| told.weather);
    Weather {
        air_temperature_c: told.air_temperature_c.or(Some(climate::air_temperature_c(hour))),
        relative_humidity_percent: told
            .relative_humidity_percent
            .or(Some(climate::relative_humidity_percent(hour))),
        ..told
    }
}

/// One complete document, made at a moment.
fn document(zone: &TimeZone, town: Town, made: Timestamp) -> anyhow::Result<Document> {
    let position = town.position()?;
    // The first step is the hour that is running.
    let first = Timestamp::from_second(made.as_second().div_euclid(3600) * 3600)?;
    let made_local = zone.to_datetime(made);
    let weather_at = |hours: i64| -> anyhow::Result<(Timestamp, Weather, bool)> {
        let time = clock::minutes_before(first, -60 * hours)?;
        let local = zone.to_datetime(time);
        let is_day = (6..18).contains(&local.hour());
        Ok((time, weather_told(town, made_local, local), is_day))
    };

    let mut timeseries = Vec::new();
    let mut is_hourly = true;
    for hours in 0..REACH_H {
        let (time, weather, is_day) = weather_at(hours)?;
        let is_main_hour = time.as_second() % (6 * 3600) == 0;
        // Hours go on until six-hour steps can begin without a gap.
        is_hourly &= hours < HOURLY_STEPS || !is_main_hour;
        if !is_hourly && !is_main_hour {
            continue;
        }
        let next_6_hours = if is_main_hour {
            let mut block = Vec::new();
            for ahead in hours..hours + 6 {
                block.push(weather_at(ahead)?.1);
            }
            Some(six_hours(&block, is_day))
        } else {
            None
        };
        timeseries.push(Step {
            time: time.to_string(),
            data: Data {
                instant: Instant { details: instant(&weather) },
                next_1_hours: is_hourly.then(|| one_hour(&weather, is_day)),
                next_6_hours,
            },
        });
    }
    Ok(Document {
        r#type: "Feature",
        geometry: Geometry {
            r#type: "Point",
            coordinates: [position.lon_deg(), position.lat_deg(), 3.0],
        },
        properties: Properties {
            meta: Meta { updated_at: made.to_string(), units: BTreeMap::from(UNITS) },
            timeseries,
        },
    })
}

fn instant(weather: &Weather) -> InstantDetails {
    let air_temperature = weather.air_temperature_c.unwrap_or_default();
    let relative_humidity = weather.relative_humidity_percent.unwrap_or_default();
    InstantDetails {
        air_pressure_at_sea_level: tenth(1019.0 - weather.wind_speed_km_h / 3.0),
        air_temperature: tenth(air_temperature),
        cloud_area_fraction: tenth(weather.cloud_percent),
        dew_point_temperature: tenth(dew_point_c(air_temperature, relative_humidity)),
        relative_humidity: tenth(relative_humidity),
        wind_from_direction: tenth(weather.wind_from_direction_deg),
        wind_speed: tenth(weather.wind_speed_km_h / 3.6),
        wind_speed_of_gust: tenth(weather.wind_gust_km_h / 3.6),
    }
}

fn one_hour(weather: &Weather, is_day: bool) -> Period {
    let amount =
        if weather.rain_percent < AMOUNT_FROM_PERCENT { 0.0 } else { weather.rain_amount_mm };
    period(weather, weather.rain_percent, amount, weather.rain_amount_mm, is_day)
}

/// Six hours of which each has its chance, linked as wet hours are in the climate.
fn six_hours(block: &[Weather], is_day: bool) -> Period {
    let p: Vec<Probability> =
        block.iter().map(|hour| Probability::clamped(hour.rain_percent / 100.0)).collect();
    let any = any_of_markov(&p, CORRELATION_CLIMATE).map_or(0.0, Probability::get);
    let expected: f64 =
        block.iter().map(|hour| hour.rain_percent / 100.0 * hour.rain_amount_mm).sum();
    let wettest = block.iter().max_by(|a, b| a.rain_percent.total_cmp(&b.rain_percent));
    let weather = wettest.copied().unwrap_or(block[0]);
    period(&weather, 100.0 * any, expected, 2.0 * expected, is_day)
}

fn period(weather: &Weather, percent: f64, amount: f64, most: f64, is_day: bool) -> Period {
    let least = if percent >= 80.0 { 0.3 * amount } else { 0.0 };
    Period {
        summary: Summary { symbol_code: symbol_code(weather, percent, is_day) },
        details: PeriodDetails {
            precipitation_amount: tenth(amount),
            precipitation_amount_max: tenth(most),
            precipitation_amount_min: tenth(least),
            probability_of_precipitation: tenth(percent),
            probability_of_thunder: tenth(weather.thunder_percent),
        },
    }
}

/// The service's code for its picture of the weather.
fn symbol_code(weather: &Weather, percent: f64, is_day: bool) -> String {
    let suffix = if is_day { "_day" } else { "_night" };
    if percent < RAIN_SHOWN_FROM_PERCENT {
        let cloud = weather.cloud_percent;
        return match cloud {
            ..13.0 => format!("clearsky{suffix}"),
            ..38.0 => format!("fair{suffix}"),
            ..86.0 => format!("partlycloudy{suffix}"),
            _ => "cloudy".to_owned(),
        };
    }
    let strength = match weather.rain_amount_mm {
        ..1.0 => "light",
        ..5.0 => "",
        _ => "heavy",
    };
    let thunder = if weather.thunder_percent >= 20.0 { "andthunder" } else { "" };
    match weather.rain_kind {
        RainKind::Showers => format!("{strength}rainshowers{thunder}{suffix}"),
        RainKind::Steady => format!("{strength}rain{thunder}"),
    }
}

/// Dew point, °C, by the Magnus formula of the WMO's guide to instruments.
fn dew_point_c(air_temperature_c: f64, relative_humidity_percent: f64) -> f64 {
    let (a, b) = (17.62, 243.12);
    let gamma =
        (relative_humidity_percent / 100.0).ln() + a * air_temperature_c / (b + air_temperature_c);
    b * gamma / (a - gamma)
}

/// One decimal, as the service writes.
fn tenth(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

/// The units that the document states for its keys.
const UNITS: [(&str, &str); 13] = [
    ("air_pressure_at_sea_level", "hPa"),
    ("air_temperature", "celsius"),
    ("cloud_area_fraction", "%"),
    ("dew_point_temperature", "celsius"),
    ("precipitation_amount", "mm"),
    ("precipitation_amount_max", "mm"),
    ("precipitation_amount_min", "mm"),
    ("probability_of_precipitation", "%"),
    ("probability_of_thunder", "%"),
    ("relative_humidity", "%"),
    ("wind_from_direction", "degrees"),
    ("wind_speed", "m/s"),
    ("wind_speed_of_gust", "m/s"),
];

#[derive(Serialize)]
struct Document {
    r#type: &'static str,
    geometry: Geometry,
    properties: Properties,
}

#[derive(Serialize)]
struct Geometry {
    r#type: &'static str,
    coordinates: [f64; 3],
}

#[derive(Serialize)]
struct Properties {
    meta: Meta,
    timeseries: Vec<Step>,
}

#[derive(Serialize)]
struct Meta {
    updated_at: String,
    units: BTreeMap<&'static str, &'static str>,
}

#[derive(Serialize)]
struct Step {
    time: String,
    data: Data,
}

#[derive(Serialize)]
struct Data {
    instant: Instant,
    #[serde(skip_serializing_if = "Option::is_none")]
    next_1_hours: Option<Period>,
    #[serde(skip_serializing_if = "Option::is_none")]
    next_6_hours: Option<Period>,
}

#[derive(Serialize)]
struct Instant {
    details: InstantDetails,
}

#[derive(Serialize)]
struct InstantDetails {
    air_pressure_at_sea_level: f64,
    air_temperature: f64,
    cloud_area_fraction: f64,
    dew_point_temperature: f64,
    relative_humidity: f64,
    wind_from_direction: f64,
    wind_speed: f64,
    wind_speed_of_gust: f64,
}

#[derive(Serialize)]
struct Period {
    summary: Summary,
    details: PeriodDetails,
}

#[derive(Serialize)]
struct Summary {
    symbol_code: String,
}

#[derive(Serialize)]
struct PeriodDetails {
    precipitation_amount: f64,
    precipitation_amount_max: f64,
    precipitation_amount_min: f64,
    probability_of_precipitation: f64,
    probability_of_thunder: f64,
}
