//! A washed-out week, re-dated. Everything here is invented.

use std::collections::BTreeMap;

use fairspell_chance::Probability;
use fairspell_plan::{
    NoStart,
    evening_rain::{EveningRain, RainVoice},
    moves::NoMoves,
    redate::{OutOfReach, RedateQuestion, Redating, Way, candidate_on, redate},
};
use fairspell_studio::{
    Band, Session, Studio,
    permit::PermitTerms,
    session::{Deadline, Drive},
    site::Roof,
    spot::{Cover, Refuge},
    studio::{Blackout, Day},
};
use jiff::civil::{Date, date};

use crate::world::{at, p, place, session, spot, studio, zone};

/// Sat 12 Sep, 10:00 by the clock: before the week of the low.
const SATURDAY: &str = "2026-09-12T00:00:00Z";

/// Works on Tuesdays and Thursdays, and has a roof that is open.
fn coast() -> Studio {
    let mut studio = studio();
    studio.week.working = vec![Day::Tuesday, Day::Thursday];
    let mut veranda = spot("veranda", place(), 90.0);
    veranda.cover = Cover::Roof;
    veranda.refuge = Some(Refuge { name: "house".to_owned(), minutes: 0 });
    let opens_to = fairspell_studio::site::Side::North;
    veranda.site.roof = Some(Roof { opens_to, edge_height_m: 2.8, depth_m: 3.0 });
    studio.spots.push(veranda);
    studio
}

fn on(id: &str, day: Date) -> Session {
    Session { id: id.to_owned(), start: day.at(15, 30, 0, 0), ..session() }
}

/// The low: steady rain from Tuesday the 15th to Thursday, on the first two days with gusts that rule
/// them out; then the coast's ordinary evenings.
fn low(session: &Session) -> EveningRain {
    let forecast = |percent: f64| EveningRain {
        p_rain: p(percent),
        p_gap: Some(p(100.0 - percent)),
        voice: RainVoice::Forecast { source: "service".to_owned(), issued: at(SATURDAY) },
        band: Some(match percent {
            85.0.. => Band::MustMove,
            50.0.. => Band::AdviseMoving,
            _ => Band::Settled,
        }),
        is_forecast_missing: false,
    };
    match session.start.date().day() {
        15 => forecast(90.0),
        16 => forecast(95.0),
        17 => forecast(80.0),
        20 => forecast(10.0),
        _ => EveningRain {
            p_rain: Probability::clamped(0.2),
            p_gap: None,
            voice: RainVoice::Default,
            band: None,
            is_forecast_missing: false,
        },
    }
}

fn redated(studio: &Studio, sessions: &[Session], moving: &[&str]) -> Redating {
    redate(&RedateQuestion {
        studio,
        zone: &zone(),
        sessions,
        moving: moving.iter().map(|id| (*id).to_owned()).collect(),
        fixed: BTreeMap::new(),
        as_of: at(SATURDAY),
        horizon_days: 21,
        rain: &low,
    })
}

fn evening(found: &Redating, id: &str) -> Option<(Date, Way)> {
    let index = found.sessions.iter().position(|session| session.id == id)?;
    found.chosen(index).map(|(date, candidate)| (date, candidate.way))
}

#[test]
fn a_washed_out_week_goes_to_the_dry_evenings_that_are_free() {
    let sessions = [on("tuesday", date(2026, 9, 15)), on("thursday", date(2026, 9, 17))];
    let found = redated(&coast(), &sessions, &["tuesday", "thursday"]);
    let moves = found.moves.as_ref().unwrap();
    assert!(moves.proof.proven);
    // Sunday the 20th is dry by the forecast; the next free ones have the coast's ordinary risk.
    let evenings = [evening(&found, "tuesday"), evening(&found, "thursday")].map(Option::unwrap);
    assert!(evenings.contains(&(date(2026, 9, 20), Way::Whole)), "{evenings:?}");
    assert!(evenings.iter().all(|(day, _)| *day >= date(2026, 9, 20)), "{evenings:?}");
    for (index, spare) in found.spares.iter().enumerate() {
        let (planned, _) = found.chosen(index).unwrap();
        let apart = planned.until(spare.unwrap()).unwrap().get_days();
        assert!(apart >= 3, "a spare evening {apart} days on");
    }
}

#[test]
fn an_evening_that_a_staying_family_has_is_not_taken_from_it() {
    let sessions = [on("tuesday", date(2026, 9, 15)), on("sunday", date(2026, 9, 20))];
    let found = redated(&coast(), &sessions, &["tuesday"]);
    assert_ne!(evening(&found, "tuesday").unwrap().0, date(2026, 9, 20));
    let sunday = found.evenings.iter().position(|it| *it == date(2026, 9, 20)).unwrap();
    assert_eq!(found.candidates[0][sunday], Err(OutOfReach::Taken("sunday".to_owned())));
}

