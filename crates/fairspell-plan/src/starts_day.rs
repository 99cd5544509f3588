//! One half of a date in slots of five minutes: what light each spot has for each look.

use fairspell_almanac::{
    Crossing, SUNRISE_DEG, SunPosition, evening_end, last_direct_light, morning_start, sun_position,
};
use fairspell_ground::LatLon;
use fairspell_studio::{Spot, Studio, site::TideLimits};
use jiff::{Timestamp, ToSpan, civil::Date, tz::TimeZone};

use crate::{
    light_wish::SpotMoment,
    spot_surroundings::surroundings,
    starts::{Bound, GREETING_MIN, PlacedLook, SLOT_MIN, StartQuestion, wall},
    starts_order::Placed,
};

/// An evening session begins at most so long before sunset, hours.
const EVENING_H: i64 = 4;
/// A session at dawn ends at most so long after sunrise, hours.
const DAWN_H: i64 = 3;
/// Where the sun does not set an evening lasts between these hours by the clock.
const BRIGHT_NIGHT_H: (i8, i8) = (17, 23);

/// A morning or an evening, from its first possible greeting to the end of its light.
#[derive(Debug, Clone)]
pub(crate) struct Half {
    pub(crate) at_dawn: bool,
    /// The first look begins here at the earliest, on the clock's five minutes.
    pub(crate) from: Timestamp,
    pub(crate) slots: usize,
    pub(crate) light_ends: Timestamp,
    /// Whether the sun sets in it: not in a morning, nor in a bright night.
    pub(crate) has_sunset: bool,
    pub(crate) school_out: Option<Timestamp>,
}

/// The halves of a date in which a session may lie.
pub(crate) fn halves(
    studio: &Studio,
    zone: &TimeZone,
    date: Date,
    place: LatLon,
    school_to_spot_min: i64,
    has_dawn: bool,
) -> Vec<Half> {
    let evening = evening(studio, zone, date, place, school_to_spot_min);
    let dawn = has_dawn.then(|| dawn(studio, zone, date, place)).flatten();
    dawn.into_iter().chain(evening).collect()
}

fn evening(
    studio: &Studio,
    zone: &TimeZone,
    date: Date,
    place: LatLon,
    school_to_spot_min: i64,
) -> Option<Half> {
    let lowest_deg =
        studio.policy.light.blue_to_deg.min(studio.policy.last_usable_sun_elevation_deg);
    let clock = |hour: i8| zone.to_timestamp(date.at(hour, 0, 0, 0)).ok();
    let darkest = match evening_end(date, zone, place, lowest_deg) {
        Crossing::At(end) => end,
        Crossing::AlwaysAbove => clock(BRIGHT_NIGHT_H.1)?,
        Crossing::AlwaysBelow => return None,
    };
    // The six crossings of a whole day of the sun would cost more than the search itself.
    let sunset = evening_end(date, zone, place, SUNRISE_DEG);
    let begins = match sunset {
        Crossing::At(sunset) => sunset - EVENING_H.hours(),
        Crossing::AlwaysAbove => clock(BRIGHT_NIGHT_H.0)?,
        Crossing::AlwaysBelow => darkest - EVENING_H.hours(),
    };
    let out = studio.school.as_ref().and_then(|school| school.out_at(date));
    let school_out = out.and_then(|time| zone.to_timestamp(date.to_datetime(time)).ok());
    let after_school = school_out.map(|out| out + school_to_spot_min.minutes());
    let greeted = after_school.map_or(begins, |there| there.max(begins)) + GREETING_MIN.minutes();
    let last_usable_deg = studio.policy.last_usable_sun_elevation_deg;
    let light_ends = evening_end(date, zone, place, last_usable_deg).timestamp();
    let light_ends = light_ends.unwrap_or(darkest);
    let half = half(false, greeted, darkest, light_ends, school_out)?;
    Some(Half { has_sunset: sunset.timestamp().is_some(), ..half })
}

fn dawn(studio: &Studio, zone: &TimeZone, date: Date, place: LatLon) -> Option<Half> {
    let sunrise = morning_start(date, zone, place, SUNRISE_DEG).timestamp()?;
    let first_light = morning_start(date, zone, place, studio.policy.light.blue_to_deg);
    let ends = sunrise + DAWN_H.hours();
    half(true, first_light.timestamp()?, ends, ends, None)
}

/// The stretch of a session that stands already, whatever half of the day it lies in.
pub(crate) fn booked_half(first_look: Timestamp, stretch_min: u32) -> Option<Half> {
    // Each look may be rounded up to whole slots: an hour more holds them.
    let to = first_look + i64::from(stretch_min).minutes() + 1.hour();
    half(false, first_look, to, to, None)
}

