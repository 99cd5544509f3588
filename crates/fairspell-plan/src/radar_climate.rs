//! What a studio's own radar pictures said of its spots, as a record of past hours.
//!
//! A picture is a rate of rain at one moment. Between two pictures that follow each other closely the rain
//! is the mean of both rates; an hour is known where such pairs cover nearly all of it, and not known
//! otherwise: pictures are fetched for sessions, and what was not looked at is no dry hour.
//!
//! A radar sees rain aloft, through other rain, and over hills: such a record stands beside those of
//! gauges, and speaks only where its owner lets it.

use std::collections::BTreeMap;

use fairspell_studio::{RadarFigure, Spot};
use fairspell_weather::observed::{HourRain, ObservedRain, Record};
use jiff::Timestamp;

/// How the ids of such records begin; the spot's own follows.
const BEGINNING: &str = "radar:";

/// Pictures farther apart than this leave the time between them unknown, seconds (our choice: services
/// send one every 5 to 15 minutes).
const STEP_MAX_S: i64 = 20 * 60;

/// An hour is known where so much of it lies between pictures, seconds (our choice).
const COVERED_S: i64 = 55 * 60;

const HOUR_S: i64 = 3600;

/// What one hour gathers.
#[derive(Debug, Clone, Copy, Default)]
struct Gathered {
    covered_s: i64,
    amount_mm: f64,
}

/// The hours of a spot that its radar pictures cover, in order; `None` where they cover none.
///
/// - `figures`: what pictures said of this spot, in any order; of several at one moment the wettest counts.
///
/// # Examples
///
/// ```
/// use fairspell_plan::radar_climate::radar_record;
/// use fairspell_weather::observed::Record;
/// # use fairspell_studio::{RadarFigure, Spot};
/// # let spot: Spot = serde_json::from_str(
/// #     r#"{ "id": "jetty", "name": "Old Jetty", "cover": "none", "position": { "lat_deg": -31.7, "lon_deg": 152.8 } }"#,
/// # )?;
/// // A picture every ten minutes from 6:00 to 7:00, each with 3 mm/h.
/// let figures: Vec<RadarFigure> = (0..=6)
///     .map(|step| RadarFigure {
///         spot: "jetty".to_owned(),
///         source: "a radar".to_owned(),
///         valid_time: jiff::Timestamp::from_second(6 * 3600 + 600 * step).unwrap(),
///         fetched_at: jiff::Timestamp::from_second(8 * 3600).unwrap(),
///         rain_rate_mm_h: Some(3.0),
///         rain_rate_max_nearby_mm_h: Some(3.0),
///         wet_share: Some(1.0),
///         coverage: 1.0,
///     })
///     .collect();
/// let record = radar_record(&spot, &figures).expect("a whole hour");
/// let Record::Hourly(hours) = record.record else { panic!("hours") };
/// assert_eq!(hours.len(), 1);
/// assert!((hours[0].amount_mm.expect("known") - 3.0).abs() < 1e-9);
/// # Ok::<(), serde_json::Error>(())
/// ```
pub fn radar_record(spot: &Spot, figures: &[RadarFigure]) -> Option<ObservedRain> {
    let mut rates: BTreeMap<i64, Option<f64>> = BTreeMap::new();
    for figure in figures.iter().filter(|figure| figure.spot == spot.id) {
        let known = rates.entry(figure.valid_time.as_second()).or_default();
        *known = match (*known, figure.rain_rate_mm_h) {
            (Some(one), Some(other)) => Some(one.max(other)),
            (one, other) => one.or(other),
        };
    }
    let mut hours: BTreeMap<i64, Gathered> = BTreeMap::new();
    let moments: Vec<(i64, Option<f64>)> = rates.into_iter().collect();
    for pair in moments.windows(2) {
        let ((from_s, before), (to_s, after)) = (pair[0], pair[1]);
        let (Some(before), Some(after)) = (before, after) else { continue };
        if to_s - from_s > STEP_MAX_S {
            continue;
        }
        let rate_mm_h = f64::midpoint(before, after);
        let (first, last) = (from_s.div_euclid(HOUR_S), (to_s - 1).div_euclid(HOUR_S));
        for hour in first..=last {
            let within_s = to_s.min((hour + 1) * HOUR_S) - from_s.max(hour * HOUR_S);
            let gathered = hours.entry(hour).or_default();
            gathered.covered_s += within_s;
            gathered.amount_mm += rate_mm_h * within_s as f64 / HOUR_S as f64;
        }
    }
    let known: Vec<HourRain> = hours
        .into_iter()
        .filter(|(_, gathered)| gathered.covered_s >= COVERED_S)
        .filter_map(|(hour, gathered)| {
            let from = Timestamp::from_second(hour * HOUR_S).ok()?;
            Some(HourRain { from, amount_mm: Some(gathered.amount_mm) })
        })
        .collect();
    (!known.is_empty()).then(|| ObservedRain {
        station: format!("{BEGINNING}{}", spot.id),
        name: Some(format!("radar over {}", spot.name)),
        position: Some(spot.position),
        record: Record::Hourly(known),
    })
}

