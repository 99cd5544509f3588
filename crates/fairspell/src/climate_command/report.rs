//! Past evenings as JSON.

use fairspell_chance::{Chance, Counts, Persistence, Probability, climate::DEFAULT_WEIGHT};
use fairspell_ground::LatLon;
use fairspell_plan::{
    ClimateSeen, EveningClimate,
    climate::{
        AfterWindow, DaySeries, DryRuns, GapsSeen, P_RAIN_DAY_DEFAULT, P_RAIN_DEFAULT, WET_MM,
    },
};
use jiff::{civil::Date, tz::TimeZone};
use serde::Serialize;

use super::{kind, next_day_range};
use crate::json::rounded;

/// What is printed of past evenings; its keys are stable.
#[derive(Serialize)]
pub(super) struct ClimateReport<'a> {
    place: LatLon,
    zone: &'a str,
    month: i8,
    days_around: u16,
    from: String,
    to: String,
    rain_from_mm: f64,
    p_rain: Chance,
    assumed: Assumed,
    station: Option<StationReport<'a>>,
    window: Option<SeriesReport<'a>>,
    whole_days: Option<SeriesReport<'a>>,
    gaps: Option<GapsReport<'a>>,
    after: Option<Vec<AfterReport>>,
}

#[derive(Serialize)]
struct Assumed {
    p_rain: f64,
    p_rain_day: f64,
    counts_for: f64,
}

#[derive(Serialize)]
struct StationReport<'a> {
    station: &'a str,
    name: Option<&'a str>,
    position: Option<LatLon>,
    distance_km: Option<f64>,
    record: &'static str,
    first: Option<Date>,
    last: Option<Date>,
    years: usize,
}

#[derive(Serialize)]
struct SeriesReport<'a> {
    known: usize,
    wet: usize,
    unknown: usize,
    p_rain: Chance,
    persistence: &'a [Persistence],
    correlation: f64,
    difference_range: Option<Range>,
}

#[derive(Serialize)]
struct Range {
    low: f64,
    high: f64,
}

#[derive(Serialize)]
struct GapsReport<'a> {
    all: RunsReport<'a>,
    wet: RunsReport<'a>,
}

#[derive(Serialize)]
struct RunsReport<'a> {
    windows: usize,
    with_dry_hour: usize,
    longest_dry_hours: &'a [usize],
}

#[derive(Serialize)]
struct AfterReport {
    hours: i64,
    after_wet: Counts,
    after_dry: Counts,
}

/// What is printed of past evenings.
pub(super) fn report<'a>(
    climate: &'a EveningClimate,
    place: LatLon,
    distance_km: Option<f64>,
    zone: &'a TimeZone,
) -> ClimateReport<'a> {
    let question = &climate.question;
    let (window, whole_days) = match &climate.seen {
        ClimateSeen::Window(window) => (Some(window), None),
        ClimateSeen::WholeDays(days) => (None, Some(days)),
        ClimateSeen::Nothing => (None, None),
    };
    let station = climate.station.as_ref().map(|station| StationReport {
        station: &station.station,
        name: station.name.as_deref(),
        position: station.position,
        distance_km: distance_km.map(rounded),
        record: kind(window.is_some()),
        first: station.span.map(|(first, _)| first),
        last: station.span.map(|(_, last)| last),
        years: station.years,
    });
    let after = |after: &AfterWindow| AfterReport {
        hours: after.hours,
        after_wet: after.after_wet,
        after_dry: after.after_dry,
    };
    ClimateReport {
        place,
        zone: zone.iana_name().unwrap_or_default(),
        month: question.month,
        days_around: question.days_around,
        from: question.from.strftime("%H:%M").to_string(),
        to: question.to.strftime("%H:%M").to_string(),
        rain_from_mm: WET_MM,
        p_rain: chance(&climate.p_rain),
        assumed: Assumed {
            p_rain: P_RAIN_DEFAULT,
            p_rain_day: P_RAIN_DAY_DEFAULT,
            counts_for: DEFAULT_WEIGHT,
        },
        station,
        window: window.map(|window| series(&window.days)),
        whole_days: whole_days.map(series),
        gaps: window.and_then(|window| window.gaps.as_ref()).map(gaps),
        after: window.map(|window| window.after.iter().map(after).collect()),
    }
}

fn series(days: &DaySeries) -> SeriesReport<'_> {
    let next_day = days.persistence.first();
    let range = next_day_range(days);
    SeriesReport {
        known: days.counts.known,
        wet: days.counts.wet,
        unknown: days.unknown,
        p_rain: chance(&days.p_rain),
        persistence: &days.persistence,
        correlation: rounded(next_day.map_or(0.0, Persistence::correlation_shrunk)),
        difference_range: range.map(|(low, high)| Range { low: rounded(low), high: rounded(high) }),
    }
}

fn gaps(gaps: &GapsSeen) -> GapsReport<'_> {
    GapsReport { all: runs(&gaps.all), wet: runs(&gaps.wet) }
}

fn runs(runs: &DryRuns) -> RunsReport<'_> {
    RunsReport {
        windows: runs.windows,
        with_dry_hour: runs.with_dry_hour,
        longest_dry_hours: &runs.longest_dry_hours,
    }
}

/// A chance to four decimals.
fn chance(chance: &Chance) -> Chance {
    let [low, centre, high] =
        [chance.low, chance.centre, chance.high].map(|p| Probability::clamped(rounded(p.get())));
    Chance::new(low, centre, high).expect("rounding keeps the order")
}
