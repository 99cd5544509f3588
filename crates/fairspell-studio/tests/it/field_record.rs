use fairspell_studio::{
    FieldEvent, FieldEventKind, FieldRecord, Span,
    field_event::{RainTruth, SetForm, Wetness},
    field_record::{Ending, Hold, RainSpell, SetRun, look_of_set},
};
use jiff::{SignedDuration, Timestamp};
use serde_json::{Value, json};

use crate::world::at;

const SATIN: &str = "sage satin / cannery_arcade / cover";
const LINEN: &str = "white linen / dune_gate / open";

fn minute(minute: i64) -> Timestamp {
    at("2026-09-03T05:15:00Z") + SignedDuration::from_mins(minute)
}

/// An evening of one phone: what was tapped, and after how many minutes.
fn evening(taps: Vec<(i64, FieldEventKind)>) -> FieldRecord {
    let numbered = taps.into_iter().zip(1..);
    let event = |((after, kind), n)| FieldEvent::new("k3", n, minute(after), kind);
    FieldRecord::of(&numbered.map(event).collect::<Vec<_>>())
}

fn start(set: &str) -> FieldEventKind {
    FieldEventKind::Start { set: set.to_owned(), form: SetForm::Full }
}

fn ends(record: &FieldRecord) -> Vec<(&str, Ending, Option<Timestamp>)> {
    record.sets.iter().map(|run| (run.look.as_str(), run.ending, run.to)).collect()
}

#[test]
fn each_set_has_its_start_its_end_and_how_it_ended() {
    let record = evening(vec![
        (0, FieldEventKind::Arrived {}),
        (2, start(SATIN)),
        (20, FieldEventKind::Done {}),
        (21, FieldEventKind::Done {}),
        (30, start(LINEN)),
        (34, FieldEventKind::Stop {}),
        (40, start(LINEN)),
        (50, start(SATIN)),
        (60, FieldEventKind::Finish {}),
    ]);
    assert_eq!(record.arrived, Some(minute(0)));
    let expected = [
        ("sage satin", Ending::Made, Some(minute(20))),
        ("white linen", Ending::NotMade, Some(minute(34))),
        ("white linen", Ending::NotSaid, Some(minute(50))),
        ("sage satin", Ending::NotSaid, Some(minute(60))),
    ];
    assert_eq!(ends(&record), expected);
    assert_eq!(record.finished, Some(minute(60)));
    let begun = evening(vec![(2, start(SATIN))]);
    assert_eq!(ends(&begun), [("sage satin", Ending::Running, None)]);
}

#[test]
fn a_set_that_is_begun_on_both_phones_is_begun_once() {
    let taps = [
        FieldEvent::new("k3", 1, minute(2), start(SATIN)),
        FieldEvent::new("p8", 1, minute(3), start(SATIN)),
        FieldEvent::new("p8", 2, minute(20), FieldEventKind::Done {}),
        FieldEvent::new("k3", 2, minute(21), FieldEventKind::Done {}),
    ];
    let record = FieldRecord::of(&taps);
    assert_eq!(ends(&record), [("sage satin", Ending::Made, Some(minute(20)))]);
    assert_eq!(record.sets[0].from, minute(2));
}

#[test]
fn an_undone_start_never_was() {
    let record = evening(vec![
        (2, start(SATIN)),
        (3, FieldEventKind::Undo { of: "k3-1".to_owned() }),
        (4, start(LINEN)),
    ]);
    assert_eq!(ends(&record), [("white linen", Ending::Running, None)]);
}

#[test]
fn a_skipped_set_that_is_begun_after_all_is_not_skipped() {
    let skip = || FieldEventKind::Skip { set: LINEN.to_owned() };
    let skipped = evening(vec![(1, skip()), (2, skip())]);
    assert_eq!(skipped.skipped.len(), 1);
    assert_eq!(skipped.skipped[0].at, minute(1));
    assert_eq!(evening(vec![(1, skip()), (9, start(LINEN))]).skipped, []);
}

#[test]
fn rain_lasts_until_another_class_is_tapped_or_the_end() {
    let rain = |class| FieldEventKind::Rain { class };
    let spell =
        |class, from, to: Option<i64>| RainSpell { class, from: minute(from), to: to.map(minute) };
    let mut taps = vec![(5, rain(1)), (8, rain(1)), (12, rain(3)), (20, rain(0))];
    let expected = [spell(1, 5, Some(12)), spell(3, 12, Some(20)), spell(0, 20, None)];
    assert_eq!(evening(taps.clone()).rain, expected);
    taps.extend([(25, rain(2)), (30, FieldEventKind::Finish {})]);
    assert_eq!(evening(taps).rain[3], spell(2, 25, Some(30)));
}

/// US National Weather Service, lightning safety: wait 30 minutes after the last thunder, and start
/// again at each.
#[test]
fn work_stands_still_until_thirty_minutes_after_the_last_thunder() {
    let thunder = |minutes: &[i64]| {
        let taps = minutes.iter().map(|after| (*after, FieldEventKind::Thunder {}));
        evening(taps.collect()).standstills
    };
    let span = |from, to| Span { from: minute(from), to: minute(to) };
    assert_eq!(thunder(&[]), []);
    assert_eq!(thunder(&[10]), [span(10, 40)]);
    assert_eq!(thunder(&[10, 25]), [span(10, 55)]);
    assert_eq!(thunder(&[10, 25, 55]), [span(10, 85)]);
    assert_eq!(thunder(&[10, 41]), [span(10, 40), span(41, 71)]);
}

