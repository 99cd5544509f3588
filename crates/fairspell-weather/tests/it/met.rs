use fairspell_chance::Character;
use fairspell_weather::{Basis, Remark, Service, read_forecast, read_met};
use serde_json::{Value, json};

use crate::{brief, fixture, time};

fn document(name: &str) -> Value {
    serde_json::from_slice(fixture(name)).unwrap()
}

/// Values of the fixture: hours to 06:00 UTC on the 15th, then six hours twice.
#[test]
fn hours_come_first_then_six_hours_and_nothing_counts_twice() {
    let reading = read_met(fixture("met_complete")).unwrap();
    assert_eq!(reading.remarks, []);
    let found: Vec<_> = reading.value.rain.iter().map(brief).collect();
    let hourly = [15.0, 25.0, 45.0, 60.0, 60.0, 35.0, 20.0, 20.0, 20.0, 20.0, 20.0, 20.0];
    assert_eq!(found.len(), 14);
    for (index, percent) in hourly.into_iter().enumerate() {
        assert_eq!((found[index].1, found[index].2), (1, Some(percent)), "hour {index}");
    }
    assert_eq!(found[0].0, time("2030-06-14T18:00:00Z"));
    assert_eq!(found[12], (time("2030-06-15T06:00:00Z"), 6, Some(10.0)));
    assert_eq!(found[13], (time("2030-06-15T12:00:00Z"), 6, Some(34.0)));
    assert_eq!(reading.value.listed_hourly.len(), 12);
    assert_eq!(reading.value.rain[3].amount.unwrap().rain_amount_mm, 2.6);
    assert!(reading.value.rain.iter().all(|rain| rain.basis == Basis::Stated));
}

#[test]
fn amounts_alone_become_wide_estimates_that_say_so() {
    let reading = read_forecast(fixture("met_compact")).unwrap();
    assert_eq!(reading.remarks, []);
    let forecast = reading.value;
    assert_eq!(forecast.service, Service::MetLocationforecast);
    assert_eq!(forecast.rain.len(), 14);
    for rain in &forecast.rain {
        let spread = rain.spread.unwrap();
        assert_eq!((rain.basis, rain.p_rain), (Basis::OurEstimate, Some(spread.centre)));
        assert!(spread.high.get() - spread.low.get() > 0.08, "{rain:?}");
        assert_eq!(rain.threshold_mm, 0.1);
    }
    assert_eq!(forecast.listed_hourly, []);
}

#[test]
fn place_time_and_weather_come_in_our_units() {
    let forecast = read_met(fixture("met_complete")).unwrap().value;
    assert_eq!(forecast.place, "29.9321,-81.321".parse().unwrap());
    assert_eq!(forecast.reference_time, time("2030-06-14T17:20:11Z"));
    let first = forecast.conditions[0];
    assert_eq!(first.air_temperature_c, Some(32.2));
    assert_eq!(first.relative_humidity, Some(0.63));
    assert!((first.wind_speed_km_h.unwrap() - 16.2).abs() < 1e-9); // 4.5 m/s
    assert!((first.wind_gust_km_h.unwrap() - 25.92).abs() < 1e-9); // 7.2 m/s
    assert_eq!(first.cloud_area_fraction, Some(0.35));
    assert_eq!(first.p_thunder.unwrap().p.get(), 0.06);
    assert_eq!((first.thunder, first.rain_character), (Some(false), None));
    let storm = forecast
        .conditions_during(time("2030-06-14T21:00:00Z"), time("2030-06-14T22:00:00Z"))
        .next()
        .unwrap();
    assert_eq!((storm.thunder, storm.rain_character), (Some(true), Some(Character::Showery)));
    // The last time lasts as long as its symbol.
    let last = forecast.conditions.last().unwrap();
    assert_eq!(last.to, time("2030-06-15T18:00:00Z"));
    assert_eq!(last.thunder, Some(true));
}

