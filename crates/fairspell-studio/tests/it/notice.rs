use fairspell_studio::{
    Agreement, Answer, AnsweredBy, Band, Choice, Gate, GateKind, Notice, NoticeKind, Outlook, Rule,
    Ruling, SourceState, Tier,
    notice::{Answers, Asked, Known, Look, Told, Urgency},
    notices,
    outlook::SourceKind,
};
use jiff::{SignedDuration, Timestamp};

use crate::world::{
    CHAIR, EARLY, EVENING_READING, LEAVE_BY, MORNING_READING, all_gates, at, dry_outlook, percent,
    range, ruled, sourced, warning,
};

/// An evening with so much chance of any rain and so much of a gap.
fn sky(as_of: &str, rain_percent: f64, gap_percent: f64) -> Outlook {
    Outlook {
        p_any_rain: Some(sourced(percent(rain_percent))),
        p_gap: Some(sourced(range(gap_percent, gap_percent, gap_percent))),
        ..dry_outlook(as_of)
    }
}

fn storm(as_of: &str) -> Outlook {
    Outlook { warnings: vec![warning(Tier::Stop)], ..dry_outlook(as_of) }
}

fn heat(as_of: &str) -> Outlook {
    let mut outlook = dry_outlook(as_of);
    outlook.comfort.felt_max_c = Some(sourced(45.0));
    outlook
}

fn with_source(mut outlook: Outlook, kind: SourceKind, state: SourceState) -> Outlook {
    outlook.sources.retain(|(of, _)| *of != kind);
    outlook.sources.push((kind, state));
    outlook
}

fn stale(issued: &str) -> SourceState {
    SourceState::Stale { source: "a service".to_owned(), issued: at(issued) }
}

fn later(moment: &str, minutes: i64) -> Timestamp {
    at(moment) + SignedDuration::from_mins(minutes)
}

/// What is told of one session after a change from one sky to another, told of the first long ago.
fn after(before: &Outlook, now: &Outlook) -> Vec<Notice> {
    told(before, Some(at(EARLY)), now, None)
}

fn told(
    before: &Outlook,
    told_at: Option<Timestamp>,
    now: &Outlook,
    asked: Option<Asked>,
) -> Vec<Notice> {
    let (then, ruling) = (ruled(before), ruled(now));
    notices(&[Known {
        told: Some(Told { ruling: &then, as_of: before.as_of, told_at }),
        last_look: Some(Look { ruling: &then, as_of: before.as_of, sources: &before.sources }),
        now,
        ruling: &ruling,
        gates: &all_gates(),
        asked,
    }])
}

fn kinds(notices: &[Notice]) -> Vec<&NoticeKind> {
    notices.iter().map(|notice| &notice.kind).collect()
}

fn band(from: Band, to: Band) -> NoticeKind {
    NoticeKind::BandChanged { from, to }
}

#[test]
fn a_band_that_changes_is_told_and_one_that_stays_is_not() {
    let settled = sky(EVENING_READING, 5.0, 99.0);
    let unknown =
        with_source(sky(MORNING_READING, 5.0, 99.0), SourceKind::Forecast, SourceState::Missing);
    for (now, expected) in [
        (sky(MORNING_READING, 14.0, 99.0), None),
        (sky(MORNING_READING, 15.0, 99.0), Some(Band::Watch)),
        (sky(MORNING_READING, 45.0, 20.0), Some(Band::FamilysChoice)),
        (sky(MORNING_READING, 90.0, 20.0), Some(Band::AdviseMoving)),
        (unknown, Some(Band::Unknown)),
    ] {
        let expected: Vec<_> = expected.map(|to| band(Band::Settled, to)).into_iter().collect();
        let found = after(&settled, &now);
        assert_eq!(kinds(&found), expected.iter().collect::<Vec<_>>());
    }
}

