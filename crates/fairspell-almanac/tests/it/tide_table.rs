//! Printed tables of high and low waters.

use fairspell_almanac::tide::{Tide, TideError, TideKind, TideTable};
use jiff::{
    SignedDuration, Timestamp,
    tz::{TimeZone, offset},
};
use proptest::prelude::*;

use crate::{
    tide::{hours, time},
    zone,
};

fn table(rows: &[(&str, f64)]) -> Result<TideTable, TideError> {
    let rows: Vec<(Timestamp, f64)> = rows.iter().map(|row| (time(row.0), row.1)).collect();
    TideTable::new(&rows)
}

/// Worked by hand: a third of the way from 0.40 m to 2.40 m is 1.40 - cos 60° = 0.90 m.
#[test]
fn between_rows_the_water_follows_half_a_cosine() {
    let table = table(&[
        ("2026-09-03T06:00Z", 0.4),
        ("2026-09-03T12:00Z", 2.4),
        ("2026-09-03T18:00Z", 0.6),
    ])
    .unwrap();
    for (at, height_m) in [
        ("2026-09-03T06:00Z", 0.4),
        ("2026-09-03T08:00Z", 0.9),
        ("2026-09-03T09:00Z", 1.4),
        ("2026-09-03T10:00Z", 1.9),
        ("2026-09-03T12:00Z", 2.4),
        ("2026-09-03T15:00Z", 1.5),
        ("2026-09-03T18:00Z", 0.6),
    ] {
        assert!((table.height_m(time(at)).unwrap() - height_m).abs() < 1e-9, "{at}");
    }
    let second = SignedDuration::from_secs(1);
    assert_eq!(table.height_m(time("2026-09-03T06:00Z") - second), None);
    assert_eq!(table.height_m(time("2026-09-03T18:00Z") + second), None);
}

#[test]
fn a_table_is_read_by_its_own_offset_or_by_the_zone_given() {
    let summer = zone("Australia/Sydney");
    let local = "\u{feff}time,height_m\r\n2026-10-03 23:00, 0.50\r\n2026-10-04T05:30,1.5\r\n";
    let read = TideTable::from_csv(local, Some(&summer)).unwrap();
    // The clocks went forward between the two.
    let apart = read.rows()[1].time.duration_since(read.rows()[0].time);
    assert_eq!(apart, SignedDuration::from_mins(5 * 60 + 30));
    assert_eq!((read.rows()[0].kind, read.rows()[1].kind), (TideKind::Low, TideKind::High));

    let standard = TimeZone::fixed(offset(10));
    let read = TideTable::from_csv(local, Some(&standard)).unwrap();
    assert_eq!(read.rows()[1].time, time("2026-10-04T05:30:00+10:00"));

    // An offset in the file goes before the zone.
    let exact = "time,height_m\n2026-10-03T23:00+02:00,0.5\n2026-10-04T05:30+02:00,1.5\n";
    let read = TideTable::from_csv(exact, Some(&summer)).unwrap();
    assert_eq!(read.rows()[0].time, time("2026-10-03T21:00Z"));
}

