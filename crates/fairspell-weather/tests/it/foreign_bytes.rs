//! Whatever the bytes, a reader answers; it never panics, and never hangs.

use fairspell_weather::{
    EventPolicy, WarningBoard, Whereabouts, read_cap, read_forecast, read_met, read_nws_alerts,
    read_nws_gridpoint, read_nws_hourly, read_warnings,
};
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::{FIXTURES, local};

/// Hands bytes to every reader, and what comes out of them to what uses it.
fn read_with_everything(bytes: &[u8]) {
    for read in [read_forecast, read_nws_hourly, read_nws_gridpoint, read_met] {
        if let Ok(reading) = read(bytes) {
            let rain = &reading.value.rain;
            assert!(rain.iter().all(|rain| rain.from < rain.to));
            assert!(rain.windows(2).all(|pair| pair[0].to <= pair[1].from), "no moment twice");
            let _ = reading.value.largest_listed(local("14T18:00"), local("14T20:00"));
            let _ = reading.remarks.iter().map(ToString::to_string).collect::<Vec<_>>();
        }
    }
    for read in [read_warnings, read_cap, read_nws_alerts] {
        if let Ok(reading) = read(bytes) {
            let board = WarningBoard::as_of(reading.value, local("14T17:20")).value;
            let place = Whereabouts {
                points: vec!["29.9321,-81.3210".parse().unwrap()],
                ..Whereabouts::default()
            };
            let window = (local("14T17:00"), local("14T20:00"));
            let _ = board.in_force(&EventPolicy::default(), &place, window);
        }
    }
}

#[test]
fn empty_wrong_and_deeply_nested_bytes_are_errors() {
    let nested = "[".repeat(100_000);
    let nested_xml = "<alert>".repeat(100_000);
    for bytes in [
        &b""[..],
        b" ",
        b"null",
        b"[]",
        b"{}",
        b"<",
        b"\x89PNG",
        b"GRIB",
        b"\xef\xbb\xbf",
        nested.as_bytes(),
        nested_xml.as_bytes(),
    ] {
        assert!(read_forecast(bytes).is_err());
        assert!(read_warnings(bytes).is_err());
    }
}

#[test]
fn a_byte_order_mark_does_no_harm() {
    for (name, bytes) in FIXTURES {
        let marked = [b"\xef\xbb\xbf", bytes].concat();
        assert_eq!(read_forecast(&marked), read_forecast(bytes), "{name}");
        assert_eq!(read_warnings(&marked).is_ok(), read_warnings(bytes).is_ok(), "{name}");
    }
}

#[test]
fn every_cut_fixture_is_an_error() {
    for (name, bytes) in FIXTURES {
        // A final line break may be missing.
        let end = bytes.trim_ascii_end().len();
        for cut in (0..end).step_by(251) {
            assert!(read_forecast(&bytes[..cut]).is_err(), "{name} cut at {cut}");
            assert!(read_warnings(&bytes[..cut]).is_err(), "{name} cut at {cut}");
        }
    }
}

/// Values of every type, some of them at the edge of what they can be.
fn anything() -> impl Strategy<Value = Value> {
    prop_oneof![
        Just(Value::Null),
        Just(json!(true)),
        Just(json!([])),
        Just(json!({})),
        any::<i64>().prop_map(|number| json!(number)),
        any::<f64>().prop_map(|number| json!(number)),
        "\\PC{0,12}".prop_map(|text| json!(text)),
        Just(json!("9999-12-31T23:59:59Z/P30D")),
        Just(json!("-009999-01-02T00:00:00Z")),
        Just(json!("P30D/-009999-01-02T01:59:59Z")),
        Just(json!("2030-06-14T18:00:00Z/PT744H")),
    ]
}

/// Puts something else in the place of the nth value of a document.
fn replace_nth(value: &mut Value, nth: &mut usize, other: &Value) {
    if *nth == 0 {
        *value = other.clone();
    }
    *nth = nth.wrapping_sub(1);
    match value {
        Value::Array(items) => items.iter_mut().for_each(|item| replace_nth(item, nth, other)),
        Value::Object(members) => {
            members.values_mut().for_each(|member| replace_nth(member, nth, other));
        }
        _ => {}
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn random_bytes_are_never_fatal(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        read_with_everything(&bytes);
    }

    #[test]
    fn changed_bytes_are_never_fatal(
        index in 0..FIXTURES.len(),
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..6),
        dropped in any::<prop::sample::Index>(),
        dropped_bytes in 0_usize..30,
    ) {
        let mut bytes = FIXTURES[index].1.to_vec();
        for (at, byte) in changes {
            let at = at.index(bytes.len());
            bytes[at] = byte;
        }
        let from = dropped.index(bytes.len());
        let to = (from + dropped_bytes).min(bytes.len());
        bytes.drain(from..to);
        read_with_everything(&bytes);
    }

    #[test]
    fn any_value_in_the_place_of_any_other_is_never_fatal(
        index in 6..FIXTURES.len(),
        nth in 0_usize..900,
        other in anything(),
    ) {
        let mut document: Value = serde_json::from_slice(FIXTURES[index].1).unwrap();
        replace_nth(&mut document, &mut { nth }, &other);
        read_with_everything(document.to_string().as_bytes());
    }
}
