//! Chances and best estimates of a coming moment, for every cell of the newest picture's grid; and
//! chances for many places at once, to be drawn.

use fairspell_chance::Probability;
use fairspell_ground::LatLon;
use jiff::Timestamp;
use ndarray::Array2;
use rayon::prelude::*;

use crate::advect::Position;
use crate::narrow::{cell_at, single, whole};
use crate::nowcast::{HORIZON_MIN, Nowcast};
use crate::smooth::{KnownGaussian, Width};
use crate::thinned::Thinning;

/// How far around the place where the air comes from is looked: at once, km, and a minute ahead, km.
const WIDTH_KM: f64 = 1.0;
const WIDTH_KM_PER_MIN: f64 = 0.2;

/// The longest step along a way back, minutes.
const WAY_STEP_MAX_MIN: f64 = 15.0;

impl Nowcast {
    /// Chances of rain at any moment of a window, of many places, in their order.
    ///
    /// Those of [`Spot::p_rain`](crate::Spot::p_rain), worked out side by side; `None` where that
    /// says nothing, and where [`at`](Self::at) has no answer.
    pub fn p_rain_of(
        &self,
        places: &[LatLon],
        from: Timestamp,
        to: Timestamp,
    ) -> Vec<Option<Probability>> {
        places.par_iter().map(|place| self.at(*place).ok()?.p_rain(from, to)).collect()
    }

    /// Chances of at least some rain rates at a coming moment, of many places.
    ///
    /// For coming pictures that are drawn coarser than they were measured: the same share of the
    /// neighbourhood as [`exceedance_at`](Self::exceedance_at) at a fraction of its cost, counted
    /// where the air comes from instead of where it arrives, and followed along the same ways back
    /// as those of [`at`](Self::at).
    ///
    /// - `minutes_ahead`: from the newest picture, not from the moment asked for.
    /// - `thresholds_mm_h`: rain rates, mm/h, above 0.
    ///
    /// For each threshold a chance of 0 to 1 for each place, NaN where what arrives has not been
    /// measured. `None` outside 0 to [`HORIZON_MIN`], for a threshold that is not a number above 0,
    /// and when it cannot be told where the rain goes: show no coming picture then.
    pub fn exceedances_of<const THRESHOLDS: usize>(
        &self,
        places: &[LatLon],
        minutes_ahead: f64,
        thresholds_mm_h: [f64; THRESHOLDS],
    ) -> Option<[Vec<f32>; THRESHOLDS]> {
        let carrier = self.carrier.as_ref()?;
        let is_rate = |threshold: &f64| threshold.is_finite() && *threshold > 0.0;
        if !(0.0..=HORIZON_MIN).contains(&minutes_ahead) || !thresholds_mm_h.iter().all(is_rate) {
            return None;
        }
        let newest = self.newest();
        let rate = &newest.rain_rate_mm_h;
        let (rows, columns) = rate.dim();
        let steps = (minutes_ahead / WAY_STEP_MAX_MIN).ceil().max(1.0);
        let origin = |place: &LatLon| {
            let (row, column) = newest.grid.position_of(*place)?;
            let here = Position { row, column };
            let origin = carrier.origins_of(here, minutes_ahead / steps).nth(whole(steps))?;
            let cell = [cell_at(origin.row, rows)?, cell_at(origin.column, columns)?];
            (!rate[cell].is_nan()).then_some(origin)
        };
        let origins: Vec<Option<Position>> = places.par_iter().map(origin).collect();
        let sigma_km = WIDTH_KM + WIDTH_KM_PER_MIN * minutes_ahead;
        let width = Width { rows: sigma_km / self.cell_km.0, columns: sigma_km / self.cell_km.1 };
        let known = rate.mapv(|rate| f32::from(u8::from(!rate.is_nan())));
        let around = Thinning::new(&known, width);
        Some(thresholds_mm_h.map(|threshold_mm_h| {
            let least = single(threshold_mm_h);
            let above = rate.mapv(|rate| f32::from(u8::from(rate >= least)));
            let share = around.mean(&above, f32::NAN);
            let chance = |origin: &Option<Position>| {
                origin.map_or(f32::NAN, |origin| single(share.at(origin)).clamp(0.0, 1.0))
            };
            origins.iter().map(chance).collect()
        }))
    }

