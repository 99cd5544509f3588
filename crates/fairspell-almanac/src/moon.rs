//! Where the moon stands, how much of it is lit, and when it rises and sets.
//!
//! A full moon low over the water after sunset is a picture; and on a beach without lamps it is
//! what families walk home by.

use fairspell_ground::LatLon;
use jiff::{Timestamp, civil::Date, tz::TimeZone};
use serde::{Deserialize, Serialize};
use solar_positioning::delta_t;

use crate::{
    lunar_series,
    refraction::{STANDARD_AIR, refraction_deg},
    search::{Stretch, at_ms},
};

/// The direction of the moon's centre as seen from a place, and how far away it is.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct MoonPosition {
    /// Above the horizon of that very place, without the air's bending of light, degrees.
    pub elevation_deg: f64,
    /// As seen, lifted by refraction at 1013.25 hPa and 15 °C, degrees; equals `elevation_deg`
    /// once the whole disc has set.
    pub apparent_elevation_deg: f64,
    /// Clockwise from true north, 0 to 360 degrees.
    pub azimuth_deg: f64,
    /// From that place, km.
    pub distance_km: f64,
    /// Half of the width of its disc, degrees.
    pub radius_deg: f64,
}

/// How much of the moon is lit, and where it is on its way round.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct MoonPhase {
    /// The lit part of its disc, 0 to 1.
    pub illuminated_fraction: f64,
    /// How far east of the sun it stands along the ecliptic, 0 to 360 degrees: 0 new, 90 first
    /// quarter, 180 full, 270 last quarter.
    pub elongation_deg: f64,
    /// Days since it was new.
    pub age_days: f64,
}

/// The moon on a civil day.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct MoonDay {
    /// Whether it is up when the day begins.
    pub begins_up: bool,
    /// When it rises, in order: mostly once; about once a month, not at all.
    pub rises: Vec<Timestamp>,
    /// When it sets.
    pub sets: Vec<Timestamp>,
}

/// Julian date of 1970-01-01 00:00 UTC, and of J2000.
const UNIX_EPOCH_JD: f64 = 2_440_587.5;
const J2000_JD: f64 = 2_451_545.0;

/// Radii of the earth at the equator and of the moon, km; the earth's flattening (WGS 84).
const EARTH_RADIUS_KM: f64 = 6378.137;
const MOON_RADIUS_KM: f64 = 1737.4;
const EARTH_FLATTENING: f64 = 1.0 / 298.257223563;

/// An astronomical unit, km.
const AU_KM: f64 = 149_597_870.7;

/// What the air lifts at a flat horizon, by the convention for rise and set, degrees.
const HORIZON_REFRACTION_DEG: f64 = 34.0 / 60.0;

/// How far the moon runs ahead of the sun in a day, on average, degrees.
const ELONGATION_PER_DAY_DEG: f64 = 360.0 / 29.530589;

/// How often to look for rise and set.
const STEP_MIN: i64 = 5;

const DAY_MS: f64 = 86_400_000.0;

