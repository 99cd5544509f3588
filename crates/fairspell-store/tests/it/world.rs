//! An invented studio with one evening, and a store to keep it in.

use fairspell_chance::{Chance, Probability};
use fairspell_ground::{LatLon, Skyline};
use fairspell_store::{Draft, PushSubscription, Store};
use fairspell_studio::{
    Answer, AnsweredBy, Choice, FieldEvent, FieldEventKind, ForecastFigure, LetterFacts,
    LetterKind, LookTable, Offer, Outlook, Person, Policy, RadarFigure, Role, Ruling, SentLetter,
    Session, Site, SourceState, Sourced, Span, Spot, Studio,
    field_event::SetForm,
    gates,
    journal::Digest,
    outlook::{Comfort, LightBounds, SourceKind},
    rule,
    season::Season,
    session::{DateNotes, Drive, Look},
    spot::{Cover, WindExposure},
    studio::{Expected, Sources, Week},
};
use jiff::{Timestamp, civil::date};
use tempfile::TempDir;

pub(crate) fn at(text: &str) -> Timestamp {
    text.parse().unwrap()
}

/// The morning of the day of `session`.
pub(crate) fn now() -> Timestamp {
    at("2026-09-03T00:00:00Z")
}

pub(crate) fn minutes_later(minutes: i64) -> Timestamp {
    now() + jiff::SignedDuration::from_mins(minutes)
}

/// An open store in a folder of its own, which goes with the first value.
pub(crate) async fn fresh() -> (TempDir, Store) {
    let folder = tempfile::tempdir().unwrap();
    let store = Store::open(folder.path(), now()).await.unwrap();
    (folder, store)
}

pub(crate) fn studio() -> Studio {
    let spot = Spot {
        id: "arcade".to_owned(),
        name: "The arcade".to_owned(),
        position: LatLon::new(-31.72, 152.79).unwrap(),
        cover: Cover::Roof,
        refuge: None,
        skyline: Skyline::default(),
        wind: WindExposure::default(),
        shore: false,
        site: Site::default(),
    };
    Studio {
        name: "Half Past Dune Portraits".to_owned(),
        owner: "Ines".to_owned(),
        place: "Saltern Bight".to_owned(),
        home: LatLon::new(-31.72, 152.79).unwrap(),
        time_zone: "Australia/Sydney".to_owned(),
        invented: true,
        week: Week::default(),
        blackouts: Vec::new(),
        season: Season::default(),
        artist: None,
        school: None,
        tide: None,
        sources: Sources { warnings: Expected::Yes, radar: Expected::Yes },
        warning_areas: Vec::new(),
        spots: vec![spot],
        policy: Policy::default(),
        look_table: LookTable::default(),
    }
}

pub(crate) fn session(id: &str, day: i8) -> Session {
    Session {
        id: id.to_owned(),
        sitter: "Zephyrine".to_owned(),
        guardian: "Thị Lan".to_owned(),
        start: date(2026, 9, day).at(15, 15, 0, 0),
        duration_min: 150,
        looks: vec![Look {
            name: "Zephyrine's denim".to_owned(),
            spot: "arcade".to_owned(),
            ..Look::default()
        }],
        drive: Drive { minutes: 15, route: Vec::new() },
        chair_before_start_min: 60,
        with_artist: false,
        deadline: None,
        moved_from: None,
        people: vec!["zephyrine".to_owned(), "lan".to_owned()],
        dates: DateNotes::default(),
    }
}

pub(crate) fn person(id: &str, name: &str) -> Person {
    Person {
        id: id.to_owned(),
        name: name.to_owned(),
        role: Role::Guardian,
        email: Some(format!("{id}@example.com")),
        phone: None,
    }
}

pub(crate) fn chance(percent: f64) -> Chance {
    Chance::certain(Probability::from_percent(percent).unwrap())
}

fn hours() -> Span {
    Span { from: at("2026-09-03T05:15:00Z"), to: at("2026-09-03T07:45:00Z") }
}

