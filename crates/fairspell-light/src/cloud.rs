//! What a forecast of cloud leaves open: several skies, not one.

use serde::{Deserialize, Serialize};

use crate::{CieSky, Daylight, cloud_transmission, daylight_clear, illuminance::dark_transmission};

/// One possible sky, whatever the hour: whether the sun is out, and what the cloud lets through.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct SkyCondition {
    /// Whether the sun stands in a gap.
    sun_is_out: bool,
    /// What reaches the ground of all light, 0 to 1.
    transmission: f64,
    /// How much of the sun's light the cloud spreads over the sky, 0 to 1.
    spread: f64,
    /// How the sky's light is spread over it.
    sky: CieSky,
}

/// The skies that a forecast of cloud allows.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct SkyRange {
    /// The darkest: the sun hidden by thick cloud, where there is any to hide it.
    pub low: SkyCondition,
    /// The likeliest; `None` where nobody knows the cloud.
    pub likely: Option<SkyCondition>,
    /// The brightest: the sun in a gap, or thin cloud all over.
    pub high: SkyCondition,
}

/// Below this cover the sun counts as out.
const CLEAR_BELOW: f64 = 0.3;

/// From this cover up there is no gap to count on.
const CLOSED_FROM: f64 = 0.9;

/// The cover up to which cloud beside an open sun brightens the sky.
const BRIGHTEST_COVER: f64 = 0.5;

impl SkyCondition {
    /// No cloud at all.
    pub const CLEAR: SkyCondition =
        SkyCondition { sun_is_out: true, transmission: 1.0, spread: 0.0, sky: CieSky::CLEAR };

    /// The darkest rain cloud from horizon to horizon: a tenth of a clear sky's light.
    pub fn darkest() -> SkyCondition {
        SkyCondition::hidden(1.0, dark_transmission(1.0))
    }

    /// Broken or closed cloud with the sun behind it.
    fn hidden(cover: f64, transmission: f64) -> SkyCondition {
        let closed = cover >= CLOSED_FROM;
        let sky = if closed { CieSky::OVERCAST } else { CieSky::BROKEN_SUN_HIDDEN };
        SkyCondition { sun_is_out: false, transmission, spread: cover * cover, sky }
    }

    /// Open or broken cloud with the sun in a gap.
    fn out(cover: f64, transmission: f64) -> SkyCondition {
        let open = cover < CLEAR_BELOW;
        let sky = if open { CieSky::CLEAR } else { CieSky::BROKEN_SUN_OUT };
        SkyCondition { sun_is_out: true, transmission, spread: cover * cover, sky }
    }

    /// Whether the sun stands in a gap.
    pub fn sun_is_out(&self) -> bool {
        self.sun_is_out
    }

    /// How the sky's light is spread over it.
    pub fn sky(&self) -> CieSky {
        self.sky
    }

    /// Sun and sky at an elevation of the sun (true, degrees; as for [`daylight_clear`]).
    ///
    /// # Source
    ///
    /// "Solar and terrestrial radiation dependent on the amount and type of cloud", Solar Energy 24
    /// (1980), 177-189: what comes through, and D/G = 0.3 + 0.7 (N/8)² for the sky's share of it,
    /// in which the clear sky's share at this elevation stands for 0.3. With the sun hidden the sky
    /// has what the formula gives it and the sun nothing; with the sun out it has all its own
    /// besides, which for half a sky of bright cloud is up to a fifth more than a clear day's.
    pub fn daylight(&self, elevation_deg: f64) -> Daylight {
        let clear = daylight_clear(elevation_deg);
        let spread_lx = self.spread * clear.direct_horizontal_lx;
        let sky_horizontal_lx = self.transmission * (clear.sky_horizontal_lx + spread_lx);
        let sun = if self.sun_is_out { 1.0 } else { 0.0 };
        Daylight {
            direct_normal_lx: sun * clear.direct_normal_lx,
            direct_horizontal_lx: sun * clear.direct_horizontal_lx,
            sky_horizontal_lx,
            sky: self.sky,
        }
    }
}

impl SkyRange {
    /// The skies that a cloud cover allows.
    ///
    /// Under broken cloud the sun is out or hidden, and no hourly forecast says which; a planner
    /// that wants to be safe takes [`SkyRange::low`].
    ///
    /// - `cloud_area_fraction`: the forecast's share of covered sky, 0 to 1, moved into that range
    ///   when outside it. `None`, or not a number, when nobody knows: then everything from the
    ///   darkest rain cloud to a clear sky is possible, and nothing is likely.
    ///
    /// # Examples
    ///
    /// ```
    /// use fairspell_light::SkyRange;
    ///
    /// // Six tenths of cloud, sun 20 degrees high: 13 000 lux or 31 000, as the gaps will have it.
    /// let broken = SkyRange::for_cloud(Some(0.6));
    /// assert_eq!((broken.low.daylight(20.0).horizontal_lx() / 1000.0).round(), 13.0);
    /// assert_eq!((broken.high.daylight(20.0).horizontal_lx() / 1000.0).round(), 31.0);
    /// ```
    ///
    /// # Source
    ///
    /// Our choice: up to 3 tenths the sun counts as out (the illuminating engineers' clear sky), from
    /// 9 tenths as hidden (theirs is 8; forecasts of 8 tenths are seldom closed). Low and high ends
    /// as in [`illuminance_lx`](crate::illuminance_lx). Types of sky: 12 clear; 10 and 9 broken, sun
    /// out and hidden; 1 closed; 4 closed and thin.
    pub fn for_cloud(cloud_area_fraction: Option<f64>) -> SkyRange {
        let Some(cover) = cloud_area_fraction.filter(|cover| !cover.is_nan()) else {
            return SkyRange {
                low: SkyCondition::darkest(),
                likely: None,
                high: SkyCondition::CLEAR,
            };
        };
        let cover = cover.clamp(0.0, 1.0);
        let (mean, dark) = (cloud_transmission(cover), dark_transmission(cover));
        if cover < CLEAR_BELOW {
            let likely = SkyCondition::out(cover, mean);
            return SkyRange {
                // What brightens the sky beside an open sun has no place in the darkest case.
                low: SkyCondition { spread: 0.0, ..SkyCondition::out(cover, dark) },
                likely: Some(likely),
                high: likely,
            };
        }
        let low = SkyCondition::hidden(cover, dark);
        if cover >= CLOSED_FROM {
            let thin = SkyCondition {
                sun_is_out: false,
                // Never above that of half a sky of cloud: more cloud would be more light.
                transmission: (2.0 * mean).min(cloud_transmission(BRIGHTEST_COVER)),
                spread: 1.0,
                sky: CieSky::THIN_OVERCAST,
            };
            return SkyRange { low, likely: Some(SkyCondition::hidden(cover, mean)), high: thin };
        }
        let beside = cover.min(BRIGHTEST_COVER);
        let high = SkyCondition::out(beside, cloud_transmission(beside));
        let likely = if cover < 0.5 { high } else { SkyCondition::hidden(cover, mean) };
        SkyRange { low, likely: Some(likely), high }
    }
}
