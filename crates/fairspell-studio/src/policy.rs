//! The owner's thresholds as data.
//!
//! Nothing here is a law of nature: every number is the owner's to change. The defaults are common
//! practice without a source unless they say otherwise; "50 %" is never left without its hours,
//! place and amount, which [`crate::Outlook`] carries.

use jiff::civil;
use serde::{Deserialize, Serialize};

use crate::{field_terms::FieldTerms, terms::SeasonTerms};

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

/// What the owner calls golden and blue, and how little light she still works in.
///
/// # Source
///
/// Common practice without a source.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct LightRules {
    /// The sun's height, degrees, at which the golden hour begins in the evening.
    pub golden_from_deg: f64,
    /// The height at which it ends and the blue hour begins.
    pub golden_to_deg: f64,
    /// The height at which the blue hour ends.
    pub blue_to_deg: f64,
    /// The longest shutter time of a face, seconds.
    pub shutter_max_s: f64,
    /// The widest aperture she works at.
    pub f_number_min: f64,
    /// The highest sensitivity she delivers.
    pub iso_max: u32,
    /// Width of the camera's sensor, mm.
    pub sensor_width_mm: f64,
    /// Its pixels across that width.
    pub pixels_across: u32,
    /// The lens she portrays with, mm.
    pub lens_mm: f64,
}

impl Default for LightRules {
    fn default() -> Self {
        LightRules {
            golden_from_deg: 6.0,
            golden_to_deg: -4.0,
            blue_to_deg: -6.0,
            shutter_max_s: 1.0 / 250.0,
            f_number_min: 2.0,
            iso_max: 3200,
            sensor_width_mm: 36.0,
            pixels_across: 6000,
            lens_mm: 85.0,
        }
    }
}

/// From when on she does not drive home the same night.
///
/// # Source
///
/// Common practice of photographers who drive out alone (no source): not on the road after 22:00, and
/// no more than three hours at the wheel on the way home.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct DriverRules {
    /// Home by then, by the clock on the studio's wall; a time before noon is the next day's.
    pub home_by: civil::Time,
    /// The longest drive home, minutes.
    pub drive_home_max_min: u32,
}

impl Default for DriverRules {
    fn default() -> Self {
        DriverRules { home_by: civil::time(22, 0, 0, 0), drive_home_max_min: 180 }
    }
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
    /// From when on she stays the night instead of driving home.
    pub driver: DriverRules,
    /// How old a source may be.
    pub freshness: Freshness,
    /// What she calls golden and blue, and how little light she still works in.
    pub light: LightRules,
    /// How a season is worked, and what is at stake.
    pub season: SeasonTerms,
    /// What hair, outfits and an umbrella bear, and what a set is worth.
    pub field: FieldTerms,
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
            driver: DriverRules::default(),
            freshness: Freshness { forecast_min: 12 * 60, warnings_min: 60, radar_min: 20 },
            light: LightRules::default(),
            season: SeasonTerms::default(),
            field: FieldTerms::default(),
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
        self.season.check()?;
        if let Some((what, value)) = self.field.first_wrong() {
            return Err(PolicyError::OutOfRange { what, value: value.to_string() });
        }
        let (limits, light) = (&self.limits, &self.light);
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
            ("the longest drive home", f64::from(self.driver.drive_home_max_min), 0.0..=1440.0),
            ("the sun's height at which gold begins", light.golden_from_deg, 0.0..=30.0),
            ("the sun's height at which gold ends", light.golden_to_deg, -6.0..=0.0),
            ("the sun's height at which blue ends", light.blue_to_deg, -12.0..=light.golden_to_deg),
            ("the longest shutter time", light.shutter_max_s, 1.0 / 8000.0..=1.0),
            ("the widest aperture", light.f_number_min, 0.7..=22.0),
            ("the highest sensitivity", f64::from(light.iso_max), 50.0..=409_600.0),
            ("the width of the sensor", light.sensor_width_mm, 4.0..=70.0),
            ("the pixels across it", f64::from(light.pixels_across), 500.0..=30_000.0),
            ("the lens", light.lens_mm, 8.0..=800.0),
        ] {
            if !range.contains(&value) {
                return Err(PolicyError::OutOfRange { what, value: value.to_string() });
            }
        }
        Ok(())
    }
}
