use fairspell_calendar::{About, Booking, Origin, Remark, read_bookings};
use fairspell_ground::LatLon;
use jiff::{civil::date, tz::TimeZone};

use crate::world;

const SECTION_3_4: &str = include_str!("../reference/rfc5545_section_3_4.ics");
const SECTION_3_6_1: &str = include_str!("../reference/rfc5545_section_3_6_1.ics");
const SECTION_4: &str = include_str!("../reference/rfc5545_section_4.ics");

fn read_in(zone: &TimeZone, calendar: &str) -> (Vec<Booking>, Vec<Remark>) {
    let reading = read_bookings(calendar.as_bytes(), zone).unwrap();
    (reading.value, reading.remarks)
}

/// One event of these lines, read where the clock is New York's, as in most of the RFC's examples.
fn event(lines: &str) -> (Vec<Booking>, Vec<About>) {
    let calendar = format!(
        "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nBEGIN:VEVENT\r\n{lines}\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"
    );
    let (bookings, remarks) = read_in(&new_york(), &calendar);
    (bookings, remarks.into_iter().map(|remark| remark.about).collect())
}

fn new_york() -> TimeZone {
    TimeZone::get("America/New_York").unwrap()
}

#[test]
fn the_standards_first_example_is_read_section_3_4() {
    let (bookings, remarks) = read_in(&TimeZone::UTC, SECTION_3_4);
    assert_eq!(remarks, []);
    assert_eq!(bookings[0].sitter, "Bastille Day Party");
    assert_eq!(bookings[0].start, date(1997, 7, 14).at(17, 0, 0, 0));
    assert_eq!(bookings[0].duration_min, Some(11 * 60));
    let uid = Some("19970610T172345Z-AF23B2@example.com".to_owned());
    assert_eq!(bookings[0].origin, Origin::Event { number: 1, uid });
}

/// In Sydney it is 2:30 on the next morning when it is 16:30 in UTC: on both days its clocks are ten
/// hours ahead (daylight saving time ended there on 30 March 1997).
#[test]
fn hours_in_utc_are_shown_on_the_studios_clock_section_3_6_1() {
    let (bookings, remarks) = read_in(&world::zone(), SECTION_3_6_1);
    let starts: Vec<_> =
        bookings.iter().map(|booking| (booking.start, booking.duration_min)).collect();
    assert_eq!(
        starts,
        [
            (date(1997, 9, 4).at(2, 30, 0, 0), Some(150)),
            (date(1997, 4, 2).at(2, 30, 0, 0), Some(510)),
        ]
    );
    let about: Vec<_> = remarks.into_iter().map(|remark| remark.about).collect();
    assert_eq!(about, [About::NoHour(date(1997, 11, 2)), About::NoHour(date(2007, 6, 28))]);
}

#[test]
fn the_standards_whole_calendars_are_read_section_4() {
    let (bookings, remarks) = read_in(&new_york(), SECTION_4);
    assert_eq!(bookings.len(), 2, "the to-do is no booking");
    assert_eq!(bookings[0].sitter, "Networld+Interop Conference");
    assert_eq!(bookings[0].start, date(1996, 9, 18).at(10, 30, 0, 0));
    assert_eq!(bookings[0].email.as_deref(), Some("jsmith@example.com"));
    // Two days and seven and a half hours are no session.
    assert_eq!(bookings[0].duration_min, None);
    assert_eq!(remarks[0].about, About::DurationUnusable("19960920T220000Z".to_owned()));
    assert_eq!(bookings[1].sitter, "XYZ Project Review");
    assert_eq!(bookings[1].start, date(1998, 3, 12).at(8, 30, 0, 0));
    assert_eq!(bookings[1].duration_min, Some(60));
    assert_eq!(bookings[1].place.as_deref(), Some("1CP Conference Room 4350"));
    assert_eq!(bookings[1].email.as_deref(), Some("employee-A@example.com"));
}

