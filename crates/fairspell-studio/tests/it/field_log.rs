use std::collections::BTreeMap;

use fairspell_studio::{
    FieldEvent, FieldEventKind,
    field_event::{Refusal, Refused},
    field_log::{HandedIn, Merged, accept, digest, merge, standing},
};
use jiff::{SignedDuration, Timestamp};
use proptest::{collection::vec, prelude::*, sample::subsequence};
use serde_json::{Value, json};

use crate::world::at;

const FIVE: &str = "2026-09-03T05:00:00Z";

fn seconds(after_five: i64) -> Timestamp {
    at(FIVE) + SignedDuration::from_secs(after_five)
}

fn event(device: &str, n: u64, after_five_s: i64, kind: FieldEventKind) -> FieldEvent {
    FieldEvent::new(device, n, seconds(after_five_s), kind)
}

fn thunder(device: &str, n: u64, after_five_s: i64) -> FieldEvent {
    event(device, n, after_five_s, FieldEventKind::Thunder {})
}

fn undo(device: &str, n: u64, of: &str) -> FieldEvent {
    event(device, n, 1000, FieldEventKind::Undo { of: of.to_owned() })
}

fn ids<'a>(events: impl IntoIterator<Item = &'a FieldEvent>) -> Vec<&'a str> {
    events.into_iter().map(|event| event.id.as_str()).collect()
}

fn sent(events: &[FieldEvent]) -> Vec<Value> {
    events.iter().map(|event| serde_json::to_value(event).unwrap()).collect()
}

/// A session's events by two or three phones; a third of them undo another one.
fn log() -> impl Strategy<Value = Vec<FieldEvent>> {
    vec((0_usize..3, 0_i64..600, 0_usize..40, 0_u8..4), 0..40).prop_map(|taps| {
        let mut counts = BTreeMap::new();
        let count = taps.len();
        let tap = |(phone, time, other, kind): (usize, i64, usize, u8)| {
            let device = ["k3", "p8", "a1"][phone];
            let n = counts.entry(device).and_modify(|n| *n += 1).or_insert(1);
            let of = format!("{}-{}", ["k3", "p8", "a1"][other % 3], other % count.max(1));
            let kind = match kind {
                0 | 1 => FieldEventKind::Undo { of },
                2 => FieldEventKind::Thunder {},
                _ => FieldEventKind::Rain { class: u8::try_from(other % 4).unwrap() },
            };
            event(device, *n, time, kind)
        };
        taps.into_iter().map(tap).collect()
    })
}

/// Three parts of one log, which may overlap, each in an order of its own.
fn parts() -> impl Strategy<Value = [Vec<FieldEvent>; 3]> {
    log().prop_flat_map(|log| {
        let part = || {
            let log = log.clone();
            (0..=log.len()).prop_flat_map(move |size| subsequence(log.clone(), size)).prop_shuffle()
        };
        [part(), part(), part()]
    })
}

proptest! {
    #[test]
    fn whose_log_comes_first_does_not_matter([a, b, c] in parts()) {
        prop_assert_eq!(merge(&a, &b), merge(&b, &a));
        let left = merge(&merge(&a, &b).events, &c);
        let right = merge(&a, &merge(&b, &c).events);
        prop_assert_eq!(&left, &right);
        prop_assert_eq!(&merge(&left.events, &b), &left);
        prop_assert_eq!(&merge(&left.events, &left.events), &left);
        prop_assert!(left.clashes.is_empty());
        prop_assert_eq!(digest(&left.events), digest(&merge(&c, &merge(&b, &a).events).events));
    }

    #[test]
    fn nothing_is_ever_taken_out([a, b, _] in parts()) {
        let merged = merge(&a, &b);
        for event in a.iter().chain(&b) {
            prop_assert!(merged.events.contains(event));
        }
    }

    #[test]
    fn what_stands_depends_on_the_events_alone([a, b, _] in parts()) {
        let (there, back) = (merge(&a, &b).events, merge(&b, &a).events);
        let mut reversed = back;
        reversed.reverse();
        prop_assert_eq!(standing(&there), standing(&reversed));
    }

    /// Undoing, and undoing that, changes nothing.
    #[test]
    fn an_undo_that_is_undone_never_was(log in log(), which in 0_usize..40) {
        prop_assume!(!log.is_empty());
        let target = log[which % log.len()].id.clone();
        let mut more = log.clone();
        more.push(undo("z9", 1, &target));
        more.push(undo("z9", 2, "z9-1"));
        let but_ours = |events: &[FieldEvent]| -> Vec<String> {
            let others = standing(events).into_iter().filter(|event| event.device != "z9");
            others.map(|event| event.id.clone()).collect()
        };
        prop_assert_eq!(but_ours(&more), but_ours(&log));
    }

    /// Whatever was handed in, each event is either kept or refused, and nobody panics.
    #[test]
    fn every_event_is_answered(
        log in log(),
        phone_s in -10_000_i64..10_000,
        is_sent in any::<bool>(),
    ) {
        let clock = if is_sent { HandedIn::Sent } else { HandedIn::Written };
        let accepted = accept(&sent(&log), &[], clock(seconds(phone_s)), seconds(600));
        prop_assert_eq!(accepted.kept.len() + accepted.refused.len(), log.len());
        let latest = seconds(900);
        prop_assert!(accepted.kept.iter().all(|event| event.at <= latest));
    }
}

