//! The invented coast's ordinary weather, for the hours that nothing is told of.

use std::f64::consts::TAU;

use jiff::civil::{self, date};

use super::evenings::{RainKind, Weather};

/// Ordinary weather of a local hour: cool in August, warm in December, a sea breeze after noon.
pub(super) fn ordinary(local: civil::DateTime) -> Weather {
    let day = days_since_august(local.date());
    let hour = f64::from(local.hour());
    // A number from 0 to 1 that differs from day to day, so that no two look alike.
    let whim = (day * 37.0).rem_euclid(11.0) / 10.0;
    let sea_breeze = ((hour - 10.0) / 10.0 * TAU / 2.0).sin().max(0.0);
    let wind_speed_km_h = 7.0 + 6.0 * sea_breeze;
    Weather {
        rain_percent: (2.0 + 5.0 * whim).round(),
        rain_amount_mm: 0.3,
        rain_kind: RainKind::Showers,
        thunder_percent: 0.0,
        air_temperature_c: Some(air_temperature_c(local)),
        relative_humidity_percent: Some(relative_humidity_percent(local)),
        wind_from_direction_deg: 130.0,
        wind_speed_km_h,
        wind_gust_km_h: 1.5 * wind_speed_km_h,
        cloud_percent: (15.0 + 45.0 * whim).round(),
    }
}

/// Ordinary air temperature, °C.
pub(super) fn air_temperature_c(local: civil::DateTime) -> f64 {
    let season = days_since_august(local.date()) / 130.0;
    14.0 + 8.0 * season + 4.5 * daily(local)
}

/// Ordinary relative humidity, %.
pub(super) fn relative_humidity_percent(local: civil::DateTime) -> f64 {
    66.0 - 14.0 * daily(local)
}

/// 1 at two in the afternoon, -1 at two in the night.
fn daily(local: civil::DateTime) -> f64 {
    ((f64::from(local.hour()) - 14.0) / 24.0 * TAU).cos()
}

fn days_since_august(day: civil::Date) -> f64 {
    day.duration_since(date(2026, 8, 1)).as_hours() as f64 / 24.0
}