/// The example of section 3.1: a description on one line and on three.
#[test]
fn folded_lines_are_joined_section_3_1() {
    let plain = "DTSTART:20260903T051500Z\r\nSUMMARY:This is a long description that exists on a long line.";
    let folded = "DTSTART:20260903T051500Z\r\nSUMMARY:This is a lo\r\n ng description\r\n  that exists on a long line.";
    assert_eq!(event(plain), event(folded));
    assert_eq!(event(&folded.replace("\r\n", "\n")), event(plain));
    assert_eq!(event(&folded.replace("\r\n ", "\r\n\t")), event(plain));
}

#[test]
fn a_line_folded_in_the_middle_of_a_character_is_joined_before_it_is_read() {
    let calendar = b"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nDTSTART:20260903T051500Z\r\nSUMMARY:Zo\xc3\r\n \xab\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n";
    let reading = read_bookings(calendar, &world::zone()).unwrap();
    assert_eq!(reading.value[0].sitter, "Zoë");
}

/// Forms 1 to 3 of section 3.3.5, and its two hours that a clock change repeats and skips.
#[test]
fn hours_are_read_by_the_clock_they_name_section_3_3_5() {
    let start = |property: &str| event(&format!("SUMMARY:x\r\nDTSTART{property}")).0[0].start;
    assert_eq!(start(":19980118T230000"), date(1998, 1, 18).at(23, 0, 0, 0));
    assert_eq!(start(":19980119T070000Z"), date(1998, 1, 19).at(2, 0, 0, 0));
    assert_eq!(start(";TZID=America/New_York:19980119T020000"), date(1998, 1, 19).at(2, 0, 0, 0));
    let lost = |property: &str| event(&format!("SUMMARY:x\r\nDTSTART{property}")).1;
    assert_eq!(
        lost(";TZID=America/New_York:20071104T013000"),
        [About::HourRepeated(date(2007, 11, 4).at(1, 30, 0, 0))]
    );
    assert_eq!(
        lost(";TZID=America/New_York:20070311T023000"),
        [About::HourSkipped(date(2007, 3, 11).at(2, 30, 0, 0))]
    );
    // A moment in UTC that falls into the repeated hour of the studio's own clock.
    assert_eq!(lost(":20071104T053000Z"), [About::HourRepeated(date(2007, 11, 4).at(1, 30, 0, 0))]);
}

/// The examples of section 3.3.6, of 3.8.2.5, and what is none.
#[test]
fn durations_are_read_section_3_3_6() {
    let duration = |text: &str| {
        let (bookings, about) =
            event(&format!("SUMMARY:x\r\nDTSTART:20260903T051500Z\r\nDURATION:{text}"));
        (bookings[0].duration_min, about.len())
    };
    assert_eq!(duration("PT1H0M0S"), (Some(60), 0));
    assert_eq!(duration("PT15M"), (Some(15), 0));
    assert_eq!(duration("P1D"), (Some(1440), 0));
    for longer_than_a_day in ["P15DT5H0M20S", "P7W"] {
        assert_eq!(duration(longer_than_a_day), (None, 1));
    }
    for none in ["PT0S", "-PT15M", "P", "1H", "PT1", "P1H", "PT99999999999999999999H"] {
        assert_eq!(duration(none), (None, 1), "{none}");
    }
}

/// Sections 3.3.11, 3.8.1.6 and 3.8.1.7.
#[test]
fn texts_and_positions_lose_their_escapes() {
    let (bookings, about) = event(
        "DTSTART:20260903T051500Z\r\n\
         SUMMARY:Project XYZ Final Review\\nConference Room - 3B\\nCome Prepared.\r\n\
         LOCATION:Conference Room - F123\\, Bldg. 002\r\n\
         GEO:37.386013;-122.082932",
    );
    assert_eq!(about, []);
    assert_eq!(bookings[0].sitter, "Project XYZ Final Review Conference Room - 3B Come Prepared.");
    assert_eq!(bookings[0].place.as_deref(), Some("Conference Room - F123, Bldg. 002"));
    assert_eq!(bookings[0].position, LatLon::new(37.386013, -122.082932).ok());
    let (bookings, about) = event("DTSTART:20260903T051500Z\r\nSUMMARY:x\r\nGEO:152.78;-31.72");
    assert_eq!(bookings[0].position, None);
    assert_eq!(about, [About::PositionUnusable("152.78;-31.72".to_owned())]);
}

