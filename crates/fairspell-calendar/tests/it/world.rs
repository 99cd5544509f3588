//! An invented studio with one session.

use fairspell_studio::{
    Session, Studio,
    session::{DateNotes, Drive, Look},
};
use jiff::{Timestamp, civil::date, tz::TimeZone};

/// Names as people have them, and as nobody should have to be afraid of.
pub(crate) const NAMES: [&str; 12] = [
    "Zoë Łuczak-Ørsted",
    "Мария Иванова",
    "محمد بن سلمان",
    "שרה כהן",
    "王小明",
    "さくら",
    "प्रिया शर्मा",
    "เพชร",
    "👩‍👩‍👧 Ng",
    "O'Neil, \"Mo\"; \\n",
    "=HYPERLINK(\"http://example.org\")",
    "@SUM(1+1)*cmd|' /C calc'!A0",
];

/// What stands there, in one line.
pub(crate) const STANDING: &str =
    "watch: any rain (at least 0.2 mm) 22 %, as of 14:26; see, \\ there";

pub(crate) fn zone() -> TimeZone {
    TimeZone::get("Australia/Sydney").unwrap()
}

/// The evening before the session: some gates have passed, others lie ahead.
pub(crate) fn now() -> Timestamp {
    "2026-09-02T10:30:00Z".parse().unwrap()
}

/// When all gates have passed.
pub(crate) fn after() -> Timestamp {
    "2026-09-05T00:00:00Z".parse().unwrap()
}

pub(crate) fn studio() -> Studio {
    serde_json::from_value(serde_json::json!({
        "name": "Fields and Light",
        "owner": "Ada Fields",
        "place": "an invented coast",
        "home": { "lat_deg": -31.70, "lon_deg": 152.75 },
        "time_zone": "Australia/Sydney",
        "artist": { "name": "June", "free_change_h": 24 },
        "sources": { "warnings": "yes", "radar": "yes" },
        "spots": [
            {
                "id": "heron-walk",
                "name": "Heron Walk, north; gate",
                "position": { "lat_deg": -31.7218, "lon_deg": 152.7832 },
                "cover": "none",
                "refuge": null
            },
            {
                "id": "boathouse",
                "name": "Boathouse",
                "position": { "lat_deg": -31.7177, "lon_deg": 152.7849 },
                "cover": "roof",
                "refuge": null
            }
        ]
    }))
    .unwrap()
}

pub(crate) fn session() -> Session {
    Session {
        id: "2026-09-03-maya".to_owned(),
        sitter: "Maya".to_owned(),
        guardian: "Ines".to_owned(),
        start: date(2026, 9, 3).at(15, 15, 0, 0),
        duration_min: 110,
        looks: vec![Look {
            name: "sage satin".to_owned(),
            spot: "heron-walk".to_owned(),
            shows_drops: true,
            ..Look::default()
        }],
        drive: Drive { minutes: 25, route: Vec::new() },
        chair_before_start_min: 210,
        with_artist: true,
        deadline: None,
        moved_from: None,
        people: vec!["2026-09-03-maya-guardian".to_owned()],
        dates: DateNotes::default(),
    }
}
