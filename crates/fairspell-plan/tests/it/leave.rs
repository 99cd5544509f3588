//! The leave gate: what may become a go and what never does, the road, the wait, the blend.

use fairspell_almanac::tide::{HarmonicConstants, NodalCorrection, TideTable};
use fairspell_chance::{Chance, Character, Probability, p_dry_gap};
use fairspell_ground::LatLon;
use fairspell_plan::{
    LeaveAdvice, LeaveStep, Seen, SeenWarnings,
    leave::{
        LeaveReason, LookUp, RoadCheck, RoadState, Voice, Way, busy_gap, busy_share,
        wet_share_ahead,
    },
    leave_advice, standing,
};
use fairspell_studio::{
    RoadPoint, Session, Studio, Tier,
    site::OpenHours,
    studio::{Expected, TideSource},
};
use fairspell_weather::{WarningBoard, read_warnings};
use jiff::{
    Timestamp, ToSpan,
    civil::{self, time},
};
use proptest::prelude::*;

use crate::world::{
    LEAVE_BY, at, forecast, no_warnings, p, radar, seen, seen_forecast, session, studio, zone,
};

fn advice_of(studio: &Studio, session: &Session, as_of: Timestamp, seen: &Seen) -> LeaveAdvice {
    let standing = standing(studio, &zone(), session, as_of, seen).unwrap();
    leave_advice(studio, &zone(), session, &standing, seen).unwrap()
}

fn advice(as_of: &str, seen: &Seen) -> LeaveAdvice {
    advice_of(&studio(), &session(), at(as_of), seen)
}

fn minutes(from: Timestamp, to: Timestamp) -> f64 {
    to.duration_since(from).as_secs_f64() / 60.0
}

#[test]
fn a_dry_evening_with_everything_seen_is_a_go() {
    let advice = advice(LEAVE_BY, &seen(at(LEAVE_BY), 3.0));
    assert_eq!(advice.step, LeaveStep::Go);
    assert_eq!(advice.warnings, []);
    assert!(advice.p_gap.unwrap().value.centre.get() > 0.95);
    let shares: f64 = advice.says.iter().map(|say| say.share).sum();
    assert!((0.95..=1.0 + 1e-9).contains(&shares), "{:?}", advice.says);
}

/// Where radar reaches all of the hours, the figure is the outlook's own.
#[test]
fn within_the_radars_reach_the_chance_is_that_of_the_outlook() {
    let as_of = at(LEAVE_BY);
    let seen = seen(as_of, 30.0);
    let standing = standing(&studio(), &zone(), &session(), as_of, &seen).unwrap();
    let advice = leave_advice(&studio(), &zone(), &session(), &standing, &seen).unwrap();
    let (own, outlooks) = (advice.p_gap.unwrap(), standing.outlook.p_gap.unwrap());
    assert_eq!(
        (own.hours, &own.source, own.issued),
        (outlooks.hours, &outlooks.source, outlooks.issued)
    );
    let ends: [fn(&Chance) -> Probability; 3] = [|it| it.low, |it| it.centre, |it| it.high];
    for end in ends {
        let apart = end(&own.value).get() - end(&outlooks.value).get();
        assert!(apart.abs() < 1e-6, "{apart}");
    }
    assert_eq!(advice.says.iter().map(|say| say.voice).collect::<Vec<_>>(), [Voice::RadarTrack]);
}

#[test]
fn the_wait_is_what_is_left_of_the_light_less_the_drive_and_the_set() {
    let far = |minutes| {
        let mut session = session();
        session.drive.minutes = minutes;
        session
    };
    for drive_min in [0, 15, 60, 140] {
        for as_of in ["2026-09-03T02:00:00Z", LEAVE_BY, "2026-09-03T06:10:00Z"] {
            let as_of = at(as_of);
            let times = advice_of(&studio(), &far(drive_min), as_of, &seen(as_of, 3.0)).times;
            let drive = f64::from(drive_min);
            let left = minutes(as_of, times.last_usable) - drive - 25.0;
            assert!((times.wait_at_home_min - left).abs() < 1e-9, "{drive_min} min at {as_of}");
            assert!((minutes(as_of, times.latest) - left).abs() < 1e-9);
            // Arrival in good time, or as soon as can be.
            let start = at("2026-09-03T05:15:00Z");
            assert!((minutes(times.for_the_start, start) - drive - 30.0).abs() < 1e-9);
            assert_eq!(times.leaving_at, as_of.max(times.for_the_start));
            let works_from = times.arrives_at.max(start);
            let at_place = minutes(works_from, times.last_usable) - 25.0;
            assert!((times.wait_at_place_min - at_place).abs() < 1e-9);
        }
    }
}

