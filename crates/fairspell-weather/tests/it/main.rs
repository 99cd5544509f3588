//! Integration tests; the modules mirror `src/`.

#![expect(
    clippy::unwrap_used,
    clippy::float_cmp,
    reason = "what cannot be read fails its test; stated values pass through unchanged"
)]

mod board;
mod cap;
mod comfort;
mod estimate;
mod event_policy;
mod foreign_bytes;
mod met;
mod nws_alerts;
mod nws_gridpoint;
mod nws_hourly;
mod observed;
mod vtec;

use fairspell_weather::{RainStatement, Warning, read_warnings};
use jiff::Timestamp;

/// Every fixture, by name.
const FIXTURES: [(&str, &[u8]); 14] = [
    ("cap_1", include_bytes!("../fixtures/cap_1_severe_thunderstorm.xml")),
    ("cap_2", include_bytes!("../fixtures/cap_2_hurricane_watch.xml")),
    ("cap_3", include_bytes!("../fixtures/cap_3_heat_advisory.xml")),
    ("cap_4", include_bytes!("../fixtures/cap_4_cancel_of_1.xml")),
    ("cap_5", include_bytes!("../fixtures/cap_5_update_of_2.xml")),
    ("cap_6", include_bytes!("../fixtures/cap_6_test_message.xml")),
    ("nws_hourly", include_bytes!("../fixtures/nws_hourly.json")),
    ("nws_gridpoint", include_bytes!("../fixtures/nws_gridpoint.json")),
    ("nws_points", include_bytes!("../fixtures/nws_points.json")),
    ("nws_problem", include_bytes!("../fixtures/nws_problem.json")),
    ("nws_alerts_1712", include_bytes!("../fixtures/nws_alerts_1712.json")),
    ("nws_alerts_1746", include_bytes!("../fixtures/nws_alerts_1746.json")),
    ("met_compact", include_bytes!("../fixtures/met_compact.json")),
    ("met_complete", include_bytes!("../fixtures/met_complete.json")),
];

fn fixture(name: &str) -> &'static [u8] {
    FIXTURES.iter().find(|(found, _)| *found == name).unwrap().1
}

fn fixture_text(name: &str) -> &'static str {
    std::str::from_utf8(fixture(name)).unwrap()
}

/// The warnings of some fixtures, in this order.
fn warnings(names: &[&str]) -> Vec<Warning> {
    names.iter().flat_map(|name| read_warnings(fixture(name)).unwrap().value).collect()
}

fn time(text: &str) -> Timestamp {
    text.parse().unwrap()
}

/// A moment of June 2030 at the fixtures' place, four hours behind UTC, written `14T17:30`.
fn local(day_and_clock: &str) -> Timestamp {
    time(&format!("2030-06-{day_and_clock}:00-04:00"))
}

/// A statement as start, hours and per cent.
fn brief(rain: &RainStatement) -> (Timestamp, i64, Option<f64>) {
    let hours = rain.to.duration_since(rain.from).as_hours();
    (rain.from, hours, rain.p_rain.map(|p| (p.get() * 100.0).round()))
}
