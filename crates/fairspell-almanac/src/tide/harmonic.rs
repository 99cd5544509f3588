//! The tide as a sum of waves: its height and rate at a moment and at many, its turning points.

use std::f64::consts::{PI, TAU};

use super::{
    HighOrLow, TideKind,
    astronomy::{DAY_MS, MeanLongitudes},
    constants::{HarmonicConstants, NodalCorrection, Wave},
    error::TideError,
    nodal::{FactorAndShift, LunarOrbit},
};
use crate::search::at_ms;

const HOUR_MS: f64 = 3_600_000.0;

/// How often to look for turning points. Two that are closer than this differ by no more than the
/// fastest wave, of three hours, can move between them: about a hundredth of its amplitude.
const TURN_STEP_MS: i64 = 5 * 60_000;

/// The tide of one place from harmonic constants.
///
/// Astronomy, factors and shifts are exact at each midnight in Greenwich; in between every wave
/// runs evenly. Against working them out at every moment this is off by less than a thousandth of a
/// millimetre, and it makes heights, rates and turning points parts of one smooth curve.
///
/// # Source
///
/// Schureman, "Manual of harmonic analysis and prediction of tides", US Coast and Geodetic Survey,
/// Special Publication 98 (1940, reprinted 1958); formulas from memory, checked against a library
/// that builds on other sources (Foreman 1977).
#[derive(Debug, Clone)]
pub struct HarmonicTide {
    name: String,
    datum: String,
    mean_level_m: f64,
    nodal: NodalCorrection,
    waves: Vec<Wave>,
}

impl HarmonicTide {
    /// Checks the constants and makes them ready.
    ///
    /// # Errors
    ///
    /// [`TideError`] names what is missing, unknown, given twice or absurd; correct it in the file.
    pub fn new(constants: &HarmonicConstants) -> Result<Self, TideError> {
        Ok(HarmonicTide {
            waves: constants.checked()?,
            name: constants.name.clone(),
            datum: constants.datum.clone(),
            mean_level_m: constants.mean_level_m,
            nodal: constants.nodal,
        })
    }

    /// The place.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The level that heights count from, in words.
    pub fn datum(&self) -> &str {
        &self.datum
    }

    /// How strong every wave is at a moment, and where it stands.
    fn state(&self, ms: i64) -> Vec<WaveState> {
        let longitudes = MeanLongitudes::at(ms);
        let orbit = LunarOrbit::of(&longitudes);
        let state = |wave: &Wave| {
            let argument_deg = wave.constituent.argument_deg(&longitudes) - wave.phase_lag_deg;
            let nodal = match self.nodal {
                NodalCorrection::None => FactorAndShift::NONE,
                NodalCorrection::Standard => wave.constituent.factor_and_shift(&orbit),
            };
            let phase_rad = (argument_deg + nodal.u_deg).to_radians();
            WaveState { amplitude_m: wave.amplitude_m * nodal.f, phase_rad }
        };
        self.waves.iter().map(state).collect()
    }

    /// The curve of the day in Greenwich that holds a moment.
    pub(crate) fn day(&self, ms: i64) -> TideDay {
        let start_ms = ms.div_euclid(DAY_MS) * DAY_MS;
        let (start, end) = (self.state(start_ms), self.state(start_ms + DAY_MS));
        self.day_between(start_ms, &start, &end)
    }

    /// The curves of the days from the one that holds a moment.
    fn days_from(&self, ms: i64) -> impl Iterator<Item = TideDay> {
        let first_ms = ms.div_euclid(DAY_MS) * DAY_MS;
        let mut start = self.state(first_ms);
        (0_i64..).map(move |days| {
            let start_ms = first_ms + days * DAY_MS;
            let end = self.state(start_ms + DAY_MS);
            let day = self.day_between(start_ms, &start, &end);
            start = end;
            day
        })
    }

    fn day_between(&self, start_ms: i64, start: &[WaveState], end: &[WaveState]) -> TideDay {
        let during = |((wave, start), end): ((&Wave, &WaveState), &WaveState)| {
            // How far it gets is known but for whole turns; its speed tells how many.
            let roughly = wave.constituent.speed_deg_h().to_radians() * 24.0;
            let more = (end.phase_rad - start.phase_rad - roughly + PI).rem_euclid(TAU) - PI;
            DayWave {
                amplitude_m: start.amplitude_m,
                growth_m_h: (end.amplitude_m - start.amplitude_m) / 24.0,
                phase_rad: start.phase_rad,
                speed_rad_h: (roughly + more) / 24.0,
            }
        };
        let waves = self.waves.iter().zip(start).zip(end).map(during).collect();
        TideDay { start_ms, mean_level_m: self.mean_level_m, waves }
    }

    /// Heights from a moment on, `step_ms` apart.
    pub(crate) fn heights_m(&self, from_ms: i64, step_ms: i64, count: usize) -> Vec<f64> {
        let mut heights_m = Vec::with_capacity(count);
        if step_ms == 0 {
            heights_m.resize(count, self.day(from_ms).height_m(from_ms));
            return heights_m;
        }
        let mut next_ms = from_ms;
        for day in self.days_from(from_ms) {
            if heights_m.len() >= count {
                break;
            }
            let left_ms = day.start_ms + DAY_MS - next_ms;
            if left_ms > 0 {
                let steps = usize::try_from((left_ms + step_ms - 1) / step_ms).unwrap_or(count);
                let steps = steps.min(count - heights_m.len());
                day.append_heights(next_ms, step_ms, steps, &mut heights_m);
                next_ms += step_ms * i64::try_from(steps).unwrap_or(i64::MAX / DAY_MS);
            }
        }
        heights_m
    }

