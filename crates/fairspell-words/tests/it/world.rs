//! The invented studio's people and skies.

use fairspell_chance::{Chance, Character, Probability};
use fairspell_ground::LatLon;
use fairspell_studio::ruling::RainEvent;
use fairspell_studio::{
    Answer, AnsweredBy, Band, Gate, GateKind, LetterFacts, LetterKind, Outlook, Question, Rule,
    Ruling, SentLetter, Site, SourceState, Sourced, Span, Spot, Step, is_late,
    letter::{ArtistFacts, Danger},
    outlook::{
        Comfort, LightBounds, LikelyGap, RadarView, RainStep, Reach, SourceKind, Tier, WarningSeen,
    },
    session::Deadline,
    spot::Cover,
};
use jiff::{
    Timestamp,
    civil::{DateTime, date},
    tz::TimeZone,
};

pub(crate) fn zone() -> TimeZone {
    TimeZone::get("Australia/Sydney").unwrap()
}

/// A moment by the studio's clock: "2026-09-03 14:30".
pub(crate) fn at(text: &str) -> Timestamp {
    zone().to_timestamp(civil(text)).unwrap()
}

pub(crate) fn civil(text: &str) -> DateTime {
    text.replace(' ', "T").parse().unwrap()
}

pub(crate) fn p(percent: f64) -> Probability {
    Probability::from_percent(percent).unwrap()
}

pub(crate) fn chance(low: f64, centre: f64, high: f64) -> Chance {
    Chance::new(p(low), p(centre), p(high)).unwrap()
}

pub(crate) fn hours() -> Span {
    Span { from: at("2026-09-03 15:15"), to: at("2026-09-03 17:05") }
}

pub(crate) fn sourced<T>(value: T, source: &str, issued: &str) -> Sourced<T> {
    Sourced {
        value,
        hours: hours(),
        place: "Cannery Arcade".to_owned(),
        source: source.to_owned(),
        issued: at(issued),
        our_estimate: false,
    }
}

fn spot(id: &str, name: &str, cover: Cover) -> Spot {
    Spot {
        id: id.to_owned(),
        name: name.to_owned(),
        position: LatLon::new(-31.7196, 152.7858).unwrap(),
        cover,
        refuge: None,
        skyline: fairspell_ground::Skyline::default(),
        wind: fairspell_studio::spot::WindExposure::default(),
        shore: false,
        site: Site::default(),
    }
}

pub(crate) fn spots() -> Vec<Spot> {
    vec![
        spot("cannery", "Cannery Arcade", Cover::Roof),
        spot("dune", "Long Dune", Cover::None),
        spot("steps", "Lantern Steps", Cover::None),
    ]
}

pub(crate) fn storm_warning() -> WarningSeen {
    WarningSeen {
        event: "Severe Thunderstorm Warning".to_owned(),
        tier: Tier::Stop,
        reach: Reach::Session,
        from: at("2026-09-03 15:00"),
        to: Some(at("2026-09-03 20:00")),
        headline: Some("Severe storms with hail from 3 pm".to_owned()),
        source: "Coast Weather Service".to_owned(),
        issued: at("2026-09-03 14:05"),
    }
}

