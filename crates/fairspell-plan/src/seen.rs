//! What had been fetched by a moment.

use fairspell_nowcast::Nowcast;
use fairspell_weather::{Forecast, WarningBoard};
use jiff::Timestamp;

/// The newest forecast that had been fetched.
#[derive(Debug, Clone)]
pub struct SeenForecast {
    /// The forecast.
    pub forecast: Forecast,
    /// Those of the same service for the same place that it replaced, in any order: what they said of
    /// hours that are over is held against what came. May be empty.
    pub earlier: Vec<Forecast>,
    /// Who made it, as people are told.
    pub source: String,
}

/// The warnings that were in force as far as was known.
#[derive(Debug, Clone)]
pub struct SeenWarnings {
    /// Messages in force.
    pub board: WarningBoard,
    /// When the services' lists were last looked at.
    pub looked_at: Timestamp,
    /// Who warns, as people are told.
    pub source: String,
}

/// Radar pictures, ready to be asked.
#[derive(Debug)]
pub struct SeenRadar {
    /// The pictures and their motion.
    pub nowcast: Nowcast,
    /// Whose pictures, as people are told.
    pub source: String,
}

/// Everything that had been fetched; what is `None` was never fetched, or could not be read.
#[derive(Debug, Default)]
pub struct Seen {
    /// Forecast.
    pub forecast: Option<SeenForecast>,
    /// Warnings.
    pub warnings: Option<SeenWarnings>,
    /// Radar.
    pub radar: Option<SeenRadar>,
}
