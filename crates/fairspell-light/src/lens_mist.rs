//! Mist on the lens: cold glass in warm damp air.
//!
//! Glass below the air's dew point mists at once and clears only as it warms. A cooled car on a humid
//! evening guarantees it, so the bag has to come out, or the cooling has to stop, in time. The other
//! way round, warm glass in cold air, nothing mists.

use serde::{Deserialize, Serialize};

/// In how many minutes two thirds of the difference to the air are gone: a small lens. The trade's
/// estimate, without a measurement.
pub const SMALL_LENS_MIN: f64 = 12.0;

/// The same for a large lens.
pub const LARGE_LENS_MIN: f64 = 25.0;

/// The inside of a cooled car, °C (common practice).
pub const COOLED_CAR_C: f64 = 20.5;

/// What glass does in the air.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "mist")]
pub enum LensMist {
    /// It stays clear.
    Clear,
    /// It mists.
    Mists {
        /// After so many minutes in the open it is clear again; `None` in air so damp that it stays.
        clear_after_min: Option<f64>,
    },
}

/// The temperature at which the air's water condenses, °C.
///
/// - `air_temperature_c`: between -45 and 60 °C.
/// - `relative_humidity`: 0..=1.
///
/// `None` outside these, and for air without water.
///
/// # Examples
///
/// ```
/// use fairspell_light::dew_point_c;
///
/// // A humid evening: 28 °C and 75 %.
/// let dew_c = dew_point_c(28.0, 0.75).expect("within the formula's range");
/// assert_eq!((dew_c * 10.0).round(), 232.0);
/// ```
///
/// # Source
///
/// WMO Guide to Instruments and Methods of Observation (WMO-No. 8), Annex 4.B: saturation over water
/// 6.112 exp(17.62 t/(243.12 + t)) hPa, -45 to 60 °C, solved for the dew point (from memory).
pub fn dew_point_c(air_temperature_c: f64, relative_humidity: f64) -> Option<f64> {
    let is_sound = (-45.0..=60.0).contains(&air_temperature_c)
        && relative_humidity > 0.0
        && relative_humidity <= 1.0;
    let exponent = 17.62 * air_temperature_c / (243.12 + air_temperature_c);
    let gamma = relative_humidity.ln() + exponent;
    is_sound.then(|| 243.12 * gamma / (17.62 - gamma))
}

/// Whether glass mists when it comes into the open, and for how long.
///
/// - `air_temperature_c`, `dew_point_c`: outside.
/// - `glass_c`: of the glass when it comes out.
/// - `time_constant_min`: [`SMALL_LENS_MIN`], [`LARGE_LENS_MIN`], or your own.
///
/// # Examples
///
/// ```
/// use fairspell_light::{LARGE_LENS_MIN, LensMist, lens_mist};
///
/// // Out of a car at 20 °C into 29 °C and 80 %: a large lens takes over twenty minutes.
/// let mist = lens_mist(29.0, 25.2, 20.0, LARGE_LENS_MIN);
/// let LensMist::Mists { clear_after_min: Some(minutes) } = mist else { panic!("it mists") };
/// assert_eq!(minutes.round(), 22.0);
/// ```
///
/// # Source
///
/// Newton's law of cooling: T(t) = Ta + (T0 - Ta) e^(-t/τ).
pub fn lens_mist(
    air_temperature_c: f64,
    dew_point_c: f64,
    glass_c: f64,
    time_constant_min: f64,
) -> LensMist {
    if glass_c > dew_point_c {
        return LensMist::Clear;
    }
    let ratio = (air_temperature_c - glass_c) / (air_temperature_c - dew_point_c);
    let clear_after_min = Some(time_constant_min * ratio.ln());
    let can_clear = air_temperature_c > dew_point_c;
    LensMist::Mists { clear_after_min: clear_after_min.filter(|min| can_clear && min.is_finite()) }
}