/// The shape of the invented low: the yearbook is due on the Friday, no evening before it is dry.
#[test]
fn a_deadline_before_the_sky_clears_gets_a_covered_set_and_the_rest_later() {
    let mut soraya = on("soraya", date(2026, 9, 15));
    soraya.deadline = Some(Deadline { name: "yearbook".to_owned(), date: date(2026, 9, 18) });
    let found = redated(&coast(), &[soraya], &["soraya"]);
    assert_eq!(evening(&found, "soraya"), Some((date(2026, 9, 17), Way::CoveredThenRest)));
    let (_, candidate) = found.chosen(0).unwrap();
    assert_eq!(candidate.roof.as_deref(), Some("veranda"));
    assert_eq!(found.spares, [Some(date(2026, 9, 20))], "the rest, on the dry Sunday");
}

#[test]
fn without_a_roof_a_deadline_still_gets_the_least_wet_evening_before_it() {
    let mut soraya = on("soraya", date(2026, 9, 15));
    soraya.deadline = Some(Deadline { name: "yearbook".to_owned(), date: date(2026, 9, 18) });
    let mut bare = coast();
    bare.spots.pop();
    let found = redated(&bare, &[soraya], &["soraya"]);
    assert_eq!(evening(&found, "soraya"), Some((date(2026, 9, 17), Way::Whole)));
}

#[test]
fn what_is_out_of_reach_says_why() {
    let mut studio = coast();
    let permit = PermitTerms { ask_days: 7, fee: 50.0, moves_free: false };
    studio.spots[0].site.permit = Some(permit);
    let mut tuesday = on("tuesday", date(2026, 9, 15));
    tuesday.dates.cannot = vec![date(2026, 9, 27)];
    tuesday.deadline = Some(Deadline { name: "album".to_owned(), date: date(2026, 9, 29) });
    let found = redated(&studio, &[tuesday], &["tuesday"]);
    let why = |day: Date| {
        let index = found.evenings.iter().position(|it| *it == day).unwrap();
        found.candidates[0][index].as_ref().err().cloned()
    };
    assert_eq!(why(date(2026, 9, 17)), Some(OutOfReach::Permit("heron-walk".to_owned())));
    assert_eq!(why(date(2026, 9, 27)), Some(OutOfReach::Cannot));
    assert_eq!(why(date(2026, 9, 29)), Some(OutOfReach::Deadline));
    assert_eq!(why(date(2026, 9, 20)), None, "a permit for it can still be asked");
    let sunday = found.evenings.iter().position(|it| *it == date(2026, 9, 20)).unwrap();
    let fee = found.candidates[0][sunday].as_ref().unwrap().costs.permit;
    assert!((fee - 50.0).abs() < 1e-9);
}

#[test]
fn two_families_for_one_evening_are_named_as_the_clash() {
    let mut sessions = [on("one", date(2026, 9, 15)), on("two", date(2026, 9, 17))];
    for session in &mut sessions {
        let due = date(2026, 9, 21);
        session.deadline = Some(Deadline { name: "yearbook".to_owned(), date: due });
        session.dates.cannot = (13..20).map(|day| date(2026, 9, day)).collect();
    }
    let found = redated(&coast(), &sessions, &["one", "two"]);
    let Err(NoMoves::Clash(clash)) = &found.moves else { panic!("{:?}", found.moves) };
    assert_eq!(clash.sessions, [0, 1]);
    let left: Vec<Date> = clash.evenings.iter().map(|it| found.evenings[*it]).collect();
    assert_eq!(left, [date(2026, 9, 20)]);
    assert_eq!(found.spares, [None, None]);
}

#[test]
fn a_full_week_sends_the_third_family_on() {
    let mut studio = coast();
    studio.policy.season.worked_a_week_max = 1;
    let sessions = [on("one", date(2026, 9, 15)), on("two", date(2026, 9, 17))];
    let found = redated(&studio, &sessions, &["one", "two"]);
    let weeks =
        ["one", "two"].map(|id| fairspell_studio::season::monday(evening(&found, id).unwrap().0));
    assert_ne!(weeks[0], weeks[1]);
}

fn asked<'a>(
    studio: &'a Studio,
    zone: &'a jiff::tz::TimeZone,
    sessions: &'a [Session],
) -> RedateQuestion<'a> {
    RedateQuestion {
        studio,
        zone,
        sessions,
        moving: sessions.iter().map(|it| it.id.clone()).collect(),
        fixed: BTreeMap::new(),
        as_of: at(SATURDAY),
        horizon_days: 21,
        rain: &low,
    }
}