#[test]
fn taps_of_two_phones_interleave_by_time_then_phone_then_number() {
    let first = [thunder("p8", 1, 20), thunder("p8", 2, 60), thunder("p8", 3, 60)];
    let second = [thunder("k3", 1, 60), thunder("k3", 2, 10)];
    let merged = merge(&first, &second);
    assert_eq!(ids(&merged.events), ["k3-2", "p8-1", "k3-1", "p8-2", "p8-3"]);
}

#[test]
fn of_two_events_with_one_id_the_first_stays_and_the_clash_is_told() {
    let first = thunder("k3", 1, 0);
    let other = event("k3", 1, 0, FieldEventKind::Finish {});
    let merged = merge(std::slice::from_ref(&first), std::slice::from_ref(&other));
    assert_eq!(merged, Merged { events: vec![first.clone()], clashes: vec!["k3-1".to_owned()] });
    // The studio corrects times; the phone goes on with its own.
    let late = thunder("k3", 1, 3600);
    let merged = merge(std::slice::from_ref(&first), &[late]);
    assert_eq!(merged, Merged { events: vec![first], clashes: Vec::new() });
}

#[test]
fn an_undo_takes_back_an_undo() {
    let log = [
        thunder("k3", 1, 0),
        undo("k3", 2, "k3-1"),
        undo("p8", 1, "k3-2"),
        undo("p8", 2, "p8-1"),
        thunder("k3", 3, 2000),
    ];
    for (count, expected) in [(1, true), (2, false), (3, true), (4, false)] {
        let stands = standing(&log[..count]);
        assert_eq!(stands.iter().any(|event| event.id == "k3-1"), expected, "{count}");
    }
    assert_eq!(ids(standing(&log)), ["k3-2", "p8-2", "k3-3"]);
}

#[test]
fn of_two_undos_one_is_enough() {
    let log = [thunder("k3", 1, 0), undo("k3", 2, "k3-1"), undo("p8", 1, "k3-1")];
    assert!(!ids(standing(&log)).contains(&"k3-1"));
    // Taking one of them back leaves the other.
    let log = [&log[..], &[undo("k3", 3, "k3-2")]].concat();
    assert!(!ids(standing(&log)).contains(&"k3-1"));
}

/// Nobody taps that.
#[test]
fn undos_in_a_ring_undo_nothing() {
    let log = [
        thunder("k3", 1, 0),
        undo("k3", 2, "k3-3"),
        undo("k3", 3, "k3-2"),
        undo("k3", 4, "k3-4"),
        undo("k3", 5, "nobody-1"),
    ];
    assert_eq!(ids(standing(&log)), ["k3-1", "k3-5"]);
}

#[test]
fn a_long_chain_of_undos_is_followed_to_its_end() {
    let mut log = vec![thunder("k3", 1, 0)];
    log.extend((2..=5001).map(|n| undo("k3", n, &format!("k3-{}", n - 1))));
    assert!(ids(standing(&log)).contains(&"k3-1"));
}

