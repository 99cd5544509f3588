use fairspell_almanac::{
    NoSun, Sighting, SightingKind, direct_light_spans, first_direct_light, last_direct_light,
    skyline_sighting::SUN_RADIUS_DEG, sun_day, with_sightings,
};
use fairspell_ground::{LatLon, Ridge, RidgePoint, Skyline, SkylineSector, SkylineStretch};
use jiff::{
    SignedDuration, Timestamp,
    civil::{Date, date},
    tz::TimeZone,
};

use crate::{place, rows, seconds_between, zone};

const SKYLINE_EVENTS: &str = include_str!("../reference/skyline_events.csv");

/// When the disc's last, or first, edge is seen, the edge of the skyline is where the table has it.
/// Its times are rounded to the second, in which the sun moves 0.004°; ephem's refraction differs
/// by 6.5 s at one degree, 0.03°.
#[test]
fn an_edge_stands_where_the_table_has_it() {
    let mut cases = 0;
    for row in rows(SKYLINE_EVENTS) {
        let kind = match row.text("way") {
            "setting" => SightingKind::Left,
            _ => SightingKind::Came,
        };
        for (column, tolerance_deg) in
            [("utc_upper_limb_spa", 0.005), ("utc_upper_limb_ephem", 0.03)]
        {
            let edge = Sighting { at: row.time(column), kind }.edge(row.place()).unwrap();
            let off_deg = edge.height_deg - row.number("skyline_alt_deg");
            assert!(off_deg.abs() <= tolerance_deg, "{off_deg}° in {:?}", row.record);
            let off_deg = edge.azimuth_deg - row.number("azimuth_deg");
            assert!(off_deg.abs() <= 0.03, "{off_deg}° in {:?}", row.record);
        }
        cases += 1;
    }
    assert_eq!(cases, 30);
}

fn lowered(skyline: &Skyline, by_deg: f64) -> Skyline {
    let point = |it: &RidgePoint| RidgePoint { height_deg: it.height_deg - by_deg, ..*it };
    let lower = |stretch: &SkylineStretch| match stretch {
        SkylineStretch::Level(sector) => {
            SkylineSector { height_deg: sector.height_deg - by_deg, ..*sector }.into()
        }
        SkylineStretch::Ridge(ridge) => {
            Ridge { points: ridge.points.iter().map(point).collect() }.into()
        }
    };
    Skyline::of_stretches(skyline.stretches().iter().map(lower).collect())
}

/// When somebody there would see the last of the disc go: its centre is by a radius below.
fn seen_to_leave(day: Date, zone: &TimeZone, spot: LatLon, hill: &Skyline) -> Sighting {
    let at =
        last_direct_light(day, zone, spot, &lowered(hill, SUN_RADIUS_DEG)).timestamp().unwrap();
    Sighting { at, kind: SightingKind::Left }
}

fn steps() -> LatLon {
    place(-31.7177, 152.7849)
}

fn hill(heights_deg: [f64; 2]) -> Skyline {
    let [from, to] = [(240.0, heights_deg[0]), (310.0, heights_deg[1])]
        .map(|(azimuth_deg, height_deg)| RidgePoint { azimuth_deg, height_deg });
    Skyline::of_stretches(vec![Ridge { points: vec![from, to] }.into()])
}

/// Planted hills, level and sloping by up to 0.07° a degree, in spring, at midsummer and in winter.
/// Somebody looks at a watch: whole minutes.
#[test]
fn a_hill_is_found_again_from_one_look_at_the_watch() {
    let zone = zone("Australia/Sydney");
    for heights_deg in [[8.0, 8.0], [3.0, 3.0], [12.0, 12.0], [10.0, 6.0], [4.0, 9.0]] {
        let hill = hill(heights_deg);
        for day in [date(2026, 9, 3), date(2026, 12, 20), date(2026, 6, 21), date(2026, 3, 1)] {
            let last = |day: Date, skyline: &Skyline| -> Timestamp {
                last_direct_light(day, &zone, steps(), skyline).timestamp().unwrap()
            };
            let exact = seen_to_leave(day, &zone, steps(), &hill);
            let inferred = with_sightings(&Skyline::default(), steps(), &[exact]).unwrap();
            inferred.check().unwrap();
            let off_s = seconds_between(last(day, &inferred), last(day, &hill)).abs();
            assert!(off_s <= 30, "{off_s} s on {day} behind {heights_deg:?}");

            let later = day.checked_add(jiff::Span::new().days(7)).unwrap();
            let off_s = seconds_between(last(later, &inferred), last(later, &hill)).abs();
            assert!(off_s <= 180, "{off_s} s a week after {day} behind {heights_deg:?}");

            // By the minute that the watch shows, it is out by as much at most.
            let minute_ms = exact.at.as_millisecond() / 60_000 * 60_000;
            let watch = Sighting { at: Timestamp::from_millisecond(minute_ms).unwrap(), ..exact };
            let inferred = with_sightings(&Skyline::default(), steps(), &[watch]).unwrap();
            let off_s = seconds_between(last(day, &inferred), last(day, &hill));
            assert!((-75..=30).contains(&off_s), "{off_s} s on {day} behind {heights_deg:?}");
        }
    }
}