/// Sections 3.8.4.1 and 3.2.2, and section 3.2 of RFC 6868.
#[test]
fn the_first_attendee_is_written_to() {
    let (bookings, _) = event(
        "DTSTART:20260903T051500Z\r\nSUMMARY:Maya\r\n\
         ORGANIZER;CN=\"John Smith\":mailto:jsmith@example.com\r\n\
         ATTENDEE;ROLE=REQ-PARTICIPANT;PARTSTAT=TENTATIVE;CN=Henry Cabot:\r\n mailto:hcabot@example.com\r\n\
         ATTENDEE;ROLE=REQ-PARTICIPANT;CN=Jane Doe:mailto:jdoe@example.com",
    );
    assert_eq!(bookings[0].guardian.as_deref(), Some("Henry Cabot"));
    assert_eq!(bookings[0].email.as_deref(), Some("hcabot@example.com"));
    let (bookings, _) = event(
        "DTSTART:20260903T051500Z\r\n\
         ATTENDEE;CN=George Herman ^'Babe^' Ruth:mailto:babe@example.com",
    );
    assert_eq!(bookings[0].sitter, "George Herman \"Babe\" Ruth");
    assert_eq!(bookings[0].guardian, None);
    let (bookings, _) = event(
        "DTSTART:20260903T051500Z\r\nSUMMARY:Maya\r\nORGANIZER:mailto:ada@example.org\r\n\
         ATTENDEE;CN=Ada:MAILTO:ada@example.org\r\n\
         ATTENDEE;CUTYPE=ROOM;CN=Studio:mailto:room@example.org\r\n\
         ATTENDEE;CN=Ines:mailto:ines@example.org",
    );
    assert_eq!(bookings[0].guardian.as_deref(), Some("Ines"), "neither herself nor a room");
    let (bookings, _) = event(
        "DTSTART:20260903T051500Z\r\nSUMMARY:Maya\r\nORGANIZER;CN=\"a;b:c\":MAILTO:a@example.com",
    );
    assert_eq!(bookings[0].guardian.as_deref(), Some("a;b:c"));
    assert_eq!(bookings[0].email.as_deref(), Some("a@example.com"));
}

#[test]
fn what_is_called_off_is_left_out_and_what_repeats_is_taken_once() {
    let (bookings, about) = event("DTSTART:20260903T051500Z\r\nSUMMARY:Maya\r\nSTATUS:CANCELLED");
    assert_eq!((bookings.len(), about), (0, vec![About::CalledOff]));
    let calendar = SECTION_3_4.replace("VERSION", "METHOD:CANCEL\r\nVERSION");
    assert_eq!(read_in(&TimeZone::UTC, &calendar).1[0].about, About::CalledOff);
    let (bookings, about) =
        event("DTSTART:20260903T051500Z\r\nSUMMARY:Maya\r\nRRULE:FREQ=WEEKLY;COUNT=3");
    assert_eq!((bookings.len(), about), (1, vec![About::Repeats]));
}

/// The time zone of section 3.6.5 (New York since 2007) under a name that no database has.
#[test]
fn a_zone_is_read_as_its_file_explains_it_section_3_6_5() {
    let explained = |start: &str| {
        format!(
            "BEGIN:VCALENDAR\r\nBEGIN:VTIMEZONE\r\nTZID:Eastern Standard Time\r\n\
             BEGIN:STANDARD\r\nDTSTART:20071104T020000\r\nRRULE:FREQ=YEARLY;BYDAY=1SU;BYMONTH=11\r\n\
             TZOFFSETFROM:-0400\r\nTZOFFSETTO:-0500\r\nTZNAME:EST\r\nEND:STANDARD\r\n\
             BEGIN:DAYLIGHT\r\nDTSTART:20070311T020000\r\nRRULE:FREQ=YEARLY;BYDAY=2SU;BYMONTH=3\r\n\
             TZOFFSETFROM:-0500\r\nTZOFFSETTO:-0400\r\nTZNAME:EDT\r\nEND:DAYLIGHT\r\nEND:VTIMEZONE\r\n\
             BEGIN:VEVENT\r\nSUMMARY:x\r\nDTSTART;TZID=Eastern Standard Time:{start}\r\nEND:VEVENT\r\n\
             END:VCALENDAR\r\n"
        )
    };
    for start in ["20260903T151500", "20260115T151500", "20260308T030000", "20261101T020000"] {
        let by_name =
            explained(start).replace("TZID=Eastern Standard Time", "TZID=America/New_York");
        let (bookings, remarks) = read_in(&world::zone(), &explained(start));
        assert_eq!((bookings.len(), remarks.len()), (1, 0), "{start}");
        assert_eq!(bookings[0].start, read_in(&world::zone(), &by_name).0[0].start, "{start}");
    }
    let (bookings, remarks) = read_in(&world::zone(), &explained("20260308T023000"));
    assert_eq!(bookings, []);
    assert_eq!(remarks[0].about, About::HourSkipped(date(2026, 3, 8).at(2, 30, 0, 0)));
}

