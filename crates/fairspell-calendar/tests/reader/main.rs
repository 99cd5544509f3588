//! What we write, as another program reads it: the package `icalendar` for Python.
//!
//! `tests/reference/prepare.sh` puts it into the workspace's `target/python`. Without it every test
//! here is reported as ignored.

#![expect(clippy::unwrap_used, reason = "a helper that cannot set a test up fails it")]

#[path = "../it/world.rs"]
mod world;

use std::{
    io::Write,
    path::{Path, PathBuf},
    process::{Command, ExitCode, Stdio},
};

use fairspell_calendar::{Planned, gates_calendar, session_invitation};
use fairspell_studio::{GateKind, Session, gates, next_gate};
use fairspell_words::calendar::{gate_title, invitation_title, session_title};
use jiff::Timestamp;
use libtest_mimic::{Arguments, Completion, Failed, Trial};
use serde_json::Value;

fn main() -> ExitCode {
    let trials = vec![
        trial("another_program_reads_every_event_with_its_hours_and_words", every_event),
        trial("another_program_reads_every_alarm_at_its_gate", every_alarm),
        trial("another_program_reads_names_in_any_script", any_script),
        trial("another_program_reads_the_invitation", invitation),
    ];
    libtest_mimic::run(&Arguments::from_args(), trials).exit_code()
}

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

fn python() -> PathBuf {
    root().join("target/python/bin/python3")
}

fn is_prepared() -> bool {
    let import = Command::new(python()).args(["-c", "import icalendar"]).output();
    import.is_ok_and(|output| output.status.success())
}

/// A test that needs the other program; ignored, with the reason, where it has not been prepared.
fn trial(name: &str, test: fn() -> Result<(), Failed>) -> Trial {
    Trial::ignorable_test(name, move || {
        if is_prepared() {
            test().map(|()| Completion::Completed)
        } else {
            Ok(Completion::ignored_with("needs target/python, see tests/reference/prepare.sh"))
        }
    })
}

/// The calendar as the other program reads it.
fn read(calendar: &str) -> Result<Value, Failed> {
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/read_calendar.py");
    let mut child = Command::new(python())
        .arg(script)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()?;
    child.stdin.take().ok_or("no standard input")?.write_all(calendar.as_bytes())?;
    let output = child.wait_with_output()?;
    if !output.status.success() {
        return Err(String::from_utf8_lossy(&output.stderr).into_owned().into());
    }
    let read: Value = serde_json::from_slice(&output.stdout)?;
    let events = read["events"].as_array().ok_or("no events")?;
    let faults: Vec<&Value> = events.iter().chain([&read]).map(|part| &part["errors"]).collect();
    ensure(faults.iter().all(|errors| errors.as_array().is_some_and(Vec::is_empty)), || {
        format!("the other program complains: {faults:?}")
    })?;
    Ok(read)
}

fn ensure(holds: bool, what: impl FnOnce() -> String) -> Result<(), Failed> {
    if holds { Ok(()) } else { Err(what().into()) }
}

fn same(found: &Value, expected: impl Into<Value>, what: &str) -> Result<(), Failed> {
    let expected = expected.into();
    ensure(*found == expected, || format!("{what}: {found} instead of {expected}"))
}

fn feed(sessions: &[Session], now: Timestamp, name: &str) -> String {
    let zone = world::zone();
    let all: Vec<_> =
        sessions.iter().map(|session| gates(&world::studio(), &zone, session).unwrap()).collect();
    let planned: Vec<Planned> = sessions
        .iter()
        .zip(&all)
        .map(|(session, gates)| Planned { session, gates, standing: world::STANDING })
        .collect();
    gates_calendar(&world::studio(), &zone, &planned, now, name)
}

