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
    /// Polygon edges are straight in degrees of latitude and longitude, as warnings' are drawn; a
    /// polygon may cross the 180th meridian. Fewer than three corners contain nothing.
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
    // Longitudes relative to the point, so that the 180th meridian is nowhere special.
    let relative = |corner: &LatLon| {
        let dx = (corner.lon_deg() - point.lon_deg() + 540.0).rem_euclid(360.0) - 180.0;
        (dx, corner.lat_deg() - point.lat_deg())
    };
    let mut inside = false;
    for (index, corner) in corners.iter().enumerate() {
        let (x1, y1) = relative(corner);
        let (x2, y2) = relative(&corners[(index + 1) % corners.len()]);
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
