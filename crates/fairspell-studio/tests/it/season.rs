use fairspell_studio::{
    StudioError,
    season::{EveningKind, Exception, Pattern, SeasonError, monday},
    studio::{Blackout, Day},
};
use jiff::civil::{Date, date};

use crate::world::studio;

fn exception(kind: EveningKind, rule: &str) -> Exception {
    Exception { name: "holidays".to_owned(), kind, rule: rule.to_owned() }
}

const YEAR: (Date, Date) = (date(1997, 1, 1), date(1998, 12, 31));

/// RFC 5545, section 3.8.5.3, its examples of 1997 with their hours left out.
#[test]
fn rules_have_the_dates_of_the_standards_own_examples() {
    let check = |rule: &str, expected: &[(i16, i8, i8)]| {
        let found = exception(EveningKind::Working, rule).dates(YEAR).unwrap();
        let expected: Vec<Date> = expected.iter().map(|(y, m, d)| date(*y, *m, *d)).collect();
        assert_eq!(found, expected, "{rule}");
    };
    // "Every other week on Tuesday and Thursday, for 8 occurrences"
    check(
        "DTSTART;VALUE=DATE:19970902\nRRULE:FREQ=WEEKLY;INTERVAL=2;COUNT=8;WKST=SU;BYDAY=TU,TH",
        &[
            (1997, 9, 2),
            (1997, 9, 4),
            (1997, 9, 16),
            (1997, 9, 18),
            (1997, 9, 30),
            (1997, 10, 2),
            (1997, 10, 14),
            (1997, 10, 16),
        ],
    );
    // "Monthly on the second-to-last Monday of the month for 6 months"
    check(
        "DTSTART;VALUE=DATE:19970922\nRRULE:FREQ=MONTHLY;COUNT=6;BYDAY=-2MO",
        &[
            (1997, 9, 22),
            (1997, 10, 20),
            (1997, 11, 17),
            (1997, 12, 22),
            (1998, 1, 19),
            (1998, 2, 16),
        ],
    );
    // "Every Friday the 13th, forever", with its EXDATE of the first day
    check(
        "DTSTART;VALUE=DATE:19970902\nEXDATE;VALUE=DATE:19970902\nRRULE:FREQ=MONTHLY;BYDAY=FR;BYMONTHDAY=13",
        &[(1998, 2, 13), (1998, 3, 13), (1998, 11, 13)],
    );
}

#[test]
fn the_never_dates_win_over_exceptions_and_exceptions_over_the_week() {
    let mut studio = studio();
    studio.week.working = vec![Day::Tuesday];
    studio.week.reserve = vec![Day::Sunday];
    studio.season.exceptions = vec![
        Exception::weekly(
            "summer",
            EveningKind::Working,
            &[Day::Wednesday],
            1,
            (date(2026, 11, 1), date(2026, 11, 30)),
        ),
        exception(EveningKind::Never, "DTSTART;VALUE=DATE:20261110\nRDATE;VALUE=DATE:20261110"),
    ];
    studio.blackouts = vec![Blackout {
        name: "exams".to_owned(),
        from: date(2026, 11, 16),
        to: date(2026, 11, 22),
    }];
    let pattern = Pattern::of(&studio, (date(2026, 11, 1), date(2026, 11, 30)));
    let of = |kind| {
        let days = pattern.evenings().filter(|(_, it)| *it == kind).map(|(day, _)| day.day());
        days.collect::<Vec<_>>()
    };
    assert_eq!(of(EveningKind::Working), [3, 4, 11, 24, 25]);
    assert_eq!(of(EveningKind::Reserve), [1, 8, 15, 29]);
    assert_eq!(pattern.kind(date(2026, 12, 1)), EveningKind::Never, "outside of it");
}

#[test]
fn rules_that_cannot_be_are_refused_by_name() {
    let check = |rule: &str, said: &str| {
        let mut studio = studio();
        studio.season.exceptions = vec![exception(EveningKind::Working, rule)];
        let error = studio.check(&[]).unwrap_err();
        assert!(matches!(error, StudioError::Season(_)), "{error:?}");
        let error = error.to_string();
        assert!(error.contains("holidays") && error.contains(said), "{error}");
    };
    check("every other Sunday", "every other Sunday");
    check("RRULE:FREQ=WEEKLY;BYDAY=TU", "start date");
    check("DTSTART:20261101T180000Z\nRRULE:FREQ=WEEKLY", "20261101T180000Z");
    check("DTSTART:20261101\nRRULE:FREQ=HOURLY", "HOURLY");
    check("DTSTART:20261101\nRRULE:FREQ=WEEKLY;BYHOUR=9", "BYHOUR");
    check("DTSTART:20261101\nRRULE:FREQ=WEEKLY;BYDAY=XX", "XX");
    check("DTEND:20261101", "DTEND");
    check("DTSTART:20261101\nRRULE:FREQ=DAILY;COUNT=1\nEXDATE:20261101", "no evening at all");
}

#[test]
fn a_rule_without_any_match_ends() {
    let never = exception(
        EveningKind::Working,
        "DTSTART:20260201\nRRULE:FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30\nEXDATE:20260201",
    );
    let always = (date(1900, 1, 1), date(2200, 1, 1));
    assert_eq!(never.dates(always), Ok(Vec::new()));
    let wrong = SeasonError::NoEvening("holidays".to_owned());
    assert_eq!(wrong.to_string(), "the exception `holidays` has no evening at all");
}

#[test]
fn a_week_begins_on_its_monday() {
    assert_eq!(monday(date(2026, 11, 29)), date(2026, 11, 23), "a Sunday");
    assert_eq!(monday(date(2026, 11, 23)), date(2026, 11, 23));
}