#[test]
fn a_clock_that_is_an_hour_off_is_corrected() {
    let now = seconds(600);
    for hour_s in [3600, -3600] {
        let log = [thunder("k3", 1, 60 + hour_s), thunder("k3", 2, 540 + hour_s)];
        let accepted =
            accept(&sent(&log), &[], HandedIn::Sent(now + SignedDuration::from_secs(hour_s)), now);
        let times: Vec<_> = accepted.kept.iter().map(|event| event.at).collect();
        assert_eq!(times, [seconds(60), seconds(540)]);
        assert!(accepted.corrected && accepted.refused.is_empty());
        assert!((accepted.skew_s + hour_s as f64).abs() < 1e-9);
    }
}

#[test]
fn two_minutes_are_no_wrong_clock() {
    for (skew_s, expected) in [(120, false), (121, true), (-120, false), (-121, true)] {
        let now = seconds(600);
        let phone = HandedIn::Sent(now - SignedDuration::from_secs(skew_s));
        let accepted = accept(&sent(&[thunder("k3", 1, 60)]), &[], phone, now);
        assert_eq!(accepted.corrected, expected, "{skew_s}");
        let moved = if expected { skew_s } else { 0 };
        assert_eq!(accepted.kept[0].at, seconds(60 + moved));
    }
}

#[test]
fn events_from_the_future_are_refused_and_the_others_kept() {
    let now = seconds(600);
    let log = [
        thunder("k3", 1, 60),
        thunder("k3", 2, 900),
        thunder("k3", 3, 901),
        thunder("k3", 4, 100_000),
    ];
    let accepted = accept(&sent(&log), &[], HandedIn::Sent(now), now);
    assert_eq!(ids(&accepted.kept), ["k3-1", "k3-2"]);
    let future = |id: &str| Refused { id: id.to_owned(), why: Refusal::InFuture };
    assert_eq!(accepted.refused, [future("k3-3"), future("k3-4")]);
}

#[test]
fn what_is_known_stays_as_it_is_known() {
    let now = seconds(600);
    let known = [thunder("k3", 1, 60)];
    let far = [thunder("k3", 1, 90_000), event("k3", 1, 60, FieldEventKind::Done {})];
    let again = accept(&sent(&far[..1]), &known, HandedIn::Sent(now), now);
    assert_eq!((again.kept.as_slice(), again.refused.len()), (&known[..], 0));
    let other = accept(&sent(&far[1..]), &known, HandedIn::Sent(now), now);
    assert_eq!(other.refused, [Refused { id: "k3-1".to_owned(), why: Refusal::SameId }]);
    assert_eq!(other.kept, []);
}

/// A message may lie about for a day; that is nobody's clock.
#[test]
fn a_text_that_was_long_on_its_way_is_no_wrong_clock() {
    let log = sent(&[thunder("k3", 1, 60)]);
    let late = accept(&log, &[], HandedIn::Written(seconds(600)), seconds(86_400));
    assert!(!late.corrected);
    assert_eq!(late.kept[0].at, seconds(60));
    // One that was written in the future shows how far its clock is ahead, at least.
    let ahead = accept(&log, &[], HandedIn::Written(seconds(4200)), seconds(600));
    assert!(ahead.corrected);
    assert_eq!(ahead.kept[0].at, seconds(60 - 3600));
}

#[test]
fn more_than_five_thousand_at_once_are_refused_from_there_on() {
    let log: Vec<FieldEvent> = (1..=5002).map(|n| thunder("k3", n, 0)).collect();
    let accepted = accept(&sent(&log), &[], HandedIn::Sent(seconds(0)), seconds(0));
    assert_eq!((accepted.kept.len(), accepted.refused.len()), (5000, 2));
    assert!(accepted.refused.iter().all(|it| it.why == Refusal::TooMany));
}

#[test]
fn a_time_that_cannot_be_corrected_is_refused() {
    let mut tap = sent(&[thunder("k3", 1, 0)]);
    tap[0]["at"] = json!("-009999-01-02T01:59:59Z");
    let phone = HandedIn::Sent(seconds(100_000));
    let accepted = accept(&tap, &[], phone, seconds(0));
    assert_eq!(accepted.refused[0].why, Refusal::BadTime);
}

#[test]
fn a_log_that_was_changed_comes_to_another_digest() {
    let log = [thunder("k3", 1, 0), thunder("k3", 2, 10)];
    let changed = [log[0].clone(), thunder("k3", 2, 11)];
    assert_ne!(digest(&log), digest(&changed));
    assert_ne!(digest(&log), digest(&log[..1]));
}