#[test]
fn too_late_is_no_whatever_the_sky_and_just_in_time_is_not() {
    let as_of = at(LEAVE_BY);
    let latest = advice(LEAVE_BY, &seen(as_of, 3.0)).times.latest;
    let at_latest = advice_of(&studio(), &session(), latest, &seen(latest, 3.0));
    assert!(at_latest.times.wait_at_home_min.abs() < 1e-9);
    assert_eq!(at_latest.step, LeaveStep::Go);
    assert_eq!(at_latest.waiting, None);
    let later = latest + 1.minute();
    let too_late = advice_of(&studio(), &session(), later, &seen(later, 3.0));
    assert_eq!(too_late.step, LeaveStep::No);
    assert_eq!(too_late.reasons[0], LeaveReason::TooLate { latest });
}

#[test]
fn a_steady_rain_without_a_gap_is_no_go_and_a_doubtful_sky_is_held() {
    let as_of = at(LEAVE_BY);
    let mut wet = seen(as_of, 95.0);
    wet.radar = Some(radar(as_of - 4.minutes(), as_of, 3.0));
    let drowned = advice(LEAVE_BY, &wet);
    assert!(drowned.p_gap.as_ref().unwrap().value.centre.get() < 0.7);
    assert_ne!(drowned.step, LeaveStep::Go);
    // A policy that would wait at any chance holds, at a quarter of an hour on the clock.
    let mut patient = studio();
    patient.policy.gap.go_from_percent = 98;
    patient.policy.gap.settled_from_percent = 99;
    patient.policy.gap.wait_from_percent = 0;
    let LeaveStep::Hold { look_again_at } = advice_of(&patient, &session(), as_of, &wet).step
    else {
        panic!("not held")
    };
    assert_eq!(look_again_at, at("2026-09-03T05:00:00Z"));
    // Asked the evening before, she looks again shortly before leaving.
    let eve = at(crate::world::EVENING_READING);
    let LeaveStep::Hold { look_again_at } =
        advice_of(&patient, &session(), eve, &seen(eve, 95.0)).step
    else {
        panic!("not held")
    };
    assert_eq!(look_again_at, at("2026-09-03T04:00:00Z"));
}

type Spoil = fn(&mut Seen, Timestamp);

/// What is taken away or too old never makes a go; with time left she looks again, without any it is
/// hers to decide.
#[test]
fn missing_is_never_dry() {
    let as_of = at(LEAVE_BY);
    let latest = advice(LEAVE_BY, &seen(as_of, 3.0)).times.latest;
    let spoilt: [(&str, Spoil); 6] = [
        ("no forecast", |seen, _| seen.forecast = None),
        ("no warnings", |seen, _| seen.warnings = None),
        ("no radar", |seen, _| seen.radar = None),
        ("an old forecast", |seen, now| {
            seen.forecast = Some(seen_forecast(forecast(&(now - 13.hours()).to_string(), 3.0)));
        }),
        ("old warnings", |seen, now| seen.warnings = Some(no_warnings(now - 61.minutes()))),
        ("an old picture", |seen, now| seen.radar = Some(radar(now - 21.minutes(), now, 0.0))),
    ];
    for (what, spoil) in spoilt {
        for drive_min in [15, 140] {
            let mut session = session();
            session.drive.minutes = drive_min;
            let mut seen = seen(as_of, 3.0);
            spoil(&mut seen, as_of);
            let advice = advice_of(&studio(), &session, as_of, &seen);
            assert!(
                matches!(advice.step, LeaveStep::Hold { .. } | LeaveStep::Yours),
                "{what}, {drive_min} min: {:?}",
                advice.step
            );
        }
        let mut seen = seen(latest, 3.0);
        spoil(&mut seen, latest);
        let last = advice_of(&studio(), &session(), latest, &seen);
        assert_eq!(last.step, LeaveStep::Yours, "{what}, at the last moment");
    }
    let nothing = advice(LEAVE_BY, &Seen::default());
    assert_eq!((&nothing.p_gap, &nothing.busy, nothing.bag), (&None, &None, None));
    assert_eq!(nothing.waiting, None);
}

