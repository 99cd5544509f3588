//! How high above a place the radar looks.
//!
//! A radar's lowest beam rises slightly and the earth falls away below it: 100 km out it passes more
//! than a kilometre up, 200 km out more than three. What falls from lower clouds, drizzle above all,
//! is not seen there, and a picture that shows no rain is no promise. Radar files name at most the
//! stations that they were made from, so the owner lists those around as [`RadarSite`]s; without
//! them a stated range says at least how bad it can be ([`beam_above_antenna`]).
//!
//! Hills that hide a part of the beam are not known here: behind a ridge it is worse.

use fairspell_ground::{LatLon, position::EARTH_RADIUS_KM};

/// The beam bends downward with the air's density; on an earth so many times as large it would be
/// straight.
const EARTH_FACTOR: f64 = 4.0 / 3.0;

/// Between the half-power points: what weather radars are commonly built for, degrees.
pub const BEAM_WIDTH_DEG: f64 = 1.0;

/// The lowest elevation of most networks, degrees.
pub const LOWEST_ELEVATION_DEG: f64 = 0.5;

/// A weather radar.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RadarSite {
    /// Where it stands.
    pub place: LatLon,
    /// Its antenna above sea level, metres.
    pub antenna_height_m: f64,
    /// The lowest angle at which it scans for rain, degrees above the horizon; mostly
    /// [`LOWEST_ELEVATION_DEG`], below 0 on some mountains.
    pub lowest_elevation_deg: f64,
    /// How far its measurements are used, km: commonly 150 to 250.
    pub range_km: f64,
}

/// Where the lowest beam passes a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Beam {
    /// From the radar, along the ground, km.
    pub distance_km: f64,
    /// The beam's middle, metres.
    pub centre_height_m: f64,
    /// Half a beam width ([`BEAM_WIDTH_DEG`]) lower, metres. Rain from below this is not seen at
    /// all; at or below the ground nothing is missed.
    pub lower_edge_height_m: f64,
}

impl RadarSite {
    /// Its lowest beam at a place, metres above sea level; subtract the height of the ground there.
    ///
    /// `None` beyond its range, and when its numbers are no radar's.
    pub fn beam_at(&self, place: LatLon) -> Option<Beam> {
        let distance_km = self.place.distance_km(place);
        let beam = (distance_km <= self.range_km)
            .then(|| beam_above_antenna(distance_km, self.lowest_elevation_deg))
            .flatten()
            .filter(|_| self.antenna_height_m.is_finite())?;
        Some(Beam {
            centre_height_m: beam.centre_height_m + self.antenna_height_m,
            lower_edge_height_m: beam.lower_edge_height_m + self.antenna_height_m,
            ..beam
        })
    }
}

/// The lowest beam of several radars at a place, metres above sea level.
///
/// Composites take the lowest they have, so this is not always the nearest radar's: one on a
/// mountain may look over what another sees. `None` when no radar reaches the place.
///
/// # Examples
///
/// ```
/// use fairspell_ground::LatLon;
/// use fairspell_nowcast::beam::{LOWEST_ELEVATION_DEG, RadarSite, lowest_beam};
///
/// let radar = RadarSite {
///     place: LatLon::new(-32.73, 152.03)?,
///     antenna_height_m: 84.0,
///     lowest_elevation_deg: LOWEST_ELEVATION_DEG,
///     range_km: 250.0,
/// };
/// let beach = LatLon::new(-31.72, 152.78)?;
/// let beam = lowest_beam(&[radar], beach).expect("within the range");
/// assert_eq!(beam.distance_km.round(), 133.0);
/// // Its lower edge: showers that are less deep than this are not seen.
/// assert_eq!((beam.lower_edge_height_m / 100.0).round(), 11.0);
///
/// assert!(lowest_beam(&[], beach).is_none());
/// # Ok::<(), fairspell_ground::GroundError>(())
/// ```
pub fn lowest_beam(sites: &[RadarSite], place: LatLon) -> Option<Beam> {
    let beams = sites.iter().filter_map(|site| site.beam_at(place));
    beams.min_by(|a, b| a.centre_height_m.total_cmp(&b.centre_height_m))
}

/// A beam at a distance from its radar, metres above the antenna.
///
/// Where the radars aren't known, the longest range at which pictures still show rain says how high
/// the lowest beam is at worst.
///
/// - `distance_km`: along the ground, not along the beam.
/// - `elevation_deg`: of the beam's middle at the antenna, above the horizon.
///
/// `None` for a negative distance or one beyond 1000 km, an elevation outside -5 to 45 degrees, and
/// what is no number.
///
/// # Examples
///
/// ```
/// use fairspell_nowcast::beam::{LOWEST_ELEVATION_DEG, beam_above_antenna};
///
/// let at_worst = beam_above_antenna(200.0, LOWEST_ELEVATION_DEG).expect("a radar's range");
/// assert_eq!((at_worst.centre_height_m / 100.0).round(), 41.0);
/// ```
///
/// # Source
///
/// R. Doviak and D. Zrnić, "Doppler radar and weather observations", 2nd edition (1993), equations
/// 2.28b and 2.28c, with the range along the beam eliminated by the law of sines.
pub fn beam_above_antenna(distance_km: f64, elevation_deg: f64) -> Option<Beam> {
    let possible = (0.0..=1000.0).contains(&distance_km) && (-5.0..=45.0).contains(&elevation_deg);
    let height_m = |elevation_deg: f64| {
        let elevation = elevation_deg.to_radians();
        let radius_m = 1000.0 * EARTH_FACTOR * EARTH_RADIUS_KM;
        let turned = 1000.0 * distance_km / radius_m;
        radius_m * (elevation.cos() / (elevation + turned).cos() - 1.0)
    };
    possible.then(|| Beam {
        distance_km,
        centre_height_m: height_m(elevation_deg),
        lower_edge_height_m: height_m(elevation_deg - BEAM_WIDTH_DEG / 2.0),
    })
}
