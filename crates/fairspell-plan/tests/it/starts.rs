use fairspell_almanac::{last_direct_light, sun_position};
use fairspell_plan::{
    NoStart, Start, StartQuestion, WantedLook,
    starts::{self, Bound, DayKind},
};
use fairspell_studio::{
    LightWish, Side, Site, Spot, Studio,
    site::{OpenHours, TideLimits},
    studio::{Blackout, Day, School},
};
use jiff::{
    Timestamp, ToSpan,
    civil::{Date, date, time},
    tz::TimeZone,
};

use crate::world;

fn zone() -> TimeZone {
    TimeZone::get("Australia/Sydney").unwrap()
}

fn studio(spots: Vec<Spot>) -> Studio {
    Studio { spots, ..world::studio() }
}

fn spot(id: &str, hill_deg: f64, site: Site) -> Spot {
    Spot { site, ..world::spot(id, world::studio().home, hill_deg) }
}

fn look(wants: LightWish, minutes: u32) -> WantedLook {
    WantedLook { name: format!("{wants:?}"), wants, minutes, spot: None }
}

fn question(studio: &Studio, looks: Vec<WantedLook>, dates: (Date, Date)) -> StartQuestion<'_> {
    StartQuestion {
        spots: studio.spots.iter().collect(),
        looks,
        in_order: false,
        dates,
        taken: Vec::new(),
        with_reserve: false,
        drive_min: 20,
        change_min: 8,
        any_dawn: false,
        count: 5,
    }
}

fn asked(studio: &Studio, question: &StartQuestion<'_>) -> Result<Vec<Start>, NoStart> {
    starts::starts(studio, &zone(), question, &|_| Some(0.0))
}

fn clock(at: Timestamp) -> String {
    at.to_zoned_datetime(zone()).strftime("%H:%M").to_string()
}

const SEPTEMBER: (Date, Date) = (date(2026, 9, 1), date(2026, 9, 30));

#[test]
fn gold_is_made_before_the_hill_takes_the_sun_and_blue_after_the_sunset() {
    let west = Site { opens_to: vec![Side::West], ..Site::default() };
    let studio = studio(vec![spot("steps", 8.0, Site { lamps: true, ..west })]);
    let looks = vec![look(LightWish::Blue, 10), look(LightWish::Backlight, 25)];
    let found = asked(&studio, &question(&studio, looks, SEPTEMBER)).unwrap();
    assert_eq!(found.len(), 4, "the Thursdays of September, one answer a date");
    for start in &found {
        let [gold, blue] = start.looks.as_slice() else { panic!("{start:?}") };
        assert_eq!((gold.look, blue.look), (1, 0), "the order of the light, not of the list");
        let leaves = last_direct_light(
            start.date,
            &zone(),
            studio.spots[0].position,
            &studio.spots[0].skyline,
        );
        assert!(gold.to <= leaves.timestamp().unwrap() + 3.minutes());
        assert!(gold.direct_share > 0.9);
        let ends = sun_position(blue.from, studio.spots[0].position).elevation_deg;
        assert!((-6.5..-2.0).contains(&ends), "{ends}");
    }
}

#[test]
fn answers_are_the_same_every_time_and_the_best_comes_first() {
    let studio = studio(vec![spot("a", 3.0, Site::default()), spot("b", 9.0, Site::default())]);
    let looks = vec![look(LightWish::OpenShade, 30), look(LightWish::LowSun, 20)];
    let question = question(&studio, looks, SEPTEMBER);
    let found = asked(&studio, &question).unwrap();
    assert_eq!(found, asked(&studio, &question).unwrap());
    assert!(found.is_sorted_by(|a, b| a.value >= b.value));
    for start in &found {
        assert!((0.0..=1.0).contains(&start.score));
        assert!(start.looks.is_sorted_by(|a, b| a.to <= b.from));
        assert_eq!(start.from, start.looks[0].from - 10.minutes(), "time to greet each other");
    }
}

#[test]
fn blackouts_taken_dates_and_other_days_of_the_week_are_not_offered() {
    let mut studio = studio(vec![spot("a", 3.0, Site::default())]);
    studio.blackouts =
        vec![Blackout { name: "exams".to_owned(), from: date(2026, 9, 9), to: date(2026, 9, 11) }];
    let looks = vec![look(LightWish::Any, 30)];
    let mut asks = question(&studio, looks, SEPTEMBER);
    asks.taken = vec![date(2026, 9, 17)];
    let dates = |found: Vec<Start>| {
        let mut dates: Vec<Date> = found.iter().map(|start| start.date).collect();
        dates.sort();
        dates
    };
    assert_eq!(dates(asked(&studio, &asks).unwrap()), [date(2026, 9, 3), date(2026, 9, 24)]);

    asks.with_reserve = true;
    asks.count = 100;
    let found = asked(&studio, &asks).unwrap();
    let sunday = found.iter().find(|start| start.date == date(2026, 9, 6)).unwrap();
    assert_eq!(sunday.kind, DayKind::Reserve);

    asks.dates = (date(2026, 9, 9), date(2026, 9, 11));
    assert_eq!(asked(&studio, &asks), Err(NoStart::NoDays));
}

