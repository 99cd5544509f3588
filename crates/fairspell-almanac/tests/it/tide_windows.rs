//! When a spot can be used.

use fairspell_almanac::tide::{Tide, TideLimits, TideSpan, TideTable};
use jiff::{SignedDuration, Timestamp};
use proptest::prelude::*;

use crate::tide::{constants, hours, tide, time};

fn one_wave() -> Tide {
    tide(&constants(&[("S2", 1.0, 0.0)]))
}

/// S2 is highest at midnight and noon in Greenwich; a third of its fall down, at 60°, after 2 h.
#[test]
fn windows_of_a_single_wave_are_known_by_hand() {
    let (from, to) = (time("2026-09-03T00:00Z"), time("2026-09-04T00:00Z"));
    let span = |from: &str, to: &str| TideSpan { from: time(from), to: time(to) };
    assert_eq!(
        one_wave().spans_below(1.5, from, to),
        [
            span("2026-09-03T02:00Z", "2026-09-03T10:00Z"),
            span("2026-09-03T14:00Z", "2026-09-03T22:00Z"),
        ]
    );
    assert_eq!(
        one_wave().spans_above(1.5, from, to),
        [
            span("2026-09-03T00:00Z", "2026-09-03T02:00Z"),
            span("2026-09-03T10:00Z", "2026-09-03T14:00Z"),
            span("2026-09-03T22:00Z", "2026-09-04T00:00Z"),
        ]
    );
    let between = TideLimits { usable_from_m: Some(0.5), usable_to_m: Some(1.5) };
    let spans = one_wave().usable(between, from, time("2026-09-03T12:00Z"));
    assert_eq!(
        spans,
        [
            span("2026-09-03T02:00Z", "2026-09-03T04:00Z"),
            span("2026-09-03T08:00Z", "2026-09-03T10:00Z"),
        ]
    );
}

#[test]
fn a_limit_out_of_reach_is_all_or_nothing() {
    let (from, to) = (time("2026-09-03T01:00Z"), time("2026-09-13T00:00Z"));
    assert_eq!(one_wave().spans_below(2.5, from, to), [TideSpan { from, to }]);
    assert_eq!(one_wave().spans_above(2.5, from, to), []);
    assert_eq!(one_wave().usable(TideLimits::default(), from, to), [TideSpan { from, to }]);
    assert_eq!(one_wave().spans_below(1.0, to, from), []);
    // Not a number is no permission.
    assert_eq!(one_wave().spans_below(f64::NAN, from, to), []);
}

/// Ends that fall between two seconds, right beside a turn, stay the ends.
#[test]
fn windows_do_not_reach_beyond_what_was_asked() {
    let moment = time("2026-09-03T00:00Z");
    for ms in [-700, -400, -1, 1, 400, 700] {
        let from = moment + SignedDuration::from_millis(ms);
        let to = from + SignedDuration::from_hours(12);
        assert_eq!(one_wave().spans_below(2.5, from, to), [TideSpan { from, to }]);
    }
}

#[test]
fn outside_a_table_no_spot_is_usable() {
    let rows = [(time("2026-09-03T06:00Z"), 0.4), (time("2026-09-03T12:00Z"), 2.4)];
    let tide = Tide::Table(TideTable::new(&rows).unwrap());
    let (from, to) = (time("2026-09-03T00:00Z"), time("2026-09-04T00:00Z"));
    let known = TideSpan { from: rows[0].0, to: rows[1].0 };
    assert_eq!(tide.known(from, to), Some(known));
    assert_eq!(tide.usable(TideLimits::default(), from, to), [known]);
    assert_eq!(tide.usable(TideLimits::default(), from, rows[0].0), []);
    assert_eq!(tide.known(rows[1].0, to), None);
}

fn any_tide() -> impl Strategy<Value = Tide> {
    let harmonic = proptest::collection::vec((0.0..1.0, -180.0..180.0), 5).prop_map(|waves| {
        let names = ["M2", "K1", "O1", "M4", "M6"];
        let waves: Vec<(&str, f64, f64)> =
            names.iter().zip(waves).map(|(name, wave)| (*name, wave.0, wave.1)).collect();
        tide(&constants(&waves))
    });
    let table = proptest::collection::vec(0.1..2.0, 30..40).prop_map(|heights_m| {
        let row = |(index, height_m): (usize, f64)| {
            let at = hours(time("2026-08-31T22:00Z"), 6 * i64::try_from(index).unwrap());
            (at, if index % 2 == 0 { 1.0 - height_m } else { 1.0 + height_m })
        };
        let rows: Vec<(Timestamp, f64)> = heights_m.into_iter().enumerate().map(row).collect();
        Tide::Table(TideTable::new(&rows).unwrap())
    });
    prop_oneof![harmonic, table]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// What is not below is above: together they leave no gap and overlap nowhere, and each minute
    /// is where a slow look puts it (but for the seconds about a crossing).
    #[test]
    fn windows_above_and_below_tile_the_time(
        tide in any_tide(),
        limit_m in -0.5..2.5,
        start_min in 0_i64..3000,
        length_min in 1_i64..6000,
    ) {
        let from = time("2026-09-01T00:00Z") + SignedDuration::from_mins(start_min);
        let to = from + SignedDuration::from_mins(length_min);
        let (below, above) = (tide.spans_below(limit_m, from, to), tide.spans_above(limit_m, from, to));
        let mut all: Vec<TideSpan> = below.iter().chain(&above).copied().collect();
        all.sort_by_key(|span| span.from);
        prop_assert_eq!(all.first().map(|span| span.from), Some(from));
        prop_assert_eq!(all.last().map(|span| span.to), Some(to));
        for pair in all.windows(2) {
            prop_assert_eq!(pair[0].to, pair[1].from);
        }
        for minute in 0..length_min {
            let at = from + SignedDuration::from_mins(minute);
            let height_m = tide.height_m(at).unwrap();
            // Within a second the water moves less than 2 mm here; two turns within five minutes
            // that both are missed lie within 1 cm.
            if (height_m - limit_m).abs() > 0.01 {
                let inside = below.iter().any(|span| span.from <= at && at <= span.to);
                prop_assert_eq!(inside, height_m < limit_m, "{} {}", at, height_m);
            }
        }
    }
}
