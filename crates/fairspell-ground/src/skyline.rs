//! The skyline of a spot: what stands between the sun and the face there.

use serde::{Deserialize, Serialize};

use crate::ridge::{Ridge, RidgePoint};

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

/// A stretch of skyline: of one height, or through points.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(
    untagged,
    expecting = "expected a stretch with `from_azimuth_deg`, `to_azimuth_deg` and `height_deg`, or a \
                 ridge with `points` of `azimuth_deg` and `height_deg`"
)]
pub enum SkylineStretch {
    /// Of one height.
    Level(SkylineSector),
    /// Through points.
    Ridge(Ridge),
}

impl SkylineStretch {
    /// Height in a direction, degrees; `None` where the stretch does not stand.
    pub fn height_deg(&self, azimuth_deg: f64) -> Option<f64> {
        match self {
            SkylineStretch::Level(sector) => {
                sector.covers(azimuth_deg).then_some(sector.height_deg)
            }
            SkylineStretch::Ridge(ridge) => ridge.height_deg(azimuth_deg),
        }
    }
}

impl From<SkylineSector> for SkylineStretch {
    fn from(sector: SkylineSector) -> Self {
        SkylineStretch::Level(sector)
    }
}

impl From<Ridge> for SkylineStretch {
    fn from(ridge: Ridge) -> Self {
        SkylineStretch::Ridge(ridge)
    }
}

/// The height of hills, trees and houses around a spot, by direction.
///
/// The horizon is flat, at height zero, where nothing else was noted; the default is flat all
/// round. A height below zero or one that is not a number counts as flat; [`Skyline::check`] finds
/// these.
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
    stretches: Vec<SkylineStretch>,
}

impl Skyline {
    /// A skyline of stretches of one height each; elsewhere it is flat. Where they overlap the
    /// higher counts.
    pub fn new(sectors: Vec<SkylineSector>) -> Self {
        Skyline { stretches: sectors.into_iter().map(SkylineStretch::Level).collect() }
    }

    /// A skyline of stretches of either kind.
    ///
    /// # Examples
    ///
    /// ```
    /// use fairspell_ground::{Ridge, RidgePoint, Skyline};
    ///
    /// // A ridge that climbs from 4 degrees in the south-west to 10 in the west.
    /// let point = |azimuth_deg, height_deg| RidgePoint { azimuth_deg, height_deg };
    /// let ridge = Ridge { points: vec![point(225.0, 4.0), point(270.0, 10.0)] };
    /// let bank = Skyline::of_stretches(vec![ridge.into()]);
    /// assert_eq!(bank.height_deg(240.0), 6.0);
    /// assert_eq!(bank.height_deg(300.0), 0.0);
    /// ```
    pub fn of_stretches(stretches: Vec<SkylineStretch>) -> Self {
        Skyline { stretches }
    }

    /// Its stretches, as given.
    pub fn stretches(&self) -> &[SkylineStretch] {
        &self.stretches
    }

    /// Height of the skyline in a direction (degrees clockwise from true north), degrees.
    pub fn height_deg(&self, azimuth_deg: f64) -> f64 {
        let standing = self.stretches.iter().filter_map(|stretch| stretch.height_deg(azimuth_deg));
        standing.fold(0.0, f64::max)
    }
}

/// Its two ends, for checks and for joining.
impl SkylineSector {
    pub(crate) fn ends(&self) -> [RidgePoint; 2] {
        [self.from_azimuth_deg, self.to_azimuth_deg]
            .map(|azimuth_deg| RidgePoint { azimuth_deg, height_deg: self.height_deg })
    }
}
