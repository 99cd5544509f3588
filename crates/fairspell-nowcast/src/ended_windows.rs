//! Hours around a place that are over: what was said of them, and what came.

use fairspell_chance::Probability;
use jiff::Timestamp;

use crate::advect::Position;
use crate::logistic::chance;
use crate::nowcast::{Nowcast, after};

/// Hours that are over at one of the record's points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EndedWindow {
    /// Which window: the same for all points, and another for each picture it was asked at.
    pub window: u64,
    /// Which point, so that one can be followed from window to window.
    pub point: usize,
    /// The picture at which the question was asked; nothing newer was known.
    pub said_at: Timestamp,
    /// The hours asked about.
    pub from: Timestamp,
    /// Their end.
    pub to: Timestamp,
    /// How far ahead of `said_at` their middle lay, minutes.
    pub lead_min: f64,
    /// The chance of rain, at least 0.1 mm/h at some moment, that the formula gave: before any
    /// correction, since what is known now was not known then.
    pub said: Probability,
    /// Whether it came.
    pub came: bool,
}

/// The windows at all points so near to a place, in order of the pictures they were asked at.
pub(crate) fn ended_windows(
    nowcast: &Nowcast,
    place: Position,
    within_km: f64,
) -> Vec<EndedWindow> {
    let Some(corrections) = &nowcast.corrections else { return Vec::new() };
    let is_near = |point: &Position| nowcast.apart_km(*point, place) <= within_km;
    let near: Vec<usize> = (0..corrections.points.len())
        .filter(|index| is_near(&corrections.points[*index]))
        .collect();
    let windows = (0..).zip(&corrections.rain_windows).flat_map(|(window, ended)| {
        let (begin_min, end_min) = ended.window_min;
        near.iter().filter_map(move |point| {
            Some(EndedWindow {
                window,
                point: *point,
                said_at: ended.said_at,
                from: after(ended.said_at, begin_min),
                to: after(ended.said_at, end_min),
                lead_min: f64::midpoint(begin_min, end_min),
                said: Probability::clamped(chance(f64::from(ended.said[*point]?) / 100.0)),
                came: ended.came[*point]?,
            })
        })
    });
    windows.collect()
}
