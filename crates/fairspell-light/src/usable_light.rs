//! Until when a face still has enough light at a spot.

use fairspell_almanac::{Crossing, SunPosition, sun_position};
use fairspell_ground::LatLon;
use jiff::{SignedDuration, Timestamp, civil::Date, tz::TimeZone};
use serde::{Deserialize, Serialize};

use crate::{Direction, Dome, Ev100, SkyCondition, SkyRange};

/// Which way a face looks as the sun moves.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Facing {
    /// One way, whatever the sun does: out of a porch, along a beach.
    Toward {
        /// Degrees clockwise from true north.
        azimuth_deg: f64,
    },
    /// Towards the sun, and after sunset towards its glow.
    ToSun,
    /// Away from the sun: backlit.
    AwayFromSun,
}

impl Facing {
    /// Which way it is, degrees clockwise from true north.
    pub fn azimuth_deg(self, sun_azimuth_deg: f64) -> f64 {
        match self {
            Facing::Toward { azimuth_deg } => azimuth_deg,
            Facing::ToSun => sun_azimuth_deg,
            Facing::AwayFromSun => sun_azimuth_deg + 180.0,
        }
    }
}

/// When the light passes what somebody needs, by what the cloud may be.
///
/// In the evening the dark end is the earliest, in the morning the latest.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct UsableLight {
    /// Under the darkest likely cloud.
    pub dark: Crossing,
    /// Under the likeliest sky; `None` where nobody knows the cloud.
    pub likely: Option<Crossing>,
    /// Under the brightest likely sky.
    pub bright: Crossing,
}

/// How often to look before the moment is narrowed down to the second.
const STEP_S: i64 = 300;

const HALF_DAY_S: i64 = 43_200;

/// No face has more light from sky and ground than so many times level ground: the brightest of our
/// skies, with a low sun, gives it 1.6, white ground a half. It spares the night's hours the sum.
const FACE_OVER_LEVEL: f64 = 4.0;

/// The last moment of an evening at which a face still has the light that is needed.
///
/// - `date`, `zone`, `place`: the evening's. It may end after midnight.
/// - `dome`: the spot; `facing`: which way the face looks there.
/// - `floor`: the least light, for instance that of [`ExposureFloor`](crate::ExposureFloor).
/// - `sky`: what the forecast of cloud leaves open.
///
/// [`Crossing::AlwaysAbove`] where there is enough at midnight, [`Crossing::AlwaysBelow`] where there
/// isn't any from noon on. To the second of its own model; air and cloud move it by minutes.
///
/// # Examples
///
/// ```
/// use fairspell_ground::LatLon;
/// use fairspell_light::{
///     Dome, ExposureFloor, Facing, Ground, SkyRange, Surroundings, last_usable_light,
/// };
/// use jiff::{civil::date, tz::TimeZone};
///
/// // Sunset at the field is at 17:33. 1/250 s at f/2 and ISO 3200 last twelve minutes longer under
/// // a clear sky; under the darkest rain cloud they end thirteen minutes before it.
/// let field = LatLon::new(-31.7289, 152.8019)?;
/// let zone = TimeZone::get("Australia/Sydney")?;
/// let dome = Dome::new(Surroundings::open(Ground::Grass, false));
/// let floor = ExposureFloor::STANDING.ev100().expect("a camera has these settings");
/// let sky = SkyRange::for_cloud(None);
/// let end =
///     last_usable_light(date(2026, 9, 3), &zone, field, &dome, Facing::ToSun, floor, &sky);
/// let clock = |end: fairspell_almanac::Crossing| {
///     let end = end.timestamp().expect("it gets dark");
///     end.to_zoned_datetime(zone.clone()).strftime("%H:%M").to_string()
/// };
/// assert_eq!(clock(end.bright), "17:45");
/// assert_eq!(clock(end.dark), "17:20");
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn last_usable_light(
    date: Date,
    zone: &TimeZone,
    place: LatLon,
    dome: &Dome,
    facing: Facing,
    floor: Ev100,
    sky: &SkyRange,
) -> UsableLight {
    let noon = mean_noon(date, zone, place);
    by_cloud(sky, 1, |sky| {
        let usable = |second: i64| {
            has_light(dome, facing, floor, &sky, &sun_position(later(noon, second), place))
        };
        outermost(noon, 1, usable)
    })
}