fn message(event: &str, centre: &str, onset: Timestamp, expires: Timestamp) -> String {
    let local = |at: Timestamp| at.strftime("%Y-%m-%dT%H:%M:%S-00:00").to_string();
    format!(
        r#"<?xml version="1.0" encoding="UTF-8"?>
<alert xmlns="urn:oasis:names:tc:emergency:cap:1.2">
  <identifier>invented-1</identifier>
  <sender>warnings@saltern.invalid</sender>
  <sent>2026-09-03T00:30:00-00:00</sent>
  <status>Actual</status>
  <msgType>Alert</msgType>
  <scope>Public</scope>
  <info>
    <category>Met</category>
    <event>{event}</event>
    <urgency>Future</urgency>
    <severity>Severe</severity>
    <certainty>Likely</certainty>
    <onset>{}</onset>
    <expires>{}</expires>
    <area><areaDesc>invented</areaDesc><circle>{centre} 10</circle></area>
  </info>
</alert>"#,
        local(onset),
        local(expires)
    )
}

fn warned(as_of: Timestamp, message: &str) -> Seen {
    let messages = read_warnings(message.as_bytes()).unwrap().value;
    let board = WarningBoard::as_of(messages, as_of).value;
    let warnings = SeenWarnings { board, looked_at: as_of, source: "invented".to_owned() };
    Seen { warnings: Some(warnings), ..seen(as_of, 0.0) }
}

const AT_THE_SPOT: &str = "-31.7252,152.7741";
const HALFWAY: &str = "-32.2,152.5";

/// An hour and a half by road.
fn far_away() -> (Studio, Session) {
    let mut studio = studio();
    studio.home = LatLon::new(-32.7, 152.2).unwrap();
    let mut session = session();
    session.drive.minutes = 90;
    (studio, session)
}

#[test]
fn a_warning_is_named_with_the_part_of_the_outing_that_it_touches() {
    let (studio, session) = far_away();
    let as_of = at("2026-09-03T03:00:00Z");
    // Leaves at 13:15, is there from 14:45 (04:45 UTC) to last light at 17:48, home at about 19:18.
    let legs = |centre: &str, onset: &str, expires: &str| {
        let message = message("Flood Warning", centre, at(onset), at(expires));
        let advice = advice_of(&studio, &session, as_of, &warned(as_of, &message));
        advice
            .warnings
            .iter()
            .map(|known| (known.there, known.place, known.home))
            .collect::<Vec<_>>()
    };
    let (there, home) = ("2026-09-03T03:30:00Z", "2026-09-03T08:20:00Z");
    assert_eq!(legs(HALFWAY, there, "2026-09-03T04:00:00Z"), [(true, false, false)]);
    assert_eq!(legs(HALFWAY, home, "2026-09-03T09:00:00Z"), [(false, false, true)]);
    assert_eq!(legs(HALFWAY, there, "2026-09-03T09:00:00Z"), [(true, false, true)]);
    let at_place = legs(AT_THE_SPOT, "2026-09-03T05:30:00Z", "2026-09-03T06:30:00Z");
    assert_eq!(at_place, [(false, true, false)]);
    assert_eq!(legs("-35.0,149.0", there, home), [], "elsewhere");
}