fn every_event() -> Result<(), Failed> {
    let session = world::session();
    let read = read(&feed(std::slice::from_ref(&session), world::now(), "Gates, mine; all"))?;
    same(&read["name"], "Gates, mine; all", "name")?;
    same(&read["refresh_s"], 900, "refresh interval")?;
    let events = read["events"].as_array().ok_or("no events")?;
    let gates = gates(&world::studio(), &world::zone(), &session)?;
    let ahead: Vec<_> = gates.iter().filter(|gate| gate.at > world::now()).collect();
    ensure(ahead.len() >= 4 && ahead.len() < gates.len(), || format!("{} gates", ahead.len()))?;
    same(&events.len().into(), ahead.len() + 1, "number of events")?;
    let first = &events[0];
    // 15:15 in Sydney, ten hours ahead of UTC in winter; 110 minutes.
    same(&first["start"], "2026-09-03T05:15:00Z", "start")?;
    same(&first["end"], "2026-09-03T07:05:00Z", "end")?;
    same(&first["summary"], session_title(&session.sitter), "summary")?;
    same(&first["description"], world::STANDING, "description")?;
    same(&first["location"], "Heron Walk, north; gate", "location")?;
    same(&first["geo"], vec![-31.7218, 152.7832], "position")?;
    same(&first["stamp"], world::now().to_string(), "stamp")?;
    same(&first["sequence"], world::now().as_second() / 60, "sequence")?;
    let uids: std::collections::BTreeSet<_> =
        events.iter().map(|event| event["uid"].as_str()).collect();
    same(&uids.len().into(), events.len(), "different UIDs")?;
    for (event, gate) in events[1..].iter().zip(ahead) {
        same(&event["start"], gate.at.to_string(), "a gate's moment")?;
        same(&event["summary"], gate_title(gate.kind, &session.sitter), "a gate's summary")?;
    }
    Ok(())
}

fn every_alarm() -> Result<(), Failed> {
    let session = world::session();
    let read = read(&feed(std::slice::from_ref(&session), world::now(), "Gates"))?;
    let events = read["events"].as_array().ok_or("no events")?;
    same(&events[0]["alarms"], Vec::<Value>::new(), "the session's alarms")?;
    let leaving = gate_title(GateKind::LeaveBy, &session.sitter);
    for event in &events[1..] {
        let alarms = event["alarms"].as_array().ok_or("no alarms")?;
        let triggers: Vec<_> = alarms.iter().map(|alarm| alarm["trigger_s"].clone()).collect();
        let expected: Vec<Value> = if event["summary"] == leaving {
            vec![0.into(), (-900).into()]
        } else {
            vec![0.into()]
        };
        same(&Value::from(triggers), expected, "triggers, seconds")?;
        for alarm in alarms {
            same(&alarm["action"], "DISPLAY", "action")?;
            same(&alarm["description"], event["summary"].clone(), "words")?;
        }
    }
    let gates = gates(&world::studio(), &world::zone(), &session)?;
    ensure(next_gate(&gates, world::now()).is_some(), || "no gate ahead".to_owned())
}

fn any_script() -> Result<(), Failed> {
    let sessions: Vec<Session> = world::NAMES
        .iter()
        .enumerate()
        .map(|(number, name)| Session {
            id: format!("s{number}"),
            sitter: (*name).to_owned(),
            ..world::session()
        })
        .chain([Session { id: "long".to_owned(), sitter: "Ж".repeat(200), ..world::session() }])
        .collect();
    let read = read(&feed(&sessions, world::after(), "Gates"))?;
    let events = read["events"].as_array().ok_or("no events")?;
    same(&events.len().into(), sessions.len(), "number of events")?;
    for (event, session) in events.iter().zip(&sessions) {
        same(&event["summary"], session_title(&session.sitter), "summary")?;
    }
    Ok(())
}

fn invitation() -> Result<(), Failed> {
    let (studio, zone, session) = (world::studio(), world::zone(), world::session());
    let written =
        session_invitation(&studio, &zone, &session, Some("ada@example.org"), world::now())?;
    let read = read(&written)?;
    same(&read["method"], "PUBLISH", "method")?;
    let events = read["events"].as_array().ok_or("no events")?;
    same(&events.len().into(), 1, "number of events")?;
    same(&events[0]["start"], "2026-09-03T05:15:00Z", "start")?;
    same(&events[0]["end"], "2026-09-03T07:05:00Z", "end")?;
    same(&events[0]["summary"], invitation_title(&studio.owner), "summary")?;
    same(&events[0]["organizer"], "mailto:ada@example.org", "organizer")?;
    same(&events[0]["alarms"], Vec::<Value>::new(), "alarms")
}
