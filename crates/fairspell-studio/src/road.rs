//! Places on the road that water, rain or a gate can shut, noted once with the spot they lead to.

use fairspell_ground::LatLon;
use serde::{Deserialize, Serialize};

use crate::site::OpenHours;

/// A place that the road from home passes on its way to a spot, and what can shut it there.
///
/// What nobody has noted limits nothing: a point without limits only marks where the road runs, for
/// official warnings along it.
///
/// # Examples
///
/// ```
/// use fairspell_ground::LatLon;
/// use fairspell_studio::RoadPoint;
///
/// // A low causeway, under water from 1.65 m on when the sea runs in, and after a day of rain.
/// let ford = RoadPoint {
///     tide_limit_m: Some(1.65),
///     with_swell: true,
///     closes_after_rain_mm_24h: Some(60.0),
///     ..RoadPoint::at("Gannet Ford", LatLon::new(-32.42, 152.44).expect("on the globe"))
/// };
/// assert!(ford.is_limited());
/// ```
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RoadPoint {
    /// What people call it.
    pub name: String,
    /// Where it is.
    pub position: LatLon,
    /// The tide above which it is under water, metres above the datum of the studio's tide.
    #[serde(default)]
    pub tide_limit_m: Option<f64>,
    /// Whether that tide shuts it only when a swell runs; swell is nothing that the program knows.
    #[serde(default)]
    pub with_swell: bool,
    /// The rain of the last 24 hours from which it is shut, mm.
    #[serde(default)]
    pub closes_after_rain_mm_24h: Option<f64>,
    /// When it is open (a ferry, a gate); empty is always.
    #[serde(default)]
    pub hours: Vec<OpenHours>,
}

impl RoadPoint {
    /// A point that nothing shuts.
    pub fn at(name: &str, position: LatLon) -> RoadPoint {
        RoadPoint {
            name: name.to_owned(),
            position,
            tide_limit_m: None,
            with_swell: false,
            closes_after_rain_mm_24h: None,
            hours: Vec::new(),
        }
    }

    /// Whether anything can shut it.
    pub fn is_limited(&self) -> bool {
        self.tide_limit_m.is_some()
            || self.closes_after_rain_mm_24h.is_some()
            || !self.hours.is_empty()
    }
}
