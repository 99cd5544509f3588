//! Where the sun stands at a great many moments: every minute of a year, in a blink.
//!
//! The full algorithm sums hundreds of terms for each moment, though the sun's place among the
//! stars and the clock's error against it change smoothly. So it is asked every three hours only;
//! in between, hour angle and declination are drawn through four neighbours, and turned into
//! elevation and azimuth by spherical trigonometry, which is exact.

use std::f64::consts::TAU;

use fairspell_ground::LatLon;
use jiff::Timestamp;

use crate::{
    refraction::{STANDARD_AIR, refraction_deg},
    search::at_ms,
    sun::{SunPosition, sun_position},
};

/// How far the moments lie apart for which the full algorithm is asked, ms.
const KNOT_MS: i64 = 3 * 3_600_000;

/// What the hour angle does in that time, if the sun were the clock's, radians.
const KNOT_TURN: f64 = TAU / 8.0;

/// Three extra moments: one before the first stretch, two after the beginning of the last.
const EXTRA_KNOTS: i64 = 3;

/// The sun over a stretch of time at one place.
///
/// To scan a year for what it does to a spot. Within 0.0001° of [`sun_position`]; it takes some
/// 16 bytes for every three hours.
///
/// # Examples
///
/// ```
/// use fairspell_almanac::{SunTrack, sun_position};
/// use fairspell_ground::LatLon;
///
/// let steps = LatLon::new(-31.7177, 152.7849)?;
/// let (new_year, next) = ("2026-01-01T00:00:00Z".parse()?, "2027-01-01T00:00:00Z".parse()?);
/// let year = SunTrack::new(new_year, next, steps);
///
/// let minutes_up = year.every(60).filter(|(_, sun)| sun.elevation_deg > 0.0).count();
/// assert_eq!(minutes_up / 60, 4367);
///
/// let at = "2026-09-03T07:05:00Z".parse()?;
/// let off_deg = year.at(at).elevation_deg - sun_position(at, steps).elevation_deg;
/// assert!(off_deg.abs() < 0.0001);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Debug, Clone)]
pub struct SunTrack {
    from_ms: i64,
    until_ms: i64,
    place: LatLon,
    sin_lat: f64,
    cos_lat: f64,
    knots: Vec<Knot>,
}

/// Where the sun stands on its daily circle, radians.
#[derive(Debug, Clone, Copy)]
struct Knot {
    /// Topocentric hour angle, less that of the mean sun since the first knot; without jumps.
    hour_angle_left: f64,
    /// Topocentric declination.
    declination: f64,
}

impl SunTrack {
    /// The sun at a place from one moment until another.
    pub fn new(from: Timestamp, until: Timestamp, place: LatLon) -> Self {
        let from_ms = from.as_millisecond();
        let until_ms = until.as_millisecond().max(from_ms);
        let (sin_lat, cos_lat) = place.lat_deg().to_radians().sin_cos();
        let mut track = SunTrack { from_ms, until_ms, place, sin_lat, cos_lat, knots: Vec::new() };
        let mut before = 0.0;
        for index in 0..=(until_ms - from_ms) / KNOT_MS + EXTRA_KNOTS {
            let mut knot = track.knot(index);
            knot.hour_angle_left -= TAU * ((knot.hour_angle_left - before) / TAU).round();
            before = knot.hour_angle_left;
            track.knots.push(knot);
        }
        track
    }

    /// Where the sun stands at a moment; outside the stretch of time, by the full algorithm.
    pub fn at(&self, at: Timestamp) -> SunPosition {
        let at_ms = at.as_millisecond();
        if (self.from_ms..=self.until_ms).contains(&at_ms) {
            self.within(at_ms)
        } else {
            sun_position(at, self.place)
        }
    }

    /// Where it stands every so many seconds (at least one), from the beginning up to the end,
    /// which is left out.
    pub fn every(&self, step_s: u32) -> impl Iterator<Item = (Timestamp, SunPosition)> {
        let step_ms = i64::from(step_s.max(1)) * 1000;
        let count = (self.until_ms - self.from_ms + step_ms - 1) / step_ms;
        (0..count).map(move |index| {
            let ms = self.from_ms + index * step_ms;
            (at_ms(ms), self.within(ms))
        })
    }

    fn knot(&self, index: i64) -> Knot {
        let sun = sun_position(at_ms(self.from_ms + (index - 1) * KNOT_MS), self.place);
        let (sin_h, cos_h) = sun.elevation_deg.to_radians().sin_cos();
        let (sin_a, cos_a) = sun.azimuth_deg.to_radians().sin_cos();
        let hour_angle =
            (-cos_h * sin_a).atan2(self.cos_lat * sin_h - self.sin_lat * cos_h * cos_a);
        let sin_declination = self.sin_lat * sin_h + self.cos_lat * cos_h * cos_a;
        let mean_turn = (index as f64 * KNOT_TURN).rem_euclid(TAU);
        Knot {
            hour_angle_left: hour_angle - mean_turn,
            declination: sin_declination.clamp(-1.0, 1.0).asin(),
        }
    }

    fn within(&self, ms: i64) -> SunPosition {
        let since_ms = ms - self.from_ms;
        let stretch = since_ms / KNOT_MS;
        let t = (since_ms % KNOT_MS) as f64 / KNOT_MS as f64;
        let first = usize::try_from(stretch).expect("the moment lies within the track");
        let knots = &self.knots[first..first + 4];
        let through = |of: fn(&Knot) -> f64| {
            let [before, from, to, after] = [0, 1, 2, 3].map(|index| of(&knots[index]));
            // Lagrange's cubic through -1, 0, 1 and 2.
            let outer = -t * (t - 1.0) / 6.0;
            let inner = (t + 1.0) * (t - 2.0) / 2.0;
            outer * ((t - 2.0) * before - (t + 1.0) * after) + inner * ((t - 1.0) * from - t * to)
        };
        let turn = (stretch % 8) as f64 * KNOT_TURN + (t + 1.0) * KNOT_TURN;
        let hour_angle = through(|knot| knot.hour_angle_left) + turn;
        self.seen(hour_angle, through(|knot| knot.declination))
    }

    fn seen(&self, hour_angle: f64, declination: f64) -> SunPosition {
        let (sin_d, cos_d) = declination.sin_cos();
        let (sin_hour, cos_hour) = hour_angle.sin_cos();
        let up = self.sin_lat * sin_d + self.cos_lat * cos_d * cos_hour;
        let north = self.cos_lat * sin_d - self.sin_lat * cos_d * cos_hour;
        let east = -cos_d * sin_hour;
        let elevation_deg = up.clamp(-1.0, 1.0).asin().to_degrees();
        SunPosition {
            elevation_deg,
            apparent_elevation_deg: elevation_deg + refraction_deg(elevation_deg, STANDARD_AIR),
            azimuth_deg: east.atan2(north).to_degrees().rem_euclid(360.0),
        }
    }
}