#[test]
fn symbols_say_steady_rain_and_thunder_apart() {
    let check = |code: &str, thunder: bool, character: Option<Character>| {
        let mut document = document("met_compact");
        document["properties"]["timeseries"][0]["data"]["next_1_hours"]["summary"]["symbol_code"] =
            json!(code);
        let first = read_met(document.to_string().as_bytes()).unwrap().value.conditions[0];
        assert_eq!((first.thunder, first.rain_character), (Some(thunder), character), "{code}");
    };
    check("rain", false, Some(Character::Steady));
    check("rainandthunder", true, Some(Character::Steady));
    check("lightssleetshowersandthunder_day", true, Some(Character::Showery));
    check("heavysleet", false, Some(Character::Steady));
    check("clearsky_polartwilight", false, None);
    check("fog", false, None);
}

#[test]
fn a_missing_hour_is_not_filled_from_the_six_hours_around_it() {
    let mut document = document("met_complete");
    document["properties"]["timeseries"].as_array_mut().unwrap().remove(5);
    let reading = read_met(document.to_string().as_bytes()).unwrap();
    let (from, to) = (time("2030-06-14T23:00:00Z"), time("2030-06-15T00:00:00Z"));
    assert_eq!(reading.remarks, [Remark::MissingHours { from, to }]);
    assert_eq!(reading.value.rain_during(from, to).count(), 0);
    assert_eq!(reading.value.rain.len(), 13);
}

#[test]
fn an_hour_without_chance_among_others_is_estimated_from_its_amount() {
    let mut document = document("met_complete");
    let details = &mut document["properties"]["timeseries"][2]["data"]["next_1_hours"]["details"];
    details.as_object_mut().unwrap().remove("probability_of_precipitation");
    let forecast = read_met(document.to_string().as_bytes()).unwrap().value;
    let basis: Vec<_> = forecast.rain[1..4].iter().map(|rain| rain.basis).collect();
    assert_eq!(basis, [Basis::Stated, Basis::OurEstimate, Basis::Stated]);
}

#[test]
fn a_value_in_another_or_an_unknown_unit_is_converted_or_missing() {
    let mut document = document("met_complete");
    document["properties"]["meta"]["units"]["air_temperature"] = json!("fahrenheit");
    document["properties"]["meta"]["units"]["wind_speed"] = json!("leagues");
    let reading = read_met(document.to_string().as_bytes()).unwrap();
    let first = reading.value.conditions[0];
    assert!((first.air_temperature_c.unwrap() - 0.1111).abs() < 0.001);
    assert_eq!(first.wind_speed_km_h, None);
    let (field, unit) = ("wind_speed".to_owned(), "leagues".to_owned());
    assert_eq!(reading.remarks, [Remark::UnknownUnit { field, unit }]);
}

#[test]
fn six_hours_stated_anew_every_hour_count_once() {
    let mut document = document("met_complete");
    for step in document["properties"]["timeseries"].as_array_mut().unwrap() {
        step["data"].as_object_mut().unwrap().remove("next_1_hours");
    }
    let forecast = read_met(document.to_string().as_bytes()).unwrap().value;
    let found: Vec<_> = forecast.rain.iter().map(brief).collect();
    let expected = [
        (time("2030-06-14T18:00:00Z"), 6, Some(72.0)),
        (time("2030-06-15T00:00:00Z"), 6, Some(31.0)),
        (time("2030-06-15T06:00:00Z"), 6, Some(10.0)),
        (time("2030-06-15T12:00:00Z"), 6, Some(34.0)),
    ];
    assert_eq!(found, expected);
}

#[test]
fn six_hours_never_stand_in_for_one_hour_among_others() {
    let mut document = document("met_complete");
    let data = &mut document["properties"]["timeseries"][3]["data"];
    data.as_object_mut().unwrap().remove("next_1_hours");
    let reading = read_met(document.to_string().as_bytes()).unwrap();
    let (from, to) = (time("2030-06-14T21:00:00Z"), time("2030-06-14T22:00:00Z"));
    assert_eq!(reading.remarks, [Remark::MissingHours { from, to }]);
    assert_eq!(reading.value.rain.len(), 13);
}