fn half(
    at_dawn: bool,
    from: Timestamp,
    to: Timestamp,
    light_ends: Timestamp,
    school_out: Option<Timestamp>,
) -> Option<Half> {
    let grid_s = i64::from(SLOT_MIN) * 60;
    let first_s = from.as_second().div_euclid(grid_s) * grid_s;
    let first_s = if first_s < from.as_second() { first_s + grid_s } else { first_s };
    let slots = usize::try_from((to.as_second() - first_s).div_euclid(grid_s)).ok()?;
    let from = Timestamp::from_second(first_s).ok()?;
    (slots > 0).then_some(Half { at_dawn, from, slots, light_ends, has_sunset: false, school_out })
}

/// Scores of every look at every spot in every slot, summed so that any stretch is one difference.
pub(crate) struct Table<'a> {
    pub(crate) spots: Vec<&'a Spot>,
    pub(crate) slots: usize,
    /// Slots from one spot to another.
    road: Vec<usize>,
    from: Timestamp,
    sun: Vec<SunPosition>,
    is_direct: Vec<bool>,
    /// Sum of scores before a slot, for (look, spot).
    sums: Vec<f64>,
    /// Count of unusable slots before a slot, for (look, spot).
    unusable: Vec<u32>,
    /// Whether a spot was left out of a slot because nobody knows the tide.
    pub(crate) is_tide_missing: bool,
    tide_m: &'a dyn Fn(Timestamp) -> Option<f64>,
}

impl<'a> Table<'a> {
    pub(crate) fn new(
        studio: &Studio,
        zone: &TimeZone,
        question: &StartQuestion<'a>,
        half: &Half,
        place: LatLon,
        tide_m: &'a dyn Fn(Timestamp) -> Option<f64>,
    ) -> Self {
        let spots = question.spots.clone();
        let middle = |slot: usize| at_slot(half.from, slot) + (i64::from(SLOT_MIN) * 30).seconds();
        let sun: Vec<SunPosition> =
            (0..half.slots).map(|slot| sun_position(middle(slot), place)).collect();
        let water_m: Vec<Option<f64>> = (0..half.slots).map(|slot| tide_m(middle(slot))).collect();
        let width = half.slots + 1;
        let mut sums = vec![0.0; question.looks.len() * spots.len() * width];
        let mut unusable = vec![0; sums.len()];
        let mut is_direct = Vec::with_capacity(spots.len() * half.slots);
        let mut is_tide_missing = false;
        for (index, spot) in spots.iter().enumerate() {
            let around = surroundings(spot, false);
            for slot in 0..half.slots {
                let light = SpotMoment::at(spot, &around, &sun[slot]);
                let stands = stands(spot.site.tide, water_m[slot]);
                is_tide_missing |= stands.is_none();
                let is_open = stands == Some(true) && spot.site.is_open(wall(zone, middle(slot)));
                is_direct.push(light.is_direct);
                for (look, wanted) in question.looks.iter().enumerate() {
                    let at = (look * spots.len() + index) * width + slot;
                    let elsewhere = wanted.spot.as_ref().is_some_and(|id| *id != spot.id);
                    let is_usable = is_open && !elsewhere;
                    let score = if is_usable {
                        light.grants(spot, &studio.policy, wanted.wants)
                    } else {
                        0.0
                    };
                    sums[at + 1] = sums[at] + score;
                    unusable[at + 1] = unusable[at] + u32::from(score <= 0.0);
                }
            }
        }
        let road = roads(&spots);
        let (slots, from) = (half.slots, half.from);
        Table { spots, slots, road, from, sun, is_direct, sums, unusable, is_tide_missing, tide_m }
    }

    /// The mean score of a look at a spot over some slots; `None` where one of them is unusable.
    pub(crate) fn grants(&self, look: usize, spot: usize, from: usize, to: usize) -> Option<f64> {
        if to > self.slots || from >= to {
            return None;
        }
        let row = (look * self.spots.len() + spot) * (self.slots + 1);
        let is_usable = self.unusable[row + to] == self.unusable[row + from];
        let sum = self.sums[row + to] - self.sums[row + from];
        is_usable.then(|| sum / (to - from) as f64)
    }

    /// Slots on the way from one spot to another.
    pub(crate) fn road(&self, from: usize, to: usize) -> usize {
        self.road[from * self.spots.len() + to]
    }

    /// A look of the answer.
    pub(crate) fn placed(&self, question: &StartQuestion<'_>, placed: &Placed) -> PlacedLook {
        let (from, to) = (placed.slot, placed.slot + placed.slots);
        let row = placed.spot * self.slots;
        let direct = (from..to).filter(|slot| self.is_direct[row + slot]).count();
        let last = to.saturating_sub(1);
        let begins = at_slot(self.from, from);
        PlacedLook {
            look: placed.look,
            spot: self.spots[placed.spot].id.clone(),
            from: begins,
            to: begins + i64::from(question.looks[placed.look].minutes).minutes(),
            score: self.grants(placed.look, placed.spot, from, to).unwrap_or(0.0),
            sun_elevation_deg: (self.sun[from].elevation_deg, self.sun[last].elevation_deg),
            sun_azimuth_deg: self.sun[usize::midpoint(from, last)].azimuth_deg,
            direct_share: direct as f64 / placed.slots.max(1) as f64,
        }
    }

