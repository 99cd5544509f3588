//! What is to be expected of an evening's rain, days or months ahead.
//!
//! A forecast that reaches so far speaks first, through the same [`outlook`](mod@crate::outlook) as on
//! the day; beyond it the place's climate does, as counts of past evenings. Which of them spoke is part
//! of the answer: a count of past evenings is never shown as a forecast.

use fairspell_chance::{
    Probability,
    climate::{Counts, DEFAULT_WEIGHT},
};
use fairspell_studio::{Band, Session, Studio, gates, rule};
use fairspell_weather::observed::ObservedRain;
use jiff::{Timestamp, tz::TimeZone};

use crate::{
    Seen,
    climate::{
        ClimateQuestion, ClimateSeen, DryRuns, EveningClimate, P_RAIN_DEFAULT, evening_climate,
        evening_climate_unseen,
    },
};

/// Forecasts are asked no further ahead, days: beyond it they say no more than the climate does.
const FORECAST_DAYS: i32 = 10;

/// Days on either side of a month that count as its climate.
pub(crate) const DAYS_AROUND: u16 = 15;

/// Who speaks of an evening's rain.
#[derive(Debug, Clone, PartialEq)]
pub enum RainVoice {
    /// A forecast.
    Forecast {
        /// Whose.
        source: String,
        /// When it was made.
        issued: Timestamp,
    },
    /// Counts of past evenings at a station.
    Climate {
        /// The station, by name or id.
        station: String,
        /// How many evenings were counted.
        evenings: usize,
        /// In how many of them it rained.
        wet: usize,
    },
    /// Our stated default, because the station's record has whole days only, and no hours.
    WholeDays {
        /// The station, by name or id.
        station: String,
    },
    /// Our stated default, because no evening of these hours is in any record that was imported.
    Default,
}

/// An evening's rain, as far as anybody knows.
#[derive(Debug, Clone, PartialEq)]
pub struct EveningRain {
    /// The chance of any rain in the session's hours.
    pub p_rain: Probability,
    /// The chance of one dry gap long enough; `None` where nobody can say.
    pub p_gap: Option<Probability>,
    /// Who says so.
    pub voice: RainVoice,
    /// Where the policy would put it by what was fetched: a warning counts also where no forecast
    /// speaks of the rain. `None` beyond the reach of forecasts.
    pub band: Option<Band>,
    /// Whether a forecast should reach that far, but none is there that can be used.
    pub is_forecast_missing: bool,
}

impl EveningRain {
    /// The chance that the evening is lost: that no dry gap comes, or, where nobody can say, that it
    /// rains at all.
    pub fn p_lost(&self) -> Probability {
        let no_gap = self.p_gap.and_then(|gap| Probability::new(1.0 - gap.get()));
        no_gap.map_or(self.p_rain, |no_gap| {
            if no_gap.get() < self.p_rain.get() { no_gap } else { self.p_rain }
        })
    }
}

/// What to expect of a session's hours, where it stands or would stand.
///
/// - `seen`: what had been fetched by `as_of`.
/// - `record`: archived observations of the nearest station, where there are any.
pub fn evening_rain(
    studio: &Studio,
    zone: &TimeZone,
    session: &Session,
    as_of: Timestamp,
    seen: &Seen,
    record: Option<&ObservedRain>,
) -> EveningRain {
    let by_climate = || by_climate(&climate_of(zone, session, record));
    let today = zone.to_datetime(as_of).date();
    let ahead = today.until(session.start.date()).map_or(i32::MAX, |span| span.get_days());
    if !(0..=FORECAST_DAYS).contains(&ahead) {
        return by_climate();
    }
    let outlook = crate::outlook(studio, zone, session, as_of, seen).ok();
    let band = outlook.as_ref().and_then(|outlook| {
        let gates = gates(studio, zone, session).ok()?;
        Some(rule(studio, session, &gates, outlook).band)
    });
    match outlook.as_ref().and_then(|outlook| Some((outlook, outlook.p_any_rain.as_ref()?))) {
        Some((outlook, rain)) => EveningRain {
            p_rain: rain.value.centre,
            p_gap: outlook.p_gap.as_ref().map(|gap| gap.value.centre),
            voice: RainVoice::Forecast { source: rain.source.clone(), issued: rain.issued },
            band,
            is_forecast_missing: false,
        },
        None => EveningRain { band, is_forecast_missing: true, ..by_climate() },
    }
}

/// The climate of a session's hours in its month.
pub fn climate_of(
    zone: &TimeZone,
    session: &Session,
    record: Option<&ObservedRain>,
) -> EveningClimate {
    let from = session.start;
    let minutes = i64::from(session.duration_min);
    let to = from.saturating_add(jiff::SignedDuration::from_mins(minutes));
    let question = ClimateQuestion {
        month: from.date().month(),
        from: from.time(),
        to: to.time(),
        days_around: DAYS_AROUND,
    };
    match record {
        Some(record) => evening_climate(record, zone, &question),
        None => evening_climate_unseen(&question),
    }
}

pub(crate) fn by_climate(climate: &EveningClimate) -> EveningRain {
    let p_rain = climate.p_rain.centre;
    let by_default = EveningRain {
        p_rain,
        p_gap: None,
        voice: RainVoice::Default,
        band: None,
        is_forecast_missing: false,
    };
    let Some(station) = &climate.station else { return by_default };
    let name = station.name.clone().unwrap_or_else(|| station.station.clone());
    let window = match &climate.seen {
        ClimateSeen::Window(window) if window.days.counts.known > 0 => window,
        ClimateSeen::WholeDays(_) => {
            return EveningRain { voice: RainVoice::WholeDays { station: name }, ..by_default };
        }
        ClimateSeen::Window(_) | ClimateSeen::Nothing => return by_default,
    };
    let voice = RainVoice::Climate {
        station: name,
        evenings: window.days.counts.known,
        wet: window.days.counts.wet,
    };
    EveningRain { p_gap: window.gaps.as_ref().map(|gaps| p_gap(&gaps.all)), voice, ..by_default }
}

/// The chance of a gap, from windows with a whole dry hour in them.
///
/// A dry hour is a gap for sure; gaps inside of wet hours are not seen by an hourly gauge, so this is
/// the least that it can be. A short record is drawn toward the default chance of rain.
fn p_gap(runs: &DryRuns) -> Probability {
    let lost = Counts { known: runs.windows, wet: runs.windows - runs.with_dry_hour };
    let p_lost = lost.shrunk(Probability::clamped(P_RAIN_DEFAULT), DEFAULT_WEIGHT).centre;
    Probability::clamped(1.0 - p_lost.get())
}
