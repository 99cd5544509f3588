use fairspell_ground::Area;
use fairspell_weather::{
    GeoCode, Remark, WeatherError, read_cap,
    warning::{Certainty, MessageType, Reference, Response, Severity, Status, Urgency},
};
use quick_xml::{Reader, events::Event};

use crate::{fixture, fixture_text, local, time, warnings};

#[test]
fn a_message_is_read_element_by_element() {
    let reading = read_cap(fixture("cap_1")).unwrap();
    assert_eq!(reading.remarks, []);
    let [warning] = &reading.value[..] else { panic!("one event") };
    assert_eq!(warning.identifier, "INV-SV-0042-1");
    assert_eq!(warning.sender, "forecast@example.org");
    assert_eq!(warning.sent, local("14T17:12"));
    assert_eq!((warning.status, warning.message_type), (Status::Actual, MessageType::Alert));
    assert_eq!(warning.event, "Severe Thunderstorm Warning");
    assert_eq!(warning.response, [Response::Shelter]);
    assert_eq!(
        (warning.urgency, warning.severity, warning.certainty),
        (Urgency::Immediate, Severity::Severe, Certainty::Observed)
    );
    assert_eq!(warning.effective, Some(local("14T17:12")));
    assert_eq!(warning.onset, Some(local("14T17:12")));
    assert_eq!(warning.expires, Some(local("14T18:00")));
    assert_eq!(warning.sender_name.as_deref(), Some("Invented Forecast Office"));
    assert_eq!(warning.instruction.as_deref(), Some("Invented text. Go into a building."));
    assert_eq!(warning.vtec.len(), 1);
    assert_eq!(warning.areas.len(), 1);
    let codes = [GeoCode::new("SAME", "012951"), GeoCode::new("UGC", "FLC951")];
    assert_eq!(warning.areas[0].geocodes, codes);
}

/// Computed outside the project for the polygon of the first fixture; a corner is on the boundary,
/// which counts as inside.
#[test]
fn the_polygon_has_latitude_first() {
    let warning = warnings(&["cap_1"]).remove(0);
    let polygon = &warning.areas[0].shapes[0];
    for (point, inside) in [
        ("29.9321,-81.3210", true),
        ("29.8980,-81.45", true),
        ("29.8900,-81.45", false),
        ("29.95,-81.46", false),
        ("29.845,-81.40", false),
        ("30.00,-81.30", false),
        ("30.00,-81.42", true),
    ] {
        assert_eq!(polygon.contains(point.parse().unwrap()), inside, "{point}");
    }
}

/// Great-circle distances from the centre, computed outside the project with 6371.0088 km: 22.155,
/// 24.633, 24.968 and 25.344 km against a radius of 25 km.
#[test]
fn the_circle_has_its_radius_in_km() {
    let warning = warnings(&["cap_3"]).remove(0);
    let circle = &warning.areas[0].shapes[0];
    assert!(matches!(circle, Area::Circle { radius_km, .. } if *radius_km == 25.0));
    for (point, inside) in [
        ("30.10,-81.20", true),
        ("30.15,-81.35", true),
        ("29.93,-81.0609", true),
        ("29.93,-81.0570", false),
    ] {
        assert_eq!(circle.contains(point.parse().unwrap()), inside, "{point}");
    }
}

#[test]
fn references_are_triples() {
    let cancel = warnings(&["cap_4"]).remove(0);
    assert_eq!(cancel.message_type, MessageType::Cancel);
    let (sender, identifier) = ("forecast@example.org".to_owned(), "INV-SV-0042-1".to_owned());
    assert_eq!(cancel.references, [Reference { sender, identifier }]);
    assert!(cancel.is_over());
}

/// The standard forbids both; services write them.
#[test]
fn times_with_z_and_with_fractions_are_read() {
    let text = fixture_text("cap_1")
        .replace("<sent>2030-06-14T17:12:00-04:00", "<sent>2030-06-14T21:12:00Z")
        .replace("<expires>2030-06-14T18:00:00-04:00", "<expires>2030-06-14T22:00:00.125-00:00");
    let warning = read_cap(text.as_bytes()).unwrap().value.remove(0);
    assert_eq!(warning.sent, local("14T17:12"));
    assert_eq!(warning.expires, Some(time("2030-06-14T22:00:00.125Z")));
}

