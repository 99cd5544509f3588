//! How warm or cool the light is.

use serde::{Deserialize, Serialize};

use crate::{CieSky, PlaneLight};

/// The colour temperatures that a light may have.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ColourTemperatureRange {
    /// The warmest, kelvin.
    pub low_k: f64,
    /// The coolest, kelvin.
    pub high_k: f64,
}

/// A clear sky at one elevation of the sun.
struct ClearSky {
    elevation_deg: f64,
    /// The sun's light in hazy and in clean air, kelvin.
    sun_k: [f64; 2],
    /// The sky's light in both, kelvin.
    sky_k: [f64; 2],
    /// What haze leaves of the clean air's direct light, and what it makes of the sky's.
    haze: [f64; 2],
}

const fn row(elevation_deg: f64, sun_k: [f64; 2], sky_k: [f64; 2], haze: [f64; 2]) -> ClearSky {
    ClearSky { elevation_deg, sun_k, sky_k, haze }
}

const CLEAR: [ClearSky; 10] = [
    row(-4.0, [1889.0, 2424.0], [8000.0, 20_000.0], [0.077, 0.880]),
    row(3.0, [1889.0, 2424.0], [9347.0, 10_665.0], [0.077, 0.880]),
    row(5.0, [2433.0, 2998.0], [8302.0, 10_459.0], [0.170, 0.999]),
    row(7.0, [2857.0, 3415.0], [7635.0, 10_282.0], [0.262, 1.111]),
    row(10.0, [3330.0, 3856.0], [7242.0, 10_228.0], [0.377, 1.257]),
    row(15.0, [3852.0, 4321.0], [7199.0, 10_394.0], [0.512, 1.438]),
    row(20.0, [4193.0, 4612.0], [7349.0, 10_626.0], [0.600, 1.562]),
    row(30.0, [4608.0, 4953.0], [7688.0, 11_035.0], [0.703, 1.713]),
    row(40.0, [4845.0, 5142.0], [7955.0, 11_341.0], [0.760, 1.794]),
    row(60.0, [5086.0, 5328.0], [8286.0, 11_730.0], [0.815, 1.869]),
];

/// A closed sky's light, kelvin.
const OVERCAST_K: [f64; 2] = [6000.0, 7500.0];

/// The colour temperature of the light on a surface, as a range from hazy to clean air.
///
/// It says why the shaded cheek is blue at sunset: the sun has 2400 K then and the sky 10 000, and
/// no white balance is right for both. Set it for the face.
///
/// - `sun_elevation_deg`: true elevation of the sun's centre, degrees.
/// - `light`: how much comes from the sun and how much from the sky, in clean air, as everywhere in
///   this crate; haze takes of the sun and adds to the sky. What ground and walls reflect
///   is taken as of the same mixture; brick, grass and leaves tint it in ways that no figure here
///   knows.
/// - `sky`: the type of sky: 1 to 6 and 16 count as closed, 7 to 10 as broken, the rest as clear.
///
/// `None` without light. Below 3 degrees the sun's own figure is that of 3; the sky's in twilight
/// widens to 8000 to 20 000 K, of which only the lower end has a source.
///
/// # Examples
///
/// ```
/// use fairspell_light::{CieSky, PlaneLight, colour_temperature_k};
///
/// // Open shade at ten degrees of sun: sky alone, cool.
/// let shade = PlaneLight { sky_lx: 3000.0, ..PlaneLight::default() };
/// let range = colour_temperature_k(10.0, &shade, CieSky::CLEAR).expect("there is light");
/// assert_eq!((range.low_k, range.high_k), (7242.0, 10_228.0));
/// ```
///
/// # Source
///
/// Clear skies: "Simple solar spectral model for direct and diffuse irradiance", J. Climate Appl.
/// Meteorology 25 (1986), 87-97, computed with aerosol 0.3 (hazy) and 0.1 (clean) and weighed by
/// the CIE 1931 observer. Overcast: photographers' guides. Mixed light is averaged in mireds
/// weighed by lux: our choice, within 10 % of what the same model
/// has for sun and sky together.
pub fn colour_temperature_k(
    sun_elevation_deg: f64,
    light: &PlaneLight,
    sky: CieSky,
) -> Option<ColourTemperatureRange> {
    let sun_and_sky_lx = light.direct_lx + light.sky_lx;
    if !(sun_and_sky_lx > 0.0 && sun_elevation_deg.is_finite()) {
        return None;
    }
    let clear = ClearSky::at(sun_elevation_deg);
    let sky_k = match sky.number() {
        1..=6 | 16 => OVERCAST_K,
        7..=10 => [OVERCAST_K[0], clear.sky_k[1]],
        _ => clear.sky_k,
    };
    let mix = |air: usize, [sun_left, sky_left]: [f64; 2]| {
        let (sun_lx, sky_lx) = (light.direct_lx * sun_left, light.sky_lx * sky_left);
        (sun_lx + sky_lx) / (sun_lx / clear.sun_k[air] + sky_lx / sky_k[air])
    };
    let (hazy_k, clean_k) = (mix(0, clear.haze), mix(1, [1.0; 2]));
    Some(ColourTemperatureRange { low_k: hazy_k.min(clean_k), high_k: hazy_k.max(clean_k) })
}

impl ClearSky {
    /// The table, in between and held at its ends.
    fn at(elevation_deg: f64) -> ClearSky {
        let upper = CLEAR.iter().position(|row| row.elevation_deg >= elevation_deg);
        let upper = upper.unwrap_or(CLEAR.len() - 1);
        let (high, low) = (&CLEAR[upper], &CLEAR[upper.saturating_sub(1)]);
        let width_deg = high.elevation_deg - low.elevation_deg;
        let share = if width_deg > 0.0 {
            ((elevation_deg - low.elevation_deg) / width_deg).min(1.0)
        } else {
            1.0
        };
        let between = |low: [f64; 2], high: [f64; 2]| {
            [0, 1].map(|air: usize| low[air] + share * (high[air] - low[air]))
        };
        ClearSky {
            elevation_deg,
            sun_k: between(low.sun_k, high.sun_k),
            sky_k: between(low.sky_k, high.sky_k),
            haze: between(low.haze, high.haze),
        }
    }
}
