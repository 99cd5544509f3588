//! Between degrees and the metres of a radar map.

use proj4rs::{Proj, transform::transform};

use crate::{GroundError, LatLon};

/// A map projection: from degrees to the plane coordinates of a grid and back.
///
/// The figure of the earth is the projection's own, and degrees are taken to be on that figure, as
/// radar services mean them: no shift between datums is ever made.
///
/// # Examples
///
/// ```
/// use fairspell_ground::{LatLon, Projection};
///
/// // The map of a national radar composite: the pole is its centre.
/// let text = "+proj=stere +lat_0=90 +lon_0=25 +lat_ts=60 +R=6371288";
/// let map = Projection::from_proj_string(text)?;
/// let (x_m, y_m) = map.to_plane(LatLon::new(90.0, 0.0)?).expect("the pole is on the map");
/// assert!(x_m.abs() < 1e-3 && y_m.abs() < 1e-3);
/// # Ok::<(), fairspell_ground::GroundError>(())
/// ```
#[derive(Debug, Clone)]
pub struct Projection {
    /// `None` when the plane coordinates are the degrees themselves.
    plane: Option<Plane>,
    text: String,
}

/// The projection and the degrees that belong to it.
#[derive(Debug, Clone)]
struct Plane {
    projected: Proj,
    geographic: Proj,
}

/// The parameters of a PROJ string that describe the earth rather than the map.
const FIGURE_OF_THE_EARTH: [&str; 8] = ["R", "a", "b", "f", "rf", "es", "ellps", "datum"];

impl Projection {
    /// The grid's coordinates are degrees east (x) and north (y).
    pub fn degrees() -> Self {
        Projection { plane: None, text: "+proj=longlat +datum=WGS84".to_owned() }
    }

    /// A projection from a PROJ string, in metres unless the string says otherwise.
    ///
    /// # Errors
    ///
    /// [`GroundError::Projection`] for a string that the projection library cannot use.
    pub fn from_proj_string(text: &str) -> Result<Self, GroundError> {
        let unusable = |cause: proj4rs::errors::Error| GroundError::Projection {
            text: text.to_owned(),
            cause: cause.to_string(),
        };
        let projected = Proj::from_proj_string(text).map_err(unusable)?;
        if projected.is_latlong() {
            return Ok(Projection { plane: None, text: text.to_owned() });
        }
        let figure = text.split_whitespace().filter(|parameter| {
            let key = parameter.trim_start_matches('+').split('=').next().unwrap_or_default();
            FIGURE_OF_THE_EARTH.contains(&key)
        });
        let geographic =
            figure.fold("+proj=longlat".to_owned(), |string, parameter| string + " " + parameter);
        let geographic = Proj::from_proj_string(&geographic).map_err(unusable)?;
        Ok(Projection { plane: Some(Plane { projected, geographic }), text: text.to_owned() })
    }

    /// The PROJ string it was made from.
    pub fn as_str(&self) -> &str {
        &self.text
    }

    /// Whether the plane coordinates are degrees.
    pub fn is_degrees(&self) -> bool {
        self.plane.is_none()
    }

    /// Plane coordinates (x, y) of a point: metres, or degrees where [`Projection::is_degrees`].
    ///
    /// Degrees of longitude come as -180 to 180; a grid that counts to 360 has to turn them.
    /// `None` where the projection is not defined.
    pub fn to_plane(&self, point: LatLon) -> Option<(f64, f64)> {
        let Some(plane) = &self.plane else {
            return Some((point.lon_deg(), point.lat_deg()));
        };
        let mut xyz = (point.lon_deg().to_radians(), point.lat_deg().to_radians(), 0.0);
        transform(&plane.geographic, &plane.projected, &mut xyz).ok()?;
        (xyz.0.is_finite() && xyz.1.is_finite()).then_some((xyz.0, xyz.1))
    }

    /// The point at plane coordinates; the inverse of [`Projection::to_plane`].
    ///
    /// `None` where the projection is not defined or the result is no position.
    pub fn to_point(&self, x: f64, y: f64) -> Option<LatLon> {
        let Some(plane) = &self.plane else {
            return LatLon::new(y, x).ok();
        };
        let mut xyz = (x, y, 0.0);
        transform(&plane.projected, &plane.geographic, &mut xyz).ok()?;
        LatLon::new(xyz.1.to_degrees(), xyz.0.to_degrees()).ok()
    }
}