/// Where the moon stands.
///
/// - `at`: the moment. The series was made for the centuries about 2000: within 0.004 degrees from
///   1950 to 2100, and worse far from them.
/// - `place`: where, at sea level. It matters: from one place to another the moon shifts by up to
///   two degrees.
///
/// # Examples
///
/// ```
/// use fairspell_almanac::moon::moon_position;
/// use fairspell_ground::LatLon;
///
/// // An hour after sunset on the 26th of September the full moon hangs low in the east.
/// let dune = LatLon::new(-31.7084, 152.7951)?;
/// let moon = moon_position("2026-09-26T18:50:00+10:00".parse()?, dune);
/// assert_eq!(moon.azimuth_deg.round(), 76.0);
/// assert_eq!(moon.elevation_deg.round(), 17.0);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Source
///
/// "Astronomical Algorithms", second edition (1998): chapter 47 for the moon, 22 for nutation
/// (its greatest terms), 12 for sidereal time, 11 for the shape of the earth.
pub fn moon_position(at: Timestamp, place: LatLon) -> MoonPosition {
    let time = Time::of(at);
    let moon = lunar_series::moon(time.centuries_tt);
    let (nutation_deg, obliquity_deg) = nutation_and_obliquity(time.centuries_tt);
    let (sin_l, cos_l) = (moon.longitude_deg + nutation_deg).to_radians().sin_cos();
    let (sin_b, cos_b) = moon.latitude_deg.to_radians().sin_cos();
    let (sin_e, cos_e) = obliquity_deg.to_radians().sin_cos();
    let right_ascension = (sin_l * cos_b * cos_e - sin_b * sin_e).atan2(cos_l * cos_b);
    let sin_declination: f64 = sin_b * cos_e + cos_b * sin_e * sin_l;
    let cos_declination = (1.0 - sin_declination * sin_declination).sqrt();

    let sidereal_deg = time.mean_sidereal_deg() + nutation_deg * cos_e + place.lon_deg();
    let (sin_h, cos_h) = (sidereal_deg.to_radians() - right_ascension).sin_cos();
    // From the earth's centre: towards the meridian, to the west, to the pole; less the place's own.
    let (sin_lat, cos_lat) = place.lat_deg().to_radians().sin_cos();
    let squash = 1.0 - EARTH_FLATTENING;
    let stretch_km = EARTH_RADIUS_KM / cos_lat.hypot(squash * sin_lat);
    let meridian_km = moon.distance_km * cos_declination * cos_h - stretch_km * cos_lat;
    let west_km = moon.distance_km * cos_declination * sin_h;
    let pole_km = moon.distance_km * sin_declination - stretch_km * squash * squash * sin_lat;

    let up_km = cos_lat * meridian_km + sin_lat * pole_km;
    let north_km = cos_lat * pole_km - sin_lat * meridian_km;
    let distance_km = up_km.hypot(north_km.hypot(west_km));
    let elevation_deg = up_km.atan2(north_km.hypot(west_km)).to_degrees();
    MoonPosition {
        elevation_deg,
        apparent_elevation_deg: elevation_deg + refraction_deg(elevation_deg, STANDARD_AIR),
        azimuth_deg: (-west_km).atan2(north_km).to_degrees().rem_euclid(360.0),
        distance_km,
        radius_deg: (MOON_RADIUS_KM / distance_km).asin().to_degrees(),
    }
}

/// How much of the moon is lit at a moment, the same from everywhere.
///
/// # Examples
///
/// ```
/// use fairspell_almanac::moon::moon_phase;
///
/// let full = moon_phase("2026-09-26T18:50:00+10:00".parse()?);
/// assert!(full.illuminated_fraction > 0.99);
/// assert_eq!(full.age_days.round(), 15.0);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Source
///
/// "Astronomical Algorithms", second edition (1998), chapters 48 and, for the sun, 25.
pub fn moon_phase(at: Timestamp) -> MoonPhase {
    let t = Time::of(at).centuries_tt;
    let moon = lunar_series::moon(t);
    let sun = sun(t);
    let elongation_deg = (moon.longitude_deg - sun.longitude_deg).rem_euclid(360.0);
    let cos_psi = moon.latitude_deg.to_radians().cos() * elongation_deg.to_radians().cos();
    let sin_psi = (1.0 - cos_psi * cos_psi).max(0.0).sqrt();
    let angle = (sun.distance_km * sin_psi).atan2(moon.distance_km - sun.distance_km * cos_psi);
    let age_days = (at.as_millisecond() - last_new_moon(at).as_millisecond()) as f64 / DAY_MS;
    MoonPhase { illuminated_fraction: f64::midpoint(1.0, angle.cos()), elongation_deg, age_days }
}

/// When the moon was last new, to a few minutes.
pub fn last_new_moon(at: Timestamp) -> Timestamp {
    let elongation_deg = |ms: f64| {
        let t = Time::of_ms(ms).centuries_tt;
        (lunar_series::moon(t).longitude_deg - sun(t).longitude_deg).rem_euclid(360.0)
    };
    let at_ms_f = at.as_millisecond() as f64;
    let mut new_ms = at_ms_f - elongation_deg(at_ms_f) / ELONGATION_PER_DAY_DEG * DAY_MS;
    for _ in 0..6 {
        let past_deg = (elongation_deg(new_ms) + 180.0).rem_euclid(360.0) - 180.0;
        new_ms -= past_deg / ELONGATION_PER_DAY_DEG * DAY_MS;
    }
    at_ms(whole_ms(new_ms.min(at_ms_f)))
}