/// Thu 3 Sep, 14:30: a dry forecast under a wet sky.
pub(crate) fn outlook() -> Outlook {
    let model = "Coast Weather Service";
    let forecast = "2026-09-03 12:00";
    let picture = "2026-09-03 14:26";
    Outlook {
        session: "linh".to_owned(),
        as_of: at("2026-09-03 14:30"),
        window: hours(),
        evening: Span { from: at("2026-09-03 14:45"), to: at("2026-09-03 17:48") },
        light: LightBounds {
            sunset: Some(at("2026-09-03 17:33")),
            sunrise: None,
            last_direct: vec![("steps".to_owned(), at("2026-09-03 16:48"))],
            last_usable: Some(at("2026-09-03 17:48")),
        },
        rain_threshold_mm: Some(0.2),
        p_any_rain: Some(sourced(chance(10.0, 14.0, 27.0), model, forecast)),
        p_wet_minute: Some(sourced(chance(60.0, 75.0, 88.0), "Coast Radar", picture)),
        gap_min: 25,
        p_gap: Some(sourced(chance(82.0, 91.0, 96.0), "Coast Radar", picture)),
        character: Some(sourced(Character::Showery, model, forecast)),
        rain_amount_mm: Some(sourced(0.02, model, forecast)),
        largest_hour: Some(sourced(p(10.0), model, forecast)),
        comfort: Comfort {
            temperature_is_complete: true,
            gusts_are_complete: true,
            air_temperature_max_c: Some(sourced(19.0, model, forecast)),
            felt_max_c: Some(sourced(19.0, model, forecast)),
            felt_min_c: Some(sourced(-0.2, model, forecast)),
            wind_speed_km_h: Some(sourced(18.0, model, forecast)),
            wind_gust_km_h: Some(sourced(28.0, model, forecast)),
            cloud_area_fraction: Some(sourced(0.62, model, forecast)),
            thunder: Some(sourced(false, model, forecast)),
        },
        warnings: vec![],
        unplaced_warnings: vec![],
        sources: vec![
            (
                SourceKind::Forecast,
                SourceState::Fresh { source: model.to_owned(), issued: at(forecast) },
            ),
            (
                SourceKind::Warnings,
                SourceState::Fresh { source: model.to_owned(), issued: at("2026-09-03 14:20") },
            ),
            (
                SourceKind::Radar,
                SourceState::Fresh { source: "Coast Radar".to_owned(), issued: at(picture) },
            ),
        ],
        radar: Some(RadarView {
            wet_share: Some(0.2),
            frames_used: 12,
            issued: at(picture),
            rain_rate_mm_h: Some(0.0),
            motion_km_h: Some((-17.7, 17.7)),
            reach: None,
        }),
        steps: vec![RainStep {
            hours: Span { from: at("2026-09-03 17:40"), to: at("2026-09-03 17:45") },
            p_wet: None,
            rain_rate_mm_h: None,
        }],
        likely_gaps: vec![
            LikelyGap {
                hours: Span { from: at("2026-09-03 15:52"), to: at("2026-09-03 16:14") },
                from_doubt_min: 4.0,
                to_doubt_min: 7.0,
            },
            LikelyGap {
                hours: Span { from: at("2026-09-03 16:30"), to: at("2026-09-03 17:01") },
                from_doubt_min: 6.0,
                to_doubt_min: 9.0,
            },
        ],
    }
}

/// An outlook in which nothing at all is known.
pub(crate) fn nothing_known() -> Outlook {
    Outlook {
        light: LightBounds { sunset: None, sunrise: None, last_direct: vec![], last_usable: None },
        rain_threshold_mm: None,
        p_any_rain: None,
        p_wet_minute: None,
        p_gap: None,
        character: None,
        rain_amount_mm: None,
        largest_hour: None,
        comfort: Comfort::default(),
        warnings: vec![],
        sources: vec![],
        radar: None,
        steps: vec![],
        likely_gaps: vec![],
        ..outlook()
    }
}

/// The ruling of Thu 3 Sep, 14:30.
pub(crate) fn ruling() -> Ruling {
    Ruling {
        band: Band::Settled,
        step: Some(Step::Go),
        question: Question::DryGap,
        rule: Rule::GapKeepsIt {
            rain: outlook().p_wet_minute.unwrap(),
            of: RainEvent::WetMinute,
            chance: outlook().p_gap.unwrap(),
            percent: 91,
            gap_min: 25,
        },
        figure: None,
        ends_disagree: Some((Band::Watch, Band::Settled)),
        spot_changes: vec![],
        unchecked: vec![],
        artist: None,
        next_gate: Some(Gate { kind: GateKind::LeaveBy, at: at("2026-09-03 14:35") }),
    }
}

