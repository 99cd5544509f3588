//! Reads warnings in the XML of the Common Alerting Protocol.

use std::str::FromStr;

use fairspell_ground::{Area, LatLon, Reading};
use jiff::Timestamp;

use crate::{
    Remark, WeatherError,
    vtec::Vtec,
    warning::{
        Certainty, GeoCode, MessageType, Reference, Severity, Status, Urgency, WarnedArea, Warning,
    },
    xml::{self, Element},
};

const WHAT: &str = "CAP message";
const NAMESPACE: &str = "urn:oasis:names:tc:emergency:cap:1.2";

/// Reads a CAP 1.2 message, or a document with several of them inside.
///
/// Of a message in several languages the English part is read, or else the first language. Times may
/// end in `Z` or have fractions although the standard forbids both: services write them.
///
/// # Errors
///
/// [`WeatherError::Unreadable`] for bytes that are cut short or no UTF-8 XML,
/// [`WeatherError::WrongDocument`] for XML without an `alert`, and [`WeatherError::NothingUseful`]
/// where no message in it can be used.
///
/// # Source
///
/// OASIS Common Alerting Protocol 1.2 (2010), section 3.2.
pub fn read_cap(bytes: &[u8]) -> Result<Reading<Vec<Warning>, Remark>, WeatherError> {
    let text = std::str::from_utf8(bytes)
        .map_err(|error| WeatherError::Unreadable { what: WHAT, cause: error.to_string() })?;
    let root = xml::parse(WHAT, text.trim_start_matches('\u{feff}'))?;
    let mut alerts = Vec::new();
    root.find_all("alert", &mut alerts);
    if alerts.is_empty() {
        let found = format!("an XML document `{}`", root.name.chars().take(60).collect::<String>());
        return Err(WeatherError::WrongDocument { expected: "a CAP message", found });
    }
    let mut value = Vec::new();
    let mut remarks = Vec::new();
    for alert in alerts {
        read_alert(alert, &mut value, &mut remarks);
    }
    if value.is_empty() {
        return Err(WeatherError::NothingUseful { what: WHAT, missing: "message" });
    }
    Ok(Reading { value, remarks })
}

fn read_alert(alert: &Element, warnings: &mut Vec<Warning>, remarks: &mut Vec<Remark>) {
    let identifier = alert.text_of("identifier").unwrap_or_default().to_owned();
    let Some(header) = read_header(alert, &identifier, remarks) else { return };
    if let Some(namespace) = alert.namespace.as_deref().filter(|found| *found != NAMESPACE) {
        let namespace = namespace.chars().take(60).collect();
        remarks.push(Remark::OtherVersion { namespace });
    }
    let infos = chosen_language(alert);
    if infos.is_empty() {
        // A message that only withdraws others needs no information of its own.
        if matches!(header.message_type, MessageType::Cancel | MessageType::Error) {
            warnings.push(header);
        } else {
            remarks.push(Remark::UnusableWarning { identifier, missing: "info" });
        }
        return;
    }
    for info in infos {
        if let Some(warning) = read_info(info, &header, remarks) {
            warnings.push(warning);
        } else {
            let identifier = identifier.clone();
            remarks.push(Remark::UnusableWarning { identifier, missing: "event" });
        }
    }
}

/// The part of a message that all its `info` share.
fn read_header(alert: &Element, identifier: &str, remarks: &mut Vec<Remark>) -> Option<Warning> {
    let mut lacks = |missing| {
        let identifier = identifier.to_owned();
        remarks.push(Remark::UnusableWarning { identifier, missing });
    };
    if identifier.is_empty() {
        lacks("identifier");
        return None;
    }
    let Some(sender) = alert.text_of("sender") else {
        lacks("sender");
        return None;
    };
    let Some(sent) = alert.text_of("sent").and_then(|text| text.parse().ok()) else {
        lacks("time of sending");
        return None;
    };
    let Some(status) = alert.text_of("status").and_then(|text| text.parse::<Status>().ok()) else {
        lacks("status");
        return None;
    };
    let Some(message_type) = alert.text_of("msgType").and_then(|text| text.parse().ok()) else {
        lacks("msgType");
        return None;
    };
    let references = read_references(alert.text_of("references").unwrap_or_default(), remarks);
    Some(Warning {
        identifier: identifier.to_owned(),
        sender: sender.to_owned(),
        sent,
        status,
        message_type,
        references,
        event: String::new(),
        urgency: Urgency::Unknown,
        severity: Severity::Unknown,
        certainty: Certainty::Unknown,
        response: Vec::new(),
        effective: None,
        onset: None,
        expires: None,
        ends: None,
        areas: Vec::new(),
        headline: None,
        description: None,
        instruction: None,
        sender_name: None,
        vtec: Vec::new(),
    })
}

/// Space-separated triples `sender,identifier,sent`.
fn read_references(text: &str, remarks: &mut Vec<Remark>) -> Vec<Reference> {
    let mut references = Vec::new();
    for triple in text.split_whitespace() {
        let mut parts = triple.split(',');
        match (parts.next(), parts.next()) {
            (Some(sender), Some(identifier)) if !identifier.is_empty() => references
                .push(Reference { sender: sender.to_owned(), identifier: identifier.to_owned() }),
            _ => remarks.push(Remark::unusable("references", triple)),
        }
    }
    references
}

