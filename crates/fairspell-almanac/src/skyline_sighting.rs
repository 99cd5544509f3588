//! What stands in the sun's way, from when the sun was seen to leave or to come.
//!
//! Nobody carries an instrument. But "the sun left this step at 18:42" says to a quarter of a degree
//! how high the edge stands there, because where the sun stood then is known.

use fairspell_ground::{
    LatLon, RidgePoint, Skyline,
    skyline_points::{JOIN_DEG, REACH_DEG, SeenEdge},
};
use jiff::{SignedDuration, Timestamp};
use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::{events::SUNRISE_DEG, sun::sun_position};

/// The sun's radius as seen, degrees; over a year it varies by 0.004.
pub const SUN_RADIUS_DEG: f64 = 0.267;

/// What the sun was seen to do at a spot.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SightingKind {
    /// The last of its disc went behind something.
    Left,
    /// The first of its disc came out from behind something.
    Came,
}

/// That the sun was seen to leave a spot or to come to it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sighting {
    /// When. A minute is enough: the sun moves a quarter of a degree in it.
    pub at: Timestamp,
    /// What was seen.
    pub kind: SightingKind,
}

/// At that moment the whole sun was below the horizon, so nothing can be learnt from it.
///
/// A wrong date, or a wrong place, or morning and evening mistaken: ask again.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
#[error("no sun at {at}: its centre stood at {elevation_deg:.2} degrees")]
pub struct NoSun {
    /// When it was said to be seen.
    pub at: Timestamp,
    /// Where its centre was, without the air's bending of light, degrees.
    pub elevation_deg: f64,
}

impl Sighting {
    /// Where the edge stands that the sun went behind or came out from.
    ///
    /// Its height is that of the disc's upper edge, as seen through the air: the last that goes,
    /// and the first that comes. It lies [`SUN_RADIUS_DEG`] above the disc's centre, which is what
    /// [`last_direct_light`](crate::last_direct_light) goes by; that moment is a minute or two
    /// before the one seen. Leaving and coming give the same edge.
    ///
    /// # Errors
    ///
    /// [`NoSun`] if the whole disc was below a flat horizon at that moment.
    ///
    /// # Examples
    ///
    /// ```
    /// use fairspell_almanac::skyline_sighting::{Sighting, SightingKind};
    /// use fairspell_ground::LatLon;
    ///
    /// // At 16:53 on the 3rd of September the last of the sun went behind the hill at the steps.
    /// let steps = LatLon::new(-31.7177, 152.7849)?;
    /// let at = "2026-09-03T16:53:00+10:00".parse()?;
    /// let edge = Sighting { at, kind: SightingKind::Left }.edge(steps)?;
    /// assert_eq!(edge.height_deg.round(), 8.0);
    /// assert_eq!(edge.azimuth_deg.round(), 284.0);
    ///
    /// // Nobody saw it at seven.
    /// let at = "2026-09-03T19:00:00+10:00".parse()?;
    /// assert!(Sighting { at, kind: SightingKind::Left }.edge(steps).is_err());
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn edge(self, place: LatLon) -> Result<RidgePoint, NoSun> {
        let sun = sun_position(self.at, place);
        let height_deg = sun.apparent_elevation_deg + SUN_RADIUS_DEG;
        if height_deg < 0.0 {
            return Err(NoSun { at: self.at, elevation_deg: sun.elevation_deg });
        }
        Ok(RidgePoint { azimuth_deg: sun.azimuth_deg, height_deg: height_deg.min(90.0) })
    }
}

/// A spot's skyline, put right by when the sun was seen to leave or to come there.
///
/// Each sighting fixes one point, which holds for some degrees to either side;
/// [`Skyline::with_edges`] says what becomes of what was there. A low sun that left is taken to
/// have left for good, and one that came to have been hidden since it rose: the edge is as high all
/// along its way to the horizon. Where that way is longer than 25 degrees, or leads upwards, it was
/// something narrow, a tower or a tree: it stands for 5 degrees on the side where the sun was hidden.
///
/// # Errors
///
/// [`NoSun`] names the first sighting at which there was no sun; nothing is changed then.
pub fn with_sightings(
    skyline: &Skyline,
    place: LatLon,
    sightings: &[Sighting],
) -> Result<Skyline, NoSun> {
    let edges = sightings.iter().map(|sighting| sighting.reaching(place));
    Ok(skyline.with_edges(&edges.collect::<Result<Vec<_>, _>>()?))
}

/// How often to look for the horizon; the sun moves less than a degree and a half in this time.
const STEP: SignedDuration = SignedDuration::from_mins(5);

/// Half a day of them: the sun is down by then, or has gone far along the sky.
const STEPS: usize = 144;

impl Sighting {
    fn reaching(self, place: LatLon) -> Result<SeenEdge, NoSun> {
        let point = self.edge(place)?;
        let step = match self.kind {
            SightingKind::Left => STEP,
            SightingKind::Came => -STEP,
        };
        let hidden = sun_position(self.at.saturating_add(step).unwrap_or(self.at), place);
        let turn_deg = (hidden.azimuth_deg - point.azimuth_deg + 180.0).rem_euclid(360.0) - 180.0;
        let goes_up = hidden.apparent_elevation_deg + SUN_RADIUS_DEG > point.height_deg;
        let mut edge = SeenEdge::from(point);
        if goes_up {
            // The sun climbs while it is hidden, so what hides it reaches as high as it climbs.
            edge.point.height_deg = hidden.apparent_elevation_deg + SUN_RADIUS_DEG;
            edge.point.azimuth_deg = hidden.azimuth_deg;
            let shown_deg = turn_deg.abs();
            (edge.before_deg, edge.after_deg) =
                if turn_deg < 0.0 { (REACH_DEG, shown_deg) } else { (shown_deg, REACH_DEG) };
            return Ok(edge);
        }
        let mut at = self.at;
        for _ in 0..STEPS {
            at = at.saturating_add(step).unwrap_or(at);
            let sun = sun_position(at, place);
            let way_deg = (sun.azimuth_deg - point.azimuth_deg + 180.0).rem_euclid(360.0) - 180.0;
            if way_deg.abs() > JOIN_DEG - REACH_DEG {
                break;
            }
            if sun.elevation_deg < SUNRISE_DEG {
                edge.before_deg = REACH_DEG + (-way_deg).max(0.0);
                edge.after_deg = REACH_DEG + way_deg.max(0.0);
                break;
            }
        }
        Ok(edge)
    }
}
