//! What an official warning covers.

use serde::{Deserialize, Serialize};

use crate::LatLon;

/// A piece of the earth's surface as the Common Alerting Protocol draws it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Area {
    /// The inside of a closed line. The last corner may repeat the first.
    Polygon(Vec<LatLon>),
    /// All within a distance of a centre.
    Circle {
        /// The middle.
        centre: LatLon,
        /// The distance, km.
        radius_km: f64,
    },
}

/// How close to a polygon's edge counts as on it, degrees: about a metre.
const ON_EDGE_DEG: f64 = 1e-5;

impl Area {
    /// Whether a point lies inside; the boundary counts as inside.
    ///
    /// Polygon edges are straight in degrees of latitude and longitude, as warnings' are drawn,
    /// and go the short way round; a polygon may cross the 180th meridian, but not enclose a pole.
    /// Fewer than three corners contain nothing.
    ///
    /// # Examples
    ///
    /// ```
    /// use fairspell_ground::{Area, LatLon};
    ///
    /// // A heat advisory for 25 km around the town: the marsh is inside, the far quay is not.
    /// let advisory = Area::Circle { centre: LatLon::new(-31.72, 152.79)?, radius_km: 25.0 };
    /// assert!(advisory.contains(LatLon::new(-31.7252, 152.7741)?));
    /// assert!(!advisory.contains(LatLon::new(-33.05, 152.02)?));
    /// # Ok::<(), fairspell_ground::GroundError>(())
    /// ```
    ///
    /// # Source
    ///
    /// OASIS Common Alerting Protocol 1.2 (2010), elements `polygon` and `circle`; crossing number
    /// with an explicit test of the edges.
    pub fn contains(&self, point: LatLon) -> bool {
        match self {
            Area::Circle { centre, radius_km } => centre.distance_km(point) <= *radius_km,
            Area::Polygon(corners) => polygon_contains(corners, point),
        }
    }
}

fn polygon_contains(corners: &[LatLon], point: LatLon) -> bool {
    if corners.len() < 3 {
        return false;
    }
    let outline = unrolled(corners, point);
    // A wide polygon may have been unrolled past the point: look for it one turn on either side.
    [-360.0, 0.0, 360.0].iter().any(|turn_deg| outline_contains_origin(&outline, *turn_deg))
}

/// The corners as (east, north) of the point in degrees, each at the short way from the one before,
/// so that the 180th meridian is nowhere special.
fn unrolled(corners: &[LatLon], point: LatLon) -> Vec<(f64, f64)> {
    let (mut east, mut before_deg) = (0.0, point.lon_deg());
    let corners = corners.iter().map(|corner| {
        east += (corner.lon_deg() - before_deg + 540.0).rem_euclid(360.0) - 180.0;
        before_deg = corner.lon_deg();
        (east, corner.lat_deg() - point.lat_deg())
    });
    corners.collect()
}

fn outline_contains_origin(outline: &[(f64, f64)], turn_deg: f64) -> bool {
    let mut inside = false;
    for (index, &(x1, y1)) in outline.iter().enumerate() {
        let (x2, y2) = outline[(index + 1) % outline.len()];
        let (x1, x2) = (x1 + turn_deg, x2 + turn_deg);
        if distance_to_segment(x1, y1, x2, y2) <= ON_EDGE_DEG {
            return true;
        }
        if (y1 > 0.0) != (y2 > 0.0) && x1 + (x2 - x1) * (-y1) / (y2 - y1) > 0.0 {
            inside = !inside;
        }
    }
    inside
}

/// Distance of the origin from the segment between two points.
fn distance_to_segment(x1: f64, y1: f64, x2: f64, y2: f64) -> f64 {
    let (dx, dy) = (x2 - x1, y2 - y1);
    let length_squared = dx * dx + dy * dy;
    let t = if length_squared > 0.0 {
        (-(x1 * dx + y1 * dy) / length_squared).clamp(0.0, 1.0)
    } else {
        0.0
    };
    (x1 + t * dx).hypot(y1 + t * dy)
}
