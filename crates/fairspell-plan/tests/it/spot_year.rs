//! A spot's year held against the almanac's and the tide's own answers.

use fairspell_almanac::{
    evening_end, last_direct_light,
    tide::{ConstituentConstants, HarmonicConstants, HarmonicTide, NodalCorrection, Tide},
};
use fairspell_plan::{MinuteLight, SpotDay, spot_year};
use fairspell_studio::{
    Side, Site, Spot, Studio,
    site::{Roof, TideLimits},
};
use jiff::{
    Timestamp,
    civil::{Date, date},
    tz::TimeZone,
};

use crate::world;

/// From dark to high sun, behind the hill in the evening, and to dark again.
const LIGHTS_OF_A_DAY: [MinuteLight; 7] = [
    MinuteLight::Dark,
    MinuteLight::Glow,
    MinuteLight::LowSun,
    MinuteLight::HighSun,
    MinuteLight::Shade,
    MinuteLight::Glow,
    MinuteLight::Dark,
];

fn zone() -> TimeZone {
    TimeZone::get("Australia/Sydney").unwrap()
}

fn spot(hill_deg: f64, site: Site) -> Spot {
    Spot { site, ..world::spot("steps", world::studio().home, hill_deg) }
}

fn year(spot: &Spot, tide: Option<&Tide>) -> Vec<SpotDay> {
    spot_year(&world::studio(), &zone(), spot, 2026, tide)
}

fn minute(at: Timestamp) -> i64 {
    let at = zone().to_datetime(at);
    i64::from(at.hour()) * 60 + i64::from(at.minute())
}

fn light_at(day: &SpotDay, minute: u16) -> Option<MinuteLight> {
    let run = day.light.iter().find(|run| (run.from_min..run.to_min).contains(&minute));
    run.map(|run| run.light)
}

#[test]
fn the_sun_leaves_in_the_minute_that_the_almanac_says() {
    let spot = spot(8.0, Site::default());
    for day in year(&spot, None) {
        let leaves = last_direct_light(day.date, &zone(), spot.position, &spot.skyline);
        let asked = minute(leaves.timestamp().unwrap());
        let found = i64::from(day.last_direct_min.unwrap());
        assert!((found - asked - 1).abs() <= 1, "{}: {found} for {asked}", day.date);
    }
}

#[test]
fn work_ends_by_the_owners_height_of_the_sun_or_sooner_for_want_of_light() {
    let studio = world::studio();
    let spot = spot(0.0, Site::default());
    let lowest_deg = studio.policy.last_usable_sun_elevation_deg;
    for day in year(&spot, None).iter().step_by(9) {
        let darkest = evening_end(day.date, &zone(), spot.position, lowest_deg).timestamp();
        let usable = i64::from(day.last_usable_min.unwrap());
        assert!(usable <= minute(darkest.unwrap()) + 1, "{}", day.date);
        // ISO 3200, f/2 and 1/250 s need 78 lux, which a clear sky has until the sun is 3 down.
        let bright = evening_end(day.date, &zone(), spot.position, -2.0).timestamp();
        assert!(usable > minute(bright.unwrap()), "{}", day.date);
    }
}

#[test]
fn every_minute_of_the_clock_has_its_light_but_the_hour_that_is_skipped() {
    let year = year(&spot(8.0, Site::default()), None);
    assert_eq!((year.len(), year[0].date), (365, date(2026, 1, 1)));
    for day in &year {
        let minutes: u32 = day.light.iter().map(|run| u32::from(run.to_min - run.from_min)).sum();
        let skipped = if day.date == date(2026, 10, 4) { 60 } else { 0 };
        assert_eq!(minutes, 1440 - skipped, "{}", day.date);
        assert!(day.light.windows(2).all(|pair| pair[0].to_min <= pair[1].from_min));
    }
    let forward = year.iter().find(|day| day.date == date(2026, 10, 4)).unwrap();
    assert_eq!(light_at(forward, 150), None, "02:30 does not come that day");
}

#[test]
fn light_comes_in_its_order_from_dark_to_high_sun_and_back() {
    let year = year(&spot(8.0, Site::default()), None);
    let evening = &year.iter().find(|day| day.date == date(2026, 9, 3)).unwrap();
    let lights: Vec<MinuteLight> = evening.light.iter().map(|run| run.light).collect();
    // The world's hill stands in the west and hides all of the evening's gold.
    assert_eq!(lights, LIGHTS_OF_A_DAY);
}

#[test]
fn under_a_roof_the_sun_comes_in_from_its_open_side_only() {
    let roof = Roof { opens_to: Side::East, edge_height_m: 2.6, depth_m: 3.0 };
    let spot = spot(0.0, Site { roof: Some(roof), ..Site::default() });
    for day in year(&spot, None).iter().step_by(13) {
        assert!(day.last_direct_min.unwrap() < 720, "{}: {:?}", day.date, day.last_direct_min);
        assert_eq!(light_at(day, 900), Some(MinuteLight::Shade));
    }
}

#[test]
fn water_over_the_limit_floods_and_an_unknown_tide_is_said() {
    let limits = TideLimits { usable_to_m: Some(1.2), ..TideLimits::default() };
    let beach = spot(0.0, Site { tide: Some(limits), ..Site::default() });
    let m2 = ConstituentConstants { name: "M2".into(), amplitude_m: 0.5, phase_lag_deg: 300.0 };
    let constants = HarmonicConstants {
        name: "Steps".into(),
        datum: "chart datum".into(),
        mean_level_m: 1.0,
        phase_zone: "utc".into(),
        nodal: NodalCorrection::None,
        constituents: vec![m2],
    };
    let tide = Tide::Harmonic(HarmonicTide::new(&constants).unwrap());
    let known = year(&beach, Some(&tide));
    let mut wet = 0;
    for day in known.iter().step_by(17) {
        for at_min in 0..1440_u16 {
            let at = midnight(day.date) + jiff::Span::new().minutes(i64::from(at_min));
            let is_over = tide.height_m(at).unwrap() > 1.2;
            let is_flooded = day.flooded.iter().any(|(from, to)| (*from..*to).contains(&at_min));
            assert_eq!(is_flooded, is_over, "{} minute {at_min}", day.date);
            wet += u32::from(is_over);
        }
        assert!(!day.is_tide_missing);
    }
    assert!(wet > 5_000);
    let unknown = year(&beach, None);
    assert!(unknown.iter().all(|day| day.is_tide_missing && day.flooded.is_empty()));
    let inland = year(&spot(0.0, Site::default()), None);
    assert!(inland.iter().all(|day| !day.is_tide_missing));
}

fn midnight(date: Date) -> Timestamp {
    zone().to_timestamp(date.at(0, 0, 0, 0)).unwrap()
}

#[test]
fn where_the_sun_stays_up_and_where_it_stays_down_there_is_a_year_too() {
    let studio = Studio { time_zone: "Europe/Oslo".into(), ..world::studio() };
    let zone = TimeZone::get("Europe/Oslo").unwrap();
    let north = fairspell_ground::LatLon::new(69.65, 18.96).unwrap();
    let spot = Spot { position: north, ..spot(0.0, Site::default()) };
    let year = spot_year(&studio, &zone, &spot, 2026, None);
    let day = |date: Date| year.iter().find(|day| day.date == date).unwrap();
    let midsummer = day(date(2026, 6, 21));
    assert_eq!((midsummer.last_direct_min, midsummer.last_usable_min), (Some(1440), Some(1440)));
    assert_eq!(day(date(2026, 12, 21)).last_direct_min, None);
}
