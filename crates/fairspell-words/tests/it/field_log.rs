//! What was made in the field, as it is said.

use fairspell_studio::{
    FieldEvent, FieldEventKind, FieldRecord,
    field_event::{RainTruth, Refusal, SetForm, Wetness},
    field_text::LogTextError,
    variety::{CORE, Cell, Coverage},
};
use fairspell_words::{
    avoided_words,
    field_log::{
        FieldTold, cell_name, clock_corrected, core_cell_prompts, core_cell_title, coverage_lines,
        field_record_lines, log_text_problem, prompt_line, refusal, refused_line, set_name,
        taken_in,
    },
};
use jiff::{SignedDuration, Timestamp, tz::TimeZone};

fn record() -> FieldRecord {
    let start: Timestamp = "2026-09-03T05:15:00Z".parse().unwrap();
    let satin = || "sage satin / cannery_arcade / cover".to_owned();
    let taps = [
        (0, FieldEventKind::Arrived {}),
        (5, FieldEventKind::Start { set: satin(), form: SetForm::Full }),
        (7, FieldEventKind::Settings { text: "f/2,  1/250".to_owned() }),
        (10, FieldEventKind::Rain { class: 1 }),
        (16, FieldEventKind::Rain { class: 3 }),
        (17, FieldEventKind::Hair { state: Wetness::Damp }),
        (23, FieldEventKind::Done {}),
        (24, FieldEventKind::Skip { set: "white linen / dune_gate / open".to_owned() }),
        (25, FieldEventKind::Hold {}),
        (26, FieldEventKind::Thunder {}),
        (35, FieldEventKind::Thunder {}),
        (36, FieldEventKind::Note { text: "mud\nat the gate".to_owned() }),
        (80, FieldEventKind::Rain { class: 0 }),
        (81, FieldEventKind::Start { set: "denim".to_owned(), form: SetForm::Short }),
        (90, FieldEventKind::Truth { rain: RainTruth::Some }),
        (91, FieldEventKind::Finish {}),
        (92, FieldEventKind::Unknown { kind: "drone".to_owned() }),
    ];
    let numbered = taps.into_iter().zip(1..);
    let event = |((minutes, kind), n)| {
        FieldEvent::new("k3", n, start + SignedDuration::from_mins(minutes), kind)
    };
    FieldRecord::of(&numbered.map(event).collect::<Vec<_>>())
}

#[test]
fn an_evening_is_told_line_by_line() {
    let zone = TimeZone::get("Australia/Sydney").unwrap();
    let record = record();
    let told =
        FieldTold { record: &record, spots: &[], zone: &zone, foreign_sheet: true, altered: false };
    let lines = field_record_lines(&told);
    assert_eq!(lines[0], fairspell_words::field_log::FOREIGN_SHEET);
    assert_eq!(
        lines[1..],
        [
            "Thu 3 Sep: arrived 15:15, ended 16:46.",
            "Sage satin at cannery_arcade, under the roof: 15:20 to 15:38, in full, made.",
            "Denim: 16:36 to 16:46, short, nobody said whether it was made.",
            "Left out: white linen at dune_gate.",
            "As tapped: drizzle 15:25 to 15:31; heavy rain 15:31 to 16:35; dry 16:35 to 16:46.",
            "Thunder at 15:41 and 15:50; nobody out again before 16:20, 30 minutes after the last.",
            "Waited under cover: 15:40 to 16:36.",
            "Hair damp at 15:32.",
            "Camera at 15:22, sage satin at cannery_arcade, under the roof: f/2, 1/250",
            "Note at 15:51: mud at the gate",
            "The evening's rain, as you saw it: some.",
            "One tap of a newer sheet is kept, and not read here.",
        ]
    );
    assert!(lines.iter().all(|line| avoided_words(line).is_empty()));
    let nothing = FieldRecord::default();
    let told = FieldTold { record: &nothing, foreign_sheet: false, ..told };
    assert_eq!(field_record_lines(&told), Vec::<String>::new());
}

#[test]
fn a_set_is_named_as_the_sheet_names_it() {
    for (id, name) in [
        ("denim / dune_gate / open", "denim at dune_gate"),
        ("denim / dune_gate / dashes", "denim at dune_gate, in dashes out into the rain"),
        ("denim / dune_gate / cover again", "denim at dune_gate, under the roof, a second time"),
        ("denim / dune_gate / umbrella", "denim at dune_gate, under the clear umbrella"),
        ("denim / dune_gate / attic", "denim at dune_gate, attic"),
        ("denim / dune_gate / attic again", "denim at dune_gate, attic again"),
        ("denim / lace / dune_gate / cover", "denim / lace at dune_gate, under the roof"),
        ("denim", "denim"),
    ] {
        assert_eq!(set_name(id, &[]), name);
    }
}

