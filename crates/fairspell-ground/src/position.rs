//! A point, and how far and in which direction another one lies.

use std::{fmt, str::FromStr};

use serde::{Deserialize, Serialize};

/// Mean radius of the earth, km: (2a + b) / 3 of the WGS 84 ellipsoid.
pub const EARTH_RADIUS_KM: f64 = 6371.0088;

/// What can be wrong with a position or a projection that somebody wrote down.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum GroundError {
    /// The latitude lies outside -90 to 90 degrees, or is no number.
    #[error("latitude {0} is outside -90..90 degrees")]
    Latitude(f64),
    /// The longitude lies outside -180 to 360 degrees, or is no number.
    #[error("longitude {0} is outside -180..360 degrees")]
    Longitude(f64),
    /// The text is not two numbers with a comma between them.
    #[error("expected a position as LAT,LON in degrees, found `{0}`")]
    PositionText(String),
    /// The projection string is not one that we can use.
    #[error("cannot use the projection `{text}`: {cause}")]
    Projection {
        /// The projection string as found.
        text: String,
        /// What the projection library says of it.
        cause: String,
    },
}

/// A point on the earth: degrees north and east on the WGS 84 ellipsoid.
///
/// Always finite and in range, longitude in -180..180.
///
/// # Examples
///
/// ```
/// use fairspell_ground::LatLon;
///
/// let harbour = LatLon::new(-31.72, 152.79).expect("a latitude and a longitude");
/// assert_eq!(harbour.to_string(), "-31.72,152.79");
/// assert!(LatLon::new(152.79, -31.72).is_err(), "the two were swapped");
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "Degrees", into = "Degrees")]
pub struct LatLon {
    lat_deg: f64,
    lon_deg: f64,
}

/// A position as JSON has it, before it has been checked.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Degrees {
    lat_deg: f64,
    lon_deg: f64,
}

impl TryFrom<Degrees> for LatLon {
    type Error = GroundError;

    fn try_from(degrees: Degrees) -> Result<Self, GroundError> {
        LatLon::new(degrees.lat_deg, degrees.lon_deg)
    }
}

impl From<LatLon> for Degrees {
    fn from(point: LatLon) -> Self {
        Degrees { lat_deg: point.lat_deg, lon_deg: point.lon_deg }
    }
}

impl LatLon {
    /// A point from degrees north and degrees east.
    ///
    /// - `lat_deg`: -90 to 90, north positive.
    /// - `lon_deg`: -180 to 360, east positive; beyond 180 it is turned back by 360.
    ///
    /// # Errors
    ///
    /// [`GroundError::Latitude`] or [`GroundError::Longitude`] for a number out of range or not
    /// finite. A swapped pair is mostly caught by this.
    pub fn new(lat_deg: f64, lon_deg: f64) -> Result<Self, GroundError> {
        if !(-90.0..=90.0).contains(&lat_deg) {
            return Err(GroundError::Latitude(lat_deg));
        }
        if !(-180.0..=360.0).contains(&lon_deg) {
            return Err(GroundError::Longitude(lon_deg));
        }
        let lon_deg = if lon_deg > 180.0 { lon_deg - 360.0 } else { lon_deg };
        Ok(LatLon { lat_deg, lon_deg })
    }

    /// Degrees north.
    pub fn lat_deg(self) -> f64 {
        self.lat_deg
    }

    /// Degrees east, -180 to 180.
    pub fn lon_deg(self) -> f64 {
        self.lon_deg
    }

    /// Distance to another point along the great circle, km.
    ///
    /// # Source
    ///
    /// Haversine formula on a sphere of [`EARTH_RADIUS_KM`].
    pub fn distance_km(self, other: LatLon) -> f64 {
        let (phi1, phi2) = (self.lat_deg.to_radians(), other.lat_deg.to_radians());
        let half_dphi = (phi2 - phi1) / 2.0;
        let half_dlambda = (other.lon_deg - self.lon_deg).to_radians() / 2.0;
        let h = half_dphi.sin().powi(2) + phi1.cos() * phi2.cos() * half_dlambda.sin().powi(2);
        2.0 * EARTH_RADIUS_KM * h.sqrt().min(1.0).asin()
    }

    /// East and north offsets of another point, km, on a flat map centred here.
    ///
    /// For maps of a few hundred kilometres: an equidistant cylindrical map true at this latitude,
    /// wrong by less than 1 % within 100 km below 60 degrees of latitude.
    pub fn offset_km(self, other: LatLon) -> (f64, f64) {
        let km_per_deg = EARTH_RADIUS_KM.to_radians();
        let dlon_deg = (other.lon_deg - self.lon_deg + 540.0).rem_euclid(360.0) - 180.0;
        let east_km = dlon_deg * self.lat_deg.to_radians().cos() * km_per_deg;
        (east_km, (other.lat_deg - self.lat_deg) * km_per_deg)
    }

    /// The point that lies at these offsets; the inverse of [`LatLon::offset_km`].
    ///
    /// # Errors
    ///
    /// [`GroundError::Latitude`] where the offset leads over a pole.
    pub fn at_offset_km(self, east_km: f64, north_km: f64) -> Result<LatLon, GroundError> {
        let km_per_deg = EARTH_RADIUS_KM.to_radians();
        let lat_deg = self.lat_deg + north_km / km_per_deg;
        let dlon_deg = east_km / (self.lat_deg.to_radians().cos() * km_per_deg);
        LatLon::new(lat_deg, (self.lon_deg + dlon_deg + 540.0).rem_euclid(360.0) - 180.0)
    }
}

impl fmt::Display for LatLon {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{},{}", self.lat_deg, self.lon_deg)
    }
}

impl FromStr for LatLon {
    type Err = GroundError;

    /// Reads `LAT,LON` in decimal degrees, blanks allowed.
    fn from_str(text: &str) -> Result<Self, GroundError> {
        let unreadable = || GroundError::PositionText(text.to_owned());
        let (lat, lon) = text.split_once(',').ok_or_else(unreadable)?;
        let lat_deg = lat.trim().parse().map_err(|_| unreadable())?;
        let lon_deg = lon.trim().parse().map_err(|_| unreadable())?;
        LatLon::new(lat_deg, lon_deg)
    }
}