fn chosen_language(alert: &Element) -> Vec<&Element> {
    // The standard's default where the element is left out.
    let language =
        |info: &Element| info.text_of("language").unwrap_or("en-US").to_ascii_lowercase();
    let infos: Vec<&Element> = alert.children("info").collect();
    let english = |info: &&&Element| language(info).starts_with("en");
    let Some(wanted) = infos.iter().find(english).or(infos.first()).map(|info| language(info))
    else {
        return infos;
    };
    infos.into_iter().filter(|info| language(info) == wanted).collect()
}

fn read_info(info: &Element, header: &Warning, remarks: &mut Vec<Remark>) -> Option<Warning> {
    let event = info.text_of("event")?.to_owned();
    let owned = |name: &str| info.text_of(name).map(str::to_owned);
    let mut vtec = Vec::new();
    for parameter in info.children("parameter") {
        if parameter.text_of("valueName") == Some("VTEC") {
            let text = parameter.text_of("value").unwrap_or_default();
            match text.parse::<Vtec>() {
                Ok(code) => vtec.push(code),
                Err(_) => remarks.push(Remark::unusable("VTEC", text)),
            }
        }
    }
    let response = info
        .children("responseType")
        .filter_map(|response| word("responseType", &response.text, remarks))
        .collect();
    let areas: Vec<WarnedArea> =
        info.children("area").map(|area| read_area(area, remarks)).collect();
    if areas.iter().all(|area| area.shapes.is_empty() && area.geocodes.is_empty()) {
        remarks.push(Remark::NoPlace { identifier: header.identifier.clone() });
    }
    Some(Warning {
        event,
        urgency: grade(info, "urgency", remarks).unwrap_or(Urgency::Unknown),
        severity: grade(info, "severity", remarks).unwrap_or(Severity::Unknown),
        certainty: grade(info, "certainty", remarks).unwrap_or(Certainty::Unknown),
        response,
        effective: time(info, "effective", remarks),
        onset: time(info, "onset", remarks),
        expires: time(info, "expires", remarks),
        areas,
        headline: owned("headline"),
        description: owned("description"),
        instruction: owned("instruction"),
        sender_name: owned("senderName"),
        vtec,
        ..header.clone()
    })
}

fn grade<W: FromStr>(info: &Element, name: &str, remarks: &mut Vec<Remark>) -> Option<W> {
    word(name, info.text_of(name)?, remarks)
}

/// A word of the standard; any other is remarked on.
fn word<W: FromStr>(name: &str, text: &str, remarks: &mut Vec<Remark>) -> Option<W> {
    let word = text.trim().parse().ok();
    if word.is_none() {
        remarks.push(Remark::unusable(name, text.trim()));
    }
    word
}

fn time(info: &Element, name: &str, remarks: &mut Vec<Remark>) -> Option<Timestamp> {
    let text = info.text_of(name)?;
    let time = text.parse().ok();
    if time.is_none() {
        remarks.push(Remark::unusable(name, text));
    }
    time
}

fn read_area(area: &Element, remarks: &mut Vec<Remark>) -> WarnedArea {
    let mut shapes = Vec::new();
    for polygon in area.children("polygon").map(|polygon| polygon.text.trim()) {
        match polygon_corners(polygon) {
            Some(corners) => shapes.push(Area::Polygon(corners)),
            None => remarks.push(Remark::unusable("polygon", polygon)),
        }
    }
    for circle in area.children("circle").map(|circle| circle.text.trim()) {
        match read_circle(circle) {
            Some(circle) => shapes.push(circle),
            None => remarks.push(Remark::unusable("circle", circle)),
        }
    }
    let geocodes = area
        .children("geocode")
        .filter_map(|code| Some(GeoCode::new(code.text_of("valueName")?, code.text_of("value")?)))
        .collect();
    // Half a drawing would make the rest of the area look safe: then the codes decide, if any.
    let drawings = area.children("polygon").count() + area.children("circle").count();
    if shapes.len() < drawings {
        shapes.clear();
    }
    WarnedArea { description: area.text_of("areaDesc").map(str::to_owned), shapes, geocodes }
}

/// `lat,lon lat,lon ...`, latitude first. The standard wants four corners with the last equal to the
/// first; three that are not closed draw an area as well.
fn polygon_corners(text: &str) -> Option<Vec<LatLon>> {
    let corners: Option<Vec<LatLon>> =
        text.split_whitespace().map(|corner| corner.parse().ok()).collect();
    corners.filter(|corners| corners.len() >= 3)
}

/// `lat,lon radius`, the radius in km.
fn read_circle(text: &str) -> Option<Area> {
    let (centre, radius) = text.split_once(char::is_whitespace)?;
    let radius_km: f64 = radius.trim().parse().ok()?;
    let possible = radius_km.is_finite() && radius_km >= 0.0;
    possible.then_some(Area::Circle { centre: centre.parse().ok()?, radius_km })
}
