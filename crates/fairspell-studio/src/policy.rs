//! The owner's thresholds as data.
//!
//! Nothing here is a law of nature: every number is the owner's to change. The defaults are common
//! practice without a source unless they say otherwise; "50 %" is never left without its hours,
//! place and amount, which [`crate::Outlook`] carries.

use jiff::civil;
use serde::{Deserialize, Serialize};

/// Where a session stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Band {
    /// Nobody needs to decide anything.
    Settled,
    /// The photographer keeps an eye on it.
    Watch,
    /// The family decides, by a stated time.
    FamilysChoice,
    /// The family decides, and we advise another date.
    AdviseMoving,
    /// Not on this date: safety. The photographer decides.
    MustMove,
    /// Something that the ruling needs is missing or too old: no ruling.
    Unknown,
}

/// Bands by the chance of any rain in the booked hours, whole per cent.
///
/// settled < `watch_from` <= watch <= `choice_above` < family's choice <= `advise_above` < advise
/// moving.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AnyRainBands {
    /// From this on it is watched, %.
    pub watch_from_percent: u8,
    /// Above this the family chooses, %.
    pub choice_above_percent: u8,
    /// Above this we advise moving, %.
    pub advise_above_percent: u8,
}

impl AnyRainBands {
    /// The band of a chance of any rain, whole per cent: the number that people are shown.
    pub fn band_of_percent(&self, percent: u8) -> Band {
        if percent > self.advise_above_percent {
            Band::AdviseMoving
        } else if percent > self.choice_above_percent {
            Band::FamilysChoice
        } else if percent >= self.watch_from_percent {
            Band::Watch
        } else {
            Band::Settled
        }
    }
}

/// Bands by the chance of one dry gap, whole per cent, from the styling chair on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GapBands {
    /// From this on it is settled, %.
    pub settled_from_percent: u8,
    /// From this on the gap counts as likely, and the step is to go, %.
    pub go_from_percent: u8,
    /// From this on waiting is worth while, %; below it the step is not to go.
    pub wait_from_percent: u8,
}

impl GapBands {
    /// The band of a chance of one dry gap, whole per cent: the number that people are shown.
    pub fn band_of_percent(&self, percent: u8) -> Band {
        if percent >= self.settled_from_percent {
            Band::Settled
        } else if percent >= self.go_from_percent {
            Band::Watch
        } else if percent >= self.wait_from_percent {
            Band::FamilysChoice
        } else {
            Band::AdviseMoving
        }
    }
}

/// Limits beyond which nobody should stand outside for portraits.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Limits {
    /// The larger of air temperature and heat index from which it is too hot, °C.
    pub heat_from_c: f64,
    /// The felt temperature below which it is too cold, °C.
    pub cold_below_c: f64,
    /// The gust above which nothing is made outside, km/h.
    pub gust_above_km_h: f64,
}

/// How old a source may be before it counts as stale, minutes since it was issued.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Freshness {
    /// A forecast.
    pub forecast_min: u32,
    /// The list of warnings, since it was last fetched.
    pub warnings_min: u32,
    /// A radar picture.
    pub radar_min: u32,
}

/// The studio's rain and safety policy.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Policy {
    /// Bands up to the last reading.
    pub any_rain: AnyRainBands,
    /// Bands from the styling chair on.
    pub gap: GapBands,
    /// The least a session needs: dry minutes on end.
    pub rescue_set_min: u32,
    /// Safety limits.
    pub limits: Limits,
    /// When the chance of any rain is read the evening before.
    pub evening_reading: civil::Time,
    /// When it is read again on the day.
    pub morning_reading: civil::Time,
    /// Sun's height at which work stops at the latest, degrees (negative: below the horizon).
    pub last_usable_sun_elevation_deg: f64,
    /// How long before the start she wants to be there, minutes.
    pub arrive_before_min: u32,
    /// How old a source may be.
    pub freshness: Freshness,
}

impl Default for Policy {
    fn default() -> Self {
        Policy {
            any_rain: AnyRainBands {
                watch_from_percent: 15,
                choice_above_percent: 30,
                advise_above_percent: 50,
            },
            gap: GapBands { settled_from_percent: 85, go_from_percent: 70, wait_from_percent: 40 },
            rescue_set_min: 25,
            limits: Limits { heat_from_c: 38.0, cold_below_c: 3.0, gust_above_km_h: 45.0 },
            evening_reading: civil::time(18, 0, 0, 0),
            morning_reading: civil::time(10, 0, 0, 0),
            last_usable_sun_elevation_deg: -4.0,
            arrive_before_min: 30,
            freshness: Freshness { forecast_min: 12 * 60, warnings_min: 60, radar_min: 20 },
        }
    }
}

/// What can be wrong with a policy that somebody wrote down.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PolicyError {
    /// Two bands claim the same figure, or one is empty.
    #[error("the bands overlap: {lower} % must be below {upper} % ({what})")]
    Overlap {
        /// Which two edges.
        what: &'static str,
        /// The edge that must be the lower one.
        lower: u8,
        /// The edge that must be the upper one.
        upper: u8,
    },
    /// A figure above 100 %.
    #[error("{0} % is more than 100 %")]
    OverHundred(u8),
    /// A setting that no evening can satisfy.
    #[error("{what} cannot be {value}")]
    OutOfRange {
        /// Which setting.
        what: &'static str,
        /// Its value as written.
        value: String,
    },
}

impl Policy {
    /// Checks that bands do not overlap and that limits can be met.
    ///
    /// # Errors
    ///
    /// The first [`PolicyError`] found; her settings stay as they are until she mends it.
    pub fn check(&self) -> Result<(), PolicyError> {
        let rain = &self.any_rain;
        let gap = &self.gap;
        for (what, lower, upper) in [
            (
                "any rain: watch, family's choice",
                rain.watch_from_percent,
                rain.choice_above_percent,
            ),
            (
                "any rain: family's choice, advise moving",
                rain.choice_above_percent,
                rain.advise_above_percent,
            ),
            ("dry gap: wait, go", gap.wait_from_percent, gap.go_from_percent),
            ("dry gap: go, settled", gap.go_from_percent, gap.settled_from_percent),
        ] {
            if lower >= upper {
                return Err(PolicyError::Overlap { what, lower, upper });
            }
            if upper > 100 {
                return Err(PolicyError::OverHundred(upper));
            }
        }
        let limits = &self.limits;
        for (what, value, range) in [
            ("the heat limit", limits.heat_from_c, 20.0..=60.0),
            ("the cold limit", limits.cold_below_c, -40.0..=15.0),
            ("the gust limit", limits.gust_above_km_h, 5.0..=120.0),
            ("the sun's height at last light", self.last_usable_sun_elevation_deg, -18.0..=30.0),
            (
                "the length of the set that a session needs",
                f64::from(self.rescue_set_min),
                5.0..=180.0,
            ),
            ("the arrival before the start", f64::from(self.arrive_before_min), 0.0..=240.0),
        ] {
            if !range.contains(&value) {
                return Err(PolicyError::OutOfRange { what, value: value.to_string() });
            }
        }
        Ok(())
    }
}
