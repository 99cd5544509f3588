//! What stands between a face and the sky.

use fairspell_almanac::SunPosition;
use fairspell_ground::Skyline;
use serde::{Deserialize, Serialize};

use crate::daylight::{SUN_RADIUS_DEG, disc_share};

/// What is around and above one place to stand.
///
/// # Examples
///
/// ```
/// use fairspell_light::{Ground, Roof, Seen, Surroundings};
///
/// // A veranda that looks to the north-east: the face 1.5 m back from a gutter 1.2 m above the eyes.
/// let roof = Roof { opens_toward_azimuth_deg: 45.0, ..Roof::porch(1.5, 1.2) };
/// let veranda = Surroundings { roof: Some(roof), ..Surroundings::open(Ground::Grass, false) };
/// assert_eq!(veranda.toward(20.0, 45.0), Seen::Sky { transmittance: 1.0 });
/// assert_eq!(veranda.toward(50.0, 45.0), Seen::Cover);
/// assert_eq!(veranda.toward(20.0, 225.0), Seen::Cover);
/// ```
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Surroundings {
    /// Hills, trees and houses, by direction.
    #[serde(default)]
    pub skyline: Skyline,
    /// Share of light that they throw back, 0 to 1; dark woods and hills have a tenth.
    #[serde(default = "dark_green")]
    pub skyline_reflectance: f64,
    /// What keeps rain off.
    #[serde(default)]
    pub roof: Option<Roof>,
    /// Leaves overhead.
    #[serde(default)]
    pub canopy: Option<Canopy>,
    /// Under a clear umbrella.
    #[serde(default)]
    pub umbrella: bool,
    /// Share of light that the ground throws back, 0 to 1: [`Ground::reflectance`](crate::Ground).
    pub ground_reflectance: f64,
}

/// A level roof over a face.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Roof {
    /// The direction of its open front, degrees clockwise from true north.
    pub opens_toward_azimuth_deg: f64,
    /// From the face level to below the front edge, m.
    pub edge_distance_m: f64,
    /// From the eyes up to the edge, m.
    pub edge_height_m: f64,
    /// Its width, m, with the face in the middle and open sides; `None` for one that goes on.
    #[serde(default)]
    pub width_m: Option<f64>,
    /// How far it goes back behind the face, m, open there; `None` for a wall behind.
    #[serde(default)]
    pub behind_m: Option<f64>,
    /// Share of light that roof and wall throw back, 0 to 1.
    #[serde(default = "painted_wood")]
    pub reflectance: f64,
}

impl Roof {
    /// A long porch with a wall behind, open to the north; set the direction it really opens to.
    ///
    /// - `edge_distance_m`, `edge_height_m`: how far the face stands back from the edge, and how
    ///   high that is above the eyes.
    pub fn porch(edge_distance_m: f64, edge_height_m: f64) -> Roof {
        Roof {
            opens_toward_azimuth_deg: 0.0,
            edge_distance_m,
            edge_height_m,
            width_m: None,
            behind_m: None,
            reflectance: painted_wood(),
        }
    }

    /// How far the roof goes in a direction, m; `None` where a wall closes it.
    pub(crate) fn reach_m(&self, azimuth_deg: f64) -> Option<f64> {
        let turn = (azimuth_deg - self.opens_toward_azimuth_deg).to_radians();
        let (side, front) = turn.sin_cos();
        let edge_m = self.edge_distance_m.max(0.0);
        // A right angle's cosine is not quite zero in floating point.
        let along_m = if front > 1e-12 {
            edge_m / front
        } else if front < -1e-12 {
            self.behind_m?.max(0.0) / -front
        } else {
            f64::INFINITY
        };
        let across_m = self.width_m.map_or(f64::INFINITY, |w| w.max(0.0) / 2.0 / side.abs());
        Some(along_m.min(across_m))
    }

    /// The elevation from which it hides the sky in a direction, degrees.
    pub(crate) fn edge_deg(&self, azimuth_deg: f64) -> f64 {
        let reach_m = self.reach_m(azimuth_deg);
        reach_m.map_or(0.0, |reach| self.edge_height_m.max(0.0).atan2(reach).to_degrees())
    }

    /// The directions in which its edge has a corner, degrees.
    pub(crate) fn corners_deg(&self) -> Vec<f64> {
        let mut turns = vec![90.0, -90.0];
        if let Some(width_m) = self.width_m {
            let half_m = width_m.max(0.0) / 2.0;
            let front = half_m.atan2(self.edge_distance_m.max(0.0)).to_degrees();
            let behind = half_m.atan2(self.behind_m.unwrap_or(0.0).max(0.0)).to_degrees();
            turns.extend([front, -front, 180.0 - behind, 180.0 + behind]);
        }
        turns.into_iter().map(|turn| self.opens_toward_azimuth_deg + turn).collect()
    }
}