#[test]
fn waiting_ends_when_it_is_said_or_a_set_begins() {
    let record = evening(vec![
        (1, FieldEventKind::Hold {}),
        (2, FieldEventKind::Hold {}),
        (5, FieldEventKind::Resume {}),
        (6, FieldEventKind::Resume {}),
        (10, FieldEventKind::Hold {}),
        (15, start(SATIN)),
        (30, FieldEventKind::Hold {}),
    ]);
    let hold = |from, to: Option<i64>| Hold { from: minute(from), to: to.map(minute) };
    assert_eq!(record.holds, [hold(1, Some(5)), hold(10, Some(15)), hold(30, None)]);
}

#[test]
fn words_and_what_was_seen_stand_with_their_moments() {
    let record = evening(vec![
        (1, FieldEventKind::Note { text: "mud at the gate".to_owned() }),
        (2, start(SATIN)),
        (3, FieldEventKind::Settings { text: "f/2, 1/250".to_owned() }),
        (4, FieldEventKind::Hair { state: Wetness::Damp }),
        (5, FieldEventKind::Cloth { look: "sage satin".to_owned(), state: Wetness::Wet }),
        (6, FieldEventKind::Spot { spot: "dune_gate".to_owned() }),
        (7, FieldEventKind::Truth { rain: RainTruth::None }),
        (8, FieldEventKind::Truth { rain: RainTruth::Much }),
    ]);
    assert_eq!((record.notes[0].at, record.notes[0].set.as_deref()), (minute(1), None));
    assert_eq!(record.settings[0].set.as_deref(), Some(SATIN));
    assert_eq!((record.seen[0].look.as_deref(), record.seen[0].state), (None, Wetness::Damp));
    assert_eq!(record.seen[1].look.as_deref(), Some("sage satin"));
    assert_eq!(record.spots[0].id, "dune_gate");
    assert_eq!(record.truth, Some(RainTruth::Much));
}

#[test]
fn cells_fill_a_looks_coverage_and_can_be_emptied() {
    let cell = |cell: &str, filled| FieldEventKind::Cell {
        look: "sage satin".to_owned(),
        cell: cell.to_owned(),
        filled,
    };
    let record = evening(vec![
        (1, cell("close-smile", true)),
        (2, cell("full-walk", true)),
        (3, cell("close-smile", false)),
        (4, cell("from-a-newer-sheet", true)),
    ]);
    assert_eq!(record.coverage("sage satin").core_filled(), 1);
    assert_eq!((record.cells.len(), record.cells[0].cells.len()), (1, 2));
    assert_eq!(record.coverage("white linen").core_filled(), 0);
}

#[test]
fn unknown_kinds_are_counted_and_otherwise_ignored() {
    let unknown = FieldEventKind::Unknown { kind: "drone".to_owned() };
    let record = evening(vec![(1, unknown)]);
    assert_eq!(record, FieldRecord { unknown: 1, ..FieldRecord::default() });
    assert!(FieldRecord::of(&[]).is_empty());
}

#[test]
fn a_look_whose_name_has_strokes_keeps_them() {
    assert_eq!(look_of_set("black / white / pier / open"), "black / white");
    assert_eq!(look_of_set(""), "");
}

/// The phone's `state.js` reads the same file.
#[test]
fn the_studio_reads_a_log_as_the_phone_does() {
    let cases: Vec<Value> =
        serde_json::from_str(include_str!("../fixtures/field-folds.json")).unwrap();
    assert!(cases.len() > 15);
    for case in cases {
        let name = case["name"].as_str().unwrap();
        let events: Vec<FieldEvent> = serde_json::from_value(case["events"].clone()).unwrap();
        let record = FieldRecord::of(&events);
        let run = |run: &SetRun| json!([run.set, run.form]);
        // Who begins the next has made the one before, though nobody tapped it.
        let is_made = |run: &&SetRun| matches!(run.ending, Ending::Made | Ending::NotSaid);
        let mut made: Vec<&SetRun> = Vec::new();
        for one in record.sets.iter().filter(is_made) {
            if made.iter().all(|known| known.set != one.set) {
                made.push(one);
            }
        }
        let of = |ending: Ending| record.sets.iter().filter(move |run| run.ending == ending);
        let cells: serde_json::Map<String, Value> = record
            .cells
            .iter()
            .filter(|of| !of.cells.is_empty())
            .map(|of| (of.look.clone(), json!(of.cells)))
            .collect();
        let stands = json!({
            "made": made.into_iter().map(run).collect::<Vec<_>>(),
            "stopped": of(Ending::NotMade).map(run).collect::<Vec<_>>(),
            "running": of(Ending::Running).map(run).next(),
            "skipped": record.skipped.iter().map(|it| &it.id).collect::<Vec<_>>(),
            "is_holding": record.holds.last().is_some_and(|hold| hold.to.is_none()),
            "last_thunder": record.thunder.iter().max(),
            "is_finished": record.finished.is_some(),
            "rain_class": record.rain.last().map(|spell| spell.class),
            "cells": cells,
        });
        assert_eq!(stands, case["is"], "{name}");
    }
}
