//! Single shower cells that are born, drift with the wind and die within the hour.

use std::f64::consts::TAU;

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

use super::{WET_FROM_MM_H, at_knots, motion_km_min};
use crate::demo::grid::Grid;

/// Within this distance of the town the wet share is held at the stated values, km.
const CIRCLE_KM: f64 = 60.0;
/// Cells are born up to this far east, west, north and south, km: beyond the radar's own edge, so
/// that rain drifts in.
const HALF_SIZE_KM: f64 = 112.0;
/// Mesh on which the wet share is counted while cells are born, km.
const MESH_KM: f64 = 2.0;
/// How often new cells are born, minutes.
const BIRTH_STEP_MIN: f64 = 5.0;
/// A cell grows to its full size within so many minutes.
const GROWTH_MIN: f64 = 8.0;
/// It fades over its last minutes.
const FADE_MIN: f64 = 10.0;
/// How far around the town's spots nothing but planted cells may rain, km.
const KEPT_DRY_KM: f64 = 1.8;
/// A cell of a place that is kept dry may have to be drawn again; no need to try for ever.
const DRAWS_MAX: usize = 400;

/// A shower that has to cross the town at stated minutes.
#[derive(Debug, Clone, Copy)]
pub(in crate::demo) struct Planted {
    /// First wet minute at the town's spots, minutes of the local day.
    pub(in crate::demo) from_minute: f64,
    /// Last wet minute.
    pub(in crate::demo) to_minute: f64,
    /// Mean rate over its passage, mm/h.
    pub(in crate::demo) mean_mm_h: f64,
    /// How long before its first drop in town it is born, minutes.
    pub(in crate::demo) born_before_min: f64,
}

/// A showery day as its author tells it.
#[derive(Debug, Clone, Copy)]
pub(in crate::demo) struct ShowerPlan {
    /// Everything random comes from this.
    pub(in crate::demo) seed: u64,
    /// Where the cells come from, degrees clockwise from north.
    pub(in crate::demo) from_direction_deg: f64,
    /// How fast, km/h.
    pub(in crate::demo) speed_km_h: f64,
    /// Share of the circle of 60 km that is wet: (minute of the day, 0 to 1).
    pub(in crate::demo) wet_share: &'static [(f64, f64)],
    /// The showers that the town gets; otherwise it stays dry.
    pub(in crate::demo) planted: &'static [Planted],
    /// The middle of the spots that get them, km east and north of the town.
    pub(in crate::demo) spots_km: (f64, f64),
    /// First and last minute of the day that anybody looks at.
    pub(in crate::demo) minutes: (f64, f64),
}

/// One shower.
#[derive(Debug, Clone, Copy)]
pub(in crate::demo) struct Cell {
    /// Its middle at its birth, km east and north of the town.
    pub(in crate::demo) birth_km: (f64, f64),
    /// When it is born, minutes of the local day.
    pub(in crate::demo) born_minute: f64,
    /// How long it lives, minutes.
    pub(in crate::demo) life_min: f64,
    /// Half its width when full-grown, km.
    pub(in crate::demo) radius_km: f64,
    /// Rate in its middle when full-grown, mm/h.
    pub(in crate::demo) peak_mm_h: f64,
    /// How far from round its edge is, 0 for a circle.
    pub(in crate::demo) raggedness: f64,
    /// Which way its bulges point, radians.
    pub(in crate::demo) bulge_rad: f64,
}

/// All showers of a day.
#[derive(Debug)]
pub(in crate::demo) struct Showers {
    motion_km_min: (f64, f64),
    cells: Vec<Cell>,
}

impl Cell {
    /// 0 before birth and after death, 1 when full-grown.
    fn strength(&self, minute: f64) -> f64 {
        let age = minute - self.born_minute;
        (age / GROWTH_MIN).min((self.life_min - age) / FADE_MIN).clamp(0.0, 1.0)
    }

    fn middle_km(&self, minute: f64, motion_km_min: (f64, f64)) -> (f64, f64) {
        let age = minute - self.born_minute;
        (self.birth_km.0 + motion_km_min.0 * age, self.birth_km.1 + motion_km_min.1 * age)
    }