/// One evening tried alone is asked and priced as the plan of all asks and prices it.
#[test]
fn an_evening_tried_alone_is_what_the_plan_says_of_it() {
    let (studio, zone) = (coast(), zone());
    let sessions = [on("tuesday", date(2026, 9, 22))];
    let question = asked(&studio, &zone, &sessions);
    let found = redate(&question);
    let mut priced = 0;
    for (day, planned) in found.evenings.iter().zip(&found.candidates[0]) {
        assert_eq!(&candidate_on(&question, &sessions[0], *day), planned, "{day}");
        priced += usize::from(planned.is_ok());
    }
    assert!(priced >= 4, "{priced}");
    // Its own evening is one of them, free of what moving costs, in the light of its own hours.
    let own = found.evenings.iter().position(|it| *it == date(2026, 9, 22)).unwrap();
    let own = found.candidates[0][own].as_ref().unwrap();
    assert_eq!(own.start, sessions[0].start);
    assert!(own.costs.moving.abs() < 1e-9 && own.costs.working_evening.abs() < 1e-9);
}

#[test]
fn each_refusal_has_its_own_reason() {
    let (mut studio, zone) = (coast(), zone());
    let exams =
        Blackout { name: "exams".to_owned(), from: date(2026, 9, 29), to: date(2026, 9, 30) };
    studio.blackouts.push(exams);
    studio.policy.season.worked_a_week_max = 1;
    let sessions = [on("tuesday", date(2026, 9, 22)), on("thursday", date(2026, 10, 1))];
    let question = asked(&studio, &zone, &sessions);
    let why = |day: Date| candidate_on(&question, &sessions[0], day).err();
    assert_eq!(why(date(2026, 9, 10)), Some(OutOfReach::Past));
    assert_eq!(why(date(2026, 9, 13)), Some(OutOfReach::TooSoon));
    assert_eq!(why(date(2026, 9, 15)), Some(OutOfReach::Sky(Band::MustMove)));
    assert_eq!(why(date(2026, 9, 21)), Some(OutOfReach::Never));
    assert_eq!(why(date(2026, 9, 29)), Some(OutOfReach::Blackout("exams".to_owned())));
    assert_eq!(why(date(2026, 9, 30)), Some(OutOfReach::Blackout("exams".to_owned())));
    assert_eq!(why(date(2026, 10, 1)), Some(OutOfReach::Taken("thursday".to_owned())));
    assert_eq!(why(date(2026, 10, 4)), Some(OutOfReach::WeekFull));
    assert_eq!(why(date(2026, 9, 24)), None);
    let drive = Drive { minutes: 200, ..sessions[0].drive.clone() };
    let far = Session { drive, ..sessions[0].clone() };
    assert_eq!(candidate_on(&question, &far, date(2026, 9, 24)).err(), Some(OutOfReach::Drive));
    let looks = std::iter::repeat_n(far.looks[0].clone(), 7).collect();
    let many = Session { looks, ..sessions[0].clone() };
    let many = candidate_on(&question, &many, date(2026, 9, 24)).err();
    assert_eq!(many, Some(OutOfReach::NoStart(NoStart::TooManyLooks(7))));
}

#[test]
fn a_morning_stays_a_morning_and_an_afternoon_no_morning() {
    let (mut studio, zone) = (coast(), zone());
    studio.week.dawn = vec![Day::Sunday];
    let dawn = Session { start: date(2026, 9, 22).at(6, 0, 0, 0), ..on("dawn", date(2026, 9, 22)) };
    let sessions = [dawn, on("dusk", date(2026, 9, 24))];
    let question = asked(&studio, &zone, &sessions);
    let start =
        |session: usize, day| candidate_on(&question, &sessions[session], day).unwrap().start;
    assert!(start(0, date(2026, 9, 29)).hour() < 12, "also on a day without dawns of its own");
    assert!(start(1, date(2026, 9, 27)).hour() >= 12, "though that Sunday has a dawn");
}

#[test]
fn evenings_four_weeks_beyond_a_far_session_are_looked_at() {
    let (studio, zone) = (coast(), zone());
    let sessions = [on("late", date(2026, 12, 3))];
    let found = redate(&asked(&studio, &zone, &sessions));
    assert!(found.evenings.contains(&date(2026, 12, 3)));
    assert_eq!(found.evenings.last(), Some(&date(2026, 12, 31)));
    assert!(found.moves.is_ok());
}
