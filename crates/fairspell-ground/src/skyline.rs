//! The skyline of a spot: what stands between the sun and the face there.

use serde::{Deserialize, Serialize};

/// A stretch of skyline of one height: a hill, a row of trees, a roof.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SkylineSector {
    /// Where the stretch begins, degrees clockwise from true north.
    pub from_azimuth_deg: f64,
    /// Where it ends, clockwise from its beginning; it may pass through north. From 0 to 360 is all
    /// round.
    pub to_azimuth_deg: f64,
    /// Its height above eye level, degrees. A fist at arm's length is about ten.
    pub height_deg: f64,
}

impl SkylineSector {
    /// Whether the stretch stands in a direction; both its ends belong to it.
    fn covers(&self, azimuth_deg: f64) -> bool {
        let width_deg = self.to_azimuth_deg - self.from_azimuth_deg;
        let clockwise_deg = (azimuth_deg - self.from_azimuth_deg).rem_euclid(360.0);
        width_deg >= 360.0 || clockwise_deg <= width_deg.rem_euclid(360.0)
    }
}

/// The height of hills, trees and houses around a spot, by direction.
///
/// The horizon is flat, at height zero, where nothing else was noted; the default is flat all
/// round. A height below zero or one that is not a number counts as flat.
///
/// # Examples
///
/// ```
/// use fairspell_ground::skyline::{Skyline, SkylineSector};
///
/// // Warm stone steps with a hill of 8 degrees in the west.
/// let hill = SkylineSector { from_azimuth_deg: 240.0, to_azimuth_deg: 295.0, height_deg: 8.0 };
/// let steps = Skyline::new(vec![hill]);
/// assert_eq!(steps.height_deg(270.0), 8.0);
/// assert_eq!(steps.height_deg(90.0), 0.0);
/// ```
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Skyline {
    sectors: Vec<SkylineSector>,
}

impl Skyline {
    /// A skyline of these stretches; elsewhere it is flat. Where they overlap the higher counts.
    pub fn new(sectors: Vec<SkylineSector>) -> Self {
        Skyline { sectors }
    }

    /// Its stretches, as given.
    pub fn sectors(&self) -> &[SkylineSector] {
        &self.sectors
    }

    /// Height of the skyline in a direction (degrees clockwise from true north), degrees.
    pub fn height_deg(&self, azimuth_deg: f64) -> f64 {
        let standing = self.sectors.iter().filter(|sector| sector.covers(azimuth_deg));
        standing.map(|sector| sector.height_deg).fold(0.0, f64::max)
    }
}
