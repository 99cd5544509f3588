use fairspell_calendar::{About, Booking, CalendarError, Origin, Remark, read_bookings};
use jiff::civil::date;

use crate::world;

fn read(list: &str) -> (Vec<Booking>, Vec<Remark>) {
    let reading = read_bookings(list.as_bytes(), &world::zone()).unwrap();
    (reading.value, reading.remarks)
}

/// The remark on the only row of a list with these columns.
fn about(heading: &str, row: &str) -> (usize, Vec<About>) {
    let (bookings, remarks) = read(&format!("{heading}\n{row}\n"));
    (bookings.len(), remarks.into_iter().map(|remark| remark.about).collect())
}

#[test]
fn every_column_is_read_in_any_order() {
    let (bookings, remarks) = read(
        "Phone;Looks;Start;Notes;Email;Deadline for;deadline;Minutes;Place;GUARDIAN;Sitter;date\n\
         +61 400 000 000;\"sage satin; denim\";15:15;x;ines@example.org;yearbook;2026-10-01;90;\
         Heron Walk;Ines;Maya;2026-09-03\n",
    );
    assert_eq!(remarks, []);
    let booking = &bookings[0];
    assert_eq!(booking.origin, Origin::Row(2));
    assert_eq!((booking.sitter.as_str(), booking.guardian.as_deref()), ("Maya", Some("Ines")));
    assert_eq!(booking.start, date(2026, 9, 3).at(15, 15, 0, 0));
    assert_eq!(booking.duration_min, Some(90));
    assert_eq!(booking.place.as_deref(), Some("Heron Walk"));
    assert_eq!(booking.email.as_deref(), Some("ines@example.org"));
    assert_eq!(booking.phone.as_deref(), Some("+61 400 000 000"));
    assert_eq!(booking.looks, ["sage satin", "denim"]);
    let deadline = booking.deadline.as_ref().unwrap();
    assert_eq!((deadline.name.as_str(), deadline.date), ("yearbook", date(2026, 10, 1)));
}

#[test]
fn a_row_that_cannot_be_used_does_not_lose_the_others() {
    let (bookings, remarks) = read(
        "name,date,start\n\
         Maya,2026-09-03,15:15\n\
         ,2026-09-04,15:15\n\
         Ruth,,15:15\n\
         \n\
         Tom,2026-09-05,\n\
         Una,04/05/2026,16:00\n\
         Vi,2026-09-31,16:00\n\
         Will,2026-09-06,teatime\n\
         Xan,2026-09-07\n\
         Yuki,2026-09-08,16:00,too,many,cells\n",
    );
    let names: Vec<_> = bookings.iter().map(|booking| booking.sitter.as_str()).collect();
    assert_eq!(names, ["Maya", "Yuki"]);
    let said: Vec<_> = remarks.iter().map(ToString::to_string).collect();
    assert_eq!(
        said,
        [
            "row 3, left out: there is no name",
            "row 4, left out: there is no date",
            "row 6, left out: there is no hour on 2026-09-05",
            "row 7, left out: `04/05/2026` can be read as two days, write it as year-month-day",
            "row 8, left out: cannot use `2026-09-31` as a date, write it as year-month-day",
            "row 9, left out: cannot use `teatime` as an hour, write it as 15:15",
            "row 10, left out: there is no hour on 2026-09-07",
        ]
    );
}

#[test]
fn rows_are_counted_as_a_spreadsheet_counts_them() {
    for end in ["\n", "\r\n", "\r"] {
        let list = "\nname,date,start\n\nMaya,2026-09-03,\"15:\n15\"\n\n\n,2026-09-03,15:15\n,2026-09-03,15:15"
            .replace('\n', end);
        let rows: Vec<_> = read(&list).1.into_iter().map(|remark| remark.origin).collect();
        assert_eq!(rows, [Origin::Row(4), Origin::Row(7), Origin::Row(8)], "{end:?}");
    }
}

