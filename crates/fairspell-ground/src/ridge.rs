//! A stretch of skyline whose height changes along the way: a ridge, a tree line, a bay's far shore.

use serde::{Deserialize, Serialize};

/// One point of a ridge: how high something stands in a direction.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RidgePoint {
    /// The direction, degrees clockwise from true north, 0 to 360.
    pub azimuth_deg: f64,
    /// The height there above eye level, degrees.
    pub height_deg: f64,
}

/// A stretch of skyline through points, clockwise from the first to the last.
///
/// Straight between its points and nothing outside them; it may pass through north. From 0 to 360
/// is all round. Wants two points or more, each farther clockwise than the one before;
/// [`Skyline::check`](crate::Skyline::check) says whether that holds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Ridge {
    /// Its points, clockwise.
    pub points: Vec<RidgePoint>,
}

impl Ridge {
    /// A ridge from 0 to 360 through points that lie clockwise all round, closed through the last
    /// and the first of them.
    pub(crate) fn all_round(points: Vec<RidgePoint>) -> Self {
        let ring = Ridge { points: points.iter().chain(points.first()).copied().collect() };
        let north_deg = ring.height_deg(0.0).unwrap_or(0.0);
        let end = |azimuth_deg| RidgePoint { azimuth_deg, height_deg: north_deg };
        let mut round = points;
        round.retain(|point| point.azimuth_deg > 0.0 && point.azimuth_deg < 360.0);
        round.sort_by(|a, b| a.azimuth_deg.total_cmp(&b.azimuth_deg));
        round.insert(0, end(0.0));
        round.push(end(360.0));
        Ridge { points: round }
    }

    /// Height in a direction, degrees; `None` outside the ridge.
    ///
    /// Goes along the points once: nothing to think about for the twenty that a person notes.
    pub fn height_deg(&self, azimuth_deg: f64) -> Option<f64> {
        let first = self.points.first()?;
        let mut ahead_deg = (azimuth_deg - first.azimuth_deg).rem_euclid(360.0);
        for pair in self.points.windows(2) {
            let width_deg = clockwise_deg(pair[0].azimuth_deg, pair[1].azimuth_deg);
            if ahead_deg <= width_deg {
                let part = if width_deg > 0.0 { ahead_deg / width_deg } else { 1.0 };
                let (from_deg, to_deg) = (pair[0].height_deg, pair[1].height_deg);
                return Some(from_deg + part * (to_deg - from_deg));
            }
            ahead_deg -= width_deg;
        }
        None
    }
}

/// How far it is clockwise from one direction to another, degrees; from 0 to 360 is a full turn.
pub(crate) fn clockwise_deg(from_deg: f64, to_deg: f64) -> f64 {
    let width_deg = to_deg - from_deg;
    if (0.0..=360.0).contains(&width_deg) { width_deg } else { width_deg.rem_euclid(360.0) }
}
