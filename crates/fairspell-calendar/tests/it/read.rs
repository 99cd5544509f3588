use encoding_rs::WINDOWS_1252;
use fairspell_calendar::{CalendarError, read_bookings};
use jiff::tz::TimeZone;
use proptest::prelude::*;

use crate::world;

const LIST: &str = "name;date;start\r\nZoë Müller;2026-09-03;15:15\r\n";

fn first_name(bytes: &[u8]) -> String {
    let reading = read_bookings(bytes, &world::zone()).unwrap();
    assert_eq!((reading.value.len(), reading.remarks.len()), (1, 0));
    reading.value[0].sitter.clone()
}

fn utf_16(text: &str, bytes: fn(u16) -> [u8; 2]) -> Vec<u8> {
    text.encode_utf16().flat_map(bytes).collect()
}

#[test]
fn a_list_is_read_in_every_encoding_that_spreadsheets_save() {
    let marked = format!("\u{feff}{LIST}");
    for bytes in [
        LIST.as_bytes().to_vec(),
        marked.as_bytes().to_vec(),
        utf_16(&marked, u16::to_le_bytes),
        utf_16(&marked, u16::to_be_bytes),
        utf_16(LIST, u16::to_le_bytes),
        utf_16(LIST, u16::to_be_bytes),
        WINDOWS_1252.encode(LIST).0.into_owned(),
    ] {
        assert_eq!(first_name(&bytes), "Zoë Müller", "{:?}", &bytes[..8]);
    }
}

#[test]
fn a_list_is_read_with_every_separator() {
    for separator in [",", ";", "\t"] {
        assert_eq!(first_name(LIST.replace(';', separator).as_bytes()), "Zoë Müller");
    }
}

#[test]
fn a_file_that_is_no_list_is_said_to_be_none() {
    let zone = world::zone();
    assert_eq!(read_bookings(b"", &zone), Err(CalendarError::Empty));
    assert_eq!(read_bookings("\u{feff} \r\n".as_bytes(), &zone), Err(CalendarError::Empty));
    let spreadsheet = b"PK\x03\x04\x14\x00\x06\x00\x08\x00\x00\x00";
    assert_eq!(read_bookings(spreadsheet, &zone), Err(CalendarError::NotText));
}

#[test]
fn a_hundred_thousand_rows_are_read_and_no_more() {
    let row = "Maya,2026-09-03,15:15\n";
    let most = format!("name,date,start\n{}", row.repeat(100_000));
    assert_eq!(read_bookings(most.as_bytes(), &TimeZone::UTC).unwrap().value.len(), 100_000);
    let more = Err(CalendarError::TooMany { most: 100_000 });
    assert_eq!(read_bookings(format!("{most}{row}").as_bytes(), &TimeZone::UTC), more);
    let event = "BEGIN:VEVENT\nEND:VEVENT\n".repeat(100_001);
    let calendar = format!("BEGIN:VCALENDAR\n{event}END:VCALENDAR\n");
    assert_eq!(read_bookings(calendar.as_bytes(), &TimeZone::UTC), more);
    let huge = vec![b' '; 16_000_001];
    let too_large = CalendarError::TooLarge { bytes: 16_000_001, most: 16_000_000 };
    assert_eq!(read_bookings(&huge, &TimeZone::UTC), Err(too_large));
}

proptest! {
    #[test]
    fn no_bytes_can_stop_the_reader(
        bytes in prop::collection::vec(any::<u8>(), 0..300),
        heading in prop::sample::select(vec!["", "name,date,start\n", "BEGIN:VCALENDAR\nBEGIN:VEVENT\n"]),
    ) {
        let file = [heading.as_bytes(), &bytes].concat();
        let _ = read_bookings(&file, &world::zone());
    }

    #[test]
    fn no_lines_can_stop_the_reader(lines in prop::collection::vec(calendar_line(), 0..20)) {
        let file = format!("BEGIN:VCALENDAR\nBEGIN:VEVENT\n{}", lines.join("\n"));
        if let Ok(reading) = read_bookings(file.as_bytes(), &world::zone()) {
            for booking in reading.value {
                prop_assert!(!booking.sitter.is_empty());
                prop_assert!(world::zone().to_ambiguous_timestamp(booking.start).unambiguous().is_ok());
            }
        }
    }
}

fn calendar_line() -> impl Strategy<Value = String> {
    let name = prop::sample::select(vec![
        "BEGIN",
        "END",
        "DTSTART",
        "DTEND",
        "DURATION",
        "GEO",
        "SUMMARY",
        "ATTENDEE;CN=x",
        "RRULE",
        "DTSTART;TZID=Europe/Berlin",
        "TZID",
        "TZOFFSETTO",
    ]);
    let value = prop_oneof![
        "[0-9]{8}T[0-9]{6}Z?",
        "[+-]?P[0-9]{0,19}[WDTHMS][0-9]{0,3}[HMS]?",
        "(VEVENT|VCALENDAR|VTIMEZONE|STANDARD|DAYLIGHT)",
        "[+-][0-9]{0,6}",
        "\\PC{0,20}",
    ];
    (name, value).prop_map(|(name, value)| format!("{name}:{value}"))
}