#[test]
fn a_band_that_is_known_again_is_told() {
    let unknown =
        with_source(sky(EVENING_READING, 5.0, 99.0), SourceKind::Forecast, SourceState::Missing);
    let found = after(&unknown, &sky(MORNING_READING, 5.0, 99.0));
    assert_eq!(kinds(&found), [&band(Band::Unknown, Band::Settled)]);
}

#[test]
fn a_band_is_told_until_the_session_begins_and_not_from_then_on() {
    let start = "2026-09-03T05:15:00Z";
    let begun = "2026-09-03T05:15:01Z";
    let before = sky(LEAVE_BY, 5.0, 99.0);
    assert_eq!(after(&before, &sky(start, 5.0, 0.0)).len(), 1);
    assert_eq!(after(&before, &sky(begun, 5.0, 0.0)), []);
}

#[test]
fn the_first_look_at_a_session_tells_nothing_but_danger() {
    let first = |now: &Outlook| {
        let ruling = ruled(now);
        let gates = all_gates();
        let known =
            Known { told: None, last_look: None, now, ruling: &ruling, gates: &gates, asked: None };
        notices(&[known]).len()
    };
    assert_eq!(first(&sky(MORNING_READING, 90.0, 0.0)), 0);
    let no_radar = with_source(sky(CHAIR, 5.0, 99.0), SourceKind::Radar, SourceState::Missing);
    assert_eq!(first(&no_radar), 0);
    assert_eq!(first(&storm(MORNING_READING)), 1);
}

#[test]
fn a_band_that_goes_back_and_forth_is_told_once_in_twenty_minutes() {
    let before = sky(CHAIR, 5.0, 99.0);
    for (minutes, count) in [(0, 0), (5, 0), (19, 0), (20, 1), (60, 1)] {
        let now = Outlook { as_of: later(CHAIR, minutes), ..sky(CHAIR, 5.0, 20.0) };
        assert_eq!(told(&before, Some(at(CHAIR)), &now, None).len(), count, "{minutes} min");
    }
    // A clock that was set back does not silence her.
    let now = sky(CHAIR, 5.0, 20.0);
    assert_eq!(told(&before, Some(later(CHAIR, 10)), &now, None).len(), 1);
    // Nor does a first ruling that nobody was told of.
    let now = Outlook { as_of: later(CHAIR, 5), ..now };
    assert_eq!(told(&before, None, &now, None).len(), 1);
}

#[test]
fn danger_waits_for_nothing() {
    let before = sky(CHAIR, 5.0, 99.0);
    let soon = |outlook: Outlook| Outlook { as_of: later(CHAIR, 1), ..outlook };
    let found = told(&before, Some(at(CHAIR)), &soon(storm(CHAIR)), None);
    assert!(matches!(found[0].kind, NoticeKind::MustMove { has_begun: false, .. }));
    assert_eq!(found.len(), 1);

    let hold = soon(Outlook { warnings: vec![warning(Tier::Hold)], ..dry_outlook(CHAIR) });
    let found = told(&before, Some(at(CHAIR)), &hold, None);
    assert_eq!(kinds(&found), [&band(Band::Settled, Band::AdviseMoving)]);
    assert_eq!(found[0].urgency, Urgency::Now);
}

#[test]
fn a_must_move_is_told_when_it_appears_and_again_for_another_danger_only() {
    let (dry, storm_, heat_) = (dry_outlook(MORNING_READING), storm(CHAIR), heat(CHAIR));
    for (before, now, count) in [
        (&dry, &storm_, 1),
        (&storm(MORNING_READING), &storm_, 0),
        (&heat(MORNING_READING), &storm_, 1),
        (&heat(MORNING_READING), &heat_, 0),
        (&storm(MORNING_READING), &heat_, 1),
    ] {
        assert_eq!(after(before, now).len(), count);
    }
    let mut updated = storm(CHAIR);
    updated.warnings[0].issued = at(CHAIR);
    assert_eq!(after(&storm(MORNING_READING), &updated), []);
    let mut another = storm(CHAIR);
    "Flash Flood Warning".clone_into(&mut another.warnings[0].event);
    assert_eq!(after(&storm(MORNING_READING), &another).len(), 1);
}

