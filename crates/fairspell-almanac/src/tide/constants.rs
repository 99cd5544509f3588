//! Harmonic constants as they are published and kept: the layout of the file.

use serde::{Deserialize, Serialize};

use super::{constituents::Constituent, error::TideError};

/// The largest amplitude taken for real, m. The strongest single wave known anywhere, M2 in the Bay
/// of Fundy, has about six.
pub const AMPLITUDE_MAX_M: f64 = 10.0;

/// The largest mean level taken for real, m either way.
pub(crate) const LEVEL_MAX_M: f64 = 100.0;

/// The harmonic constants of one place, as a tide service publishes them.
///
/// The height at a moment is `mean_level_m` plus, for each constituent,
/// `f * amplitude_m * cos(V + u - phase_lag_deg)`, where `V` is the constituent's argument in
/// Greenwich and `f` and `u` follow the moon's orbit, or are left out.
///
/// # Examples
///
/// ```
/// use fairspell_almanac::tide::{HarmonicConstants, HarmonicTide};
///
/// let constants: HarmonicConstants = serde_json::from_str(r#"{
///     "name": "Harbour steps",
///     "datum": "lowest tide of the charts",
///     "mean_level_m": 1.0,
///     "phase_zone": "utc",
///     "nodal": "standard",
///     "constituents": [
///         { "name": "M2", "amplitude_m": 0.48, "phase_lag_deg": 300.0 },
///         { "name": "K1", "amplitude_m": 0.15, "phase_lag_deg": 115.0 }
///     ]
/// }"#)?;
/// assert_eq!(HarmonicTide::new(&constants)?.name(), "Harbour steps");
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HarmonicConstants {
    /// The place.
    pub name: String,
    /// The level that heights count from, in words.
    #[serde(default)]
    pub datum: String,
    /// Mean level above that, m.
    pub mean_level_m: f64,
    /// The clock that the phase lags refer to: `utc`, or an offset such as `+10:00`, which must not
    /// change with the season. Lags for another clock, used as they are, shift every tide by
    /// that many hours.
    pub phase_zone: String,
    /// Whether amplitudes and lags follow the moon's 18.6 years.
    pub nodal: NodalCorrection,
    /// The waves.
    pub constituents: Vec<ConstituentConstants>,
}

/// What is done about the 18.6 years in which the moon's orbit swings.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum NodalCorrection {
    /// Nothing: for constants fitted without it.
    None,
    /// The usual factors and shifts: for constants as tide services publish them.
    Standard,
}

/// Amplitude and phase lag of one wave.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ConstituentConstants {
    /// One of the 37 names of the US service: M2, S2, N2, K1, M4, O1, M6, MK3, S4, MN4, NU2, S6,
    /// MU2, 2N2, OO1, LAM2, S1, M1, J1, MM, SSA, SA, MSF, MF, RHO, Q1, T2, R2, 2Q1, P1, 2SM2, M3,
    /// L2, 2MK3, K2, M8, MS4.
    pub name: String,
    /// Half its range, m.
    pub amplitude_m: f64,
    /// How far high water lags behind the argument, degrees, by the clock of `phase_zone`.
    pub phase_lag_deg: f64,
}

/// One wave of a place.
#[derive(Debug, Clone)]
pub(crate) struct Wave {
    pub(crate) constituent: &'static Constituent,
    pub(crate) amplitude_m: f64,
    /// By Greenwich time.
    pub(crate) phase_lag_deg: f64,
}

impl HarmonicConstants {
    /// The waves, if all is well with them, phase lags turned to Greenwich time.
    pub(crate) fn checked(&self) -> Result<Vec<Wave>, TideError> {
        if self.name.trim().is_empty() {
            return Err(TideError::MissingName);
        }
        if self.datum.trim().is_empty() {
            return Err(TideError::MissingDatum(self.name.clone()));
        }
        if !is_level(self.mean_level_m) {
            return Err(TideError::MeanLevel(self.mean_level_m));
        }
        let Some(offset_h) = offset_h(&self.phase_zone) else {
            return Err(TideError::PhaseZone(self.phase_zone.clone()));
        };
        if self.constituents.is_empty() {
            return Err(TideError::NoConstituents);
        }
        let mut waves: Vec<Wave> = Vec::new();
        for ConstituentConstants { name, amplitude_m, phase_lag_deg } in &self.constituents {
            let (name, amplitude_m, phase_lag_deg) = (name.clone(), *amplitude_m, *phase_lag_deg);
            let Some(constituent) = Constituent::named(&name) else {
                return Err(TideError::UnknownConstituent(name));
            };
            if waves.iter().any(|wave| wave.constituent.name == constituent.name) {
                return Err(TideError::RepeatedConstituent(name));
            }
            if !(0.0..=AMPLITUDE_MAX_M).contains(&amplitude_m) {
                return Err(TideError::Amplitude { name, amplitude_m });
            }
            if !(-360.0..=360.0).contains(&phase_lag_deg) {
                return Err(TideError::PhaseLag { name, phase_lag_deg });
            }
            // A lag by a local clock counts from the argument that Greenwich has when its own clock
            // shows the same time.
            let phase_lag_deg = phase_lag_deg - constituent.speed_deg_h() * offset_h;
            waves.push(Wave { constituent, amplitude_m, phase_lag_deg });
        }
        Ok(waves)
    }
}

pub(crate) fn is_level(height_m: f64) -> bool {
    (-LEVEL_MAX_M..=LEVEL_MAX_M).contains(&height_m)
}

/// Hours ahead of Greenwich.
fn offset_h(phase_zone: &str) -> Option<f64> {
    let zone = phase_zone.trim();
    if zone.eq_ignore_ascii_case("utc") {
        return Some(0.0);
    }
    let (sign, clock) = match zone.split_at_checked(1)? {
        ("+", clock) => (1, clock),
        ("-", clock) => (-1, clock),
        _ => return None,
    };
    let (hours, minutes) = clock.split_once(':')?;
    let two_digits = |text: &str| {
        let digits = text.len() == 2 && text.bytes().all(|byte| byte.is_ascii_digit());
        if digits { text.parse::<i32>().ok() } else { None }
    };
    let minutes = two_digits(minutes).filter(|minutes| *minutes < 60)?;
    let seconds = sign * (two_digits(hours)? * 3600 + minutes * 60);
    (seconds.abs() <= 14 * 3600).then_some(f64::from(seconds) / 3600.0)
}
