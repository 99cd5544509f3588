//! The field sheet in words.

use fairspell_light::LightPhase;
use fairspell_plan::field::{Closed, FieldError, FieldSet, Setting, rain::RainBasis};
use fairspell_studio::{
    LookTable, Session, Spot,
    session::{DateNotes, Drive, Look},
};
use fairspell_words::{
    avoided_words,
    field_log::set_name,
    field_sheet::{
        FIELD_CAUTIONS, field_light, field_packed, field_problem, field_rain_basis,
        field_set_heading, field_set_place, field_set_title, field_step, field_why,
    },
};

use crate::world;

fn spot() -> Spot {
    Spot { name: "Cannery Arcade".to_owned(), ..world::spots()[0].clone() }
}

fn session() -> Session {
    let satin =
        Look { name: "sage satin".to_owned(), fabric: Some("satin".to_owned()), ..Look::default() };
    Session {
        id: "thursday".to_owned(),
        sitter: "Linh".to_owned(),
        guardian: "Quoc".to_owned(),
        start: world::civil("2026-09-03T15:15"),
        duration_min: 120,
        looks: vec![satin],
        drive: Drive { minutes: 15, route: Vec::new() },
        chair_before_start_min: 210,
        with_artist: true,
        deadline: None,
        moved_from: None,
        people: Vec::new(),
        dates: DateNotes::default(),
    }
}

fn set(spot: &Spot, setting: Setting) -> FieldSet<'_> {
    FieldSet { look: 0, spot, setting, in_dashes: false, is_again: false, is_planned: true }
}

#[test]
fn a_set_is_called_by_look_spot_and_setting() {
    let (spot, session) = (spot(), session());
    let titles = [Setting::Open, Setting::Umbrella, Setting::Cover]
        .map(|setting| field_set_title(&set(&spot, setting), &session));
    assert_eq!(
        titles,
        [
            "sage satin at Cannery Arcade",
            "sage satin at Cannery Arcade, under the clear umbrella",
            "sage satin at Cannery Arcade, under the roof",
        ]
    );
    let again = FieldSet { is_again: true, ..set(&spot, Setting::Cover) };
    let dashes = FieldSet { in_dashes: true, ..set(&spot, Setting::Open) };
    assert!(field_set_heading(&again, &session).ends_with("under the roof, a second time"));
    assert!(field_set_heading(&dashes, &session).starts_with("Sage satin"));
    assert_eq!(field_set_place(&dashes, &session), "Sage satin at Cannery Arcade");
}

/// What was tapped is read back from the set's id alone.
#[test]
fn a_set_is_called_the_same_before_and_after() {
    let (spot, session) = (spot(), session());
    for setting in [Setting::Open, Setting::Umbrella, Setting::Cover] {
        for (in_dashes, is_again) in [(false, false), (false, true), (true, false), (true, true)] {
            let in_dashes = in_dashes && setting == Setting::Open;
            let set = FieldSet { in_dashes, is_again, ..set(&spot, setting) };
            let read = set_name(&set.id(&session), std::slice::from_ref(&spot));
            assert_eq!(read, field_set_title(&set, &session));
        }
    }
}

#[test]
fn what_marks_for_good_is_said_first_and_no_umbrella_is_promised_to_it() {
    let (spot, session) = (spot(), session());
    let table = LookTable::default();
    let why = |setting| field_why(&table, &session.looks[0], &set(&spot, setting));
    assert_eq!(why(Setting::Cover)[0], "Water marks it for good: not a drop");
    assert!(!why(Setting::Open).iter().any(|line| line.contains("mbrella")));
    let denim = Look { fabric: Some("denim".to_owned()), ..Look::default() };
    let open = field_why(&table, &denim, &set(&spot, Setting::Open));
    assert_eq!(open, ["Umbrella at hand: up at the first drops"]);
}

#[test]
fn nothing_said_on_the_sheet_has_a_word_that_nobody_should_read() {
    let mut said: Vec<String> = FIELD_CAUTIONS.iter().map(|it| (*it).to_owned()).collect();
    let bases =
        [RainBasis::RadarAndForecast, RainBasis::Radar, RainBasis::Forecast, RainBasis::Nobody];
    said.extend(bases.map(|basis| field_rain_basis(basis).to_owned()));
    said.extend(LightPhase::ALL.map(|phase| field_light(phase.from_deg().max(-9.0), phase)));
    for why in [Closed::Spot, Closed::Light, Closed::Time, Closed::Rain] {
        said.push(field_problem(&FieldError::NothingOpen { session: "s".to_owned(), why }));
    }
    said.push(field_problem(&FieldError::NoLight("s".to_owned())));
    said.push(field_packed("sheet.html"));
    for line in said {
        assert_eq!(avoided_words(&line), Vec::<&str>::new(), "{line}");
        assert!(line.ends_with('.') && !line.contains('!'), "{line}");
    }
}

#[test]
fn a_step_is_a_set_a_wait_or_the_end() {
    assert_eq!(field_step(Some(("denim at the steps", true)), false), "Denim at the steps, short");
    assert_eq!(field_step(None, false), "Wait under cover");
    assert_eq!(field_step(None, true), "Finish");
    assert_eq!(
        field_light(11.6, LightPhase::Gold),
        "Sun 12° up, gold: from behind or from the side."
    );
    assert_eq!(
        field_light(-2.2, LightPhase::Soft),
        "Sun 2° down, soft, with colour in the sky opposite."
    );
}
