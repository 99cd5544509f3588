//! How often an evening of each month is lost at the studio's place, for a season's risk.

use fairspell_almanac::{SUNRISE_DEG, evening_end, morning_start};
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
    evening_rain::{DAYS_AROUND, EveningRain, RainVoice, by_climate},
};

/// A session's usual length, for evenings that nobody has bought, hours.
const USUAL_H: i64 = 2;

/// So many days around a month are the whole year.
const ALL_YEAR: u16 = 183;

/// Which end of the day a session is made at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DayHalf {
    /// About dawn.
    Morning,
    /// Before sunset.
    Evening,
}

impl DayHalf {
    /// Of a session that begins at a time by the clock.
    pub fn of(start: Time) -> DayHalf {
        if start.hour() < 12 { DayHalf::Morning } else { DayHalf::Evening }
    }
}

/// The climate of a studio's evenings and mornings, month by month.
#[derive(Debug, Clone, PartialEq)]
pub struct SeasonClimate {
    /// January first.
    evenings: [EveningRain; 12],
    mornings: [EveningRain; 12],
    /// Correlation of lost evenings from one day to the next.
    pub correlation: f64,
    /// Who says so, with the evenings of the whole year, each in its month's hours.
    pub voice: RainVoice,
}

impl SeasonClimate {
    /// The climate of the two hours before sunset, and of those after sunrise, at the studio's home.
    ///
    /// - `record`: archived observations of the nearest station; without them our stated default.
    pub fn of(studio: &Studio, zone: &TimeZone, record: Option<&ObservedRain>) -> SeasonClimate {
        let question = |month: i8, days_around: u16, half: DayHalf| {
            let (from, to) = usual_hours(studio, zone, Date::constant(2026, month, 15), half);
            ClimateQuestion { month, from, to, days_around }
        };
        let climate = |question: &ClimateQuestion| match record {
            Some(record) => evening_climate(record, zone, question),
            None => evening_climate_unseen(question),
        };
        let months: [i8; 12] = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12];
        let halves = |half: DayHalf| {
            months.map(|month| by_climate(&climate(&question(month, DAYS_AROUND, half))))
        };
        let year = climate(&question(6, ALL_YEAR, DayHalf::Evening));
        let alone = |month| by_climate(&climate(&question(month, 0, DayHalf::Evening))).voice;
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
            evenings: halves(DayHalf::Evening),
            mornings: halves(DayHalf::Morning),
            correlation: correlation.clamp(0.0, 0.95),
            voice: whole_year(months.map(alone)),
        }
    }

    /// The rain of one half of a day of a date's month.
    pub fn rain(&self, date: Date, half: DayHalf) -> &EveningRain {
        let month = usize::try_from(date.month() - 1).unwrap_or_default();
        match half {
            DayHalf::Morning => &self.mornings[month.min(11)],
            DayHalf::Evening => &self.evenings[month.min(11)],
        }
    }

    /// The chance that a session there is lost.
    pub fn p_lost(&self, date: Date, half: DayHalf) -> Probability {
        self.rain(date, half).p_lost()
    }
}

/// Who speaks of all months, with their evenings summed; the last that speaks gives the name.
fn whole_year(months: [RainVoice; 12]) -> RainVoice {
    months.into_iter().fold(RainVoice::Default, |sum, month| match (sum, month) {
        (
            RainVoice::Climate { evenings: before, wet: wet_before, .. },
            RainVoice::Climate { station, evenings, wet },
        ) => RainVoice::Climate { station, evenings: before + evenings, wet: wet_before + wet },
        (known @ RainVoice::Climate { .. }, _) => known,
        (_, month) => month,
    })
}

/// An evening that nobody has bought: from two hours before sunset to last usable light; `None` where
/// the sun does not set.
pub fn evening_span(studio: &Studio, zone: &TimeZone, date: Date) -> Option<Span> {
    let lowest_deg = studio.policy.last_usable_sun_elevation_deg;
    let to = evening_end(date, zone, studio.home, lowest_deg).timestamp()?;
    let sunset = evening_end(date, zone, studio.home, SUNRISE_DEG).timestamp()?;
    Some(Span { from: sunset - USUAL_H.hours(), to })
}

/// The two hours before sunset or after sunrise, on the clock's quarter; from 16:00 or 6:00 on where the sun
/// does neither.
fn usual_hours(studio: &Studio, zone: &TimeZone, date: Date, half: DayHalf) -> (Time, Time) {
    let on_quarter = |at: jiff::Timestamp| {
        let clock = zone.to_datetime(at).time();
        time(clock.hour(), clock.minute() / 15 * 15, 0, 0)
    };
    match half {
        DayHalf::Morning => {
            let sunrise = morning_start(date, zone, studio.home, SUNRISE_DEG).timestamp();
            sunrise.map_or((time(6, 0, 0, 0), time(8, 0, 0, 0)), |sunrise| {
                (on_quarter(sunrise), on_quarter(sunrise + USUAL_H.hours()))
            })
        }
        DayHalf::Evening => {
            let sunset = evening_end(date, zone, studio.home, SUNRISE_DEG).timestamp();
            sunset.map_or((time(16, 0, 0, 0), time(18, 0, 0, 0)), |sunset| {
                (on_quarter(sunset - USUAL_H.hours()), on_quarter(sunset))
            })
        }
    }
}
