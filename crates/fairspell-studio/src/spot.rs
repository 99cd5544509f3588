//! One place to stand, with its cover, refuge, skyline and limits.

use fairspell_ground::{LatLon, Skyline};
use serde::{Deserialize, Serialize};

use crate::site::Site;

/// What keeps rain off at a spot. It says nothing of lightning.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Cover {
    /// Open sky.
    None,
    /// A ledge or branches: slows the rain, drips afterwards.
    Partial,
    /// A roof under which looks can be made.
    Roof,
}

/// Where to go when it thunders. A porch, an open shed or a tree is none.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Refuge {
    /// What it is: a substantial building, or a closed car.
    pub name: String,
    /// The walk to it, minutes.
    pub minutes: u32,
}

/// How the spot's wind compares with the forecast's, and what it bears.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WindExposure {
    /// The gust at the spot over the gust in the forecast (common practice: 1.3 on an open beach).
    pub gust_factor: f64,
    /// The gust at the spot from which looks are made elsewhere, km/h. `None`: no limit of its own.
    pub gust_limit_km_h: Option<f64>,
}

impl Default for WindExposure {
    fn default() -> Self {
        WindExposure { gust_factor: 1.0, gust_limit_km_h: None }
    }
}

/// One place to stand.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Spot {
    /// What it is called in files: short, without blanks.
    pub id: String,
    /// What people call it.
    pub name: String,
    /// Where it is.
    pub position: LatLon,
    /// What keeps rain off.
    pub cover: Cover,
    /// Where to go when it thunders; `None` when nobody has looked yet.
    pub refuge: Option<Refuge>,
    /// What hides the sun, by direction.
    #[serde(default)]
    pub skyline: Skyline,
    /// Wind there.
    #[serde(default)]
    pub wind: WindExposure,
    /// Whether water warnings (surf, coastal flood) concern it.
    #[serde(default)]
    pub shore: bool,
    /// What it is like to light and water.
    #[serde(default)]
    pub site: Site,
}

/// Within this distance a session can change its spot, km: ten minutes by car (common practice).
const NEAR_KM: f64 = 10.0;

impl Spot {
    /// Whether the spot is near enough to a position to go there within a session.
    pub fn is_near(&self, position: LatLon) -> bool {
        self.position.distance_km(position) <= NEAR_KM
    }

    /// The gust to expect at the spot, km/h, from the gust in a forecast.
    pub fn gust_km_h(&self, forecast_gust_km_h: f64) -> f64 {
        self.wind.gust_factor * forecast_gust_km_h
    }

    /// Whether the spot bears a forecast gust, km/h; on its limit it still does.
    pub fn bears_gust(&self, forecast_gust_km_h: f64) -> bool {
        self.wind.gust_limit_km_h.is_none_or(|limit| self.gust_km_h(forecast_gust_km_h) <= limit)
    }
}
