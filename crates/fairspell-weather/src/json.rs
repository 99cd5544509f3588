//! Walking through a JSON document that may hold anything.

use fairspell_ground::LatLon;
use jiff::Timestamp;
use serde_json::Value;

use crate::{
    Remark, WeatherError,
    units::{Quantity, Unusable, convert},
};

/// The document, unless the bytes are no JSON or the service's own report of a problem.
pub(crate) fn parse(what: &'static str, bytes: &[u8]) -> Result<Value, WeatherError> {
    let bytes = bytes.strip_prefix("\u{feff}".as_bytes()).unwrap_or(bytes);
    let document: Value = serde_json::from_slice(bytes)
        .map_err(|error| WeatherError::Unreadable { what, cause: error.to_string() })?;
    problem(&document).map_or(Ok(document), Err)
}

/// The service's report of a problem (RFC 7807) as an error.
fn problem(document: &Value) -> Option<WeatherError> {
    let is_problem = document.get("title").is_some()
        && document.get("status").is_some_and(Value::is_number)
        && document.get("properties").is_none()
        && document.get("features").is_none();
    is_problem.then(|| WeatherError::Problem {
        status: document["status"].as_u64().and_then(|code| code.try_into().ok()).unwrap_or(0),
        title: text(document, "title").unwrap_or_default().to_owned(),
        detail: text(document, "detail").unwrap_or_default().to_owned(),
    })
}

/// What a document of the wrong kind looks like, for an error.
pub(crate) fn looks_like(document: &Value) -> String {
    let short = |text: &str| text.chars().take(60).collect::<String>();
    if let Some(kind) = text(document, "type") {
        return format!("a JSON object of type `{}`", short(kind));
    }
    match document {
        Value::Object(members) => {
            let names: Vec<&str> = members.keys().take(3).map(String::as_str).collect();
            format!("a JSON object with `{}`", short(&names.join("`, `")))
        }
        Value::Array(_) => "a JSON array".to_owned(),
        Value::Null => "JSON null".to_owned(),
        Value::Bool(_) | Value::Number(_) | Value::String(_) => "a single JSON value".to_owned(),
    }
}

/// A member that is a text with something in it.
pub(crate) fn text<'a>(object: &'a Value, key: &str) -> Option<&'a str> {
    object.get(key).and_then(Value::as_str).map(str::trim).filter(|text| !text.is_empty())
}

/// The elements of a member that is an array; none when it is anything else.
pub(crate) fn items<'a>(object: &'a Value, key: &str) -> &'a [Value] {
    object.get(key).and_then(Value::as_array).map_or(&[], Vec::as_slice)
}

/// A member that is a time with an offset. Null and absent are missing; anything else that cannot be
/// read is remarked on.
pub(crate) fn time(object: &Value, key: &str, remarks: &mut Vec<Remark>) -> Option<Timestamp> {
    let value = object.get(key).filter(|value| !value.is_null())?;
    let time = value.as_str().and_then(|text| text.trim().parse().ok());
    if time.is_none() {
        remarks.push(Remark::unusable(key, &value.to_string()));
    }
    time
}

/// A GeoJSON position, longitude first; a height after it is left out.
pub(crate) fn position(value: &Value) -> Option<LatLon> {
    let numbers = value.as_array()?;
    LatLon::new(numbers.get(1)?.as_f64()?, numbers.first()?.as_f64()?).ok()
}

/// The outer line of a GeoJSON polygon. Holes are left out: they make an area smaller, and a warning
/// should rather be too large.
pub(crate) fn outer_ring(coordinates: &Value) -> Option<Vec<LatLon>> {
    let ring = coordinates.as_array()?.first()?.as_array()?;
    let corners: Option<Vec<LatLon>> = ring.iter().map(position).collect();
    corners.filter(|corners| corners.len() >= 3)
}

/// The point that a document is for: its own point, or the middle of its grid square.
pub(crate) fn place(what: &'static str, document: &Value) -> Result<LatLon, WeatherError> {
    document
        .get("geometry")
        .and_then(middle)
        .ok_or(WeatherError::NothingUseful { what, missing: "geometry" })
}

fn middle(geometry: &Value) -> Option<LatLon> {
    let coordinates = geometry.get("coordinates").unwrap_or(&Value::Null);
    match text(geometry, "type")? {
        "Point" => position(coordinates),
        "Polygon" => {
            let mut corners = outer_ring(coordinates)?;
            if corners.first() == corners.last() {
                corners.pop();
            }
            // Relative to one corner, so that a square across the 180th meridian has its middle there.
            let first = *corners.first()?;
            let offsets: Vec<_> = corners.iter().map(|corner| first.offset_km(*corner)).collect();
            let count = offsets.len() as f64;
            let east_km = offsets.iter().map(|(east_km, _)| east_km).sum::<f64>() / count;
            let north_km = offsets.iter().map(|(_, north_km)| north_km).sum::<f64>() / count;
            first.at_offset_km(east_km, north_km).ok()
        }
        "GeometryCollection" => items(geometry, "geometries").iter().find_map(middle),
        _ => None,
    }
}

/// A number in our unit. Null is missing; anything else that cannot be used is remarked on.
pub(crate) fn number(
    field: &str,
    quantity: Quantity,
    value: &Value,
    unit: &str,
    remarks: &mut Vec<Remark>,
) -> Option<f64> {
    if value.is_null() {
        return None;
    }
    let Some(number) = value.as_f64() else {
        Remark::unusable(field, &value.to_string()).note(remarks);
        return None;
    };
    match convert(quantity, number, unit) {
        Ok(ours) => Some(ours),
        Err(Unusable::Unit) => {
            Remark::unknown_unit(field, unit).note(remarks);
            None
        }
        Err(Unusable::Value) => {
            Remark::unusable(field, &value.to_string()).note(remarks);
            None
        }
    }
}

/// A member of the form `{ "unitCode": .., "value": .. }`; of a range its larger end.
pub(crate) fn quantity(
    object: &Value,
    field: &str,
    quantity: Quantity,
    remarks: &mut Vec<Remark>,
) -> Option<f64> {
    let member = object.get(field).filter(|member| !member.is_null())?;
    let value = ["value", "maxValue"]
        .iter()
        .filter_map(|key| member.get(key))
        .find(|value| !value.is_null());
    let unit = text(member, "unitCode").unwrap_or_default();
    match value {
        Some(value) => number(field, quantity, value, unit, remarks),
        None if member.get("value").is_some() => None,
        None => {
            Remark::unusable(field, &member.to_string()).note(remarks);
            None
        }
    }
}
