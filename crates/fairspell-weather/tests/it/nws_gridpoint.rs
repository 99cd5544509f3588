use fairspell_chance::Character;
use fairspell_weather::{Basis, Remark, WeatherError, read_nws_gridpoint};
use serde_json::{Value, json};

use crate::{brief, fixture, local, time};

fn document() -> Value {
    serde_json::from_slice(fixture("nws_gridpoint")).unwrap()
}

/// Reference sheet of the fixtures: which period each chance belongs to. The last interval, a day and
/// six hours, is five merged six-hour figures.
#[test]
fn each_chance_keeps_the_period_that_it_belongs_to() {
    let reading = read_nws_gridpoint(fixture("nws_gridpoint")).unwrap();
    assert_eq!(reading.remarks, []);
    let found: Vec<_> = reading.value.rain.iter().map(brief).collect();
    let expected = [
        ("2030-06-14T18:00:00Z", 1, 15.0),
        ("2030-06-14T19:00:00Z", 1, 25.0),
        ("2030-06-14T20:00:00Z", 1, 45.0),
        ("2030-06-14T21:00:00Z", 1, 60.0),
        ("2030-06-14T22:00:00Z", 1, 60.0),
        ("2030-06-14T23:00:00Z", 1, 35.0),
        ("2030-06-15T00:00:00Z", 6, 20.0),
        ("2030-06-15T06:00:00Z", 6, 10.0),
        ("2030-06-15T12:00:00Z", 6, 30.0),
        ("2030-06-15T18:00:00Z", 6, 70.0),
        ("2030-06-16T00:00:00Z", 12, 40.0),
        ("2030-06-16T12:00:00Z", 6, 55.0),
        ("2030-06-16T18:00:00Z", 6, 55.0),
        ("2030-06-17T00:00:00Z", 6, 55.0),
        ("2030-06-17T06:00:00Z", 6, 55.0),
        ("2030-06-17T12:00:00Z", 6, 55.0),
    ]
    .map(|(from, hours, percent)| (time(from), hours, Some(percent)));
    assert_eq!(found, expected);
    assert!(reading.value.rain.iter().all(|rain| rain.basis == Basis::Stated));
}

#[test]
fn the_hourly_figures_are_those_of_the_hourly_list() {
    let grid = read_nws_gridpoint(fixture("nws_gridpoint")).unwrap().value;
    let hourly = fairspell_weather::read_nws_hourly(fixture("nws_hourly")).unwrap().value;
    assert_eq!(grid.listed_hourly[..24], hourly.listed_hourly);
    // 15 June, 18:00 to 20:00, which only the grid reaches.
    let largest = grid.largest_listed(local("15T18:00"), local("15T20:00")).unwrap();
    assert_eq!(largest.p.get(), 0.7);
}

#[test]
fn layers_lie_side_by_side_in_our_units() {
    let forecast = read_nws_gridpoint(fixture("nws_gridpoint")).unwrap().value;
    let (from, to) = (local("14T18:00"), local("14T19:00"));
    let found: Vec<_> = forecast.conditions_during(from, to).collect();
    assert_eq!(found.len(), 1);
    let hour = found[0];
    assert_eq!((hour.from, hour.to), (from, to));
    assert_eq!(hour.air_temperature_c, Some(27.777777778));
    assert_eq!(hour.dew_point_c, Some(25.0));
    assert_eq!(hour.relative_humidity, Some(0.84));
    assert_eq!(hour.cloud_area_fraction, Some(0.95));
    assert_eq!(hour.wind_from_direction_deg, Some(250.0));
    assert_eq!(hour.wind_speed_km_h, Some(28.968));
    assert_eq!(hour.wind_gust_km_h, Some(56.327));
    assert_eq!((hour.thunder, hour.rain_character), (Some(true), Some(Character::Showery)));
    let p_thunder = hour.p_thunder.unwrap();
    assert_eq!((p_thunder.from, p_thunder.to), (local("14T18:00"), local("14T21:00")));
    assert_eq!(p_thunder.p.get(), 0.45);
    // No gust is stated for two in the afternoon.
    let two = forecast.conditions_during(local("14T14:00"), local("14T15:00")).next().unwrap();
    assert_eq!((two.wind_gust_km_h, two.wind_speed_km_h), (None, Some(16.093)));
}

#[test]
fn amounts_keep_their_own_periods() {
    let forecast = read_nws_gridpoint(fixture("nws_gridpoint")).unwrap().value;
    let amounts: Vec<_> =
        forecast.rain_amounts.iter().map(|amount| (amount.from, amount.rain_amount_mm)).collect();
    let expected = [
        (time("2030-06-14T16:00:00Z"), 4.318),
        (time("2030-06-14T22:00:00Z"), 3.048),
        (time("2030-06-15T04:00:00Z"), 0.254),
        (time("2030-06-15T10:00:00Z"), 0.0),
    ];
    assert_eq!(amounts, expected);
    assert!(forecast.rain.iter().all(|rain| rain.amount.is_none()), "no period is shared");
}