fn sourced<T>(value: T) -> Sourced<T> {
    Sourced {
        value,
        hours: hours(),
        place: "The arcade".to_owned(),
        source: "a service".to_owned(),
        issued: at("2026-09-02T07:00:00Z"),
        our_estimate: false,
    }
}

/// The session's sky at some moment, with this chance of any rain.
pub(crate) fn outlook(session: &str, as_of: Timestamp, rain_percent: f64) -> Outlook {
    let fresh = || SourceState::Fresh { source: "a service".to_owned(), issued: as_of };
    Outlook {
        session: session.to_owned(),
        as_of,
        window: hours(),
        evening: hours(),
        light: LightBounds {
            sunset: Some(at("2026-09-03T07:33:00Z")),
            sunrise: None,
            last_direct: Vec::new(),
            last_usable: Some(at("2026-09-03T07:48:00Z")),
        },
        rain_threshold_mm: Some(0.2),
        p_any_rain: Some(sourced(chance(rain_percent))),
        p_wet_minute: None,
        gap_min: 25,
        p_gap: Some(sourced(chance(60.0))),
        character: None,
        rain_amount_mm: None,
        largest_hour: None,
        comfort: Comfort {
            temperature_is_complete: true,
            gusts_are_complete: true,
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

pub(crate) fn ruled(outlook: &Outlook) -> Ruling {
    let (studio, session) = (studio(), session(&outlook.session, 3));
    let gates = gates(&studio, &studio.zone().unwrap(), &session).unwrap();
    rule(&studio, &session, &gates, outlook)
}

pub(crate) fn letter(id: &str, session_id: &str, sent_at: Timestamp) -> SentLetter {
    let outlook = outlook(session_id, sent_at, 40.0);
    let ruling = ruled(&outlook);
    let start = date(2026, 9, 3).at(15, 15, 0, 0);
    let facts = LetterFacts {
        kind: LetterKind::FamilysChoice,
        sitter: "Zephyrine".to_owned(),
        guardian: "Thị Lan".to_owned(),
        owner: "Ines".to_owned(),
        question: ruling.question,
        as_of: date(2026, 9, 3).at(10, 0, 0, 0),
        start,
        end: date(2026, 9, 3).at(17, 45, 0, 0),
        meeting_spot: "The arcade".to_owned(),
        roofed_spot: None,
        rain_percent: Some(40),
        gap_percent: Some(60),
        gap_min: 25,
        character: None,
        danger: None,
        wait_until: None,
        spot_change: None,
        reserves: Vec::new(),
        reply_by: None,
        next_word: None,
        artist: None,
        deadline: None,
    };
    SentLetter {
        id: id.to_owned(),
        session: session_id.to_owned(),
        subject: "Zephyrine's evening".to_owned(),
        body: "Dear Thị Lan, it may rain.".to_owned(),
        offers: vec![Offer { choice: Choice::Keep, words: "We keep the date".to_owned() }],
        facts,
        outlook,
        ruling,
        sent_at,
        reply_by: None,
    }
}

pub(crate) fn answer(letter: &str, session: &str, choice: Choice, at: Timestamp) -> Answer {
    Answer {
        letter: letter.to_owned(),
        session: session.to_owned(),
        who: "Thị Lan".to_owned(),
        choice,
        words: "We keep the date".to_owned(),
        answered_at: at,
        by: AnsweredBy::Page,
        is_late: false,
    }
}

pub(crate) fn radar_figure(spot: &str, valid_time: Timestamp) -> RadarFigure {
    RadarFigure {
        spot: spot.to_owned(),
        source: "a radar".to_owned(),
        valid_time,
        fetched_at: valid_time,
        rain_rate_mm_h: None,
        rain_rate_max_nearby_mm_h: Some(0.1),
        wet_share: Some(0.25),
        coverage: 0.875,
    }
}

pub(crate) fn forecast_figure(session: &str, issued: Timestamp) -> ForecastFigure {
    ForecastFigure {
        session: session.to_owned(),
        source: "a service".to_owned(),
        issued,
        fetched_at: issued,
        hours: hours(),
        lead_h: 5.25,
        p_any_rain: Some(chance(40.0)),
        p_gap: None,
        rain_amount_mm: Some(0.3),
        air_temperature_max_c: None,
        wind_gust_km_h: None,
        thunder: Some(false),
    }
}

/// The session of `whole_evening`; its id names the sitter, as ids do.
pub(crate) const SESSION: &str = "2026-09-03-zephyrine";

/// Puts something in every table: a studio, a session with its people, a letter that was answered
/// twice, a draft, readings, rulings, what she was told, and the program's own.
pub(crate) async fn whole_evening(store: &Store) {
    store.save_studio(&studio(), now()).await.unwrap();
    store.save_person(&person("zephyrine", "Zephyrine"), now()).await.unwrap();
    store.save_person(&person("lan", "Thị Lan"), now()).await.unwrap();
    store.save_session(&session(SESSION, 3), now()).await.unwrap();
    let sky = outlook(SESSION, now(), 40.0);
    assert!(store.keep_ruling(&sky, &ruled(&sky)).await.unwrap());
    store.send_letter(&letter("zephyrine-1", SESSION, now())).await.unwrap();
    for (choice, minutes) in [(Choice::Keep, 10), (Choice::Talk, 20)] {
        let answer = answer("zephyrine-1", SESSION, choice, minutes_later(minutes));
        store.record_answer(&answer).await.unwrap();
    }
    let draft = Draft {
        subject: "Zephyrine again".to_owned(),
        body: "Dear Thị Lan".to_owned(),
        at: minutes_later(30),
    };
    store.save_draft(SESSION, &draft).await.unwrap();
    store.keep_radar_figures(&[radar_figure("arcade", now())]).await.unwrap();
    store.keep_forecast_figures(&[forecast_figure(SESSION, now())]).await.unwrap();
    let key = format!("band {SESSION} family's choice");
    let words = "Zephyrine's evening: the family decides";
    assert!(store.remember_notice(&key, "band", Some(SESSION), now(), words).await.unwrap());
    store.note_delivery(&key, "e-mail", now(), Err("no route")).await.unwrap();
    store.note_delivery(&key, "e-mail", minutes_later(1), Ok(())).await.unwrap();
    let sheet = Digest::of(b"a field sheet").to_string();
    store.remember_field_sheet(SESSION, &sheet, now()).await.unwrap();
    store.add_field_events(SESSION, &taps(), &sheet, minutes_later(400)).await.unwrap();
    store.save_setting("public_url", "https://example.com").await.unwrap();
    let (token, expires_at) = (Digest::of(b"a cookie"), minutes_later(60 * 24 * 30));
    store.sign_in(&token, now(), expires_at, "a telephone").await.unwrap();
    store.save_push_subscription(&push_subscription("https://push.example.com/1")).await.unwrap();
}

/// What a phone has of the evening; notes name people.
pub(crate) fn taps() -> Vec<FieldEvent> {
    let set = "Zephyrine's denim / arcade / cover".to_owned();
    let kinds = [
        FieldEventKind::Arrived {},
        FieldEventKind::Start { set, form: SetForm::Full },
        FieldEventKind::Note { text: "Thị Lan holds the umbrella".to_owned() },
        FieldEventKind::Done {},
    ];
    let tap = |(n, kind)| {
        FieldEvent::new("k3f9x2", n, minutes_later(315 + i64::try_from(n).unwrap()), kind)
    };
    (1..).zip(kinds).map(tap).collect()
}

pub(crate) fn push_subscription(endpoint: &str) -> PushSubscription {
    PushSubscription {
        endpoint: endpoint.to_owned(),
        p256dh: "BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV".to_owned(),
        auth: "BTBZMqHH6r4Tts7J_aSIgg".to_owned(),
        at: now(),
    }
}
