//! A small invented studio, a session and an outlook for tests to change.

use fairspell_chance::{Chance, Probability};
use fairspell_ground::LatLon;
use fairspell_studio::{
    Gate, LookTable, Outlook, Policy, Ruling, Session, Site, SourceState, Sourced, Span, Spot,
    Studio, gates,
    outlook::{Comfort, LightBounds, Reach, SourceKind, Tier, WarningSeen},
    rule,
    season::Season,
    session::{DateNotes, Drive, Look},
    spot::{Cover, Refuge, WindExposure},
    studio::{Artist, Day, Expected, Sources, Week},
};
use jiff::{Timestamp, civil::date, tz::TimeZone};

pub(crate) fn at(text: &str) -> Timestamp {
    text.parse().expect("a test's own timestamp")
}

pub(crate) fn zone() -> TimeZone {
    TimeZone::get("Australia/Sydney").unwrap()
}

pub(crate) fn spot(id: &str, cover: Cover, gust_limit_km_h: Option<f64>) -> Spot {
    Spot {
        id: id.to_owned(),
        name: id.to_owned(),
        position: LatLon::new(-31.72, 152.79).unwrap(),
        cover,
        refuge: Some(Refuge { name: "car".to_owned(), minutes: 2 }),
        skyline: fairspell_ground::Skyline::default(),
        wind: WindExposure { gust_factor: 1.3, gust_limit_km_h },
        shore: false,
        site: Site::default(),
    }
}

pub(crate) fn studio() -> Studio {
    Studio {
        name: "Half Past Dune Portraits".to_owned(),
        owner: "Ines".to_owned(),
        place: "Saltern Bight".to_owned(),
        home: LatLon::new(-31.72, 152.79).unwrap(),
        time_zone: "Australia/Sydney".to_owned(),
        invented: true,
        week: Week {
            working: vec![Day::Tuesday, Day::Thursday],
            reserve: vec![Day::Wednesday, Day::Sunday],
            dawn: Vec::new(),
        },
        blackouts: Vec::new(),
        season: Season::default(),
        artist: Some(Artist {
            name: "Dune & Plait".to_owned(),
            free_change_h: 72,
            full_fee_h: 12,
            fee: 0.0,
        }),
        school: None,
        tide: None,
        sources: Sources { warnings: Expected::Yes, radar: Expected::Yes },
        warning_areas: Vec::new(),
        spots: vec![spot("dune", Cover::None, Some(30.0)), spot("arcade", Cover::Roof, None)],
        policy: Policy::default(),
        look_table: LookTable::default(),
    }
}

/// Thu 3 Sep 2026, 15:15 by the clock (05:15 UTC), 150 minutes, at the arcade.
pub(crate) fn session() -> Session {
    Session {
        id: "2026-09-03-linh".to_owned(),
        sitter: "Linh".to_owned(),
        guardian: "Quoc".to_owned(),
        start: date(2026, 9, 3).at(15, 15, 0, 0),
        duration_min: 150,
        looks: vec![Look {
            name: "denim".to_owned(),
            spot: "arcade".to_owned(),
            ..Look::default()
        }],
        drive: Drive { minutes: 15, route: Vec::new() },
        chair_before_start_min: 210,
        with_artist: true,
        deadline: None,
        moved_from: None,
        people: Vec::new(),
        dates: DateNotes::default(),
    }
}

pub(crate) fn percent(percent: f64) -> Chance {
    Chance::certain(Probability::from_percent(percent).unwrap())
}

pub(crate) fn range(low: f64, centre: f64, high: f64) -> Chance {
    let p = |percent| Probability::from_percent(percent).unwrap();
    Chance::new(p(low), p(centre), p(high)).unwrap()
}

pub(crate) const WINDOW: (&str, &str) = ("2026-09-03T05:15:00Z", "2026-09-03T07:45:00Z");

pub(crate) fn window() -> Span {
    Span { from: at(WINDOW.0), to: at(WINDOW.1) }
}

pub(crate) fn sourced<T>(value: T) -> Sourced<T> {
    Sourced {
        value,
        hours: window(),
        place: "arcade".to_owned(),
        source: "a service".to_owned(),
        issued: at("2026-09-02T07:00:00Z"),
        our_estimate: false,
    }
}

/// A mild evening without rain as of some moment, all sources fresh.
pub(crate) fn dry_outlook(as_of: &str) -> Outlook {
    let fresh = || SourceState::Fresh { source: "a service".to_owned(), issued: at(as_of) };
    Outlook {
        session: session().id,
        as_of: at(as_of),
        window: window(),
        evening: Span { from: at("2026-09-03T04:45:00Z"), to: at("2026-09-03T07:48:00Z") },
        light: LightBounds {
            sunset: Some(at("2026-09-03T07:33:00Z")),
            sunrise: None,
            last_direct: Vec::new(),
            last_usable: Some(at("2026-09-03T07:48:00Z")),
        },
        rain_threshold_mm: Some(0.2),
        p_any_rain: Some(sourced(percent(5.0))),
        p_wet_minute: Some(sourced(percent(6.0))),
        gap_min: 25,
        p_gap: Some(sourced(percent(99.0))),
        character: None,
        rain_amount_mm: None,
        largest_hour: None,
        comfort: Comfort {
            temperature_is_complete: true,
            gusts_are_complete: true,
            felt_max_c: Some(sourced(20.0)),
            felt_min_c: Some(sourced(14.0)),
            wind_gust_km_h: Some(sourced(20.0)),
            ..Comfort::default()
        },
        warnings: Vec::new(),
        unplaced_warnings: Vec::new(),
        sources: [SourceKind::Forecast, SourceKind::Warnings, SourceKind::Radar]
            .map(|kind| (kind, fresh()))
            .to_vec(),
        radar: None,
        steps: Vec::new(),
        likely_gaps: Vec::new(),
    }
}

pub(crate) fn warning(tier: Tier) -> WarningSeen {
    WarningSeen {
        event: "Severe Thunderstorm Warning".to_owned(),
        tier,
        reach: Reach::Session,
        from: window().from,
        to: Some(window().to),
        headline: None,
        source: "a service".to_owned(),
        issued: window().from,
    }
}

pub(crate) fn all_gates() -> Vec<Gate> {
    gates(&studio(), &zone(), &session()).unwrap()
}

pub(crate) fn ruled(outlook: &Outlook) -> Ruling {
    rule(&studio(), &session(), &all_gates(), outlook)
}

/// 18:00 the day before, 10:00 on the day, the chair (11:45), leave-by (14:30); all by UTC.
pub(crate) const EVENING_READING: &str = "2026-09-02T08:00:00Z";
pub(crate) const MORNING_READING: &str = "2026-09-03T00:00:00Z";
pub(crate) const CHAIR: &str = "2026-09-03T01:45:00Z";
pub(crate) const LEAVE_BY: &str = "2026-09-03T04:30:00Z";
/// Five days before.
pub(crate) const EARLY: &str = "2026-08-29T00:00:00Z";
