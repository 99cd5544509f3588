use fairspell_chance::Character;
use fairspell_weather::{Remark, Service, WeatherError, read_forecast, read_nws_hourly};
use serde_json::{Value, json};

use crate::{brief, fixture, fixture_text, local, time};

fn document() -> Value {
    serde_json::from_slice(fixture("nws_hourly")).unwrap()
}

fn read(document: &Value) -> fairspell_weather::Forecast {
    read_nws_hourly(document.to_string().as_bytes()).unwrap().value
}

/// Reference sheet of the fixtures: the hourly chances repeat a grid of one, two and six hours.
#[test]
fn repeated_figures_are_read_as_the_periods_that_they_were_made_for() {
    let reading = read_nws_hourly(fixture("nws_hourly")).unwrap();
    assert_eq!(reading.remarks, []);
    let found: Vec<_> = reading.value.rain.iter().map(brief).collect();
    let expected = [
        (local("14T14:00"), 1, Some(15.0)),
        (local("14T15:00"), 1, Some(25.0)),
        (local("14T16:00"), 1, Some(45.0)),
        (local("14T17:00"), 1, Some(60.0)), // two merged hours
        (local("14T18:00"), 1, Some(60.0)),
        (local("14T19:00"), 1, Some(35.0)),
        (local("14T20:00"), 6, Some(20.0)),
        (local("15T02:00"), 6, Some(10.0)),
        (local("15T08:00"), 6, Some(30.0)),
    ];
    assert_eq!(found, expected);
}

#[test]
fn the_figures_as_a_family_reads_them_are_kept() {
    let forecast = read_nws_hourly(fixture("nws_hourly")).unwrap().value;
    assert_eq!(forecast.listed_hourly.len(), 24);
    let largest = forecast.largest_listed(local("14T18:00"), local("14T21:00")).unwrap();
    assert_eq!((largest.from, largest.p.get()), (local("14T18:00"), 0.6));
    assert_eq!(forecast.largest_listed(local("16T18:00"), local("16T21:00")), None);
}

#[test]
fn place_time_and_weather_come_in_our_units() {
    let forecast = read_nws_hourly(fixture("nws_hourly")).unwrap().value;
    assert_eq!(forecast.service, Service::NwsHourly);
    assert_eq!(forecast.reference_time, time("2030-06-14T16:52:30Z"));
    assert_eq!(
        (forecast.starts(), forecast.ends()),
        (Some(local("14T14:00")), Some(local("15T14:00")))
    );
    // The point that the document was asked for lies within its square of 2.5 km.
    assert!(forecast.place.distance_km("29.9321,-81.3210".parse().unwrap()) < 1.8);
    let first = forecast.conditions[0];
    // 90 °F is 32.2 °C and 10 mph is 16.1 km/h.
    assert!((first.air_temperature_c.unwrap() - 32.222).abs() < 0.001);
    assert!((first.wind_speed_km_h.unwrap() - 16.093).abs() < 0.001);
    assert_eq!(first.relative_humidity, Some(0.63));
    assert_eq!(first.wind_from_direction_deg, Some(157.5));
    assert_eq!(first.dew_point_c, Some(24.285247));
    assert_eq!((first.thunder, first.rain_character), (Some(true), Some(Character::Showery)));
    let clear = forecast.conditions_during(local("15T03:00"), local("15T04:00")).next().unwrap();
    assert_eq!((clear.thunder, clear.rain_character), (Some(false), None));
}

#[test]
fn a_chance_that_is_not_stated_stays_unknown() {
    let mut document = document();
    document["properties"]["periods"][5]["probabilityOfPrecipitation"]["value"] = Value::Null;
    let reading = read_nws_hourly(document.to_string().as_bytes()).unwrap();
    let open: Vec<_> = reading.value.rain.iter().filter(|rain| rain.p_rain.is_none()).collect();
    assert_eq!(open.len(), 1);
    assert_eq!((open[0].from, open[0].to), (local("14T19:00"), local("14T20:00")));
    let (from, to) = (open[0].from, open[0].to);
    assert_eq!(reading.remarks, [Remark::ChanceNotStated { from, to }]);
}

#[test]
fn a_missing_hour_leaves_a_gap_and_a_remark() {
    let mut document = document();
    document["properties"]["periods"].as_array_mut().unwrap().remove(5);
    let reading = read_nws_hourly(document.to_string().as_bytes()).unwrap();
    let (from, to) = (local("14T19:00"), local("14T20:00"));
    assert_eq!(reading.remarks, [Remark::MissingHours { from, to }]);
    assert_eq!(reading.value.rain_during(from, to).count(), 0);
}

