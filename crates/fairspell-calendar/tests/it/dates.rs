use fairspell_calendar::{
    About,
    dates::{read_date, read_hour},
};
use jiff::civil::{Date, date, time};
use proptest::prelude::*;

#[test]
fn a_day_that_can_only_be_read_in_one_way_is_read() {
    for text in [
        "2026-09-14",
        "2026/9/14",
        "2026.09.14",
        "14/09/2026",
        "9/14/2026",
        "14.9.2026",
        "14-9-2026",
        "14 Sep 2026",
        "14 Sept. 2026",
        "September 14, 2026",
        "14th September 2026",
        "Mon 14 Sep 2026",
        "monday, SEPTEMBER 14th 2026",
    ] {
        assert_eq!(read_date(text), Ok(date(2026, 9, 14)), "{text}");
    }
    assert_eq!(read_date("5/5/2026"), Ok(date(2026, 5, 5)), "both ways are the same day");
}

#[test]
fn a_day_that_can_be_read_in_two_ways_is_asked_about() {
    for text in ["04/05/2026", "3.9.2026", "3-9-2026", "14/9/26", "14 Sep 26", "Tue 14 Sep 2026"] {
        assert_eq!(read_date(text), Err(About::DateUnclear(text.to_owned())), "{text}");
    }
}

#[test]
fn what_is_no_day_is_not_made_one() {
    for text in [
        "",
        "soon",
        "2026-02-29",
        "31/4/2026",
        "2026-13-01",
        "14 Smarch 2026",
        "46279",
        "0226-09-14",
    ] {
        assert_eq!(read_date(text), Err(About::DateUnusable(text.to_owned())), "{text}");
    }
    assert_eq!(read_date("2028-02-29"), Ok(date(2028, 2, 29)), "a leap day");
}

#[test]
fn hours_are_read_as_people_write_them() {
    for (text, hour, minute) in [
        ("15:15", 15, 15),
        ("15:15:00", 15, 15),
        ("15.15", 15, 15),
        ("15h15", 15, 15),
        ("15h", 15, 0),
        ("3:15 pm", 15, 15),
        ("3 PM", 15, 0),
        ("12 am", 0, 0),
        ("12:30 p.m.", 12, 30),
        ("7:05", 7, 5),
    ] {
        assert_eq!(read_hour(text), Ok(time(hour, minute, 0, 0)), "{text}");
    }
    for text in
        ["", "15", "25:00", "15:60", "13 pm", "15:5", "15:15:30", "noon", "-1:00", "１５:15"]
    {
        assert_eq!(read_hour(text), Err(About::HourUnusable(text.to_owned())), "{text}");
    }
}

fn days() -> impl Strategy<Value = Date> {
    (2000_i16..2200, 1_i8..=12, 1_i8..=28).prop_map(|(year, month, day)| date(year, month, day))
}

proptest! {
    #[test]
    fn a_written_day_is_read_as_that_day_or_asked_about(day in days()) {
        prop_assert_eq!(read_date(&day.to_string()), Ok(day));
        prop_assert_eq!(read_date(&day.strftime("%A, %-d %B %Y").to_string()), Ok(day));
        for form in ["%d/%m/%Y", "%m/%d/%Y", "%-d.%-m.%Y"] {
            match read_date(&day.strftime(form).to_string()) {
                Ok(found) => prop_assert_eq!(found, day),
                Err(about) => prop_assert!(matches!(about, About::DateUnclear(_))),
            }
        }
    }

    #[test]
    fn any_text_is_a_day_or_a_remark(text in ".{0,40}") {
        let _ = (read_date(&text), read_hour(&text));
    }
}
