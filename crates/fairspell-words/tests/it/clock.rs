use fairspell_studio::Span;
use fairspell_words::clock::{age, as_of, clock, hours, moment};
use jiff::{Timestamp, tz::TimeZone};

use crate::world::{at, zone};

#[test]
fn a_moment_reads_as_the_wall_clock_on_both_sides_of_a_clock_change() {
    // New South Wales puts clocks forward on Sun 4 Oct 2026, at 02:00 (IANA time zone database).
    let before: Timestamp = "2026-10-03T15:59:00Z".parse().unwrap();
    let after: Timestamp = "2026-10-03T16:00:00Z".parse().unwrap();
    assert_eq!(moment(before, &zone()), "Sun 4 Oct, 01:59");
    assert_eq!(moment(after, &zone()), "Sun 4 Oct, 03:00");
    assert_eq!(clock(after, &TimeZone::UTC), "16:00");
}

#[test]
fn hours_name_the_second_day_only_when_it_is_another() {
    let span = |from: &str, to: &str| Span { from: at(from), to: at(to) };
    assert_eq!(
        hours(span("2026-09-03 15:15", "2026-09-03 17:05"), &zone()),
        "Thu 3 Sep, 15:15 to 17:05"
    );
    assert_eq!(
        hours(span("2026-09-03 22:00", "2026-09-04 02:00"), &zone()),
        "Thu 3 Sep, 22:00 to Fri 4 Sep, 02:00"
    );
}

#[test]
fn ages_round_down_and_say_their_day_when_it_is_not_today() {
    let now = at("2026-09-03 14:30");
    for (issued, said) in [
        ("2026-09-03 14:30", "less than a minute old"),
        ("2026-09-03 14:29", "1 minute old"),
        ("2026-09-03 12:31", "119 minutes old"),
        ("2026-09-03 12:30", "2 hours old"),
        ("2026-09-01 14:31", "47 hours old"),
        ("2026-09-01 14:30", "2 days old"),
        ("2026-09-03 14:31", "dated later than now"),
    ] {
        assert_eq!(age(at(issued), now), said, "{issued}");
    }
    assert_eq!(as_of(at("2026-09-03 14:26"), now, &zone()), "as of 14:26");
    assert_eq!(as_of(at("2026-09-02 23:50"), now, &zone()), "as of Wed 2 Sep, 23:50");
}
