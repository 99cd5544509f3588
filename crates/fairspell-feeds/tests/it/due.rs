use fairspell_feeds::{Feed, FeedState, FeedsState, Why, due, presets, state::LastError};
use fairspell_studio::Span;
use jiff::Timestamp;

use crate::world::{at, beach, minutes};

/// An evening from the chair at 20:00 to last usable light at 00:30, by UTC.
fn evening() -> Span {
    Span { from: at("2030-06-14T20:00:00Z"), to: at("2030-06-15T00:30:00Z") }
}

fn ids<'a>(feeds: &'a [Feed], state: &FeedsState, now: Timestamp, is_asked: bool) -> Vec<&'a str> {
    due(feeds, state, &[evening()], now, is_asked).iter().map(|feed| feed.id.as_str()).collect()
}

#[test]
fn nothing_is_fetched_for_a_session_that_is_far_off_or_over() {
    let feeds = presets(beach());
    let state = FeedsState::default();
    let check = |now: &str, expected: &[&str]| {
        assert_eq!(ids(&feeds, &state, at(now), false), expected, "{now}");
    };
    check("2030-06-04T19:59:00Z", &[]);
    check("2030-06-04T20:00:00Z", &["nws-forecast", "nws-alerts"]);
    check("2030-06-14T13:59:00Z", &["nws-forecast", "nws-alerts"]);
    check("2030-06-14T14:00:00Z", &["nws-forecast", "nws-alerts", "mrms-rain"]);
    check("2030-06-15T00:29:00Z", &["nws-forecast", "nws-alerts", "mrms-rain"]);
    check("2030-06-15T00:30:00Z", &[]);
    assert_eq!(due(&feeds, &state, &[], at("2030-06-14T20:00:00Z"), true), Vec::<&Feed>::new());
}

#[test]
fn the_radar_may_be_asked_for_a_little_earlier() {
    let feeds = presets(beach());
    let state = FeedsState::default();
    let radar = |now: &str| ids(&feeds, &state, at(now), true).contains(&"mrms-rain");
    assert!(!radar("2030-06-14T07:59:00Z"));
    assert!(radar("2030-06-14T08:00:00Z"));
}

/// Asked last so many minutes ago, with so many failures.
fn asked(id: &str, now: Timestamp, ago_min: i64, failures: u32, why: Option<Why>) -> FeedsState {
    let at = now - minutes(ago_min);
    let last_error = why.map(|why| LastError { at, why });
    let known = FeedState { last_asked_at: Some(at), failures, last_error, ..FeedState::default() };
    FeedsState { feeds: [(id.to_owned(), known)].into(), ..FeedsState::default() }
}

#[test]
fn the_nearer_the_session_the_more_often() {
    let feeds = presets(beach());
    let pause = |id: &str, before_min: i64| {
        let now = evening().from - minutes(before_min);
        (0..400).find(|ago| {
            let state = asked(id, now, *ago, 0, None);
            ids(&feeds, &state, now, false).contains(&id)
        })
    };
    let day = 24 * 60;
    assert_eq!(pause("nws-forecast", 5 * day), Some(180));
    assert_eq!(pause("nws-forecast", day), Some(60));
    // Near it, the feed's own pause alone counts.
    assert_eq!(pause("nws-forecast", 60), Some(0));
    // Never so seldom that warnings count as too old, after an hour.
    assert_eq!(pause("nws-alerts", 5 * day), Some(40));
    assert_eq!(pause("nws-alerts", 60), Some(0));
}

#[test]
fn a_pause_of_the_feeds_own_always_counts() {
    let feeds = presets(beach());
    let now = at("2030-06-14T20:00:00Z");
    let mut state = asked("nws-alerts", now, 20, 0, None);
    let known = state.feeds.get_mut("nws-alerts").unwrap();
    known.next_at = Some(now + minutes(1));
    assert!(!ids(&feeds, &state, now, false).contains(&"nws-alerts"));
    assert!(ids(&feeds, &state, now + minutes(1), false).contains(&"nws-alerts"));
    // But not one that a wrong clock set.
    state.feeds.get_mut("nws-alerts").unwrap().next_at = Some(now + minutes(60 * 24 * 400));
    assert!(ids(&feeds, &state, now, false).contains(&"nws-alerts"));
}

#[test]
fn another_service_stands_in_where_the_first_does_not_cover_or_fails() {
    let feeds = presets(beach());
    let now = at("2030-06-14T20:00:00Z");
    let stands_in = |failures, why| {
        let state = asked("nws-forecast", now, 5, failures, why);
        ids(&feeds, &state, now, false).contains(&"met-forecast")
    };
    assert!(!stands_in(0, None));
    assert!(!stands_in(2, Some(Why::TimedOut)));
    assert!(stands_in(3, Some(Why::TimedOut)));
    assert!(stands_in(1, Some(Why::NotCovering)));
}
