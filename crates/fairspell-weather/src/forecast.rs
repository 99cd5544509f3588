//! One forecast, whatever the service: each chance with the period that it belongs to.

use fairspell_chance::{Chance, Character, Probability};
use fairspell_ground::LatLon;
use jiff::Timestamp;

/// The document that a forecast was read from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Service {
    /// Hourly list of the US National Weather Service.
    NwsHourly,
    /// Raw grid layers of the same.
    NwsGridpoint,
    /// Locationforecast 2.0 of the Norwegian Meteorological Institute, compact or complete.
    MetLocationforecast,
}

impl Service {
    /// The least amount that the service's chance of rain speaks of, mm over the period.
    pub fn threshold_mm(self) -> f64 {
        match self {
            // A hundredth of an inch.
            Service::NwsHourly | Service::NwsGridpoint => 0.254,
            Service::MetLocationforecast => 0.1,
        }
    }
}

/// What a service says of the coming days at one place.
///
/// Nothing in it depends on the time at which it is read. Whether it is too old is for whoever knows
/// the time: `reference_time` says when it was made, and services have been seen to hand out documents
/// that were days old.
#[derive(Debug, Clone, PartialEq)]
pub struct Forecast {
    /// Where it comes from.
    pub service: Service,
    /// The point that it is for, or the middle of its grid square.
    pub place: LatLon,
    /// When it was made.
    pub reference_time: Timestamp,
    /// Chances of rain in the order of time, never overlapping. Time that none of them covers is
    /// unknown, not dry.
    pub rain: Vec<RainStatement>,
    /// Amounts with the periods that the service states them for, in the order of time, never
    /// overlapping. Their periods need not be those of `rain`.
    pub rain_amounts: Vec<RainAmount>,
    /// The rest of the weather in the order of time, never overlapping.
    pub conditions: Vec<Condition>,
    /// Chances of rain hour by hour, as the service's own page shows them to a family. Several hours
    /// with the same figure are often one statement repeated: calculate with `rain`.
    pub listed_hourly: Vec<PeriodChance>,
}

impl Forecast {
    /// The first moment that it says anything of; `None` when it says nothing.
    pub fn starts(&self) -> Option<Timestamp> {
        self.periods().map(|(from, _)| from).min()
    }

    /// The end of the last period that it says anything of.
    pub fn ends(&self) -> Option<Timestamp> {
        self.periods().map(|(_, to)| to).max()
    }

    /// The chances of rain whose periods have a moment in common with a window.
    pub fn rain_during(
        &self,
        from: Timestamp,
        to: Timestamp,
    ) -> impl Iterator<Item = &RainStatement> {
        self.rain.iter().filter(move |rain| rain.from < to && from < rain.to)
    }

    /// The rest of the weather during a window.
    pub fn conditions_during(
        &self,
        from: Timestamp,
        to: Timestamp,
    ) -> impl Iterator<Item = &Condition> {
        self.conditions.iter().filter(move |condition| condition.from < to && from < condition.to)
    }

    /// The largest figure that the service's page shows for an hour of the window.
    ///
    /// A family reads this one, and it is not the chance of rain in the window.
    pub fn largest_listed(&self, from: Timestamp, to: Timestamp) -> Option<PeriodChance> {
        let listed = self.listed_hourly.iter().filter(|hour| hour.from < to && from < hour.to);
        // The earliest of several equal ones.
        listed.copied().reduce(|best, hour| if hour.p > best.p { hour } else { best })
    }

    fn periods(&self) -> impl Iterator<Item = (Timestamp, Timestamp)> + '_ {
        let rain = self.rain.iter().map(|rain| (rain.from, rain.to));
        rain.chain(self.conditions.iter().map(|condition| (condition.from, condition.to)))
    }
}

/// Who says a chance.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Basis {
    /// The service.
    Stated,
    /// We do, from the amount that the service states.
    OurEstimate,
}

/// The chance of at least `threshold_mm` of rain at the place within one period.
///
/// The chance is for the period as a whole. An hour of a six-hour period is less likely to be wet than
/// the six hours are.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RainStatement {
    /// Start of the period.
    pub from: Timestamp,
    /// Its end.
    pub to: Timestamp,
    /// The chance; `None` where the service leaves it open.
    pub p_rain: Option<Probability>,
    /// The least amount that counts as rain, mm over the period.
    pub threshold_mm: f64,
    /// Who says so.
    pub basis: Basis,
    /// The range of a chance that is [`Basis::OurEstimate`]; `None` for a stated one.
    pub spread: Option<Chance>,
    /// The amount, where the service states one for just this period.
    pub amount: Option<RainAmount>,
}

/// An amount of rain over a period, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RainAmount {
    /// Start of the period.
    pub from: Timestamp,
    /// Its end.
    pub to: Timestamp,
    /// The expected amount.
    pub rain_amount_mm: f64,
    /// An amount that is very probably exceeded.
    pub rain_amount_min_mm: Option<f64>,
    /// An amount that is very probably not exceeded.
    pub rain_amount_max_mm: Option<f64>,
}

/// A chance with the period that it belongs to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PeriodChance {
    /// Start of the period.
    pub from: Timestamp,
    /// Its end.
    pub to: Timestamp,
    /// The chance that it happens within the period.
    pub p: Probability,
}

/// The weather of an hour or a few, rain apart. Whatever the service does not say is `None`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Condition {
    /// Start of the period.
    pub from: Timestamp,
    /// Its end.
    pub to: Timestamp,
    /// Air temperature, °C.
    pub air_temperature_c: Option<f64>,
    /// Dew point, °C.
    pub dew_point_c: Option<f64>,
    /// Relative humidity, 0..=1.
    pub relative_humidity: Option<f64>,
    /// Mean wind at 10 m, km/h; the larger end where the service states a range.
    pub wind_speed_km_h: Option<f64>,
    /// Gusts, km/h.
    pub wind_gust_km_h: Option<f64>,
    /// Where the wind comes from, degrees clockwise from true north.
    pub wind_from_direction_deg: Option<f64>,
    /// Share of the sky covered by cloud, 0..=1.
    pub cloud_area_fraction: Option<f64>,
    /// The chance of thunder, with its own period, which may be longer than this one.
    pub p_thunder: Option<PeriodChance>,
    /// Whether the service's words or symbol speak of thunder, however unlikely.
    pub thunder: Option<bool>,
    /// How it would rain, where the service's words or symbol speak of rain.
    pub rain_character: Option<Character>,
}

impl Condition {
    /// A period of which nothing is known yet.
    pub(crate) fn unknown(from: Timestamp, to: Timestamp) -> Condition {
        Condition {
            from,
            to,
            air_temperature_c: None,
            dew_point_c: None,
            relative_humidity: None,
            wind_speed_km_h: None,
            wind_gust_km_h: None,
            wind_from_direction_deg: None,
            cloud_area_fraction: None,
            p_thunder: None,
            thunder: None,
            rain_character: None,
        }
    }

    /// Whether anything is known of it.
    pub(crate) fn says_something(&self) -> bool {
        *self != Condition::unknown(self.from, self.to)
    }
}