#[test]
fn several_messages_in_one_document_are_all_read() {
    let inner = |name| fixture_text(name).split_once("?>").unwrap().1;
    let text = format!("<alerts>{}{}</alerts>", inner("cap_2"), inner("cap_3"));
    let events: Vec<_> =
        read_cap(text.as_bytes()).unwrap().value.into_iter().map(|warning| warning.event).collect();
    assert_eq!(events, ["Hurricane Watch", "Heat Advisory"]);
}

#[test]
fn of_several_languages_one_is_read() {
    let text = fixture_text("cap_3");
    let (from, to) = (text.find("<info>").unwrap(), text.find("</info>").unwrap() + 7);
    let spanish = text[from..to].replace("en-US", "es-US").replace("Heat Advisory", "Calor");
    let both = format!("{}{}{}{}", &text[..from], spanish, &text[from..to], &text[to..]);
    let events: Vec<_> =
        read_cap(both.as_bytes()).unwrap().value.into_iter().map(|warning| warning.event).collect();
    assert_eq!(events, ["Heat Advisory"]);
    let alone = format!("{}{}{}", &text[..from], spanish, &text[to..]);
    assert_eq!(read_cap(alone.as_bytes()).unwrap().value[0].event, "Calor");
}

#[test]
fn prefixes_entities_and_character_data_are_understood() {
    let text = fixture_text("cap_1")
        .replace("<alert xmlns=", "<cap:alert xmlns:cap=")
        .replace("</alert>", "</cap:alert>")
        .replace(
            "Invented text. Go into",
            "Stay &lt;inside&gt; &amp; wait &#8211; <![CDATA[a < b]]> in",
        );
    let reading = read_cap(text.as_bytes()).unwrap();
    assert_eq!(reading.remarks, []);
    let instruction = reading.value[0].instruction.as_deref().unwrap();
    assert_eq!(instruction, "Stay <inside> & wait \u{2013} a < b in a building.");
}

#[test]
fn a_drawing_that_cannot_be_read_is_remarked_on_and_the_code_remains() {
    let text = fixture_text("cap_1").replace("29.97,-81.24", "129.97,-81.24");
    let reading = read_cap(text.as_bytes()).unwrap();
    assert!(
        matches!(&reading.remarks[..], [Remark::UnusableValue { field, .. }] if field == "polygon")
    );
    assert_eq!(reading.value[0].areas[0].shapes, []);
    assert_eq!(reading.value[0].areas[0].geocodes.len(), 2);
}

#[test]
fn an_unknown_word_becomes_unknown_with_a_remark() {
    let text = fixture_text("cap_1").replace("<severity>Severe", "<severity>Dreadful");
    let reading = read_cap(text.as_bytes()).unwrap();
    assert_eq!(reading.value[0].severity, Severity::Unknown);
    let (field, text) = ("severity".to_owned(), "Dreadful".to_owned());
    assert_eq!(reading.remarks, [Remark::UnusableValue { field, text }]);
}

#[test]
fn an_older_version_is_read_with_a_remark() {
    let text = fixture_text("cap_1").replace("cap:1.2", "cap:1.1");
    let reading = read_cap(text.as_bytes()).unwrap();
    assert!(matches!(&reading.remarks[..], [Remark::OtherVersion { .. }]));
}

#[test]
fn a_cancel_needs_no_information_of_its_own() {
    let text = fixture_text("cap_4");
    let (from, to) = (text.find("<info>").unwrap(), text.find("</info>").unwrap() + 7);
    let bare = format!("{}{}", &text[..from], &text[to..]);
    let warning = read_cap(bare.as_bytes()).unwrap().value.remove(0);
    assert_eq!((warning.event.as_str(), warning.references.len()), ("", 1));
}

#[test]
fn messages_without_what_they_need_are_named() {
    for (element, missing) in [
        ("identifier", "identifier"),
        ("sender", "sender"),
        ("sent", "time of sending"),
        ("status", "status"),
        ("msgType", "msgType"),
        ("event", "event"),
    ] {
        let text =
            fixture_text("cap_2").replace(&format!("<{element}>"), &format!("<{element}><x/>"));
        let text = with_first_emptied(&text, element);
        let alone = read_cap(text.as_bytes()).unwrap_err();
        assert!(matches!(alone, WeatherError::NothingUseful { .. }), "{element}: {alone}");
        let inner = |text: &str| text.split_once("?>").unwrap().1.to_owned();
        let both = format!("<alerts>{}{}</alerts>", inner(&text), inner(fixture_text("cap_3")));
        let reading = read_cap(both.as_bytes()).unwrap();
        assert_eq!(reading.value.len(), 1, "{element}");
        let named = |remark: &Remark| matches!(remark, Remark::UnusableWarning { missing: found, .. } if *found == missing);
        assert!(reading.remarks.iter().any(named), "{element}: {:?}", reading.remarks);
    }
}

