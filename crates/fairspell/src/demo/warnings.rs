//! The invented warning service: lists that are mostly empty, and messages after CAP 1.2.

use fairspell_studio::{Session, Studio, gates};
use jiff::{Timestamp, civil::DateTime, civil::date, tz::TimeZone};
use serde_json::json;

use super::{
    clock,
    received::{File, Received},
    studio::WARNING_AREA,
};

/// Who warns.
const SOURCE: &str = "Saltern Bight warning service (invented)";
/// The list is looked at every so many minutes ...
const POLL_STEP_MIN: i64 = 30;
/// ... so long before the full and the half hour, and before each gate.
const POLL_BEFORE_MIN: i64 = 5;
/// ... from so long before a session's start on: from here on a ruling rests on it.
const POLLED_FROM_MIN: i64 = (8 * 24 + 1) * 60;

/// Where a message applies.
#[derive(Debug, Clone, Copy)]
enum Place {
    /// Corners (degrees north, degrees east), the first repeated at the end.
    Polygon(&'static [(f64, f64)]),
    /// Centre (degrees north, degrees east) and radius, km.
    Circle((f64, f64), f64),
}

/// The coast of the town with its hinterland.
const COAST: Place = Place::Polygon(&[
    (-31.20, 152.35),
    (-31.20, 153.30),
    (-32.25, 153.10),
    (-32.25, 152.10),
    (-31.20, 152.35),
]);
/// The town and what lies around it.
const TOWN_AND_HILLS: Place = Place::Circle((-31.72, 152.79), 60.0);

/// One message.
#[derive(Debug, Clone, Copy)]
struct Message {
    identifier: &'static str,
    /// The message that this one takes the place of.
    replaces: Option<&'static str>,
    event: &'static str,
    response: &'static str,
    urgency: &'static str,
    severity: &'static str,
    certainty: &'static str,
    /// Local times.
    sent: DateTime,
    onset: DateTime,
    expires: DateTime,
    headline: &'static str,
    description: &'static str,
    instruction: &'static str,
    place: Place,
}

const fn local(month: i8, day: i8, hour: i8, minute: i8) -> DateTime {
    date(2026, month, day).at(hour, minute, 0, 0)
}

/// All messages of the season, in order of time.
const MESSAGES: &[Message] = &[
    Message {
        identifier: "SBW-2026-0031",
        replaces: None,
        event: "High Wind Warning",
        response: "Prepare",
        urgency: "Expected",
        severity: "Severe",
        certainty: "Likely",
        sent: local(9, 14, 15, 40),
        onset: local(9, 15, 3, 0),
        expires: local(9, 17, 0, 0),
        headline: "Invented: high wind warning for the coast until Wednesday night",
        description: "Invented text. A coastal low brings gusts of 75 km/h and days of rain.",
        instruction: "Invented text. Stay away from the shore and from trees.",
        place: COAST,
    },
    Message {
        identifier: "SBW-2026-0032",
        replaces: Some("SBW-2026-0031"),
        event: "Wind Advisory",
        response: "Prepare",
        urgency: "Expected",
        severity: "Moderate",
        certainty: "Likely",
        sent: local(9, 16, 16, 10),
        onset: local(9, 16, 16, 10),
        expires: local(9, 17, 18, 0),
        headline: "Invented: wind advisory for the coast until Thursday evening",
        description: "Invented text. The low moves out to sea; gusts of 40 km/h remain.",
        instruction: "Invented text. Fasten what may fly.",
        place: COAST,
    },
    Message {
        identifier: "SBW-2026-0047",
        replaces: None,
        event: "Severe Thunderstorm Watch",
        response: "Prepare",
        urgency: "Future",
        severity: "Severe",
        certainty: "Possible",
        sent: local(11, 23, 17, 50),
        onset: local(11, 24, 15, 0),
        expires: local(11, 24, 20, 0),
        headline: "Invented: severe storms possible on Tuesday from 3 to 8 in the afternoon",
        description: "Invented text. Severe storms with hail and a southerly change.",
        instruction: "Invented text. Plan to be inside a solid building.",
        place: COAST,
    },
    Message {
        identifier: "SBW-2026-0048",
        replaces: None,
        event: "Severe Thunderstorm Warning",
        response: "Shelter",
        urgency: "Immediate",
        severity: "Severe",
        certainty: "Observed",
        sent: local(11, 24, 14, 5),
        onset: local(11, 24, 14, 5),
        expires: local(11, 24, 20, 0),
        headline: "Invented: severe thunderstorm warning until 8 in the evening",
        description: "Invented text. A line of storms comes up the coast at 30 km/h; large hail.",
        instruction: "Invented text. Go into a solid building; do not cross moving water.",
        place: COAST,
    },
    Message {
        identifier: "SBW-2026-0052",
        replaces: None,
        event: "Heat Advisory",
        response: "Execute",
        urgency: "Expected",
        severity: "Moderate",
        certainty: "Likely",
        sent: local(11, 30, 15, 30),
        onset: local(12, 1, 11, 0),
        expires: local(12, 1, 20, 0),
        headline: "Invented: heat advisory for Tuesday until the change in the evening",
        description: "Invented text. 39 degrees with a hot north-westerly wind.",
        instruction: "Invented text. Drink water; stay in the shade.",
        place: TOWN_AND_HILLS,
    },
];

/// All messages and empty lists, and when each was looked at.
///
/// While a message is in force the list holds it, and each look is recorded against the message's
/// file; otherwise against the day's empty list.
pub(super) fn all(
    studio: &Studio,
    zone: &TimeZone,
    sessions: &[Session],
) -> anyhow::Result<(Vec<File>, Vec<Received>)> {
    let mut looks = Vec::new();
    for session in sessions {
        let booked = session.booked(zone)?;
        let from = clock::minutes_before(booked.from, POLLED_FROM_MIN)?;
        looks.extend(clock::every(POLL_STEP_MIN, -POLL_BEFORE_MIN, from, booked.to)?);
        for gate in gates(studio, zone, session)? {
            looks.push(clock::minutes_before(gate.at, POLL_BEFORE_MIN)?);
        }
    }
    looks.sort_unstable();
    looks.dedup();

    let mut files = Vec::new();
    for message in MESSAGES {
        let name = message_file(message);
        files.push(File { name, bytes: cap(message, zone)?.into_bytes() });
    }
    let mut received = Vec::new();
    for fetched_at in looks {
        let now = zone.to_datetime(fetched_at);
        let mut names: Vec<String> =
            MESSAGES.iter().filter(|message| is_listed(message, now)).map(message_file).collect();
        if names.is_empty() {
            let name = format!("warnings/none-{}.json", now.date());
            if !files.iter().any(|file| file.name == name) {
                let bytes = serde_json::to_vec_pretty(&empty_list(fetched_at))?;
                files.push(File { name: name.clone(), bytes });
            }
            names.push(name);
        }
        received.extend(names.into_iter().map(|file| Received {
            file,
            fetched_at,
            source: SOURCE,
        }));
    }
    Ok((files, received))
}

fn message_file(message: &Message) -> String {
    format!("warnings/{}.xml", message.identifier)
}

/// Whether the service's list holds a message: sent, not expired, not replaced.
fn is_listed(message: &Message, now: DateTime) -> bool {
    let is_replaced = MESSAGES
        .iter()
        .any(|later| later.replaces == Some(message.identifier) && later.sent <= now);
    message.sent <= now && now < message.expires && !is_replaced
}

/// "We looked, and nothing was in force", as the US service says it.
fn empty_list(updated: Timestamp) -> serde_json::Value {
    json!({
        "@context": ["https://geojson.org/geojson-ld/geojson-context.jsonld"],
        "type": "FeatureCollection",
        "title": "Current watches, warnings, and advisories (invented)",
        "updated": updated.to_string(),
        "features": [],
    })
}

const SENDER: &str = "warnings@saltern-bight.example";

fn cap(message: &Message, zone: &TimeZone) -> anyhow::Result<String> {
    let time = |local: DateTime| -> anyhow::Result<String> {
        let zoned = clock::instant(zone, local)?.to_zoned_datetime(zone.clone());
        Ok(zoned.strftime("%Y-%m-%dT%H:%M:%S%:z").to_string())
    };
    let replaced = message
        .replaces
        .and_then(|identifier| MESSAGES.iter().find(|other| other.identifier == identifier));
    let (message_type, references) = match replaced {
        Some(other) => {
            let triple = format!("{SENDER},{},{}", other.identifier, time(other.sent)?);
            ("Update", format!("\n <references>{triple}</references>"))
        }
        None => ("Alert", String::new()),
    };
    let place = match message.place {
        Place::Polygon(corners) => {
            let corners: Vec<String> =
                corners.iter().map(|(lat, lon)| format!("{lat:.2},{lon:.2}")).collect();
            format!("<polygon>{}</polygon>", corners.join(" "))
        }
        Place::Circle((lat, lon), radius_km) => {
            format!("<circle>{lat:.2},{lon:.2} {radius_km}</circle>")
        }
    };
    let Message {
        identifier,
        event,
        response,
        urgency,
        severity,
        certainty,
        headline,
        description,
        instruction,
        ..
    } = message;
    let (sent, onset, expires) =
        (time(message.sent)?, time(message.onset)?, time(message.expires)?);
    Ok(format!(
        r#"<?xml version="1.0" encoding="UTF-8"?>
<alert xmlns="urn:oasis:names:tc:emergency:cap:1.2">
 <identifier>{identifier}</identifier>
 <sender>{SENDER}</sender>
 <sent>{sent}</sent>
 <status>Actual</status>
 <msgType>{message_type}</msgType>
 <scope>Public</scope>
 <note>Invented: this warning belongs to a demonstration.</note>{references}
 <info>
  <language>en-AU</language>
  <category>Met</category>
  <event>{event}</event>
  <responseType>{response}</responseType>
  <urgency>{urgency}</urgency>
  <severity>{severity}</severity>
  <certainty>{certainty}</certainty>
  <effective>{sent}</effective>
  <onset>{onset}</onset>
  <expires>{expires}</expires>
  <senderName>{SOURCE}</senderName>
  <headline>{headline}</headline>
  <description>{description}</description>
  <instruction>{instruction}</instruction>
  <area>
   <areaDesc>Saltern Bight coast (invented)</areaDesc>
   {place}
   <geocode>
    <valueName>UGC</valueName>
    <value>{WARNING_AREA}</value>
   </geocode>
  </area>
 </info>
</alert>
"#
    ))
}