#[test]
fn a_must_move_reaches_her_in_the_field_and_not_afterwards() {
    let before = dry_outlook(LEAVE_BY);
    let last_usable = "2026-09-03T07:48:00Z";
    for (as_of, expected) in [
        ("2026-09-03T05:15:00Z", Some(false)),
        ("2026-09-03T06:00:00Z", Some(true)),
        ("2026-09-03T07:47:59Z", Some(true)),
        (last_usable, None),
    ] {
        let found = after(&before, &storm(as_of));
        let begun = found.first().map(|notice| match &notice.kind {
            NoticeKind::MustMove { has_begun, danger } => {
                assert!(matches!(**danger, Rule::StopWarning { .. }));
                *has_begun
            }
            other => panic!("{other:?}"),
        });
        assert_eq!(begun, expected, "{as_of}");
    }
}

/// On the spot no other band is told, so that she has not heard that the first storm was over.
#[test]
fn a_danger_that_comes_again_in_the_field_is_told_again() {
    let (told, dry) = (storm("2026-09-03T05:30:00Z"), dry_outlook("2026-09-03T06:00:00Z"));
    let (now, gates) = (storm("2026-09-03T06:30:00Z"), all_gates());
    let rulings = [&told, &dry, &now].map(ruled);
    let found = |looked_at: &Outlook, ruling| {
        notices(&[Known {
            told: Some(Told { ruling: &rulings[0], as_of: told.as_of, told_at: Some(told.as_of) }),
            last_look: Some(Look { ruling, as_of: looked_at.as_of, sources: &looked_at.sources }),
            now: &now,
            ruling: &rulings[2],
            gates: &gates,
            asked: None,
        }])
    };
    assert_eq!(found(&told, &rulings[0]), []);
    assert!(matches!(found(&dry, &rulings[1])[0].kind, NoticeKind::MustMove { .. }));
}

#[test]
fn a_must_move_that_is_lifted_is_a_change_of_band() {
    let found = after(&storm(MORNING_READING), &sky(CHAIR, 5.0, 99.0));
    assert_eq!(kinds(&found), [&band(Band::MustMove, Band::Settled)]);
}

#[test]
fn an_answer_that_is_missing_is_told_an_hour_before_the_gate_and_two_that_differ_at_once() {
    let reply_by = Some(at("2026-09-03T00:30:00Z"));
    let chair = Gate { kind: GateKind::Chair, at: at(CHAIR) };
    let missing = NoticeKind::AnswerMissing { gate: chair, reply_by };
    let differ = NoticeKind::AnswersDiffer { gate: chair };
    for (as_of, answers, expected) in [
        ("2026-09-03T00:44:59Z", Answers::Missing, None),
        ("2026-09-03T00:45:00Z", Answers::Missing, Some(&missing)),
        ("2026-09-03T01:44:59Z", Answers::Missing, Some(&missing)),
        // The gate has passed, and the next is hours away.
        ("2026-09-03T01:45:00Z", Answers::Missing, None),
        ("2026-09-03T01:00:00Z", Answers::Given, None),
        ("2026-09-03T01:00:00Z", Answers::Differ, Some(&differ)),
        // They have been told that she will phone: she hears of it whenever the gate is.
        ("2026-09-03T00:05:00Z", Answers::Differ, Some(&differ)),
    ] {
        let before = dry_outlook(MORNING_READING);
        let asked = Some(Asked { reply_by, answers });
        let found = told(&before, None, &dry_outlook(as_of), asked);
        assert_eq!(kinds(&found), expected.into_iter().collect::<Vec<_>>(), "{as_of}");
    }
    let nobody_was_asked =
        after(&dry_outlook(MORNING_READING), &dry_outlook("2026-09-03T01:00:00Z"));
    assert_eq!(nobody_was_asked, []);
}