/// The first moment of a morning at which a face has the light that is needed: the counterpart of
/// [`last_usable_light`].
pub fn first_usable_light(
    date: Date,
    zone: &TimeZone,
    place: LatLon,
    dome: &Dome,
    facing: Facing,
    floor: Ev100,
    sky: &SkyRange,
) -> UsableLight {
    let noon = mean_noon(date, zone, place);
    by_cloud(sky, -1, |sky| {
        let usable = |second: i64| {
            has_light(dome, facing, floor, &sky, &sun_position(later(noon, second), place))
        };
        outermost(noon, -1, usable)
    })
}

/// The outermost of the skies' moments, `way` being 1 for the evening and -1 for the morning. The
/// darkest sky's own is not always the first: a face turned away may have a hair more from one that
/// hides the sun than from one that doesn't.
fn by_cloud(sky: &SkyRange, way: i64, crossing: impl Fn(SkyCondition) -> Crossing) -> UsableLight {
    let rank = |crossing: &Crossing| match crossing {
        Crossing::AlwaysBelow => i64::MIN,
        Crossing::At(moment) => way * moment.as_second(),
        Crossing::AlwaysAbove => i64::MAX,
    };
    let likely = sky.likely.map(&crossing);
    let (mut dark, mut bright) = (crossing(sky.low), crossing(sky.high));
    for other in likely.into_iter().chain([bright]) {
        dark = if rank(&other) < rank(&dark) { other } else { dark };
    }
    for other in likely.into_iter().chain([dark]) {
        bright = if rank(&other) > rank(&bright) { other } else { bright };
    }
    UsableLight { dark, likely, bright }
}

fn has_light(
    dome: &Dome,
    facing: Facing,
    floor: Ev100,
    sky: &SkyCondition,
    sun: &SunPosition,
) -> bool {
    let daylight = sky.daylight(sun.elevation_deg);
    let most_lx = daylight.direct_normal_lx + FACE_OVER_LEVEL * daylight.horizontal_lx();
    if most_lx < floor.illuminance_lx() {
        return false;
    }
    let looks = Direction::new(0.0, facing.azimuth_deg(sun.azimuth_deg));
    dome.lit(sun, &daylight).on(looks).total_lx() >= floor.illuminance_lx()
}

/// The usable moment farthest from noon, `way` being 1 for the evening and -1 for the morning.
fn outermost(noon: Timestamp, way: i64, usable: impl Fn(i64) -> bool) -> Crossing {
    if usable(way * HALF_DAY_S) {
        return Crossing::AlwaysAbove;
    }
    let mut dark_s = HALF_DAY_S;
    while dark_s > 0 {
        let mut light_s = dark_s - STEP_S;
        if usable(way * light_s) {
            while dark_s - light_s > 1 {
                let middle_s = i64::midpoint(light_s, dark_s);
                if usable(way * middle_s) {
                    light_s = middle_s;
                } else {
                    dark_s = middle_s;
                }
            }
            return Crossing::At(later(noon, way * light_s));
        }
        dark_s = light_s;
    }
    Crossing::AlwaysBelow
}

/// Noon of the mean sun at this longitude, the one nearest to twelve o'clock of the date.
fn mean_noon(date: Date, zone: &TimeZone, place: LatLon) -> Timestamp {
    let twelve = zone.to_timestamp(date.at(12, 0, 0, 0)).unwrap_or(Timestamp::UNIX_EPOCH);
    // Four minutes of time for every degree east.
    let east_s = SignedDuration::from_secs_f64(place.lon_deg() * 240.0).as_secs();
    let day_s = 2 * HALF_DAY_S;
    let later_s = (HALF_DAY_S - east_s - twelve.as_second()).rem_euclid(day_s);
    later(twelve, if later_s > HALF_DAY_S { later_s - day_s } else { later_s })
}

/// So many seconds later; at the ends of the calendar the moment itself.
fn later(moment: Timestamp, seconds: i64) -> Timestamp {
    moment.checked_add(SignedDuration::from_secs(seconds)).unwrap_or(moment)
}