/// Leaves overhead.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Canopy {
    /// Where the leaves begin, degrees above the horizon, all round.
    pub from_elevation_deg: f64,
    /// The share of light that comes through, 0 to 1. A thin crown has a half, a thick one a tenth.
    /// Of the sun it is the mean: in truth there are coins of light and shade.
    pub transmittance: f64,
}

/// What is seen in a direction of the sky.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Seen {
    /// Sky, with the share of its light that comes through leaves and umbrella, 0 to 1.
    Sky {
        /// The share.
        transmittance: f64,
    },
    /// A hill, a tree, a house.
    Skyline,
    /// Roof or wall.
    Cover,
}

/// A clear umbrella takes a quarter of a stop (the trade's estimate).
const UMBRELLA_STOPS: f64 = 0.25;

/// It covers the sky from here up when it is tilted back so that its rim is out of the eyes. Our
/// choice.
pub(crate) const UMBRELLA_FROM_DEG: f64 = 25.0;

impl Surroundings {
    /// An open place without anything in the way, on dry or wet ground.
    pub fn open(ground: crate::Ground, wet: bool) -> Self {
        Surroundings {
            skyline: Skyline::default(),
            skyline_reflectance: dark_green(),
            roof: None,
            canopy: None,
            umbrella: false,
            ground_reflectance: ground.reflectance(wet),
        }
    }

    /// What is seen in a direction.
    ///
    /// - `elevation_deg`: 0 to 90 degrees above the horizon.
    /// - `azimuth_deg`: clockwise from true north.
    pub fn toward(&self, elevation_deg: f64, azimuth_deg: f64) -> Seen {
        // A roof is nearer than a hill.
        if self.roof.is_some_and(|roof| elevation_deg >= roof.edge_deg(azimuth_deg)) {
            return Seen::Cover;
        }
        if elevation_deg < self.skyline.height_deg(azimuth_deg) {
            return Seen::Skyline;
        }
        let umbrella = self.umbrella_transmittance(elevation_deg);
        Seen::Sky { transmittance: umbrella * self.canopy_transmittance(elevation_deg) }
    }

    /// The share of the sun's disc that shines on the face, 0 to 1: what skyline and roof leave of
    /// it, weakened by leaves and umbrella.
    ///
    /// On a flat horizon it is 1 even at sunset; there
    /// [`daylight_clear`](crate::daylight_clear) has the disc sink.
    pub fn sun_share(&self, sun: &SunPosition) -> f64 {
        let seen_deg = sun.apparent_elevation_deg;
        let radii = |height_deg: f64| disc_share(height_deg / SUN_RADIUS_DEG);
        let hill_deg = self.skyline.height_deg(sun.azimuth_deg);
        let mut share = 1.0;
        if hill_deg > 0.0 {
            let risen = radii(seen_deg);
            share = if risen > 0.0 { (radii(seen_deg - hill_deg) / risen).min(1.0) } else { 0.0 };
        }
        if let Some(roof) = self.roof {
            share *= radii(roof.edge_deg(sun.azimuth_deg) - seen_deg);
        }
        share * self.umbrella_transmittance(seen_deg) * self.canopy_transmittance(seen_deg)
    }

    /// The same for the ground at one's feet, which no umbrella shades, and for ground farther off,
    /// which only hills do.
    pub(crate) fn bare(&self) -> [Surroundings; 2] {
        let here = Surroundings { umbrella: false, ..self.clone() };
        let beyond = Surroundings { roof: None, ..here.clone() };
        [here, beyond]
    }

    fn umbrella_transmittance(&self, elevation_deg: f64) -> f64 {
        let under = self.umbrella && elevation_deg >= UMBRELLA_FROM_DEG;
        if under { (-UMBRELLA_STOPS).exp2() } else { 1.0 }
    }

    fn canopy_transmittance(&self, elevation_deg: f64) -> f64 {
        let leaves = self.canopy.filter(|leaves| elevation_deg >= leaves.from_elevation_deg);
        leaves.map_or(1.0, |leaves| leaves.transmittance.clamp(0.0, 1.0))
    }
}

fn dark_green() -> f64 {
    0.1
}

fn painted_wood() -> f64 {
    0.3
}