#[test]
fn each_gate_tells_once_and_keeps_its_key() {
    let key = |as_of: &str, answers| {
        let asked = Some(Asked { reply_by: None, answers });
        told(&dry_outlook(MORNING_READING), None, &dry_outlook(as_of), asked)[0].key.clone()
    };
    let at_first = key("2026-09-03T00:50:00Z", Answers::Missing);
    assert_eq!(at_first, key("2026-09-03T01:30:00Z", Answers::Missing));
    assert_ne!(at_first, key("2026-09-03T01:30:00Z", Answers::Differ));
    assert_ne!(at_first, key("2026-09-03T04:00:00Z", Answers::Missing));
}

#[test]
fn the_guardians_answer_is_enough_and_the_sitters_alone_is_not() {
    let by = |who: &str| Answer {
        letter: "l1".to_owned(),
        session: "linh".to_owned(),
        who: who.to_owned(),
        choice: Choice::Keep,
        words: "Keep it.".to_owned(),
        answered_at: at(MORNING_READING),
        by: AnsweredBy::Page,
        is_late: false,
    };
    let one =
        |who: &str, other: &str| Agreement::One { answer: by(who), waiting_for: other.to_owned() };
    let both = Agreement::Both { choice: Choice::Keep, words: "Keep it.".to_owned() };
    let differ = Agreement::Differ { sitter: by("Linh"), guardian: by("Quoc") };
    for (agreement, expected) in [
        (Agreement::Nobody, Answers::Missing),
        (one("Linh", "Quoc"), Answers::Missing),
        (one("Quoc", "Linh"), Answers::Given),
        (both, Answers::Given),
        (differ, Answers::Differ),
    ] {
        assert_eq!(Answers::of(&agreement, "Quoc"), expected, "{agreement:?}");
    }
}

#[test]
fn a_source_that_goes_silent_is_told_once_until_it_has_come_back() {
    let radar = |as_of: &str, state| with_source(dry_outlook(as_of), SourceKind::Radar, state);
    let fresh =
        |issued: &str| SourceState::Fresh { source: "a service".into(), issued: at(issued) };
    let (heard, now) = ("2026-09-03T01:40:00Z", CHAIR);
    // The ruling was unknown already for another reason, so that only the silence is new.
    let silent = |before: SourceState, state: SourceState| {
        let no_forecast =
            |outlook| with_source(outlook, SourceKind::Forecast, SourceState::Missing);
        after(&no_forecast(radar(now, before)), &no_forecast(radar(now, state)))
    };
    for (before, state, count) in [
        (fresh(heard), fresh(heard), 0),
        (fresh(heard), stale(heard), 1),
        (fresh(heard), SourceState::Missing, 1),
        (fresh(heard), SourceState::NoneHere, 0),
        (stale(heard), stale(heard), 0),
        (stale(heard), SourceState::Missing, 0),
        (SourceState::Missing, stale(heard), 0),
        (SourceState::NotYet, SourceState::Missing, 0),
        (stale(heard), fresh(heard), 0),
    ] {
        let found = silent(before.clone(), state.clone());
        assert_eq!(found.len(), count, "{before:?} -> {state:?}");
        for notice in found {
            let (source, last_heard) = (SourceKind::Radar, at(heard));
            assert_eq!(notice.kind, NoticeKind::SourceSilent { source, last_heard });
        }
    }
    // Back in between, and silent again: another silence.
    let first = silent(fresh(heard), stale(heard));
    let second = silent(fresh(CHAIR), stale(CHAIR));
    assert_ne!(first[0].key, second[0].key);
}

#[test]
fn radar_is_missed_from_the_chair_on() {
    let silent = |as_of: &str| {
        let before = dry_outlook(as_of);
        let now = with_source(dry_outlook(as_of), SourceKind::Radar, stale(EVENING_READING));
        after(&before, &now).len()
    };
    assert_eq!(silent(MORNING_READING), 0);
    assert_eq!(silent(CHAIR), 1);
}