    /// What bounds the evening at the spots of the answer.
    pub(crate) fn bounds(
        &self,
        zone: &TimeZone,
        looks: &[PlacedLook],
        session: (Timestamp, Timestamp),
    ) -> Vec<Bound> {
        let date = wall(zone, session.0).date();
        let is_used = |spot: &&&Spot| looks.iter().any(|look| look.spot == spot.id);
        let mut bounds = Vec::new();
        for spot in self.spots.iter().filter(is_used) {
            let id = || spot.id.clone();
            let leaves = last_direct_light(date, zone, spot.position, &spot.skyline).timestamp();
            let half = at_slot(self.from, 0)..=at_slot(self.from, self.slots);
            let counts =
                |at: &Timestamp| spot.site.roof.is_none() && *at >= session.0 && half.contains(at);
            bounds.extend(leaves.filter(counts).map(|at| Bound::SunLeaves(id(), at)));
            if let Some(limits) = spot.site.tide {
                let dry = |at: Timestamp| stands(Some(limits), (self.tide_m)(at));
                bounds.extend(self.changes(dry).into_iter().map(|(at, opens)| {
                    if opens { Bound::TideOpens(id(), at) } else { Bound::TideShuts(id(), at) }
                }));
            }
            let is_open = |at: Timestamp| Some(spot.site.is_open(wall(zone, at)));
            let shuts = self.changes(is_open).into_iter().filter(|change| !change.1);
            bounds.extend(shuts.map(|(at, _)| Bound::Shuts(id(), at)));
        }
        bounds
    }

    /// The minutes within the half at which something changes, each with what to. Where it begins or
    /// ends being known nothing has changed.
    fn changes(&self, holds: impl Fn(Timestamp) -> Option<bool>) -> Vec<(Timestamp, bool)> {
        let minute = |minute: usize| at_slot(self.from, 0) + minute_span(minute);
        let states: Vec<Option<bool>> =
            (0..=self.slots * usize::from(SLOT_MIN)).map(|at| holds(minute(at))).collect();
        let changed = |(before, pair): (usize, &[Option<bool>])| {
            let (was, is) = (pair[0]?, pair[1]?);
            (was != is).then(|| (minute(before + 1), is))
        };
        states.windows(2).enumerate().filter_map(changed).collect()
    }
}

/// Whether a spot can be stood on with so much water; `None` where it has a limit and nobody knows.
pub(crate) fn stands(limits: Option<TideLimits>, water_m: Option<f64>) -> Option<bool> {
    let limits = limits.unwrap_or_default();
    let (from_m, to_m) = (limits.usable_from_m, limits.usable_to_m);
    if from_m.is_none() && to_m.is_none() {
        return Some(true);
    }
    let water_m = water_m?;
    Some(from_m.is_none_or(|from_m| water_m >= from_m) && to_m.is_none_or(|to_m| water_m <= to_m))
}

fn at_slot(from: Timestamp, slot: usize) -> Timestamp {
    from + minute_span(slot * usize::from(SLOT_MIN))
}

fn minute_span(minutes: usize) -> jiff::Span {
    i64::try_from(minutes).unwrap_or(i64::MAX).minutes()
}

/// On foot, minutes a kilometre with bags.
const FOOT_MIN_KM: f64 = 15.0;
/// By car within a place, minutes a kilometre.
const CAR_MIN_KM: f64 = 2.0;
/// Into the car and out again, minutes.
const PACK_MIN: f64 = 3.0;

/// Minutes from one spot to another: on foot, or by car where that is quicker.
pub(crate) fn road_min(a: &Spot, b: &Spot) -> f64 {
    let km = a.position.distance_km(b.position);
    let walks = f64::from(a.site.walk_min + b.site.walk_min);
    (FOOT_MIN_KM * km).min(walks + PACK_MIN + CAR_MIN_KM * km)
}

/// Slots between all pairs of spots.
fn roads(spots: &[&Spot]) -> Vec<usize> {
    let pairs = spots.iter().flat_map(|a| spots.iter().map(move |b| road_min(a, b)));
    pairs.map(slots_of).collect()
}

/// Whole slots that hold so many minutes.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "minutes of a session, never negative"
)]
pub(crate) fn slots_of(minutes: f64) -> usize {
    (minutes / f64::from(SLOT_MIN) - 1e-9).ceil().clamp(0.0, 10_000.0) as usize
}
