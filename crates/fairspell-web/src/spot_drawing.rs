//! From a spot's year to its pictures.

use fairspell_almanac::{PhaseBounds, SunPhase, phases, sun_day};
use fairspell_figures::{
    Danger, Evening, LightRun, LightSample, Mark, Year, YearDay, YearKey, YearLight,
};
use fairspell_plan::{MinuteLight, SpotDay, spot_samples};
use fairspell_studio::{Policy, Span, Spot};
use fairspell_words::{clock::clock, screens::spot_light as words};
use jiff::{Timestamp, ToSpan, civil::Date, tz::TimeZone};

use crate::drawing::ticks;

/// An evening is drawn from so long before its last light, hours.
const EVENING_H: i64 = 3;

/// The light is sampled this often, seconds.
const STEP_S: u32 = 120;

/// The hours of a year's picture, minutes: nobody portrays by the light of earlier or later ones.
const SHOWN_MIN: (f64, f64) = (240.0, 1320.0);

/// The evening of a date at a spot, by a clear sky; `None` where there is no light to work by.
pub(crate) fn spot_evening(zone: &TimeZone, spot: &Spot, day: &SpotDay) -> Option<Evening> {
    let to = moment(zone, day.date, day.last_usable_min?)?;
    let hours = Span { from: to - EVENING_H.hours(), to };
    let at_min = |at: Timestamp| at.duration_since(hours.from).as_secs_f64() / 60.0;
    let wall = |minute: u16| moment(zone, day.date, minute).map(at_min);
    let samples = spot_samples(spot, hours.from, hours.to, STEP_S);
    let mut marks: Vec<(Timestamp, String)> = Vec::new();
    let leaves = day.last_direct_min.and_then(|minute| moment(zone, day.date, minute));
    let sets = sun_day(day.date, zone, spot.position).sunset.timestamp();
    marks.extend(leaves.map(|at| (at, words::mark_sun_leaves(&clock(at, zone)))));
    marks.extend(sets.map(|at| (at, words::mark_sunset(&clock(at, zone)))));
    marks.push((to, words::mark_last_light(&clock(to, zone))));
    let heading = words::evening_heading(day.date, &spot.name);
    Some(Evening {
        description: format!("{heading}. {}", words::last_light(day.last_usable_min)),
        heading,
        summary: words::CLEAR.to_owned(),
        span_min: hours.minutes(),
        ticks: ticks(zone, hours),
        light: samples
            .iter()
            .map(|sample| LightSample {
                at_min: at_min(sample.at),
                illuminance_lx: sample.illuminance_lx,
                sun_elevation_deg: sample.sun_elevation_deg,
            })
            .collect(),
        dangers: day
            .flooded
            .iter()
            .filter_map(|(from, to)| {
                let label = words::CLOSED_BY_TIDE.to_owned();
                Some(Danger { from_min: wall(*from)?, to_min: wall(*to)?, label })
            })
            .collect(),
        marks: marks.into_iter().map(|(at, label)| Mark { at_min: at_min(at), label }).collect(),
        without_rain: true,
        ..Evening::default()
    })
}

/// A minute of a date's wall clock as a moment; 1440 is the next midnight.
fn moment(zone: &TimeZone, date: Date, minute: u16) -> Option<Timestamp> {
    let midnight = date.at(0, 0, 0, 0);
    zone.to_timestamp(midnight.checked_add(i64::from(minute).minutes()).ok()?).ok()
}

/// Golden and blue light of a date, each with whether it is golden.
pub(crate) fn golden_and_blue(
    policy: &Policy,
    zone: &TimeZone,
    spot: &Spot,
    date: Date,
) -> [(bool, Vec<(Timestamp, Timestamp)>); 2] {
    let bounds = PhaseBounds {
        golden_from_deg: policy.light.golden_from_deg,
        golden_to_deg: policy.light.golden_to_deg,
        blue_to_deg: policy.light.blue_to_deg,
    };
    let spans = phases(date, zone, spot.position, bounds);
    let of = |phase: SunPhase| {
        spans.iter().filter(|span| span.phase == phase).map(|span| (span.from, span.to)).collect()
    };
    [(true, of(SunPhase::Golden)), (false, of(SunPhase::Blue))]
}

/// A spot's year, with one of its dates marked.
pub(crate) fn year_figure(spot: &Spot, chosen: Date, year: &[SpotDay]) -> Year {
    let date_at = |by: fn(u16, u16) -> bool| {
        let days = year.iter().filter_map(|day| Some((day.date, day.last_direct_min?)));
        days.reduce(|best, day| if by(day.1, best.1) { day } else { best })
    };
    let (latest, earliest) = (date_at(|a, b| a > b), date_at(|a, b| a < b));
    let first_of = |month: usize| {
        let is_first = |day: &SpotDay| {
            day.date.day() == 1 && usize::from(day.date.month().unsigned_abs()) == month
        };
        year.iter().position(is_first)
    };
    let months = words::MONTHS.iter().enumerate();
    let [high_sun, low_sun, shade, glow, dark, flooded, last_direct, last_usable] =
        words::KEY.map(str::to_owned);
    Year {
        heading: words::year_heading(&spot.name, chosen.year()),
        description: words::year_description(&spot.name, chosen.year(), latest, earliest),
        days: year.iter().map(year_day).collect(),
        from_min: SHOWN_MIN.0,
        to_min: SHOWN_MIN.1,
        months: months
            .filter_map(|(index, name)| Some((first_of(index + 1)?, (*name).to_owned())))
            .collect(),
        hours: (2..=7_u16)
            .map(|third| (f64::from(180 * third), words::minute_clock(180 * third)))
            .collect(),
        chosen: year
            .iter()
            .position(|day| day.date == chosen)
            .map(|index| (index, words::long_date(chosen))),
        key: YearKey { high_sun, low_sun, shade, glow, dark, flooded, last_direct, last_usable },
    }
}

fn year_day(day: &SpotDay) -> YearDay {
    let run = |run: &fairspell_plan::MinuteRun| LightRun {
        from_min: f64::from(run.from_min),
        to_min: f64::from(run.to_min),
        light: match run.light {
            MinuteLight::Dark => YearLight::Dark,
            MinuteLight::Glow => YearLight::Glow,
            MinuteLight::Shade => YearLight::Shade,
            MinuteLight::LowSun => YearLight::LowSun,
            MinuteLight::HighSun => YearLight::HighSun,
        },
    };
    let flooded = day.flooded.iter();
    YearDay {
        light: day.light.iter().map(run).collect(),
        flooded: flooded.map(|(from, to)| (f64::from(*from), f64::from(*to))).collect(),
        last_direct_min: day.last_direct_min.map(f64::from),
        last_usable_min: day.last_usable_min.map(f64::from),
    }
}