/// Two evenings three weeks apart give the slope between them.
#[test]
fn two_sightings_make_a_ridge_that_holds_in_between() {
    let (zone, hill) = (zone("Australia/Sydney"), hill([10.0, 6.0]));
    let look = |day| seen_to_leave(day, &zone, steps(), &hill);
    let looks = [look(date(2026, 9, 3)), look(date(2026, 9, 24))];
    let inferred = with_sightings(&Skyline::default(), steps(), &looks).unwrap();
    for day in [date(2026, 9, 3), date(2026, 9, 14), date(2026, 9, 24)] {
        let last = |skyline| last_direct_light(day, &zone, steps(), skyline).timestamp().unwrap();
        let off_s = seconds_between(last(&inferred), last(&hill)).abs();
        assert!(off_s <= 30, "{off_s} s on {day}");
    }
}

#[test]
fn a_sun_that_comes_gives_the_same_edge_as_one_that_leaves() {
    let (zone, day) = (zone("Australia/Sydney"), date(2026, 9, 3));
    let east = SkylineSector { from_azimuth_deg: 60.0, to_azimuth_deg: 100.0, height_deg: 6.0 };
    let hill = Skyline::new(vec![east]);
    let seen = first_direct_light(day, &zone, steps(), &lowered(&hill, SUN_RADIUS_DEG));
    let came = Sighting { at: seen.timestamp().unwrap(), kind: SightingKind::Came };
    let inferred = with_sightings(&Skyline::default(), steps(), &[came]).unwrap();
    let first = |skyline| first_direct_light(day, &zone, steps(), skyline).timestamp().unwrap();
    assert!(seconds_between(first(&inferred), first(&hill)).abs() <= 30);
    // In a span of light as well.
    let (from, to) = (first(&hill) - SignedDuration::from_hours(1), first(&hill));
    let spans = direct_light_spans(from, to + SignedDuration::from_hours(1), steps(), &inferred);
    assert!(seconds_between(spans[0].0, first(&hill)).abs() <= 30);
}

/// Planted: the sun goes behind something when it stands 40° high, far from where it sets.
#[test]
fn a_tower_that_hides_a_high_sun_says_nothing_of_the_west() {
    let at: Timestamp = "2026-09-03T13:30:00+10:00".parse().unwrap();
    let left = Sighting { at, kind: SightingKind::Left };
    let edge = left.edge(steps()).unwrap();
    assert!(edge.height_deg > 35.0, "{edge:?}");
    let inferred = with_sightings(&Skyline::default(), steps(), &[left]).unwrap();
    for (off_deg, height_deg) in [(-5.1, 0.0), (-4.9, edge.height_deg), (4.9, edge.height_deg)] {
        let found_deg = inferred.height_deg(edge.azimuth_deg + off_deg);
        assert!((found_deg - height_deg).abs() < 1e-9, "{found_deg} at {off_deg}");
    }
}

#[test]
fn at_night_nothing_is_learnt() {
    let (zone, day) = (zone("Australia/Sydney"), date(2026, 9, 3));
    let sunset = sun_day(day, &zone, steps()).sunset.timestamp().unwrap();
    // The almanac's sunset is by a convention of 34'; half a minute either way is still daylight.
    for (after_min, is_sun) in [(-2, true), (5, false), (120, false)] {
        let at = sunset + SignedDuration::from_mins(after_min);
        let look = Sighting { at, kind: SightingKind::Left };
        assert_eq!(look.edge(steps()).is_ok(), is_sun, "{after_min} min");
    }
    let at: Timestamp = "2026-09-03T09:00:00Z".parse().unwrap();
    let good = Sighting { at: sunset - SignedDuration::from_mins(40), kind: SightingKind::Left };
    let wrong = Sighting { at, kind: SightingKind::Left };
    let refused: NoSun = with_sightings(&hill([8.0, 8.0]), steps(), &[good, wrong]).unwrap_err();
    assert_eq!(refused.at, at);
    assert!(refused.to_string().starts_with("no sun at 2026-09-03T09:00:00Z: "), "{refused}");
}

#[test]
fn a_sighting_reads_plainly_in_json() {
    let text = r#"{"at":"2026-09-03T06:53:00Z","kind":"left"}"#;
    let look: Sighting = serde_json::from_str(text).unwrap();
    assert_eq!(look.kind, SightingKind::Left);
    assert_eq!(serde_json::to_string(&look).unwrap(), text);
}
