//! A direction as seen from a spot.

use serde::{Deserialize, Serialize};

/// Where something is seen, or which way a surface looks: a step of length one.
///
/// A face that looks straight ahead is a direction of elevation 0; level ground looks
/// [`Direction::UP`].
///
/// # Examples
///
/// ```
/// use fairspell_light::Direction;
///
/// // The sun 30 degrees high in the west meets a face turned to it at cos 30°, the ground at a half.
/// let sun = Direction::new(30.0, 270.0);
/// assert!((sun.cosine(Direction::new(0.0, 270.0)) - 0.866).abs() < 1e-3);
/// assert!((sun.cosine(Direction::UP) - 0.5).abs() < 1e-12);
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Direction {
    pub(crate) east: f64,
    pub(crate) north: f64,
    pub(crate) up: f64,
}

impl Direction {
    /// Overhead; what level ground looks at.
    pub const UP: Direction = Direction { east: 0.0, north: 0.0, up: 1.0 };

    /// A direction by its angles.
    ///
    /// - `elevation_deg`: above the horizon, degrees, negative below.
    /// - `azimuth_deg`: clockwise from true north, degrees.
    pub fn new(elevation_deg: f64, azimuth_deg: f64) -> Self {
        let (up, level) = elevation_deg.to_radians().sin_cos();
        let (east, north) = azimuth_deg.to_radians().sin_cos();
        Direction { east: level * east, north: level * north, up }
    }

    /// The cosine of the angle between two directions.
    pub fn cosine(self, other: Direction) -> f64 {
        self.east * other.east + self.north * other.north + self.up * other.up
    }
}
