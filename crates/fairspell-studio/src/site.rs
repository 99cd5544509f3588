//! What a spot is like to light and water: where it opens, its ground, roof and leaves, its tide and
//! hours.
//!
//! All of it may be left unsaid. What nobody has noted limits nothing and adds nothing: a spot
//! without a word about its roof has the light of an open one.

use jiff::civil;
use serde::{Deserialize, Serialize};

use crate::{permit::PermitTerms, road::RoadPoint, studio::Day};

/// One of the eight sides of the compass.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[expect(missing_docs, reason = "the sides of the compass explain themselves")]
pub enum Side {
    North,
    NorthEast,
    East,
    SouthEast,
    South,
    SouthWest,
    West,
    NorthWest,
}

impl Side {
    /// All eight, clockwise from north.
    pub const ALL: [Side; 8] = [
        Side::North,
        Side::NorthEast,
        Side::East,
        Side::SouthEast,
        Side::South,
        Side::SouthWest,
        Side::West,
        Side::NorthWest,
    ];

    /// Its middle, degrees clockwise from true north.
    pub fn azimuth_deg(self) -> f64 {
        45.0 * f64::from(self as u8)
    }

    /// Whether a direction, degrees clockwise from true north, is within so many degrees of its middle.
    pub fn is_within(self, azimuth_deg: f64, reach_deg: f64) -> bool {
        let apart_deg = (azimuth_deg - self.azimuth_deg()).rem_euclid(360.0);
        apart_deg.min(360.0 - apart_deg) <= reach_deg
    }
}

/// What one stands on: it throws light up into a face.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Ground {
    /// Grass, heath, low green.
    Grass,
    /// Dry sand.
    Sand,
    /// Wet sand.
    WetSand,
    /// Pale stone, concrete, shells.
    Stone,
    /// Timber, weathered.
    Boards,
    /// Earth, leaf litter.
    Earth,
    /// Asphalt, dark brick.
    Asphalt,
    /// Water around a jetty or boards.
    Water,
    /// Snow.
    Snow,
}

/// A roof that is open on one side.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Roof {
    /// The side it is open to.
    pub opens_to: Side,
    /// Height of its edge above the ground, metres.
    pub edge_height_m: f64,
    /// How far one can go in under it, metres.
    pub depth_m: f64,
}

/// How much water a spot bears, metres above the datum of the studio's tide.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TideLimits {
    /// From here on it is dry or deep enough to work: a pool or a mirror needs water.
    #[serde(default)]
    pub usable_from_m: Option<f64>,
    /// Above this it is flooded, or there is no sand left.
    #[serde(default)]
    pub usable_to_m: Option<f64>,
    /// Up to here there is all the room there can be; from here to `usable_to_m` it narrows.
    #[serde(default)]
    pub wide_to_m: Option<f64>,
}

/// Hours at which a spot is open.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OpenHours {
    /// On which days; empty is every day.
    #[serde(default)]
    pub days: Vec<Day>,
    /// When it opens.
    pub from: civil::Time,
    /// When it shuts; before `from` it is past midnight.
    pub to: civil::Time,
}

/// What stands behind a face at a spot.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Backdrop {
    /// What it is, as the studio's table of looks names it or in other words: "dry grass".
    pub name: String,
    /// The months in which it looks so, 1 to 12; empty is all year.
    #[serde(default)]
    pub months: Vec<i8>,
}

impl Backdrop {
    /// Whether it looks so in a month, 1 to 12.
    pub fn is_there_in(&self, month: i8) -> bool {
        self.months.is_empty() || self.months.contains(&month)
    }
}

/// What a spot is like to light and water.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Site {
    /// The sides to which one can look out from it; empty is all round.
    pub opens_to: Vec<Side>,
    /// Sides with something dark in the background: rims of light and rain show against it.
    pub dark_towards: Vec<Side>,
    /// What one stands on.
    pub ground: Option<Ground>,
    /// The roof, where there is one.
    pub roof: Option<Roof>,
    /// The share of the light that leaves overhead let through, 0 to 1; `None` without leaves.
    pub leaves_let_through: Option<f64>,
    /// How much water it bears.
    pub tide: Option<TideLimits>,
    /// When it is open; empty is always.
    pub hours: Vec<OpenHours>,
    /// Whether lamps light it after dark.
    pub lamps: bool,
    /// The walk to it from the car, minutes.
    pub walk_min: u32,
    /// What its owner asks of somebody who works there; `None` where nobody does.
    pub permit: Option<PermitTerms>,
    /// What stands behind a face there, by month.
    pub backdrops: Vec<Backdrop>,
    /// What the road from home passes on its way there, in order.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub road: Vec<RoadPoint>,
}