    /// No part of the cell is ever farther from its middle than this, km.
    fn reach_km(&self) -> f64 {
        self.radius_km * (1.0 + self.raggedness)
    }

    /// Rain at an offset from the middle, mm/h.
    ///
    /// A paraboloid that ends at [`WET_FROM_MM_H`], so that the edge is where "wet" ends; its mean
    /// along a line through the middle is two thirds of the peak.
    fn rain_rate_mm_h(&self, strength: f64, dx_km: f64, dy_km: f64) -> f64 {
        let angle = dy_km.atan2(dx_km) - self.bulge_rad;
        let bulge = 0.6 * (2.0 * angle).cos() + 0.4 * (3.0 * angle + 1.0).cos();
        let radius_km = self.radius_km * (0.4 + 0.6 * strength) * (1.0 + self.raggedness * bulge);
        let inside = 1.0 - (dx_km.powi(2) + dy_km.powi(2)) / radius_km.powi(2);
        if inside <= 0.0 {
            return 0.0;
        }
        let peak = (self.peak_mm_h * strength).max(2.0 * WET_FROM_MM_H);
        WET_FROM_MM_H + (peak - WET_FROM_MM_H) * inside
    }
}

impl Showers {
    /// Lets cells be born until each moment has its stated wet share, and plants the promised ones.
    pub(in crate::demo) fn grow(plan: &ShowerPlan) -> Self {
        let motion = motion_km_min(plan.from_direction_deg, plan.speed_km_h);
        let planted = plan.planted.iter().map(|shower| plant(plan, motion, shower));
        let mut showers = Showers { motion_km_min: motion, cells: planted.collect() };
        let mut random = ChaCha8Rng::seed_from_u64(plan.seed);
        let (first_minute, last_minute) = plan.minutes;
        let mut minute = first_minute - GROWTH_MIN;
        while minute < last_minute {
            let already_old = minute < first_minute;
            showers.bear(plan, minute, already_old, &mut random);
            minute += BIRTH_STEP_MIN;
        }
        showers
    }

    /// A sky of exactly these cells.
    #[cfg(test)]
    pub(in crate::demo) fn of(motion_km_min: (f64, f64), cells: Vec<Cell>) -> Self {
        Showers { motion_km_min, cells }
    }

    /// All cells of the day.
    #[cfg(test)]
    pub(in crate::demo) fn cells(&self) -> &[Cell] {
        &self.cells
    }

    /// Rain at a point, mm/h; where cells overlap the heavier counts.
    #[cfg(test)]
    pub(in crate::demo) fn rain_rate_mm_h(&self, minute: f64, east_km: f64, north_km: f64) -> f64 {
        self.alive(minute)
            .map(|(cell, strength)| {
                let (x, y) = cell.middle_km(minute, self.motion_km_min);
                cell.rain_rate_mm_h(strength, east_km - x, north_km - y)
            })
            .fold(0.0, f64::max)
    }

    /// Rain on a grid, mm/h.
    pub(in crate::demo) fn field_mm_h(&self, minute: f64, grid: &Grid) -> Vec<f64> {
        let mut field = vec![0.0; grid.len()];
        for (cell, strength) in self.alive(minute) {
            let (x, y) = cell.middle_km(minute, self.motion_km_min);
            let rain = |px, py| cell.rain_rate_mm_h(strength, px - x, py - y);
            grid.raise(&mut field, (x, y), cell.reach_km(), rain);
        }
        field
    }

    fn alive(&self, minute: f64) -> impl Iterator<Item = (&Cell, f64)> {
        self.cells
            .iter()
            .map(move |cell| (cell, cell.strength(minute)))
            .filter(|(_, strength)| *strength > 0.0)
    }

