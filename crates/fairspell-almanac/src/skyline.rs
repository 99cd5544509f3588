//! When the sun goes behind the hill that is really there.

use fairspell_ground::{LatLon, Skyline};
use jiff::{Timestamp, civil::Date, tz::TimeZone};

use crate::{
    events::{Crossing, first_start, last_end},
    search::Stretch,
    sun::sun_position,
    sun_track::SunTrack,
};

/// How often to look. The sun moves half a degree along the sky in this time; a gap between two
/// hills narrower than that is no light to plan with.
const STEP_MIN: i64 = 2;

/// How often to look where every span of light is wanted.
const SPAN_STEP_MIN: i64 = 1;

/// The last moment of a date's direct sunlight at a spot.
///
/// The sun's centre, as seen through the air, sinks behind the skyline and does not come out again
/// that day; half the disc is then gone. Plan gold light back from here rather than from the
/// almanac's sunset.
///
/// - `date`: the day's. The moment may lie after midnight.
///
/// [`Crossing::AlwaysAbove`] where nothing hides the sun that night, [`Crossing::AlwaysBelow`]
/// where it never clears the skyline that day. On a flat horizon the answer is a minute or two
/// before sunset, which is when the disc's upper edge goes.
///
/// # Examples
///
/// ```
/// use fairspell_almanac::last_direct_light;
/// use fairspell_ground::{LatLon, Skyline, SkylineSector};
/// use jiff::{civil::date, tz::TimeZone};
///
/// let steps = LatLon::new(-31.7177, 152.7849)?;
/// let hill = SkylineSector { from_azimuth_deg: 240.0, to_azimuth_deg: 295.0, height_deg: 8.0 };
/// let zone = TimeZone::get("Australia/Sydney")?;
/// let skyline = Skyline::new(vec![hill]);
///
/// // Sunset is at 17:33, but the hill takes the sun some forty minutes before.
/// let end = last_direct_light(date(2026, 9, 3), &zone, steps, &skyline);
/// let end = end.timestamp().expect("the hill is in the way");
/// assert_eq!(end.to_zoned_datetime(zone).strftime("%H:%M").to_string(), "16:51");
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn last_direct_light(
    date: Date,
    zone: &TimeZone,
    place: LatLon,
    skyline: &Skyline,
) -> Crossing {
    last_end(Stretch::until_night(date, zone, place), STEP_MIN, direct_light(place, skyline))
}

/// The first moment of a date's direct sunlight at a spot: the counterpart of
/// [`last_direct_light`], for sessions at dawn.
pub fn first_direct_light(
    date: Date,
    zone: &TimeZone,
    place: LatLon,
    skyline: &Skyline,
) -> Crossing {
    first_start(Stretch::since_night(date, zone, place), STEP_MIN, direct_light(place, skyline))
}

fn direct_light(place: LatLon, skyline: &Skyline) -> impl Fn(Timestamp) -> bool {
    move |at| {
        let sun = sun_position(at, place);
        sun.apparent_elevation_deg > skyline.height_deg(sun.azimuth_deg)
    }
}

/// Every span of direct sunlight at a spot, from one moment until another.
///
/// In each the sun's centre, as seen through the air, stands above both skyline and horizon: light
/// between two towers counts as much as that of the last hour. For a year at a time, it takes less
/// than a fifth of a second.
///
/// In order, to the nearest second, and within the two moments; light or shade of less than a
/// minute may be passed over. Empty where there is none, or where the moments are not in order.
///
/// # Examples
///
/// ```
/// use fairspell_almanac::direct_light_spans;
/// use fairspell_ground::{LatLon, Skyline, SkylineSector};
///
/// // A tower in the north-west takes the sun at the steps for the best part of an hour.
/// let steps = LatLon::new(-31.7177, 152.7849)?;
/// let tower = SkylineSector { from_azimuth_deg: 300.0, to_azimuth_deg: 312.0, height_deg: 50.0 };
/// let (from, to) = ("2026-09-03T12:00:00+10:00".parse()?, "2026-09-03T20:00:00+10:00".parse()?);
/// let spans = direct_light_spans(from, to, steps, &Skyline::new(vec![tower]));
/// assert_eq!(spans.len(), 2);
/// assert_eq!(spans[1].0.duration_since(spans[0].1).as_mins(), 56);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn direct_light_spans(
    from: Timestamp,
    to: Timestamp,
    place: LatLon,
    skyline: &Skyline,
) -> Vec<(Timestamp, Timestamp)> {
    if from >= to {
        return Vec::new();
    }
    let track = SunTrack::new(from, to, place);
    let is_lit = |at| {
        let sun = track.at(at);
        sun.apparent_elevation_deg > skyline.height_deg(sun.azimuth_deg)
    };
    let mut begun = is_lit(from).then_some(from);
    let mut spans = Vec::new();
    for (at, lit) in Stretch::between(from, to).values(SPAN_STEP_MIN, is_lit) {
        let at = at.clamp(from, to);
        if lit {
            begun = Some(at);
        } else if let Some(begun) = begun.take() {
            spans.push((begun, at));
        }
    }
    spans.extend(begun.map(|begun| (begun, to)));
    spans.retain(|(begun, ended)| begun < ended);
    spans
}