/// Whether something with these hours is open at a wall-clock time; without any it always is, and on
/// the minute it shuts it is shut.
pub fn open_at(hours: &[OpenHours], at: civil::DateTime) -> bool {
    let on = |hours: &OpenHours, date: civil::Date| {
        hours.days.is_empty() || hours.days.contains(&Day::from(date.weekday()))
    };
    let holds = |hours: &OpenHours| {
        let (date, time) = (at.date(), at.time());
        if hours.from < hours.to {
            return on(hours, date) && (hours.from..hours.to).contains(&time);
        }
        let yesterday = date.yesterday();
        (on(hours, date) && time >= hours.from)
            || yesterday.is_ok_and(|date| on(hours, date) && time < hours.to)
    };
    hours.is_empty() || hours.iter().any(holds)
}

/// How far beside the middle of a side still counts as that side, degrees: the eight sides overlap a
/// little, as a hand that points at them does.
const SIDE_REACH_DEG: f64 = 35.0;

impl Site {
    /// Whether one can look out in a direction, degrees clockwise from true north.
    pub fn opens_towards(&self, azimuth_deg: f64) -> bool {
        let is_there = |side: &Side| side.is_within(azimuth_deg, SIDE_REACH_DEG);
        self.opens_to.is_empty() || self.opens_to.iter().any(is_there)
    }

    /// Whether something dark stands in a direction, degrees clockwise from true north.
    pub fn is_dark_towards(&self, azimuth_deg: f64) -> bool {
        self.dark_towards.iter().any(|side| side.is_within(azimuth_deg, SIDE_REACH_DEG))
    }

    /// Whether it is open at a wall-clock time; on the minute it shuts it is shut.
    ///
    /// # Examples
    ///
    /// ```
    /// use fairspell_studio::site::{OpenHours, Site};
    /// use fairspell_studio::studio::Day;
    /// use jiff::civil::{date, time};
    ///
    /// let hours = OpenHours {
    ///     days: vec![Day::Tuesday, Day::Thursday],
    ///     from: time(8, 0, 0, 0),
    ///     to: time(19, 30, 0, 0),
    /// };
    /// let veranda = Site { hours: vec![hours], ..Site::default() };
    /// assert!(veranda.is_open(date(2026, 9, 3).at(19, 29, 0, 0)));
    /// assert!(!veranda.is_open(date(2026, 9, 3).at(19, 30, 0, 0)));
    /// assert!(!veranda.is_open(date(2026, 9, 5).at(12, 0, 0, 0)), "a Saturday");
    /// ```
    pub fn is_open(&self, at: civil::DateTime) -> bool {
        open_at(&self.hours, at)
    }

    /// The first number in it that cannot be, with its value.
    pub(crate) fn first_wrong(&self) -> Option<(&'static str, String)> {
        let roof = self.roof.as_ref();
        let tide = self.tide.unwrap_or_default();
        let numbers = [
            ("the height of the roof's edge", roof.map(|roof| roof.edge_height_m), 1.8..=30.0),
            ("the depth of the roof", roof.map(|roof| roof.depth_m), 0.2..=100.0),
            ("the light through the leaves", self.leaves_let_through, 0.0..=1.0),
            ("the lowest tide", tide.usable_from_m, -20.0..=20.0),
            ("the highest tide", tide.usable_to_m, -20.0..=20.0),
            ("the tide with room", tide.wide_to_m, -20.0..=20.0),
            ("the walk from the car", Some(f64::from(self.walk_min)), 0.0..=600.0),
            ("the fee of the permit", self.permit.as_ref().map(|permit| permit.fee), 0.0..=1e6),
        ];
        let limits = self.road.iter().flat_map(|point| {
            [
                ("the tide at a point of the road", point.tide_limit_m, -20.0..=20.0),
                ("the rain at a point of the road", point.closes_after_rain_mm_24h, 0.0..=2000.0),
            ]
        });
        let is_wrong = |(_, value, range): &(_, Option<f64>, std::ops::RangeInclusive<f64>)| {
            value.is_some_and(|value| !range.contains(&value))
        };
        if let Some((what, value, _)) = numbers.into_iter().chain(limits).find(is_wrong) {
            return Some((what, value.unwrap_or_default().to_string()));
        }
        let months = self.backdrops.iter().flat_map(|backdrop| &backdrop.months);
        if let Some(month) = months.into_iter().find(|month| !(1..=12).contains(*month)) {
            return Some(("a month of a backdrop", month.to_string()));
        }
        if self.backdrops.iter().any(|backdrop| backdrop.name.trim().is_empty()) {
            return Some(("the name of a backdrop", "empty".to_owned()));
        }
        if self.road.iter().any(|point| point.name.trim().is_empty()) {
            return Some(("the name of a point of the road", "empty".to_owned()));
        }
        let highest_m = tide.usable_to_m.unwrap_or(f64::INFINITY);
        let lowest_m = tide.wide_to_m.or(tide.usable_from_m).unwrap_or(f64::NEG_INFINITY);
        if lowest_m > highest_m {
            return Some(("the highest tide", format!("{highest_m}, below {lowest_m}")));
        }
        None
    }
}
