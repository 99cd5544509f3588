//! Sun and sky apart: how much comes straight, how much from all over the sky.
//!
//! The sum is that of [`illuminance_clear_lx`]; how it splits is taken from the illuminating
//! engineers' formulas. Their bare `1 / sin h` for the way through the air runs away below ten
//! degrees, just where portraits are made; with the air mass of a curved, refracting atmosphere it
//! does not.

use serde::{Deserialize, Serialize};

use crate::{CieSky, illuminance_clear_lx};

/// The light of one sky over open country.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Daylight {
    /// From the sun's disc onto a surface that looks straight at it, lux.
    pub direct_normal_lx: f64,
    /// From the sun's disc onto level ground, lux.
    pub direct_horizontal_lx: f64,
    /// From the whole sky onto level ground, lux.
    pub sky_horizontal_lx: f64,
    /// How the sky's light is spread over it.
    pub sky: CieSky,
}

impl Daylight {
    /// Sun and sky together on level, open ground, lux.
    pub fn horizontal_lx(&self) -> f64 {
        self.direct_horizontal_lx + self.sky_horizontal_lx
    }
}

/// Extraterrestrial illuminance, lux: the year's mean. It swings by 3.4 %, a twentieth of a stop.
const EXTRATERRESTRIAL_LX: f64 = 127_500.0;

/// What clear air takes of the sun's light for every air mass.
const CLEAR_EXTINCTION: f64 = 0.21;

/// The sun's radius, degrees.
pub(crate) const SUN_RADIUS_DEG: f64 = 16.0 / 60.0;

/// Sun and sky under a clear sky.
///
/// The split is what decides how hard the light is: at 60 degrees a seventh of the ground's light
/// comes from the sky, at 10 degrees half, at 3 degrees nearly all.
///
/// - `elevation_deg`: true elevation of the sun's centre, degrees, as for [`illuminance_clear_lx`].
///
/// The direct light fades as the disc sinks through a flat horizon and is zero from about -0.9
/// degrees down. Not a number gives no numbers.
///
/// # Examples
///
/// ```
/// use fairspell_light::daylight_clear;
///
/// // Sun ten degrees high: half of the 11 000 lux on the ground are the sky's.
/// let gold = daylight_clear(10.0);
/// assert_eq!((gold.horizontal_lx() / 1000.0).round(), 11.0);
/// assert_eq!((gold.sky_horizontal_lx / gold.horizontal_lx() * 10.0).round(), 5.0);
/// // A face turned to the sun gets the direct light whole.
/// assert!(gold.direct_normal_lx > 25_000.0);
/// ```
///
/// # Source
///
/// Split: "Recommended practice for the calculation of daylight availability", J. Illum. Eng. Soc.
/// 13 (1984), 381-392: clear sky, `Edn = 127.5 e^(-0.21 m)`, `Ekh = 0.8 + 15.5 sin^0.5 h` klx; with
/// the air mass of "Revised optical air mass tables and approximation formula", Applied Optics 28
/// (1989), 4735-4738. Both parts are scaled by one factor to the sum of [`illuminance_clear_lx`],
/// which is our choice: above 20 degrees the factor is 0.82 to 1.08, below it falls to a half,
/// where the engineers' sky alone is brighter than the whole of what was measured.
pub fn daylight_clear(elevation_deg: f64) -> Daylight {
    let apparent_deg = apparent_elevation_deg(elevation_deg);
    let total_lx = illuminance_clear_lx(elevation_deg);
    let disc = disc_share(apparent_deg / SUN_RADIUS_DEG);
    let sine = apparent_deg.max(0.0).to_radians().sin();
    let direct = EXTRATERRESTRIAL_LX * (-CLEAR_EXTINCTION * air_mass(apparent_deg)).exp() * disc;
    let sky = 800.0 + 15_500.0 * sine.sqrt();
    let direct_normal_lx = total_lx * direct / (direct * sine + sky);
    let direct_horizontal_lx = direct_normal_lx * sine;
    Daylight {
        direct_normal_lx,
        direct_horizontal_lx,
        sky_horizontal_lx: total_lx - direct_horizontal_lx,
        sky: CieSky::CLEAR,
    }
}

/// How many times the air overhead the sun's light has come through.
///
/// - `apparent_elevation_deg`: of the sun as seen, degrees; below the horizon its value of 38 holds.
///
/// # Source
///
/// "Revised optical air mass tables and approximation formula", Applied Optics 28 (1989),
/// 4735-4738, equation 3.
pub fn air_mass(apparent_elevation_deg: f64) -> f64 {
    let h = apparent_elevation_deg.clamp(0.0, 90.0);
    1.0 / (h.to_radians().sin() + 0.50572 * (h + 6.07995).powf(-1.6364))
}

/// The elevation at which the sun is seen, degrees.
///
/// Unlike an almanac's, this refraction doesn't end at sunset, so that nothing that is made from it
/// jumps there; from -1 degree down it stays as it is. Formula of NREL/TP-560-34302 at 1010 hPa and
/// 10 °C.
pub(crate) fn apparent_elevation_deg(elevation_deg: f64) -> f64 {
    let h = elevation_deg.max(-1.0);
    elevation_deg + 1.02 / (60.0 * (h + 10.3 / (h + 5.11)).to_radians().tan())
}

/// The share of the sun's disc above a straight edge.
///
/// - `x`: height of its centre above the edge, in radii.
pub(crate) fn disc_share(x: f64) -> f64 {
    let x = x.clamp(-1.0, 1.0);
    1.0 - (x.acos() - x * (1.0 - x * x).sqrt()) / std::f64::consts::PI
}