#[test]
fn hours_out_of_order_and_twice_are_put_right() {
    let mut document = document();
    let periods = document["properties"]["periods"].as_array_mut().unwrap();
    let again = periods[3].clone();
    periods.reverse();
    periods.push(again);
    let reading = read_nws_hourly(document.to_string().as_bytes()).unwrap();
    assert_eq!(reading.value.rain, read_nws_hourly(fixture("nws_hourly")).unwrap().value.rain);
    let (from, to) = (local("14T17:00"), local("14T18:00"));
    assert_eq!(reading.remarks, [Remark::Overlap { from, to }]);
}

#[test]
fn other_units_are_understood_and_unknown_ones_leave_the_value_out() {
    let mut document = document();
    let periods = &mut document["properties"]["periods"];
    periods[0]["windSpeed"] = json!("10 to 15 mph");
    periods[1]["windSpeed"] = json!("24 km/h");
    periods[2]["windSpeed"] = json!({ "unitCode": "wmoUnit:m_s-1", "value": 5.0 });
    periods[3]["windSpeed"] = json!("3 furlongs");
    periods[4]["windSpeed"] =
        json!({ "unitCode": "wmoUnit:km_h-1", "minValue": 8, "maxValue": 16 });
    periods[5]["windSpeed"] = json!("light");
    periods[0]["temperatureUnit"] = json!("C");
    periods[0]["temperature"] = json!(32);
    periods[1]["temperature"] = json!({ "unitCode": "wmoUnit:degC", "value": 31.5 });
    periods[2]["temperatureUnit"] = json!("R");
    periods[3]["windGust"] = json!("30 mph");
    let reading = read_nws_hourly(document.to_string().as_bytes()).unwrap();
    let winds: Vec<_> =
        reading.value.conditions[..6].iter().map(|condition| condition.wind_speed_km_h).collect();
    let expected = [Some(24.14016), Some(24.0), Some(18.0), None, Some(16.0), None];
    assert_eq!(winds, expected);
    let conditions = &reading.value.conditions;
    assert_eq!(conditions[0].air_temperature_c, Some(32.0));
    assert_eq!(conditions[1].air_temperature_c, Some(31.5));
    assert_eq!(conditions[2].air_temperature_c, None);
    assert!((conditions[3].wind_gust_km_h.unwrap() - 48.28).abs() < 0.001);
    assert_eq!(reading.remarks.len(), 3);
}

#[test]
fn runs_of_other_lengths_are_cut_at_the_service_s_six_hour_marks() {
    // 20 % for nine hours from 18:00 UTC: six, then three.
    let mut document = document();
    for index in 0..9 {
        let period = &mut document["properties"]["periods"][index];
        period["probabilityOfPrecipitation"]["value"] = json!(20);
    }
    document["properties"]["periods"].as_array_mut().unwrap().truncate(9);
    let found: Vec<_> = read(&document).rain.iter().map(brief).collect();
    let expected = [(local("14T14:00"), 6, Some(20.0)), (local("14T20:00"), 3, Some(20.0))];
    assert_eq!(found, expected);
}

#[test]
fn a_document_without_place_or_time_or_periods_is_an_error() {
    let check = |change: fn(&mut Value), missing: &str| {
        let mut document = document();
        change(&mut document);
        let error = read_forecast(document.to_string().as_bytes()).unwrap_err();
        assert!(
            matches!(&error, WeatherError::NothingUseful { missing: found, .. } if *found == missing),
            "{error}"
        );
    };
    check(|document| document["geometry"] = Value::Null, "geometry");
    check(|document| document["properties"]["updateTime"] = Value::Null, "time of update");
    check(|document| document["properties"]["periods"] = json!([]), "period");
    check(|document| document["properties"]["periods"] = json!("none"), "period");
}

#[test]
fn the_service_s_own_problem_is_told_as_such() {
    let error = read_forecast(fixture("nws_problem")).unwrap_err();
    let WeatherError::Problem { status, title, detail } = &error else { panic!("{error}") };
    assert_eq!(*status, 404);
    assert_eq!(title, "Data Unavailable For Requested Point");
    assert!(detail.contains("12.3456,-34.5678"));
}

#[test]
fn another_document_of_the_same_service_is_not_taken_for_a_forecast() {
    for name in ["nws_points", "nws_alerts_1712"] {
        let error = read_forecast(fixture(name)).unwrap_err();
        assert!(matches!(error, WeatherError::WrongDocument { .. }), "{name}: {error}");
    }
}

#[test]
fn times_with_z_and_with_fractions_are_read() {
    let text = fixture_text("nws_hourly")
        .replace("2030-06-14T16:52:30+00:00", "2030-06-14T16:52:30.250Z")
        .replace("2030-06-14T14:00:00-04:00", "2030-06-14T18:00:00Z");
    let forecast = read_nws_hourly(text.as_bytes()).unwrap().value;
    assert_eq!(forecast.reference_time, time("2030-06-14T16:52:30.25Z"));
    assert_eq!(forecast.rain[0].from, local("14T14:00"));
}
