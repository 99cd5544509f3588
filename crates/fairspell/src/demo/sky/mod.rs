//! Invented skies: what the radar of the demo sees, minute by minute.
//!
//! Everything is a function of the clock's minutes since local midnight and of kilometres east and
//! north of the town, and moves exactly as the sky's motion says: an extrapolation that is right can
//! follow it.

mod line;
mod low;
mod showers;

pub(super) use line::SquallLine;
pub(super) use low::SteadyLow;
#[cfg(test)]
pub(super) use showers::Cell;
pub(super) use showers::{Planted, ShowerPlan, Showers};

use super::grid::Grid;

/// The rate from which a minute counts as wet, mm/h: the least that radar services report.
pub(super) const WET_FROM_MM_H: f64 = 0.1;

/// The sky of one day.
#[derive(Debug)]
pub(super) enum Sky {
    /// Nothing in reach of the radar.
    Empty,
    /// Single cells that are born, drift and die.
    Showers(Showers),
    /// A line of storms with a broad wet rear.
    SquallLine(SquallLine),
    /// Rain everywhere, for days.
    SteadyLow(SteadyLow),
}

impl Sky {
    /// Rain at a point, mm/h, at a minute of the local day; zero below [`WET_FROM_MM_H`].
    #[cfg(test)]
    pub(super) fn rain_rate_mm_h(&self, minute: f64, east_km: f64, north_km: f64) -> f64 {
        match self {
            Sky::Empty => 0.0,
            Sky::Showers(showers) => showers.rain_rate_mm_h(minute, east_km, north_km),
            Sky::SquallLine(line) => line.rain_rate_mm_h(minute, east_km, north_km),
            Sky::SteadyLow(low) => low.rain_rate_mm_h(minute, east_km, north_km),
        }
    }

    /// Rain on a grid, mm/h, row after row from the south.
    pub(super) fn field_mm_h(&self, minute: f64, grid: &Grid) -> Vec<f64> {
        match self {
            Sky::Empty => vec![0.0; grid.len()],
            Sky::Showers(showers) => showers.field_mm_h(minute, grid),
            Sky::SquallLine(line) => grid.fill(|x, y| line.rain_rate_mm_h(minute, x, y)),
            Sky::SteadyLow(low) => grid.fill(|x, y| low.rain_rate_mm_h(minute, x, y)),
        }
    }
}

/// Where rain goes that comes with a wind from this direction: (east, north), km a minute.
pub(super) fn motion_km_min(from_direction_deg: f64, speed_km_h: f64) -> (f64, f64) {
    let (sin, cos) = from_direction_deg.to_radians().sin_cos();
    (-sin * speed_km_h / 60.0, -cos * speed_km_h / 60.0)
}

/// Straight lines through knots (x ascending), flat beyond the ends.
pub(super) fn at_knots(knots: &[(f64, f64)], x: f64) -> f64 {
    let after = knots.partition_point(|knot| knot.0 <= x);
    match (after.checked_sub(1).and_then(|before| knots.get(before)), knots.get(after)) {
        (Some(&(x0, y0)), Some(&(x1, y1))) => y0 + (y1 - y0) * (x - x0) / (x1 - x0),
        (Some(&(_, y)), None) | (None, Some(&(_, y))) => y,
        (None, None) => 0.0,
    }
}