#[test]
fn a_silence_that_makes_a_ruling_unknown_is_told_with_it_alone() {
    let before = dry_outlook(CHAIR);
    let now = with_source(dry_outlook(CHAIR), SourceKind::Radar, stale(MORNING_READING));
    let found = after(&before, &now);
    assert_eq!(kinds(&found), [&band(Band::Settled, Band::Unknown)]);
    // While the change of band waits, the silence is told by itself.
    let found = told(&before, Some(at(CHAIR)), &now, None);
    assert!(matches!(found[..], [Notice { kind: NoticeKind::SourceSilent { .. }, .. }]));
}

#[test]
fn a_silence_that_two_sessions_share_is_told_once_with_the_first_of_them() {
    let before = dry_outlook(MORNING_READING);
    let mut now = with_source(storm(CHAIR), SourceKind::Forecast, stale(MORNING_READING));
    let ruling = ruled(&now);
    let known = |outlook: &Outlook| -> Vec<Notice> {
        let mut next_week = outlook.clone();
        "next-week".clone_into(&mut next_week.session);
        next_week.window.from = later(CHAIR, 7 * 24 * 60);
        next_week.window.to = later(CHAIR, 7 * 24 * 60 + 60);
        let gates = all_gates();
        let of = |now| Known {
            told: Some(Told { ruling: &ruling, as_of: before.as_of, told_at: None }),
            last_look: Some(Look {
                ruling: &ruling,
                as_of: before.as_of,
                sources: &before.sources,
            }),
            now,
            ruling: &ruling,
            gates: &gates,
            asked: None,
        };
        notices(&[of(&next_week), of(outlook)])
    };
    let found = known(&now);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].session, now.session);
    now.window.to = at(CHAIR);
    now.evening.to = at(CHAIR);
    assert_eq!(known(&now)[0].session, "next-week");
}

#[test]
fn the_same_change_has_the_same_key_however_often_it_is_looked_at() {
    let before = sky(EVENING_READING, 5.0, 99.0);
    let key = |before: &Outlook, now: Outlook| after(before, &now)[0].key.clone();
    let first = key(&before, sky(MORNING_READING, 45.0, 20.0));
    let again = key(&before, sky("2026-09-03T00:05:00Z", 46.0, 20.0));
    assert_eq!(first, again);
    // There and back and there again is another change.
    let back = sky("2026-09-03T01:00:00Z", 5.0, 99.0);
    assert_ne!(first, key(&back, sky("2026-09-03T01:30:00Z", 45.0, 20.0)));
    let storm_key = key(&before, storm(MORNING_READING));
    assert_eq!(storm_key, key(&before, storm(CHAIR)));
    assert_ne!(storm_key, key(&back, storm(CHAIR)));
}

#[test]
fn what_is_urgent_comes_first() {
    let watch = |as_of: &str| sky(as_of, 20.0, 99.0);
    let (before, calm, grave) =
        (dry_outlook(EVENING_READING), watch(MORNING_READING), storm(MORNING_READING));
    let then = ruled(&before);
    let rulings: [Ruling; 2] = [ruled(&calm), ruled(&grave)];
    let gates = all_gates();
    let of = |now, ruling| Known {
        told: Some(Told { ruling: &then, as_of: before.as_of, told_at: None }),
        last_look: Some(Look { ruling: &then, as_of: before.as_of, sources: &before.sources }),
        now,
        ruling,
        gates: &gates,
        asked: None,
    };
    let found = notices(&[of(&calm, &rulings[0]), of(&grave, &rulings[1])]);
    let urgencies: Vec<Urgency> = found.iter().map(|notice| notice.urgency).collect();
    assert_eq!(urgencies, [Urgency::Now, Urgency::Soon]);
}

#[test]
fn a_notice_comes_back_from_json() {
    for notice in after(&dry_outlook(MORNING_READING), &storm(CHAIR)) {
        let json = serde_json::to_string(&notice).unwrap();
        assert_eq!(serde_json::from_str::<Notice>(&json).unwrap(), notice);
    }
}