/// Of every tier above mere information, at every part of the outing, in the driest of skies.
#[test]
fn a_warning_never_becomes_a_go() {
    let (studio, session) = far_away();
    let as_of = at("2026-09-03T03:00:00Z");
    let fine = advice_of(&studio, &session, as_of, &seen(as_of, 0.0));
    assert_eq!(fine.step, LeaveStep::Go, "without one it would be: {:?}", fine.reasons);
    let hours = [
        ("2026-09-03T03:30:00Z", "2026-09-03T04:00:00Z"),
        ("2026-09-03T05:30:00Z", "2026-09-03T06:30:00Z"),
        ("2026-09-03T08:20:00Z", "2026-09-03T09:00:00Z"),
    ];
    let mut tiers = Vec::new();
    for (event, step) in [
        ("Severe Thunderstorm Warning", LeaveStep::No),
        ("Flood Warning", LeaveStep::No),
        ("Flood Watch", LeaveStep::No),
        ("Flood Advisory", LeaveStep::Yours),
        ("Dense Fog Advisory", LeaveStep::Yours),
        ("Something Nobody Has Heard Of", LeaveStep::No),
    ] {
        for (onset, expires) in hours {
            for centre in [AT_THE_SPOT, HALFWAY] {
                let message = message(event, centre, at(onset), at(expires));
                let advice = advice_of(&studio, &session, as_of, &warned(as_of, &message));
                let Some(known) = advice.warnings.first() else { continue };
                tiers.push(known.warning.tier);
                assert_ne!(advice.step, LeaveStep::Go, "{event} at {centre}, {onset}");
                if known.warning.tier != Tier::Hold {
                    assert_eq!(advice.step, step, "{event} at {centre}, {onset}");
                }
            }
        }
    }
    for tier in [Tier::Caution, Tier::Hold, Tier::Stop] {
        assert!(tiers.contains(&tier), "no warning was {tier:?}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn no_warning_at_any_hour_of_the_outing_becomes_a_go(
        event in prop::sample::select(vec![
            "Severe Thunderstorm Warning", "Flood Advisory", "Heat Advisory", "Wind Advisory", "Flood Watch",
        ]),
        begins_min in 0_i64..360,
        lasts_min in 1_i64..240,
        drive_min in 0_u32..150,
        percent in 0.0..100.0,
    ) {
        let mut session = session();
        session.drive.minutes = drive_min;
        let as_of = at("2026-09-03T02:00:00Z");
        let onset = as_of + begins_min.minutes();
        let message = message(event, AT_THE_SPOT, onset, onset + lasts_min.minutes());
        let mut seen = warned(as_of, &message);
        seen.forecast = Some(seen_forecast(forecast("2026-09-03T01:00:00Z", percent)));
        let advice = advice_of(&studio(), &session, as_of, &seen);
        let touched = advice.warnings.iter().any(|known| known.warning.tier > Tier::Info);
        prop_assert!(!touched || advice.step != LeaveStep::Go);
    }
}

/// The coast of the invented studio: its tide stood at 1.56 m at 19:00 on 24 November and 1.69 m at
/// sunset, 19:33 (the trade's sheet).
fn coast() -> TideSource {
    let wave =
        |name: &str, amplitude_m, phase_lag_deg| fairspell_almanac::tide::ConstituentConstants {
            name: name.to_owned(),
            amplitude_m,
            phase_lag_deg,
        };
    TideSource::Constants(HarmonicConstants {
        name: "invented".to_owned(),
        datum: "lowest tide".to_owned(),
        mean_level_m: 1.0,
        phase_zone: "utc".to_owned(),
        nodal: NodalCorrection::None,
        constituents: vec![
            wave("M2", 0.48, 300.0),
            wave("S2", 0.12, 322.0),
            wave("N2", 0.10, 285.0),
            wave("K1", 0.15, 115.0),
            wave("O1", 0.09, 85.0),
        ],
    })
}

/// A studio whose road to its spots passes a ford two thirds of the way, at so many metres.
fn behind_the_ford(tide: Option<TideSource>, with_swell: bool) -> (Studio, Session) {
    let (mut studio, session) = far_away();
    let ford = RoadPoint {
        tide_limit_m: Some(1.65),
        with_swell,
        ..RoadPoint::at("the ford", LatLon::new(-32.05, 152.58).unwrap())
    };
    studio.spots[0].site.road = vec![ford];
    studio.tide = tide;
    (studio, session)
}

fn on_the_24th(session: &Session) -> (Session, Timestamp) {
    let start = jiff::civil::date(2026, 11, 24).at(17, 30, 0, 0);
    (Session { start, ..session.clone() }, at("2026-11-24T03:30:00Z"))
}

#[test]
fn the_ford_is_open_at_neaps_and_shut_on_the_way_home_at_springs() {
    let (studio, session) = behind_the_ford(Some(coast()), false);
    let as_of = at("2026-09-03T03:00:00Z");
    let neaps = advice_of(&studio, &session, as_of, &seen(as_of, 3.0));
    assert_eq!(neaps.road.len(), 2);
    assert!(neaps.road.iter().all(RoadCheck::is_open), "{:?}", neaps.road);
    assert_eq!(neaps.step, LeaveStep::Go);
    // Two thirds of the way there, after an hour; a third of the way home, after half an hour.
    let there = &neaps.road[0];
    assert_eq!(there.way, Way::There);
    let passed = minutes(neaps.times.leaving_at, there.passed.from);
    assert!((40.0..=50.0).contains(&passed), "{passed}");

    let (springs, as_of) = on_the_24th(&session);
    let advice = advice_of(&studio, &springs, as_of, &seen(as_of, 3.0));
    let [there, home] = &advice.road[..] else { panic!("{:?}", advice.road) };
    assert!(there.is_open(), "{there:?}");
    let RoadState::Shut { opens: Some(opens) } = home.state else { panic!("{home:?}") };
    assert!(home.tide_max_m.unwrap() > 1.65, "{home:?}");
    let tide = studio.tide().unwrap().unwrap();
    assert!(tide.height_m(opens).unwrap() <= 1.65);
    assert!(tide.height_m(opens - 2.minutes()).unwrap() > 1.65);
    assert_eq!(advice.step, LeaveStep::Yours);
}

#[test]
fn a_swell_that_nobody_knows_of_and_a_tide_that_nobody_knows_are_never_a_go() {
    let (studio, session) = behind_the_ford(Some(coast()), true);
    let (springs, as_of) = on_the_24th(&session);
    let advice = advice_of(&studio, &springs, as_of, &seen(as_of, 3.0));
    assert!(matches!(advice.road[1].state, RoadState::ShutWithSwell { .. }));
    assert_eq!(advice.step, LeaveStep::Yours);

    let table = TideTable::from_csv(
        "time,height_m\n2026-09-01T00:00Z,1.40\n2026-09-01T06:00Z,0.62\n",
        None,
    );
    let rows = table.unwrap().rows().iter().map(|row| (row.time, row.height_m)).collect();
    for unknown in [None, Some(TideSource::Table(rows))] {
        let (studio, session) = behind_the_ford(unknown, false);
        let as_of = at("2026-09-03T03:00:00Z");
        let advice = advice_of(&studio, &session, as_of, &seen(as_of, 3.0));
        assert!(advice.road.iter().all(|check| check.state == RoadState::NotKnown));
        assert!(advice.road.iter().all(|check| check.tide_max_m.is_none()));
        assert_eq!(advice.step, LeaveStep::Yours);
        let named = advice.reasons.iter().filter(|why| matches!(why, LeaveReason::Road(_)));
        assert_eq!(named.count(), 2);
    }
}

#[test]
fn a_ferry_that_does_not_run_is_waited_for_while_there_is_light() {
    let (mut studio, session) = behind_the_ford(None, false);
    let ferry = |from, to| {
        let hours = vec![OpenHours { days: Vec::new(), from, to }];
        RoadPoint { hours, ..RoadPoint::at("ferry", LatLon::new(-32.05, 152.58).unwrap()) }
    };
    let as_of = at("2026-09-03T03:00:00Z");
    let mut step = |from, to| {
        studio.spots[0].site.road = vec![ferry(from, to)];
        advice_of(&studio, &session, as_of, &seen(as_of, 3.0)).step
    };
    assert_eq!(step(time(5, 0, 0, 0), time(22, 0, 0, 0)), LeaveStep::Go);
    assert!(matches!(step(time(15, 0, 0, 0), time(22, 0, 0, 0)), LeaveStep::Hold { .. }));
    assert_eq!(step(time(21, 0, 0, 0), time(22, 0, 0, 0)), LeaveStep::No);
    // There is no boat home: hers to decide, with a bag for the night.
    assert_eq!(step(time(5, 0, 0, 0), time(16, 0, 0, 0)), LeaveStep::Yours);
}

/// A studio an hour and a half from its spot, with something on the road two thirds of the way there.
fn behind(points: Vec<RoadPoint>) -> (Studio, Session) {
    let (mut studio, session) = far_away();
    studio.spots[0].site.road = points;
    (studio, session)
}

fn on_the_road(name: &str) -> RoadPoint {
    RoadPoint::at(name, LatLon::new(-32.05, 152.58).unwrap())
}

/// Open between these hours, and all night for the way home.
fn open_by_day(name: &str, from: civil::Time, to: civil::Time) -> RoadPoint {
    let open = |from, to| OpenHours { days: Vec::new(), from, to };
    let hours = vec![open(from, to), open(time(17, 0, 0, 0), time(4, 0, 0, 0))];
    RoadPoint { hours, ..on_the_road(name) }
}

fn after_rain(name: &str) -> RoadPoint {
    RoadPoint { closes_after_rain_mm_24h: Some(60.0), ..on_the_road(name) }
}

#[test]
fn rain_of_the_last_day_that_nobody_knows_is_hers_to_look_up_and_never_a_go() {
    let (mut studio, session) = behind(vec![after_rain("the ford")]);
    studio.spots[0].site.road.push(RoadPoint::at("a bend", studio.home));
    let as_of = at("2026-09-03T03:00:00Z");
    let advice = advice_of(&studio, &session, as_of, &seen(as_of, 3.0));
    assert_eq!(advice.road.len(), 2, "what nothing shuts is not checked: {:?}", advice.road);
    for check in &advice.road {
        assert!(!check.is_open() && check.state.is_open_but_for_rain(), "{check:?}");
        assert_eq!(check.rain_limit_mm_24h, Some(60.0));
    }
    assert_eq!(advice.step, LeaveStep::Yours);
    assert_eq!(advice.go_once, [LookUp::Road("the ford".to_owned())]);
    let named = advice.reasons.iter().filter(|why| matches!(why, LeaveReason::Road(_)));
    assert_eq!(named.count(), 1, "it is the same rain both ways");

    // Where something else speaks against it, looking that up is not enough.
    let (onset, expires) = (at("2026-09-03T05:30:00Z"), at("2026-09-03T06:30:00Z"));
    let care = warned(as_of, &message("Flood Advisory", AT_THE_SPOT, onset, expires));
    let advice = advice_of(&studio, &session, as_of, &care);
    assert_eq!((advice.step, advice.go_once), (LeaveStep::Yours, Vec::new()));
    let mut no_forecast = seen(as_of, 3.0);
    no_forecast.forecast = None;
    let advice = advice_of(&studio, &session, as_of, &no_forecast);
    assert!(matches!(advice.step, LeaveStep::Hold { .. }), "{:?}", advice.step);
    assert_eq!(advice.go_once, []);
}

#[test]
fn what_nobody_reads_the_warnings_of_is_never_a_go() {
    let as_of = at(LEAVE_BY);
    let mut studio = studio();
    studio.sources.warnings = Expected::NoneHere;
    let mut seen = seen(as_of, 3.0);
    seen.warnings = None;
    let advice = advice_of(&studio, &session(), as_of, &seen);
    assert_eq!(advice.step, LeaveStep::Yours);
    assert_eq!(advice.go_once, [LookUp::Warnings]);
}

/// Asked at that moment the road is open, and a minute later it is not.
#[test]
fn a_road_that_shuts_says_when_to_leave_at_the_latest() {
    let as_of = at("2026-09-03T03:00:00Z");
    for until in [time(15, 10, 0, 0), time(14, 50, 0, 0), time(14, 36, 0, 0)] {
        let (studio, session) = behind(vec![open_by_day("gate", time(5, 0, 0, 0), until)]);
        let advice = advice_of(&studio, &session, as_of, &seen(as_of, 3.0));
        let times = advice.times;
        assert_eq!(advice.step, LeaveStep::Go, "{:?}", advice.reasons);
        assert!(times.latest < times.latest_for_light);
        assert!((minutes(as_of, times.latest) - times.wait_at_home_min).abs() < 1e-9);
        let there = |leaving: Timestamp| {
            advice_of(&studio, &session, leaving, &seen(leaving, 3.0)).road[0].clone()
        };
        assert!(there(times.latest).is_open(), "{:?}", there(times.latest));
        assert!(matches!(there(times.latest + 1.minute()).state, RoadState::Shut { .. }));
        // Half an hour's wait is only told of where it is left.
        let is_left = minutes(times.leaving_at, times.latest) >= 30.0;
        assert_eq!(advice.waiting.is_some(), is_left, "until {until}");
    }
}

#[test]
fn nobody_is_held_at_home_until_the_road_is_shut() {
    let as_of = at("2026-09-03T03:00:00Z");
    let mut wet = seen(as_of, 95.0);
    wet.radar = Some(radar(as_of - 4.minutes(), as_of, 3.0));
    let step = |until| {
        let (mut studio, session) = behind(vec![open_by_day("gate", time(5, 0, 0, 0), until)]);
        studio.policy.gap.go_from_percent = 98;
        studio.policy.gap.settled_from_percent = 99;
        studio.policy.gap.wait_from_percent = 0;
        advice_of(&studio, &session, as_of, &wet)
    };
    assert!(matches!(step(time(15, 10, 0, 0)).step, LeaveStep::Hold { .. }));
    let advice = step(time(14, 36, 0, 0));
    assert_eq!(advice.step, LeaveStep::Yours);
    let names_it =
        |why: &LeaveReason| matches!(why, LeaveReason::Road(check) if check.name == "gate");
    assert!(advice.reasons.iter().any(names_it), "{:?}", advice.reasons);
}

#[test]
fn of_several_points_that_are_shut_the_last_to_open_is_waited_for() {
    let as_of = at("2026-09-03T03:00:00Z");
    let gate = |name, hour, minute| open_by_day(name, time(hour, minute, 0, 0), time(16, 50, 0, 0));
    let ask = |points: Vec<RoadPoint>| {
        let (studio, session) = behind(points);
        advice_of(&studio, &session, as_of, &seen(as_of, 3.0))
    };
    let (early, late) = (gate("early", 14, 50), gate("late", 15, 20));
    let alone = ask(vec![late.clone()]).step;
    assert!(matches!(alone, LeaveStep::Hold { .. }), "{alone:?}");
    assert_ne!(alone, ask(vec![early.clone()]).step);
    for both in [vec![early.clone(), late.clone()], vec![late.clone(), early.clone()]] {
        assert_eq!(ask(both).step, alone);
    }
    // A point that never opens ends it, in either order.
    let never = open_by_day("never", time(5, 0, 0, 0), time(6, 0, 0, 0));
    for both in [vec![early.clone(), never.clone()], vec![never, early.clone()]] {
        assert_eq!(ask(both).step, LeaveStep::No);
    }
    // What is hers to decide stays hers, whatever else is waited for.
    let tidal = RoadPoint { tide_limit_m: Some(1.65), ..on_the_road("tidal") };
    for both in [vec![early.clone(), tidal.clone()], vec![tidal, early]] {
        assert_eq!(ask(both).step, LeaveStep::Yours);
    }
}

#[test]
fn late_or_long_the_way_home_is_a_night_away() {
    let as_of = at("2026-09-03T02:00:00Z");
    let driver = |drive_min: u32, change: fn(&mut Studio)| {
        let (mut studio, mut session) = (studio(), session());
        session.drive.minutes = drive_min;
        change(&mut studio);
        advice_of(&studio, &session, as_of, &seen(as_of, 3.0)).driver
    };
    // Last usable light is at 17:48.
    let near = driver(15, |_| {});
    assert_eq!(near.home_at.strftime("%H:%M").to_string(), "08:03", "in UTC");
    assert!(!near.stay_over());
    assert!(!driver(180, |_| {}).stay_over(), "at 20:48, on the limit of three hours");
    assert!(driver(181, |_| {}).stay_over(), "more than three hours");
    let by_19 = |studio: &mut Studio| studio.policy.driver.home_by = time(19, 0, 0, 0);
    assert!(!driver(71, by_19).stay_over());
    assert!(driver(73, by_19).stay_over());
    let past_midnight = |studio: &mut Studio| studio.policy.driver.home_by = time(0, 30, 0, 0);
    assert!(!driver(180, past_midnight).stay_over());
}

/// Beyond the radar's reach its busyness has a say beside the forecast: an empty sky and a wet one pull
/// the same forecast's chance either way.
#[test]
fn before_a_long_drive_a_busy_sky_speaks_beside_the_forecast() {
    let mut session = session();
    session.drive.minutes = 180;
    let as_of = at("2026-09-03T01:45:00Z");
    let under = |rate| {
        let mut seen = seen(as_of, 60.0);
        seen.radar = Some(radar(as_of - 4.minutes(), as_of, rate));
        advice_of(&studio(), &session, as_of, &seen)
    };
    let (dry, wet) = (under(0.0), under(2.0));
    let centre = |advice: &LeaveAdvice| advice.p_gap.as_ref().unwrap().value.centre.get();
    let said = |advice: &LeaveAdvice, voice| {
        advice
            .says
            .iter()
            .find(|say| say.voice == voice)
            .map(|say| (say.share, say.p_gap.centre.get()))
    };
    let (forecast_share, by_forecast) = said(&dry, Voice::Forecast).unwrap();
    let (busy_share, by_busyness) = said(&dry, Voice::RadarBusyness).unwrap();
    assert!((by_busyness - 1.0).abs() < 1e-9);
    assert!(busy_share > 0.2 && busy_share <= forecast_share + 1e-9);
    assert!(centre(&dry) > by_forecast && by_forecast > centre(&wet));
    assert!(said(&wet, Voice::RadarBusyness).unwrap().1 < 1e-9);
    let busy = wet.busy.unwrap();
    assert_eq!((busy.wet_share, busy.place_wet_share), (1.0, Some(1.0)));
}

#[test]
fn without_radar_here_the_forecast_speaks_alone_and_she_has_to_look() {
    let as_of = at(LEAVE_BY);
    let mut studio = studio();
    studio.sources.radar = Expected::NoneHere;
    let mut seen = seen(as_of, 3.0);
    seen.radar = None;
    let advice = advice_of(&studio, &session(), as_of, &seen);
    assert_eq!(advice.says.iter().map(|say| say.voice).collect::<Vec<_>>(), [Voice::Forecast]);
    assert_eq!(advice.busy, None);
    assert!(!advice.ruling.unchecked.is_empty());
}

fn centre(chance: Option<Chance>) -> f64 {
    chance.unwrap().centre.get()
}

proptest! {
    #[test]
    fn a_wetter_sky_never_makes_a_gap_likelier(
        shares in (0.0..=1.0, 0.0..=1.0),
        trend in prop::option::of(-0.5..0.5),
        lead_min in 0.0..600.0,
        window_min in 30.0..300.0,
        steady in any::<bool>(),
    ) {
        let (a, b) = shares;
        let (drier, wetter) = if a < b { (a, b) } else { (b, a) };
        let character = if steady { Character::Steady } else { Character::Showery };
        let gap = |share| busy_gap(share, trend, lead_min, window_min, 25.0, Some(character)).unwrap();
        let (dry, wet) = (gap(drier), gap(wetter));
        prop_assert!(wet.centre.get() <= dry.centre.get() + 1e-9);
        prop_assert!(wet.low.get() <= dry.low.get() + 1e-9);
        prop_assert!(wet.high.get() <= dry.high.get() + 1e-9);
    }

    /// Without rain, and under rain all round, it says what the chance of a gap from a forecast says.
    #[test]
    fn at_its_ends_it_agrees_with_the_gap_of_a_forecast(
        lead_min in 0.0..600.0,
        window_min in 30.0..300.0,
    ) {
        let certain = |percent| Chance::certain(p(percent));
        for character in [Character::Showery, Character::Steady] {
            let busy = |share| centre(busy_gap(share, None, lead_min, window_min, 25.0, Some(character)));
            let dry = centre(p_dry_gap(&certain(0.0), window_min, 25.0, character));
            prop_assert!((busy(0.0) - dry).abs() < 1e-9);
            prop_assert!(busy(1.0).abs() < 1e-9);
            prop_assert!(busy(1.0) <= centre(p_dry_gap(&certain(100.0), window_min, 25.0, character)));
        }
    }

    #[test]
    fn the_share_ahead_stays_a_share_and_follows_its_trend(
        share in 0.0..=1.0,
        trend in -2.0..2.0,
        lead_min in 0.0..600.0,
    ) {
        let ahead = wet_share_ahead(share, Some(trend), lead_min).unwrap();
        prop_assert!(ahead.low <= ahead.centre && ahead.centre <= ahead.high);
        if trend >= 0.0 { prop_assert!(ahead.centre.get() >= share - 1e-12); }
        if trend <= 0.0 { prop_assert!(ahead.centre.get() <= share + 1e-12); }
        prop_assert!((ahead.centre.get() - share).abs() <= trend.abs() + 1e-12, "an hour's worth at most");
    }
}

#[test]
fn what_is_no_share_no_window_or_no_number_has_no_chance() {
    let showery = Some(Character::Showery);
    assert_eq!(busy_gap(1.2, None, 60.0, 120.0, 25.0, showery), None);
    assert_eq!(busy_gap(f64::NAN, None, 60.0, 120.0, 25.0, showery), None);
    assert_eq!(busy_gap(0.2, Some(f64::NAN), 60.0, 120.0, 25.0, showery), None);
    assert_eq!(busy_gap(0.2, None, f64::NAN, 120.0, 25.0, showery), None);
    assert_eq!(busy_gap(0.2, None, 60.0, 20.0, 25.0, showery), None);
    assert_eq!(busy_gap(0.2, None, 60.0, 120.0, f64::NAN, showery), None);
    let either = busy_gap(0.3, None, 60.0, 150.0, 25.0, None).unwrap();
    for character in [Character::Showery, Character::Steady] {
        let one = busy_gap(0.3, None, 60.0, 150.0, 25.0, Some(character)).unwrap();
        assert!(either.low <= one.low && one.high <= either.high, "{character:?}");
    }
    // An empty sky may still bear a shower.
    let empty = busy_gap(0.0, None, 60.0, 150.0, 25.0, showery).unwrap();
    assert!(empty.low < Probability::ONE && empty.centre == Probability::ONE);
}

#[test]
fn the_say_of_a_busy_sky_fades_and_is_never_more_than_half() {
    let handover = fairspell_chance::Handover::by_hours();
    let shares: Vec<f64> =
        (0..=60).map(|ten| busy_share(handover, 10.0 * f64::from(ten))).collect();
    assert!(shares.iter().all(|share| (0.0..=0.5).contains(share)));
    assert!(shares.windows(2).all(|pair| pair[1] <= pair[0]));
    assert!(shares[24] > 0.4, "four hours ahead: {}", shares[24]);
    assert!(shares[48].abs() < 1e-12, "eight hours ahead");
}
