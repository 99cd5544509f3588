//! Reads warnings in the GeoJSON of the US National Weather Service.

use std::str::FromStr;

use fairspell_ground::{Area, Reading};
use serde_json::Value;

use crate::{
    Remark, WeatherError, json,
    vtec::Vtec,
    warning::{
        Certainty, GeoCode, MessageType, Reference, Severity, Status, Urgency, WarnedArea, Warning,
    },
};

const WHAT: &str = "list of alerts";

/// Reads the service's list of active alerts, or a single alert of it.
///
/// An empty list is an answer: nothing is in force. An alert that disappears from the list between two
/// readings has ended, whatever end it had stated; so judge by one list at a time. Most alerts have no
/// drawing and hold for zones and counties by code.
///
/// # Errors
///
/// [`WeatherError::Unreadable`] for bytes that are cut short or no JSON, [`WeatherError::Problem`] for
/// the service's own report of a problem, [`WeatherError::WrongDocument`] for other JSON, and
/// [`WeatherError::NothingUseful`] where the list has alerts and none can be used.
///
/// # Source
///
/// US National Weather Service public API, interface description 1.9.0, and responses as captured
/// (the description does not know that `geometry` may be null).
pub fn read_nws_alerts(bytes: &[u8]) -> Result<Reading<Vec<Warning>, Remark>, WeatherError> {
    let document = json::parse(WHAT, bytes)?;
    let features = match json::text(&document, "type") {
        Some("FeatureCollection") if document.get("features").is_some_and(Value::is_array) => {
            json::items(&document, "features")
        }
        Some("Feature") if document["properties"].get("event").is_some() => {
            std::slice::from_ref(&document)
        }
        _ => {
            let found = json::looks_like(&document);
            return Err(WeatherError::WrongDocument { expected: "a list of alerts", found });
        }
    };
    let mut value = Vec::new();
    let mut remarks = Vec::new();
    for feature in features {
        match read_alert(feature, &mut remarks) {
            Ok(warning) => value.push(warning),
            Err(missing) => {
                let identifier = identifier(feature).unwrap_or_default().to_owned();
                remarks.push(Remark::UnusableWarning { identifier, missing });
            }
        }
    }
    if value.is_empty() && !features.is_empty() {
        return Err(WeatherError::NothingUseful { what: WHAT, missing: "alert" });
    }
    Ok(Reading { value, remarks })
}

fn identifier(feature: &Value) -> Option<&str> {
    feature.get("properties").and_then(|properties| json::text(properties, "id"))
}

fn read_alert(feature: &Value, remarks: &mut Vec<Remark>) -> Result<Warning, &'static str> {
    let properties = feature.get("properties").ok_or("properties")?;
    let text = |key: &str| json::text(properties, key);
    let owned = |key: &str| text(key).map(str::to_owned);
    let identifier = owned("id").ok_or("identifier")?;
    let area = read_area(feature, properties, remarks);
    if area.shapes.is_empty() && area.geocodes.is_empty() {
        remarks.push(Remark::NoPlace { identifier: identifier.clone() });
    }
    Ok(Warning {
        identifier,
        sender: owned("sender").ok_or("sender")?,
        sent: json::time(properties, "sent", remarks).ok_or("time of sending")?,
        status: text("status").and_then(|word| word.parse::<Status>().ok()).ok_or("status")?,
        message_type: text("messageType")
            .and_then(|word| word.parse::<MessageType>().ok())
            .ok_or("messageType")?,
        references: read_references(properties),
        event: owned("event").ok_or("event")?,
        urgency: word(properties, "urgency", remarks).unwrap_or(Urgency::Unknown),
        severity: word(properties, "severity", remarks).unwrap_or(Severity::Unknown),
        certainty: word(properties, "certainty", remarks).unwrap_or(Certainty::Unknown),
        response: word(properties, "response", remarks).into_iter().collect(),
        effective: json::time(properties, "effective", remarks),
        onset: json::time(properties, "onset", remarks),
        expires: json::time(properties, "expires", remarks),
        ends: json::time(properties, "ends", remarks),
        areas: vec![area],
        headline: owned("headline"),
        description: owned("description"),
        instruction: owned("instruction"),
        sender_name: owned("senderName"),
        vtec: read_vtec(properties, remarks),
    })
}

/// A word of CAP 1.2; any other is remarked on.
fn word<W: FromStr>(properties: &Value, key: &str, remarks: &mut Vec<Remark>) -> Option<W> {
    let text = json::text(properties, key)?;
    let word = text.parse().ok();
    if word.is_none() {
        remarks.push(Remark::unusable(key, text));
    }
    word
}

fn read_references(properties: &Value) -> Vec<Reference> {
    let reference = |item: &Value| {
        Some(Reference {
            sender: json::text(item, "sender")?.to_owned(),
            identifier: json::text(item, "identifier")?.to_owned(),
        })
    };
    json::items(properties, "references").iter().filter_map(reference).collect()
}

fn read_vtec(properties: &Value, remarks: &mut Vec<Remark>) -> Vec<Vtec> {
    let mut codes = Vec::new();
    let parameters = properties.get("parameters").unwrap_or(&Value::Null);
    for text in json::items(parameters, "VTEC").iter().filter_map(Value::as_str) {
        match text.parse() {
            Ok(code) => codes.push(code),
            Err(_) => remarks.push(Remark::unusable("VTEC", text)),
        }
    }
    codes
}

fn read_area(feature: &Value, properties: &Value, remarks: &mut Vec<Remark>) -> WarnedArea {
    let mut geocodes = Vec::new();
    if let Some(systems) = properties.get("geocode").and_then(Value::as_object) {
        for (system, codes) in systems {
            let codes = codes.as_array().map_or(&[][..], Vec::as_slice);
            geocodes.extend(
                codes.iter().filter_map(Value::as_str).map(|code| GeoCode::new(system, code)),
            );
        }
    }
    WarnedArea {
        description: json::text(properties, "areaDesc").map(str::to_owned),
        shapes: read_shapes(feature.get("geometry").unwrap_or(&Value::Null), remarks),
        geocodes,
    }
}

fn read_shapes(geometry: &Value, remarks: &mut Vec<Remark>) -> Vec<Area> {
    if geometry.is_null() {
        return Vec::new();
    }
    let coordinates = geometry.get("coordinates").unwrap_or(&Value::Null);
    let rings: Option<Vec<_>> = match json::text(geometry, "type") {
        Some("Polygon") => json::outer_ring(coordinates).map(|ring| vec![ring]),
        Some("MultiPolygon") => coordinates
            .as_array()
            .and_then(|polygons| polygons.iter().map(json::outer_ring).collect()),
        _ => None,
    };
    let Some(rings) = rings else {
        remarks.push(Remark::unusable("geometry", &geometry.to_string()));
        return Vec::new();
    };
    rings.into_iter().map(Area::Polygon).collect()
}
