use fairspell_studio::{
    FieldEvent, FieldEventKind,
    field_event::{RainTruth, Refusal, SetForm, Wetness},
};
use serde_json::{Value, json};

use crate::world::at;

fn tap(members: &Value) -> Value {
    let mut tap = json!({"id": "k3-1", "device": "k3", "n": 1, "at": "2026-09-03T05:21:04.120Z"});
    for (name, value) in members.as_object().unwrap() {
        tap[name] = value.clone();
    }
    tap
}

#[test]
fn every_kind_is_read_and_written_as_it_came() {
    for (members, expected) in [
        (json!({"kind": "arrived"}), FieldEventKind::Arrived {}),
        (
            json!({"kind": "start", "set": "satin / arcade / cover", "form": "short"}),
            FieldEventKind::Start {
                set: "satin / arcade / cover".to_owned(),
                form: SetForm::Short,
            },
        ),
        (json!({"kind": "done"}), FieldEventKind::Done {}),
        (json!({"kind": "stop"}), FieldEventKind::Stop {}),
        (json!({"kind": "skip", "set": "denim"}), FieldEventKind::Skip { set: "denim".to_owned() }),
        (json!({"kind": "rain", "class": 3}), FieldEventKind::Rain { class: 3 }),
        (json!({"kind": "thunder"}), FieldEventKind::Thunder {}),
        (json!({"kind": "hold"}), FieldEventKind::Hold {}),
        (json!({"kind": "resume"}), FieldEventKind::Resume {}),
        (json!({"kind": "spot", "spot": "pier"}), FieldEventKind::Spot { spot: "pier".to_owned() }),
        (json!({"kind": "hair", "state": "damp"}), FieldEventKind::Hair { state: Wetness::Damp }),
        (
            json!({"kind": "cloth", "look": "satin", "state": "wet"}),
            FieldEventKind::Cloth { look: "satin".to_owned(), state: Wetness::Wet },
        ),
        (
            json!({"kind": "cell", "look": "satin", "cell": "half-sit", "filled": false}),
            FieldEventKind::Cell {
                look: "satin".to_owned(),
                cell: "half-sit".to_owned(),
                filled: false,
            },
        ),
        (
            json!({"kind": "settings", "text": "f/2"}),
            FieldEventKind::Settings { text: "f/2".to_owned() },
        ),
        (
            json!({"kind": "note", "text": "hem in the mud"}),
            FieldEventKind::Note { text: "hem in the mud".to_owned() },
        ),
        (json!({"kind": "truth", "rain": "some"}), FieldEventKind::Truth { rain: RainTruth::Some }),
        (json!({"kind": "finish"}), FieldEventKind::Finish {}),
        (json!({"kind": "undo", "of": "k3-0"}), FieldEventKind::Undo { of: "k3-0".to_owned() }),
    ] {
        let sent = tap(&members);
        let event = FieldEvent::read(&sent).unwrap();
        assert_eq!((&event.kind, event.more.len()), (&expected, 0));
        let written = serde_json::to_value(&event).unwrap();
        let again: FieldEvent = serde_json::from_value(written.clone()).unwrap();
        assert_eq!(again, event);
        assert_eq!(written["at"], "2026-09-03T05:21:04.12Z");
        for (name, value) in members.as_object().unwrap() {
            assert_eq!(&written[name], value);
        }
    }
}

#[test]
fn what_we_do_not_know_is_kept_as_it_came() {
    let sent = tap(&json!({"kind": "drone", "height": [1, {"m": 2.5}], "text": "x"}));
    let event = FieldEvent::read(&sent).unwrap();
    assert_eq!(event.kind, FieldEventKind::Unknown { kind: "drone".to_owned() });
    let mut written = serde_json::to_value(&event).unwrap();
    written["at"] = sent["at"].clone();
    assert_eq!(written, sent);
    let sent = tap(&json!({"kind": "rain", "class": 1, "mm": 0.4}));
    let event = FieldEvent::read(&sent).unwrap();
    assert_eq!(event.kind, FieldEventKind::Rain { class: 1 });
    assert_eq!(serde_json::to_value(&event).unwrap()["mm"], 0.4);
}

#[test]
fn times_are_taken_to_the_millisecond() {
    let event =
        FieldEvent::new("k3", 1, at("2026-09-03T05:21:04.120999Z"), FieldEventKind::Done {});
    assert_eq!(event.at, at("2026-09-03T05:21:04.120Z"));
}

#[test]
fn absurd_events_are_refused_with_the_reason() {
    let note = |text: String| tap(&json!({"kind": "note", "text": text}));
    let with = |name: &str, value: Value| tap(&json!({"kind": "thunder", name: value}));
    for (sent, expected) in [
        (json!([1]), Refusal::NotAnEvent),
        (Value::Null, Refusal::NotAnEvent),
        (with("id", json!("")), Refusal::NoId),
        (with("id", json!(7)), Refusal::NoId),
        (with("id", json!("x".repeat(65))), Refusal::NoId),
        (with("device", json!("")), Refusal::NoDevice),
        (with("n", json!(-1)), Refusal::BadNumber),
        (with("n", json!(0)), Refusal::BadNumber),
        (with("n", json!(1.5)), Refusal::BadNumber),
        (with("n", json!(u64::MAX)), Refusal::BadNumber),
        (with("at", json!("yesterday")), Refusal::BadTime),
        (with("at", json!(1_788_000_000)), Refusal::BadTime),
        (with("kind", json!("")), Refusal::NoKind),
        (with("kind", json!(null)), Refusal::NoKind),
        (tap(&json!({})), Refusal::NoKind),
        (tap(&json!({"kind": "rain"})), Refusal::BadPart),
        (tap(&json!({"kind": "rain", "class": 9})), Refusal::NoSuchRain),
        (tap(&json!({"kind": "rain", "class": -1})), Refusal::NoSuchRain),
        (tap(&json!({"kind": "start", "set": "denim"})), Refusal::BadPart),
        (tap(&json!({"kind": "start", "set": "denim", "form": "long"})), Refusal::BadPart),
        (tap(&json!({"kind": "skip", "set": "x".repeat(201)})), Refusal::TooLong),
        (note("x".repeat(2001)), Refusal::TooLong),
        (with("text", json!("x".repeat(20_000))), Refusal::TooLong),
    ] {
        let refused = FieldEvent::read(&sent).expect_err(&sent.to_string());
        assert_eq!(refused.why, expected, "{sent}");
        assert!(refused.id.chars().count() <= 64);
    }
    FieldEvent::read(&note("\u{1f327}".repeat(2000))).unwrap();
    FieldEvent::read(&with("id", json!("x".repeat(64)))).unwrap();
}
