//! What every reading said, kept for good when the reading itself is long gone.

use fairspell_chance::Chance;
use jiff::Timestamp;
use serde::{Deserialize, Serialize};

use crate::outlook::Span;

/// What one radar picture said of one spot.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RadarFigure {
    /// The spot, by id.
    pub spot: String,
    /// Whose picture.
    pub source: String,
    /// The picture's time.
    pub valid_time: Timestamp,
    /// When it was fetched.
    pub fetched_at: Timestamp,
    /// Rain at the spot, mm/h; `None`: not measured there.
    pub rain_rate_mm_h: Option<f64>,
    /// The hardest rain within 5 km of it, mm/h; `None`: nothing measured there.
    pub rain_rate_max_nearby_mm_h: Option<f64>,
    /// Share of the measured sky within 60 km that is wet (at least 0.1 mm/h), 0 to 1.
    pub wet_share: Option<f64>,
    /// Share of the sky within 60 km that was measured, 0 to 1.
    pub coverage: f64,
}

/// What one forecast said of one session's hours.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ForecastFigure {
    /// The session, by id.
    pub session: String,
    /// Whose forecast.
    pub source: String,
    /// When it was issued.
    pub issued: Timestamp,
    /// When it was fetched.
    pub fetched_at: Timestamp,
    /// The hours it speaks of: the session's, cut at last usable light.
    pub hours: Span,
    /// From its issue to the beginning of those hours, h.
    pub lead_h: f64,
    /// Chance of any rain in those hours.
    pub p_any_rain: Option<Chance>,
    /// Chance of one dry gap of the policy's length before last usable light, from it alone.
    pub p_gap: Option<Chance>,
    /// Rain in those hours, mm.
    pub rain_amount_mm: Option<f64>,
    /// Highest air temperature, °C.
    pub air_temperature_max_c: Option<f64>,
    /// Strongest gust, km/h.
    pub wind_gust_km_h: Option<f64>,
    /// Whether it mentions thunder.
    pub thunder: Option<bool>,
}