/// "The second Sunday" may be written as "the Sunday from the 8th to the 14th". Chile's clocks
/// changed on the first Sunday from the 9th on (tz database, rule Chile, 1972-2010): no week of a
/// month begins there, so it is asked about rather than read as a week earlier.
#[test]
fn a_week_written_as_days_of_the_month_is_read_only_where_it_is_one() {
    let explained = |days: &str| {
        format!(
            "BEGIN:VCALENDAR\r\nBEGIN:VTIMEZONE\r\nTZID:Explained\r\n\
             BEGIN:STANDARD\r\nDTSTART:20071104T020000\r\nTZOFFSETFROM:-0400\r\n\
             RRULE:FREQ=YEARLY;BYMONTHDAY=1,2,3,4,5,6,7;BYDAY=SU;BYMONTH=11\r\n\
             TZOFFSETTO:-0500\r\nEND:STANDARD\r\n\
             BEGIN:DAYLIGHT\r\nDTSTART:20070311T020000\r\nTZOFFSETFROM:-0500\r\n\
             RRULE:FREQ=YEARLY;BYMONTHDAY={days};BYDAY=SU;BYMONTH=3\r\n\
             TZOFFSETTO:-0400\r\nEND:DAYLIGHT\r\nEND:VTIMEZONE\r\n\
             BEGIN:VEVENT\r\nSUMMARY:x\r\nDTSTART;TZID=Explained:20260312T151500\r\nEND:VEVENT\r\n\
             END:VCALENDAR\r\n"
        )
    };
    let (bookings, _) = read_in(&world::zone(), &explained("8,9,10,11,12,13,14"));
    let in_new_york = explained("8").replace("TZID=Explained", "TZID=America/New_York");
    assert_eq!(bookings[0].start, read_in(&world::zone(), &in_new_york).0[0].start);
    for days in ["9,10,11,12,13,14,15", "8", "8,10,12", ""] {
        let (bookings, remarks) = read_in(&world::zone(), &explained(days));
        assert_eq!(bookings, [], "{days}");
        assert_eq!(remarks[0].about, About::ZoneUnknown("Explained".to_owned()), "{days}");
    }
}

#[test]
fn a_zone_that_nobody_explains_is_asked_about() {
    let (bookings, about) = event("SUMMARY:x\r\nDTSTART;TZID=Mars/Olympus:20260903T151500");
    assert_eq!((bookings.len(), about), (0, vec![About::ZoneUnknown("Mars/Olympus".to_owned())]));
    let (bookings, _) =
        event("SUMMARY:x\r\nDTSTART;TZID=/example.org/20260101/America/New_York:20260903T151500");
    assert_eq!(bookings[0].start, date(2026, 9, 3).at(15, 15, 0, 0));
}

#[test]
fn a_file_that_ends_too_early_keeps_its_whole_events() {
    let whole = SECTION_3_4.replace("END:VCALENDAR\r\n", "");
    let broken = format!("{whole}BEGIN:VEVENT\r\nSUMMARY:Maya\r\nDTSTART:20260903T0515");
    let (bookings, remarks) = read_in(&TimeZone::UTC, &broken);
    assert_eq!(bookings.len(), 1);
    assert_eq!(remarks[0].about, About::CutShort);
    assert_eq!(remarks[0].to_string(), "event 2, left out: the file ends in the middle of it");
}
