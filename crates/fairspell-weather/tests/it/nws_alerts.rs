use fairspell_ground::Area;
use fairspell_weather::{
    Remark, WeatherError, read_nws_alerts, read_warnings,
    warning::{MessageType, Reference},
};
use serde_json::{Value, json};

use crate::{fixture, local, warnings};

fn document(name: &str) -> Value {
    serde_json::from_slice(fixture(name)).unwrap()
}

#[test]
fn the_list_and_its_drawings_are_read_with_longitude_first() {
    let reading = read_nws_alerts(fixture("nws_alerts_1712")).unwrap();
    assert_eq!(reading.remarks, []);
    let events: Vec<_> = reading.value.iter().map(|warning| warning.event.as_str()).collect();
    assert_eq!(events, ["Severe Thunderstorm Warning", "Hurricane Watch", "Heat Advisory"]);
    // The same polygon as in the CAP fixture of the same storm.
    assert_eq!(reading.value[0].areas[0].shapes, warnings(&["cap_1"])[0].areas[0].shapes);
    assert_eq!(reading.value[1].areas[0].shapes, []);
    assert_eq!(reading.value[1].areas[0].geocodes.len(), 2);
    assert_eq!(reading.value[1].ends, None);
    assert_eq!(reading.value[2].ends, Some(local("14T19:00")));
}

#[test]
fn a_called_off_event_keeps_its_name_and_is_over() {
    let found = warnings(&["nws_alerts_1746"]);
    let over: Vec<_> =
        found.iter().map(|warning| (warning.event.as_str(), warning.is_over())).collect();
    assert_eq!(over, [("Hurricane Watch", false), ("Heat Advisory", true)]);
}

#[test]
fn references_name_sender_and_identifier() {
    let mut document = document("nws_alerts_1712");
    let properties = &mut document["features"][0]["properties"];
    properties["messageType"] = json!("Update");
    properties["references"] = json!([
        { "@id": "x", "identifier": "urn:1", "sender": "office", "sent": "2030-06-14T17:00:00-04:00" },
        { "@id": "y" }
    ]);
    let found = read_warnings(document.to_string().as_bytes()).unwrap().value;
    assert_eq!(found[0].message_type, MessageType::Update);
    let reference = Reference { sender: "office".to_owned(), identifier: "urn:1".to_owned() };
    assert_eq!(found[0].references, [reference]);
}

#[test]
fn several_polygons_and_a_single_alert_are_read() {
    let mut document = document("nws_alerts_1712");
    let ring = document["features"][0]["geometry"]["coordinates"].clone();
    document["features"][0]["geometry"] =
        json!({ "type": "MultiPolygon", "coordinates": [ring.clone(), ring] });
    let alone = read_nws_alerts(document["features"][0].to_string().as_bytes()).unwrap().value;
    assert_eq!(alone.len(), 1);
    assert!(matches!(alone[0].areas[0].shapes[..], [Area::Polygon(_), Area::Polygon(_)]));
}

#[test]
fn an_empty_list_is_an_answer_and_a_list_of_nonsense_is_not() {
    let empty = json!({ "type": "FeatureCollection", "features": [] }).to_string();
    assert_eq!(read_warnings(empty.as_bytes()).unwrap().value, []);
    let nonsense = json!({ "type": "FeatureCollection", "features": [1, {}] }).to_string();
    let error = read_warnings(nonsense.as_bytes()).unwrap_err();
    assert!(matches!(error, WeatherError::NothingUseful { .. }), "{error}");
}

#[test]
fn one_bad_alert_does_not_lose_the_others() {
    let mut document = document("nws_alerts_1712");
    document["features"][1]["properties"]["sent"] = json!("yesterday");
    document["features"][2]["geometry"] = json!({ "type": "Point", "coordinates": [1, 2] });
    let reading = read_nws_alerts(document.to_string().as_bytes()).unwrap();
    assert_eq!(reading.value.len(), 2);
    assert!(reading.remarks.iter().any(|remark| matches!(
        remark,
        Remark::UnusableWarning { missing: "time of sending", .. }
    )));
    assert!(reading.remarks.iter().any(
        |remark| matches!(remark, Remark::UnusableValue { field, .. } if field == "geometry")
    ));
}

#[test]
fn a_forecast_or_a_problem_is_no_list_of_alerts() {
    let error = read_warnings(fixture("nws_hourly")).unwrap_err();
    assert!(matches!(error, WeatherError::WrongDocument { .. }), "{error}");
    let error = read_warnings(fixture("nws_problem")).unwrap_err();
    assert!(matches!(error, WeatherError::Problem { status: 404, .. }), "{error}");
}
