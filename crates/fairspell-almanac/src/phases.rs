//! Day, golden, blue, night: how a date divides by where the sun stands.

use fairspell_ground::LatLon;
use jiff::{Timestamp, civil::Date, tz::TimeZone};
use serde::{Deserialize, Serialize};

use crate::{
    search::{Stretch, at_ms},
    sun::sun_position,
    sun_track::SunTrack,
};

/// What kind of light the sun's elevation makes, whatever the clouds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SunPhase {
    /// Dark but for lamps and moon.
    Night,
    /// The sky is a deep even blue, and lamps hold their own against it.
    Blue,
    /// Low warm sun, and the soft sky just after it.
    Golden,
    /// The sun stands higher.
    Day,
}

/// Where one phase ends and the next begins: true elevations of the sun's centre, degrees.
///
/// Common practice, not measurement; owners have their own. Should they not descend, the brighter
/// phase wins.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PhaseBounds {
    /// Above it is day.
    pub golden_from_deg: f64,
    /// From here up to the former it is golden.
    pub golden_to_deg: f64,
    /// From here up to the former it is blue; below, night.
    pub blue_to_deg: f64,
}

impl Default for PhaseBounds {
    fn default() -> Self {
        PhaseBounds { golden_from_deg: 6.0, golden_to_deg: -4.0, blue_to_deg: -6.0 }
    }
}

impl PhaseBounds {
    /// The phase at a true elevation of the sun's centre.
    pub fn phase(self, elevation_deg: f64) -> SunPhase {
        if elevation_deg >= self.golden_from_deg {
            SunPhase::Day
        } else if elevation_deg >= self.golden_to_deg {
            SunPhase::Golden
        } else if elevation_deg >= self.blue_to_deg {
            SunPhase::Blue
        } else {
            SunPhase::Night
        }
    }
}

/// A stretch of one phase.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct PhaseSpan {
    /// Which.
    pub phase: SunPhase,
    /// When it begins.
    pub from: Timestamp,
    /// When the next begins, or the day ends.
    pub to: Timestamp,
}

/// How often to look. A phase shorter than this is passed over.
const STEP_MIN: i64 = 1;

/// The phases of a civil day, from 00:00 to 24:00 of its zone's clocks, without a hole.
///
/// Where the sun stays up all night there may be one only; where it sets about midnight, one kind
/// may come three times. Ends are to the nearest second.
///
/// # Examples
///
/// ```
/// use fairspell_almanac::phases::{PhaseBounds, SunPhase, phases};
/// use fairspell_ground::LatLon;
/// use jiff::{civil::date, tz::TimeZone};
///
/// let harbour = LatLon::new(-31.72, 152.79)?;
/// let zone = TimeZone::get("Australia/Sydney")?;
/// let day = phases(date(2026, 9, 3), &zone, harbour, PhaseBounds::default());
/// assert_eq!(day.len(), 7);
///
/// let evening = day.iter().rfind(|span| span.phase == SunPhase::Golden).expect("there is one");
/// let clock = |at: jiff::Timestamp| at.to_zoned_datetime(zone.clone()).strftime("%H:%M").to_string();
/// assert_eq!((clock(evening.from), clock(evening.to)), ("17:00".to_owned(), "17:48".to_owned()));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn phases(date: Date, zone: &TimeZone, place: LatLon, bounds: PhaseBounds) -> Vec<PhaseSpan> {
    let day = Stretch::civil_day(date, zone);
    let (from, until) = day.ends();
    let track = SunTrack::new(from, until, place);
    let phase = |at: Timestamp| bounds.phase(track.at(at).elevation_deg);
    let mut spans: Vec<PhaseSpan> = Vec::new();
    let mut push = |phase, from, to| match spans.last_mut() {
        Some(last) if last.phase == phase => last.to = to,
        _ if from < to => spans.push(PhaseSpan { phase, from, to }),
        _ => {}
    };
    let mut begun = (phase(from), from);
    for (at, next) in day.values(STEP_MIN, phase) {
        let at = at.clamp(from, until);
        push(begun.0, begun.1, at);
        begun = (next, at);
    }
    push(begun.0, begun.1, until);
    spans
}

/// When the sun is highest on a date: it crosses the meridian.
///
/// Half way between the shadows of morning and afternoon, and in the tropics the moment to avoid.
/// To the nearest second; the highest elevation itself differs by some seconds. Under the midnight
/// sun and in polar night it has the same sense.
///
/// # Examples
///
/// ```
/// use fairspell_almanac::phases::solar_noon;
/// use fairspell_ground::LatLon;
/// use jiff::{civil::date, tz::TimeZone};
///
/// let harbour = LatLon::new(-31.72, 152.79)?;
/// let zone = TimeZone::get("Australia/Sydney")?;
/// let noon = solar_noon(date(2026, 9, 3), &zone, harbour).to_zoned_datetime(zone.clone());
/// assert_eq!(noon.strftime("%H:%M").to_string(), "11:48");
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn solar_noon(date: Date, zone: &TimeZone, place: LatLon) -> Timestamp {
    let about_noon = Stretch::about_noon(date, zone, place);
    let (from, until) = about_noon.ends();
    let in_the_east = |at: Timestamp| sun_position(at, place).azimuth_deg < 180.0;
    let passes = about_noon.values(40, in_the_east).first().map(|pass| pass.0);
    passes.unwrap_or_else(|| at_ms(i64::midpoint(from.as_millisecond(), until.as_millisecond())))
}