/// Trade: short, one change at a time, show instead of touch.
#[test]
fn each_of_the_twelve_has_a_title_and_two_short_prompts() {
    let mut said = Vec::new();
    for core in &CORE {
        let title = core_cell_title(core.id).unwrap();
        let prompts = core_cell_prompts(core.id).unwrap();
        for prompt in prompts {
            assert!(prompt.split_whitespace().count() <= 14, "{prompt}");
            assert_eq!(avoided_words(prompt), Vec::<&str>::new(), "{prompt}");
        }
        assert_eq!(avoided_words(title), Vec::<&str>::new());
        said.extend([title, prompts[0], prompts[1]]);
    }
    let count = said.len();
    said.sort_unstable();
    said.dedup();
    assert_eq!((count, said.len()), (36, 36), "nothing is said twice");
    assert_eq!((core_cell_title("upside-down"), core_cell_prompts("")), (None, None));
}

#[test]
fn coverage_says_what_is_there_and_what_is_empty() {
    let mut coverage = Coverage::default();
    let lines = coverage_lines("sage satin", &coverage);
    assert_eq!(lines, ["Sage satin: none of the 12 pictures that a look should have."]);
    CORE.iter().skip(2).for_each(|core| coverage.tap(core.id, true));
    coverage.tap("wide-space", false);
    assert_eq!(
        coverage_lines("sage satin", &coverage),
        [
            "Sage satin: 9 of the 12 pictures that a look should have.",
            "Still empty: Close, smiling; Close, a soft face; Wide, with room around.",
            "Not in any picture yet: wide.",
        ]
    );
    assert_eq!(
        prompt_line(&coverage.next_prompts(5)[4]),
        core_cell_prompts("close-soft").unwrap()[1]
    );
    for core in &CORE {
        coverage.tap(core.id, true);
    }
    assert_eq!(coverage_lines("x", &coverage), ["X: all 12 pictures that a look should have."]);
    assert_eq!(
        prompt_line(&coverage.next_prompts(1)[0]),
        cell_name(coverage.next_prompts(1)[0].cell) + "."
    );
    assert_eq!(cell_name(Cell::all().next().unwrap()), "Close, standing, a smile, upright");
}

#[test]
fn what_was_not_let_in_is_told_with_the_reason() {
    for why in [
        Refusal::NotAnEvent,
        Refusal::NoId,
        Refusal::NoDevice,
        Refusal::BadNumber,
        Refusal::BadTime,
        Refusal::NoKind,
        Refusal::NoSuchRain,
        Refusal::BadPart,
        Refusal::TooLong,
        Refusal::InFuture,
        Refusal::TooMany,
        Refusal::SameId,
    ] {
        assert_eq!(avoided_words(refusal(why)), Vec::<&str>::new());
    }
    assert!(refused_line("k3-1", Refusal::InFuture).starts_with("k3-1: This lies in the future."));
    assert_eq!(refused_line(" ", Refusal::NoId), refusal(Refusal::NoId));
    for damaged in [Refusal::NoId, Refusal::NoDevice, Refusal::BadNumber] {
        assert_eq!(refusal(damaged), "This tap was damaged on its way; the others are in.");
    }
    for problem in [
        LogTextError::NoLog,
        LogTextError::CutOff,
        LogTextError::Garbled,
        LogTextError::OtherSession { found: "2026-09-10-mai".to_owned() },
        LogTextError::OtherVersion { found: 2 },
    ] {
        assert_eq!(avoided_words(&log_text_problem(&problem)), Vec::<&str>::new());
    }
    assert_eq!(taken_in(12, 3, 1), "12 taps are in, 3 of them new. 1 was not taken in:");
    assert_eq!(taken_in(1, 1, 0), "1 tap is in.");
    assert_eq!(taken_in(2, 0, 2), "2 taps are in, none of them new. 2 were not taken in:");
}

/// Half a minute too soon is too soon.
#[test]
fn the_end_of_a_standstill_is_told_to_the_next_whole_minute() {
    let zone = TimeZone::get("Australia/Sydney").unwrap();
    for (thunder, until) in
        [("05:10:00", "15:40"), ("05:10:00.001", "15:41"), ("05:10:59", "15:41")]
    {
        let at = format!("2026-09-03T{thunder}Z").parse().unwrap();
        let tap = FieldEvent::new("k3", 1, at, FieldEventKind::Thunder {});
        let record = FieldRecord::of(&[tap]);
        let (foreign_sheet, altered) = (false, false);
        let told = FieldTold { record: &record, spots: &[], zone: &zone, foreign_sheet, altered };
        let line = format!(
            "Thunder at 15:10; nobody out again before {until}, 30 minutes after the last."
        );
        assert_eq!(field_record_lines(&told), [line]);
    }
}

#[test]
fn a_wrong_clock_is_told_in_a_fitting_unit() {
    let ahead = "The phone's clock was 60 minutes ahead; its times are put right.";
    assert_eq!(clock_corrected(-3600.0), ahead);
    let behind = "The phone's clock was 3 hours behind; its times are put right.";
    assert_eq!(clock_corrected(3.0 * 3600.0), behind);
    assert!(clock_corrected(1e9).contains("11574 days behind"));
}