#[test]
fn nobody_is_asked_to_come_before_school_is_out() {
    let mut studio = studio(vec![spot("a", 3.0, Site::default())]);
    studio.week.working = vec![Day::Tuesday];
    let june = (date(2026, 6, 16), date(2026, 6, 16));
    // At midwinter the sun sets at ten to five: the shade of the early afternoon is out of reach.
    let looks = vec![look(LightWish::OpenShade, 45), look(LightWish::LowSun, 20)];
    studio.school = Some(School { ends: time(15, 0, 0, 0), terms: Vec::new() });
    let found = asked(&studio, &question(&studio, looks.clone(), june)).unwrap();
    assert!(*clock(found[0].from) >= *"15:20", "{}", clock(found[0].from));
    assert!(found[0].bounds.iter().any(|bound| matches!(bound, Bound::SchoolOut(_))));
    studio.school = None;
    let free = asked(&studio, &question(&studio, looks, june)).unwrap();
    assert!(free[0].value >= found[0].value, "freedom never costs");
}

#[test]
fn a_spot_under_water_is_not_offered_and_an_unknown_tide_is_not_a_dry_one() {
    let limits = TideLimits { usable_to_m: Some(1.4), ..TideLimits::default() };
    let studio = studio(vec![spot("beach", 3.0, Site { tide: Some(limits), ..Site::default() })]);
    let asks = question(&studio, vec![look(LightWish::Any, 30)], SEPTEMBER);
    let at = |tide_m: f64| starts::starts(&studio, &zone(), &asks, &move |_| Some(tide_m));
    assert_eq!(at(0.9).unwrap().len(), 4);
    assert_eq!(at(1.5), Err(NoStart::NoLight));
    let unknown = starts::starts(&studio, &zone(), &asks, &|_| None);
    assert_eq!(unknown, Err(NoStart::TideNotKnown));

    // Flooding at half past five: all is made before.
    let floods: Timestamp = "2026-09-03T17:30:00+10:00".parse().unwrap();
    let rising = move |at: Timestamp| Some(if at < floods { 1.0 } else { 2.0 });
    let asks = StartQuestion { dates: (date(2026, 9, 3), date(2026, 9, 3)), ..asks };
    let found = starts::starts(&studio, &zone(), &asks, &rising).unwrap();
    assert!(found[0].looks[0].to <= floods);
    assert!(found[0].bounds.contains(&Bound::TideShuts("beach".to_owned(), floods)));
}

#[test]
fn a_gate_that_shuts_ends_what_can_be_made_there() {
    let hours = OpenHours { days: Vec::new(), from: time(8, 0, 0, 0), to: time(16, 30, 0, 0) };
    let studio = studio(vec![spot("veranda", 3.0, Site { hours: vec![hours], ..Site::default() })]);
    let found =
        asked(&studio, &question(&studio, vec![look(LightWish::Any, 30)], SEPTEMBER)).unwrap();
    assert!(found.iter().all(|start| *clock(start.looks[0].to) <= *"16:30"));
    let shuts = |bound: &Bound| matches!(bound, Bound::Shuts(id, at) if id == "veranda" && clock(*at) == "16:30");
    assert!(found.iter().all(|start| start.bounds.iter().any(shuts)));
}

#[test]
fn the_clock_change_moves_the_start_with_the_sun() {
    let mut studio = studio(vec![spot("a", 2.0, Site::default())]);
    studio.week.working = vec![Day::Thursday, Day::Tuesday];
    let around = (date(2026, 10, 1), date(2026, 10, 6));
    let looks = vec![look(LightWish::LowSun, 30)];
    let found = asked(&studio, &question(&studio, looks, around)).unwrap();
    let on = |day: i8| found.iter().find(|start| start.date.day() == day).unwrap().from;
    // trade.md 1.3: sunset is 17:50 on the 1st and 18:54 on the 6th by the clock.
    let later = on(6).duration_since(on(1)).as_mins() - 5 * 24 * 60;
    assert!((-5..=10).contains(&later), "the sun itself moves by minutes: {later}");
    assert!(clock(on(6)) > clock(on(1)), "but the clock by an hour");
}

#[test]
fn a_question_that_makes_no_sense_is_told_what_is_wrong() {
    let studio = studio(vec![spot("a", 3.0, Site::default())]);
    let asks = |looks| question(&studio, looks, SEPTEMBER);
    assert_eq!(asked(&studio, &asks(Vec::new())), Err(NoStart::NoLooks));
    let seven = vec![look(LightWish::Any, 10); 7];
    assert_eq!(asked(&studio, &asks(seven)), Err(NoStart::TooManyLooks(7)));
    let long = vec![look(LightWish::Any, 999)];
    assert_eq!(asked(&studio, &asks(long)), Err(NoStart::Minutes("Any".to_owned(), 999)));
    let elsewhere = WantedLook { spot: Some("moon".to_owned()), ..look(LightWish::Any, 10) };
    let unknown = asked(&studio, &asks(vec![elsewhere]));
    assert_eq!(unknown, Err(NoStart::UnknownSpot("moon".to_owned())));
    let mut backwards = asks(vec![look(LightWish::Any, 10)]);
    backwards.dates = (SEPTEMBER.1, SEPTEMBER.0);
    assert!(matches!(asked(&studio, &backwards), Err(NoStart::Dates(..))));
    let mut nowhere = asks(vec![look(LightWish::Any, 10)]);
    nowhere.spots.clear();
    assert_eq!(asked(&studio, &nowhere), Err(NoStart::NoSpots));
}
