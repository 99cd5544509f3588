//! A spot on every day of a year: where the sun is on it, until when there is light, when it is under
//! water.
//!
//! For a clear sky, which is the most the sun can give; what cloud will do no calendar knows. Every
//! minute of the studio's wall clock is asked on its own, so that nothing hides between two samples.

use fairspell_almanac::{SunPosition, SunTrack, sun_position, tide::Tide};
use fairspell_light::{Dome, Ev100, Facing, SkyCondition, SpotLight};
use fairspell_studio::{Spot, Studio, site::TideLimits};
use jiff::{Timestamp, ToSpan, civil::Date, tz::TimeZone};

use crate::{
    light_wish::{IN_THE_SUN, exposure_floor_lx},
    spot_surroundings::surroundings,
    starts_day::stands,
};

/// The light of a minute.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum MinuteLight {
    /// Too little to work by.
    Dark,
    /// The middle of the sun is below a flat horizon, and there is light to work by.
    Glow,
    /// The sun is up, and hill, roof or leaves keep it from the spot.
    Shade,
    /// The sun is on the spot, lower than where the owner has gold begin.
    LowSun,
    /// The sun is on the spot, above that.
    HighSun,
}

/// Minutes of the wall clock with one kind of light.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct MinuteRun {
    /// The first minute after midnight.
    pub from_min: u16,
    /// The minute after the last.
    pub to_min: u16,
    /// What it is.
    pub light: MinuteLight,
}

/// A day of a spot. Minutes count by the wall clock: an hour that the clocks skip has no light, and of
/// one that comes twice the second stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SpotDay {
    /// Which day.
    pub date: Date,
    /// The light, in order.
    pub light: Vec<MinuteRun>,
    /// When the water limits it, in order; empty where nothing does, or nobody knows.
    pub flooded: Vec<(u16, u16)>,
    /// Whether the spot hangs on a tide that nobody knows.
    pub is_tide_missing: bool,
    /// The minute after which the sun is not on it any more.
    pub last_direct_min: Option<u16>,
    /// The minute after which there is no light to work by.
    pub last_usable_min: Option<u16>,
}

/// Minutes of a day of 24 hours.
const DAY_MIN: usize = 1440;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Minute {
    light: Option<MinuteLight>,
    /// `None` while nobody knows.
    stands: Option<bool>,
}

/// All days of a year at a spot.
///
/// - `tide`: of the studio's coast, where there is one.
///
/// Some quarter of a second. Empty for a year that the calendar does not have.
pub fn spot_year(
    studio: &Studio,
    zone: &TimeZone,
    spot: &Spot,
    year: i16,
    tide: Option<&Tide>,
) -> Vec<SpotDay> {
    let Ok(first) = Date::new(year, 1, 1) else { return Vec::new() };
    let days: Vec<Date> = first.series(1.day()).take_while(|date| date.year() == year).collect();
    let (bright, floor) =
        (bright(spot), Ev100::from_illuminance_lx(exposure_floor_lx(&studio.policy)));
    let Some(floor) = floor else { return Vec::new() };
    let of = |dates: &[Date]| {
        let minutes = minutes(studio, zone, spot, dates, &bright, floor, tide);
        let days = dates.iter().zip(&minutes);
        days.map(|(date, minutes)| day(*date, minutes)).collect::<Vec<_>>()
    };
    // Two threads, half a year each.
    let (first, second) = days.split_at(days.len() / 2);
    std::thread::scope(|scope| {
        let second = scope.spawn(|| of(second));
        let mut year = of(first);
        year.extend(second.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)));
        year
    })
}

/// A spot under a clear sky, somebody looking to the sun, or out from under a roof.
fn bright(spot: &Spot) -> SpotLight {
    let facing = match spot.site.roof {
        Some(roof) => Facing::Toward { azimuth_deg: roof.opens_to.azimuth_deg() },
        None => Facing::ToSun,
    };
    SpotLight::new(Dome::new(surroundings(spot, false)), SkyCondition::CLEAR, facing)
}

/// A spot's light at a moment of a clear day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpotSample {
    /// When.
    pub at: Timestamp,
    /// The light on a face there, lux.
    pub illuminance_lx: f64,
    /// The sun's true elevation, degrees.
    pub sun_elevation_deg: f64,
}

/// A spot's light between two moments, for a figure.
///
/// - `step_s`: from one sample to the next, seconds; the last moment has one too.
pub fn spot_samples(spot: &Spot, from: Timestamp, to: Timestamp, step_s: u32) -> Vec<SpotSample> {
    let bright = bright(spot);
    let sample = |(at, sun): (Timestamp, SunPosition)| SpotSample {
        at,
        illuminance_lx: bright.at(&sun).face.total_lx(),
        sun_elevation_deg: sun.elevation_deg,
    };
    let last = (to, sun_position(to, spot.position));
    SunTrack::new(from, to, spot.position).every(step_s).chain([last]).map(sample).collect()
}