/// A letter without anything optional.
pub(crate) fn bare(kind: LetterKind) -> LetterFacts {
    LetterFacts {
        kind,
        sitter: "Linh".to_owned(),
        guardian: "Quoc".to_owned(),
        owner: "Ines Corrigan-Vale".to_owned(),
        question: Question::AnyRain,
        as_of: civil("2026-09-02 18:00"),
        start: civil("2026-09-03 15:15"),
        end: civil("2026-09-03 17:05"),
        meeting_spot: "Cannery Arcade".to_owned(),
        roofed_spot: None,
        rain_percent: None,
        gap_percent: None,
        gap_min: 25,
        character: None,
        danger: None,
        wait_until: None,
        spot_change: None,
        reserves: vec![],
        reply_by: None,
        next_word: None,
        artist: None,
        deadline: None,
    }
}

fn artist(free_until: &str, passed: bool) -> ArtistFacts {
    ArtistFacts { name: "Dune & Plait".to_owned(), free_until: civil(free_until), passed }
}

fn people(kind: LetterKind, sitter: &str, guardian: &str) -> LetterFacts {
    LetterFacts { sitter: sitter.to_owned(), guardian: guardian.to_owned(), ..bare(kind) }
}

/// The letters of the invented season, each as it would have gone out.
pub(crate) fn season() -> Vec<(&'static str, LetterFacts)> {
    let yearbook = Some(Deadline { name: "yearbook".to_owned(), date: date(2026, 9, 18) });
    let slideshow = Some(Deadline { name: "dinner slideshow".to_owned(), date: date(2026, 12, 4) });
    vec![
        (
            "01_settled",
            LetterFacts {
                as_of: civil("2026-08-17 18:00"),
                start: civil("2026-08-18 15:20"),
                end: civil("2026-08-18 17:10"),
                meeting_spot: "Lantern Steps".to_owned(),
                rain_percent: Some(8),
                next_word: Some((GateKind::MorningReading, civil("2026-08-18 10:00"))),
                ..people(LetterKind::Settled, "Amara", "Folake")
            },
        ),
        (
            "02_grey_but_dry",
            LetterFacts {
                as_of: civil("2026-09-07 18:00"),
                start: civil("2026-09-08 15:20"),
                end: civil("2026-09-08 17:10"),
                meeting_spot: "Heron Walk".to_owned(),
                roofed_spot: Some("Tin Boathouse".to_owned()),
                rain_percent: Some(12),
                reply_by: Some(civil("2026-09-07 20:00")),
                ..people(LetterKind::GreyButDry, "Callum", "Jaspreet")
            },
        ),
        (
            "03_watch",
            LetterFacts {
                as_of: civil("2026-09-28 18:00"),
                start: civil("2026-10-01 15:30"),
                end: civil("2026-10-01 17:20"),
                meeting_spot: "Pell Quay".to_owned(),
                rain_percent: Some(25),
                character: Some(Character::Showery),
                reserves: vec![civil("2026-10-04 16:30"), civil("2026-10-07 16:30")],
                next_word: Some((GateKind::EveningReading, civil("2026-09-30 18:00"))),
                artist: Some(artist("2026-09-28 20:00", false)),
                ..people(LetterKind::Watch, "Mateo", "Inés")
            },
        ),
        (
            "04_familys_choice",
            LetterFacts {
                as_of: civil("2026-09-30 18:00"),
                start: civil("2026-10-01 15:30"),
                end: civil("2026-10-01 17:20"),
                meeting_spot: "Pell Quay".to_owned(),
                roofed_spot: Some("Pell Quay".to_owned()),
                rain_percent: Some(45),
                gap_percent: Some(85),
                character: Some(Character::Showery),
                reserves: vec![civil("2026-10-04 16:30"), civil("2026-10-07 16:30")],
                reply_by: Some(civil("2026-09-30 20:00")),
                artist: Some(artist("2026-09-28 12:00", true)),
                ..people(LetterKind::FamilysChoice, "Mateo", "Inés")
            },
        ),
        (
            "05_advise_moving",
            LetterFacts {
                as_of: civil("2026-09-14 18:00"),
                start: civil("2026-09-15 15:30"),
                end: civil("2026-09-15 17:20"),
                meeting_spot: "Lantern Steps".to_owned(),
                roofed_spot: Some("Ferrow House veranda".to_owned()),
                rain_percent: Some(80),
                character: Some(Character::Steady),
                reserves: vec![civil("2026-09-16 15:30"), civil("2026-09-20 15:30")],
                reply_by: Some(civil("2026-09-14 20:00")),
                artist: Some(artist("2026-09-12 12:00", true)),
                ..people(LetterKind::AdviseMoving, "Soraya", "Navid")
            },
        ),
        (
            "05b_advise_moving_deadline_allows_none",
            LetterFacts {
                as_of: civil("2026-09-16 18:00"),
                start: civil("2026-09-17 15:30"),
                end: civil("2026-09-17 17:20"),
                meeting_spot: "Lantern Steps".to_owned(),
                roofed_spot: Some("Ferrow House veranda".to_owned()),
                rain_percent: Some(80),
                character: Some(Character::Steady),
                reserves: vec![civil("2026-09-27 15:30")],
                reply_by: Some(civil("2026-09-16 20:00")),
                deadline: yearbook.clone(),
                ..people(LetterKind::AdviseMoving, "Soraya", "Navid")
            },
        ),
        (
            "05c_not_this_evening",
            LetterFacts {
                question: Question::DryGap,
                as_of: civil("2026-09-03 14:30"),
                rain_percent: Some(95),
                gap_percent: Some(12),
                character: Some(Character::Steady),
                reserves: vec![civil("2026-09-06 15:15"), civil("2026-09-09 15:15")],
                reply_by: Some(civil("2026-09-04 18:00")),
                next_word: Some((GateKind::LeaveBy, civil("2026-09-03 14:35"))),
                artist: Some(artist("2026-08-31 11:45", true)),
                ..people(LetterKind::AdviseMoving, "Linh", "Quoc")
            },
        ),
        (
            "06_must_move_storm",
            LetterFacts {
                as_of: civil("2026-11-23 18:20"),
                start: civil("2026-11-24 17:40"),
                end: civil("2026-11-24 19:30"),
                danger: Some(Danger::Warning { event: "Severe Thunderstorm Warning".to_owned() }),
                reserves: vec![civil("2026-11-25 17:40"), civil("2026-11-29 17:45")],
                reply_by: Some(civil("2026-11-23 20:00")),
                artist: Some(artist("2026-11-21 14:10", true)),
                deadline: slideshow.clone(),
                ..people(LetterKind::MustMoveStorm, "Priyanka", "Arun")
            },
        ),
        (
            "07_must_move_system",
            LetterFacts {
                as_of: civil("2026-09-12 10:00"),
                start: civil("2026-09-15 15:30"),
                end: civil("2026-09-15 17:20"),
                roofed_spot: Some("Ferrow House veranda".to_owned()),
                rain_percent: Some(90),
                character: Some(Character::Steady),
                danger: Some(Danger::Gust(75.0)),
                reserves: vec![civil("2026-09-27 15:30")],
                reply_by: Some(civil("2026-09-12 12:00")),
                artist: Some(artist("2026-09-12 12:00", false)),
                deadline: yearbook,
                ..people(LetterKind::MustMoveSystem, "Soraya", "Navid")
            },
        ),
        (
            "08_heat",
            LetterFacts {
                as_of: civil("2026-11-30 18:00"),
                start: civil("2026-12-01 17:50"),
                end: civil("2026-12-01 19:40"),
                danger: Some(Danger::Heat(39.0)),
                reserves: vec![civil("2026-12-02 05:10")],
                reply_by: Some(civil("2026-11-30 20:00")),
                deadline: slideshow,
                ..people(LetterKind::HeatOrCold, "Elodie", "Hanae")
            },
        ),
        (
            "08b_cold",
            LetterFacts {
                danger: Some(Danger::Cold(-0.3)),
                reserves: vec![civil("2026-09-06 15:15")],
                ..people(LetterKind::HeatOrCold, "Linh", "Quoc")
            },
        ),
        (
            "09_other_spot",
            LetterFacts {
                as_of: civil("2026-10-05 18:00"),
                start: civil("2026-10-06 16:50"),
                end: civil("2026-10-06 18:40"),
                meeting_spot: "Long Dune".to_owned(),
                rain_percent: Some(10),
                spot_change: Some(("Long Dune".to_owned(), "Cannery Arcade".to_owned())),
                next_word: Some((GateKind::MorningReading, civil("2026-10-06 10:00"))),
                ..people(LetterKind::OtherSpot, "Freya", "Moana")
            },
        ),
        (
            "10_hold",
            LetterFacts {
                as_of: civil("2026-09-03 14:20"),
                rain_percent: Some(80),
                gap_percent: Some(62),
                character: Some(Character::Showery),
                wait_until: Some(civil("2026-09-03 14:45")),
                roofed_spot: Some("Cannery Arcade".to_owned()),
                reserves: vec![civil("2026-09-06 15:15")],
                next_word: Some((GateKind::LeaveBy, civil("2026-09-03 14:50"))),
                ..people(LetterKind::Hold, "Linh", "Quoc")
            },
        ),
        (
            "10b_hold_and_go",
            LetterFacts {
                as_of: civil("2026-09-03 14:30"),
                rain_percent: Some(75),
                gap_percent: Some(91),
                character: Some(Character::Showery),
                roofed_spot: Some("Cannery Arcade".to_owned()),
                next_word: Some((GateKind::LeaveBy, civil("2026-09-03 14:35"))),
                ..people(LetterKind::Hold, "Linh", "Quoc")
            },
        ),
    ]
}