    /// The turning points after `from_ms`, up to `to_ms`.
    pub(crate) fn extremes(&self, from_ms: i64, to_ms: i64) -> Vec<HighOrLow> {
        let mut extremes = Vec::new();
        let mut rising = None;
        let mut turn = |day: &TideDay, ms: i64, was_rising: bool| {
            let kind = if was_rising { TideKind::High } else { TideKind::Low };
            let time = at_ms((ms + 500).div_euclid(1000) * 1000);
            extremes.push(HighOrLow { time, height_m: day.height_m(ms), kind });
        };
        for day in self.days_from(from_ms) {
            if day.start_ms > to_ms {
                break;
            }
            let end_ms = (day.start_ms + DAY_MS).min(to_ms);
            let mut before_ms = day.start_ms.max(from_ms);
            let mut was_rising = day.rate_m_h(before_ms) > 0.0;
            if rising.is_some_and(|rising| rising != was_rising) {
                // Exactly at midnight, where one day's curve hands over to the next.
                turn(&day, before_ms, !was_rising);
            }
            while before_ms < end_ms {
                let after_ms =
                    ((before_ms.div_euclid(TURN_STEP_MS) + 1) * TURN_STEP_MS).min(end_ms);
                let is_rising = day.rate_m_h(after_ms) > 0.0;
                if is_rising != was_rising {
                    let at = day.turning_point(before_ms, after_ms, was_rising);
                    turn(&day, at, was_rising);
                }
                (before_ms, was_rising) = (after_ms, is_rising);
            }
            rising = Some(was_rising);
        }
        extremes
    }
}

/// One wave at one moment.
#[derive(Debug, Clone, Copy)]
struct WaveState {
    amplitude_m: f64,
    phase_rad: f64,
}

/// One wave during one day.
#[derive(Debug, Clone, Copy)]
struct DayWave {
    amplitude_m: f64,
    growth_m_h: f64,
    phase_rad: f64,
    speed_rad_h: f64,
}

/// The tide's curve during one day in Greenwich.
#[derive(Debug, Clone)]
pub(crate) struct TideDay {
    start_ms: i64,
    mean_level_m: f64,
    waves: Vec<DayWave>,
}

impl TideDay {
    /// Height at a moment of that day, m.
    pub(crate) fn height_m(&self, ms: i64) -> f64 {
        let hours = self.hours(ms);
        let height = |wave: &DayWave| {
            (wave.amplitude_m + wave.growth_m_h * hours)
                * (wave.phase_rad + wave.speed_rad_h * hours).cos()
        };
        self.mean_level_m + self.waves.iter().map(height).sum::<f64>()
    }

    /// How fast the water rises, m an hour.
    pub(crate) fn rate_m_h(&self, ms: i64) -> f64 {
        let hours = self.hours(ms);
        let rate = |wave: &DayWave| {
            let amplitude_m = wave.amplitude_m + wave.growth_m_h * hours;
            let (sin, cos) = (wave.phase_rad + wave.speed_rad_h * hours).sin_cos();
            wave.growth_m_h * cos - amplitude_m * wave.speed_rad_h * sin
        };
        self.waves.iter().map(rate).sum()
    }

    fn hours(&self, ms: i64) -> f64 {
        (ms - self.start_ms) as f64 / HOUR_MS
    }

    /// Where the rate changes its sign between two moments, to a twentieth of a second.
    fn turning_point(&self, mut low_ms: i64, mut high_ms: i64, rising: bool) -> i64 {
        while high_ms - low_ms > 50 {
            let middle_ms = i64::midpoint(low_ms, high_ms);
            if (self.rate_m_h(middle_ms) > 0.0) == rising {
                low_ms = middle_ms;
            } else {
                high_ms = middle_ms;
            }
        }
        i64::midpoint(low_ms, high_ms)
    }

    /// Heights by turning every wave on by the same small angle, instead of a cosine for each.
    fn append_heights(&self, from_ms: i64, step_ms: i64, count: usize, heights_m: &mut Vec<f64>) {
        let hours = self.hours(from_ms);
        let step_h = step_ms as f64 / HOUR_MS;
        let mut turning: Vec<TurningWave> = self
            .waves
            .iter()
            .map(|wave| {
                let (sin, cos) = (wave.phase_rad + wave.speed_rad_h * hours).sin_cos();
                let (step_sin, step_cos) = (wave.speed_rad_h * step_h).sin_cos();
                let amplitude_m = wave.amplitude_m + wave.growth_m_h * hours;
                let growth_m = wave.growth_m_h * step_h;
                TurningWave { sin, cos, step_sin, step_cos, amplitude_m, growth_m }
            })
            .collect();
        for _ in 0..count {
            let mut height_m = self.mean_level_m;
            for wave in &mut turning {
                height_m += wave.amplitude_m * wave.cos;
                wave.amplitude_m += wave.growth_m;
                let cos = wave.cos * wave.step_cos - wave.sin * wave.step_sin;
                wave.sin = wave.sin * wave.step_cos + wave.cos * wave.step_sin;
                wave.cos = cos;
            }
            heights_m.push(height_m);
        }
    }
}

struct TurningWave {
    sin: f64,
    cos: f64,
    step_sin: f64,
    step_cos: f64,
    amplitude_m: f64,
    growth_m: f64,
}