#[test]
fn what_is_wrong_with_a_table_is_named() {
    let (a, b, c, d) =
        ("2026-09-03T00:00Z", "2026-09-03T06:00Z", "2026-09-03T12:00Z", "2026-09-03T18:00Z");
    assert_eq!(table(&[]), Err(TideError::TooShort(0)));
    assert_eq!(table(&[(a, 1.0)]), Err(TideError::TooShort(1)));
    assert_eq!(table(&[(b, 1.0), (a, 2.0)]), Err(TideError::OutOfOrder { time: time(a) }));
    assert_eq!(table(&[(a, 1.0), (a, 2.0)]), Err(TideError::EqualTimes { time: time(a) }));
    let two_highs = table(&[(a, 1.0), (b, 2.0), (c, 2.2), (d, 0.5)]);
    assert_eq!(two_highs, Err(TideError::NotAlternating { time: time(c), height_m: 2.2 }));
    let level = table(&[(a, 1.0), (b, 1.0)]);
    assert_eq!(level, Err(TideError::NotAlternating { time: time(b), height_m: 1.0 }));
    let hole = table(&[(a, 1.0), ("2026-09-05T06:00Z", 2.0)]);
    assert_eq!(hole, Err(TideError::Hole { time: time("2026-09-05T06:00Z"), hours: 54 }));
    assert!(matches!(table(&[(a, 1.0), (b, f64::NAN)]), Err(TideError::HeightAt { .. })));

    let read = |rows: &str, zone: Option<&TimeZone>| {
        TideTable::from_csv(&format!("time,height_m\n{rows}"), zone).unwrap_err()
    };
    assert!(matches!(read("2026-09-03 06:00,1\n", None), TideError::Time { line: 2, .. }));
    assert!(matches!(read("tomorrow,1\n", None), TideError::Time { line: 2, .. }));
    let sydney = zone("Australia/Sydney");
    let skipped = read("2026-10-03 20:00,1\n2026-10-04 02:30,2\n", Some(&sydney));
    assert!(matches!(skipped, TideError::Time { line: 3, .. }), "{skipped}");
    let twice = read("2026-04-05 02:30,1\n", Some(&sydney));
    assert!(matches!(twice, TideError::Time { line: 2, .. }), "{twice}");
    assert!(matches!(read("2026-09-03T06:00Z,high\n", None), TideError::Height { line: 2, .. }));
    assert!(matches!(read("2026-09-03T06:00Z,nan\n", None), TideError::Height { line: 2, .. }));
    assert!(matches!(read("2026-09-03T06:00Z\n", None), TideError::Csv { line: 2, .. }));
    let other = TideTable::from_csv("date,level\n", None).unwrap_err();
    assert!(matches!(other, TideError::Csv { line: 1, .. }));
}

fn any_rows() -> impl Strategy<Value = Vec<(Timestamp, f64)>> {
    proptest::collection::vec((1_i64..29 * 60, 0.01..4.0), 2..20).prop_map(
        |steps: Vec<(i64, f64)>| {
            let mut at = time("2026-09-01T00:00Z");
            let mut rows = Vec::new();
            for (index, (minutes, rise_m)) in steps.into_iter().enumerate() {
                at += SignedDuration::from_mins(minutes);
                rows.push((at, if index % 2 == 0 { -rise_m } else { rise_m }));
            }
            rows
        },
    )
}

proptest! {
    #[test]
    fn the_curve_goes_through_every_row_and_stays_between_neighbours(rows in any_rows()) {
        let tide = Tide::Table(TideTable::new(&rows).unwrap());
        for pair in rows.windows(2) {
            let ((before, before_m), (after, after_m)) = (pair[0], pair[1]);
            prop_assert_eq!(tide.height_m(before), Some(before_m));
            prop_assert_eq!(tide.height_m(after), Some(after_m));
            let middle = before + after.duration_since(before) / 2;
            let middle_m = tide.height_m(middle).unwrap();
            prop_assert!(middle_m > before_m.min(after_m) && middle_m < before_m.max(after_m));
            let rising = tide.rate_m_h(middle).unwrap() > 0.0;
            prop_assert_eq!(rising, after_m > before_m);
        }
        let (first, last) = (rows[0].0, rows[rows.len() - 1].0);
        prop_assert_eq!(tide.extremes(first, last).len(), rows.len());
        let around = tide.heights_m(hours(first, -1), 1800, 3);
        prop_assert!(around[0].is_nan() && around[1].is_nan() && around[2].is_finite());
    }

    #[test]
    fn no_bytes_break_the_reader(text in "\\PC*", rows in "([0-9T:Z+,.\n -]{0,80})") {
        drop(TideTable::from_csv(&text, None));
        drop(TideTable::from_csv(&format!("time,height_m\n{rows}"), Some(&TimeZone::UTC)));
    }
}
