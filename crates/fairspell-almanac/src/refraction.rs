//! How far the air lifts the sun and the moon.

/// Below this true elevation of its centre the sun's whole disc has set, degrees, and the formula
/// is used no longer.
const SET_DEG: f64 = -(0.26667 + 0.5667);

/// Air as it is taken to be where nobody measured it: 1013.25 hPa and 15 °C.
pub const STANDARD_AIR: Air = Air { pressure_hpa: 1013.25, air_temperature_c: 15.0 };

/// The air between the eye and the sky, as far as it bends light.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Air {
    /// Pressure at the place itself, hPa; not reduced to sea level.
    pub pressure_hpa: f64,
    /// Its temperature, °C.
    pub air_temperature_c: f64,
}

/// By how much refraction lifts what stands at a true elevation, degrees.
///
/// - `elevation_deg`: true elevation, without refraction.
///
/// Zero below -0.83337°, where the sun's disc has set: what is seen there nobody needs. At the
/// horizon the real air may differ by a tenth of a degree and more on any evening.
///
/// # Examples
///
/// ```
/// use fairspell_almanac::refraction::{STANDARD_AIR, refraction_deg};
///
/// // A sun half sunk behind the sea is, without the air, all below it.
/// assert!(-0.5 + refraction_deg(-0.5, STANDARD_AIR) > 0.0);
/// // High up it hardly matters.
/// assert!(refraction_deg(45.0, STANDARD_AIR) < 0.02);
/// ```
///
/// # Source
///
/// "Solar position algorithm for solar radiation applications", NREL/TP-560-34302, equation 42.
pub fn refraction_deg(elevation_deg: f64, air: Air) -> f64 {
    if elevation_deg < SET_DEG {
        return 0.0;
    }
    let Air { pressure_hpa, air_temperature_c } = air;
    let density = pressure_hpa / 1010.0 * 283.0 / (273.0 + air_temperature_c);
    let angle_deg = elevation_deg + 10.3 / (elevation_deg + 5.11);
    density * 1.02 / (60.0 * angle_deg.to_radians().tan())
}
