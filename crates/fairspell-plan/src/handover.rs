//! How soon the forecast takes over from the radar, by what both said of hours that are over.

use fairspell_chance::{Handover, HandoverCase, p_wet_minutes};
use fairspell_nowcast::{EndedWindow, Spot};
use fairspell_studio::Span;
use fairspell_weather::Forecast;

use crate::{rain::p_any_rain, seen::SeenForecast};

/// What came within this distance of a place counts as if it had come to the place, km: the forecast
/// was made for the place, and a grid square of it is not much smaller.
const NEAR_KM: f64 = 40.0;

/// The handover for a place, from the windows that have ended around it.
///
/// A window counts where a forecast had been made before radar was asked, so that neither knew more than
/// the other: the newest of those speaks. Where none had, the hours stand.
pub(crate) fn handover(seen: &SeenForecast, spot: &Spot<'_>) -> Handover {
    let ended = spot.ended_windows(NEAR_KM);
    // All points of a window come one after another, and are told the same.
    let windows = ended.chunk_by(|a, b| a.window == b.window);
    let cases = windows.filter_map(|points| {
        let asked = points.first()?;
        let forecast = p_wet_as_told(seen, asked)?;
        Some(points.iter().map(move |point| HandoverCase {
            lead_min: point.lead_min,
            radar: point.said,
            forecast,
            came: point.came,
            window: point.window,
        }))
    });
    Handover::learned(&cases.flatten().collect::<Vec<_>>())
}

/// The chance of a wet minute in a window that has ended, by the newest forecast of its time.
fn p_wet_as_told(
    seen: &SeenForecast,
    asked: &EndedWindow,
) -> Option<fairspell_chance::Probability> {
    let known: Option<&Forecast> = std::iter::once(&seen.forecast)
        .chain(&seen.earlier)
        .filter(|forecast| forecast.reference_time <= asked.said_at)
        .max_by_key(|forecast| forecast.reference_time);
    let hours = Span { from: asked.from, to: asked.to };
    let p_rain = p_any_rain(known?, hours, asked.said_at)?;
    Some(p_wet_minutes(&p_rain).centre)
}