    /// New cells, until circle and surroundings have the share that is stated for the minute at
    /// which these cells are full-grown.
    fn bear(&mut self, plan: &ShowerPlan, minute: f64, already_old: bool, random: &mut ChaCha8Rng) {
        let grown_minute = minute + GROWTH_MIN;
        let wanted = at_knots(plan.wet_share, grown_minute);
        let mesh = Grid::square(HALF_SIZE_KM, MESH_KM);
        let mut field = self.field_mm_h(grown_minute, &mesh);
        for in_circle in [true, false] {
            let belongs = |x: f64, y: f64| (x.hypot(y) <= CIRCLE_KM) == in_circle;
            let mut share = mesh.share(&field, belongs);
            for _ in 0..DRAWS_MAX {
                if share >= wanted {
                    break;
                }
                let middle = (draw(random, HALF_SIZE_KM), draw(random, HALF_SIZE_KM));
                if !belongs(middle.0, middle.1) {
                    continue;
                }
                let cell = self.draw_cell(middle, grown_minute, already_old, random);
                if !self.spares_the_town(plan, &cell) {
                    continue;
                }
                let strength = cell.strength(grown_minute);
                let rain = |x, y| cell.rain_rate_mm_h(strength, x - middle.0, y - middle.1);
                mesh.raise(&mut field, middle, cell.reach_km(), rain);
                self.cells.push(cell);
                share = mesh.share(&field, belongs);
            }
        }
    }

    /// A cell of 4 to 8 km that lives 35 to 65 minutes and is here when full-grown.
    fn draw_cell(
        &self,
        grown_km: (f64, f64),
        grown_minute: f64,
        already_old: bool,
        random: &mut ChaCha8Rng,
    ) -> Cell {
        let life_min = random.random_range(35.0..65.0);
        let older_by_min =
            if already_old { random.random_range(0.0..life_min - 20.0) } else { 0.0 };
        let age_min = GROWTH_MIN + older_by_min;
        Cell {
            birth_km: (
                grown_km.0 - self.motion_km_min.0 * age_min,
                grown_km.1 - self.motion_km_min.1 * age_min,
            ),
            born_minute: grown_minute - age_min,
            life_min,
            radius_km: random.random_range(2.0..4.0),
            peak_mm_h: random.random_range(1.5..9.0),
            raggedness: 0.22,
            bulge_rad: random.random_range(0.0..TAU),
        }
    }

    /// Whether a cell never comes near the town's spots while it lives.
    fn spares_the_town(&self, plan: &ShowerPlan, cell: &Cell) -> bool {
        let (vx, vy) = self.motion_km_min;
        let to_spots = (plan.spots_km.0 - cell.birth_km.0, plan.spots_km.1 - cell.birth_km.1);
        let nearest_at = (to_spots.0 * vx + to_spots.1 * vy) / (vx.powi(2) + vy.powi(2)).max(1e-9);
        let age = nearest_at.clamp(0.0, cell.life_min);
        let nearest_km = (to_spots.0 - vx * age).hypot(to_spots.1 - vy * age);
        nearest_km > cell.reach_km() + KEPT_DRY_KM
    }
}

/// A round cell whose middle crosses the spots halfway through its stated minutes.
fn plant(plan: &ShowerPlan, motion_km_min: (f64, f64), shower: &Planted) -> Cell {
    let minutes = shower.to_minute - shower.from_minute;
    let born_minute = shower.from_minute - shower.born_before_min;
    let crossing_age = f64::midpoint(shower.from_minute, shower.to_minute) - born_minute;
    Cell {
        birth_km: (
            plan.spots_km.0 - motion_km_min.0 * crossing_age,
            plan.spots_km.1 - motion_km_min.1 * crossing_age,
        ),
        born_minute,
        life_min: shower.born_before_min + minutes + 2.0 * FADE_MIN,
        radius_km: plan.speed_km_h / 60.0 * minutes / 2.0,
        peak_mm_h: 1.5 * (shower.mean_mm_h - WET_FROM_MM_H) + WET_FROM_MM_H,
        raggedness: 0.0,
        bulge_rad: 0.0,
    }
}

fn draw(random: &mut ChaCha8Rng, half_size_km: f64) -> f64 {
    random.random_range(-half_size_km..half_size_km)
}
