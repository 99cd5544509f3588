//! Where the sun stands at a moment.

use fairspell_ground::LatLon;
use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use solar_positioning::{
    Location, RefractionCorrection, SolarPositions, delta_t, time::JulianDate,
};

/// The direction of the sun's centre as seen from a place.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct SunPosition {
    /// Above the horizon, without the air's bending of light, degrees; negative below. Rise, set,
    /// twilight and illuminance are defined by this one.
    pub elevation_deg: f64,
    /// Above the horizon as seen, lifted by refraction at 1013.25 hPa and 15 °C, degrees; what a
    /// hill or a tree line hides is decided by this one. Equals `elevation_deg` once the whole disc
    /// has set.
    pub apparent_elevation_deg: f64,
    /// Clockwise from true north, 0 to 360 degrees. Meaningless with the sun overhead.
    pub azimuth_deg: f64,
}

/// Where the sun stands: which way to face a sitter, and how high the light comes in.
///
/// - `at`: the moment.
/// - `place`: where, at sea level. A thousand metres of height change nothing that can be seen.
///
/// Good to 0.0003° by the algorithm's own statement and to 0.004° in practice, because UTC is taken
/// as UT1. Outside the years -2000 to 6000, for which the algorithm was not made, the position at
/// the nearer end of that range is returned.
///
/// # Examples
///
/// ```
/// use fairspell_almanac::sun_position;
/// use fairspell_ground::LatLon;
///
/// // Five past five on a September evening at the marsh boards: the sun is low in the west, and
/// // whoever stands between it and the camera has a bright rim of hair.
/// let boards = LatLon::new(-31.7252, 152.7741)?;
/// let sun = sun_position("2026-09-03T17:05:00+10:00".parse()?, boards);
/// assert_eq!(sun.elevation_deg.round(), 5.0);
/// assert_eq!(sun.azimuth_deg.round(), 282.0);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Source
///
/// "Solar position algorithm for solar radiation applications", NREL/TP-560-34302, revised January
/// 2008 (Solar Energy 76 (2004), 577-589), with its refraction formula; computed by the crate
/// `solar-positioning`, with that crate's estimate of TT - UT1.
pub fn sun_position(at: Timestamp, place: LatLon) -> SunPosition {
    supported(position(at, place))
}

/// Julian date of 1970-01-01 00:00 UTC.
const UNIX_EPOCH_JD: f64 = 2_440_587.5;

/// Julian dates of the years -1999 and 6000: a little inside the algorithm's range.
const SPA_RANGE_JD: (f64, f64) = (990_923.0, 3_912_515.0);

/// Years for which there is an estimate of TT - UT1. Beyond them it is anybody's guess.
const DELTA_T_YEARS: (f64, f64) = (-499.0, 2999.0);

fn position(at: Timestamp, place: LatLon) -> solar_positioning::Result<SunPosition> {
    let days = at.as_duration().as_secs_f64() / 86_400.0;
    let julian_date = (UNIX_EPOCH_JD + days).clamp(SPA_RANGE_JD.0, SPA_RANGE_JD.1);
    let year = (1970.0 + days / 365.2425).clamp(DELTA_T_YEARS.0, DELTA_T_YEARS.1);
    let time = JulianDate::new(julian_date, delta_t::estimate(year)?)?;
    let sky = SolarPositions::new().for_time_from_julian(time)?;
    let location = Location { latitude: place.lat_deg(), longitude: place.lon_deg() };
    let airless = sky.at(location, 0.0, None)?;
    let seen = sky.at(location, 0.0, Some(RefractionCorrection::standard()))?;
    Ok(SunPosition {
        elevation_deg: airless.elevation_angle(),
        apparent_elevation_deg: seen.elevation_angle(),
        azimuth_deg: airless.azimuth(),
    })
}

fn supported(position: solar_positioning::Result<SunPosition>) -> SunPosition {
    position.expect("a place has checked coordinates, and the time was moved into range")
}
