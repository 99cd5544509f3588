use fairspell_calendar::{read_bookings, session_invitation};
use fairspell_studio::{Session, Studio};
use fairspell_words::avoided_words;
use jiff::civil::date;

use crate::world;

fn invitation(studio: &Studio, reply_to: Option<&str>) -> String {
    session_invitation(studio, &world::zone(), &world::session(), reply_to, world::now()).unwrap()
}

#[test]
fn the_familys_copy_has_place_and_time_and_nothing_of_the_weather() {
    let calendar = invitation(&world::studio(), None);
    let reading = read_bookings(calendar.as_bytes(), &world::zone()).unwrap();
    assert_eq!((reading.value.len(), reading.remarks.len()), (1, 0));
    assert_eq!(reading.value[0].start, world::session().start);
    assert_eq!(reading.value[0].duration_min, Some(110));
    assert_eq!(reading.value[0].sitter, "Portraits with Ada Fields");
    let plain = calendar.replace("\r\n ", "");
    assert!(plain.contains("METHOD:PUBLISH\r\n"));
    assert!(plain.contains(
        "DESCRIPTION:Portraits of Maya. We meet at Heron Walk\\, north\\; gate on Thu 3 Sep\\, 15:15."
    ));
    assert!(!plain.contains('%') && !plain.contains("VALARM"));
    assert_eq!(avoided_words(&plain), ["trigger"; 0]);
}

/// RFC 5546, section 3.2.1: ORGANIZER is there once, ATTENDEE never.
#[test]
fn a_published_event_names_its_organizer_and_nobody_else() {
    let with = invitation(&world::studio(), Some("ada@example.org")).replace("\r\n ", "");
    assert!(with.contains("ORGANIZER;CN=\"Ada Fields\":mailto:ada@example.org\r\n"));
    let studio = Studio { owner: "Ada \"A\" Fields; x:y".to_owned(), ..world::studio() };
    let without = invitation(&studio, None).replace("\r\n ", "");
    assert!(without.contains("ORGANIZER;CN=\"Ada 'A' Fields; x:y\":invalid:nomail\r\n"));
    assert!(!with.contains("ATTENDEE"));
}

#[test]
fn nobody_is_invited_to_an_hour_that_does_not_exist() {
    let session = Session { start: date(2026, 10, 4).at(2, 30, 0, 0), ..world::session() };
    let result = session_invitation(&world::studio(), &world::zone(), &session, None, world::now());
    assert!(result.is_err());
}
