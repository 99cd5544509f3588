//! How often an evening of each month is lost at the studio's place, for a season's risk.

use std::collections::BTreeMap;

use fairspell_almanac::{SUNRISE_DEG, evening_end};
use fairspell_chance::{Persistence, Probability, climate::CORRELATION_DEFAULT};
use fairspell_studio::{Span, Studio};
use fairspell_weather::observed::ObservedRain;
use jiff::{
    ToSpan,
    civil::{Date, Time, time},
    tz::TimeZone,
};

use crate::{
    climate::{ClimateQuestion, ClimateSeen, evening_climate, evening_climate_unseen},
    evening_rain::{EveningRain, RainVoice, by_climate},
};

/// A session's usual length, for evenings that nobody has bought, hours.
const USUAL_H: i64 = 2;

/// Days on either side of a month that count as its climate.
const DAYS_AROUND: u16 = 15;

/// So many days around a month are the whole year.
const ALL_YEAR: u16 = 183;

/// The climate of a studio's evenings, month by month.
#[derive(Debug, Clone, PartialEq)]
pub struct SeasonClimate {
    by_month: BTreeMap<i8, EveningRain>,
    /// Correlation of lost evenings from one day to the next.
    pub correlation: f64,
    /// Who says so.
    pub voice: RainVoice,
    /// The hours that were asked about in the middle month of the year, as an example.
    pub example_hours: (Time, Time),
}

impl SeasonClimate {
    /// The climate of the two hours before sunset at the studio's home.
    ///
    /// - `record`: archived observations of the nearest station; without them our stated default.
    pub fn of(studio: &Studio, zone: &TimeZone, record: Option<&ObservedRain>) -> SeasonClimate {
        let question = |month: i8, days_around: u16| {
            let (from, to) = usual_hours(studio, zone, Date::constant(2026, month, 15));
            ClimateQuestion { month, from, to, days_around }
        };
        let climate = |question: &ClimateQuestion| match record {
            Some(record) => evening_climate(record, zone, question),
            None => evening_climate_unseen(question),
        };
        let by_month: BTreeMap<i8, EveningRain> = (1..=12)
            .map(|month| (month, by_climate(&climate(&question(month, DAYS_AROUND)))))
            .collect();
        let june = question(6, ALL_YEAR);
        let year = climate(&june);
        // Weather that takes a window takes it whole: its persistence is that of the window's rain.
        let correlation = match &year.seen {
            ClimateSeen::Window(window) => window
                .days
                .persistence
                .first()
                .map_or(CORRELATION_DEFAULT, Persistence::correlation_shrunk),
            ClimateSeen::WholeDays(_) | ClimateSeen::Nothing => CORRELATION_DEFAULT,
        };
        SeasonClimate {
            by_month,
            correlation: correlation.clamp(0.0, 0.95),
            voice: by_climate(&year).voice,
            example_hours: (june.from, june.to),
        }
    }

    /// The rain of an evening of a date's month.
    pub fn rain(&self, date: Date) -> Option<&EveningRain> {
        self.by_month.get(&date.month())
    }

    /// The chance that an evening is lost.
    pub fn p_lost(&self, date: Date) -> Probability {
        self.rain(date).map_or(Probability::ZERO, EveningRain::p_lost)
    }
}

/// An evening that nobody has bought: from two hours before sunset to last usable light; `None` where
/// the sun does not set.
pub fn evening_span(studio: &Studio, zone: &TimeZone, date: Date) -> Option<Span> {
    let lowest_deg = studio.policy.last_usable_sun_elevation_deg;
    let to = evening_end(date, zone, studio.home, lowest_deg).timestamp()?;
    let sunset = evening_end(date, zone, studio.home, SUNRISE_DEG).timestamp()?;
    Some(Span { from: sunset - USUAL_H.hours(), to })
}

/// The two hours before sunset, on the clock's quarter; from 16:00 to 18:00 where the sun does not set.
fn usual_hours(studio: &Studio, zone: &TimeZone, date: Date) -> (Time, Time) {
    let Some(sunset) = evening_end(date, zone, studio.home, SUNRISE_DEG).timestamp() else {
        return (time(16, 0, 0, 0), time(18, 0, 0, 0));
    };
    let on_quarter = |at: jiff::Timestamp| {
        let clock = zone.to_datetime(at).time();
        time(clock.hour(), clock.minute() / 15 * 15, 0, 0)
    };
    (on_quarter(sunset - USUAL_H.hours()), on_quarter(sunset))
}