/// Every minute of some days by the wall clock.
fn minutes(
    studio: &Studio,
    zone: &TimeZone,
    spot: &Spot,
    dates: &[Date],
    bright: &SpotLight,
    floor: Ev100,
    tide: Option<&Tide>,
) -> Vec<Vec<Minute>> {
    let mut days = vec![vec![Minute { light: None, stands: Some(true) }; DAY_MIN]; dates.len()];
    let midnight = |date: Date| zone.to_timestamp(date.at(0, 0, 0, 0)).ok();
    let after = dates.last().and_then(|date| date.tomorrow().ok()).and_then(midnight);
    let (Some(first), Some(after)) = (dates.first(), after) else { return days };
    let Some(from) = midnight(*first) else { return days };
    let track = SunTrack::new(from, after, spot.position);
    let count = usize::try_from((after.as_second() - from.as_second()) / 60).unwrap_or(0);
    let has_limit = spot.site.tide.is_some_and(|limits| limits != TideLimits::default());
    let water_m = tide.filter(|_| has_limit).map(|tide| tide.heights_m(from, 60, count));
    let mut offset_s = 0;
    for (index, (at, sun)) in track.every(60).enumerate() {
        // Clocks change on a quarter of an hour, wherever they do.
        if index % 15 == 0 {
            offset_s = i64::from(zone.to_offset(at).seconds());
        }
        let local_s = at.as_second() + offset_s;
        let day = local_s.div_euclid(86_400) - days_from_epoch(*first);
        let minute = usize::try_from(local_s.rem_euclid(86_400) / 60).unwrap_or(0);
        let Some(day) = usize::try_from(day).ok().and_then(|day| days.get_mut(day)) else {
            continue;
        };
        let height_m = water_m.as_ref().and_then(|heights_m| heights_m.get(index).copied());
        day[minute] = Minute {
            light: Some(light(studio, bright, floor, &sun)),
            stands: stands(spot.site.tide, height_m.filter(|height_m| height_m.is_finite())),
        };
    }
    days
}

fn days_from_epoch(date: Date) -> i64 {
    let epoch = Date::constant(1970, 1, 1);
    date.duration_since(epoch).as_hours() / 24
}

fn light(studio: &Studio, bright: &SpotLight, floor: Ev100, sun: &SunPosition) -> MinuteLight {
    let policy = &studio.policy;
    if sun.elevation_deg < policy.last_usable_sun_elevation_deg {
        return MinuteLight::Dark;
    }
    let moment = bright.at(sun);
    if !moment.is_usable(floor) {
        return MinuteLight::Dark;
    }
    match (sun.apparent_elevation_deg >= 0.0, moment.sun_share >= IN_THE_SUN) {
        (false, _) => MinuteLight::Glow,
        (true, false) => MinuteLight::Shade,
        (true, true) if sun.elevation_deg < policy.light.golden_from_deg => MinuteLight::LowSun,
        (true, true) => MinuteLight::HighSun,
    }
}

/// The minutes of a day as runs.
fn day(date: Date, minutes: &[Minute]) -> SpotDay {
    let flooded = runs(minutes, |minute| (minute.stands == Some(false)).then_some(()));
    let light = runs(minutes, |minute| minute.light);
    let end_of = |holds: fn(MinuteLight) -> bool| {
        let last = minutes.iter().rposition(|minute| minute.light.is_some_and(holds));
        last.map(|last| short(last + 1))
    };
    SpotDay {
        date,
        light: light
            .into_iter()
            .map(|(from_min, to_min, light)| MinuteRun { from_min, to_min, light })
            .collect(),
        flooded: flooded.into_iter().map(|(from, to, ())| (from, to)).collect(),
        is_tide_missing: minutes.iter().any(|minute| minute.stands.is_none()),
        last_direct_min: end_of(|light| light >= MinuteLight::LowSun),
        last_usable_min: end_of(|light| light > MinuteLight::Dark),
    }
}

/// Minutes on end with the same of something: from, to, what.
fn runs<T: PartialEq>(minutes: &[Minute], of: impl Fn(&Minute) -> Option<T>) -> Vec<(u16, u16, T)> {
    let mut runs: Vec<(u16, u16, T)> = Vec::new();
    for (index, minute) in minutes.iter().enumerate() {
        let Some(this) = of(minute) else { continue };
        match runs.last_mut() {
            Some((_, to, last)) if *to == short(index) && *last == this => *to = short(index + 1),
            _ => runs.push((short(index), short(index + 1), this)),
        }
    }
    runs
}

fn short(minute: usize) -> u16 {
    u16::try_from(minute).unwrap_or(u16::MAX)
}