/// Whether a station's id is that of such a record.
pub fn is_radar(station: &str) -> bool {
    station.starts_with(BEGINNING)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn figure(minute: i64, rain_rate_mm_h: Option<f64>) -> RadarFigure {
        let moment = Timestamp::from_second(60 * minute).unwrap();
        RadarFigure {
            spot: "jetty".to_owned(),
            source: "a radar".to_owned(),
            valid_time: moment,
            fetched_at: moment,
            rain_rate_mm_h,
            rain_rate_max_nearby_mm_h: None,
            wet_share: None,
            coverage: 1.0,
        }
    }

    fn hours(figures: &[RadarFigure]) -> Vec<(i64, f64)> {
        let jetty: Spot = serde_json::from_str(
            r#"{ "id": "jetty", "name": "Old Jetty", "cover": "none", "position": { "lat_deg": -31.7, "lon_deg": 152.8 } }"#,
        )
        .unwrap();
        let Some(record) = radar_record(&jetty, figures) else { return Vec::new() };
        let Record::Hourly(hours) = record.record else { panic!("not hourly") };
        let told = |hour: &HourRain| (hour.from.as_second() / HOUR_S, hour.amount_mm.unwrap());
        hours.iter().map(told).collect()
    }

    #[test]
    fn rain_between_pictures_is_spread_over_the_hours_it_fell_in() {
        // 6 mm/h at 0:55 and at 1:05, dry before and after: 0.75 mm in each hour.
        let rate = |minute| if (55..=65).contains(&minute) { 6.0 } else { 0.0 };
        let figures: Vec<_> = (0..=24).map(|at| figure(5 * at, Some(rate(5 * at)))).collect();
        let found = hours(&figures);
        assert_eq!(found.iter().map(|hour| hour.0).collect::<Vec<_>>(), [0, 1]);
        assert!(found.iter().all(|hour| (hour.1 - 0.75).abs() < 1e-9), "{found:?}");
    }

    #[test]
    fn what_was_not_looked_at_is_no_dry_hour() {
        let ten =
            |minutes: std::ops::RangeInclusive<i64>| minutes.map(|at| figure(10 * at, Some(0.0)));
        let half: Vec<_> = ten(0..=3).collect();
        assert_eq!(hours(&half), []);
        let mut with_a_hole: Vec<_> = ten(0..=6).collect();
        with_a_hole[3].rain_rate_mm_h = None;
        assert_eq!(hours(&with_a_hole), [], "one picture did not reach the spot");
        let apart = [figure(0, Some(0.0)), figure(30, Some(0.0)), figure(60, Some(0.0))];
        assert_eq!(hours(&apart), [], "half an hour between pictures");
        assert_eq!(hours(&ten(0..=6).collect::<Vec<_>>()).len(), 1);
    }

    #[test]
    fn of_two_radars_at_one_moment_the_wetter_one_counts() {
        let mut figures: Vec<_> = (0..=6).map(|at| figure(10 * at, Some(0.0))).collect();
        figures.extend((0..=6).map(|at| RadarFigure {
            source: "another radar".to_owned(),
            ..figure(10 * at, Some(2.0))
        }));
        assert!((hours(&figures)[0].1 - 2.0).abs() < 1e-9);
    }
}