pub(crate) const KINDS: [LetterKind; 10] = [
    LetterKind::Settled,
    LetterKind::GreyButDry,
    LetterKind::Watch,
    LetterKind::FamilysChoice,
    LetterKind::AdviseMoving,
    LetterKind::MustMoveStorm,
    LetterKind::MustMoveSystem,
    LetterKind::HeatOrCold,
    LetterKind::OtherSpot,
    LetterKind::Hold,
];

pub(crate) fn artists() -> [Option<ArtistFacts>; 3] {
    [None, Some(artist("2026-08-31 11:45", true)), Some(artist("2026-09-02 20:00", false))]
}

/// A letter as it was sent on the evening before, with the sky of [`outlook`] as it was read then.
pub(crate) fn sent(facts: LetterFacts) -> SentLetter {
    let mut outlook = outlook();
    outlook.as_of = at("2026-09-02 18:00");
    for chance in [&mut outlook.p_any_rain, &mut outlook.p_wet_minute, &mut outlook.p_gap] {
        chance.as_mut().unwrap().issued -= jiff::SignedDuration::from_hours(24);
    }
    let letter = fairspell_words::letter(&facts);
    SentLetter {
        id: "l1".to_owned(),
        session: "linh".to_owned(),
        subject: letter.subject,
        body: letter.body,
        offers: letter.offers,
        reply_by: facts.reply_by.map(|by| zone().to_timestamp(by).unwrap()),
        facts,
        outlook,
        ruling: ruling(),
        sent_at: at("2026-09-02 18:05"),
    }
}

/// An answer to such a letter by the number of its choice, at a clock time of Wed 2 Sep.
pub(crate) fn answer(sent: &SentLetter, who: &str, number: usize, clock: &str) -> Answer {
    let offer = &sent.offers[number - 1];
    let answered_at = at(&format!("2026-09-02 {clock}"));
    Answer {
        letter: sent.id.clone(),
        session: sent.session.clone(),
        who: who.to_owned(),
        choice: offer.choice.clone(),
        words: offer.words.clone(),
        answered_at,
        by: AnsweredBy::Page,
        is_late: is_late(answered_at, sent.reply_by),
    }
}

/// It's Linh's and Quoc's choice, until Wed 2 Sep, 20:00.
pub(crate) fn their_choice() -> SentLetter {
    sent(LetterFacts {
        rain_percent: Some(14),
        gap_percent: Some(91),
        reserves: vec![civil("2026-09-06 15:15"), civil("2026-09-09 15:20")],
        reply_by: Some(civil("2026-09-02 20:00")),
        ..bare(LetterKind::FamilysChoice)
    })
}