/// When the moon rises and sets on a civil day, from 00:00 to 24:00 of its zone's clocks.
///
/// The upper edge of its disc on a flat horizon, with 34' of refraction. To the nearest second of a
/// moment that the air moves by more.
///
/// # Examples
///
/// ```
/// use fairspell_almanac::moon::moon_day;
/// use fairspell_ground::LatLon;
/// use jiff::{civil::date, tz::TimeZone};
///
/// let dune = LatLon::new(-31.7084, 152.7951)?;
/// let zone = TimeZone::get("Australia/Sydney")?;
/// let day = moon_day(date(2026, 9, 26), &zone, dune);
/// let rise = day.rises[0].to_zoned_datetime(zone);
/// assert_eq!(rise.strftime("%H:%M").to_string(), "17:22");
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn moon_day(date: Date, zone: &TimeZone, place: LatLon) -> MoonDay {
    let day = Stretch::civil_day(date, zone);
    let is_up = |at: Timestamp| {
        let moon = moon_position(at, place);
        moon.elevation_deg + moon.radius_deg >= -HORIZON_REFRACTION_DEG
    };
    let mut found =
        MoonDay { begins_up: day.begins_with(is_up), rises: Vec::new(), sets: Vec::new() };
    for (at, up) in day.values(STEP_MIN, is_up) {
        if up { found.rises.push(at) } else { found.sets.push(at) }
    }
    found
}

/// A moment, as the formulas want it.
struct Time {
    /// Days of Universal Time after J2000.
    days_ut: f64,
    /// Julian centuries of Terrestrial Time after J2000.
    centuries_tt: f64,
}

impl Time {
    fn of(at: Timestamp) -> Self {
        Time::of_ms(at.as_millisecond() as f64)
    }

    fn of_ms(ms: f64) -> Self {
        let days_ut = UNIX_EPOCH_JD - J2000_JD + ms / DAY_MS;
        let year = (2000.0 + days_ut / 365.25).clamp(-499.0, 2999.0);
        let delta_t_s = delta_t::estimate(year).expect("the year was moved into range");
        Time { days_ut, centuries_tt: (days_ut + delta_t_s / 86_400.0) / 36_525.0 }
    }

    fn mean_sidereal_deg(&self) -> f64 {
        let t = self.days_ut / 36_525.0;
        280.46061837 + 360.98564736629 * self.days_ut + t * t * (0.000387933 - t / 38710000.0)
    }
}

/// Nutation in longitude and the true obliquity of the ecliptic, degrees, to half an arc second.
fn nutation_and_obliquity(t: f64) -> (f64, f64) {
    let node = (125.04452 - 1934.136261 * t).to_radians();
    let sun = (280.4665 + 36000.7698 * t).to_radians();
    let moon = (218.3165 + 481267.8813 * t).to_radians();
    let longitude_arcsec =
        -17.20 * node.sin() - 1.32 * (2.0 * sun).sin() - 0.23 * (2.0 * moon).sin()
            + 0.21 * (2.0 * node).sin();
    let obliquity_arcsec = 9.20 * node.cos() + 0.57 * (2.0 * sun).cos() + 0.10 * (2.0 * moon).cos()
        - 0.09 * (2.0 * node).cos();
    let mean_deg = 23.43929111 - t * (0.0130041667 + t * (1.6389e-7 - t * 5.0361e-7));
    (longitude_arcsec / 3600.0, mean_deg + obliquity_arcsec / 3600.0)
}

/// The sun's place in the ecliptic of date, good to 0.01 degrees.
struct Sun {
    longitude_deg: f64,
    distance_km: f64,
}

fn sun(t: f64) -> Sun {
    let anomaly = (357.52911 + t * (35999.05029 - t * 0.0001537)).to_radians();
    let centre_deg = (1.914602 - t * (0.004817 + t * 0.000014)) * anomaly.sin()
        + (0.019993 - t * 0.000101) * (2.0 * anomaly).sin()
        + 0.000289 * (3.0 * anomaly).sin();
    let mean_deg = 280.46646 + t * (36000.76983 + t * 0.0003032);
    let eccentricity = 0.016708634 - t * (0.000042037 + t * 0.0000001267);
    let true_anomaly = anomaly + centre_deg.to_radians();
    let distance_au = 1.000001018 * (1.0 - eccentricity * eccentricity)
        / (1.0 + eccentricity * true_anomaly.cos());
    Sun {
        // Less the aberration of light.
        longitude_deg: (mean_deg + centre_deg - 0.00569).rem_euclid(360.0),
        distance_km: distance_au * AU_KM,
    }
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "the calendar is far shorter than an i64 of ms"
)]
fn whole_ms(ms: f64) -> i64 {
    ms.round() as i64
}
