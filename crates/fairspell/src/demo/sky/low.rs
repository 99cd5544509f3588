//! The steady rain of a coastal low: everywhere, for days, a little harder here and there.

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

use super::{WET_FROM_MM_H, at_knots, motion_km_min};

/// The unevenness is noise on lattices of these widths, km, with these weights. Sums of waves were
/// tried first: they repeat themselves, and a repeating field can be matched at a wrong shift.
const OCTAVES: [(f64, f64); 3] = [(26.0, 0.6), (11.0, 0.6), (5.0, 0.5)];
/// How far the logarithm of the rate swings from place to place.
const UNEVENNESS: f64 = 0.7;
/// Lattice points along each side; after so many the noise repeats, beyond the radar's reach.
const LATTICE: usize = 128;

/// Widespread rain with a slowly moving unevenness.
#[derive(Debug)]
pub(in crate::demo) struct SteadyLow {
    motion_km_min: (f64, f64),
    rate_mm_h: &'static [(f64, f64)],
    /// Values from -1 to 1 on a square lattice, row after row.
    lattice: Vec<f64>,
}

impl SteadyLow {
    /// A low whose rain comes from a direction at a speed and falls at these rates:
    /// (minute of the local day, mm/h).
    pub(in crate::demo) fn new(
        seed: u64,
        from_direction_deg: f64,
        speed_km_h: f64,
        rate_mm_h: &'static [(f64, f64)],
    ) -> Self {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let lattice = (0..LATTICE * LATTICE).map(|_| random.random_range(-1.0..1.0)).collect();
        let motion_km_min = motion_km_min(from_direction_deg, speed_km_h);
        SteadyLow { motion_km_min, rate_mm_h, lattice }
    }

    /// Rain at a point, mm/h.
    pub(in crate::demo) fn rain_rate_mm_h(&self, minute: f64, east_km: f64, north_km: f64) -> f64 {
        let x = east_km - self.motion_km_min.0 * minute;
        let y = north_km - self.motion_km_min.1 * minute;
        let noise: f64 = OCTAVES
            .iter()
            .map(|(width_km, weight)| weight * self.noise(x / width_km, y / width_km))
            .sum();
        let rate = at_knots(self.rate_mm_h, minute) * (UNEVENNESS * noise).exp();
        if rate < WET_FROM_MM_H { 0.0 } else { rate }
    }

    /// Smooth noise from -1 to 1, in units of the lattice.
    fn noise(&self, x: f64, y: f64) -> f64 {
        let (column, along) = cell(x);
        let (row, up) = cell(y);
        let at =
            |row: usize, column: usize| self.lattice[row % LATTICE * LATTICE + column % LATTICE];
        let lower = mix(at(row, column), at(row, column + 1), along);
        let upper = mix(at(row + 1, column), at(row + 1, column + 1), along);
        mix(lower, upper, up)
    }
}

/// The lattice line below a coordinate, and how far the coordinate lies beyond it, eased.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the remainder is from 0 to the lattice's side"
)]
fn cell(coordinate: f64) -> (usize, f64) {
    let wrapped = coordinate.rem_euclid(LATTICE as f64);
    let beyond = wrapped.fract();
    (wrapped as usize, beyond * beyond * (3.0 - 2.0 * beyond))
}

fn mix(a: f64, b: f64, share: f64) -> f64 {
    a + (b - a) * share
}