    /// Chance of at least some rain rate at a coming moment, for every cell of the newest picture.
    ///
    /// - `minutes_ahead`: from the newest picture, not from the moment asked for.
    /// - `threshold_mm_h`: rain rate, mm/h; 0.1 is what counts as wet.
    ///
    /// Values of 0 to 1, NaN where what arrives has not been measured. `None` outside 0 to
    /// [`HORIZON_MIN`], and for a threshold that is not a number above 0: zero is reached by any sky.
    ///
    /// # Examples
    ///
    /// ```
    /// use fairspell_ground::Projection;
    /// use fairspell_nowcast::{Grid, Nowcast, RainField};
    /// use jiff::{SignedDuration, Timestamp};
    /// use ndarray::Array2;
    ///
    /// let grid = Grid {
    ///     projection: Projection::from_proj_string("+proj=laea +lat_0=-31.7 +lon_0=152.8")?,
    ///     x_first: -63_500.0,
    ///     y_first: 63_500.0,
    ///     x_step: 1000.0,
    ///     y_step: 1000.0,
    ///     rows: 128,
    ///     columns: 128,
    /// };
    /// let issued: Timestamp = "2026-09-03T04:00:00Z".parse()?;
    /// let dry = [10, 5, 0].map(|age_min| RainField {
    ///     valid_time: issued - SignedDuration::from_mins(age_min),
    ///     grid: grid.clone(),
    ///     rain_rate_mm_h: Array2::zeros((128, 128)),
    /// });
    /// let nowcast = Nowcast::from_fields(dry.to_vec(), issued)?.value;
    /// let wet = nowcast.exceedance_at(30.0, 0.1).expect("half an hour ahead");
    /// assert!(wet[[64, 64]] < 0.1, "a dry sky under the radar's eye");
    /// assert!(nowcast.exceedance_at(1440.0, 0.1).is_none(), "nothing is said of tomorrow");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Source
    ///
    /// Share of a neighbourhood that widens by 0.2 km a minute, along the motion: U. Germann and
    /// I. Zawadzki, J. Appl. Meteor. 43 (2004), 74.
    pub fn exceedance_at(&self, minutes_ahead: f64, threshold_mm_h: f64) -> Option<Array2<f32>> {
        if !(threshold_mm_h.is_finite() && threshold_mm_h > 0.0) {
            return None;
        }
        let carried = self.carried(minutes_ahead)?;
        let sigma_km = WIDTH_KM + WIDTH_KM_PER_MIN * minutes_ahead;
        let width = Width { rows: sigma_km / self.cell_km.0, columns: sigma_km / self.cell_km.1 };
        let known = carried.mapv(|rate| f32::from(u8::from(!rate.is_nan())));
        let least = single(threshold_mm_h);
        let above = carried.mapv(|rate| f32::from(u8::from(rate >= least)));
        let mut chance = KnownGaussian::new(&known, width).mean(&above, f32::NAN);
        chance.zip_mut_with(&carried, |chance, rate| {
            *chance = if rate.is_nan() { f32::NAN } else { chance.clamp(0.0, 1.0) };
        });
        Some(chance)
    }

    /// The single most likely picture of a coming moment, mm/h.
    ///
    /// - `minutes_ahead`: from the newest picture, not from the moment asked for.
    ///
    /// NaN where what arrives has not been measured. `None` outside 0 to [`HORIZON_MIN`], and when
    /// there is rain and it cannot be told where it goes.
    ///
    /// # Source
    ///
    /// Semi-Lagrangian persistence, as for [`from_fields`](Self::from_fields).
    pub fn best_rate_at(&self, minutes_ahead: f64) -> Option<Array2<f32>> {
        self.carrier.as_ref().and_then(|_| self.carried(minutes_ahead))
    }

    /// The newest picture carried forward; as it is when it cannot be told where it goes.
    fn carried(&self, minutes_ahead: f64) -> Option<Array2<f32>> {
        let rate = &self.newest().rain_rate_mm_h;
        (0.0..=HORIZON_MIN).contains(&minutes_ahead).then(|| match &self.carrier {
            Some(carrier) => carrier.near.carry_for_show(rate, minutes_ahead),
            None => rate.clone(),
        })
    }
}
