//! What each reading said, in the few figures that are kept for good.
//!
//! A picture is gone after days; what it said of each spot stays, beside what each forecast said of
//! each session's hours, so that one day the two can be held against each other.

use fairspell_ground::LatLon;
use fairspell_nowcast::{RainField, level::WET_RATE_MM_H};
use fairspell_studio::{ForecastFigure, RadarFigure, Session, Span, Spot, Studio};
use jiff::{Timestamp, tz::TimeZone};

use crate::{
    comfort::comfort, evening::hours, outlook::BUSY_RADIUS_KM, rain::rain, seen::SeenForecast,
};

/// How far around a spot its hardest rain is looked for, km.
const NEARBY_KM: f64 = 5.0;

/// A forecast for a place farther away than this says nothing of a session, km.
pub const FORECAST_REACH_KM: f64 = 50.0;

/// What one radar picture says of each spot.
///
/// A spot off the picture has a figure too, with nothing in it: that nothing was measured is worth
/// knowing later. Unlike the outlook's, `wet_share` is there wherever anything was measured; the
/// `coverage` beside it says how much.
///
/// - `source`: whose picture, as people are told.
pub fn radar_figures<'a>(
    field: &RainField,
    spots: impl IntoIterator<Item = &'a Spot>,
    source: &str,
    fetched_at: Timestamp,
) -> Vec<RadarFigure> {
    let figure = |spot: &Spot| {
        let nearby = Circle::around(field, spot.position, NEARBY_KM);
        let sky = Circle::around(field, spot.position, BUSY_RADIUS_KM);
        RadarFigure {
            spot: spot.id.clone(),
            source: source.to_owned(),
            valid_time: field.valid_time,
            fetched_at,
            rain_rate_mm_h: field.rain_rate_at(spot.position).map(f64::from),
            rain_rate_max_nearby_mm_h: nearby.rain_rate_max_mm_h,
            wet_share: (sky.measured > 0).then(|| sky.wet as f64 / sky.measured as f64),
            coverage: sky.measured as f64 / sky.cells.max(1) as f64,
        }
    };
    spots.into_iter().map(figure).collect()
}

/// What one forecast says of the hours of each session that it reaches.
///
/// The figures are those of the outlook, made at the forecast's issue from it alone: the same
/// functions, no radar. A session is left out that is over by then, that begins after the forecast
/// ends or is elsewhere, or whose start does not exist.
pub fn forecast_figures(
    studio: &Studio,
    zone: &TimeZone,
    sessions: &[Session],
    seen: &SeenForecast,
    fetched_at: Timestamp,
) -> Vec<ForecastFigure> {
    let issued = seen.forecast.reference_time;
    let figure = |session: &Session| {
        let hours = hours(studio, zone, session).ok()?;
        let is_over = hours.window.to <= issued;
        let is_reached = seen.forecast.ends().is_some_and(|ends| ends > hours.window.from)
            && seen.forecast.place.distance_km(hours.place) <= FORECAST_REACH_KM;
        if is_over || !is_reached {
            return None;
        }
        let rescue_set_min = f64::from(studio.policy.rescue_set_min);
        let rain = rain(&hours, issued, Some(seen), None, rescue_set_min);
        let left = Span { from: hours.window.from.max(issued), to: hours.window.to };
        let comfort = comfort(seen, left, &hours.place_name);
        Some(ForecastFigure {
            session: session.id.clone(),
            source: seen.source.clone(),
            issued,
            fetched_at,
            hours: left,
            lead_h: left.from.duration_since(issued).as_secs_f64() / 3600.0,
            p_any_rain: rain.p_any_rain.map(|said| said.value),
            p_gap: rain.p_gap.map(|said| said.value),
            rain_amount_mm: rain.rain_amount_mm.map(|said| said.value),
            air_temperature_max_c: comfort.air_temperature_max_c.map(|said| said.value),
            wind_gust_km_h: comfort.wind_gust_km_h.map(|said| said.value),
            thunder: comfort.thunder.map(|said| said.value),
        })
    };
    sessions.iter().filter_map(figure).collect()
}

/// No radar sees finer than this, km; a picture that says so is not walked cell by cell.
const FINEST_KM: f64 = 0.05;

/// Cells whose centres lie within a circle, on the picture and off it; the cell of its middle always.
#[derive(Debug, Default)]
struct Circle {
    cells: usize,
    measured: usize,
    wet: usize,
    rain_rate_max_mm_h: Option<f64>,
}

impl Circle {
    /// Empty for a place off the picture, and where its cells are finer than any radar's.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "cells of a picture are counted in thousands; what lies off it is sorted out first"
    )]
    fn around(field: &RainField, place: LatLon, radius_km: f64) -> Circle {
        let mut circle = Circle::default();
        let grid = &field.grid;
        let (Some((row, column)), Some((row_km, column_km))) =
            (grid.cell_of(place), grid.spacing_km(place))
        else {
            return circle;
        };
        if row_km.min(column_km) < FINEST_KM {
            return circle;
        }
        let reach = |km: f64| (radius_km / km).ceil() as i64;
        for i in -reach(row_km)..=reach(row_km) {
            for j in -reach(column_km)..=reach(column_km) {
                let (cell_row, cell_column) = (row.round() + i as f64, column.round() + j as f64);
                let down_km = (cell_row - row) * row_km;
                let right_km = (cell_column - column) * column_km;
                if (i, j) != (0, 0) && down_km.hypot(right_km) > radius_km {
                    continue;
                }
                circle.cells += 1;
                if cell_row < 0.0 || cell_column < 0.0 {
                    continue;
                }
                let rate = field.rain_rate_mm_h.get((cell_row as usize, cell_column as usize));
                let Some(rate) = rate.copied().filter(|rate| rate.is_finite()) else { continue };
                circle.measured += 1;
                circle.wet += usize::from(rate >= WET_RATE_MM_H);
                let hardest = circle.rain_rate_max_mm_h.unwrap_or(0.0).max(f64::from(rate));
                circle.rain_rate_max_mm_h = Some(hardest);
            }
        }
        circle
    }
}