/// Sydney's clocks go forward on 4 October 2026 at 2:00, and back on 5 April 2026 at 3:00.
#[test]
fn nobody_is_booked_into_an_hour_that_a_clock_change_skips_or_repeats() {
    let skipped = date(2026, 10, 4).at(2, 30, 0, 0);
    let repeated = date(2026, 4, 5).at(2, 30, 0, 0);
    assert_eq!(
        about("name,date,start", "Maya,2026-10-04,02:30"),
        (0, vec![About::HourSkipped(skipped)])
    );
    assert_eq!(
        about("name,date,start", "Maya,2026-04-05,02:30"),
        (0, vec![About::HourRepeated(repeated)])
    );
    assert_eq!(about("name,date,start", "Maya,2026-10-04,03:00"), (1, vec![]));
    assert_eq!(about("name,date,start", "Maya,2026-04-05,03:00"), (1, vec![]));
}

#[test]
fn a_formula_in_a_name_is_a_name() {
    for name in ["=HYPERLINK(\"\"http://example.org\"\")", "+1", "@x", "-2+3"] {
        let (bookings, remarks) = read(&format!("name,date,start\n\"{name}\",2026-09-03,15:15\n"));
        assert_eq!(bookings[0].sitter, name.replace("\"\"", "\""));
        assert_eq!(remarks, []);
    }
}

#[test]
fn names_in_any_script_stay_and_only_endless_ones_are_cut() {
    for name in world::NAMES.into_iter().map(str::to_owned).chain(["Ж".repeat(200)]) {
        let quoted = name.replace('"', "\"\"");
        let (bookings, remarks) = read(&format!("name,date,start\n\"{quoted}\",2026-09-03,15:15"));
        assert_eq!((bookings[0].sitter.as_str(), remarks.len()), (name.as_str(), 0));
    }
    let (bookings, remarks) =
        read(&format!("name,date,start\n{},2026-09-03,15:15", "王".repeat(201)));
    assert_eq!(bookings[0].sitter, "王".repeat(200));
    assert_eq!(remarks[0].about, About::Cut("王".repeat(20)));
}

#[test]
fn control_characters_and_turned_directions_are_dropped() {
    let list =
        "name,date,start\n\"\u{7}Ma\u{0}ya\u{1b}[31m\u{202e}\r\n \u{a0}Chen\",2026-09-03,15:15";
    let (bookings, _) = read(list);
    assert_eq!(bookings[0].sitter, "Maya[31m Chen");
}

#[test]
fn what_is_unusable_beside_the_date_is_left_out_alone() {
    let heading = "name,date,start,minutes,email,phone,deadline";
    for (cells, expected) in [
        ("0,,,", About::DurationUnusable("0".to_owned())),
        ("two hours,,,", About::DurationUnusable("two hours".to_owned())),
        ("-5,,,", About::DurationUnusable("-5".to_owned())),
        ("1441,,,", About::DurationUnusable("1441".to_owned())),
        (",ines at home,,", About::EmailUnusable("ines at home".to_owned())),
        (",a@b@c,,", About::EmailUnusable("a@b@c".to_owned())),
        (",,call me,", About::PhoneUnusable("call me".to_owned())),
        (",,,04/05/2026", About::DeadlineUnusable("04/05/2026".to_owned())),
    ] {
        assert_eq!(about(heading, &format!("Maya,2026-09-03,15:15,{cells}")), (1, vec![expected]));
    }
}

#[test]
fn a_list_without_its_columns_says_which_it_needs() {
    let result = read_bookings(b"first,last\nMaya,Chen\n", &world::zone());
    assert_eq!(result, Err(CalendarError::Columns { found: "first, last".to_owned() }));
}

#[test]
fn a_quotation_mark_left_open_is_told_with_its_row() {
    let (bookings, remarks) = read(
        "name,date,start\nMaya,2026-09-03,15:15\n\"Ruth,2026-09-04,15:15\nTom,2026-09-05,15:15\n",
    );
    assert_eq!(bookings.len(), 1);
    assert_eq!(remarks, [Remark { origin: Origin::Row(3), about: About::QuoteLeftOpen }]);
    for whole in ["\"Ma\"\"ya\",2026-09-03,\"15:15\"", "5'2\" Maya,2026-09-03,15:15\n"] {
        let (bookings, remarks) = read(&format!("name,date,start\n{whole}"));
        assert_eq!((bookings.len(), remarks.len()), (1, 0), "{whole}");
    }
}