#[test]
fn without_chances_the_amounts_give_our_own_estimate() {
    let mut document = document();
    document["properties"].as_object_mut().unwrap().remove("probabilityOfPrecipitation");
    let reading = read_nws_gridpoint(document.to_string().as_bytes()).unwrap();
    assert_eq!(
        reading.remarks,
        [Remark::Absent { field: "probabilityOfPrecipitation".to_owned() }]
    );
    assert_eq!(reading.value.rain.len(), 4);
    for rain in &reading.value.rain {
        let spread = rain.spread.unwrap();
        assert_eq!((rain.basis, rain.p_rain), (Basis::OurEstimate, Some(spread.centre)));
        assert!(spread.low < spread.centre && spread.centre < spread.high);
    }
    assert_eq!(reading.value.listed_hourly, [], "nothing of ours is passed off as listed");
}

#[test]
fn a_null_a_missing_layer_and_an_empty_one_are_missing() {
    let mut document = document();
    document["properties"]["probabilityOfPrecipitation"]["values"][4]["value"] = Value::Null;
    document["properties"]["windGust"]["values"] = json!([]);
    document["properties"].as_object_mut().unwrap().remove("temperature");
    let reading = read_nws_gridpoint(document.to_string().as_bytes()).unwrap();
    let forecast = &reading.value;
    let evening: Vec<_> = forecast.rain_during(local("14T19:00"), local("14T20:00")).collect();
    assert_eq!((evening.len(), evening[0].p_rain), (1, None));
    assert!(forecast.conditions.iter().all(|condition| condition.air_temperature_c.is_none()));
    assert!(forecast.conditions.iter().all(|condition| condition.wind_gust_km_h.is_none()));
    assert_eq!(reading.remarks.len(), 3);
}

#[test]
fn an_interval_may_be_written_in_three_ways() {
    let read = |valid_time: &str| {
        let mut document = document();
        document["properties"]["probabilityOfPrecipitation"]["values"] =
            json!([{ "validTime": valid_time, "value": 40 }]);
        let reading = read_nws_gridpoint(document.to_string().as_bytes()).unwrap();
        reading.value.rain.iter().filter(|rain| rain.basis == Basis::Stated).map(brief).collect()
    };
    let expected = vec![(time("2030-06-16T00:00:00Z"), 6, Some(40.0))];
    let ways = [
        "2030-06-16T00:00:00+00:00/PT6H",
        "2030-06-16T00:00:00+00:00/2030-06-16T06:00:00+00:00",
        "PT6H/2030-06-16T06:00:00+00:00",
    ];
    for way in ways {
        let found: Vec<_> = read(way);
        assert_eq!(found, expected, "{way}");
    }
    for wrong in [
        "PT6H/PT6H",
        "2030-06-16T00:00:00Z",
        "2030-06-16T00:00:00Z/-PT6H",
        "2030-06-16T00:00:00Z/P2M",
        "2030-06-16T00:00:00Z/P9999Y",
        "2030-06-16T00:00:00Z/PT0S",
        "",
    ] {
        let found: Vec<_> = read(wrong);
        assert_eq!(found, [], "{wrong}");
    }
}

#[test]
fn grid_numbers_may_be_texts() {
    let mut document = document();
    document["properties"]["gridX"] = json!("41");
    document["properties"]["gridY"] = json!("17");
    let reading = read_nws_gridpoint(document.to_string().as_bytes()).unwrap();
    assert_eq!(reading, read_nws_gridpoint(fixture("nws_gridpoint")).unwrap());
}

#[test]
fn a_layer_in_an_unknown_unit_is_missing_and_a_known_other_one_is_converted() {
    let mut document = document();
    document["properties"]["windSpeed"]["uom"] = json!("nwsUnit:furlongs");
    document["properties"]["temperature"]["uom"] = json!("wmoUnit:K");
    document["properties"]["temperature"]["values"] =
        json!([{ "validTime": "2030-06-14T18:00:00Z/PT1H", "value": 305.15 }]);
    let reading = read_nws_gridpoint(document.to_string().as_bytes()).unwrap();
    let (from, to) = (local("14T14:00"), local("14T15:00"));
    let first = reading.value.conditions_during(from, to).next().unwrap();
    assert!((first.air_temperature_c.unwrap() - 32.0).abs() < 1e-9);
    assert_eq!(first.wind_speed_km_h, None);
    let (field, unit) = ("windSpeed".to_owned(), "nwsUnit:furlongs".to_owned());
    assert_eq!(reading.remarks, [Remark::UnknownUnit { field, unit }]);
}

#[test]
fn a_document_of_nothing_but_unknown_units_is_an_error() {
    let mut document = document();
    for (name, layer) in document["properties"].as_object_mut().unwrap() {
        if layer.get("values").is_some() {
            layer["uom"] = json!("wmoUnit:parsec");
            if name == "weather" || name == "probabilityOfThunder" {
                layer["values"] = json!([]);
            }
        }
    }
    let error = read_nws_gridpoint(document.to_string().as_bytes()).unwrap_err();
    assert!(matches!(error, WeatherError::NothingUseful { missing: "layer", .. }), "{error}");
}
