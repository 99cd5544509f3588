use fairspell_calendar::{About, Planned, gates_calendar, read_bookings};
use fairspell_studio::{Session, gates};
use fairspell_words::calendar::session_title;
use jiff::{Timestamp, civil::date};
use proptest::prelude::*;

use crate::world;

fn feed(session: &Session, now: Timestamp, name: &str, standing: &str) -> String {
    let (studio, zone) = (world::studio(), world::zone());
    let gates = gates(&studio, &zone, session).unwrap_or_default();
    let planned = [Planned { session, gates: &gates, standing }];
    gates_calendar(&studio, &zone, &planned, now, name)
}

/// RFC 5545, section 3.1: lines end with CR LF and have at most 75 octets before it; section 3.3.11
/// and the grammar of 3.1: no control character stands in them but the tab.
fn is_well_formed(calendar: &str) -> Result<(), String> {
    let body = calendar.strip_suffix("\r\n").ok_or("no line end at the end")?;
    for line in body.split("\r\n") {
        if line.is_empty() || line.len() > 75 {
            return Err(format!("{} octets: {line}", line.len()));
        }
        if line.chars().any(|c| c.is_control() && c != '\t') {
            return Err(format!("a control character: {line:?}"));
        }
    }
    Ok(())
}

#[test]
fn a_calendar_is_the_same_for_the_same_moment() {
    let one = feed(&world::session(), world::now(), "Gates", world::STANDING);
    assert_eq!(one, feed(&world::session(), world::now(), "Gates", world::STANDING));
    let later = feed(&world::session(), world::after(), "Gates", world::STANDING);
    assert_eq!(later.matches("BEGIN:VEVENT").count(), 1, "passed gates are not shown");
    assert!(later.contains("UID:2026-09-03-maya@session.fairspell\r\n"));
    assert!(one.contains("UID:2026-09-03-maya@session.fairspell\r\n"));
    assert!(one.contains("UID:2026-09-03-maya.leave-by@gate.fairspell\r\n"));
}

/// RFC 7986, sections 5.1 and 5.7.
#[test]
fn the_calendar_names_itself_and_how_often_to_look() {
    let calendar = feed(&world::session(), world::now(), "Gates; mine, \\all", world::STANDING);
    assert!(calendar.contains("\r\nNAME;VALUE=TEXT:Gates\\; mine\\, \\\\all\r\n"));
    assert!(calendar.contains("REFRESH-INTERVAL;VALUE=DURATION:PT15M\r\n"));
    assert!(calendar.contains("X-PUBLISHED-TTL:PT15M\r\n"));
}

#[test]
fn nobody_can_be_called_or_written_to_from_it() {
    let calendar = feed(&world::session(), world::now(), "Gates", world::STANDING);
    let lower = calendar.to_lowercase();
    for word in ["mailto", "tel:", "attendee", "organizer", "ines"] {
        assert!(!lower.contains(word), "{word}");
    }
}

#[test]
fn reading_our_own_calendar_takes_sessions_and_leaves_gates() {
    let calendar = feed(&world::session(), world::now(), "Gates", world::STANDING);
    let reading = read_bookings(calendar.as_bytes(), &world::zone()).unwrap();
    assert_eq!(reading.value.len(), 1);
    let booking = &reading.value[0];
    assert_eq!((booking.start, booking.duration_min), (world::session().start, Some(110)));
    assert_eq!(booking.sitter, session_title("Maya"));
    assert_eq!(booking.place.as_deref(), Some("Heron Walk, north; gate"));
    assert!(!reading.remarks.is_empty());
    assert!(reading.remarks.iter().all(|remark| remark.about == About::OwnGate));
}

#[test]
fn a_session_in_an_hour_that_does_not_exist_is_not_shown() {
    let session = Session { start: date(2026, 10, 4).at(2, 30, 0, 0), ..world::session() };
    let calendar = feed(&session, world::now(), "Gates", world::STANDING);
    assert!(!calendar.contains("VEVENT"));
}

#[test]
fn a_name_of_wide_blanks_does_not_stop_the_writer() {
    for blank in ['\u{a0}', '\u{3000}', ' ', '\u{85}', '\u{2003}'] {
        for length in 60..200 {
            let text: String = std::iter::repeat_n(blank, length).chain(['x']).collect();
            let session = Session { sitter: text.clone(), id: text.clone(), ..world::session() };
            is_well_formed(&feed(&session, world::after(), &text, &text)).unwrap();
        }
    }
}

fn any_text() -> impl Strategy<Value = String> {
    let piece = prop_oneof![
        any::<char>().prop_map(String::from),
        "[ \u{a0}\u{3000}a王😀\\\\,;:\"\r\n]{1,3}",
        prop::sample::select(world::NAMES.to_vec()).prop_map(str::to_owned),
    ];
    prop::collection::vec(piece, 0..80).prop_map(|pieces| pieces.concat())
}

proptest! {
    #[test]
    fn any_names_make_a_calendar_that_can_be_read(
        sitter in any_text(),
        id in any_text(),
        standing in any_text(),
        name in any_text(),
    ) {
        let session = Session { sitter, id, ..world::session() };
        let calendar = feed(&session, world::now(), &name, &standing);
        prop_assert_eq!(is_well_formed(&calendar), Ok(()));
        let reading = read_bookings(calendar.as_bytes(), &world::zone()).unwrap();
        prop_assert_eq!(reading.value.len(), 1);
        prop_assert_eq!(reading.value[0].start, session.start);
        // What is endless is cut on the way.
        let letters = |text: &str| text.chars().filter(|c| c.is_alphanumeric()).collect::<String>();
        let (title, read) = (letters(&session_title(&session.sitter)), letters(&reading.value[0].sitter));
        prop_assert!(title.starts_with(&read), "{read} instead of {title}");
        prop_assert!(read == title || reading.value[0].sitter.chars().count() >= 199);
    }
}

#[test]
fn a_name_in_two_scripts_does_not_stop_the_writer() {
    for wide in ["é", "Ж", "王", "👩"] {
        for count in 60..140 {
            for narrow in ["a ", " a"] {
                let text = format!("{}{}", wide.repeat(count), narrow.repeat(60));
                let session =
                    Session { sitter: text.clone(), id: text.clone(), ..world::session() };
                is_well_formed(&feed(&session, world::after(), &text, &text)).unwrap();
            }
        }
    }
}