/// The text with the first element of this name emptied.
fn with_first_emptied(text: &str, element: &str) -> String {
    let (open, close) = (format!("<{element}>"), format!("</{element}>"));
    let from = text.find(&open).unwrap() + open.len();
    let to = text.find(&close).unwrap();
    format!("{}{}", &text[..from], &text[to..])
}

#[test]
fn other_bytes_are_told_apart() {
    let check = |bytes: &[u8], expected: &str| {
        let error = read_cap(bytes).unwrap_err().to_string();
        assert!(error.contains(expected), "{error}");
    };
    check(b"", "cannot read");
    check(b"   ", "cannot read");
    check(b"\xff\xfe<\x00", "cannot read");
    check(b"<rss><channel/></rss>", "`rss`");
    check(b"not a message", "cannot read");
    check(&fixture("cap_1")[..900], "cannot read");
    check("<a>".repeat(100_000).as_bytes(), "cannot read");
}

/// The lists of the standard, section 3.2; `?` and `*` may be missing.
const ALERT: [&str; 14] = [
    "identifier",
    "sender",
    "sent",
    "status",
    "msgType",
    "source?",
    "scope",
    "restriction?",
    "addresses?",
    "code*",
    "note?",
    "references?",
    "incidents?",
    "info*",
];
const INFO: [&str; 23] = [
    "language?",
    "category*",
    "event",
    "responseType*",
    "urgency",
    "severity",
    "certainty",
    "audience?",
    "eventCode*",
    "effective?",
    "onset?",
    "expires?",
    "senderName?",
    "headline?",
    "description?",
    "instruction?",
    "web?",
    "contact?",
    "parameter*",
    "resource*",
    "area*",
    "",
    "",
];
const AREA: [&str; 6] = ["areaDesc", "polygon*", "circle*", "geocode*", "altitude?", "ceiling?"];

/// Stands in for the schema, which is not at hand: order of elements, needed ones, form of times.
#[test]
fn the_fixtures_are_built_as_the_standard_says() {
    for name in ["cap_1", "cap_2", "cap_3", "cap_4", "cap_5", "cap_6"] {
        let groups = children_by_parent(fixture_text(name));
        for (parent, children) in groups {
            let list: &[&str] = match parent.as_str() {
                "alert" => &ALERT,
                "info" => &INFO,
                "area" => &AREA,
                _ => continue,
            };
            check_order(name, &parent, &children, list);
        }
        for element in ["sent", "effective", "onset", "expires"] {
            for piece in fixture_text(name).split(&format!("<{element}>")).skip(1) {
                let text = piece.split('<').next().unwrap();
                assert!(text.len() == 25 && !text.ends_with('Z'), "{name}: {element} {text}");
            }
        }
    }
}

fn check_order(name: &str, parent: &str, children: &[String], list: &[&str]) {
    let mut rest = children;
    for entry in list.iter().filter(|entry| !entry.is_empty()) {
        let element = entry.trim_end_matches(['?', '*']);
        let count = rest.iter().take_while(|child| *child == element).count();
        assert!(count > 0 || entry.ends_with(['?', '*']), "{name}: {parent} lacks {element}");
        assert!(count <= 1 || entry.ends_with('*'), "{name}: {parent} has {element} twice");
        rest = &rest[count..];
    }
    assert!(
        rest.is_empty(),
        "{name}: {parent} has {rest:?} where the standard has no place for it"
    );
}

fn children_by_parent(text: &str) -> Vec<(String, Vec<String>)> {
    let mut reader = Reader::from_str(text);
    let (mut open, mut done): (Vec<(String, Vec<String>)>, Vec<_>) = (Vec::new(), Vec::new());
    loop {
        match reader.read_event().unwrap() {
            Event::Start(tag) => {
                let name = tag.local_name().into_inner().to_owned();
                if let Some((_, children)) = open.last_mut() {
                    children.push(name.clone());
                }
                open.push((name, Vec::new()));
            }
            Event::End(_) => done.extend(open.pop()),
            Event::Eof => return done,
            _ => {}
        }
    }
}
