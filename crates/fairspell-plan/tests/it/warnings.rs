//! Official warnings over a session and the drive to it.

use fairspell_ground::LatLon;
use fairspell_plan::{Seen, SeenWarnings, evening_rain::evening_rain};
use fairspell_studio::{Band, Outlook, Session, Tier, outlook::Reach};
use fairspell_weather::{WarningBoard, read_warnings};
use jiff::ToSpan;

use crate::world::{EVENING_READING, at, seen, session, studio, zone};

/// A CAP 1.2 message with a circle of 10 km around a point, for some hours.
fn message(event: &str, centre: &str, onset: &str, expires: &str) -> String {
    format!(
        r#"<?xml version="1.0" encoding="UTF-8"?>
<alert xmlns="urn:oasis:names:tc:emergency:cap:1.2">
  <identifier>invented-1</identifier>
  <sender>warnings@saltern.invalid</sender>
  <sent>2026-09-02T07:30:00-00:00</sent>
  <status>Actual</status>
  <msgType>Alert</msgType>
  <scope>Public</scope>
  <info>
    <category>Met</category>
    <event>{event}</event>
    <urgency>Future</urgency>
    <severity>Severe</severity>
    <certainty>Likely</certainty>
    <onset>{onset}</onset>
    <expires>{expires}</expires>
    <area><areaDesc>invented</areaDesc><circle>{centre} 10</circle></area>
  </info>
</alert>"#
    )
}

fn outlook_with(message: &str, home: LatLon) -> Outlook {
    let as_of = at(EVENING_READING);
    let messages = read_warnings(message.as_bytes()).unwrap().value;
    let mut seen = seen(as_of, 3.0);
    seen.warnings = Some(SeenWarnings {
        board: WarningBoard::as_of(messages, as_of).value,
        looked_at: as_of,
        source: "an invented service".to_owned(),
    });
    let mut studio = studio();
    studio.home = home;
    fairspell_plan::outlook(&studio, &zone(), &session(), as_of, &seen).unwrap()
}

/// Missing data never becomes dry: the warning stands where no forecast speaks of the rain.
#[test]
fn a_storm_warning_rules_an_evening_out_without_any_forecast() {
    let storm = message(
        "Severe Thunderstorm Warning",
        AT_THE_SPOT,
        "2026-09-03T05:00:00-00:00",
        "2026-09-03T06:00:00-00:00",
    );
    let as_of = at(EVENING_READING);
    let messages = read_warnings(storm.as_bytes()).unwrap().value;
    let warnings = SeenWarnings {
        board: WarningBoard::as_of(messages, as_of).value,
        looked_at: as_of,
        source: "an invented service".to_owned(),
    };
    let silent = Seen { forecast: None, warnings: Some(warnings), radar: None };
    let rain = evening_rain(&studio(), &zone(), &session(), as_of, &silent, None);
    assert_eq!((rain.band, rain.is_forecast_missing), (Some(Band::MustMove), true));
    let far = Session { start: session().start.saturating_add(30.days()), ..session() };
    let rain = evening_rain(&studio(), &zone(), &far, as_of, &silent, None);
    assert_eq!((rain.band, rain.is_forecast_missing), (None, false), "no forecast reaches there");
}

const AT_THE_SPOT: &str = "-31.7252,152.7741";
const HALFWAY: &str = "-32.2,152.5";

fn next_door() -> LatLon {
    studio().home
}

fn far_home() -> LatLon {
    LatLon::new(-32.7, 152.2).unwrap()
}

#[test]
fn a_storm_warning_at_the_spot_is_a_stop_for_the_session() {
    let storm = message(
        "Severe Thunderstorm Warning",
        AT_THE_SPOT,
        "2026-09-03T05:00:00-00:00",
        "2026-09-03T06:00:00-00:00",
    );
    let found = outlook_with(&storm, next_door()).warnings;
    assert_eq!((found[0].tier, found[0].reach), (Tier::Stop, Reach::Session));
    assert_eq!(found.len(), 1, "the drive does not name it again");
}

#[test]
fn a_storm_warning_on_the_road_is_a_stop_for_the_drive() {
    let storm = message(
        "Severe Thunderstorm Warning",
        HALFWAY,
        "2026-09-03T04:00:00-00:00",
        "2026-09-03T09:00:00-00:00",
    );
    let found = outlook_with(&storm, far_home()).warnings;
    assert_eq!((found[0].tier, found[0].reach), (Tier::Stop, Reach::Drive));
    assert_eq!(outlook_with(&storm, next_door()).warnings, [], "this drive does not pass there");
}

#[test]
fn a_warning_for_other_hours_does_not_count() {
    let over = message(
        "Severe Thunderstorm Warning",
        AT_THE_SPOT,
        "2026-09-02T22:00:00-00:00",
        "2026-09-03T02:00:00-00:00",
    );
    assert_eq!(outlook_with(&over, next_door()).warnings, []);
}

#[test]
fn a_warning_by_code_alone_is_unplaced_unless_the_studio_has_a_code_of_that_system() {
    let by_circle = message(
        "Flood Warning",
        AT_THE_SPOT,
        "2026-09-03T05:00:00-00:00",
        "2026-09-03T09:00:00-00:00",
    );
    let by_code = by_circle.replace(
        &format!("<circle>{AT_THE_SPOT} 10</circle>"),
        "<geocode><valueName>ZONE</valueName><value>77</value></geocode>",
    );
    assert_eq!(outlook_with(&by_circle, next_door()).unplaced_warnings, [] as [&str; 0]);
    let found = outlook_with(&by_code, next_door());
    assert_eq!(found.unplaced_warnings, ["Flood Warning"]);
    assert_eq!(found.warnings, []);
}

#[test]
fn a_zone_is_not_placed_by_the_code_of_a_county() {
    let as_of = at(EVENING_READING);
    let by_zone = message(
        "Hurricane Warning",
        AT_THE_SPOT,
        "2026-09-03T05:00:00-00:00",
        "2026-09-03T09:00:00-00:00",
    )
    .replace(
        &format!("<circle>{AT_THE_SPOT} 10</circle>"),
        "<geocode><valueName>UGC</valueName><value>ZZZ017</value></geocode>",
    );
    for (ours, expected) in
        [("UGC:ZZC901", &["Hurricane Warning"][..]), ("UGC:ZZZ018", &[]), ("UGC:ZZZ017", &[])]
    {
        let mut studio = studio();
        studio.warning_areas = vec![ours.to_owned()];
        let mut seen = seen(as_of, 3.0);
        seen.warnings = Some(SeenWarnings {
            board: WarningBoard::as_of(read_warnings(by_zone.as_bytes()).unwrap().value, as_of)
                .value,
            looked_at: as_of,
            source: "an invented service".to_owned(),
        });
        let outlook = fairspell_plan::outlook(&studio, &zone(), &session(), as_of, &seen).unwrap();
        assert_eq!(outlook.unplaced_warnings, expected, "{ours}");
        assert_eq!(outlook.warnings.len(), usize::from(ours == "UGC:ZZZ017"), "{ours}");
    }
}
